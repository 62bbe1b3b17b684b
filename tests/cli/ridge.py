#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""perpend ridge: figures against the textbook, the options, and the mistakes."""
import json
import math
import pathlib
import tempfile

import tap

t = tap.Tap()
BIT = ["--bit", "22", "--stepover", "10"]


def answer(*options):
    run = tap.perpend("ridge", *options, "--json")
    return json.loads(run.out) if run.out else {"error": run.err}


def near(got, want, name, tolerance=1e-9):
    t.ok(got is not None and abs(got - want) <= tolerance * max(1.0, abs(want)), name,
         f"got {got}, want {want}")


# -- limits from machining handbooks (from memory): see docs/method.md ----------------------------
across = answer("--lean-back", "6.67", *BIT)
near(across["ridge"]["height"], 10 * 0.00667, "lean across the feed: stepover times its slope")
near(across["ridge"]["ra"], across["ridge"]["height"] / 4, "a sawtooth's Ra is a quarter of it", 1e-6)
near(across["ridge"]["drop"], 22 * math.sin(math.atan(0.00667)), "the disc's drop across its width")
along = answer("--lean-right", "6.67", *BIT)
near(along["ridge"]["height"], 0.00667 * (22 - math.sqrt(22**2 - 10**2)) / 2,
     "lean along the feed: the hollow of a leaning face cutter", 1e-4)
near(along["ridge"]["bottom_radius"], 11 / math.sin(math.atan(0.00667)),
     "one pass's floor has the radius r / sin(lean)", 1e-4)
near(across["ridge_y"], along["ridge"]["height"], "turning the world by a quarter turn")
near(across["lean"]["toward"], 0, "back is bearing 0")
near(along["lean"]["toward"], 90, "right is bearing 90")
near(across["ridge"]["best"]["along"] % 180, 0, "the best feed runs along the lean", 1e-3)

# -- the same question asked in other ways --------------------------------------------------------
for other in (["--lean", "6.67", "--toward", "back"], ["--lean", "6,67"],
              ["--lean=6.67", "--toward=N"], ["--lean", "6.67", "--toward", "0"],
              ["--lean-back", "6.67", "--lean-right", "0"]):
    t.equal(answer(*other, *BIT)["ridge"], across["ridge"], f"asked as {' '.join(other)}")
t.equal(answer("--lean-back", "6.67", "--bit", "22", "--stepover", "45%")["facing"]["stepover"],
        22 * 0.45, "a stepover as a share of the bit")
inch = answer("--lean-back", str(6.67 * 12), "--bit", "22 mm", "--stepover", "10mm", "--unit", "in")
near(inch["ridge"]["height"], across["ridge"]["height"], "80.04 thou/ft is 6.67 mm/m", 1e-12)
for along_option, bearing in (("X", 90), ("y", 0), ("right", 90), ("37", 37), ("SE", 135)):
    near(answer("--lean", "1", *BIT, "--along", along_option)["facing"]["along"], bearing,
         f"--along {along_option}")
both = answer("--lean-back", "6.67", *BIT, "--along", "both")
t.equal((both["facing"]["along"], both["ridge"]["height"]), (None, across["ridge"]["height"]),
        "both ways: the larger ridge counts")

# -- backwards from a goal ------------------------------------------------------------------------
goal = answer("--goal", "0.02", *BIT, "--arm", "75", "--step", "0.05")
t.equal((goal["ridge"], goal["lean"], goal["limits"]["stepover"]), (None, None, None),
        "without a lean there is no ridge and no stepover to give")
near(goal["limits"]["lean"], 2.0, "0.02 mm over 10 mm: 2 mm/m", 1e-4)
near(goal["limits"]["opposite_reading"], 0.30, "on a 75 mm arm 0.30 mm between front and back", 1e-4)
near(goal["means"]["agree"], 0.245, "and 0.245 as read, by an arm and leaves that are unsure themselves", 1e-3)
t.equal(goal["means"]["fine_enough"], True, "0.05 mm leaves are fine enough for 0.02 mm")
coarse = answer("--goal", "0.001", *BIT, "--arm", "75", "--step", "0.05")
said = tap.perpend("ridge", "--goal", "0.001", *BIT, "--arm", "75", "--step", "0.05").sentence()
t.contains(said, "A gauge that reads to 0.05 mm is too coarse for that at 4 readings a sweep: it takes an "
           "arm of ", "no step would do, for waves and hand are more")
t.equal(coarse["means"]["fine_enough"], False, "and too coarse for 0.001 mm")
step, arm = coarse["means"]["step_needed"], coarse["means"]["arm_needed"]
for name, want, options in (("the gauge step", step, ["--arm", "75", "--step", str(0.999 * (step or 0))]),
                            ("the arm", arm, ["--arm", str(1.001 * (arm or 0)), "--step", "0.05"])):
    if want is None:
        t.ok(True, f"no {name} would do")
        continue
    again = answer("--goal", "0.001", *BIT, *options)
    t.equal(again["means"]["fine_enough"], True, f"{name} it asks for ({want}) would do")
