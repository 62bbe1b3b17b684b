#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The manual pages of the machine file and the job file say what the program takes: their examples
are read, their keys are the program's keys, their limits its limits."""
import os
import pathlib
import re
import tempfile

import tap

t = tap.Tap()
MACHINE_PAGE = (tap.ROOT / "docs" / "perpend-machine.5.scd").read_text()
JOB_PAGE = (tap.ROOT / "docs" / "perpend-job.5.scd").read_text()
BARE = """perpend: 1
arm: 75
gauge: {kind: gap, step: 0.05}
cutter: {diameter: 22}
facing: {stepover: 10, along: X}
"""
JOINT = "mount: [{joint: a, faces: up, allows: shim, bolts: [%s, {name: z, at: [0, 0, 0]}]}]\n"
SWEEP = "perpend: 1\nsweeps:\n- %s\n"
READINGS = "readings: [{at: 0, reading: 0}, {at: 90, reading: 0}, {at: 180, reading: 0}%s]"


def examples(page):
    return re.findall(r"^```\n(.*?)^```$", page, re.MULTILINE | re.DOTALL)


def keys_in(page, first, last):
    """The keys that a page explains, between two headings: {indent: [names]}."""
    part = page[page.index(f"# {first}"):page.index(f"# {last}")]
    found = {}
    for indent, names in re.findall(r"^(\t*)((?:\*\w+\*(?:, )?)+)$", part, re.MULTILINE):
        found.setdefault(len(indent), []).extend(re.findall(r"\w+", names))
    return found


def solve(machine, readings):
    pathlib.Path("m.yaml").write_text(machine)
    pathlib.Path("r").write_text(readings)
    return tap.perpend("solve", "m.yaml", "r")


def keys_taken(run):
    """The keys that the program lists when one is unknown."""
    words = re.search(r"unknown key \"zzzzzz\"; .* takes (.*)$", run.err.strip())
    return set(re.split(r", | and ", words.group(1))) if words else {run.err}


def check_limit(name, most, inside, outside, message):
    """What the page calls the most is taken, and one more is not."""
    t.ok(inside.status in (0, 1), f"{name}: {most} are taken", inside.err)
    t.ok(outside.status == 2 and message in outside.err, f"{name}: one more is not", outside.err)


def check_examples():
    machine = examples(MACHINE_PAGE)[0]
    job, table = examples(JOB_PAGE)
    tern = pathlib.Path(tap.TERN).read_text()
    t.equal(machine.replace("                 # free text", ""), tern.split("\n", 1)[1],
            "the page's machine is the demo's")
    for label, readings in (("job", job), ("table", table)):
        run = solve(machine, readings)
        t.ok(run.status in (0, 1) and run.err == "", f"the page's {label} is solved", run.err)


def check_keys():
    own = keys_in(MACHINE_PAGE, "KEYS", "LIMITS")
    t.equal(keys_taken(solve(BARE + "zzzzzz: 1\n", "")), set(own[0]), "the machine file's keys")
    taken = set()
    for text in (BARE.replace("arm: 75", "arm: {length: 75, zzzzzz: 1}"),
                 BARE.replace("step: 0.05", "step: 0.05, zzzzzz: 1"),
                 BARE.replace("diameter: 22", "diameter: 22, zzzzzz: 1"),
                 BARE.replace("along: X", "along: X, zzzzzz: 1"),
                 BARE + "cut: {zzzzzz: 1}\n",
                 BARE + "mount: [{zzzzzz: 1}]\n",
                 BARE + "bed: {zzzzzz: 1}\n",
                 BARE + "board: {zzzzzz: 1}\n",
                 BARE + "stock: [{zzzzzz: 1}]\n"):
        taken |= keys_taken(solve(text, ""))
    t.equal(set(own[1]), taken, "the keys of its sections")
    t.equal(set(own[2]), keys_taken(solve(BARE + JOINT % "{zzzzzz: 1}", "")), "a bolt's keys")
    own = keys_in(JOB_PAGE, "JOB FILE", "TABLE")
    t.equal(set(own[0]), keys_taken(solve(BARE, "perpend: 1\nzzzzzz: 1\n")), "a job file's keys")
    t.equal(set(own[1]), keys_taken(solve(BARE, SWEEP % "zzzzzz: 1")), "a sweep's keys")
    mount = JOINT % "{name: a, at: [1, 0, 0]}"
    taken = keys_taken(solve(BARE, SWEEP % "readings: [{zzzzzz: 1}]"))
    taken |= keys_taken(solve(BARE, SWEEP % "cut: [{zzzzzz: 1}]"))
    taken |= keys_taken(solve(BARE + mount, SWEEP % (READINGS % "" + "\n  did: [{zzzzzz: 1}]")))
    t.equal(set(own[2]), taken, "the keys of a reading and of what was done")


def check_limits():
    level = "at,reading\n0,0\n90,0\n180,0\n"
    for edge, beyond in (("1", "0.999"), ("2000", "2000.1")):
        t.ok(solve(BARE.replace("75", edge), level).status == 0, f"an arm of {edge} mm is taken")
        t.ok(solve(BARE.replace("75", beyond), level).status == 2, f"one of {beyond} mm is not")
    bolts = [f"{{name: b{i}, at: [{i}, 1, 0]}}" for i in range(8)]
    check_limit("bolts", 8, solve(BARE + JOINT % ", ".join(bolts[:7]), level),
                solve(BARE + JOINT % ", ".join(bolts), level), "at most 8")
    joint = ("{{joint: j{0}, faces: front, allows: shim, bolts: [{{name: a, at: [-9, 0, 50]}}, "
             "{{name: b, at: [9, 0, 50]}}, {{name: c, at: [0, 0, {0}]}}]}}")
    joints = [joint.format(i) for i in range(5)]
    check_limit("joints", 4, solve(BARE + f"mount: [{', '.join(joints[:4])}]\n", level),
                solve(BARE + f"mount: [{', '.join(joints)}]\n", level), "at most 4")
    leaves = ["{thick: 0.1, count: 1000}"] * 25
    check_limit("kinds of leaf", 24, solve(BARE + f"stock: [{', '.join(leaves[:24])}]\n", level),
                solve(BARE + f"stock: [{', '.join(leaves)}]\n", level), "at most 24")
    check_limit("a name's bytes", 120, solve(BARE + f"machine: {'n' * 120}\n", level),
                solve(BARE + f"machine: {'n' * 121}\n", level), "at most 120")
    check_limit("a note's bytes", 2000,
                solve(BARE, SWEEP % (READINGS % "" + f"\n  note: {'n' * 2000}")),
                solve(BARE, SWEEP % (READINGS % "" + f"\n  note: {'n' * 2001}")), "at most 2000")
    sweep = "- " + READINGS % "" + "\n"
    check_limit("sweeps", 1000, solve(BARE, "perpend: 1\nsweeps:\n" + sweep * 1000),
                solve(BARE, "perpend: 1\nsweeps:\n" + sweep * 1001), "at most 1000")


with tempfile.TemporaryDirectory() as folder:
    os.chdir(folder)
    check_examples()
    check_keys()
    check_limits()
    os.chdir("/")
t.done()
