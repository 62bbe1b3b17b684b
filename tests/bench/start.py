#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""From the start of a process to the printed answer, against a numpy script that does the same: by
hand, not a test.

    /usr/bin/python3 tests/bench/start.py build

The best of a number of starts by turns. Exits 1 when the target is missed.
"""
import pathlib
import subprocess
import sys
import time

STARTS, TARGET = 15, 0.25
ROOT = pathlib.Path(__file__).resolve().parents[2]
BUILD = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ROOT / "build").resolve()
SOLVE = [BUILD / "src" / "cli" / "perpend", "solve", ROOT / "examples" / "tern.yaml",
         ROOT / "examples" / "tern-as-found.yaml"]
SCRIPT = ["/usr/bin/python3", pathlib.Path(__file__).with_name("solve_numpy.py"),
          ROOT / "examples" / "tern-as-found.yaml"]


def start(command):
    began = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=False)
    return time.perf_counter() - began


def main():
    ours = theirs = float("inf")
    for _ in range(STARTS):
        ours, theirs = min(ours, start(SOLVE)), min(theirs, start(SCRIPT))
    print(f"start to answer: {1e3 * ours:.1f} ms, numpy script {1e3 * theirs:.1f} ms: "
          f"{ours / theirs:.3f} of it (target {TARGET})")
    return 0 if ours / theirs <= TARGET else 1


if __name__ == "__main__":
    sys.exit(main())
