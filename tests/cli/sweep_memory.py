#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A session that runs out of memory: at allocations drawn at random, once or from there on, it either
goes on or ends with one line and status 3, never in a crash, and what it said to be kept is in the log.
Called with the command, the project's folder and the allocator to preload.
"""
import pathlib
import re
import shutil
import tempfile

import faults
import tap
import talk

t = tap.Tap()
top = pathlib.Path(tempfile.mkdtemp(prefix="perpend-memory-"))
SWEEP = "\n".join(["4", "1.00", "0.50", "0", "left 0.55", "undo", "0.50", "other", "1 0.5", "2 0.5", "",
                   "0.3", "again", "0.3", "note dusty", "0.3", "0.3", "0.3", "nothing", "undo", "add", "plan", "bit 20", "print",
                   "0.3", "0.3", "0.3", "0.3", "end"]) + "\n"
NEW = tap.NEW_MACHINE + "\n"


def kept(text):
    """Readings on the screen as they count in the end."""
    counted = []
    for word, at, value in re.findall(r"^(kept|corrected|taken back): ([a-z-]+) (-?[\d.]+) mm$", text,
                                      re.MULTILINE):
        if word == "kept":
            counted.append((at, float(value)))
        elif word == "taken back":
            counted.remove((at, float(value)))
        else:
            last = max(i for i, (where, _) in enumerate(counted) if where == at)
            counted[last] = (at, float(value))
    return sorted(counted)


def fault_in(done, whole):
    """What is wrong with a run, or None."""
    if done.status not in (0, 1, 3):
        return f"status {done.status}: {done.err[:200]}"
    if done.status == 3 and not re.fullmatch(r"perpend: [^\n]+\n", done.err):
        return f"more or less than one line: {done.err[:300]!r}"
    if done.status != 3 and (done.status != whole.status or done.err):
        return f"status {done.status} and not the end: {done.err[:200]} {done.out[-200:]}"
    if (whole.folder / "new.yaml").exists():
        file = done.folder / "new.yaml"
        if [p.name for p in done.folder.iterdir() if p.name.startswith("new.yaml.")]:
            return "a temporary file is left"
        if done.status == 3 and file.exists() and "Written:" not in done.out:
            return "refused, and the file is there"
        if done.status == 0 and not file.exists():
            return f"not there: {done.out[-300:]}"
        if done.status == 0 and file.read_text() != (whole.folder / "new.yaml").read_text():
            return "another file"
        return None
    log = done.folder / "log.sqlite"
    if not talk.begun(log):
        return "kept without a log" if kept(done.out) else None
    there = sorted((at, value) for _, at, value in talk.counted(log, 1))
    missing = [one for one in kept(done.out) if one not in there]
    # the last may be taken back in the log, and memory out before the screen could say so
    if done.status == 3 and missing == kept(done.out[done.out.rfind("\nkept: ") + 1:])[:1]:
        missing = []
    if missing or len(there) > len(kept(done.out)) + 1:
        return f"on the screen {kept(done.out)}, in the log {there}"
    check = tap.perpend("log", "check", "--log", str(log))
    return None if check.status == 0 else f"log check: {check.out}{check.err}"


first = top / "first"
first.mkdir()
shutil.copy(tap.TERN, first)
for name, words, typed in (("new", ["new", "new.yaml"], NEW),
                           ("sweep", ["sweep", "tern.yaml", "--log", "log.sqlite"], SWEEP)):
    faults.Faults(top, words, typed, first).check(t, name, fault_in, 12, statuses=(0,))
shutil.rmtree(top)
t.done()
