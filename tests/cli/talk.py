# SPDX-License-Identifier: GPL-3.0-or-later
"""Talking to perpend through pipes, question by question, and looking into a log behind its back."""
import json
import os
import select
import signal
import sqlite3
import subprocess
import tempfile
import time

import tap


class Gone(Exception):
    """The program has closed its output."""


def heeding_signals(prepare):
    """What runs before the program does: these signals as a terminal's shell leaves them, even where
    the tests run under something that has them ignored (nohup, say)."""
    def before():
        for number in (signal.SIGHUP, signal.SIGINT, signal.SIGTERM):
            signal.signal(number, signal.SIG_DFL)
        if prepare:
            prepare()
    return before


class Talk:
    """One run of perpend: wait for a question, answer it."""

    def __init__(self, *arguments, cwd=None, env=None, preexec_fn=None):
        # a file, not a pipe: nobody reads it before the end, and a pipe could fill up
        self.errors = tempfile.TemporaryFile()
        self.process = subprocess.Popen(
            [tap.PERPEND, *arguments], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            stderr=self.errors, cwd=cwd, env=env if env is not None else tap.environment(),
            preexec_fn=heeding_signals(preexec_fn))
        self.text = ""
        self.seen = 0  # up to where questions have been answered
        self.rest = b""

    def _read(self, seconds):
        descriptor = self.process.stdout.fileno()
        if not select.select([descriptor], [], [], seconds)[0]:
            return False
        got = os.read(descriptor, 65536)
        if not got:
            raise Gone
        self.rest += got
        # a character may have been cut in two
        text = self.rest.decode("utf-8", "ignore")
        self.rest = b"" if text.encode() == self.rest else self.rest[len(text.encode()):]
        self.text += text
        return True

    def question(self, seconds=60):
        """The text since the last answer, which ends in a question; raises Gone at the end."""
        end = time.monotonic() + seconds
        while not self.text[self.seen:].endswith(": "):
            if not self._read(max(0, end - time.monotonic())):
                raise TimeoutError(self.text[-500:])
        return self.text[self.seen:]

    def prompt(self, seconds=60):
        """The last line of the question."""
        return self.question(seconds).splitlines()[-1]

    def answer(self, line):
        self.seen = len(self.text)
        try:
            self.process.stdin.write(line.encode() + b"\n")
            self.process.stdin.flush()
        except BrokenPipeError:
            raise Gone from None

    def say(self, *lines):
        """Answer one question after another; the text that came back."""
        start = len(self.text)
        for line in lines:
            self.question()
            self.answer(line)
        return self.text[start:]

    def end(self):
        """Close its input, read what is left: exit status."""
        try:
            self.process.stdin.close()
        except BrokenPipeError:
            pass
        return self.wait()

    def wait(self):
        try:
            while self._read(60):
                pass
        except Gone:
            pass
        status = self.process.wait(60)
        self.errors.seek(0)
        self.error = self.errors.read().decode("utf-8", "replace")
        self.errors.close()
        self.process.stdout.close()
        if not self.process.stdin.closed:
            try:
                self.process.stdin.close()
            except BrokenPipeError:
                pass
        return status


BEARINGS = {"back": 0, "back-right": 45, "right": 90, "front-right": 135, "front": 180,
            "front-left": 225, "left": 270, "back-left": 315}
NAMES = {degrees: name for name, degrees in BEARINGS.items()}


def name_of(radians):
    return NAMES[round(radians * 180 / 3.141592653589793) % 360]


def look(path):
    """A log opened behind the program's back; an entry that a kill left half done is taken back first,
    as by any program that opens it."""
    return sqlite3.connect(f"file:{path}?mode=rw", uri=True)


def begun(path):
    """Whether a log has anything in it, what was interrupted being taken back."""
    if os.path.exists(path) and os.path.getsize(path) > 0:
        with look(path) as log:
            log.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    return os.path.exists(path) and os.path.getsize(path) > 0


def counted(path, job):
    """(sweep id, bearing, value) of each reading that counts."""
    if not begun(path):
        return []
    with look(path) as log:
        rows = log.execute(
            "SELECT reading.id, sweep, bearing, value FROM reading JOIN sweep ON sweep.id = sweep "
            "WHERE job = ? ORDER BY reading.id", (job,)).fetchall()
        found = []
        for number, sweep, bearing, value in rows:
            last = log.execute("SELECT withdraws, bearing, value FROM correction WHERE reading = ? "
                               "ORDER BY id DESC LIMIT 1", (number,)).fetchone()
            if last is None:
                found.append((sweep, name_of(bearing), value))
            elif not last[0]:
                found.append((sweep, name_of(last[1]), last[2]))
    log.close()
    return found


def did(path, job):
    """What is on record as done, in order: plan, nothing, list."""
    with look(path) as log:
        rows = log.execute("SELECT did.kind FROM did JOIN sweep ON sweep.id = did.sweep "
                           "WHERE job = ? ORDER BY did.id", (job,)).fetchall()
    log.close()
    return [kind for (kind,) in rows]


def jobs(path):
    """(id, ending) of every job."""
    with look(path) as log:
        rows = log.execute("SELECT id, ending FROM job ORDER BY id").fetchall()
    log.close()
    return rows


def solve_json(machine, readings):
    return json.loads(tap.perpend("solve", machine, readings, "--json").out)
