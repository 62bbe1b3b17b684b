#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""perpend sweep through a pipe: a whole job, which machine, every word, what was done, a job that was
stopped, beds as found, units and gauges, and what it looks like."""
import json
import os
import re
import resource
import signal

import tap
import talk
from sitting import AS_FOUND, GOOD, ask, ending_of, fresh_folder, log_of, readings, session, tern

t = tap.Tap()
TOLD = "SELECT bolt, move, round(amount, 9), round(shift_right, 9) FROM did_entry ORDER BY did, ordinal"


def sitting(*lines, machine=None, **more):
    """One session in a folder of its own; where, and the finished run."""
    place = fresh_folder(machine)
    return place, session(place, *lines, **more)


def sweep(*lines, **more):
    """One of four bearings, with these lines from its first reading on, then stopped."""
    return sitting("4", *lines, "stop", **more)


def says(run, part, name):
    t.contains(run.sentence(), part, name)


# -- a whole job -------------------------------------------------------------------------------
folder, run = sitting(*AS_FOUND, "done", "0.7", "0.5", "0.3", "0.5", "yes", *GOOD, "end")
t.equal((run.status, run.err), (0, ""), "a job of three sweeps, the goal met: status 0")
t.equal(readings(folder), [("front", 1.0), ("right", 0.5), ("back", 0.0), ("left", 0.5),
                           ("front", 0.7), ("right", 0.5), ("back", 0.3), ("left", 0.5)] +
        [(at, 0.3) for at in ("front", "right", "back", "left")], "all twelve readings are in the log")
t.equal((talk.did(log_of(folder), 1), ending_of(folder)), (["plan", "plan"], "done"), "and what was done")
exported = tap.perpend("log", "export", "1", "--format", "job", "--log", log_of(folder)).out
solved = json.loads(tap.perpend("solve", os.path.join(folder, "tern.yaml"), "-", "--json", stdin=exported).out)
stored = ask(folder, "SELECT lean_right, lean_back, ridge FROM answer ORDER BY ordinal")
want = [(m["lean"]["right"] / 1000, m["lean"]["back"] / 1000, m["ridge"]["height"]) for m in solved["measurements"]]
t.ok(len(stored) == 3 and all(abs(a - b) < 1e-8 for got, row in zip(stored, want) for a, b in zip(got, row)),
     "the answers in the log are those of solve on the same readings", f"{stored}\n{want}")
first = tap.perpend("solve", os.path.join(folder, "tern.yaml"), tap.AS_FOUND).out
t.contains(run.out, first, "and so is the screen, word for word")
for part in ("Front is where you stand.", "Unplug the spindle", "never run it with the arm in it", "set Z so that",
             "Ridge so far: 0.067 mm, 0.0", "as found, under 0.001 mm now.", "In the mount now: ",
             "perpend log show 1 --log log.sqlite", "Take the arm out", "home, and zero again"):
    t.ok(part.lower() in run.sentence().lower(), f"it says: {part}", run.out)
words = len(sitting(*AS_FOUND, "", *GOOD, "")[1].out.split())
print(f"# a faultless session of two sweeps says {words} words")
t.ok(words <= 445, "a faultless session of two sweeps takes no more than 445 words", words)
run = tap.perpend("sweep", "--log", "the boat's log", stdin="\n".join([*AS_FOUND, "end", ""]), cwd=fresh_folder())
says(run, "perpend log show 1 --log 'the boat'\\''s log'; as a page", "a log's name is quoted where a shell needs it")

# -- kept means kept ---------------------------------------------------------------------------
folder = fresh_folder()
live = talk.Talk("sweep", "tern.yaml", "--log", "log.sqlite", cwd=folder)
live.say("4")
t.equal(os.path.exists(log_of(folder)) and talk.jobs(log_of(folder)), [], "no job before the first reading")
good = True
for number, line in enumerate(["1", "0,5 mm", "0", "20 thou"]):
    live.question()
    live.answer(line)
    while "kept: " not in live.text[live.seen:]:
        live._read(30)
    good = good and len(readings(folder)) == number + 1
t.ok(good, "a reading is in the log by the time it is said to be kept")
live.question()
t.equal(re.findall(r"^kept: .*$", live.text, re.MULTILINE),
        ["kept: front 1.00 mm", "kept: right 0.50 mm", "kept: back 0.00 mm", "kept: left 0.508 mm"],
        "with every digit of it, in the machine's unit")
t.equal((live.end(), [row[0] for row in ask(folder, "SELECT typed FROM reading ORDER BY id")]),
        (1, ["1", "0,5 mm", "0", "20 thou"]), "what was typed is kept beside the number")

# -- a test cut --------------------------------------------------------------------------------
folder, run = sitting("4", "cut", "back 0.10", "list 1", "right 0.1 mm", "list", "cut", "front 9", "undo",
                      "front 8", "stop")
says(run, "Cut two passes side by side along X, 20.90 mm apart", "how a test cut is made")
says(run, "read the floor 2.75 mm to either side", "and where it is read")
says(run, "That is no step along Y: type left or right and how much, such as right 0.08, or 0.", "what is no step is refused")
says(run, "right higher by 0.10 mm", "list shows the steps")
says(run, "taken back: front higher by 9.00 mm", "undo at the second step takes the first one back")
t.equal(run.out.count("Cut two passes side by side"), 3, "and asks for it again")
says(run, "A test cut, ± is 95 %", "a cut alone gives an answer")
t.equal(ask(folder, "SELECT round(bearing, 6), value, cut, typed FROM reading ORDER BY id"),
        [(0.0, 0.1, 1, "back 0.10"), (1.570796, 0.1, 1, "right 0.1 mm"), (3.141593, 9.0, 1, "front 9"),
         (3.141593, 8.0, 1, "front 8")],
        "the steps are in the log")
run = session(folder, "yes", "undo", "front 0.5", "cut", "", "0.5", "0", "left 0.4", "back 0.3", "right 0.35", "stop")
says(run, "taken back: front higher by 8.00 mm", "undo takes back a step")
says(run, "4 readings, a test cut, ± is 95 %", "then the arm sweeps beside it")
exported = tap.perpend("log", "export", "1", "--format", "job", "--log", log_of(folder)).out
t.contains(exported, "{higher: back, step: 0.1}", "the job file has the steps that count")
t.lacks(exported, "{higher: front, step:", "and not those taken back")
solved = tap.perpend("solve", os.path.join(folder, "tern.yaml"), "-", "--more", stdin=exported).out
t.contains(" ".join(solved.split()), "test cut the back higher by 0.10, the right higher by 0.10, the right higher by 0.00",
           "as do all words on it")
folder, run = sitting("", "4", "1", "0.5", "0", "0.5", "no", "cut", "back 0.01", "0", "stop",
                      machine=tern(bed="bed: as found"))
says(run, "NOT KNOWN YET", "lean and bed in one")
says(run, "The bed rises", "a test cut tells them apart")
says(run, "TOO CLOSE", "and the verdict is known")
folder, run = sitting("4", "cut", "stop", machine=tern(cutter="cutter: {diameter: 22, corner: 11}"))
says(run, "This bit has too little flat for a test cut", "a ball end shows no step")

# -- words at the readings ---------------------------------------------------------------------
folder, run = sweep("1", "0.5", "undo", "0.55", "front 0.95", "note the bed is dusty", "NOTE second", "note", "list",
                    "undo 3", "undo x", "undo 1.5", "help", "?")
t.equal(readings(folder), [("front", 0.95), ("right", 0.55)], "undo takes back, a bearing in front corrects")
t.contains(run.out, "taken back: right 0.50 mm", "and says so")
t.contains(run.out, "corrected: front 0.95 mm", "both")
t.equal((len(ask(folder, "SELECT * FROM reading")), len(ask(folder, "SELECT * FROM correction WHERE NOT withdraws"))),
        (3, 1), "history stays")
t.equal([row[0] for row in ask(folder, "SELECT text FROM note ORDER BY id")], ["the bed is dusty", "second"], "notes")
t.contains(run.out, "front        0.95 mm (corrected)", "list shows corrected readings")
t.contains(run.out, "right        0.50 mm (taken back)", "and those taken back")
says(run, "There are only 2 to take back.", "undo of more than there are")
t.equal(run.out.count("Type undo, or undo 2 for the last two."), 2, "undo of nonsense")
t.equal(run.out.count("repeats the last bearing"), 2, "help and ? tell of the words")
folder, run = sweep("again", "again left", "BACK-RIGHT: .25", "NW=0.3", "S 1", "right", "0.5", "left", "undo", "undo 2",
                    "again NW", "0.35", "0.9", "right 0.4")
t.equal(readings(folder), [("back-right", 0.25), ("back-left", 0.3), ("back-left", 0.35), ("front", 0.9),
                           ("right", 0.4)], "bearings by name or letter, to go there, to repeat")
says(run, "There is no reading yet to repeat.", "again without a reading")
says(run, "There is no reading yet to repeat at that bearing.", "or at that bearing")
folder, run = sweep("1", "skip", "0.1", "0.5")
t.equal(readings(folder), [("front", 1.0), ("back", 0.1), ("left", 0.5)], "skip goes past one")
says(run, "Nothing checks three readings", "three readings: nothing checks them")
folder, run = sweep("skip", "1", "0.5", "done", "1", "skip")
says(run, "At least three readings are needed", "two are not enough")
says(run, "The top leans", "three are")
BAD = {"x": '"x" is no reading: type it like 0.5, or left 0.5.', "1.2.3": "is no reading", "nan": "is no reading",
       "1e999": "is no reading", "5 furlongs": "Not a unit known here; mm, cm, um, in,", "left x": "is no reading",
       "-0.1": "type it without the minus", "2000": "1000 mm is the most", "": "Something has to be typed here",
       "back back": "is no reading", "goal 0.1": "Change the machine file before", "again nowhere": "no reading yet"}
folder, run = sweep(*BAD)
for typed, said in BAD.items():
    says(run, said, f"{typed!r}: {said}")
says(run, "Words that work here: again, skip, done, bearings, cut, undo, list, bit, corner, stepover, depth, goal, stock, note, "
     "help, stop.", "and every word that does")
t.equal(talk.jobs(log_of(folder)), [], "and nothing is kept")

# -- likely slips ------------------------------------------------------------------------------
folder, run = sweep("50", "", "1", "50", "no", "0.5", "8", "front 0.95", "8", "0.1", "left 30", "keep")
t.equal(readings(folder), [("front", 0.95), ("right", 0.5), ("back", 0.1), ("left", 30.0)],
        "far from the rest: asked about, put right at once, or kept")
says(run, "50.00 mm is far from what is usual.", "a first one far from usual")
says(run, "50.00 mm is far from 1.00 mm at front.", "the second beside the first")
says(run, "8.00 mm is far from the others, 0.50 mm to 1.00 mm.", "the third beside both")
t.contains(run.out, "not kept: 8.00 mm", "what is not kept is said")
FOUR = ("4", "1", "0.5", "0", "0.5")
TOUCH = tern(gauge="gauge: {kind: touch, step: 0.01}")
for lines, machine, said, last in (
        ((*FOUR, "nothing", "8", "", "0.9"), None, "8.00 mm is far from the 1.00 of the sweep before; right if Z was moved "
         "since.", 0.9),
        ((*FOUR, "done", "8", "y", "7.5", "7.5", "7.5"), None, "8.00 mm is far from the 0.2", 7.5),
        ((*FOUR, "again", "3"), None, "3.00 mm is far from the 1.00 of the sweep before; right if", 0.5),
        ((*FOUR, "other", "1 0.1 left", "2 0.1 left", "3 .1 left", "4 .1 left", "", "3"), None, "", 3.0),
        (("4", "-12.85", "-12.70", "-12.61", "-12.75", "add", "5.0", "keep", "-12.70", "front -12.85"), TOUCH,
         "5.00 mm is far from the -12.85 of the sweep before.", -12.85)):
    folder, run = sitting(*lines, "stop", machine=machine)
    says(run, said, said or "what other moves did is not expected so near")
    t.equal(readings(folder)[-1][1], last, "and what is kept")

# -- bearings ----------------------------------------------------------------------------------
ORDER = {"4": ["front", "right", "back", "left"],
         "eight": ["front", "front-right", "right", "back-right", "back", "back-left", "left", "front-left"],
         "left front right": ["left", "front", "right"], "back, right, front": ["back", "right", "front"],
         "front back right left": ["front", "right", "back", "left"],
         "0 90 180deg 270": ["back", "right", "front", "left"]}
for typed, order in ORDER.items():
    folder, run = sitting(typed, *["0.3"] * len(order), "stop")
    t.equal([at for at, _ in readings(folder)], order, f"{typed!r}: one way round")
many = " ".join(str(360 * i / 64) for i in range(64))
folder, run = sitting("front right", "front front back", "front nowhere left", many + " 1", "own", many, *["0.3"] * 64, "stop")
for said in ("Type 4 or 8, or at least three sides to read at: front right back", '"front" is there twice', '"nowhere" is not a bearing', "At most 64 bearings",
             '"own" is not a bearing: type 4, 8, or names'):
    says(run, said, f"bearings: {said}")
t.equal(len(ask(folder, "SELECT * FROM reading")), 64, "64 bearings")
folder, run = sitting("0 0.0001 180", ".3", ".3", ".5", "skip", "skip", ".4", "stop")
t.ok(run.sentence().count("3 readings cannot tell the lean; add one at left") >= 1 and
     len(ask(folder, "SELECT * FROM answer")) == 1, "the reading that would tell the lean is asked for", run.out)
EIGHT = ("8", "1", "0.85", "0.5", "0.15", "0", "0.15", "0.5", "0.85")
folder, run = sitting(*EIGHT, "nothing", "bearings 4", "0.3", "bearings 8", "0.3", "0.3", "0.3", "nothing", "bearings",
                      "right left back", *["0.3"] * 3, "nothing", "bearings x", "0.3", "stop")
says(run, "That goes before the first reading.", "once something is read the bearings stay")
t.equal([at for at, _ in readings(folder)][8:], ["front", "right", "back", "left", "right", "left", "back", "right"],
        "later sweeps take as many, or others")

# -- what was done -----------------------------------------------------------------------------
folder, run = sitting(*AS_FOUND, "other", "top left 0.5", "2 4 x 0.05 + 0.3", "bottom right -0,05", "yes", "1 9", "undo", "",
                      "y", *GOOD, "end")
t.equal(run.status, 0, "something else was done, bolt by bolt")
t.equal(ask(folder, TOLD), [("top left", "shim", 0.5, 0), ("top right", "shim", 0.5, 0), ("bottom right", "shim", -0.05, 0)],
        "and is in the log bolt by bolt")
t.contains(run.out, "kept: bolts: top left shim 0.5 mm, top right shim 0.5 mm, ", "and said")
folder, run = sitting(*AS_FOUND, "other", "0.5", "middle 0.5", "1", "1 half", "1 1 2", "1 99999", "2 left", "undo", "plan",
                      "other", "1 0", "", "stop")
t.equal(run.out.count("Which bolt? Type its name or number: 1 top left"), 2, "no bolt: which there are")
t.equal(run.sentence().count("Type how much behind it: 0.5, 4 x 0.05 of shim; 0.25 right; 0 for nothing."), 5,
        "no amount: what to type")
t.equal(talk.did(log_of(folder), 1), ["nothing"], "undo leads out again; nought is nothing")
folder, run = sitting(*AS_FOUND, "other", "1 2 left", "", "no", "1 0.2 left", "", "n", "1 .1 left .05 down",
                      "2 .1 left .05 up", "3 .05 down", "4 .05 up", "", "stop")
says(run, "2.00 mm is more than the play of that bolt in its hole, 0.50 mm from one side to the other.", "no hole allows it")
says(run, "No stiff plate moves like that: it is off a shift and a turn by", "no plate makes it")
t.equal(ask(folder, "SELECT bolt, round(shift_right, 9), round(shift_up, 9) FROM did_entry ORDER BY ordinal"),
        [("top left", -0.1, -0.05), ("top right", -0.1, 0.05), ("bottom left", 0, -0.05), ("bottom right", 0, 0.05)],
        "until it is one")
folder, run = sitting(*AS_FOUND, "other", "1 0.5", "2 0.4", "", "yes", "stop")
says(run, "Those shims lie in no plane: one is off by 0.025 mm, so that the joint rocks.", "shims that rock are asked about")
t.equal(len(ask(folder, TOLD)), 2, "and kept when it was so")
SCREWS = tern(**{"    allows": "    allows: [screw]"})
folder, run = sitting(*AS_FOUND, "other", "help", "1 1/4 turn", "2 90 deg", "3 0.5 out", "4 -1/2", "", "stop", machine=SCREWS)
t.equal([row[2] for row in ask(folder, TOLD)], [.25, .25, -.5, -.5], "turns of push screws")
says(run, "in pushes the joint apart there", "have help of their own")
TWO = tern() + ""
TWO = TWO.replace("stock:", """  - joint: foot
    faces: up
    allows: [shim]
    bolts: [{name: fl, at: [-30, -40, 110]}, {name: top left, at: [30, -40, 110]}, {name: b, at: [0, 40, 110]}]
