#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""What solve says in words, case by case: doubts, adjustments, shims, shortfalls, inches."""
import json
import pathlib
import re
import tempfile

import tap

t = tap.Tap()
FOLDER = tempfile.TemporaryDirectory()
TERN = tap.brass_tern(8)
NO_STOCK = TERN[:TERN.index("stock:")]
FINE = NO_STOCK.replace("step: 0.05", "step: 0.01")
# the compass, beside which sentences stand
COMPASS = re.compile(r"^ *(?:(?:back|front) [-\d.]+|(?:left [-\d.]+ )?\+(?: right [-\d.]+)?|[-\d.]+ {7}[-\d.]+|[-\d.]+)"
                     r"(?: {3,}|$)")
AROUND = {4: ["S", "E", "N", "W"], 8: ["N", "NE", "E", "SE", "S", "SW", "W", "NW"]}


def answer(machine, readings, *options):
    path = pathlib.Path(FOLDER.name) / "machine.yaml"
    path.write_text(machine, encoding="utf-8")
    run = tap.perpend("solve", str(path), "-", *(options or ["--more"]), stdin=readings)
    if "--json" not in options:
        run.out = "\n".join(COMPASS.sub("", line) for line in run.out.splitlines())
    return run


def csv(*values, bearings=None):
    """One sweep: at S, E, N, W for four readings, N, NE ... for eight."""
    bearings = bearings or AROUND[len(values)]
    rows = "".join(f"a,{at},{value}\n" for at, value in zip(bearings, values))
    return "sweep,at,reading\n" + rows


def job(first, did, second):
    def sweep(name, values):
        pairs = ", ".join(f"{{at: {at}, reading: {value}}}" for at, value in
                          zip(("front", "right", "back", "left"), values))
        return f"  - name: {name}\n    readings: [{pairs}]\n"
    return f"perpend: 1\nsweeps:\n{sweep('as found', first)}    did: {did}\n{sweep('next', second)}"


def says(run, part, name):
    t.contains(run.sentence(), part, name)


# -- a step that only the lean is better for, in inches -----------------------------------------
GANTRY = """perpend: 1
machine: Gull
unit: in
arm: 6
gauge: {kind: gap, step: 0.001}
cutter: {diameter: 1, corner: 0.0625}
facing: {stepover: "45%", along: X, depth: 0.02}
goal: {ridge: 0.001}
mount:
  - joint: plate
    faces: front
    allows: [shim, slide]
    bolts:
      - {name: top left, at: [-1.5, 2, 7.5], thread: "1/4-20", hole: 0.28125}
      - {name: top right, at: [1.5, 2, 7.5], thread: "1/4-20", hole: 0.28125}
      - {name: bottom left, at: [-1.5, 2, 4], thread: "1/4-20", hole: 0.28125}
      - {name: bottom right, at: [1.5, 2, 4], thread: "1/4-20", hole: 0.28125}
stock: [{thick: 0.002, count: 5}, {thick: 0.004, count: 5, name: brass}, {thick: 0.0006, count: 10}]
"""
run = answer(GANTRY, csv(.154, .076, .046, .124))
says(run, "3 of drink can (4 thou)", "what is only about so thick is not told to the hundredth")
says(run, "a single piece of 31.5 thou", "a single piece is what is wanted")
says(answer(GANTRY.replace(", slide", ""), csv(.154, .1, .046, .1)), "a single piece of 31.5 thou",
     "where millimetres' common sizes are none")
t.lacks(answer(GANTRY.replace(", slide", ""), csv(.154, .076, .046, .124)).out, "For the floor alone",
        "one step alone is the plan")

# -- which way it leans ------------------------------------------------------------------------
for values, want in [((1, .5, 0, .5), "leans back 6.7"), ((0, .5, 1, .5), "leans forward 6.7"),
                     ((.5, 0, .5, 1), "leans right 6.7"), ((.5, 1, .5, 0), "leans left 6.7"),
                     ((1, 0, 0, 1), "leans back 6.7 ± 0.9 mm/m and right 6.7 ± 0.9 mm/m")]:
    says(answer(NO_STOCK, csv(*values)), want, f"{values}: {want}")
