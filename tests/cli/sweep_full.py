#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A session on a full disk and on a read-only one: one line, status 3, and nothing that was acknowledged
is lost; with room again it goes on.

Wants a small file system of its own, as log_full.py does; where no mounts are allowed it skips.
"""
import os
import re
import shutil
import subprocess
import sys
import tempfile

MARK = "PERPEND_TEST_OWN_MOUNTS"
if MARK not in os.environ:
    for how in (["unshare", "--mount"], ["unshare", "--user", "--map-root-user", "--mount"]):
        probe = subprocess.run([*how, "mount", "-t", "tmpfs", "none", "/mnt"], check=False,
                               capture_output=True)
        if probe.returncode == 0:
            os.execvpe(how[0], [*how, sys.executable, *sys.argv], dict(os.environ, **{MARK: "1"}))

import tap
import talk

t = tap.Tap()
if MARK not in os.environ:
    t.skip("a session on a full and on a read-only disk", "no mounts are allowed here")
    t.done()

folder = tempfile.mkdtemp(prefix="perpend-full-")
disk = os.path.join(folder, "disk")
os.mkdir(disk)
shutil.copy(tap.TERN, folder)
log = os.path.join(disk, "log.sqlite")
LINE = r"perpend: [^\n]+\n"


def mount(*more):
    subprocess.run(["mount", "-t", "tmpfs", "-o", ",".join(["size=2m,mode=0755", *more]), "none",
                    disk], check=True)


def unmount():
    subprocess.run(["umount", "--lazy", disk], check=True)


def leave(space):
    status = os.statvfs(disk)
    with open(os.path.join(disk, "filler"), "wb") as out:
        out.write(b"\0" * max(status.f_bavail * status.f_frsize - space, 0))


def sweep(lines, *arguments):
    return tap.perpend("sweep", "tern.yaml", "--log", log, *arguments,
                       stdin="".join(line + "\n" for line in lines), cwd=folder)


def counted():
    return len(talk.counted(log, 1)) if os.path.exists(log) else 0


# -- a disk that fills up on the way -----------------------------------------------------------
MANY = ["4", "1.00"] + ["again", "1.00"] * 300
results = []
for space in (0, 16, 48, 80, 96, 112, 128, 160, 192, 256, 320):
    mount()
    leave(space * 1024)
    run = sweep(MANY)
    kept = run.out.count("kept: front")
    full = run.status == 3 and re.fullmatch(LINE, run.err) and "full" in run.err
    if not (full or kept == 301):
        t.ok(False, f"{space} KiB free: one line", f"status {run.status}\n{run.err}")
    os.unlink(os.path.join(disk, "filler"))
    # one that was kept may have been said to be so only in part
    if not (os.path.exists(log) and os.path.getsize(log)) and kept == 0:
        there = 0
    else:
        there = counted()
    if there != kept:
        t.ok(False, f"{space} KiB free: {kept} acknowledged, {there} in the log")
    again = sweep(["", "0.50", "stop"], *(["--resume"] if there else []))
    if again.status != 1 or (there and "Going on with job 1" not in again.out):
        t.ok(False, f"{space} KiB free: goes on when there is room", again.out + again.err)
    if tap.perpend("log", "check", "--log", log).status != 0:
        t.ok(False, f"{space} KiB free: the log is sound")
    results.append((space, kept))
    unmount()
print("# readings kept by room left:", *(f"{space}k:{kept}" for space, kept in results))
t.ok(any(kept == 0 for _, kept in results), "with no room nothing is acknowledged")
t.ok(any(0 < kept < 301 for _, kept in results), "with some room, so many as fit")
t.equal(len(results), 11, "at every fill of the disk what was acknowledged is in the log")

# -- a disk that is read-only ------------------------------------------------------------------
mount()
sweep(["4", "1.00", "stop"])
subprocess.run(["mount", "-o", "remount,ro", disk], check=True)
with open(log, "rb") as file:
    before = file.read()
run = sweep(["4", "1.00", "stop"])
t.ok(run.status == 3 and re.fullmatch(LINE, run.err), "a read-only disk: one line, status 3",
     f"{run.status} {run.err}")
t.lacks(run.out, "kept: front", "and nothing is acknowledged")
with open(log, "rb") as file:
    t.equal(file.read(), before, "and the log is as it was")
run = tap.perpend("new", os.path.join(disk, "machine.yaml"), stdin="\n" * 40, cwd=folder)
t.ok(run.status == 3 and re.fullmatch(LINE, run.err), "new on a read-only disk: one line, status 3",
     f"{run.status} {run.err}")
unmount()

# -- a machine file on a full disk -------------------------------------------------------------
mount()
leave(0)
run = tap.perpend("new", os.path.join(disk, "machine.yaml"), stdin="\n" * 40, cwd=folder)
t.ok(run.status == 3 and re.fullmatch(LINE, run.err), "new on a full disk: one line, status 3",
     f"{run.status} {run.err}")
t.equal(os.listdir(disk), ["filler"], "and nothing is left behind")
unmount()
shutil.rmtree(folder)
t.done()
