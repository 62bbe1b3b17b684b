#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""perpend sweep and new as a person sees them: driven through tmux, screens of 80 and 60 columns and 24
rows compared with those in tests/cli/screens. After a change that is meant, write them anew with

    python3 tests/cli/sweep_tmux.py build/src/cli/perpend . --write

and read what has changed.
"""
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time

import tap
import talk

WRITE = "--write" in sys.argv
SCREENS = tap.ROOT / "tests" / "cli" / "screens"
t = tap.Tap()
if shutil.which("tmux") is None:
    t.skip("sessions in a terminal", "tmux is not there")
    t.done()


ENDED = r"^1$"


class Terminal:
    """One window of a tmux of its own."""

    count = 0

    def __init__(self, width, height, command, folder, **changes):
        Terminal.count += 1
        self.socket = os.path.join(folder, f"tmux{Terminal.count}")
        environment = tap.environment(TERM="xterm", HOME=folder, INPUTRC="/dev/null", **changes)
        environment.pop("COLUMNS", None)
        # the command's own status, and then nothing more, so that the last screen stays
        line = (f'{command}; echo "[status $?]"; printf %s "$(stty -a | grep -c -- " icanon.* echo ")"; '
                "exec sleep 600")
        self.run("-f", "/dev/null", "new-session", "-d", "-x", str(width), "-y", str(height), line,
                 cwd=folder, env=environment)

    def run(self, *arguments, **more):
        return subprocess.run(["tmux", "-S", self.socket, *arguments], check=True,
                              capture_output=True, timeout=60, **more).stdout.decode()

    def screen(self):
        """Down to the line that the cursor is in."""
        shown = self.run("capture-pane", "-p", ";", "display-message", "-p", "#{cursor_y}")
        *lines, row = shown.rstrip("\n").split("\n")
        return "\n".join(line.rstrip() for line in lines[:int(row) + 1])

    def wait(self, end, before=None):
        """Until the last line on the screen matches, and the screen is not the one before; the screen.
        Late: nothing has moved for ten seconds, or the program has ended."""
        last, limit = None, 0
        while True:
            shown = self.screen()
            if shown != before and re.search(end, shown.split("\n")[-1]):
                # twice the same: nothing more is on its way
                time.sleep(0.02)
                if self.screen() == shown:
                    return shown
            if shown != last:
                last, limit = shown, time.monotonic() + 10
            if time.monotonic() > limit or re.search(r"^\[status \d+\]\n\d$", shown, re.M) and end != ENDED:
                raise TimeoutError(f"waited for {end!r}; the screen:\n{shown}")
            time.sleep(0.01)

    def type(self, text, end):
        """Type a line; the screen once the next question is there."""
        if text:
            self.run("send-keys", "-l", "--", text)
        return self.keys("Enter", end=end)

    def keys(self, *names, end):
        before = self.screen()
        self.run("send-keys", *names)
        return self.wait(end, before)

    def close(self):
        subprocess.run(["tmux", "-S", self.socket, "kill-server"], check=False, capture_output=True)


def normal(screen):
    return re.sub(r"\d{4}-\d\d-\d\d \d\d:\d\d", "2026-01-02 03:04",
                  re.sub(r"\(\d{4}-\d\d-\d\d\)", "(2026-01-02)", screen)) + "\n"


def compare(name, width, screen):
    path = SCREENS / f"{name}-{width}.txt"
    got = normal(screen)
    t.ok(all(len(line) <= width for line in got.splitlines()), f"{name}: fits {width} columns")
    if WRITE:
        SCREENS.mkdir(exist_ok=True)
        path.write_text(got, encoding="utf-8")
    want = path.read_text(encoding="utf-8") if path.exists() else ""
    t.ok(got == want, f"{name}: the screen of {width} columns", f"got:\n{got}\nwant:\n{want}")


def tern_folder():
    folder = tempfile.mkdtemp(prefix="perpend-tmux-")
    tap.copy_stocked_tern(os.path.join(folder, "tern.yaml"))
    return folder


SWEEP = f"{tap.PERPEND} sweep --log log.sqlite"


def readings(folder, job=1):
    return [(at, round(value, 6)) for _, at, value in
            talk.counted(os.path.join(folder, "log.sqlite"), job)]


# -- a whole job -------------------------------------------------------------------------------
DID = r"^What next"
for width in (80, 60):
    folder = tern_folder()
    term = Terminal(width, 24, SWEEP, folder)
    try:
        compare("1-start", width, term.wait(r"^How many readings"))
        term.type("4", r"^1/4 front:")
        term.type("1.00", r"^2/4")
        term.type("0,55", r"^3/4")
        compare("2-reading", width, term.type("right 0.5", r"^3/4"))
        compare("3-help", width, term.type("help", r"^3/4"))
        term.type("0.05", r"^4/4")
        term.type("undo", r"^3/4")
        term.type("0", r"^4/4")
        shown = term.type("0.5", DID)
        compare("4-answer", width, shown)
        t.ok("NOT YET" in shown, f"{width} columns: the verdict is on the screen with the question")
        bold = [line for line in term.run("capture-pane", "-p", "-e").splitlines() if "\x1b[1m" in line]
        t.ok(1 <= len(bold) <= 2 and "NOT YET" in bold[0], f"{width} columns: and it alone is bold", bold)
        term.type("", r"^1/4")
        term.type("0.7", r"^2/4")
        term.type("stop", ENDED)
        term.close()
        term = Terminal(width, 24, SWEEP, folder)
        compare("5-offer", width, term.wait(r"^go on with it|^Go on with it"))
        term.type("", r"^2/4")
        term.type("0.5", r"^3/4")
        term.type("0.3", r"^4/4")
        term.type("0.5", DID)
        term.type("other", r"^bolt")
        term.type("1 4 x 0.05", r"^bolt")
        term.type("top right 0.2", r"^bolt")
        compare("6-bolts", width, term.type("", r"^1/4"))
        for number in (2, 3, 4):
            term.type("0.4", rf"^{number}/4")
        compare("7-good", width, term.type("0.4", DID))
        compare("8-end", width, term.type("", ENDED))
        t.equal(readings(folder), [
            ("front", 1.0), ("right", 0.5), ("back", 0.0), ("left", 0.5), ("front", 0.7), ("right", 0.5), ("back", 0.3),
            ("left", 0.5), ("front", 0.4), ("right", 0.4), ("back", 0.4), ("left", 0.4)],
            f"{width} columns: all that counts is in the log")
        t.equal(talk.did(os.path.join(folder, "log.sqlite"), 1), ["plan", "list"], "and what was done")
    except TimeoutError as late:
        t.ok(False, f"a job of three sweeps, {width} columns", late)
    term.close()
    tap.remove(folder)

# -- setting up --------------------------------------------------------------------------------
def set_up(term, answers, until):
    """Answer one question after the other until that one is asked; the screen."""
    shown = term.screen()
    while not shown.split("\n")[-1].startswith(until):
        answer = next(answers, None)
        if answer is None:
            raise TimeoutError(f"all is answered and {until!r} was not asked; the screen:\n{shown}")
        shown = term.type(answer, r": *$")
    return shown


for width in (80, 60):
    folder = tempfile.mkdtemp(prefix="perpend-tmux-")
    term = Terminal(width, 24, f"{tap.PERPEND} new", folder)
    answers = iter(tap.NEW_MACHINE.splitlines())
    try:
        compare("new-1-start", width, term.wait(r"^name \[router\]:"))
        compare("new-2-gauge", width, set_up(term, answers, "gauge [gap]"))
        compare("new-3-shape", width, set_up(term, answers, "shape:"))
        compare("new-4-shown", width, set_up(term, answers, "file name"))
        if width == 80:
            shown = term.type("no-such-folder/a.yaml", r"^file name \[tern\.yaml\]: *$")
            t.contains(shown, "no-such-folder/a.yaml: cannot be written", "a folder that is not there")
            shown = term.type("b", ENDED)
            t.contains(shown, "Written: b.yaml", "loses nobody the answers: asked again")
        else:
            shown = term.type("", ENDED)
            t.ok(os.path.exists(os.path.join(folder, "tern.yaml")), "the file is there")
        compare("new-5-written", width, shown)
    except TimeoutError as late:
        t.ok(False, f"setting up, {width} columns", late)
    term.close()
    tap.remove(folder)

# -- the keyboard ------------------------------------------------------------------------------
folder = tern_folder()
term = Terminal(80, 24, SWEEP, folder)
try:
    term.wait(r"^How many")
    term.type("4", r"^1/4")
    term.run("send-keys", "-l", "1.75")
    term.keys("BSpace", "BSpace", end=r": 1\.$")
    term.keys("C-a", "Delete", "C-e", end=r": \.$")
    term.type("5", r"^2/4")
    shown = term.screen()
    t.contains(shown, "kept: front 0.50 mm", "a line can be edited before it is sent off")
    term.run("send-keys", "-l", "0.5")
    shown = term.keys("C-c", end=ENDED)
    t.contains(shown, "Stopped. All that was kept is in the log", "Ctrl-C stops")
    t.contains(shown, "[status 1]", "with status 1")
    t.ok(shown.endswith("\n1"), "and the terminal is as it was before", shown)
    t.equal(len(readings(folder)), 1, "and the line that was not sent off is not kept")
    term.close()
    term = Terminal(80, 24, SWEEP + " --resume", folder)
    term.wait(r"^How many")
    term.type("8", r"^2/8")
    shown = term.keys("C-d", end=ENDED)
    t.contains(shown, "Stopped. All that was kept", "Ctrl-D stops")
    t.ok(shown.endswith("\n1"), "and the terminal is as it was before", shown)
    term.close()

    # Ctrl-Z where nobody could wake the program again
    term = Terminal(80, 24, SWEEP + " --resume", folder)
    term.wait(r"^How many")
    term.run("send-keys", "C-z")
    shown = term.type("4", r"^2/4")
    t.ok(True, "Ctrl-Z does not freeze a session that has no shell to go back to")
    term.close()

    # a window made narrower on the way
    term = Terminal(80, 24, SWEEP + " --resume", folder)
    term.wait(r"^How many")
    term.type("4", r"^2/4")
    term.run("resize-window", "-x", "60", "-y", "24")
    time.sleep(0.2)
    shown = term.type("help", r"^2/4")
    t.contains(shown, "takes or corrects its\n", "a narrower window is noticed")
    t.ok(all(len(line) <= 60 for line in shown.splitlines()), "and kept to")

    # several lines pasted at once
    term.run("send-keys", "-l", "0.5")
    term.run("send-keys", "Enter")
    term.run("send-keys", "-l", "0.1")
    term.run("send-keys", "Enter")
    shown = term.wait(r"^4/4")
    t.equal([at for at, _ in readings(folder)], ["front", "right", "back"],
            "lines typed ahead are taken one by one")

    # a closed terminal
    pid = int(term.run("display-message", "-p", "#{pane_pid}"))
    children = subprocess.run(["ps", "-o", "pid=", "--ppid", str(pid)], check=False,
                              capture_output=True).stdout.split()
    term.close()
    limit = time.monotonic() + 20
    alive = True
    while alive and time.monotonic() < limit:
        alive = any(os.path.exists(f"/proc/{int(child)}") for child in children)
        time.sleep(0.05)
    t.ok(not alive, "a terminal that is closed ends the session")
    t.equal(len(readings(folder)), 3, "and nothing is lost")
    run = tap.perpend("sweep", "--log", "log.sqlite", stdin="\nstop\n", cwd=folder)
    t.contains(run.out, "There is an unfinished job", "the next start offers to go on")
except TimeoutError as late:
    t.ok(False, "the keyboard", late)
term.close()
tap.remove(folder)

# -- plain terminals ---------------------------------------------------------------------------
folder = tern_folder()
term = Terminal(60, 24, f"TERM=dumb NO_COLOR=1 {SWEEP}", folder, LC_ALL="C")
try:
    term.wait(r"^How many")
    term.type("4", r"^1/4")
    term.type("1", r"^2/4")
    term.type("0.5", r"^3/4")
    shown = term.type("0", r"^4/4")
    compare("ascii", 60, shown)
    t.ok(shown.isascii(), "a dumb terminal without UTF-8 gets plain ASCII")
    escapes = term.run("capture-pane", "-p", "-e")
    t.lacks(escapes, "\x1b", "and no colour or emphasis of any kind")
except TimeoutError as late:
    t.ok(False, "a dumb terminal", late)
term.close()
tap.remove(folder)
t.done()