says(answer(NO_STOCK, csv(1, .5, 0, .5)), "Sideways nothing to speak of.",
     "what is within its ± is as good as none")
says(answer(NO_STOCK, csv(.5, .5, .5, .5)), "The top stands upright as far as this sweep can tell: back 0.0",
     "no lean that the sweep can tell")

says(answer(NO_STOCK, csv(1, .5, 0, .5).replace("a,", "1,")), "Tern, sweep 1 4 readings, ± is 95 %",
     "a sweep that is called by a number")

# -- doubts ------------------------------------------------------------------------------------
three = answer(NO_STOCK, csv(1, .5, 0, bearings=["S", "E", "N"]))
says(three, "Nothing checks three readings", "three readings: nothing checks them")
t.lacks(answer(NO_STOCK, csv(1, .5, 0, .5)).out, "Nothing checks", "four check each other")
off = answer(NO_STOCK, csv(1, .7, .1, .1))
says(off, "READ AGAIN: opposite readings must add up alike; back and front make 1.10, right and left make 0.80",
     "four that do not close: which sums")
says(off, "Take all four again.", "and to take all four again")
says(off, "When the readings have been taken again and stand:", "before anything is adjusted")
t.lacks(answer(NO_STOCK, csv(1, .5, 0, .5)).out, "add up alike", "four that close: no word of it")
eight = answer(FINE, csv(0, .30, .5, .85, 1, .85, .5, .15))
says(eight, "READ AGAIN: back-right: 0.30 looks wrong; about 0.15 expected Read it again. Without it the top leans "
     "back 6.6 ", "a suspect reading, and the answer without it")
says(eight, "times more than gauge, hand and board explain", "scatter beyond the gauge, with its reasons")


# -- the bed -----------------------------------------------------------------------------------
as_found = NO_STOCK.replace("bed: faced", "bed: as found")
says(answer(as_found, csv(1, .5, 0, .5)), "NOT KNOWN YET: this shows lean and bed together",
     "a bed as found: the verdict is not known")
says(answer(as_found, csv(1, .5, 0, .5)), "Sweep at three places that are not in a line, lay float glass under the tip, "
     "or face the board.", "and what to do")
t.equal(answer(as_found, csv(.5, .5, .5, .5)).status, 1, "which is status 1, upright or not")
says(answer(as_found, csv(.5, .5, .5, .5)), "If the bed is true: ridge",
     "upright or not")
says(answer(FINE.replace("kind: gap", "kind: touch"), csv(0, .5, 1, .5)),
     "The tip should scrape at Z", "Z moves when it is the gauge")
three = "sweep,at,reading\n" + "".join(f'"{name}",{at},{value}\n' for name in
    ("as found", "as found, turn 2", "as found, turn 3") for at, value in zip("SENW", (1, .5, 0, .5)))
says(answer(FINE, three), "as found (3 sweeps) 12 readings", "sweeps named after the first are counted")
rows = ""
for name, x, y in (("a", 0, 0), ("b", 200, 0), ("c", 0, 200)):
    for at, u in zip("NESW", ((0, 1), (1, 0), (0, -1), (-1, 0))):
        lean, bed = (.004, .002), (.001, -.0005)
        gap = 1 - bed[0] * x - bed[1] * y - 75 * sum((l + b) * k for l, b, k in zip(lean, bed, u))
        rows += f"{name},{at},{gap:.3f},{x},{y}\n"
apart = answer(as_found.replace("step: 0.05", "step: 0.001"), "sweep,at,reading,x,y\n" + rows)
says(apart, "The bed rises 0.50 ± 0.26 mm/m to the front", "three places: the bed's slope apart")
t.lacks(apart.out, "lean and bed together", "and the lean alone")

