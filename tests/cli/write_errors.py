#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Nothing that is written gets lost in silence: each command and form, onto an output that takes nothing
and into a file that cannot be made. One line and status 3; nothing half written, what was there stays.
"""
import os
import re
import resource
import shutil
import subprocess

import log_tools
import small_disk
import talk
import tap

MOUNTS = small_disk.enter()
t = tap.Tap()
folder = log_tools.Folder()
folder.fill(2)
LOG = folder.log
shutil.copy(tap.TERN, folder.path / "tern.yaml")
shutil.copy(tap.AS_FOUND, folder.path / "readings.yaml")
(folder.path / "board.csv").write_text("x,y,reading\n0,0,1\n300,0,1.1\n0,300,1.2\n300,300,1.25\n")
FILES = ["tern.yaml", "readings.yaml"]
ENTERS = tap.NEW_MACHINE + "\n" * 3
SESSION = "4\n1.00\n0.50\n0\n0.50\nend\n"
RIDGE = ["ridge", "--lean", "2", "--bit", "22", "--stepover", "10"]

# -- standard output ---------------------------------------------------------------------------
# Everything that prints: words, what is typed.
PRINTING = [
    ([], ""),
    (["--help"], ""),
    (["--version"], ""),
    (["help"], ""),
    (["help", "solve"], ""),
    (["solve", "--help"], ""),
    (["solve", *FILES], ""),
    (["solve", *FILES, "--json"], ""),
    (["solve", *FILES, "--ascii", "--more"], ""),
    ([*RIDGE], ""),
    ([*RIDGE, "--json"], ""),
    (["board", "survey", "tern.yaml", "board.csv"], ""),
    (["board", "survey", "tern.yaml", "board.csv", "--json"], ""),
    (["new", "made.yaml"], ENTERS),
    (["new", "made.yaml"], ""),
    (["sweep", "tern.yaml", "--log", "new.sqlite"], SESSION),
    (["sweep", "tern.yaml", "--log", "new.sqlite"], ""),
    (["log", "--log", LOG], ""),
    (["log", "list", "--log", LOG], ""),
    (["log", "show", "--log", LOG], ""),
    (["log", "note", "1", "seen", "--log", LOG], ""),
    (["log", "export", "1", "--log", LOG], ""),
    *((["log", "export", "1", "--format", form, "--log", LOG], "")
      for form in ("jsonl", "csv", "job", "machine")),
    (["log", "export", "--all", "--log", LOG], ""),
    (["log", "check", "--log", LOG], ""),
    (["log", "backup", "copy.sqlite", "--log", LOG], ""),
    *((["report", "--from", *FILES, "--format", form, "--output", "-"], "")
      for form in ("html", "pdf", "text")),
    *((["report", "--log", LOG, "--format", form, "--output", "-"], "")
      for form in ("html", "pdf", "text")),
    (["report", "--from", *FILES, "--output", "told.txt"], ""),
]
FULL, GONE, CLOSED = "No space left on device", "Broken pipe", "Bad file descriptor"


def lost(words, typed, cause):
    """A run whose standard output takes nothing."""
    more = {}
    if cause == CLOSED:
        more["preexec_fn"] = lambda: os.close(1)
        out = None
    elif cause == FULL:
        out = os.open("/dev/full", os.O_WRONLY)
    else:
        read_end, out = os.pipe()
        os.close(read_end)
    done = subprocess.run([tap.PERPEND, *words], input=typed.encode(), stdout=out,
                          stderr=subprocess.PIPE, cwd=folder.path, env=folder.env, timeout=60,
                          check=False, **more)
    if out is not None:
        os.close(out)
    for name in ("made.yaml", "new.sqlite", "new.sqlite-journal", "copy.sqlite",
                 "told.txt"):
        (folder.path / name).unlink(missing_ok=True)
    return done.returncode, done.stderr.decode()


def check_output():
    for words, typed, cause in tap.some([(*row, cause) for row in PRINTING for cause in (FULL, GONE, CLOSED)], 4):
        name = " ".join(["perpend", *words]).replace(LOG, "LOG")
        name += ", answered" if typed else ""
        if cause == FULL and not os.path.exists("/dev/full"):
            t.skip(f"{name}: {cause}", "no /dev/full here")
            continue
        want = (3, f"perpend: standard output: {cause}; the answer is not complete\n")
        t.equal(lost(words, typed, cause), want, f"{name}: {cause}")


def check_reader_that_goes():
    """The reader of a session reads no further than its second reading."""
    run = talk.Talk("sweep", "tern.yaml", "--log", "gone.sqlite", cwd=folder.path, env=folder.env)
    run.say("4", "1.00", "0.50")
    run.question()
    run.process.stdout.close()
    run.process.stdin.write(b"0\n0.50\n0.33\nend\n")
    run.process.stdin.close()
    status = run.process.wait(60)
    run.errors.seek(0)
    t.equal((status, run.errors.read()),
            (3, b"perpend: standard output: Broken pipe; the answer is not complete\n"),
            "a reader that goes in the middle of a session")
    values = [value for _, _, value in talk.counted(folder.path / "gone.sqlite", 1)]
    t.ok(values in ([1.0, 0.5], [1.0, 0.5, 0.0]), "what was acknowledged is kept, and no more is taken",
         values)
    (folder.path / "gone.sqlite").unlink()


# -- files -------------------------------------------------------------------------------------
# Everything that makes a file FILE: a name for it, words, what is typed.
MAKING = [
    ("made.yaml", ["new", "FILE"], ENTERS),
    ("session.sqlite", ["sweep", "tern.yaml", "--log", "FILE"], SESSION),
    ("copy.sqlite", ["log", "backup", "FILE", "--force", "--log", LOG], ""),
    *((f"picture.{form}", ["solve", *FILES, "--picture", "FILE"], "") for form in ("svg", "png", "pdf")),
    *((f"ridge.{form}", [*RIDGE, "--picture", "FILE"], "") for form in ("svg", "png", "pdf")),
    *((f"job.{form}", ["report", "--from", *FILES, "--output", "FILE", "--force"], "")
      for form in ("html", "pdf", "txt")),
    *((f"logged.{form}", ["report", "1", "--log", LOG, "--output", "FILE", "--force"], "")
      for form in ("html", "pdf", "txt")),
]


def listing():
    """Everything in the test's folder but what a reader of the log may leave beside it, and a log not begun:
    an empty one."""
    return {str(path): path.read_bytes() if path.is_file() else None
            for path in sorted(folder.path.rglob("*"))
            if not path.name.startswith(("log.sqlite-", "filler")) and "data" not in path.parts
            and not (path.name == "session.sqlite" and path.stat().st_size == 0)}


def refused(where, file, words, typed, limit=None, status=3, line=None, way=()):
    """It ends with one line that names the file (or this line), this status, and all is as it was."""
    before = listing()
    words = [file if word == "FILE" else word for word in words]

    def limited():
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    done = subprocess.run([*way, tap.PERPEND, *words], input=typed.encode(), capture_output=True,
                          cwd=folder.path, env=folder.env, timeout=60, check=False,
                          preexec_fn=None if limit is None else limited)
    if line is None:
        line = rf"{re.escape(file)}: [^\n]+; [^\n]+"
    name = f"{where}: {' '.join(['perpend', *words])}".replace(LOG, "LOG")
    t.ok(done.returncode == status
         and re.fullmatch(rf"perpend: {line}\n", done.stderr.decode()),
         f"{name}: one line", f"status {done.returncode}\n{done.stderr.decode()}")
    after = listing()
    t.ok(before == after, f"{name}: nothing is left or lost", sorted(set(after) ^ set(before)))


def check_files():
    (folder.path / "taken").mkdir()
    # the leaves are still in as the log says
    refused("a log that may not grow", LOG, ["sweep", "tern.yaml", "--log", "FILE"], "yes\n" + SESSION, limit=0)
    for name, words, typed in tap.some(MAKING):
        refused("no such folder", f"nowhere/{name}", words, typed)
        refused("a file for a folder", f"readings.yaml/{name}", words, typed)
        # the log's own files cannot be made then either
        refused("a file that may not grow", name, words, typed, limit=0,
                line=rf"({re.escape(name)}|{re.escape(LOG)}): [^\n]+; [^\n]+")
        (folder.path / "taken" / name).mkdir()
        # new asks for another name until its input ends
        line = "standard input ended [^\n]+; [^\n]+" if words[0] == "new" else None
        refused("a directory there", f"taken/{name}", words, typed, status=2, line=line)
        if words[0] == "sweep":
            continue
        (folder.path / "taken" / f"link-{name}").symlink_to("nowhere")
        os.mkfifo(folder.path / "taken" / f"pipe-{name}")
        for kind in ("link", "pipe"):
            refused(f"a {kind} there", f"taken/{kind}-{name}", words, typed, status=2, line=line)


def check_locked():
    locked = folder.path / "locked"
    locked.mkdir()
    locked.chmod(0o555)
    # who may write everywhere gives that up
    way = ["setpriv", "--bounding-set=-dac_override"] if os.access(locked, os.W_OK) else []
    for name, words, typed in tap.some(MAKING):
        refused("a folder without permission", f"locked/{name}", words, typed, way=way)
    locked.chmod(0o755)


def check_disks():
    if not MOUNTS:
        t.skip("files on a full and on a read-only disk", "no mounts are allowed here")
        return
    disk = small_disk.Disk(folder.path)
    for where in ("a full disk", "a read-only disk"):
        disk.mount()
        for name, _, _ in MAKING:
            (folder.path / "disk" / f"old-{name}").write_text("precious")
        if where == "a full disk":
            disk.leave(0)
        else:
            disk.remount("ro")
        for name, words, typed in tap.some(MAKING):
            refused(where, f"disk/{name}", words, typed)
            if words[0] not in ("new", "sweep"):
                refused(f"{where}, in the place of another", f"disk/old-{name}", words, typed)
        disk.unmount()


check_output()
check_reader_that_goes()
check_files()
check_locked()
check_disks()
folder.close()
t.done()
