#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""perpend sweep once it has answered: what can be done then, told bolt by bolt or taken back."""
import re

import tap
import talk
from sitting import AS_FOUND, GOOD, ask, ending_of, fresh_folder, log_of, readings, session, tern

t = tap.Tap()

MISREAD = ["1.00", "0.85", "0.90", "0.15", "0.00", "0.15", "0.50", "0.85"]

folder = fresh_folder()
run = session(folder, *AS_FOUND, "undo", "left 0.45", "again", "0.55", "", "stop")
t.equal(readings(folder)[3:], [("left", 0.45), ("left", 0.55)],
        "undo at the answer goes back to the readings, to correct and repeat")
t.equal(len(ask(folder, "SELECT * FROM answer")), 1, "and the answer is made anew")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "other", "", "0.5", "4 x 0.05 + 0.3", "", "-0,05", "yes", "yes", "slide",
              "0.1 right", "0.1 left 0.05 up", "", "0", "yes", "", *GOOD, "end")
t.equal(run.status, 0, "something else was done, bolt by bolt")
t.equal(ask(folder, "SELECT bolt, move, round(amount, 9), round(shift_right, 9), round(shift_up, 9) "
                    "FROM did_entry ORDER BY ordinal"),
        [("top left", "shim", 0.5, 0, 0), ("top right", "shim", 0.5, 0, 0),
         ("bottom right", "shim", -0.05, 0, 0), ("top left", "slide", 0, 0.1, 0),
         ("top right", "slide", 0, -0.1, 0.05)], "and is in the log bolt by bolt")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "other", "", "0", "0", "0", "0", "no", "stop")
t.equal(talk.did(log_of(folder), 1), ["nothing"], "all zeros is nothing")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "other", "", "half", "1 2", "99999", "", "undo", "undo", "undo",
              "stop")
t.equal(run.out.count("Type the thickness added"), 3, "nonsense for a shim is asked for again")
t.equal(talk.did(log_of(folder), 1), [], "and undo leads out again without keeping anything")
t.equal(run.out.count("which [shim]"), 2, "by the question which move it was")
TOLD = "SELECT bolt, move, round(amount, 9), round(shift_right, 9) FROM did_entry ORDER BY ordinal"
folder = fresh_folder()
run = session(folder, *AS_FOUND, "other", "", "6 × 0,1", "0.1×2 + 1*0.05", "-2x0.05 mm", "7", "undo",
              "4 × 0.05 mm brass", "yes", "yes", "undo", "undo", "undo", "0", "yes", "yes", "slide", "undo", "slide", "0.1 right",
              "0", "0", "0", "yes", "undo", "undo", "0.2 left", "yes", "no", "stop")
t.equal(ask(folder, TOLD),
        [("top left", "shim", 0.6, 0), ("top right", "shim", 0.25, 0), ("bottom left", "shim", -0.1, 0),
         ("top left", "slide", 0, 0.1), ("bottom right", "slide", 0, -0.2)],
        "undo goes back from \"anything else\" question by question, and keeps the rest; × as the plan has it")
folder = fresh_folder()
run = session(folder, "4", "0.50", "0.45", "0.40", "0.45", "other", "", "", "", "", "", "", "stop")
t.contains(run.out, "GOOD ENOUGH", "after a sweep that needs no plan")
t.contains(run.out, "top left, shim added, mm [0]: ", "nothing is offered as done")
t.equal(talk.did(log_of(folder), 1), ["nothing"], "and Enter all the way is nothing")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "other", "slide", "2 left", "0", "0", "0", "", "0.2 left", "0", "0", "0", "no",
              "0.1 left 0.05 down", "0.1 left 0.05 up", "0.05 down", "0.05 up", "", "stop")
t.contains(run.sentence(), "2.00 mm is more than the play of that bolt in its hole, 0.50 mm from one side to the "
           "other.", "a slide that no hole allows is asked about")
t.contains(run.sentence(), "No stiff plate moves like that: it is off a shift and a turn by",
           "and one that no plate makes")