# -- the verdict -------------------------------------------------------------------------------
close = answer(NO_STOCK, csv(.65, .5, .35, .5))
t.equal(close.status, 1, "too close to call is status 1")
says(close, "TOO CLOSE TO CALL", "too close to call")
again = answer(NO_STOCK, csv(.3, .3, .3, .6))
t.ok(again.status == 1 and "READ AGAIN" in again.out, "readings in doubt are no goal met: status 1", again.out)
t.ok(re.search(r"Good enough\? (Likely|About even|Unlikely)\.", close.sentence()), "with the chance, in words", close.out)
t.ok(re.search(r"To settle it: .*(sweep .* more|gauge that reads to|arm of|float glass) .*\((mostly works|works half the time|"
               r"works almost always|hardly)\)", close.sentence())
     or "Measuring more hardly settles it" in close.sentence(), "and what would settle it", close.out)
shallow = answer(NO_STOCK.replace("depth: 0.2", "depth: 0.1"), csv(1, .5, 0, .5))
t.lacks(shallow.out, "too shallow", "a cut too shallow for the lean that leaves the floor as it is: no word of it")
both = answer(NO_STOCK.replace("along: X", "along: both"), csv(1, .5, 0, .5))
says(both, "face along Y only", "both ways: feed along the good one only")
says(both, "along X or Y, whichever is worse", "and the worse one is judged")

# -- shims -------------------------------------------------------------------------------------
bare = answer(NO_STOCK, csv(1, .5, 0, .5))
says(bare, "1 top left 0.53 mm", "no stock: the thickness")
says(bare, "The nearest common sizes will do, such as 0.55 mm for 0.53 mm.", "and the nearest common size")
t.lacks(bare.out, "kitchen foil", "nobody stacks thirty foils")
says(answer(TERN, csv(1, .5, 0, .5)), "The leaves on hand make 0.20 mm at the clamp plate; 0.53 mm is "
     "needed", "a stock that runs out: what it makes and what is needed")
enough = TERN.replace("count: 8", "count: 40")
says(answer(enough, csv(1, .5, 0, .5)), "0.50 mm: 10 × 0.05 mm brass", "a stack from the stock")
says(answer(enough, csv(1, .5, 0, .5)),
     "10 leaves in one place spring: a single piece of 0.55 mm sits better.", "many leaves spring")
says(answer(TERN, csv(5, .5, -4, .5)), "another 4.61 mm would make up the rest.",
     "no dozens of drink can")

# -- the second adjustment of a job: what is in the mount by then ------------------------------
def after(did, front, back):
    return answer(TERN, job((.7, .5, .3, .5), did, (front, .5, back, .5)))


says(after("plan", 0.70, 0.32), "None of the leaves left on hand fits here. The nearest common sizes "
     "will do, such as 0.25 mm for 0.26 mm.", "all leaves used: the thickness")
MORE = TERN.replace("count: 8", "count: 12")
says(answer(MORE, job((.7, .5, .3, .5), "plan", (.3, .5, .7, .5))), "Change "
     "the shims:", "too far: what went in comes out")
OWN = ("[{joint: clamp plate, bolt: top left, shim: 0.15}, "
       "{joint: clamp plate, bolt: top right, shim: 0.15}]")
says(after(OWN, 0.7, 0.3), "0.05 mm: 1 × 0.05 mm brass", "two of eight leaves are left, one a bolt")
t.lacks(after(OWN, 0.7, 0.3).out, "Taking out", "and nothing to take out where it would go in")

# -- a goal that no lean keeps -----------------------------------------------------------------
round_bit = NO_STOCK.replace("diameter: 22, corner: 0", "diameter: 22, corner: 11")
says(answer(round_bit, csv(1, .5, 0, .5)), "no lean keeps that goal: take a smaller stepover.", "a round bit and a wide stepover")
t.lacks(answer(NO_STOCK, csv(1, .5, 0, .5)).out, "no lean keeps", "no word of it with a flat one")

