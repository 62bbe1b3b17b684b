# SPDX-License-Identifier: GPL-3.0-or-later
"""A folder with a machine file in it, sessions of perpend sweep through a pipe in there, and what is
in their log afterwards."""
import atexit
import os
import shutil
import tempfile

import tap
import talk

# what is typed: how many bearings, then a sweep of four
AS_FOUND = ["4", "1.00", "0.50", "0", "0.50"]
GOOD = ["0.30", "0.30", "0.30", "0.30"]


def fresh_folder(machine=None):
    """A folder of its own until the test ends: with Tern well stocked, or this machine file."""
    folder = tempfile.mkdtemp(prefix="perpend-sweep-")
    atexit.register(shutil.rmtree, folder)
    if machine is None:
        tap.copy_stocked_tern(os.path.join(folder, "tern.yaml"))
    else:
        with open(os.path.join(folder, "machine.yaml"), "w", encoding="utf-8") as file:
            file.write(machine)
    return folder


def tern(**changes):
    """The demo's file with lines changed: a key's line by its beginning; None takes it out."""
    lines = tap.stocked_tern().splitlines()
    for key, line in changes.items():
        lines = [(line if old.startswith(key + ":") else old) for old in lines]
        lines = [old for old in lines if old is not None]
    return "\n".join(lines) + "\n"


def session(folder, *lines, arguments=(), **more):
    """All lines at once; the finished run."""
    return tap.perpend("sweep", "--log", "log.sqlite", *arguments,
                       stdin="".join(line + "\n" for line in lines), cwd=folder, **more)


def log_of(folder):
    return os.path.join(folder, "log.sqlite")


def readings(folder, job=1):
    return [(bearing, round(value, 9)) for _, bearing, value in talk.counted(log_of(folder), job)]


def ask(folder, sql):
    book = talk.look(log_of(folder))
    rows = book.execute(sql).fetchall()
    book.close()
    return rows


def ending_of(folder, job=1):
    return dict(talk.jobs(log_of(folder))).get(job)
