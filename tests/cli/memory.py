# SPDX-License-Identifier: GPL-3.0-or-later
"""Out of memory at every single allocation of `solve`: one clear line and status 3, or the full
answer where the allocation was not vital; never a crash, never half an answer. Called with the
command, the project's folder and the allocator to preload."""
import concurrent.futures
import os
import pathlib
import subprocess
import sys
import tempfile

import tap

ALLOCATOR = sys.argv[3]


def solve(*options, at=0, onward=False, count=None):
    changes = {"LD_PRELOAD": ALLOCATOR, "FAIL_AT": at}
    if onward:
        changes["FAIL_ON"] = 1
    if count:
        changes["FAIL_COUNT"] = count
    done = subprocess.run([tap.PERPEND, "solve", *options, tap.TERN, tap.AS_FOUND],
                          capture_output=True, env=tap.environment(**changes), timeout=60,
                          check=False)
    return tap.Run(done)


def refused(run):
    return run.status == 3 and run.out == "" and run.err.count("\n") == 1 and \
        run.err.startswith("perpend: ") and "memory" in run.err


def main():
    t = tap.Tap()
    for options in [(), ("--json",)]:
        with tempfile.TemporaryDirectory() as folder:
            count = pathlib.Path(folder) / "count"
            whole = solve(*options, count=count)
            allocations = int(count.read_text())
        name = " ".join(("solve", *options))
        t.ok(whole.status == 1 and allocations > 50, f"{name} makes {allocations} allocations")
        refusals = 0
        for onward in (False, True):
            bad = []
            points = range(1, allocations + 1)
            with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
                runs = pool.map(lambda at: solve(*options, at=at, onward=onward), points)
            for at, run in zip(points, runs):
                refusals += refused(run)
                same = run.status == whole.status and run.bytes == whole.bytes and not run.err
                if not (refused(run) or same):
                    bad.append((at, run.status, run.out[:80], run.err[:200]))
            t.ok(not bad, f"{name}: {'from' if onward else 'at'} each of {allocations} points, a "
                          "clear line or the whole answer", "\n".join(map(str, bad[:10])))
        t.ok(refusals > 50, f"{name}: {refusals} of the runs were refused")
    t.done()


main()
