#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""perpend sweep through a pipe: every word, every way to stop, and what is in the log afterwards."""
import json
import os
import re
import resource
import shutil
import signal
import tempfile

import tap
import talk

t = tap.Tap()
folders = []


def fresh_folder(machine=None):
    folder = tempfile.mkdtemp(prefix="perpend-sweep-")
    folders.append(folder)
    if machine is None:
        tap.copy_stocked_tern(os.path.join(folder, "tern.yaml"))
    else:
        with open(os.path.join(folder, "machine.yaml"), "w", encoding="utf-8") as file:
            file.write(machine)
    return folder


def tern(**changes):
    """The demo's file with lines changed: a key's line by its beginning; None takes it out."""
    lines = tap.stocked_tern().splitlines()
    for key, line in changes.items():
        lines = [(line if old.startswith(key + ":") else old) for old in lines]
        lines = [old for old in lines if old is not None]
    return "\n".join(lines) + "\n"


def without_mount():
    return tern().split("mount:")[0]


def session(folder, *lines, arguments=(), **more):
    """All lines at once; the finished run."""
    return tap.perpend("sweep", "--log", "log.sqlite", *arguments,
                       stdin="".join(line + "\n" for line in lines), cwd=folder, **more)


def log_of(folder):
    return os.path.join(folder, "log.sqlite")


def readings(folder, job=1):
    return [(bearing, round(value, 9)) for _, bearing, value in talk.counted(log_of(folder), job)]


def ask(folder, sql):
    book = talk.look(log_of(folder))
    rows = book.execute(sql).fetchall()
    book.close()
    return rows


def ending_of(folder, job=1):
    return dict(talk.jobs(log_of(folder))).get(job)


def job_file(folder, name, sweeps):
    """A job file of (name, readings, did)."""
    with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
        json.dump({"perpend": 1, "sweeps": [
            {"name": title, "readings": [{"at": at, "reading": value} for at, value in taken],
             **({"did": did} if did else {})} for title, taken, did in sweeps]}, file)
    return os.path.join(folder, name)


# -- a whole job -------------------------------------------------------------------------------
MISREAD = ["1.00", "0.85", "0.90", "0.15", "0.00", "0.15", "0.50", "0.85"]
AS_FOUND = ["4", "1.00", "0.50", "0", "0.50"]
GOOD = ["0.30", "0.30", "0.30", "0.30"]
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

# -- after the answer --------------------------------------------------------------------------
folder = fresh_folder()
run = session(folder, *AS_FOUND, "undo", "left 0.45", "again", "0.55", "", "stop")
t.equal(readings(folder)[3:], [("left", 0.45), ("left", 0.55)],
        "undo at the answer goes back to the readings, to correct and repeat")
t.equal(len(ask(folder, "SELECT * FROM answer")), 1, "and the answer is made anew")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "other", "", "0.5", "4 x 0.05 + 0.3", "", "-0,05", "yes", "slide",
              "0.1 right", "0.1 left 0.05 up", "", "0", "", *GOOD, "end")
t.equal(run.status, 0, "something else was done, bolt by bolt")
t.equal(ask(folder, "SELECT bolt, move, round(shim, 9), round(slide_right, 9), round(slide_up, 9) "
                    "FROM did_entry ORDER BY ordinal"),
        [("top left", "shim", 0.5, 0, 0), ("top right", "shim", 0.5, 0, 0),
         ("bottom right", "shim", -0.05, 0, 0), ("top left", "slide", 0, 0.1, 0),
         ("top right", "slide", 0, -0.1, 0.05)], "and is in the log bolt by bolt")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "other", "", "0", "0", "0", "0", "no", "stop")
t.equal(talk.did(log_of(folder), 1), ["nothing"], "all zeros is nothing")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "other", "", "half", "1 2", "99999", "", "undo", "undo", "stop")
t.equal(run.out.count("Type the thickness added"), 3, "nonsense for a shim is asked for again")
t.equal(talk.did(log_of(folder), 1), [], "and undo leads out again without keeping anything")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "more", "1.00", "0.5", "0.05", "0.5", "stop")
t.equal([row[0] for row in ask(folder, "SELECT readings FROM answer")], [8],
        "more: the next sweep counts together with the last")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "more", "undo", "stop")
