#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Files and typing far beyond what anybody means: refused in one line, in seconds and within bounds of
memory. The limits are those of perpend-machine(5) and perpend-job(5).

Called with the command, the project's folder and the megabytes that a run may take; 0 where a
sanitizer keeps memory of its own.
"""
import os
import pathlib
import subprocess
import sys
import tempfile
import threading
import time

import tap

MOST_MEGABYTES = int(sys.argv[3])
MOST_SECONDS = 60
MORE_MEGABYTES = 16  # than a tenth of the typing takes
MILLION = 1000000
LARGEST = 1 << 20
t = tap.Tap()

MACHINE = pathlib.Path(tap.TERN).read_text(encoding="utf-8").split("mount:")[0]
MOUNT = "mount:\n  - joint: plate\n    faces: front\n    allows: [shim]\n    bolts:"
FOUR = "[{at: front, reading: 1}, {at: right, reading: 1}, {at: back, reading: 1}, {at: left, reading: 1}]"
JOB = "perpend: 1\nsweeps:\n"
TABLE = "at,reading\n"
LAUGHS = "".join(f"l{i}: &l{i} [{', '.join([f'*l{i - 1}'] * 9)}]\n" for i in range(1, 10))
TAKES = ("a machine file takes perpend, unit, machine, place, due, arm, gauge, cutter, facing, cut, goal, bed, mount, stock, "
         "board, travel, feed, speed and acceleration")
DEEP = "nested too deeply; no key needs so many levels"
NO_LOG = ("log.sqlite: this is not a log (or its first bytes are damaged) and was left as it is; "
          "name another with --log FILE")


def rest(text):
    """How often a text of one byte goes behind a machine file to make it as large as a file may be."""
    return LARGEST - len(MACHINE) - len(text)


# What it is, the file's parts (a text, or a text and how often), the one line about it.
MACHINES = [
    ("aliases that explode", ["l0: &l0 lol\n", LAUGHS],
     ":13: anchors and aliases (& and *) are not taken; write the value out"),
    ("300,000 bolts on one line", [f"{MOUNT} [", ("{},", 300000), "]\n"],
     ":17: mount: joint 1: bolts has 300000; at most 8 are taken"),
    ("bolts line by line", [f"{MOUNT}\n", ("      - {name: a, at: [1, 2, 3]}\n", 30000)],
     ":18: mount: joint 1: bolts has 30000; at most 8 are taken"),
    ("300,000 joints", ["mount: [", ("{},", 300000), "]\n"],
     ":13: mount has 300000; at most 4 are taken"),
    ("kinds of leaf", ["stock:\n", ("  - {thick: 0.05, count: 8}\n", 30000)],
     ":14: stock has 30000; at most 24 are taken"),
    ("a name of a megabyte", ["mount:\n  - joint: ", ("n", MILLION), "\n"],
     ":14: mount: joint 1: faces is missing; a joint needs joint, faces, allows and bolts"),
    ("a key of a megabyte", [("k", MILLION), ": 1\n"],
     ":13: the key on line 13 has no colon behind it; add one"),
    ("a value of a megabyte", ["stock: ", ("n", MILLION), "\n"],
     ":13: stock must be a list, one kind behind each dash"),
    ("100,000 brackets deep", ["mount: ", ("[", 100000)], f":13: {DEEP}"),
    ("100,000 braces deep", ["mount: ", ("{a: ", 100000)], f":13: {DEEP}"),
    ("100,000 dashes deep", ["mount:\n", ("- ", 100000)], f":14: {DEEP}"),
    ("1 MiB and a byte", [("#", rest("") + 1)], ": is larger than 1 MiB; is it the right file?"),
    ("1 MiB, one value", ["stock: ", ("x", rest("stock: "))],
     ":13: stock must be a list, one kind behind each dash"),
    ("1 MiB, one quote", ['name: "', ("x", rest('name: "'))],
     ":13: the quote opened on line 13 is never closed; add one"),
    ("1 MiB of brackets", ["mount: ", ("[", rest("mount: "))], f":13: {DEEP}"),
    ("1 MiB of escapes", ['name: "', ("\\n", rest('name: "') // 2)],
     ":13: the quote opened on line 13 is never closed; add one"),
    ("1 MiB of entries", ["stock: [", ("a,", rest("stock: []") // 2), "]"],
     f":13: stock has {rest('stock: []') // 2}; at most 24 are taken"),
    ("1 MiB of question marks", [("? ", rest("") // 2)], f":13: {DEEP}"),
    ("1 MiB of directives", [("%YAML 1.1\n", rest("") // 10)],
     ":14: a line that begins with % is not taken; remove it"),
    ("1 MiB of keys", [("k: 1\n", rest("") // 5)], f':13: unknown key "k"; {TAKES}'),
]
JOBS = [
    ("10,001 readings", [f"{JOB}  - readings:\n", ("    - {at: front, reading: 1}\n", 10001)],
     ":4: sweep 1: readings has 10001; at most 10000 are taken"),
    ("sweeps", [JOB, ("  - {readings: []}\n", 50000)],
     ":3: sweeps has 50000; at most 1000 are taken"),
    ("things done", [f"{JOB}  - readings: {FOUR}\n    did:\n",
                     ("    - {joint: clamp plate, bolt: top left, shim: 0.5}\n", 15000)],
     ":5: sweep 1: did has 15000; at most 100 are taken"),
    ("a note of a megabyte", [f"{JOB}  - readings: {FOUR}\n    note: ", ("n", MILLION), "\n"],
     ":4: sweep 1: note is 1000000 bytes long; at most 2000 are taken"),
]
TABLES = [
    ("rows", [TABLE, ("front,1\n", 100000)],
     ":10002: more than 10000 readings; a job holds no more"),
    ("a line of a megabyte", [f"{TABLE}front,", ("1", MILLION), "\n"],
     ':2: reading "' + "1" * 58 + '…" is not a length; write a number such as 0.05, 0.05 mm, 2 thou or '
     '1/4 in'),
    ("columns", [("a,", MILLION // 2), "\n"],
     ":1: more fields than the header's 16; put a decimal comma in quotes (\"0,05\"), or separate by "
     "semicolons"),
    ("1 MiB, one quote", [f'{TABLE}"', ("x", LARGEST - len(TABLE) - 1)],
     ":2: a quote is opened and never closed; add one, or remove it"),
    ("1 MiB of line ends", [TABLE, ("\n", LARGEST - len(TABLE))],
     f":{LARGEST - len(TABLE) + 2}: no readings below the header; write one in each row"),
]
# What is typed, at which command, and how it ends.
SESSION = ["sweep", "tern.yaml", "--log", "new.sqlite", "--fresh"]
ENDED = ("perpend: standard input ended before the last question; nothing is written, give the answers "
         "that are missing\n")
TYPED = [
    ("lines of garbage", SESSION, ["4\n"], "garbage\n", MILLION, 1, ""),
    ("empty lines", SESSION, ["4\n"], "\n", MILLION, 1, ""),
    ("calls for help", SESSION, ["4\n"], "help\n", MILLION // 10, 1, ""),
    ("readings taken back", SESSION, ["4\n"], "1\nundo\n", 500, 1, ""),
    ("bytes on one line", SESSION, ["4\n"], "1", 10 * MILLION, 1, ""),
    ("bytes of a note", SESSION, ["4\nnote "], "x", 10 * MILLION, 1, ""),
    ("lines of garbage", ["new", "made.yaml"], [], "no, no\n", MILLION, 2, ENDED),
    ("bytes on one line", ["new", "made.yaml"], [], "1", 10 * MILLION, 2, ENDED),
]
LOGS = [
    ("64 MiB of text", [("garbage ", 8 << 20)], NO_LOG),
    ("a database's head before 16 MiB of text", ["SQLite format 3\0", ("garbage ", 2 << 20)], NO_LOG),
    ("a terabyte of nothing", None, NO_LOG),
]


def parts_of(parts):
    """The file in pieces of a megabyte at most: our own memory counts as the program's until it starts."""
    for part in parts:
        text, times = part if isinstance(part, tuple) else (part, 1)
        block = max(1, min(times, (1 << 20) // len(text)))
        for _ in range(times // block):
            yield (text * block).encode()
        yield (text * (times % block)).encode()


def write(name, parts):
    with open(name, "wb") as out:
        out.writelines(parts_of(parts))


def pour(parts, pipe):
    """Type all of it, until nobody listens."""
    try:
        with pipe:
            for piece in parts_of(parts):
                pipe.write(piece)
    except BrokenPipeError:
        pass


class Run:
    """One run to its end: status, what it said, the most memory it had, how long it took."""

    def __init__(self, words, typed=None):
        began = time.monotonic()
        with tempfile.TemporaryFile() as errors, open("/dev/null", "r+b") as nothing:
            process = subprocess.Popen([tap.PERPEND, *words], env=tap.environment(), stderr=errors,
                                       stdin=nothing if typed is None else subprocess.PIPE, stdout=nothing)
            late = threading.Timer(MOST_SECONDS, process.kill)
            late.start()
            if typed is not None:
                pour(typed, process.stdin)
            _, status, usage = os.wait4(process.pid, 0)
            process.returncode = self.status = os.waitstatus_to_exitcode(status)
            late.cancel()
            errors.seek(0)
            self.err = errors.read().decode("utf-8", "replace")
        self.seconds = time.monotonic() - began
        self.megabytes = usage.ru_maxrss / 1024


most = {"memory": (0, ""), "time": (0, "")}


def bounded(run, status, said, name, least=MOST_MEGABYTES):
    """It ended so, said so much, and took no more than a run may: `least` and some where that is less."""
    most["memory"] = max(most["memory"], (run.megabytes, name))
    most["time"] = max(most["time"], (run.seconds, name))
    small = not MOST_MEGABYTES or run.megabytes <= min(MOST_MEGABYTES, least + MORE_MEGABYTES)
    t.ok(run.status == status and run.err == said and small, name,
         f"status {run.status}, want {status}\n{run.err[:300]}want:\n{said}"
         f"{run.megabytes:.0f} MB, {run.seconds:.1f} s")


def check_files():
    for kind, name, head, cases in (("machine", "m.yaml", [MACHINE], MACHINES), ("job", "j.yaml", [], JOBS),
                                    ("table", "t.csv", [], TABLES)):
        for label, parts, line in cases:
            write(name, head + parts)
            words = ["solve", name, tap.AS_FOUND] if kind == "machine" else ["solve", tap.TERN, name]
            bounded(Run(words), 2, f"perpend: {name}{line}\n", f"{kind}: {label}")
        os.unlink(name)
    for words in (["solve", "/dev/zero", tap.AS_FOUND], ["solve", tap.TERN, "/dev/zero"]):
        bounded(Run(words), 2, "perpend: /dev/zero: is binary, not text; give a YAML or CSV file\n",
                "a file without end as " + ("the machine" if words[1] == "/dev/zero" else "readings"))
    write("j.yaml", [f"{JOB}  - readings:\n",
                     ("".join(f"    - {{at: {at}, reading: 1}}\n" for at in ("front", "right", "back", "left")),
                      2500)])
    bounded(Run(["solve", tap.TERN, "j.yaml"]), 0, "", "10,000 readings are taken")
    os.unlink("j.yaml")


def check_logs():
    for label, parts, line in LOGS:
        if parts is None:
            with open("log.sqlite", "wb") as file:
                file.truncate(1 << 40)
        else:
            write("log.sqlite", parts)
        for words in (["log", "list"], ["log", "check"], ["log", "export", "--all"], ["report"],
                      ["sweep", "tern.yaml"]):
            bounded(Run([*words, "--log", "log.sqlite"]), 2, f"perpend: {line}\n",
                    f"{' '.join(words[:2])}: {label} for a log")
    os.unlink("log.sqlite")


def check_typing():
    for label, words, before, text, times, status, said in TYPED:
        times = tap.cases(times, 200)
        tenth = Run(words, [*before, (text, times // 10)])
        bounded(Run(words, [*before, (text, times)]), status, said, f"{words[0]}: {times} {label}",
                tenth.megabytes)
    for size, kept in ((4095, True), (4096, False)):
        run = tap.perpend("sweep", "tern.yaml", "--log", "line.sqlite", "--fresh",
                          stdin=f"4\n1{' ' * (size - 1)}\n")
        t.equal(("kept: front" in run.out, "too long; type at most 4095" in run.out), (kept, not kept),
                f"sweep: a line of {size} bytes is {'taken' if kept else 'asked for again'}")
    os.unlink("line.sqlite")
    t.equal(sorted(set(os.listdir()) - {"tern.yaml"}), ["new.sqlite"],
            "nothing but the session's log is left")


with tempfile.TemporaryDirectory() as folder:
    os.chdir(folder)
    pathlib.Path("tern.yaml").write_bytes(pathlib.Path(tap.TERN).read_bytes())
    check_files()
    check_logs()
    check_typing()
    os.chdir("/")
for what, unit in (("memory", "MB"), ("time", "s")):
    print(f"# most {what}: {most[what][0]:.1f} {unit}, {most[what][1]}")
t.done()
