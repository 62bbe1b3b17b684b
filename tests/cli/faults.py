# SPDX-License-Identifier: GPL-3.0-or-later
"""What the tests share that let something fail under the program: a preloaded memory (failing_allocator.c)
or disk (failing_writes.c), which refuses call number FAIL_AT, or all from there on."""
import concurrent.futures
import os
import pathlib
import random
import shutil
import subprocess
import sys
import tempfile

import tap

PRELOADED = os.path.abspath(sys.argv[3])
SEED = 7


class Faults:
    """Runs of one command, each in a new copy of the folder FIRST."""

    def __init__(self, top, words, typed="", first=None, **env):
        self.top, self.words, self.typed, self.first, self.env = top, words, typed, first, env

    def run(self, at=0, onward=False, count=None):
        folder = pathlib.Path(tempfile.mkdtemp(dir=self.top))
        if self.first:
            shutil.copytree(self.first, folder, dirs_exist_ok=True)
        env = tap.environment(LD_PRELOAD=PRELOADED, FAIL_AT=at, FAIL_ON=1 if onward else None,
                              FAIL_COUNT=count, **self.env)
        done = tap.Run(subprocess.run([tap.PERPEND, *self.words], input=self.typed.encode(),
                                      capture_output=True, env=env, cwd=folder, timeout=300, check=False))
        done.folder = folder
        return done

    def check(self, t, name, fault_in, fewest, most=60, statuses=(0, 1)):
        """fault_in(run, whole) is None wherever it fails: at the first and the last call, and at a share of
        those between: of `most` of them, and `fewest` at least."""
        count = self.top / "count"
        whole = self.run(count=count)
        calls = int(count.read_text())
        t.ok(whole.status in statuses and not whole.err and calls >= 3, f"{name}: {calls} calls", whole.err)
        chance = random.Random(SEED)
        for onward in (False, True):
            between = min(tap.cases(most, fewest), calls - 2)
            points = [1, *sorted(chance.sample(range(2, calls), between)), calls]
            with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
                runs = list(pool.map(lambda at: self.run(at, onward), points))
            bad = [(at, fault) for at, done in zip(points, runs) if (fault := fault_in(done, whole))]
            refused = sum(done.status == 3 for done in runs)
            t.ok(not bad, f"{name}: fails {'from' if onward else 'at'} {len(points)} points (seed {SEED}), "
                          f"{refused} refused", "\n".join(map(str, bad[:10])))
            t.ok(refused > 0, f"{name}: some are refused")
            for done in runs:
                shutil.rmtree(done.folder)
        shutil.rmtree(whole.folder)