t.equal(run.out.count("NOT GOOD ENOUGH"), 2, "more, then undo: back to the answer")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "nothing", *AS_FOUND[1:], "stop")
t.equal([row[0] for row in ask(folder, "SELECT readings FROM answer")], [4, 4],
        "nothing: the next sweep counts by itself")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "planned", "undo", "other", "", "0.3", "0.3", "", "", "no", "undo",
              "undo", "left 0.45", "", "nothing", "0.3", "stop")
t.equal(talk.did(log_of(folder), 1), ["plan", "list", "nothing"],
        "undo before the first reading of a sweep: what was done can be said anew")
t.equal(readings(folder)[3:], [("left", 0.45), ("front", 0.3)], "and the readings before it corrected")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "planned", "undo", "more", "end")
t.contains(run.out, "Type one of these: planned, other, nothing, readings, end",
           "more is not on offer once something was done")
t.equal((run.status, talk.did(log_of(folder), 1)), (1, ["plan", "nothing"]),
        "and end then means that nothing was done")
folder = fresh_folder()
run = session(folder, "8", *MISREAD, "", "right 0.50", "", "stop")
t.contains(run.sentence(), "A reading does not fit: Enter goes back to take it again.",
           "a suspect reading: Enter goes back to the readings")
t.equal([row for row in readings(folder) if row[0] == "right"], [("right", 0.5)], "to correct it")
t.equal(run.out.count("A reading does not fit"), 1, "and then it fits")
folder = fresh_folder()
run = session(folder, "4", "1.00", "0.50", "0", "0.75", "", "stop")
t.contains(run.sentence(), "The readings do not agree: Enter takes them all again.",
           "four that do not close: Enter takes all again")
t.equal((readings(folder), ask(folder, "SELECT count(*) FROM sweep")),
        ([("front", 1.0), ("right", .5), ("back", 0.0), ("left", .75)], [(1,)]),
        "the doubtful ones stand as long as nothing is read")
run = session(folder, "", "", "0.97", "stop")
t.equal(readings(folder), [("front", .97)], "the first reading sets them aside")
run = session(folder, "", "0.5", "0", "0.5", "again", "undo", "end")
t.equal(readings(folder), [("front", .97), ("right", .5), ("back", 0.0), ("left", .5)],
        "the second time they close; undo at the first question leaves them as they are")
t.equal(ask(folder, "SELECT DISTINCT why FROM correction"), [("taken again",)], "the log says why")
t.equal(ask(folder, "SELECT ordinal, round(lean_back * 1e3, 2) FROM answer"), [(1, 6.47)],
        "as found is what was read the second time")
shown = " ".join(tap.perpend("log", "show", "--log", log_of(folder)).out.split())
t.contains(shown, "front 1.00, right 0.50, back 0.00, left 0.75 (all withdrawn: taken again)",
           "the log still shows what was set aside")
t.contains(tap.perpend("log", "list", "--log", log_of(folder)).out, "0.065   0.065   0.020",
           "and lists what was found")
t.lacks(tap.perpend("report", "--log", log_of(folder), "--format", "text", "--output", "-").out,
        "0.75", "a report knows nothing of it")
t.equal(tap.perpend("log", "check", "--log", log_of(folder)).status, 0, "and the answers follow")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "planned", "0.7", "0.5", "0.3", "0.9", "again", "0.7", "0.5", "0.3",
              "0.5", "planned", *GOOD, "end")
t.equal((run.status, talk.did(log_of(folder), 1)), (0, ["plan", "plan"]),
        "a later sweep is taken again in its own place, too")