# -- slides and shortfalls ---------------------------------------------------------------------
ALONG_Y = NO_STOCK.replace("along: X", "along: Y")
side = answer(ALONG_Y, csv(.5, .75, .5, .25))
says(side, "Turn the whole plate clockwise, seen from the front, until the gap at the left has grown by",
     "side lean on a front plate is a turn of it")
side = answer(ALONG_Y.replace("ridge: 0.02", "ridge: 0.005"), csv(.5, .6, .5, .4))
says(side, "Turn the whole plate about bottom left", "where the play suffices one bolt stays")
far = answer(ALONG_Y, csv(.5, 1.5, .5, -.5))
says(far, "The play of the bolts in the clamp plate allows 0.25 mm; 0.67 mm is needed",
     "play that runs out: how much there is and how much is needed")
only_shim = ALONG_Y.replace("[shim, slide]", "[shim]")
says(answer(only_shim, csv(.5, 1, .5, 0)), "No joint of this mount can turn the spindle to the left "
     "or right", "an axis that no joint serves")
# taking out the lean that can be taken out would make this one's ridge higher
both = FINE.replace("[shim, slide]", "[shim]").replace("along: X", "along: both")
worse = answer(both.replace("ridge: 0.02", "ridge: 0.005"), csv(.93, .83, .07, .17))
plan = json.loads(answer(both.replace("ridge: 0.02", "ridge: 0.005"), csv(.93, .83, .07, .17), "--json").out)
plan = plan["measurements"][0]
t.ok(plan["plan"]["ridge"] > plan["ridge"]["height"] + 0.001, "a plan that makes the ridge higher", plan)
says(worse, f"Leave the bolts alone: the lean that this mount can take out now would leave a ridge of "
     f"{plan['plan']['ridge']:.3f} mm, higher than it is. No joint of this mount can turn the spindle "
     "to the left or right.", "is not advised, and it says for want of what")
t.lacks(worse.out, "loosen", "and no bolt is loosened for it")
says(answer(both.replace("ridge: 0.02", "ridge: 0.005"), csv(.93, .5, .07, .5)), "What to do:",
     "the same mount is adjusted where that helps")
FLANGE = TERN[:TERN.index("mount:")] + """mount:
  - joint: flange
    faces: up
    allows: [shim]
    bolts:
      - {name: bl, at: [-30, 40, 130]}
      - {name: br, at: [30, 40, 130]}
      - {name: fl, at: [-30, -40, 130]}
      - {name: fr, at: [30, -40, 130]}
stock:
  - {thick: 0.05, count: 5}
"""
says(answer(FLANGE, csv(1, .9, 0, .1)), " for the lean to the left or right; ",
     "a joint that falls short both ways says for which lean")

# -- what stays when it is good enough -----------------------------------------------------------
good = answer(NO_STOCK.replace("ridge: 0.02", "ridge: 0.03").replace("along: X", "along: Y"),
              csv(1, .5, 0, .5))
says(good, "What stays: deep cuts and drilled holes run off 0.067 mm per 10 mm of depth.",
     "what is good enough for the floor is not for a drilled hole")
t.lacks(answer(NO_STOCK, csv(.56, .5, .44, .5)).out, "What stays:", "a small one goes without a word")
no_mount = NO_STOCK[:NO_STOCK.index("mount:")]
t.lacks(answer(no_mount, csv(1, .5, 0, .5)).out, "oosen", "no mount, no steps")

# -- what an adjustment showed -----------------------------------------------------------------
FOUND = (1, .5, 0, .5)
says(answer(FINE, job(FOUND, "plan", (.75, .5, .25, .5))), "After tightening, about half sprang back. "
     "The plan allows for it.", "half sprang back")
with open(tap.TERN, encoding="utf-8") as file:
    says(answer(file.read(), job(FOUND, "plan", FOUND)), "Asked 6.2 mm/m, got 0.0 mm/m: was it the amount, the bolt, "
         "the end, or the readings?", "with feeler leaves, too, the same readings are a surprise")