check = answer("--lean-back", str(goal["limits"]["lean"] * (1 - 1e-9)), *BIT, "--goal", "0.02")
t.equal(check["ridge"]["verdict"], "met", "the largest lean keeps the goal")
check = answer("--lean-back", str(goal["limits"]["lean"] * 1.001), *BIT, "--goal", "0.02")
t.equal(check["ridge"]["verdict"], "not met", "a larger one does not")
wide = answer("--lean-back", "1.5", *BIT, "--goal", "0.02")["limits"]["stepover"]
near(answer("--lean-back", "1.5", "--bit", "22", "--stepover", str(wide))["ridge"]["height"], 0.02,
     "the largest stepover leaves just the goal", 1e-6)

# -- statuses and words ---------------------------------------------------------------------------
t.equal(tap.perpend("ridge", "--lean-back", "6.67", *BIT).status, 0, "no goal: status 0")
t.equal(tap.perpend("ridge", "--lean-back", "1", *BIT, "--goal", "0.02").status, 0, "met: status 0")
run = tap.perpend("ridge", "--lean-back", "6.67", *BIT, "--goal", "0.02", "--depth", "0.2")
t.equal(run.status, 1, "goal not met: status 1")
t.contains(run.sentence(), "Ridge 0.0667 mm feeding along X, roughness Ra 0.0167 mm; over the goal of 0.02 mm",
           "in words")
for depth in ("0.2", "0.1", "0.07"):
    run = tap.perpend("ridge", "--lean-back", "6.67", *BIT, "--depth", depth)
    t.lacks(run.sentence(), "old face", f"the far side rises 0.147 mm: what a cut of {depth} mm leaves, the next pass takes")
run = tap.perpend("ridge", "--lean-back", "6.67", *BIT, "--depth", "0.06")
t.contains(run.sentence(), "A cut of 0.06 mm is less than the ridge: stripes of the old face stand.",
           "but not where the ridge is more than the cut")
run = tap.perpend("ridge", "--lean", "3", "--bit", "22", "--corner", "5", "--stepover", "18", "--goal", "0.02",
                  "--arm", "75", "--step", "0.05")
t.contains(run.sentence(), "lean none: the bit's rounded corners leave more, even upright",
           "a goal that no lean keeps, as the corners leave cusps")
t.contains(run.sentence(), "No arm and no gauge help here", "nor any arm or gauge")
t.lacks(run.out, "nan", "and no number is made of it")
t.contains(tap.perpend("ridge", "--lean", "3", *BIT, "--goal", "1").sentence(),
           "any that the bit can cut, at this lean", "a goal that every stepover keeps")
t.contains(tap.perpend("ridge", "--lean", "0", *BIT).out, "The spindle stands straight.", "no lean")
run = tap.perpend("ridge", "--machine", tap.TERN)
t.equal((run.status, run.err), (0, ""), "a machine file alone: what its goal needs")
t.contains(run.sentence(), "A gauge that reads to 0.05 mm is fine enough for that at 4 readings a sweep: the ridge is "
           "sure to stay within 0.02 mm while front and back, and left and right, read no more than ", "before anyone starts")
agree = run.sentence().split("read no more than ")[1].split(" mm")[0]
t.contains(tap.perpend("solve", tap.TERN, tap.AS_FOUND, "--more").sentence(),
           f"front and back, and left and right, read no more than {agree} mm apart.", "solve says the same difference")
t.contains((tap.ROOT / "README.md").read_text(encoding="utf-8").replace("\n", " "),
           f"read no more than {agree} mm apart.", "and so does README.md")
with tempfile.TemporaryDirectory() as folder:
    found = pathlib.Path(folder) / "found.yaml"
    found.write_text(pathlib.Path(tap.TERN).read_text(encoding="utf-8").replace("bed: faced", "bed: as found"),
                     encoding="utf-8")
    said = tap.perpend("ridge", "--machine", str(found)).sentence()
t.contains(said, "sure to stay within 0.02 mm, once the bed is faced, while front and back",
           "on a bed as found opposite readings show its slope, too")
said = tap.perpend("ridge", "--lean", "2", "--toward", "left", *BIT).sentence()
t.contains(said, "The top leans left by 2.00 mm/m. ", "a lean one way is not said to be none the other way")
t.equal(answer("--machine", tap.TERN, "--goal", "0.005")["goal"], 0.005,
        "an option beside the machine file wins")
said = tap.perpend("ridge", "--lean", "2", "--toward", "left", *BIT).sentence()
t.contains(said, "The top leans left by 2.00 mm/m. ", "a lean one way is not said to be none the other way")
t.equal(answer("--machine", tap.TERN, "--goal", "0.005")["bit"]["diameter"], 22,
        "the rest is the machine's")
t.contains(tap.perpend("ridge", "--lean-back", "80", "--bit", "7/8", "--stepover", "40%", "--unit",
                       "in").out, "0.875 in bit, 0.35 in stepover", "inches and fractions")
