#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A session that runs out of memory: at allocations drawn at random, once or from there on, it either
goes on or ends with one line and status 3, never in a crash, and what it said to be kept is in the log.
Called with the command, the project's folder and the allocator to preload.
"""
import concurrent.futures
import os
import pathlib
import random
import re
import shutil
import subprocess
import sys
import tempfile

import tap
import talk

ALLOCATOR = os.path.abspath(sys.argv[3])
SEED = 7
DRAWS = 40
t = tap.Tap()
top = pathlib.Path(tempfile.mkdtemp(prefix="perpend-memory-"))
SWEEP = "\n".join(["4", "1.00", "0.50", "0", "left 0.55", "undo", "0.50", "other", "", "0.5", "0.5", "", "",
                   "no", "0.3", "again", "0.3", "note dusty", "0.3", "0.3", "0.3", "nothing", "undo", "more",
                   "0.3", "0.3", "0.3", "0.3", "end"]) + "\n"
NEW = "Tern\n" + "\n" * 19 + "0.05 x 8 brass\n\n\n"


def run(command, at=0, onward=False, count=None):
    folder = pathlib.Path(tempfile.mkdtemp(dir=top))
    shutil.copy(tap.TERN, folder)
    changes = {"LD_PRELOAD": ALLOCATOR, "FAIL_AT": at}
    if onward:
        changes["FAIL_ON"] = 1
    if count:
        changes["FAIL_COUNT"] = count
    arguments = ["tern.yaml", "--log", "log.sqlite"] if command == "sweep" else ["new.yaml"]
    done = tap.Run(subprocess.run(
        [tap.PERPEND, command, *arguments], input=(SWEEP if command == "sweep" else NEW).encode(),
        capture_output=True, env=tap.environment(**changes), cwd=folder, timeout=120, check=False))
    done.folder = folder
    return done


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


def fault_in(command, done, whole):
    """What is wrong with a run, or None."""
    if done.status not in (0, 1, 3):
        return f"status {done.status}: {done.err[:200]}"
    if done.status == 3 and not re.fullmatch(r"perpend: [^\n]+\n", done.err):
        return f"more or less than one line: {done.err[:300]!r}"
    if done.status != 3 and (done.status != whole.status or done.err):
        return f"status {done.status} and not the end: {done.err[:200]} {done.out[-200:]}"
    if command == "new":
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
    if not log.exists():
        return "kept without a log" if kept(done.out) else None
    there = sorted((at, value) for _, at, value in talk.counted(log, 1))
    missing = [one for one in kept(done.out) if one not in there]
    if missing or len(there) > len(kept(done.out)) + 1:
        return f"on the screen {kept(done.out)}, in the log {there}"
    check = tap.perpend("log", "check", "--log", str(log))
    return None if check.status == 0 else f"log check: {check.out}{check.err}"


for command in ("new", "sweep"):
    count = top / "count"
    whole = run(command, count=count)
    allocations = int(count.read_text())
    t.ok(whole.status == 0 and allocations > 100, f"{command} makes {allocations} allocations",
         whole.err)
    chance = random.Random(SEED)
    for onward in (False, True):
        points = sorted(chance.sample(range(1, allocations + 1), DRAWS))
        with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
            runs = list(pool.map(lambda at: run(command, at, onward), points))
        bad = [(at, fault) for at, done in zip(points, runs)
               if (fault := fault_in(command, done, whole)) is not None]
        refused = sum(done.status == 3 for done in runs)
        t.ok(not bad, f"{command}: memory out {'from' if onward else 'at'} {DRAWS} points (seed {SEED}), "
                      f"{refused} refused", "\n".join(map(str, bad[:10])))
        t.ok(refused > 0, f"{command}: some are refused")
shutil.rmtree(top)
t.done()