surprise = answer(FINE, job(FOUND, "plan", (1.5, .5, -.5, .5)))
says(surprise, "Asked 6.7 mm/m, got -6.7 mm/m: was it the amount, the bolt, the end, or the readings? The plan leaves "
     "that out.", "the wrong way")
says(answer(FINE, job(FOUND, "plan", (.5, 1.2, .5, -.2))), "got 6.7 mm/m, and 9.3 mm/m to the side", "the wrong bolts")
says(answer(FINE, job(FOUND, "plan", (.5, .75, .5, .25))), "Last time the top also moved sideways, by about half of what was asked",
     "off the way")
says(answer(FINE, job(FOUND, "plan", (.35, .5, .65, .5))), "The top moved about a third too far last time",
     "more than was asked")
says(answer(FINE, job(FOUND, "plan", (.5, .5, .5, .5))), "The mount did what you asked of it.", "as asked")
t.lacks(answer(FINE, job(FOUND, "plan", (.5, .5, .9, .5))).out, "The mount",
        "nor is anything made of readings that do not agree")
nothing = answer(FINE, job(FOUND, "nothing", FOUND)).out
t.lacks(nothing, "you asked", "nothing was done: nothing was learned")
t.ok("\nas found: back 6.7" in nothing, "a line for each earlier measurement", nothing)

# -- inches ------------------------------------------------------------------------------------
INCH = """perpend: 1
machine: Old mill
unit: in
arm: 4
gauge: {kind: dial, rises: toward, step: 0.0005}
cutter: {diameter: 2}
facing: {stepover: 60%, along: X, depth: 0.01}
goal: {ridge: 0.0005}
bed: faced
mount:
  - joint: head
    faces: up
    allows: [screw]
    bolts:
      - {name: fl, at: [-2, -2, 6], thread: M10}
      - {name: fr, at: [2, -2, 6], thread: M10}
      - {name: bl, at: [-2, 2, 6], thread: M10}
      - {name: br, at: [2, 2, 6], thread: M10}
"""
inch = answer(INCH, csv(.002, .011, .020, .011))
says(inch, "leans back 27 ± 4 thou/ft", "a slope in thou/ft")
says(inch, "goal 0.5 thou", "a goal in thou")
says(inch, "Ridge with the 2 in bit, 1.2 in stepover", "a bit in inches")
says(inch, "now 0.0200", "a dial's reading as it shows it")
says(inch, "2.3 thou per inch of depth", "what the lean costs, per inch")
says(inch, "head: ease", "a flange")
says(inch, "ease the bolts that clamp a quarter turn, not the push screws",
     "push screws are not what clamps")
says(inch, "Tighten the bolts that clamp crosswise", "nor what is tightened")
t.ok(re.search(r"bl\s+0\.1\d turn in, clockwise\s+\(5\d°\)", inch.out), "push screws in turns", inch.out)
t.lacks(inch.out, " mm", "no millimetres for a machine in inches")

# -- names that people give --------------------------------------------------------------------
odd = answer(NO_STOCK.replace("machine: Tern", 'machine: "T\\e[2J\\nx\\u202Ey"'), csv(1, .5, 0, .5))
t.ok(odd.status == 2 or odd.out.startswith("T?[2J?x?y, a: 4 readings"),
     "a name cannot move the cursor", odd.out[:80] + odd.err)
t.ok("\x1b" not in odd.out + odd.err, "no escape gets through")
accent = NO_STOCK.replace("machine: Tern", "machine: Möwe 船")
t.ok(answer(accent, csv(1, .5, 0, .5)).out.startswith("Möwe 船, a"), "other scripts as they are")
t.ok(answer(accent, csv(1, .5, 0, .5), "--ascii").out.startswith("M?we ?, a"), "and '?' in ASCII")
t.done()