stock:""")
folder, run = sitting(*AS_FOUND, "other", "top left 0.1", "foot top left 0.1", "fl 0.2", "", "y", "stop", machine=TWO)
says(run, "Which bolt? Type its name or number: 1 clamp plate top left", "a name of two joints wants the joint as well")
t.equal(ask(folder, "SELECT joint, bolt FROM did_entry ORDER BY ordinal"), [("foot", "top left"), ("foot", "fl")], "and has it")
folder, run = sitting(*AS_FOUND, "add", "1.00", "0.5", "0.05", "0.5", "nothing", *AS_FOUND[1:], "stop")
t.equal([row[0] for row in ask(folder, "SELECT readings FROM answer")], [8, 4],
        "add: the next sweep counts together with the last; nothing: by itself")
SIDE = (".93", ".83", ".07", ".17")
folder, run = sitting("4", *SIDE, "skip", "skip 9", "skip 3", "stop")
says(run, "Type skip and a step of the plan: 2, 3.", "skip: which steps there are")
t.equal((talk.did(log_of(folder), 1), len({row[1] for row in ask(folder, TOLD)})), (["list"], 1),
        "the plan without its last step")
BRACKET = tern(**{"    allows": "    allows: [shim]"}).replace("stock:", """  - joint: bracket
    faces: right
    allows: [shim]
    bolts: [{name: high, at: [-45, 60, 200]}, {name: low, at: [-45, 60, 140]}]
