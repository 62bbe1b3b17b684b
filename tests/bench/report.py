#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Three documents of a five-round job, and a report from a log of 10 000 jobs: by hand, not a test.

    python3 tests/bench/report.py build

Prints the median of each, processor time, and exits 1 when the three together take 0.3 s or more, or
when the large log makes a report 20 ms slower than a log of ten.
"""
import importlib.util
import os
import pathlib
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
BUILD = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ROOT / "build").resolve()
PERPEND, FILL = BUILD / "src" / "cli" / "perpend", BUILD / "tests" / "cli" / "fill_log"
TERN = ROOT / "examples" / "tern.yaml"
ROUNDS, TOGETHER, SLOWER = 21, 0.3, 0.020

spec = importlib.util.spec_from_file_location("bench_log", ROOT / "tests" / "bench" / "log.py")
bench_log = importlib.util.module_from_spec(spec)
spec.loader.exec_module(bench_log)


def took(words, env):
    """Seconds of the processor, so that a machine that is busy with other things counts nothing."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run([PERPEND, *words], capture_output=True, env=env, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode != 0:
        sys.exit(f"{words}: status {done.returncode}: {done.stderr.decode()}")
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def five_rounds(path):
    """Eight readings a round, the lean halved each time."""
    gaps = [0.5, 0.85, 1.0, 0.85, 0.5, 0.15, 0.0, 0.15]
    lines = ["perpend: 1", "sweeps:"]
    for turn in range(5):
        readings = ", ".join(
            f"{{at: {45 * i}, reading: {round((0.5 + (gap - 0.5) / 2 ** turn) / 0.05) * 0.05:.2f}}}"
            for i, gap in enumerate(gaps))
        lines += [f"  - name: round {turn + 1}", f"    readings: [{readings}]"]
        if turn < 4:
            lines.append("    did: plan")
    path.write_text("\n".join(lines) + "\n")


def main():
    folder = pathlib.Path(tempfile.mkdtemp(prefix="perpend-bench-"))
    env = {"PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8", "HOME": os.environ.get("HOME", "/")}
    job, small, large = folder / "job.yaml", folder / "small.sqlite", folder / "large.sqlite"
    five_rounds(job)
    subprocess.run([FILL, small, TERN, "10", "1", "quick"], check=True)
    subprocess.run([FILL, large, TERN, "50", "1", "quick"], check=True)
    count, _ = bench_log.multiply(large, 200)
    cases = {kind: ["report", "--from", TERN, job, "--output", "-", "--format", kind]
             for kind in ("html", "pdf", "text")}
    cases["of 10 jobs"] = ["report", "10", "--log", small, "--output", "-"]
    cases["of the same job in 10 000"] = ["report", "10", "--log", large, "--output", "-"]
    cases["of the last in 10 000"] = ["report", str(count), "--log", large, "--output", "-"]
    times = {name: [] for name in cases}
    for _ in range(ROUNDS):  # by turns, so that a busy moment hits them all
        for name, words in cases.items():
            times[name].append(took(words, env))
    medians = {name: statistics.median(values) for name, values in times.items()}
    for name, value in medians.items():
        print(f"{name:28} {1000 * value:7.1f} ms")
    together = sum(medians[kind] for kind in ("html", "pdf", "text"))
    slower = max(medians["of the same job in 10 000"], medians["of the last in 10 000"]) - \
        medians["of 10 jobs"]
    print(f"three together {1000 * together:.0f} ms (limit {1000 * TOGETHER:.0f}); "
          f"10 000 jobs {1000 * slower:+.1f} ms (limit {1000 * SLOWER:.0f})")
    shutil.rmtree(folder)
    sys.exit(together >= TOGETHER or slower >= SLOWER)


main()
