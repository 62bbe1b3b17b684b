#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A session on a full disk and on a read-only one: one line, status 3, and nothing that was acknowledged
is lost; with room again it goes on.

Wants a small file system of its own (small_disk.py); where none is allowed it skips.
"""
import os
import re
import shutil
import tempfile

import small_disk
import tap
import talk

t = small_disk.begin("a session on a full and on a read-only disk")
folder = tempfile.mkdtemp(prefix="perpend-full-")
disk = small_disk.Disk(folder)
shutil.copy(tap.TERN, folder)
log = os.path.join(disk.path, "log.sqlite")
LINE = r"perpend: [^\n]+\n"


def sweep(lines, *arguments):
    return tap.perpend("sweep", "tern.yaml", "--log", log, *arguments,
                       stdin="".join(line + "\n" for line in lines), cwd=folder)


def counted():
    return len(talk.counted(log, 2)) if os.path.exists(log) else 0


# -- a disk that fills up on the way -----------------------------------------------------------
MANY = ["4", "1.00"] + ["again", "1.00"] * 300
results = []
for space in (0, 16, 24, 28, 32, 36, 40, 44, 48, 64, 256):
    disk.mount()
    sweep(["4", "1.00", "0.50", "0", "0.50", "end"])  # the log is there
    disk.leave(space * 1024)
    run = sweep(MANY)
    kept = run.out.count("kept: front")
    full = run.status == 3 and re.fullmatch(LINE, run.err) and "full" in run.err
    if not (full or kept == 301):
        t.ok(False, f"{space} KiB free: one line", f"status {run.status}\n{run.err}")
    os.unlink(disk.filler)
    # one that was kept may have been said to be so only in part
    if not (os.path.exists(log) and os.path.getsize(log)) and kept == 0:
        there = 0
    else:
        there = counted()
    if there != kept:
        t.ok(False, f"{space} KiB free: {kept} acknowledged, {there} in the log")
    again = sweep(["", "0.50", "stop"], *(["--resume"] if there else []))
    if again.status != 1 or (there and "Going on with job 2" not in again.out):
        t.ok(False, f"{space} KiB free: goes on when there is room", again.out + again.err)
    if tap.perpend("log", "check", "--log", log).status != 0:
        t.ok(False, f"{space} KiB free: the log is sound")
    results.append((space, kept))
    disk.unmount()
print("# readings kept by room left:", *(f"{space}k:{kept}" for space, kept in results))
t.ok(any(kept == 0 for _, kept in results), "with no room nothing is acknowledged")
t.ok(any(0 < kept < 301 for _, kept in results), "with some room, so many as fit")
t.equal(len(results), 11, "at every fill of the disk what was acknowledged is in the log")

# -- a disk that is read-only ------------------------------------------------------------------
disk.mount()
sweep(["4", "1.00", "stop"])
disk.remount("ro")
with open(log, "rb") as file:
    before = file.read()
run = sweep(["4", "1.00", "stop"])
t.ok(run.status == 3 and re.fullmatch(LINE, run.err), "a read-only disk: one line, status 3",
     f"{run.status} {run.err}")
t.lacks(run.out, "kept: front", "and nothing is acknowledged")
with open(log, "rb") as file:
    t.equal(file.read(), before, "and the log is as it was")
disk.unmount()
shutil.rmtree(folder)
t.done()