stock:""")
folder, run = sitting("4", "1.0", "0.6", "0.0", "0.4", "plan", "skip", "stop", machine=BRACKET)
says(run, "For deep cuts and holes only: skip it", "what helps holes only is a choice")
t.equal({row[0] for row in ask(folder, "SELECT joint FROM did_entry")}, {"clamp plate"}, "that one word declines")
folder, run = sitting("4", "1.0", "0.6", "0.0", "0.4", "skip 4", "stop", machine=BRACKET)
t.equal({row[0] for row in ask(folder, "SELECT joint FROM did_entry")}, {"clamp plate"}, "or its number on the screen")
CURLEW = (tap.ROOT / "examples" / "curlew-swivel-head.yaml").read_text(encoding="utf-8")
for amount in ("0.14 deg", "0.11 mm", "head 0.14 clockwise", "-0.11 mm anticlockwise"):
    folder, run = sitting("4", "1.0", ".3", ".1", ".9", "other", amount, "", "stop", machine=CURLEW)
    says(run, "kept: bolts: head turned 0.14° clockwise", f"a head that turns is asked about once: {amount}")
    t.equal(len(ask(folder, "SELECT bolt FROM did_entry WHERE move = 'turn'")), 2, "and is kept of each bolt")
folder, run = sitting(*AS_FOUND, "yes", "undo", "other", "1 0.3", "2 0.3", "", "undo", "left 0.45", "nothing", "0.3", "stop")
t.equal(talk.did(log_of(folder), 1)[-1], "nothing", "undo before the first reading of a sweep takes back what was done")
t.equal(run.out.count("taken back: what you did\n"), 2, "and says so")
t.equal([value for _, value in readings(folder)][-5:], [1.0, 0.5, 0.0, 0.45, 0.3], "a reading before it corrected")
check = tap.perpend("log", "check", "--log", log_of(folder))
t.equal((check.status, check.err), (0, ""), "the log's answers follow from it")
folder, run = sitting(*AS_FOUND, "done", "0.25", "undo", "undo", "undo", "0.55", "stop")
t.equal(readings(folder)[-4:], [("front", 1.0), ("right", .5), ("back", 0.0), ("left", .55)],
        "undo again: the last reading of the sweep before is taken again")
folder, run = sitting(*AS_FOUND, "undo 4", "0.9", "0.5", "0", "0.5", "end")
t.equal((readings(folder)[0], run.status, ending_of(folder)), (("front", 0.9), 1, "done"),
        "undo of a whole sweep; ended with the goal not met: status 1")
folder, run = sitting(*AS_FOUND, "done", *FOUR[1:], "unknown", "as found, left 0.45", "AS FOUND: back .1", "as found, back-left 1", "stop")
t.equal([value for _, value in readings(folder)], [1.0, .5, .1, .45, 1.0, .5, 0.0, .5], "any reading of any sweep is put right")
says(run, "corrected: as found, left 0.45 mm", "and said to be")
says(run, "as found has no reading at back-left.", "or that there is none")
t.equal(len(ask(folder, "SELECT * FROM correction")), 2, "the old ones stay in the history")
folder, run = sitting(*AS_FOUND, "help", "plan", "more", "list", "print", "print", "print my plan.txt", "foo", "stop")
for word in ("done ", "other ", "nothing ", "add ", "again ", "end ", "plan ", "more ", "bit 20 ", "left 0.45 ", "note ...", "stop "):
    t.ok(re.search(rf"(?m)^  {re.escape(word)}", run.out), f"help at what was done names {word}", run.out)
says(run, "The lean also shows elsewhere", "more says more")
says(run, '"foo" is no word here; left 0.5 corrects a reading. Words that work here: done, other, nothing,', "nonsense: the words")
says(run, "There is a file plan-1-1.txt already.", "print replaces nothing")
for name in ("plan-1-1.txt", "my plan.txt"):
    with open(os.path.join(folder, name), encoding="utf-8") as file:
        t.contains(file.read(), "NOT YET", f"{name} holds the answer")
folder, run = sitting(*AS_FOUND, "stepover 5", "stepover x", "bit", "goal 0.5 mm", "stock 0.2 x 9 steel; 0.05 x 2", "stock 7",
                      "end", machine=tern())
t.equal((run.status, ask(folder, "SELECT goal FROM job")), (0, [(0.5,)]), "another stepover, goal and stock: the goal is met")
for said in ("stepover is now 5 for this job; the machine file stays as it is.", 'Not changed: stepover "x" is not a length',
             "Type the new value behind it, as in the machine file: bit 20.", "Not changed: that is no list"):
    says(run, said, said)
text = ask(folder, "SELECT text FROM machine_file JOIN job ON machine_file.id = machine_file")[0][0]
t.ok("stepover: 5" in text and "steel" in text and "ridge: 0.5 mm" in text, "in the log's copy of the file", text)
t.equal([row[0] for row in ask(folder, "SELECT text FROM note")][:2], ["stepover changed to 5", "goal changed to 0.5 mm"], "and noted")
t.equal(tap.perpend("log", "check", "--log", log_of(folder)).status, 0, "and the log is sound")
folder, run = sitting("8", "1.00", "0.85", "0.90", "0.15", "0.00", "0.15", "0.50", "0.85", "", "0.50", "stop")
says(run, "READ AGAIN: right: 0.90 looks wrong; about 0.50 expected", "a suspect reading: what to do first")
t.lacks(run.out[:run.out.index("[right]")], "oosen", "and no plan above it")
t.equal([row for row in readings(folder) if row[0] == "right"], [("right", 0.5)], "Enter goes there to correct it")
folder, run = sitting(*FOUR[:-1], "0.75", "", "0.97", "0.5", "0", "0.5", "again", "undo", "end")
says(run, "Press Enter to take all four again. If you typed one wrong, type it right: left 0.45.", "four that do not close: Enter takes all again")
t.equal(readings(folder), [("front", .97), ("right", .5), ("back", 0.0), ("left", .5)], "which sets the old ones aside")
t.equal(ask(folder, "SELECT DISTINCT why FROM correction"), [("taken again",)], "the log says why")
folder, run = sitting(*AS_FOUND, "end", machine=tern(goal=None))
t.equal(run.status, 0, "without a goal: status 0")
folder, run = sitting(*AS_FOUND, "other", "changed", "tin foil behind the top", *GOOD, "end", machine=tern().split("mount:")[0])
t.equal((run.status, talk.did(log_of(folder), 1), ask(folder, "SELECT text FROM note")),
        (0, ["list"], [("tin foil behind the top",)]), "a machine without a mount: changed is kept with what was said")
folder, run = sitting(*AS_FOUND, "", "end", machine=tern().replace("allows: [shim, slide]", "allows: [slide]"))
says(run, "Tell what you did.", "no joint serves: there is no plan to carry out")

# -- which machine -----------------------------------------------------------------------------
folder = fresh_folder()
tap.copy_stocked_tern(os.path.join(folder, "gull.yml"))
with open(os.path.join(folder, "heron.yaml"), "w", encoding="utf-8") as file:
    file.write(tern(machine="machine: Heron"))
with open(os.path.join(folder, "job.yaml"), "w", encoding="utf-8") as file:
    file.write("perpend: 1\nsweeps: []\n")
os.mkdir(os.path.join(folder, "folder.yaml"))
run = session(folder, "2", *AS_FOUND[:2], "stop")
t.contains(run.out, "A new job on Heron.", "of several, the one chosen by number; job files and folders are none")
t.contains(run.out, "\nwhich: ", "and none is suggested where none was used")
run = session(folder, "", "", "stop")
t.contains(run.out, "which [heron.yaml]: ", "later Enter takes the last one used")
t.contains(run.out, "Going on with job 1", "and goes on with its job")
t.contains(session(folder, "tern.yaml", "stop").out, "A new job on Tern.", "or by name")
for name in ("gull.yml", "heron.yaml", "tern.yaml"):
    os.unlink(os.path.join(folder, name))
t.refused(session(folder), 2, "no machine file in this folder; make one with perpend new, or name it: perpend sweep FILE",
          "none, nor the last one used")
broken = fresh_folder(tern(arm="arm: long"))
run = session(broken)
t.ok(run.status == 2 and "machine.yaml" in run.err and "arm" in run.err, "one with a mistake is named, not passed over", run.err)
t.refused(tap.perpend("sweep", "a", "b"), 2, "sweep: one machine file at most; 'perpend sweep --help' says more", "two")
t.refused(tap.perpend("sweep", "--fresh", "--resume"), 2,
          "sweep: --resume and --fresh say opposite things; leave one out", "--fresh --resume")

# -- stopped, and taken up again ---------------------------------------------------------------
for how in ("stop", "end", signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
    name = how if isinstance(how, str) else signal.Signals(how).name
    folder = fresh_folder()
    live = talk.Talk("sweep", "--log", "log.sqlite", cwd=folder)
    live.say("4", "1", "0.5")
    live.question()
    if how == "stop":
        live.answer("stop")
    elif how != "end":
        live.process.send_signal(how)
    status = live.end() if how == "end" else live.wait()
    t.equal((status, live.error, readings(folder)), (1, "", [("front", 1.0), ("right", 0.5)]), f"{name}: status 1, all kept")
    t.contains(live.text, "Stopped. All that was kept is in the log", f"{name}: and says so")
with open(os.path.join(folder, "tern.yaml"), "a", encoding="utf-8") as file:
    file.write("# longer now\n")
run = session(folder, "", "undo 2", "stop")
t.contains(run.out, "There is an unfinished job on Tern", "the next start offers to go on")
says(run, "The machine file has changed since; this job keeps the old one.", "a changed machine file is noticed")
says(run, "If Z or a bolt has moved since, type undo 2 and take this sweep anew.", "and what to do when something has moved")
t.contains(run.out, "3/4 back:", "two readings tell how many there are to a turn")
run = session(folder, "8", "1", "stop", arguments=["--resume"])
t.contains(run.out, "2/8 front-right", "none does not: it is asked")
run = session(folder, "no", "4", "0.1", "stop")
t.equal((ending_of(folder, 1), readings(folder, 2)), ("given up", [("front", 0.1)]), "no gives the old one up")
run = session(folder, "0.1", "stop", arguments=["--fresh"])
t.equal((ending_of(folder, 2), len(talk.jobs(log_of(folder)))), ("given up", 2), "--fresh does so without asking")
t.refused(session(folder, "stop", arguments=["--resume"]), 2,
          "there is no unfinished job on Tern; leave --resume out to begin one", "--resume without one")
run = session(folder, *AS_FOUND, "stop")
run = session(folder, "planned", "0.3", "stop", arguments=["--resume"])
t.ok(run.out.index("NOT YET") < run.out.index("Sweep 2:"), "stopped at the answer: it is shown again, and the job goes on")
run = session(folder, "0.3", "0.3", "0.3", "end", arguments=["--resume"])
t.contains(run.out, "2/4 right", "stopped in the second sweep: it goes on there")

# -- two at once, drift ------------------------------------------------------------------------
folder = fresh_folder()
one, two = (talk.Talk("sweep", "--log", "log.sqlite", cwd=folder) for _ in range(2))
one.say("4", "1", "0.5")
one.question()
two.say("4", "0.3", "0.3", "0.3", "0.3", "end")
one.say("0", "0.5", "end")
t.equal((two.wait(), one.wait(), len(readings(folder, 1)), len(readings(folder, 2))), (0, 1, 4, 4),
        "two sessions at once keep to jobs of their own")
tap.perpend("log", "note", "--log", "log.sqlite", "--machine", "Tern", "hit\x9b31m the\u202e vice\x7f", cwd=folder)
run = session(folder, *AS_FOUND, "stop")
says(run, "hit?31m the? vice?", "notes since the last job are shown, with nothing that a terminal acts on")

# -- when the disk fails -----------------------------------------------------------------------
folder = fresh_folder()
session(folder, "4", "1", "stop")
size = os.path.getsize(log_of(folder)) + 12000
live = talk.Talk("sweep", "--log", "log.sqlite", "--resume", cwd=folder,
                 preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (size, size)))
try:
    live.say("4")
    for number in range(400):
        live.question()
        live.answer("again" if number % 2 == 0 else "0.5")
except talk.Gone:
    pass
status = live.wait()
acknowledged = live.text.count("kept: ")
t.ok(status == 3 and re.fullmatch(r"perpend: [^\n]+\n", live.error), "a file that cannot grow: one line, status 3", live.error)
t.ok(len(readings(folder)) >= 1 + acknowledged > 1, "and all that was acknowledged is there", acknowledged)
run = tap.perpend("sweep", "--log", "tern.yaml", stdin="4\n1\n", cwd=folder)
t.ok(run.status == 2 and re.fullmatch(r"perpend: tern.yaml: [^\n]+\n", run.err), "a machine file for a log: one line", run.err)
with open(os.path.join(folder, "tern.yaml"), encoding="utf-8") as file:
    t.contains(file.read(), "machine: Tern", "which is as it was")

# -- units, gauges -----------------------------------------------------------------------------
INCH = tern(unit="unit: in", arm="arm: 3", gauge="gauge: {kind: dial, step: 0.0005, rises: toward}",
            cutter="cutter: {diameter: 7/8, corner: 0}", facing="facing: {stepover: 0.4, along: X}",
            goal="goal: {ridge: 0.001}").split("mount:")[0]
folder, run = sitting("4", "-0.0005", "5 thou", "0.1 mm", "1/64", "stop", machine=INCH)
t.equal([round(value, 6) for _, value in readings(folder)], [-0.0127, 0.127, 0.1, 0.396875],
        "a machine in inches: bare numbers, thou, mm, fractions")
t.contains(run.out, "kept: front -0.0005 in", "said in inches")
folder, run = sitting("4", "72", "yes", "70.5", "68 thou", "0.0690", "stop", machine=INCH)
t.equal([round(value / 25.4, 4) for _, value in readings(folder)], [.072, .0705, .068, .069], "72 means 0.072, 70.5 0.0705")
t.equal(run.out.count("72 thou, that is 0.0720 in [yes]"), 1, "after one question")
t.equal(len(re.findall(r"\[yes\]", run.out)), 1, "and no other")
folder, run = sitting("4", "72", "0.072", "12", "no", "stop", machine=INCH)
t.equal([round(value / 25.4, 4) for _, value in readings(folder)], [.072], "or what is typed instead")
folder, run = sitting("4", "-31.25", "-31.30", "-31.40", "-31.32", "stop", machine=TOUCH)
t.equal(len(readings(folder)), 4, "Z at the touch may be negative")
says(run, "lower Z until the tip just scrapes", "and it says how")

# -- a bed as found ----------------------------------------------------------------------------
AS_IT_IS = tern(bed="bed: as found")
folder, run = sitting("x", "", "4", "1", ".5", "0", ".5", "0 0", "200, 0", "1.2", ".7", ".2", ".7", "400 0", "0;200",
                      "1", ".5", "0", ".5", "as found, place 2 left .7", "nothing", "1", ".5", "0", ".5", "stop", machine=AS_IT_IS)
for said in ("Type two numbers, X and Y, like 150 20.", "That place has been swept.", "That is in line with the first two.",
             "Place 2 of 3: move the carriage along X", "The bed rises 0", "The bed rises, as before, ", "corrected: as found, place 2, left 0.70 mm"):
    says(run, said, f"places: {said}")
t.equal(ask(folder, "SELECT name, x, y FROM sweep ORDER BY id"),
        [("as found", 0, 0), ("as found, place 2", 200, 0), ("as found, place 3", 0, 200), ("sweep 2", 0, 200)],
        "a bed as found: three places, and then one is enough")
t.equal(ask(folder, "SELECT readings, includes_bed, bed_right IS NOT NULL FROM answer"), [(12, 0, 1), (4, 0, 1)],
        "lean and bed apart in both answers")
EIGHT = ["1", ".85", ".5", ".15", "0", ".15", ".5", ".85"]
folder, run = sitting("0 0", "8", *EIGHT[:2], ".9", *EIGHT[3:], ".5", "stop", machine=AS_IT_IS)
says(run, "corrected: right 0.50 mm", "a number alone at a doubt is of the reading doubted")
folder, run = sitting("0 0", "8", *EIGHT[:2], ".9", *EIGHT[3:], "", "200 0", *EIGHT, "", "0 200", *EIGHT, "right .9", ".5", "stop", machine=AS_IT_IS)
t.equal([value for bearing, value in readings(folder) if bearing == "right"], [.5, .5, .5],
        "at the answer as well, there or at another place")
says(run, "corrected: as found, place 1, right 0.50 mm", "and it says which place")
folder, run = sitting("0 0", "4", "1", ".5", "0", ".5", "undo", ".5", "enough", "stop", machine=AS_IT_IS)
t.equal(ask(folder, "SELECT readings, includes_bed FROM answer"), [(4, 1)], "one place alone: lean and bed in one")
says(run, "NOT KNOWN YET", "and no verdict")

# -- what the last job left --------------------------------------------------------------------
folder, run = sitting(*AS_FOUND, "done", *GOOD, "end")
run = session(folder, "no", "1 0.35", "top right 0.4", "undo", "2 0.35", "", "x", "5", "", "stop")
for said in ("In the mount from last time: top left 0.50 mm, top right 0.50 mm. On hand: ",
             "Write a whole number from 0 to 1000.", "In the mount from last time: top left 0.35 mm, top right 0.35 mm. "
             "On hand: 5 of 40 brass (0.05 mm)."):
    says(run, said, f"carried: {said}")
says(session(folder, "no", "undo", "", "stop"), "4 or 8", "undo goes back to the question")
run = session(folder, "", *AS_FOUND, "end")
t.equal(ask(folder, "SELECT max(id), count(*) FROM job"), [(2, 2)], "nothing of it is a job before a reading is")

# -- what it looks like ------------------------------------------------------------------------
for width, locale in ((60, "C.UTF-8"), (80, "C.UTF-8"), (60, "C")):
    folder, run = sitting("8", "1", "0.85", "0.5", "again", "0.55", "0.15", "0", "help", "0.15", "0.5", "0.85", "help", "planned",
                          *["0.3"] * 8, "end", env=tap.environment(COLUMNS=width, LC_ALL=locale))
    t.ok(run.status == 0 and all(len(line) <= width for line in run.out.splitlines()), f"{width} columns, {locale}: fits", run.out)
    t.lacks(run.out, "\x1b", "no escape sequences in a pipe")
    t.ok(locale != "C" or run.out.isascii(), "plain ASCII without UTF-8")
    for never in ("foretold", "said to be done", "held against", "slip of the finger", "which is wrong", "in 100"):
        t.lacks(run.sentence(), never, f"not said: {never}")
t.ok(session(fresh_folder(), *AS_FOUND, "stop", arguments=["--ascii"]).out.isascii(), "--ascii")
t.done()
