#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A disk that fails at one write, and from there on: a session, a note, a backup, a machine file, a
report, a picture, a survey. One line and status 3, or all was done; what was said to be kept is in the log, which is
sound; a file is whole or not there. Every write of what makes few of them, some of the others; ten
times as many with PERPEND_TEST_PERCENT=100.

Called with the command, the project's folder and the disk that fails, to be preloaded.
"""
import functools
import os
import pathlib
import re
import shutil
import tempfile

import faults
import tap
import talk

SESSION = "4\n1.00\n0.50\n0\n0.50\nplanned\n0.3\nundo\n0.35\n0.3\n0.3\n0.3\nnote dusty\nend\n"
LOGGED = ["--log", "log.sqlite"]
FILES = ["tern.yaml", "readings.yaml"]
BOARD = ["tern-unfaced.yaml", "tern-board.csv"]

# Words, what is typed, the files made beside the log.
WRITING = [
    (["sweep", "tern.yaml", "--log", "new.sqlite"], SESSION, []),
    (["log", "note", "1", "seen", *LOGGED], "", []),
    (["log", "backup", "copy.sqlite", *LOGGED], "", ["copy.sqlite"]),
    (["new", "made.yaml"], tap.NEW_MACHINE + "\n", ["made.yaml"]),
    (["solve", *FILES, "--picture", "sheet.svg"], "", ["sheet.svg"]),
    (["board", "survey", *BOARD, "--picture", "map.svg"], "", ["map.svg"]),
    (["board", "survey", BOARD[0], "typed.yaml", "--add"], "0.5\n0.45\nundo\n0.44\n380 400 0.1\nend\n", []),
    (["report", "--from", *FILES, "--output", "job.html"], "", ["job.html"]),
    (["report", "1", "--output", "job.txt", *LOGGED], "", ["job.txt"]),
]
t = tap.Tap()
# in memory where that can be had: thousands of writes are waited for
top = pathlib.Path(tempfile.mkdtemp(prefix="perpend-writes-",
                                    dir="/dev/shm" if os.access("/dev/shm", os.W_OK) else None))
first = top / "first"
first.mkdir()
shutil.copy(tap.TERN, first / "tern.yaml")
shutil.copy(tap.AS_FOUND, first / "readings.yaml")
for name in BOARD:
    shutil.copy(tap.ROOT / "examples" / name, first / name)
tap.perpend("sweep", "tern.yaml", *LOGGED, stdin=SESSION, cwd=first)


def kept(text):
    """How many readings the screen says are kept, and that stand."""
    def count(words):
        return len(re.findall(rf"^{words}: [a-z-]+ [\d.]+ mm$", text, re.MULTILINE))

    return count("kept") - count("taken back")


def fault_in_log(words, done):
    """What is wrong with the log after a run, or None."""
    log = done.folder / words[words.index("--log") + 1]
    if not talk.begun(log):
        return "no log" if log.name == "log.sqlite" or kept(done.out) else None
    if words[0] == "sweep":
        there = len(talk.counted(log, 1))
        # what the disk failed at may be in the log all the same: a reading, or the one that is taken back
        undoing = kept(done.out) == 5 and "taken back" not in done.out
        if there - kept(done.out) not in ((0, 1, -1) if undoing else (0, 1)):
            return f"{kept(done.out)} kept on the screen, {there} in the log"
    notes = "SELECT count(*) FROM note WHERE text = 'seen'"
    if words[1] == "note" and done.status == 0:
        with talk.look(log) as book:
            if book.execute(notes).fetchone() != (1,):
                return "a note said to be kept is not there"
    check = tap.perpend("log", "check", "--log", str(log))
    return check.out + check.err if check.status != 0 else None


def fault_in_touches(done):
    """What is wrong with typed touches after a run, or None: each is in the file before the next is asked for."""
    asked = [int(number) for number in re.findall(r"touch (\d+) at X", done.out)]
    file = done.folder / "typed.yaml"
    there = file.read_text().count("reading:") if file.exists() else 0
    # the one at which the disk failed may be in the file all the same
    wanted = asked[-1] - 1 if asked else 0
    return None if there - wanted in (0, 1, -1 if "undo" in done.out else 0) else f"{there} in the file, {wanted} kept"


def fault_in(words, made, done, whole):
    """What is wrong with a run, or None."""
    if done.status not in (whole.status, 3):
        return f"status {done.status}: {done.err[:200]}"
    if done.status == 3 and not re.fullmatch(r"perpend: [^\n]+; [^\n]+\n", done.err):
        return f"no line, or more: {done.err[:300]!r}"
    if done.status != 3 and done.err:
        return f"done, and a complaint: {done.err[:200]}"
    for name in made:
        file = done.folder / name
        if not file.exists() and done.status != 3:
            return f"{name} is not there"
        if file.exists() and file.read_bytes() != (whole.folder / name).read_bytes():
            return f"{name} is another"
    usual = {path.name for path in whole.folder.iterdir()}
    left = {path.name for path in done.folder.iterdir()} - usual
    if left - {f"{name}.sqlite-{side}" for name in ("log", "new") for side in ("journal",)}:
        return f"left: {left}"
    if "--add" in words:
        return fault_in_touches(done)
    return fault_in_log(words, done) if "--log" in words else None


for words, typed, made in WRITING:
    faults.Faults(top, words, typed, first, SOURCE_DATE_EPOCH=1).check(
        t, "perpend " + " ".join(words), functools.partial(fault_in, words, made), 8)
shutil.rmtree(top)
t.done()
