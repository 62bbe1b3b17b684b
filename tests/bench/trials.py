#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The Monte Carlo run against the same in numpy: by hand, not a test.

    meson compile -C build bench_trials
    /usr/bin/python3 tests/bench/trials.py build

First a million trials: leans drawn from their covariance, each through the exact closed-form ridge,
mean, standard deviation, 95 % interval, chance of the goal. By turns with numpy doing that in whole
arrays, the best round of each; numpy's time is printed with the shortest interval, which is what
perpend gives, and also with the cheaper symmetric one. Then the whole way from the start of a process
to the printed answer, against a numpy script's. Exits 1 when a target is missed.
"""
import pathlib
import subprocess
import sys
import time

import numpy as np

import ridge_numpy

TRIALS, ROUNDS, STARTS = 1_000_000, 12, 15
TARGET, TARGET_SECONDS, TARGET_START = 40.0, 0.3, 0.25
ROOT = pathlib.Path(__file__).resolve().parents[2]
BUILD = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ROOT / "build").resolve()
BENCH = BUILD / "tests" / "bench" / "bench_trials"
SOLVE = [BUILD / "src" / "cli" / "perpend", "solve", ROOT / "examples" / "tern.yaml",
         ROOT / "examples" / "tern-as-found.yaml"]
SCRIPT = ["/usr/bin/python3", pathlib.Path(__file__).with_name("solve_numpy.py"),
          ROOT / "examples" / "tern-as-found.yaml"]

# the same figures stand in trials.c
LEAN, COVARIANCE = np.array([0.001, 0.006]), np.array([[4e-6, 1e-6], [1e-6, 5e-6]])
RADIUS, STEPOVER, ALONG, GOAL = 11.0, 10.0, np.pi / 2, 0.02


def ridge(lean):
    """Closed-form ridge of an array of leans, one a row."""
    feed = np.array([np.sin(ALONG), np.cos(ALONG)])
    along, across = lean @ feed, lean @ np.array([feed[1], -feed[0]])
    return ridge_numpy.ridge(along, across, RADIUS, STEPOVER)


def shortest(height):
    ordered = np.sort(height)
    q = round(0.95 * TRIALS)
    at = np.argmin(ordered[q:] - ordered[:-q])
    return ordered[at], ordered[at + q]


def symmetric(height):
    return np.quantile(height, [0.025, 0.975])


def numpy_trials(seed, interval):
    start = time.perf_counter()
    rng = np.random.default_rng(seed)
    lean = rng.multivariate_normal(LEAN, COVARIANCE, size=TRIALS)
    height = ridge(lean)
    low, high = interval(height)
    result = [height.mean(), height.std(ddof=1), low, high, np.mean(height <= GOAL)]
    return time.perf_counter() - start, result


def perpend_trials(threads):
    lines = subprocess.run([BENCH, "4", str(threads)], check=True, capture_output=True,
                           text=True).stdout.split("\n")
    runs = [[float(word) for word in line.split()] for line in lines if line]
    return min(run[0] for run in runs), runs[0][1:]


def best_start(command):
    start = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=False)
    return time.perf_counter() - start


def trials():
    best = {}
    for seed in range(ROUNDS):
        for name, run in (("all cores", lambda: perpend_trials(0)),
                          ("one core", lambda: perpend_trials(1)),
                          ("numpy", lambda: numpy_trials(seed, shortest)),
                          ("numpy, symmetric interval", lambda: numpy_trials(seed, symmetric))):
            seconds, result = run()
            if name not in best or seconds < best[name][0]:
                best[name] = (seconds, result)
    for name, (seconds, result) in best.items():
        print(f"{name:26} {1e3 * seconds:8.2f} ms   mean %.5f  u %.5f  %.4f to %.4f  chance %.4f"
              % tuple(result))
    ours, theirs = best["all cores"], best["numpy"]
    for mine, other, near in zip(ours[1], theirs[1], (1e-4, 1e-4, 1e-3, 1e-3, 2e-3)):
        assert abs(mine - other) < near, "the two do not do the same"
    ratio = theirs[0] / ours[0]
    cheaper = best["numpy, symmetric interval"][0] / ours[0]
    one = best["one core"][0]
    print(f"a million trials: {ratio:.1f} times as fast as numpy (target {TARGET:.0f}), "
          f"{theirs[0] / one:.1f} on one core; against its symmetric interval {cheaper:.1f}")
    print(f"on one core: {one:.4f} s (target {TARGET_SECONDS})")
    return ratio >= TARGET and one <= TARGET_SECONDS


def starts():
    ours = theirs = float("inf")
    for _ in range(STARTS):
        ours, theirs = min(ours, best_start(SOLVE)), min(theirs, best_start(SCRIPT))
    print(f"start to answer: {1e3 * ours:.1f} ms, numpy script {1e3 * theirs:.1f} ms: "
          f"{ours / theirs:.3f} of it (target {TARGET_START})")
    return ours / theirs <= TARGET_START


if __name__ == "__main__":
    sys.exit(0 if all([trials(), starts()]) else 1)
