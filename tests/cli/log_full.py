#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A full disk and a read-only one: one line, nothing accepted is lost, nothing is half written.

Wants a small file system of its own (small_disk.py); where none is allowed it says so and skips.
"""
import os
import subprocess
import sys

import log_tools
import small_disk
import tap

t = small_disk.begin("the log on a full and on a read-only disk")

folder = log_tools.Folder()
disk = small_disk.Disk(folder.path)
folder.log = os.path.join(disk.path, "log.sqlite")
NOTES = "SELECT count(*) FROM note WHERE text LIKE 'note %'"


def one_line(run, status, part):
    return (run.status == status and run.out == "" and run.err.count("\n") == 1
            and run.err.startswith("perpend: " + folder.log) and part in run.err)


# -- a note, with less and less room -----------------------------------------------------------
results = []
disk.mount()
folder.fill(2)
with open(folder.log, "rb") as file:
    before = file.read()
disk.unmount()
for space in (0, 4, 16, 32, 36, 40, 44, 48, 52, 56, 60, 64, 68, 72, 80, 96, 128):
    space *= 1024
    disk.mount()
    with open(folder.log, "wb") as file:
        file.write(before)
    disk.leave(space)
    kept, run = 0, None
    for i in range(60):
        run = folder.run("note", "1", f"note {i} " + "x" * 1900)
        if run.status != 0:
            break
        kept += 1
    if run.status != 0 and not one_line(run, 3, "disk is full"):
        t.ok(False, f"{space} bytes free: one line", f"status {run.status}\n{run.out}{run.err}")
    os.unlink(disk.filler)
    if kept == 0:
        with open(folder.log, "rb") as file:
            if file.read() != before:
                t.ok(False, f"{space} bytes free: the file is as it was")
    there = folder.sql(NOTES)[0][0]
    if there != kept:
        t.ok(False, f"{space} bytes free: {kept} accepted, {there} there")
    if folder.run("check", "--quick").status != 0 or folder.run("note", "1", "again").status != 0:
        t.ok(False, f"{space} bytes free: sound, and goes on when there is room")
    results.append((space, kept))
    disk.unmount()
print("# notes kept by room left:", *(f"{space // 1024}k:{kept}" for space, kept in results))
t.ok(any(kept == 0 for _, kept in results), "some are refused at once")
t.ok(any(kept > 0 for _, kept in results), "some fit before the disk is full")
t.equal(len(results), 17, "every note accepted is there, at every fill of the disk")

# -- reading on a full disk --------------------------------------------------------------------
disk.mount()
folder.fill(3)
disk.leave(0)
for words in (["list"], ["show", "2"], ["export", "--all"], ["check"]):
    run = folder.run(*words)
    t.ok(run.status == 0 and run.out and not run.err, f"log {words[0]} on a full disk",
         f"{run.status} {run.err}")
run = folder.perpend("report", "2", "--log", folder.log, "--output", str(folder.path / "job.txt"))
t.ok(run.status in (0, 1) and not run.err and (folder.path / "job.txt").stat().st_size > 0, "a report on a full disk", f"{run.status} {run.err}")
run = folder.run("backup", os.path.join(disk.path, "copy"))
t.ok(run.status == 3 and run.err.count("\n") == 1, "a backup that does not fit gives one line", run.err)
t.ok(not [name for name in os.listdir(disk.path) if name.startswith("copy")], "and leaves nothing behind",
     os.listdir(disk.path))
disk.unmount()

# -- a log begun on a full disk ----------------------------------------------------------------
for space in (0, 4096, 16384, 65536):
    disk.mount()
    disk.leave(space)
    run = folder.perpend("sweep", tap.TERN, "--log", folder.log, stdin="1.00\n0.50\n0\n0.50\n")
    t.ok(run.status == 3 and run.err.count("\n") == 1 and "full" in run.err,
         f"a log begun with {space} bytes free: one line", f"{run.status}: {run.err}")
    t.ok(not os.path.exists(folder.log) or os.path.getsize(folder.log) == 0 or folder.run("check").status == 0,
         "and no half a log", os.listdir(disk.path))
    t.ok(not [name for name in os.listdir(disk.path) if "sqlite-" in name], "nothing half made is left",
         os.listdir(disk.path))
    disk.leave(0)
    os.unlink(disk.filler)
    run = folder.perpend("sweep", tap.TERN, "--log", folder.log, stdin="1.00\n0.50\n0\n0.50\n")
    t.ok(run.status in (0, 1) and folder.run("check").status == 0, "and it begins once there is room", run.err)
    disk.unmount()

# -- a read-only disk --------------------------------------------------------------------------
disk.mount("4m")
folder.fill(3)
disk.remount("ro")
elsewhere = str(folder.path / "copy.sqlite")
for words in (["list"], ["show", "2"], ["export", "--all"], ["check"], ["backup", elsewhere]):
    run = folder.run(*words)
    t.equal((run.status, run.err), (0, ""), f"log {words[0]} on a read-only disk")
t.equal(folder.perpend("log", "check", "--log", elsewhere).status, 0, "the backup is sound")
run = folder.run("note", "1", "was here")
t.ok(one_line(run, 3, "") and ("read-only" in run.err or "permissions" in run.err),
     "a note: one line", run.err)
run = folder.perpend("sweep", tap.TERN, "--log", folder.log, stdin="1.00\n0.50\n0\n0.50\n")
t.ok(run.status == 3 and run.err.count("\n") == 1, "a session: one line", run.err)
disk.unmount()

# a process that dies in the midst of an entry, on a disk that then becomes read-only
disk.mount("4m")
folder.fill(1)
writer = subprocess.Popen([sys.executable, "-c", f"""
import os, sqlite3
connection = sqlite3.connect({folder.log!r}, isolation_level=None)
connection.execute("PRAGMA cache_size = 1")
connection.execute("BEGIN")
for i in range(100):
    connection.execute("INSERT INTO note (machine, job, kind, text) VALUES (1, 1, 'note', ?)",
                       ("half an entry " + "x" * 2000,))
os.kill(os.getpid(), 9)
"""])
writer.wait()
t.ok(os.path.getsize(folder.log + "-journal") > 0, "a kill leaves what was before beside the file")
disk.remount("ro")
t.ok(one_line(folder.run("show", "1"), 3, "-journal"), "half an entry is not taken for one",
     folder.run("show", "1").err)
disk.remount("rw")
run = folder.run("show", "1")
t.ok(run.status == 0 and "half an entry" not in run.out, "and is taken back where that can be written", run.err)
t.equal(sorted(os.listdir(disk.path)), ["log.sqlite"], "which leaves nothing beside the log")
disk.unmount()
folder.close()
t.done()