t.equal(ask(folder, "SELECT count(*) FROM answer"), [(3,)], "and there are as many rounds as there were")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "end")
t.equal((run.status, ending_of(folder)), (1, "done"), "ended with the goal not met: status 1")
folder = fresh_folder(tern(goal=None))
run = session(folder, *AS_FOUND, "end")
t.equal(run.status, 0, "without a goal: status 0")
folder = fresh_folder(without_mount())
run = session(folder, *AS_FOUND, "other", "planned", "changed", "tin foil behind the top", *GOOD, "end")
t.equal(run.status, 0, "a machine without a mount: changed")
t.equal((talk.did(log_of(folder), 1), ask(folder, "SELECT text FROM note")),
        (["list"], [("tin foil behind the top",)]), "is kept with what was said")
t.equal(run.out.count("Type one of these: changed, nothing, again, more, readings, end"), 2,
        "and planned and other are not on offer")

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
folder = fresh_folder(tern(gauge="gauge: {kind: touch, step: 0.01}"))
run = session(folder, "4", "-31.25", "-31.30", "-31.40", "-31.32", "stop")
t.equal(len(readings(folder)), 4, "Z at the touch may be negative")
t.contains(run.sentence(), "lower the machine until the tip just scrapes", "and it says how")

# -- a bed as found ----------------------------------------------------------------------------
folder = fresh_folder(tern(bed="bed: as found"))
run = session(folder, "", "", "4", "1", ".5", "0", ".5", "yes", "200", "", "1.2", ".7", ".2",
              ".7", "yes", "400", "0", "", "200", "1", ".5", "0", ".5", "nothing", "", "", ".5", ".5",
              ".5", ".5", "", "", "", ".5", "stop")
t.contains(run.sentence(), "That is in line with the first two places", "a third place in line is refused")
t.equal(ask(folder, "SELECT name, x, y FROM sweep ORDER BY id"),
        [("as found", 0, 0), ("as found, place 2", 200, 0), ("as found, place 3", 0, 200),
         ("sweep 2", 0, 0), ("sweep 2, place 2", 200, 0)],
        "a bed as found: three places")
t.equal(ask(folder, "SELECT readings, bed_right IS NOT NULL FROM answer"), [(12, 1)],
        "one answer, lean and bed apart")
t.contains(run.sentence(), "the bed rises to the", "and it says so")
folder = fresh_folder(tern(bed="bed: as found"))
run = session(folder, "", "", "4", "1", ".5", "0", ".5", "no", "stop")
t.equal(ask(folder, "SELECT readings, includes_bed FROM answer"), [(4, 1)],
        "one place alone: lean and bed in one")

# -- nothing left to put in, and no joint that serves -----------------------------------------------
folder = fresh_folder(re.sub("count: [0-9]+", "count: 0", tern()))
run = session(folder, *AS_FOUND, "", "stop")
t.contains(run.sentence(), "1 top left 0.53 mm", "no leaf on hand: the thickness that is wanted")
t.contains(run.sentence(), "None of the leaves left on hand fits here.", "and why it is no stack")
folder = fresh_folder(tern().replace("allows: [shim, slide]", "allows: [slide]"))
run = session(folder, *AS_FOUND, "", "", "0", "0", "", "", "", "0.75", "0.5", "0.25", "0.5", "end")
t.contains(run.sentence(), "Do what you can, then press Enter and tell it bolt by bolt.",
           "no joint serves: what is done all the same is told bolt by bolt")
t.lacks(run.out, "The steps below", "and no word of steps where there are none")

# -- which machine -----------------------------------------------------------------------------
def chosen(place, *arguments, stdin="stop\n", **more):
    return tap.perpend("sweep", *arguments, "--log", log_of(place), stdin=stdin, cwd=place, **more)


folder = fresh_folder()
t.contains(chosen(folder).out, "A new job on Tern.", "the only machine file in the folder")
shutil.copy(tap.AS_FOUND, folder)
with open(os.path.join(folder, "notes.txt"), "w", encoding="utf-8") as file:
    file.write("perpend: 1\n")
