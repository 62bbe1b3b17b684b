#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""perpend sweep through a pipe: a whole job, what is kept of it, every word that takes a reading, any
bearings, units and gauges, a bed as found; and what it looks like."""
import json
import os
import re

import tap
import talk
from sitting import AS_FOUND, GOOD, ask, ending_of, fresh_folder, log_of, readings, session, tern

t = tap.Tap()


def job_file(folder, name, sweeps):
    """A job file of (name, readings, did)."""
    with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
        json.dump({"perpend": 1, "sweeps": [
            {"name": title, "readings": [{"at": at, "reading": value} for at, value in taken],
             **({"did": did} if did else {})} for title, taken, did in sweeps]}, file)
    return os.path.join(folder, name)


# -- a whole job -------------------------------------------------------------------------------
folder = fresh_folder()
run = session(folder, *AS_FOUND, "planned", "0.7", "0.5", "0.3", "0.5", "planned", *GOOD, "end")
t.equal((run.status, run.err), (0, ""), "a job of three sweeps, the goal met: status 0")
t.equal(readings(folder), [("front", 1.0), ("right", 0.5), ("back", 0.0), ("left", 0.5),
                           ("front", 0.7), ("right", 0.5), ("back", 0.3), ("left", 0.5)] +
        [(at, 0.3) for at in ("front", "right", "back", "left")], "all twelve readings are in the log")
t.equal(talk.did(log_of(folder), 1), ["plan", "plan"], "and what was done")
t.equal(ending_of(folder), "done", "the job has ended")
solved = json.loads(tap.perpend("solve", os.path.join(folder, "tern.yaml"), job_file(folder, "job.yaml", [
    ("as found", list(zip(("front", "right", "back", "left"), (1, .5, 0, .5))), "plan"),
    ("sweep 2", list(zip(("front", "right", "back", "left"), (.7, .5, .3, .5))), "plan"),
    ("sweep 3", [(at, .3) for at in ("front", "right", "back", "left")], None)]), "--json").out)
stored = ask(folder, "SELECT lean_right, lean_back, ridge FROM answer ORDER BY ordinal")
t.equal(len(stored), 3, "three answers are stored")
for number, (right, back, ridge) in enumerate(stored):
    want = solved["measurements"][number]
    got = (right * 1000, back * 1000, ridge)
    t.ok(all(abs(a - b) < 1e-12 for a, b in zip(got, (want["lean"]["right"], want["lean"]["back"],
                                                      want["ridge"]["height"]))),
         f"answer {number + 1} is that of solve on the same readings", f"{got} {want['lean']}")
text = run.sentence()
said = " ".join(tap.perpend("solve", os.path.join(folder, "tern.yaml"), tap.AS_FOUND).out.split())
for sentence in re.findall(r"(NOT GOOD ENOUGH.*?)To take", said):
    t.contains(text, sentence.strip(), "the answer is word for word that of solve")
t.contains(text, "Ridge so far: 0.06", "the second answer tells how the ridge has come down")
t.contains(text, "Since the last sweep the top has come", "and what has changed")
t.contains(text, "As found and as left:", "the end tells what was found and what was left")
t.contains(text, "The record is job 1 in log.sqlite.", "and where the record is")
t.contains(run.out, "▒▒▒", "and shows the ridge round by round")
for caution in ("Unplug the spindle", "never run it with the arm in it", "hold its weight",
                "maker's torque", "home and zero"):
    t.contains(text, caution, f"caution: {caution}")

folder = fresh_folder()
run = tap.perpend("sweep", "--log", "the boat's log", stdin="\n".join([*AS_FOUND, "end", ""]), cwd=folder)
t.contains(run.sentence(), "To see it: perpend log show 1 --log 'the boat'\\''s log'. As a page:",
           "a log's name is quoted where a shell needs it")

# -- kept means kept ---------------------------------------------------------------------------
folder = fresh_folder()
run = talk.Talk("sweep", "tern.yaml", "--log", "log.sqlite", cwd=folder)
run.say("4")
early = os.path.exists(log_of(folder)) and talk.jobs(log_of(folder))
t.equal(early, [], "before the first reading there is no job in the log")
good = True
for number, line in enumerate(["1", "0,5 mm", "0", "20 thou"]):
    run.question()
    run.answer(line)
    while "kept: " not in run.text[run.seen:]:
        run._read(30)
    good = good and len(readings(folder)) == number + 1
t.ok(good, "a reading is in the log by the time it is said to be kept")
run.question()
t.equal(re.findall(r"^kept: .*$", run.text, re.MULTILINE),
        ["kept: front 1.00 mm", "kept: right 0.50 mm", "kept: back 0.00 mm", "kept: left 0.508 mm"],
        "with every digit of it, in the machine's unit")
t.equal([value for _, value in readings(folder)], [1.0, 0.5, 0.0, 0.508], "as the log has them")
t.equal(run.end(), 1, "the input ends at the answer: status 1")
t.equal([row[0] for row in ask(folder, "SELECT typed FROM reading ORDER BY id")],
        ["1", "0,5 mm", "0", "20 thou"], "what was typed is kept beside the number")

# -- the words ---------------------------------------------------------------------------------
def words(*lines):
    """One sweep of four with these lines typed from the first reading on, then stopped."""
    place = fresh_folder()
    return place, session(place, "4", *lines, "stop")


folder, run = words("1", "0.5", "undo", "0.55")
t.equal(readings(folder), [("front", 1.0), ("right", 0.55)], "undo takes the last reading back")
t.contains(run.out, "taken back: right 0.50 mm", "and says so")
t.equal(len(ask(folder, "SELECT * FROM reading")), 3, "the one taken back stays as history")
folder, run = words("1", "0.5", "0.1", "undo 2")
t.equal(readings(folder), [("front", 1.0)], "undo 2 takes back two")
folder, run = words("1", "undo 2", "undo x", "undo 0", "undo 1.5")
t.contains(run.out, "There is only 1 to take back.", "undo of more than there are")
t.equal(run.out.count("undo takes back one reading, undo 2 the last two."), 3, "undo of nonsense")
t.equal(readings(folder), [("front", 1.0)], "and nothing is taken back")
folder, run = words("1", "0.5", "front 0.95")
t.equal(readings(folder), [("front", 0.95), ("right", 0.5)], "a bearing in front corrects its reading")
t.contains(run.out, "corrected: front 0.95 mm", "and says so")
t.equal(len(ask(folder, "SELECT * FROM correction WHERE NOT withdraws")), 1, "as a correction")
folder, run = words("BACK-RIGHT: .25", "NW=0.3", "S 1")
t.equal(readings(folder), [("back-right", 0.25), ("back-left", 0.3), ("front", 1.0)],
        "any bearing will do, by name or letter, in any case")
folder, run = words("1", "right", "0.5", "front", "undo", "0.1")
t.equal(readings(folder), [("front", 1.0), ("right", 0.5), ("back", 0.1)],
        "a bearing alone goes there, undo comes back")
folder, run = words("1", "again", "1.05", "again front", "1.1", "0.5")
t.equal(readings(folder), [("front", 1.0), ("front", 1.05), ("front", 1.1), ("right", 0.5)],
        "again keeps both")
t.contains(run.out, "front  1.05 x3", "the view shows the mean of three")
folder, run = words("again", "again left", "again nowhere")
t.contains(run.out, "There is no reading yet to repeat.", "again without a reading")
t.equal(run.out.count("There is no reading yet to repeat at that bearing."), 2, "or at that bearing")
folder, run = words("1", "skip", "0.1", "0.5", "stop")
t.equal(readings(folder), [("front", 1.0), ("back", 0.1), ("left", 0.5)], "skip leaves one out")
t.contains(run.sentence(), "Nothing checks these readings", "three readings: said that nothing checks them")
folder, run = words("skip", "1", "0.5", "done")
t.equal(readings(folder), [("right", 1.0), ("back", 0.5)], "done with two readings")
t.contains(run.sentence(), "Readings at three bearings are needed", "is not enough, and says so")
folder, run = words("1", "0.5", "0", "done", "stop")
t.contains(run.sentence(), "The top leans", "done with three gives an answer")
folder, run = words("1", "note the bed is dusty", "0.5", "note", "NOTE second")
t.equal([row[0] for row in ask(folder, "SELECT text FROM note ORDER BY id")],
        ["the bed is dusty", "second"], "notes are kept")
t.contains(run.out, "kept: note", "and said to be")
folder, run = words("note before any reading")
t.equal(len(ask(folder, "SELECT * FROM note")), 1, "a note before any reading")
folder, run = words("1", "0.5", "undo", "front 0.9", "list")
listed = run.out[run.out.rindex("list"):]
t.contains(listed, "front        0.90 mm (corrected)", "list shows corrected readings")
t.contains(listed, "right        0.50 mm (taken back)", "and those taken back")
folder, run = words("help", "?")
t.equal(run.out.count("repeats the last bearing"), 2, "help and ? list the words")
BAD = {"x": '"x" is not a reading', "1.2.3": "is not a reading", "nan": "is not a reading",
       "inf": "is not a reading", "1e999": "is not a reading", "5 furlongs": "Not a unit known here",
       "-0.1": "A gap cannot be less than nothing", "2000": "too much for a reading",
       "": "Something has to be typed here", "left x": "is not a reading", "back back": "is not a"}
for typed, said in BAD.items():
    folder, run = words(typed)
    t.contains(run.sentence(), said, f"{typed!r}: {said}")
    t.ok(not os.path.exists(log_of(folder)) or not talk.jobs(log_of(folder)), "and nothing is kept")
folder, run = words("1", "50", "no", "0.5", "left 30", "yes")
t.equal(readings(folder), [("front", 1.0), ("right", 0.5), ("left", 30.0)],
        "a reading far from the rest is asked about")
folder, run = words("1", "50", "0.5")
t.equal(readings(folder), [("front", 1.0), ("right", 0.5)], "and can be put right at once")
folder, run = words("50", "", "5")
t.equal(readings(folder), [("front", 5.0)], "and so is a first one that is far from usual")

folder, run = words("4", "4", "front .3", "front-right .3", "list")
t.equal(readings(folder), [("front", 0.3), ("right", 4.0), ("front-right", 0.3)],
        "two slips are put right one after the other")
t.lacks(run.out, "slip of the finger?\nkeep it [no]: front-right", "without a question in between")
folder, run = words("1", "8", "left 0.5", "0.45")
t.contains(run.sentence(), "The front reads 1.00 mm and this 8.00 mm: which is wrong?",
           "of two readings it is not said which is wrong")
t.contains(run.out, "not kept: 8.00 mm", "what is not kept is said")
folder, run = words("1", "0.5", "8", "front 0.95", "0.1", "again", "9", "", "stop")
t.contains(run.sentence(), "The others read 0.50 mm to 1.00 mm and this 8.00 mm: which is wrong?",
           "nor of three")
t.contains(run.sentence(), "The others read 0.10 mm to 0.95 mm and this 9.00 mm: which is wrong?",
           "a reading repeated is held against the others and itself")
t.equal(readings(folder), [("front", 0.95), ("right", 0.5), ("back", 0.1)],
        "another one may be corrected at the question")
folder, run = words("4", "8", "yes", "8.1", "0.9")
t.equal(run.out.count("which is wrong"), 2, "a reading near one that was meant is not in doubt")
FOUR = ("4", "1", "0.5", "0", "0.5", "nothing")
folder = fresh_folder()
run = session(folder, *FOUR, "8", "", "0.9", "stop")
t.contains(run.sentence(), "8.00 mm is far from the 1.00 mm of the sweep before; right if Z was moved since. A "
           "slip", "the first reading of a sweep is held against the sweep before")
t.contains(run.out, "not kept: 8.00 mm", "and what is not kept is said")
t.equal(readings(folder)[-1], ("front", 0.9), "and asked for again")
folder = fresh_folder()
run = session(folder, *FOUR, "8", "yes", "7.5", "7", "7.5", "stop")
t.equal(run.out.count("A slip of the finger?"), 1, "zeroed in between: asked about once")
t.equal(readings(folder)[-1], ("left", 7.5), "and all are kept")
folder = fresh_folder()
run = session(folder, *FOUR[:-1], "planned", "3", "no", "1", "0.45", "0.45", "0.45", "stop")
foretold = re.search(r"the next sweep should read front ([0-9.]+),", run.sentence())
t.contains(run.sentence(), f"3.00 mm is far from the {foretold and foretold[1]} mm foretold; right if Z was moved "
           "since.", "after the plan it is held against what was foretold, in the same figures")
t.equal(run.out.count("[no]: "), 1, "and nothing else of that sweep is in doubt")
folder = fresh_folder()
run = session(folder, *FOUR[:-1], "again", "3", "stop")
t.contains(run.sentence(), "3.00 mm is far from the 1.00 mm of the sweep before; right if",
           "a sweep taken again is held against the one it replaces")
t.contains(run.out, "not kept: 3.00 mm", "and stop drops nothing without a word")
folder = fresh_folder()
run = session(folder, *FOUR[:-1], "other", "slide", "0.1 left", "0.1 left", "0.1 left", "0.1 left", "no", "3", "stop")
t.equal(readings(folder)[4:], [("front", 3.0)], "what other moves did is not foretold so near")
TOUCH = tern(gauge="gauge: {kind: touch, step: 0.01}")
folder = fresh_folder(TOUCH)
run = session(folder, "4", "-12.85", "-12.70", "-12.61", "-12.75", "more", "5.0", "yes", "-12.70", "front -12.85",
              "-12.71", "-12.62", "-12.74", "stop")
t.contains(run.sentence(), "5.00 mm is far from the -12.85 mm of the sweep before, and the two count together. A slip",
           "more: against the sweep it counts with, bearing by bearing")
t.contains(run.sentence(), "The front reads 5.00 mm and this -12.70 mm: which is wrong?",
           "the one kept before may be the odd one")
t.equal(run.out.count("[no]: "), 2, "and once it is put right no other is in doubt")
t.equal(readings(folder)[4:6], [("front", -12.85), ("right", -12.71)], "nor kept wrong")

# -- bearings ----------------------------------------------------------------------------------
ORDER = {
    "4": ["front", "right", "back", "left"],
    "eight": ["front", "front-right", "right", "back-right", "back", "back-left", "left",
              "front-left"],
    "own\nback, right, front": ["back", "right", "front"],
    "own\nfront left back": ["front", "left", "back"],
    "left front right": ["left", "front", "right"],
    "own\nfront back right left": ["front", "right", "back", "left"],
    "own\n0 90 180deg 270": ["back", "right", "front", "left"],
}
for typed, order in ORDER.items():
    folder = fresh_folder()
    run = session(folder, *typed.split("\n"), *["0.3"] * len(order), "stop")
    t.equal([at for at, _ in readings(folder)], order, f"{typed!r}: one way round")
folder = fresh_folder()
run = session(folder, "own", "front right", "front front right back", "front nowhere left",
              "0 72 144 216 288", *["0.3"] * 5, "stop")
t.contains(run.out, "Three bearings at least", "two bearings are too few")
t.contains(run.out, '"front" is there twice', "the same bearing twice")
t.contains(run.out, '"nowhere" is not a bearing', "a bearing that is none")
t.equal([round(row[0], 6) for row in ask(folder, "SELECT bearing FROM reading ORDER BY id")],
        [round(d * 3.141592653589793 / 180, 6) for d in (0, 72, 144, 216, 288)], "degrees")
t.contains(run.out, "216°", "and the view names them")
folder = fresh_folder()
many = [str(360 * i / 64) for i in range(64)]
run = session(folder, "own", " ".join(many), *["0.3"] * 64, "stop")
t.equal(len(ask(folder, "SELECT * FROM reading")), 64, "64 bearings")
t.ok(all(len(line) <= 80 for line in run.out.splitlines() if not line.startswith("bearings: ")),
     "and the view still fits")
folder = fresh_folder()
run = session(folder, "own", "front 160 200", "0.3", "0.3", "0.35", "stop")
t.contains(run.sentence(), "The top leans", "three bearings on one side give what they can")

folder = fresh_folder()
run = session(folder, "own", "0 0.0001 180", ".3", ".3", ".5", "skip", "skip", ".4", "stop")
t.equal(run.sentence().count("3 readings cannot tell the lean; add one at left"), 3,
        "readings that cannot tell the lean: the one that would is asked for until it is there")
t.equal(len(ask(folder, "SELECT * FROM answer")), 1, "and then there is an answer")

EIGHT = ("8", "1", "0.85", "0.5", "0.15", "0", "0.15", "0.5", "0.85")
CORNERS = ["front", "front-right", "right", "back-right", "back", "back-left", "left", "front-left"]
folder = fresh_folder()
run = session(folder, *EIGHT, "planned", "Four", "0.3", "own", "0.3", "0.3", "0.3", "nothing", "own", "undo", "own",
              "right left back", *["0.3"] * 3, "nothing", "eight", "0.3", "0.3", "stop")
t.contains(run.out, "\nSweep 2, 8 readings as before (four or own changes that):\n", "a later sweep takes as many, and says so")
t.contains(run.out, "\nSweep 3, 4 readings as before (eight or own changes that):\n", "or as were chosen last")
t.contains(run.out, "\nSweep 4, 3 readings as before (four, eight or own changes that):\n", "or any number")
t.contains(run.sentence(), "That goes before the first reading;", "once something is read it stays")
t.equal([at for at, _ in readings(folder)], CORNERS + ["front", "right", "back", "left"] + ["right", "left", "back"] +
        ["front", "front-right"], "each of them is chosen in a word")
t.lacks(run.out.split("As found:")[0] + run.out.split("As found:")[1].split("planned")[0], "as before",
        "the first sweep has none before")
run = session(folder, "yes", "0.3", "stop")
t.contains(run.sentence(), "Going on with 8 readings to a turn, as begun.", "and gone on with, with eight")
folder = fresh_folder()
session(folder, *EIGHT, "planned", "four", "0.3", "0.3", "stop")
run = session(folder, "yes", "stop")
t.contains(run.out, "3 of 4, back: ", "or with four")
folder = fresh_folder()
run = session(folder, *EIGHT, "planned", "four", "undo", "undo", "left 0.55", "", "planned", "stop")
t.contains(run.out, "all read; Enter for the answer", "undo brings the bearings of the sweep before back")
t.contains(run.out, "corrected: left 0.55 mm", "with all their readings")
t.equal(run.out.count("Sweep 2, 8 readings as before"), 2, "as many as there were")

# -- units, gauges -----------------------------------------------------------------------------
INCH = tern(unit="unit: in", arm="arm: 3", gauge="gauge: {kind: dial, step: 0.0005, rises: toward}",
            cutter="cutter: {diameter: 7/8, corner: 0}", facing="facing: {stepover: 0.4, along: X}",
            goal="goal: {ridge: 0.001}", stock=None).replace("  - {thick: 0.05, count: 40, name: brass}",
                                                             "")
INCH = re.sub(r"at: \[ *(-?)30, 40, (\d)\d+\]", r"at: [\g<1>1.2, 1.5, \g<2>]", INCH)
INCH = INCH.replace(", hole: 5.5", "").replace("[1.2, 1.5, 2]", "[1.2, 1.5, 8]")
INCH = INCH.replace("[-1.2, 1.5, 2]", "[-1.2, 1.5, 8]").replace("1.5, 1]", "1.5, 5]")
folder = fresh_folder(INCH)
run = session(folder, "4", "-0.0005", "5 thou", "0.1 mm", "1/64", "stop")
t.equal([round(value, 6) for _, value in readings(folder)], [-0.0127, 0.127, 0.1, 0.396875],
        "a machine in inches: bare numbers, thou, mm, fractions")
t.contains(run.out, "kept: front -0.0005 in", "said in inches")
folder = fresh_folder(INCH)
run = session(folder, "4", "12", "12 thou", "0.013", "13", "no", "0.1 mm", "500 thou", "no", "0.012", "stop")
t.contains(run.sentence(), "12.0000 in is far from what is usual here. A slip of the finger? For thousandths type 12 thou.",
           "inches for thousandths: told how to type them, be it the first reading")
t.equal(run.sentence().count("For thousandths type 13 thou."), 1, "with the number that was typed")
t.equal(run.sentence().count("For thousandths"), 2, "but not to who typed a unit")
t.equal([round(value / 25.4, 4) for _, value in readings(folder)], [.012, .013, .0039, .012], "what is kept")
folder = fresh_folder(tern(gauge="gauge: {kind: touch, step: 0.01}"))
run = session(folder, "4", "-31.25", "-31.30", "-31.40", "-31.32", "stop")
t.equal(len(readings(folder)), 4, "Z at the touch may be negative")
t.contains(run.sentence(), "lower the machine until the tip just scrapes", "and it says how")

# -- a bed as found ----------------------------------------------------------------------------
folder = fresh_folder(tern(bed="bed: as found"))
run = session(folder, "", "", "4", "1", ".5", "0", ".5", "yes", "200", "", "1.2", ".7", ".2",
              ".7", "yes", "400", "0", "", "200", "1", ".5", "0", ".5", "nothing", "1", ".5", "0", ".5",
              "stop")
t.contains(run.sentence(), "That is in line with the first two places", "a third place in line is refused")
t.equal(ask(folder, "SELECT name, x, y FROM sweep ORDER BY id"),
        [("as found", 0, 0), ("as found, place 2", 200, 0), ("as found, place 3", 0, 200),
         ("sweep 2", 0, 200)],
        "a bed as found: three places, and then one is enough")
t.equal(ask(folder, "SELECT readings, includes_bed, bed_right IS NOT NULL FROM answer"),
        [(12, 0, 1), (4, 0, 1)], "lean and bed apart in both answers")
t.contains(run.sentence(), "Apart from that the bed rises to the", "and it says so")
t.contains(run.sentence(), "Apart from that the bed rises, as found before, to the", "and from when")
t.contains(run.sentence(), "and the carriage where it is now, the next sweep should read front 0.",
           "what to read is said for where the carriage is")
folder = fresh_folder(tern(bed="bed: as found"))
run = session(folder, "", "", "4", "1", ".5", "0", ".5", "no", "stop")
t.equal(ask(folder, "SELECT readings, includes_bed FROM answer"), [(4, 1)],
        "one place alone: lean and bed in one")

# -- what it looks like ------------------------------------------------------------------------
for width, locale in ((60, "C.UTF-8"), (80, "C.UTF-8"), (60, "C")):
    folder = fresh_folder()
    run = session(folder, "8", "1", "0.85", "0.5", "again", "0.55", "0.15", "0", "help", "0.15", "0.5",
                  "0.85", "planned", *["0.3"] * 8, "end",
                  env=tap.environment(COLUMNS=width, LC_ALL=locale, NO_COLOR=1, TERM="dumb"))
    t.equal(run.status, 0, f"{width} columns, {locale}: a whole job")
    t.ok(all(len(line) <= width for line in run.out.splitlines()), "fits",
         [line for line in run.out.splitlines() if len(line) > width])
    t.lacks(run.out, "\x1b", "no escape sequences")
    if locale == "C":
        t.ok(run.out.isascii(), "plain ASCII")
folder = fresh_folder()
t.ok(session(folder, *AS_FOUND, "stop", arguments=["--ascii"]).out.isascii(), "--ascii")

t.done()
