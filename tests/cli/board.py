#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""perpend board: a survey from a table, from YAML and typed, its JSON against numpy-free least squares and the schema, the facing
of a board, and every way to get the files wrong."""
import json
import math
import pathlib
import random
import tempfile

import tap

try:
    import jsonschema
except ImportError:
    jsonschema = None

t = tap.Tap()
SCHEMA = json.loads((tap.ROOT / "docs/board.schema.json").read_text())
TERN = pathlib.Path(tap.TERN).read_text()
BOARD = """board: {size: [400, 430], thickness: 18, metal: [{x: 50, y: 50, under: 6}]}
travel: {size: [390, 400], at: [0, 0]}
feed: 1000
speed: 12000
acceleration: 100
"""
place = tempfile.TemporaryDirectory()
folder = pathlib.Path(place.name)
random.seed(7)


def board(*words, typed=""):
    return tap.perpend("board", *words, cwd=folder, stdin=typed)


def write(name, text):
    (folder / name).write_text(text, encoding="utf-8")
    return name


def table(right, back, noise, columns=5, rows=5, sign=-1):
    lines = ["x,y,reading"]
    for i in range(columns * rows):
        x, y = 20 + 90 * (i % columns), 25 + 95 * (i // columns)
        lines.append(f"{x},{y},{3 + sign * (right * x + back * y) + noise * random.gauss(0, 1):.4f}")
    return "\n".join(lines) + "\n"


def obeys(answer, label):
    if jsonschema is None:
        return t.skip(label, "python3-jsonschema is not there")
    error = jsonschema.exceptions.best_match(jsonschema.Draft202012Validator(SCHEMA).iter_errors(answer))
    return t.equal(error and f"{error.json_path}: {error.message}", None, label)


MACHINE = write("m.yaml", TERN + BOARD)
FOUND = write("found.yaml", TERN.replace("bed: faced", "bed: as found") + BOARD)

# -- a survey ----------------------------------------------------------------------------------
exact = write("exact.csv", table(-0.0004, 0.0012, 0))
run = board("survey", FOUND, exact, "--json")
t.equal((run.status, run.err), (0, ""), "a survey is answered")
answer = json.loads(run.out)
obeys(answer, "its JSON obeys the schema")
t.ok(abs(answer["slope"]["right"] + 0.4) < 1e-6 and abs(answer["slope"]["back"] - 1.2) < 1e-6, "the plane comes out",
     answer["slope"])
t.ok(answer["passes"][0]["uncut"] > answer["passes"][1]["uncut"] and answer["count"] >= 3, "pass after pass less stands")
t.ok(abs(answer["stays"] - (18 - answer["takes"])) < 1e-9, "what stays is what is not taken")
rows = exact and (folder / exact).read_text().splitlines()[1:]
yaml = "perpend: 1\nsweeps:\n- readings:\n" + "".join(
    "  - {x: %s, y: %s, reading: %s}\n" % tuple(row.split(",")) for row in rows)
t.equal(board("survey", FOUND, write("exact.yaml", yaml), "--json").out, run.out, "the same from YAML")
t.equal(board("survey", FOUND, write("semi.csv", (folder / exact).read_text().replace(",", ";")), "--json").out, run.out,
        "the same with semicolons")
words = board("survey", FOUND, write("wavy.csv", table(-0.0004, 0.0012, 0.02)))
t.equal((words.status, words.err), (0, ""), "a survey in words")
for part in ("FACE 4 PASSES OF 0.2 mm", "It rises 0.4", "to the left", "pass 1, 0.2 mm:", "almost surely nothing stands",
             "and after the colon the pass", "bed: {kind: as found, slope: [-0.4"):
    t.contains(words.out, part, f"it says {part}")
t.ok(all(len(line) <= 80 for line in words.out.splitlines()), "and fits 80 columns", words.out)
t.ok(words.out.isascii() is False and board("survey", FOUND, "wavy.csv", "--ascii").out.isascii(), "--ascii is ASCII")
line = [line for line in words.out.splitlines() if line.startswith("bed: {")][0]
known = write("known.yaml", TERN.replace("bed: faced", line))
solved = json.loads(tap.perpend("solve", "--json", known, tap.AS_FOUND, cwd=folder).out)["measurements"][0]
plain = json.loads(tap.perpend("solve", "--json", "found.yaml", tap.AS_FOUND, cwd=folder).out)["measurements"][0]
t.ok(not solved["includes_bed"] and plain["includes_bed"], "the slope goes into a sweep on the board as found")
t.ok(abs(solved["lean"]["back"] - plain["lean"]["back"] + solved["bed"]["back"]) < 0.02, "and comes off the lean",
     (solved["lean"], plain["lean"], solved["bed"]))
metal = board("survey", write("metal.yaml", TERN + BOARD.replace("under: 6", "under: 0.7")), exact)
t.ok(metal.status == 1 and "DO NOT FACE: metal lies 0.7 mm under the face at X 50 mm" in metal.out,
     "metal in the way forbids it", metal.out)
thin = board("survey", write("thin.yaml", TERN + BOARD.replace("thickness: 18", "thickness: 0.5")), exact)
t.ok(thin.status == 1 and "more is taken than the board is thick" in thin.out, "a thin board is not faced through", thin.out)
wrong = (folder / "wavy.csv").read_text().splitlines()
cells = wrong[13].split(",")
wrong[13] = ",".join(cells[:2] + [f"{float(cells[2]) + 0.5:.2f}"])
suspect = board("survey", FOUND, write("wrong.csv", "\n".join(wrong) + "\n"))
t.contains(suspect.out, f"TOUCH AGAIN at X {cells[0]} mm, Y {cells[1]} mm", "a misread touch is named")
t.equal(json.loads(board("survey", FOUND, "wrong.csv", "--json").out)["suspect"], 13, "and its number")
for zero, said in (("centre", "the middle, X 200 mm, Y 215 mm"), ("30,40", "the place you said, X 30 mm, Y 40 mm"),
                   ("highest", "the highest touch, X 20 mm, Y 405 mm")):
    t.contains(board("survey", FOUND, exact, "--zero", zero).out, f"Z set at {said}", f"--zero {zero}")
bare = board("survey", write("bare.yaml", TERN), exact)
t.ok(bare.status == 0 and "board 360 mm by 380 mm" in bare.out, "without a board it is that round the touches", bare.out)
for ending, begins in ((".svg", b"<svg"), (".png", b"\x89PNG"), (".pdf", b"%PDF")):
    run = board("survey", FOUND, "wavy.csv", "--picture", "map" + ending)
    made = (folder / ("map" + ending)).read_bytes()
    t.ok(run.status == 0 and begins in made[:400], f"a map as {ending}", run.err)
inch = board("survey", write("inch.yaml", "perpend: 1\nunit: in\narm: 3\ngauge: {kind: dial, step: 0.001}\ncutter: {diameter: 1}\n"
                             "facing: {stepover: 40%, along: X}\nbed: as found\nboard: {size: [16, 17]}\n"),
             write("inch.csv", "x,y,reading\n1,1,0.500\n15,1,0.512\n1,16,0.495\n15,16,0.509\n"))
t.ok(inch.status == 0 and "thou" in inch.out and "to the right" in inch.out, "in inches", inch.out + inch.err)

# -- typed -------------------------------------------------------------------------------------
typed = board("survey", FOUND, "typed.yaml", "--add", typed="0.5\n0.45\nfoo\nundo\n0.44\nskip\n380 400 0.1\nend\n")
t.ok(typed.status == 0 and "touch 3 at X 290 mm, Y 22 mm" in typed.out and "FACE" in typed.out, "touches are typed", typed.out)
t.equal((folder / "typed.yaml").read_text().count("reading:"), 3, "and each is kept")
more = board("survey", FOUND, "typed.yaml", "--add", typed="0.4\nstop\n")
t.ok(more.status == 0 and "touch 4 at X 200 mm, Y 22 mm" in more.out, "gone on with", more.out)
t.equal((folder / "typed.yaml").read_text().count("reading:"), 4, "one more is kept")

# -- facing ------------------------------------------------------------------------------------
run = board("face", MACHINE, tap.AS_FOUND)
t.equal((run.status, run.err), (0, ""), "a facing is planned")
for part in ("FACE ALONG Y, 17 min: ridge 0.008 mm, goal 0.02 mm", "Along X: 41 passes", "ridge 0.067 mm",
             "Uncut stay 19 mm at the back", "0 mm to 390 mm along X", "12000 turns a minute", "13.8 m/s", "Pencil over"):
    t.contains(" ".join(run.out.split()), part, f"it says {part}")
for label, words in (("with a sweep", [MACHINE, tap.AS_FOUND]), ("without", [MACHINE])):
    obeys(json.loads(board("face", *words, "--json").out), f"its JSON obeys the schema, {label}")
slow = write("slow.yaml", TERN.replace("diameter: 22", "diameter: 38").replace("stepover: 10", "stepover: 4") +
             "board: {size: [400, 430]}\nfeed: 500\nacceleration: 30\n")
run = board("face", slow)
t.ok("1 h 35 min" in run.out or "1 h 36 min" in run.out or "1 h 37 min" in run.out, "a slow afternoon takes well over an hour", run.out)
t.contains(" ".join(run.out.split()), "A 38 mm bit is much for a small spindle", "a big bit is warned of")
t.contains(" ".join(run.out.split()), "Lines that can be felt across the board", "without a lean it says what lines mean")
passes, length, v, a = 109, 438.0, 500 / 60, 30.0
minutes = (passes * (length / v + v / a) + (passes - 1) * (4 / v + v / a)) / 60
got = json.loads(board("face", slow, "--json").out)["along_x"]
t.ok(got["passes"] == 109 and math.isclose(got["minutes"], minutes - (4 - 2) / v / 60, rel_tol=1e-3), "its time pass by pass",
     (got, minutes))

# -- mistakes ----------------------------------------------------------------------------------
USE = "board: type 'board survey MACHINE TOUCHES' or 'board face MACHINE [READINGS]'; 'perpend board --help' says more"
MISTAKES = [
    ([], USE), (["survey", FOUND], USE), (["look", FOUND, exact], USE), (["face"], USE), (["face", "a", "b", "c"], USE),
    (["face", MACHINE, "--add"], "board: --add, --zero and --picture belong to board survey"),
    (["face", "bare.yaml"], "bare.yaml: board is missing; say how large it is: board: {size: [400, 430]}"),
    (["survey", "bare.yaml", "new.yaml", "--add"], "bare.yaml: board is missing; say how large it is: board: {size: [400, 430]}"),
    (["survey", FOUND, exact, "--zero", "here"],
     "board: --zero 'here' is no place; write highest, centre, or X,Y such as 200,150"),
    (["survey", FOUND, exact, "--zero", "3,"], "board: --zero '3,' is no place; write highest, centre, or X,Y such as 200,150"),
    (["survey", FOUND, "none.csv"], "none.csv: there is no such file; check the name and the folder"),
    (["face", write("away.yaml", TERN + "board: {size: [400, 430], at: [500, 0]}\ntravel: {size: [300, 300]}\n")],
     "away.yaml: the board lies outside the travel; check board: at and travel"),
]
for words, said in MISTAKES:
    t.refused(board(*words), 2, said, " ".join(words)[:60] or "nothing")
TABLES = [
    ("x,y,reading\n1,2,3\n2,3,4\n3,4,5\n", "t.csv: too few touches, or all in a line, do not tell how the board lies; add X 20 mm, Y 409 mm"),
    ("x,y,reading\n1,2,3\n", "t.csv: too few touches, or all in a line, do not tell how the board lies; add X 380 mm, Y 409 mm"),
    ("x,reading\n1,2\n", 't.csv:1: column "y" is missing; a table of touches needs x, y and reading'),
    ("x,y,at,reading\n1,2,0,3\n", 't.csv:1: unknown column "at"; the first line must name the columns, of reading, x and y'),
    ("x,y,reading\n1,2,foo\n", 't.csv:2: reading "foo" is not a length; write a number such as 0.05, 0.05 mm, 2 thou or 1/4 in'),
    ("perpend: 1\nsweeps:\n- readings: [{at: 0, reading: 1}]\n",
     't.csv:3: sweep 1: reading 1: unknown key "at"; a touch takes reading, x and y'),
    ("perpend: 1\nsweeps:\n- readings: [{x: 1, reading: 1}]\n",
     "t.csv:3: sweep 1: reading 1: a touch needs x, y and reading; write all three"),
    ("perpend: 1\nsweeps:\n- readings: [{x: 1, y: 2, reading: 1}]\n- readings: [{x: 1, y: 2, reading: 1}]\n",
     "t.csv:4: sweep 2: a survey is one sweep of at most 256 touches"),
]
for text, said in TABLES:
    t.refused(board("survey", FOUND, write("t.csv", text)), 2, said, text.splitlines()[-1])
many = "x,y,reading\n" + "1,2,3\n" * 257
t.refused(board("survey", FOUND, write("t.csv", many)), 2, "t.csv:2: a survey is one sweep of at most 256 touches", "257 touches")
MACHINES = [
    ("board: {size: 400}\n", "board: size must be two numbers in brackets, along X and along Y, such as [400, 430]"),
    ("board: {size: [400, 0]}\n", 'board: size "0" is under 1 mm; check the number and its unit'),
    ("board: {size: [400, 430], metal: [{x: 1, under: 2}]}\n", "board: metal 1: y is missing; metal needs x, y and under"),
    ("travel: {at: [0, 0]}\n", "travel: size is missing; travel needs size"),
    ("feed: 0\n", 'feed "0" is under 0.1 mm; check the number and its unit'),
    ("speed: fast\n", 'speed "fast" is not a number; use 1 to 200000'),
    ("BED: {kind: as found, slope: [1, 2]}\n", "bed: slope goes with uncertainty; write both, as perpend board survey gives them"),
    ("BED: {kind: as found, slope: 1, uncertainty: 0.1}\n",
     "bed: slope must be two numbers in brackets, along X and along Y, such as [400, 430]"),
    ("BED: {kind: as found, slope: [1, 2], uncertainty: -1}\n", 'bed: uncertainty "-1" is out of range; use 0 to 100'),
]
for text, said in MACHINES:
    machine = TERN.replace("bed: faced\n", "") + text.replace("BED", "bed")
    run = board("survey", write("w.yaml", machine), exact)
    t.refused(run, 2, f"w.yaml:{len(machine.splitlines())}: {said}", text.strip())
place.cleanup()
t.done()