os.mkdir(os.path.join(folder, "folder.yaml"))
t.contains(chosen(folder).out, "A new job on Tern.", "job files, other files and folders are no machines")
with open(os.path.join(folder, "heron.yml"), "w", encoding="utf-8") as file:
    file.write(tern(machine="machine: Heron"))
t.contains(chosen(folder, stdin="2\nstop\n").out, "A new job on Tern.", "of two, the one chosen")
t.contains(chosen(folder, stdin="heron.yml\nstop\n").out, "A new job on Heron.", "by name")
t.contains(chosen(folder, "heron.yml").out, "A new job on Heron.", "or the one named")
run = chosen(folder, stdin="heron.yml\n" + "\n".join(AS_FOUND) + "\nstop\n")
empty = fresh_folder("not: a machine\n")
shutil.copy(log_of(folder), log_of(empty))
os.unlink(os.path.join(empty, "machine.yaml"))
run = tap.perpend("sweep", "--log", log_of(empty), "--fresh", stdin="stop\n", cwd=empty)
t.contains(run.out, "A new job on Heron.", "none here: the one used last")
empty = fresh_folder("x")
os.unlink(os.path.join(empty, "machine.yaml"))
run = chosen(empty)
t.refused(run, 2, "no machine file in this folder; make one with perpend new, or name it: "
                  "perpend sweep FILE", "none at all")
broken = fresh_folder(tern(arm="arm: long"))
run = chosen(broken)
t.ok(run.status == 2 and "machine.yaml" in run.err and "arm" in run.err,
     "a machine file with a mistake is named, not passed over", run.err)
t.equal(chosen(folder, "nowhere.yaml").status, 2, "a file that is not there")
t.refused(tap.perpend("sweep", "a", "b"), 2,
          "sweep: one machine file at most; 'perpend sweep --help' says more", "two machines")
t.refused(tap.perpend("sweep", "--fresh", "--resume"), 2,
          "sweep: --resume and --fresh say opposite things; leave one out", "--fresh --resume")

# -- which machine -----------------------------------------------------------------------------
folder = fresh_folder()
tap.copy_stocked_tern(os.path.join(folder, "gull.yaml"))
run = session(folder, "2", *AS_FOUND[:2], "stop")
t.contains(run.out, "\nwhich: ", "two machines, an empty log: one has to be chosen")
run = session(folder, "", "", "stop")
t.contains(run.out, "\nwhich [tern.yaml]: ", "later Enter takes the last one used")
t.contains(run.out, "Going on with job 1", "and goes on with its job")

# -- stopped, and taken up again ---------------------------------------------------------------
def stopped(how):
    place = fresh_folder()
    run = talk.Talk("sweep", "--log", "log.sqlite", cwd=place)
    run.say("4", "1", "0.5")
    run.question()
    if how == "stop":
        run.answer("stop")
        status = run.wait()
    elif how == "end":
        status = run.end()
    else:
        run.process.send_signal(how)
        status = run.wait()
    return place, run, status