t.equal(ask(folder, "SELECT bolt, round(shift_right, 9), round(shift_up, 9) FROM did_entry ORDER BY ordinal"),
        [("top left", -0.1, -0.05), ("top right", -0.1, 0.05), ("bottom left", 0, -0.05),
         ("bottom right", 0, 0.05)], "until it is one")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "other", "", "-7 x 0.05", "0", "0", "3 × 0.1 + 0.05", "", "stop")
t.equal(ask(folder, "SELECT amount FROM did_entry ORDER BY ordinal"), [(-0.35,), (0.35,)],
        "a sum is kept as the number it comes to")
t.contains(tap.perpend("log", "export", "1", "--log", log_of(folder)).out, '"shim":-0.35}', "and exported so")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "other", "", "1", "0", "0", "0", "undo", "undo", "undo", "undo", "undo",
              "undo", "nothing", "stop")
t.equal((talk.did(log_of(folder), 1), ask(folder, TOLD)), (["nothing"], []),
        "and so on, question by question, to what was done")
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
for said, back in ((["nothing"], ["undo"]), (["planned"], ["undo"]), (["planned", "0.25"], ["undo", "undo"]),
                   (["other", "", "0.3", "0.3", "0", "0", "no", "0.4"], ["undo", "undo"])):
    folder = fresh_folder()
    run = session(folder, *AS_FOUND, *said, *back, "more", "1.00", "0.5", "0.05", "0.5", "stop")
    offered = re.findall(r"Or type ([a-z, ]+);", run.sentence())
    t.equal(offered[:2], ["other, nothing, more or end"] * 2, f"{said[0]} and undo: the same is on offer as before")
    t.equal(run.out.count("taken back: what was said to be done\n"), 1, "what more takes back is said")
    t.equal(ask(folder, "SELECT readings FROM answer"), [(8,)], "more then counts together")
    t.equal(readings(folder)[-8:], readings(folder)[-8:-4] + [("front", 1.0), ("right", .5), ("back", .05), ("left", .5)],
            "with all that was read")
    check = tap.perpend("log", "check", "1", "--log", log_of(folder))
    t.equal((check.status, check.err), (0, ""), "the log's answers follow from it")
    shown = tap.perpend("log", "show", "1", "--log", log_of(folder)).sentence()
    t.contains(shown, "(all withdrawn: what was said to be done was taken back) Taken back:",
               "and what was said stays in its history")
    t.lacks(shown, "Done then:", "though it does not count")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "back 0.1", "", "planned", "undo", "again", "0.97", "0.5", "0", "0.5", "stop")
t.equal(readings(folder), [("front", .97), ("right", .5), ("back", 0.0), ("left", .5)], "and so does again")
t.equal(talk.counted(log_of(folder), 1)[0][0], 3, "in a sweep of its own")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "back 0.1", "", "planned", "undo", "more", "stop")
t.equal((readings(folder), ask(folder, "SELECT typed FROM reading WHERE sweep = 2")),
        ([("front", 1.0), ("right", .5), ("back", 0.1), ("left", .5)], [("1.00",), ("0.50",), ("0.1",), ("0.50",)]),
        "readings put right stay so")
t.equal(ask(folder, "SELECT readings FROM answer"), [(4,)], "and are answered as before")
t.equal(ask(folder, "SELECT count(DISTINCT at) FROM sweep"), [(1,)], "from when they were read")
run = session(folder, "yes", "stop")
t.equal(run.out.count("NOT GOOD ENOUGH"), 1, "also for who comes back to it")
t.contains(run.sentence(), "Or type other, nothing, more or end;", "with the same on offer")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "planned", "0.25", "undo", "undo", "undo", "left 0.55", "", "stop")
t.equal(readings(folder), [("front", 1.0), ("right", .5), ("back", 0.0), ("left", .55)],
        "undo again: to the readings of the sweep before, not to those of the next")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "planned", "0.25", "undo", "undo", "left 0.55", "", "stop")
