#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A full disk and a read-only one: one line, nothing accepted is lost, nothing is half written.

Wants a small file system of its own: a tmpfs in a mount namespace, as root or in a user namespace.
Where neither is allowed it says so and skips.
"""
import os
import subprocess
import sys

MARK = "PERPEND_TEST_OWN_MOUNTS"
if MARK not in os.environ:
    for how in (["unshare", "--mount"], ["unshare", "--user", "--map-root-user", "--mount"]):
        probe = subprocess.run([*how, "mount", "-t", "tmpfs", "none", "/mnt"], check=False,
                               capture_output=True)
        if probe.returncode == 0:
            os.execvpe(how[0], [*how, sys.executable, *sys.argv], dict(os.environ, **{MARK: "1"}))

import log_tools
import tap

t = tap.Tap()
if MARK not in os.environ:
    t.skip("the log on a full and on a read-only disk", "no mounts are allowed here")
    t.done()

folder = log_tools.Folder()
disk = folder.path / "disk"
disk.mkdir()
folder.log = str(disk / "log.sqlite")
FILLER = disk / "filler"
NOTES = "SELECT count(*) FROM note WHERE text LIKE 'note %'"


def mount(size="2m"):
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size},mode=0755", "none", str(disk)],
                   check=True)


def unmount():
    subprocess.run(["umount", "--lazy", str(disk)], check=True)


def free():
    status = os.statvfs(disk)
    return status.f_bavail * status.f_frsize


def leave(space):
    """Fill the disk up but for so many bytes."""
    with open(FILLER, "wb") as out:
        out.write(b"\0" * max(free() - space, 0))


def one_line(run, status, part):
    return (run.status == status and run.out == "" and run.err.count("\n") == 1
            and run.err.startswith("perpend: " + folder.log) and part in run.err)


# -- a note, with less and less room -----------------------------------------------------------
results = []
mount()
folder.fill(2)
with open(folder.log, "rb") as file:
    before = file.read()
unmount()
for space in (0, 4, 16, 32, 36, 40, 44, 48, 52, 56, 60, 64, 68, 72, 80, 96, 128):
    space *= 1024
    mount()
    with open(folder.log, "wb") as file:
        file.write(before)
    leave(space)
    kept, run = 0, None
    for i in range(60):
        run = folder.run("note", "1", f"note {i} " + "x" * 4000)
        if run.status != 0:
            break
        kept += 1
    if run.status != 0 and not one_line(run, 3, "disk is full"):
        t.ok(False, f"{space} bytes free: one line", f"status {run.status}\n{run.out}{run.err}")
    os.unlink(FILLER)
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
    unmount()
print("# notes kept by room left:", *(f"{space // 1024}k:{kept}" for space, kept in results))
t.ok(any(kept == 0 for _, kept in results), "some are refused at once")
t.ok(any(kept > 0 for _, kept in results), "some fit before the disk is full")
t.equal(len(results), 17, "every note accepted is there, at every fill of the disk")

# -- reading on a full disk --------------------------------------------------------------------
mount()
folder.fill(3)
leave(0)
for words in (["list"], ["show", "2"], ["export", "--all"]):
    run = folder.run(*words)
    t.ok((run.status == 0 and run.out and not run.err) or one_line(run, 3, "disk is full"),
         f"log {words[0]} on a full disk works or gives one line", f"{run.status} {run.err}")
run = folder.run("backup", str(disk / "copy"))
t.ok(run.status == 3 and run.err.count("\n") == 1, "a backup that does not fit gives one line", run.err)
t.ok(not [name for name in os.listdir(disk) if name.startswith("copy")], "and leaves nothing behind",
     os.listdir(disk))
unmount()

# -- a log begun on a full disk ----------------------------------------------------------------
for space in (0, 4096, 16384, 65536):
    mount()
    leave(space)
    run = folder.perpend("sweep", tap.TERN, "--log", folder.log, stdin="1.00\n0.50\n0\n0.50\n")
    t.ok(run.status == 3 and run.err.count("\n") == 1 and "full" in run.err,
         f"a log begun with {space} bytes free: one line", f"{run.status}: {run.err}")
    t.ok(not os.path.exists(folder.log) or folder.run("check").status == 0,
         "and no half a log", os.listdir(disk))
    t.ok(not [name for name in os.listdir(disk) if ".new-" in name], "nothing half made is left",
         os.listdir(disk))
    unmount()

# -- a read-only disk --------------------------------------------------------------------------
mount("4m")
folder.fill(3)
subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
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
unmount()

# entries that are still in the file beside it, on a disk that became read-only
mount("4m")
folder.fill(1)
writer = subprocess.Popen([sys.executable, "-c", f"""
import os, sqlite3
connection = sqlite3.connect({folder.log!r}, isolation_level=None)
connection.execute("INSERT INTO note (machine, job, kind, text, at, at_offset) VALUES "
                   "(1, 1, 'note', 'late entry', '2026-01-01T00:00:00Z', 0)")
os.kill(os.getpid(), 9)
"""])
writer.wait()
t.ok(os.path.getsize(folder.log + "-wal") > 0, "a kill leaves entries beside the file")
subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
t.contains(folder.run("show", "1").out, "late entry", "with its index there they are read")
subprocess.run(["mount", "-o", "remount,rw", str(disk)], check=True)
os.unlink(folder.log + "-shm")
subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
t.ok(one_line(folder.run("show", "1"), 3, "-wal"), "without it they are not missed in silence",
     folder.run("show", "1").err)
subprocess.run(["mount", "-o", "remount,rw", str(disk)], check=True)
t.contains(folder.run("show", "1").out, "late entry", "and nothing is lost")
unmount()
folder.close()
t.done()