for how in ("stop", "end", signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
    name = how if isinstance(how, str) else signal.Signals(how).name
    folder, run, status = stopped(how)
    t.equal((status, run.error), (1, ""), f"{name}: status 1, no error")
    t.contains(run.text, "Stopped. All that was kept is in the log", f"{name}: says that all is kept")
    t.equal(readings(folder), [("front", 1.0), ("right", 0.5)], f"{name}: nothing is lost")
    run = session(folder, "", "", "0", "0.5", "stop")
    t.contains(run.out, "There is an unfinished job on Tern", f"{name}: the next start offers to go on")
    t.equal(len(readings(folder)), 4, f"{name}: and goes on")
folder, _, _ = stopped("stop")
run = session(folder, "no", "4", "0.1", "stop")
t.equal((ending_of(folder, 1), readings(folder, 2)), ("given up", [("front", 0.1)]),
        "no begins a new job and gives the old one up")
run = session(folder, "0.1", "stop", arguments=["--fresh"])
t.equal((ending_of(folder, 2), len(talk.jobs(log_of(folder)))), ("given up", 2),
        "--fresh does so without asking")
run = session(folder, "stop", arguments=["--resume"])
t.refused(run, 2, "there is no unfinished job on Tern; leave --resume out to begin one",
          "--resume without an unfinished job")
folder, _, _ = stopped("stop")
run = session(folder, "undo", "yes", "8", "stop", arguments=[])
t.contains(run.out, "of 8", "other bearings when going on")
folder, _, _ = stopped("stop")
run = session(folder, "4", "0", "0.5", "stop", arguments=["--resume"])
t.contains(run.out, "Going on with job 1 on Tern.", "--resume does not ask")
run = session(folder, "planned", "0.3", "stop", arguments=["--resume"])
t.ok(run.out.index("NOT GOOD ENOUGH") < run.out.index("Sweep 2:"),
     "stopped at the answer: it is shown again, and the job goes on")
run = session(folder, "0.3", "0.3", "0.3", "end", arguments=["--resume"])
t.equal((run.status, len(readings(folder))), (0, 8), "stopped in the second sweep: it goes on there")
t.contains(run.out, "2 of 4, right", "with the same bearings")
folder, _, _ = stopped("stop")
with open(os.path.join(folder, "tern.yaml"), "a", encoding="utf-8") as file:
    file.write("# longer now\n")
run = session(folder, "4", "0", "0.5", "stop", arguments=["--resume"])
t.contains(run.sentence(), "The machine file has changed since the job began",
           "a machine file that has changed is noticed")

# -- two at once, drift ------------------------------------------------------------------------
folder = fresh_folder()
one = talk.Talk("sweep", "--log", "log.sqlite", cwd=folder)
one.say("4", "1", "0.5")
one.question()
two = talk.Talk("sweep", "--log", "log.sqlite", cwd=folder)
two.say("4", "0.3")
two.question()
one.say("0", "0.5")
two.say("0.3", "0.3", "0.3")
one.question()
two.question()
t.equal((len(readings(folder, 1)), len(readings(folder, 2))), (4, 4),
        "two sessions at once keep to jobs of their own")
two.answer("end")
one.answer("end")
t.equal((two.wait(), one.wait()), (0, 1), "and both come to their end")
run = session(folder, *AS_FOUND, "stop")
t.contains(run.sentence(), "Left by job 2", "the first answer says what was left last time")
t.contains(run.sentence(), "the spindle has moved", "and that this is more than doubt explains")

# -- when the disk fails -----------------------------------------------------------------------
folder = fresh_folder()
session(folder, "4", "1", "stop")
size = os.path.getsize(log_of(folder)) + 60000


def small_disk():
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))


run = talk.Talk("sweep", "--log", "log.sqlite", "--resume", cwd=folder, preexec_fn=small_disk)
kept = 1
try:
    run.say("4")
    for number in range(400):
        run.question()
        run.answer("again" if number % 2 == 0 else "0.5")
except talk.Gone:
    pass
status = run.wait()
acknowledged = run.text.count("kept: ")
t.equal(status, 3, "a file that cannot grow: status 3")
t.ok(re.fullmatch(r"perpend: [^\n]+\n", run.error), "one line", run.error)
t.ok(len(readings(folder)) >= kept + acknowledged and acknowledged > 0,
     "and all that was acknowledged is there", (len(readings(folder)), acknowledged))
run = session(folder, "stop", arguments=["--resume"])
t.equal(run.status, 1, "with room again, the session goes on")
run = tap.perpend("sweep", "--log", "tern.yaml", stdin="4\n1\n", cwd=folder)
t.ok(run.status == 2 and re.fullmatch(r"perpend: tern.yaml: [^\n]+\n", run.err),
     "a machine file for a log: one line", f"{run.status} {run.err}")
with open(os.path.join(folder, "tern.yaml"), encoding="utf-8") as file:
    t.contains(file.read(), "machine: Tern", "and a file that is no log is left as it was")

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

for folder in folders:
    shutil.rmtree(folder)
t.done()
