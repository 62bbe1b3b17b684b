# SPDX-License-Identifier: GPL-3.0-or-later
"""Out of memory at every single allocation of `solve` and `ridge`, and at many of the log's parts: one
clear line and status 3, or the full answer where the allocation was not vital; never a crash, never half
an answer. Called with the command, the project's folder and the allocator to preload; `all` behind them
tries every allocation of the log's parts as well, which takes minutes."""
import concurrent.futures
import os
import pathlib
import subprocess
import sys
import tempfile

import tap

ALLOCATOR = sys.argv[3]
MOST = None if sys.argv[4:] == ["all"] else 50


def perpend(words, at=0, onward=False, count=None):
    changes = {"LD_PRELOAD": ALLOCATOR, "FAIL_AT": at}
    if onward:
        changes["FAIL_ON"] = 1
    if count:
        changes["FAIL_COUNT"] = count
    done = subprocess.run([tap.PERPEND, *words], capture_output=True,
                          env=tap.environment(**changes), timeout=60, check=False)
    return tap.Run(done)


def refused(run):
    return run.status == 3 and run.out == "" and run.err.count("\n") == 1 and \
        run.err.startswith("perpend: ") and "memory" in run.err


def starve(t, name, words, status, most=None):
    """Let allocations fail one by one, and all from one on; at most so many points of each."""
    with tempfile.TemporaryDirectory() as folder:
        count = pathlib.Path(folder) / "count"
        whole = perpend(words, count=count)
        allocations = int(count.read_text())
    t.ok(whole.status == status and allocations > 50, f"{name} makes {allocations} allocations",
         whole.err)
    points = range(1, allocations + 1, 1 if most is None else allocations // most + 1)
    refusals = 0
    for onward in (False, True):
        bad = []
        with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
            runs = pool.map(lambda at: perpend(words, at=at, onward=onward), points)
        for at, run in zip(points, runs):
            refusals += refused(run)
            same = run.status == whole.status and run.bytes == whole.bytes and not run.err
            if not (refused(run) or same):
                bad.append((at, run.status, run.out[:80], run.err[:200]))
        t.ok(not bad, f"{name}: {'from' if onward else 'at'} each of {len(points)} points, a clear "
                      "line or the whole answer", "\n".join(map(str, bad[:10])))
    t.ok(refusals > 50, f"{name}: {refusals} of the runs were refused")


RIDGE = ["ridge", "--machine", tap.TERN, "--lean", "6.67"]


def main():
    t = tap.Tap()
    starve(t, "solve", ["solve", tap.TERN, tap.AS_FOUND], 1)
    starve(t, "solve --json", ["solve", "--json", tap.TERN, tap.AS_FOUND], 1)
    starve(t, "ridge", RIDGE, 1)
    starve(t, "ridge --json", [*RIDGE, "--json"], 1)
    with tempfile.TemporaryDirectory() as folder:
        log = os.path.join(folder, "log.sqlite")
        tap.perpend("sweep", tap.TERN, "--log", log, stdin="4\n1.00\n0.50\n0\n0.50\nend\n")
        for words in (["list"], ["show", "1"], ["export", "1"], ["check"], ["note", "1", "seen"]):
            starve(t, f"log {words[0]}", ["log", *words, "--log", log], 0, most=MOST)
    t.done()


main()