t.equal(readings(folder), [("front", 1.0), ("right", .5), ("back", 0.0), ("left", .55)],
        "and a reading put right at the question is one of those")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "planned", "undo", "undo", "undo 4", "stop")
t.contains(run.sentence(), "The last one stays, as something was done after this sweep; correct it instead.",
           "what was done needs a reading to stand after")
t.equal((run.status, run.err, readings(folder)), (1, "", [("front", 1.0)]), "and the session goes on")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "planned", "undo", "end")
t.equal((run.status, talk.did(log_of(folder), 1)), (1, ["plan", "nothing"]),
        "and end then means that nothing was done")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "other", "", "0.5", "0.4", "0", "0", "no", "0.5", "0.5", "0", "0", "no", "stop")
t.contains(run.sentence(), "That lies in no plane: it is off one by 0.025 mm, so that the joint rocks, or bends "
           "when it is tightened.", "shims that rock are asked about")
t.contains(run.out, "kept: bolt by bolt: top left shim 0.5 mm, top right shim 0.5 mm", "and told once more")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "other", "", "0.5", "0.4", "0", "0", "yes", "no", "stop")
t.contains(run.out, "kept: bolt by bolt: top left shim 0.5 mm, top right shim 0.4 mm", "or kept as they are")
folder = fresh_folder(tern(**{"    allows": "    allows: [screw]"}))
run = session(folder, *AS_FOUND, "other", "help", "1/4 turn", "90 deg", "0.5 out", "-1/2", "stop")
t.contains(run.sentence(), "In is the way that pushes the joint apart there.", "push screws have help of their own")
t.contains(run.sentence(), "top left screw 0.250 turns, top right screw 0.250 turns, bottom left screw -0.500 turns, "
           "bottom right screw -0.500 turns",
           "and words of their own")
folder = fresh_folder()
session(folder, *AS_FOUND, "planned", "stop")
shown = tap.perpend("log", "show", "1", "--log", log_of(folder)).sentence()
t.contains(shown, "Done then: as planned: clamp plate: top left shim 0.55 mm, top right shim 0.55 mm.",
           "a plan is in the log bolt by bolt")
t.contains(tap.perpend("log", "export", "1", "--format", "job", "--log", log_of(folder)).out, "did: plan",
           "and is a plan all the same")
run = session(fresh_folder(), *AS_FOUND, "help", "stop")
for word in ("note ...", "undo", "stop"):
    t.ok(re.search(rf"(?m)^  {re.escape(word)} ", run.out), f"help at what was done names {word}", run.out)
folder = fresh_folder()
run = session(folder, "8", *MISREAD, "", "right 0.50", "", "stop")
t.contains(run.sentence(), "A reading does not fit: Enter goes back to take it again.",
           "a suspect reading: Enter goes back to the readings")
t.equal([row for row in readings(folder) if row[0] == "right"], [("right", 0.5)], "to correct it")
t.equal(run.out.count("A reading does not fit"), 1, "and then it fits")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "planned", *GOOD, "end")
t.contains(run.sentence(), "Of the stock there are in the mount now: 20 × 0.05 mm brass. If they stay "
           "there, lower the counts in the machine file.", "what the next job must not count on")
folder = fresh_folder()
run = session(folder, *AS_FOUND, "back 0.1", "", "stop")
t.equal([row for row in readings(folder) if row[0] == "back"], [("back", 0.1)],
        "a reading typed after the answer corrects it at once")
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
folder = fresh_folder(tern().split("mount:")[0])
run = session(folder, *AS_FOUND, "other", "planned", "changed", "tin foil behind the top", *GOOD, "end")
t.equal(run.status, 0, "a machine without a mount: changed")
t.equal((talk.did(log_of(folder), 1), ask(folder, "SELECT text FROM note")),
        (["list"], [("tin foil behind the top",)]), "is kept with what was said")
t.equal(run.out.count("Type one of these: changed, nothing, again, more, readings, end"), 2,
        "and planned and other are not on offer")

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

t.done()
