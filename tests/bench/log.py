#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A log of 10 000 jobs against one of ten: by hand, not a test.

    python3 tests/bench/log.py build

Fifty jobs are worked out as a session would; the large log holds them two hundred times. Prints the
median of each command on both, run by turns, and exits 1 when the large log takes 20 ms longer.
"""
import os
import pathlib
import shutil
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time

LARGE, SEEDS, SMALL, ROUNDS, LIMIT = 10_000, 50, 10, 25, 0.020
ROOT = pathlib.Path(__file__).resolve().parents[2]
BUILD = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ROOT / "build").resolve()
PERPEND, FILL = BUILD / "src" / "cli" / "perpend", BUILD / "tests" / "cli" / "fill_log"
TERN = ROOT / "examples" / "tern.yaml"


def columns(connection, table):
    return [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]


def multiply(path, times):
    """Each job again and again, numbers moved up and times moved on, ten hours a turn."""
    moved = {"job": {"id": "job"}, "sweep": {"id": "sweep", "job": "job"},
             "reading": {"id": "reading", "sweep": "sweep"},
             "correction": {"id": "correction", "reading": "reading"},
             "did": {"id": "did", "sweep": "sweep"}, "did_entry": {"did": "did"},
             "note": {"id": "note", "job": "job", "sweep": "sweep"},
             "answer": {"job": "job", "first_sweep": "sweep", "last_sweep": "sweep"}}
    time_of = {"job": "started", "note": "at"}
    connection = sqlite3.connect(path)
    fences = connection.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
    for name, _ in fences:
        connection.execute(f"DROP TRIGGER {name}")
    span = {table: connection.execute(f"SELECT max(id) FROM {table}").fetchone()[0] or 0
            for table in ("job", "sweep", "reading", "correction", "did", "note")}
    for turn in range(1, times):
        for table, keys in moved.items():
            names = [name for name in columns(connection, table) if name != "digest"]
            values = [f"{name} + {turn * span[keys[name]]}" if name in keys else
                      f"strftime('%Y-%m-%dT%H:%M:%SZ', {name}, '+{10 * turn} hours')"
                      if name in ("at", "started", "ended", "answered") else
                      f"date({time_of[table]}, '+{10 * turn} hours', {time_of[table]}_offset || ' minutes')"
                      if name == "day" else name
                      for name in names]
            originals = " WHERE " + ("id" if "id" in keys else next(iter(keys)))
            originals += f" <= {span[keys.get('id', keys.get('did', keys.get('job')))]}"
            connection.execute(f"INSERT INTO {table} ({', '.join(names)}) "
                               f"SELECT {', '.join(values)} FROM {table}{originals}")
    for _, fence in fences:
        connection.execute(fence)
    connection.commit()
    count = connection.execute("SELECT count(*) FROM job").fetchone()[0]
    readings = connection.execute("SELECT count(*) FROM reading").fetchone()[0]
    connection.close()
    return count, readings


def took(words, env):
    start = time.perf_counter()
    done = subprocess.run([PERPEND, *words], input=b"", capture_output=True, env=env, check=False)
    spent = time.perf_counter() - start
    if done.returncode not in (0, 1):
        sys.exit(f"{words}: status {done.returncode}: {done.stderr.decode()}")
    return spent


def main():
    folder = pathlib.Path(tempfile.mkdtemp(prefix="perpend-bench-"))
    env = {"PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8", "XDG_DATA_HOME": str(folder)}
    small, large = folder / "small.sqlite", folder / "large.sqlite"
    subprocess.run([FILL, small, TERN, str(SMALL), "1", "quick"], check=True)
    subprocess.run([FILL, large, TERN, str(SEEDS), "1", "quick"], check=True)
    count, readings = multiply(large, LARGE // SEEDS)
    took(["log", "note", "last", "sealed", "--log", str(large)], env)  # makes the digests of all
    print(f"{SMALL} jobs: {small.stat().st_size / 1e6:.1f} MB; {count} jobs, {readings} readings: "
          f"{large.stat().st_size / 1e6:.1f} MB")
    cases = {
        "log list --last 20": (["log", "list", "--last", "20"],) * 2,
        "log list --machine Tern": (["log", "list", "--machine", "Tern"],) * 2,
        "log list --until 2020": (["log", "list", "--until", "2020"],) * 2,
        "log show (last)": (["log", "show"],) * 2,
        "log show (middle)": (["log", "show", str(SMALL // 2)], ["log", "show", str(LARGE // 2)]),
        "log export (middle)": (["log", "export", str(SMALL // 2)],
                                ["log", "export", str(LARGE // 2)]),
        "log note": (["log", "note", "last", "bench"],) * 2,
        "sweep, to the first question": (["sweep", str(TERN)],) * 2,
    }
    slow = False
    for name, words in cases.items():
        times = ([], [])
        for _ in range(ROUNDS):
            for which, path in enumerate((small, large)):
                times[which].append(took([*words[which], "--log", str(path)], env))
        few, many = (statistics.median(values) * 1000 for values in times)
        slow |= many - few > LIMIT * 1000
        print(f"{name:30s} {SMALL} jobs {few:6.1f} ms, {count} jobs {many:6.1f} ms, "
              f"difference {many - few:+5.1f} ms")
    if "--keep" in sys.argv:
        print(folder)
    else:
        shutil.rmtree(folder)
    return 1 if slow else 0


if __name__ == "__main__":
    sys.exit(main())
