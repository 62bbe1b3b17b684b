# SPDX-License-Identifier: GPL-3.0-or-later
"""What the tests of the log share. They are called with perpend, the project's top folder, the
program that fills a log and the one that solves a job straight from it."""
import os
import pathlib
import shutil
import sqlite3
import subprocess
import sys
import tempfile

import tap

FILL, SOLVE = (os.path.abspath(path) for path in sys.argv[3:5])

INCHES = """perpend: 1
machine: Gull
unit: in
arm: 3
gauge: {kind: dial, step: 0.0005, rises: toward}
cutter: {diameter: 7/8}
facing: {stepover: 45%, along: Y, depth: 0.01}
goal: {ridge: 0.001}
bed: as found
mount:
  - joint: side plate
    faces: right
    allows: [shim, slide]
    bolts:
      - {name: upper, at: [1, 1.5, 8], thread: M5}
      - {name: "lower, front", at: [1, -1.5, 5], thread: M5}
      - {name: lower back, at: [1, 3.5, 5], thread: M5}
"""


class Folder:
    """A folder of the test's own, with a log in it."""

    def __init__(self):
        self.path = pathlib.Path(tempfile.mkdtemp(prefix="perpend-"))
        self.log = str(self.path / "log.sqlite")
        self.env = tap.environment(XDG_DATA_HOME=self.path / "data")

    def perpend(self, *words, **more):
        more.setdefault("env", self.env)
        return tap.perpend(*words, **more)

    def run(self, part, *words, **more):
        """perpend log PART ... on the folder's log."""
        return self.perpend("log", part, *words, "--log", self.log, **more)

    def fill(self, jobs, seed=1, machine=tap.TERN):
        subprocess.run([FILL, self.log, machine, str(jobs), str(seed), "quick"], check=True,
                       env=self.env)

    def sql(self, *statements):
        """Ask the log itself, or do to it what it would not let anybody do."""
        with sqlite3.connect(self.log) as connection:
            rows = [connection.execute(statement).fetchall() for statement in statements]
        connection.close()
        return rows[-1]

    def close(self):
        shutil.rmtree(self.path)


def one_line(t, run, status, parts, name):
    """One line on standard error that says these things, nothing on standard output."""
    good = (run.status in (status if isinstance(status, tuple) else (status,)) and run.out == ""
            and run.err.startswith("perpend: ") and run.err.count("\n") == 1
            and run.err.endswith("\n") and all(part in run.err for part in parts))
    return t.ok(good, name, f"status {run.status}, want {status} and {parts}\nout: {run.out}\n"
                            f"err: {run.err}")
