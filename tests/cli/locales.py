#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The locale decides whether the screen shows UTF-8, and nothing else; neither do the processors."""
import os
import pathlib
import subprocess

import tap

t = tap.Tap()
RIDGE = ["ridge", "--lean-back", "6.67", "--bit", "22", "--stepover", "10", "--goal", "0.02"]
SOLVE = ["solve", tap.TERN, tap.AS_FOUND]
RUNS = {"solve": SOLVE, "solve --json": [*SOLVE, "--json"], "ridge": RIDGE,
        "ridge --json": [*RIDGE, "--json"]}


def comma_locales():
    """Names of locales with another decimal sign, made by the build beside other tests."""
    folder = pathlib.Path(os.environ.get("LOCPATH", "/nonexistent"))
    return [name for name in ("de_DE.utf8", "ps_AF.utf8") if (folder / name).is_dir()]


found = comma_locales()
if not found:
    t.skip("locales with a decimal comma", "none was made; install Debian's package 'locales'")
for name in found:
    for what, words in RUNS.items():
        plain = tap.perpend(*words)
        env = tap.environment(LC_ALL=name)
        probe = subprocess.run(["locale", "charmap"], env=env, capture_output=True, text=True,
                               check=False)
        t.equal((probe.stdout.strip(), probe.stderr), ("UTF-8", ""), f"{name} is a locale here")
        t.equal(tap.perpend(*words, env=env).bytes, plain.bytes, f"{what}: same bytes in {name}")
        env = tap.environment(LC_ALL=None, LC_CTYPE="C.UTF-8", LC_NUMERIC=name)
        t.equal(tap.perpend(*words, env=env).bytes, plain.bytes,
                f"{what}: same bytes with the numbers of {name}")

for what, words in RUNS.items():
    first = tap.perpend(*words)
    t.equal(tap.perpend(*words).bytes, first.bytes, f"{what}: same bytes again")
    pinned = subprocess.run(
        ["sh", "-c", 'exec taskset -c "$(taskset -cp $$ | sed "s/.*: //; s/[,-].*//")" "$0" "$@"',
         tap.PERPEND, *words], env=tap.environment(), capture_output=True, check=False)
    t.equal((pinned.stdout, pinned.stderr), (first.bytes, b""), f"{what}: same bytes on one core")
    for value in ("C", "POSIX", "no_SUCH.locale"):
        run = tap.perpend(*words, env=tap.environment(LC_ALL=value))
        t.ok(run.bytes.isascii(), f"{what}: ASCII under {value}")
        t.equal(run.status, first.status, f"{what}: same status under {value}")
    ascii_run = tap.perpend(*words, "--ascii")
    t.ok(ascii_run.bytes.isascii(), f"{what}: ASCII when asked for")
    t.equal(ascii_run.bytes, tap.perpend(*words, env=tap.environment(LC_ALL="C")).bytes,
            f"{what}: --ascii and the C locale agree")
    latin = tap.environment(LC_ALL=None, LANG="C.UTF-8", LC_CTYPE="C")
    t.ok(tap.perpend(*words, env=latin).bytes.isascii(), f"{what}: LC_CTYPE wins over LANG")
    lang = tap.environment(LC_ALL=None, LANG="C.UTF-8")
    t.equal(tap.perpend(*words, env=lang).bytes, first.bytes, f"{what}: LANG is enough")

t.done()