lines = tap.perpend("ridge", "--machine", tap.TERN, "--lean-back", "6.67",
                    env=tap.environment(COLUMNS=60)).out.splitlines()
t.ok(max(map(len, lines)) <= 60, "60 columns", lines)

# -- mistakes -------------------------------------------------------------------------------------
LENGTH = ("a length; write a number, with mm, cm, um, in, \" or thou where needed")
MISTAKES = [
    ([], "say which bit: --bit D, or --machine FILE"),
    (["--bit", "22"], "say how far apart the passes are: --stepover S, or --machine FILE"),
    (BIT, "say what to work out: a lean (--lean-back, --lean-right) or a --goal"),
    (["--lean", "1", *BIT, "tern.yaml"],
     "'tern.yaml' has no option before it; a machine file goes with --machine"),
    (["--lean", "1", "--lean-back", "1", *BIT],
     "give the lean either as --lean-right and --lean-back or as --lean and --toward"),
    (["--toward", "back", *BIT], "--toward wants --lean, how far it leans that way"),
    (["--lean", "1", "--toward", "up", *BIT], "--toward 'up' is not a bearing; write a name (front, "
     "back-right), compass letters (S, NE) or degrees"),
    (["--lean", "one", *BIT], "--lean 'one' is not a number; write one like 6.67"),
    (["--lean", "nan", *BIT], "--lean 'nan' is not a number; write one like 6.67"),
    (["--lean", "1.2.3", *BIT], "--lean '1.2.3' is not a number; write one like 6.67"),
    (["--lean", "1e999", *BIT], "--lean '1e999' is not a number; write one like 6.67"),
    (["--lean", "600", *BIT], "that lean is more than 500 mm/m; give it in mm per metre, or in thou "
     "per foot with --unit in"),
    (["--lean", "1", "--bit", "22 furlongs", "--stepover", "10"],
     f"--bit '22 furlongs' is not {LENGTH}"),
    (["--lean", "1", "--bit", "", "--stepover", "10"], f"--bit '' is not {LENGTH}"),
    (["--lean", "1", "--bit", "-22", "--stepover", "10"],
     "--bit must be more than 0, and at most 100 m"),
    (["--lean", "1", "--bit", "22", "--stepover", "0"],
     "--stepover must be more than 0, and at most 100 m"),
    (["--lean", "1", "--bit", "22", "--stepover", "x%"],
     "--stepover 'x%' is not a share of the bit; write one like 45%"),
    (["--lean", "1", "--bit", "22", "--stepover", "%"],
     "--stepover '%' is not a share of the bit; write one like 45%"),
    (["--lean", "1", "--bit", "22", "--stepover", "-45%"],
     "--stepover must be more than 0, and at most 100 m"),
    (["--lean", "1", *BIT, "--corner", "12"], "--corner must be from 0 to half the bit's diameter"),
    (["--lean", "1", *BIT, "--corner", "-1"], "--corner must be from 0 to half the bit's diameter"),
    (["--lean", "1", *BIT, "--goal", "0"], "--goal must be more than 0, and at most 100 m"),
    (["--lean", "1", *BIT, "--depth", "-1"], "--depth must be more than 0, and at most 100 m"),
    (["--lean", "1", *BIT, "--unit", "cm"], "--unit 'cm' is neither mm nor in"),
    (["--lean", "1", *BIT, "--readings", "2"],
     "--readings '2' is not a whole number from 3 to 64"),
    (["--lean", "1", *BIT, "--readings", "4.5"],
     "--readings '4.5' is not a whole number from 3 to 64"),
    (["--lean", "1", *BIT, "--along", "Z"], "--along 'Z' is no feed; write X, Y, both, a name such as "
     "back-right, or degrees"),
    (["--lean", "1", "--bit", "22", "--stepover", "23"], "the stepover is wider than the bit cuts, "
     "stripes would stand; make --stepover smaller than the bit"),
    (["--lean", "1", "--bits", "22"], "unknown option '--bits'; did you mean '--bit'? There are "
     "--lean-right, --lean-back, --lean, --toward, --bit, --corner, --stepover, --along, --depth, --goal, --arm, "
     "--step, --readings, --machine, --unit, --picture, --json, --ascii and --help"),
    (["--lean"], "--lean wants a value after it"),
]
for words, line in MISTAKES:
    t.refused(tap.perpend("ridge", *words), 2, f"ridge: {line}", " ".join(["ridge", *words])[:60])
with tempfile.TemporaryDirectory() as folder:
    bad = pathlib.Path(folder) / "bad.yaml"
    bad.write_text("perpend: 1\nunit: [mm\n", encoding="utf-8")
    run = tap.perpend("ridge", "--machine", str(bad))
    t.ok(run.status == 2 and run.out == "" and run.err.startswith(f"perpend: {bad}:")
         and run.err.count("\n") == 1, "a bad machine file: file, line, one line", run.err)
t.done()
