#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Where perpend sweep begins: which machine, a job that was stopped, beside another session, on a disk
with no room."""
import os
import re
import resource
import shutil
import signal

import tap
import talk
from sitting import AS_FOUND, GOOD, ask, ending_of, fresh_folder, log_of, readings, session, tern

t = tap.Tap()


def chosen(place, *arguments, stdin="stop\n", **more):
    return tap.perpend("sweep", *arguments, "--log", log_of(place), stdin=stdin, cwd=place, **more)


# -- which machine -----------------------------------------------------------------------------
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
os.rename(os.path.join(broken, "machine.yaml"), os.path.join(broken, "no job file.yaml"))
run = chosen(broken)
t.ok(run.status == 2 and "no job file.yaml" in run.err and "arm" in run.err, "whatever it is called", run.err)
with open(os.path.join(broken, "no job file.yaml"), "w", encoding="utf-8") as file:
    file.write("perpend: 1\nsweeps: []\n")
t.refused(chosen(broken), 2, "no machine file in this folder; make one with perpend new, or name it: "
                             "perpend sweep FILE", "a job file is no machine file")
t.equal(chosen(folder, "nowhere.yaml").status, 2, "a file that is not there")
t.refused(tap.perpend("sweep", "a", "b"), 2,
          "sweep: one machine file at most; 'perpend sweep --help' says more", "two machines")
t.refused(tap.perpend("sweep", "--fresh", "--resume"), 2,
          "sweep: --resume and --fresh say opposite things; leave one out", "--fresh --resume")
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
    run = session(folder, "", "0", "0.5", "stop")
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
run = session(folder, "undo", "yes", "undo 2", "undo", "8", "stop", arguments=[])
t.contains(run.sentence(), "If Z or a bolt has moved since, type undo 2 to take this sweep anew.",
           "who goes on is told what to do when something has moved")
t.equal(readings(folder), [], "which takes the readings back")
run = session(folder, "", "8", "stop")
t.contains(run.out, "1 of 8, front", "and a sweep with none left says nothing of bearings")
t.contains(run.out, "of 8", "other bearings when going on")
folder, _, _ = stopped("stop")
run = session(folder, "0", "0.5", "stop", arguments=["--resume"])
t.contains(run.sentence(), "Going on with 4 readings to a turn, as begun.",
           "how many readings to a turn is not asked again when two of them tell")
t.contains(run.out, "Going on with job 1 on Tern.", "--resume does not ask")
run = session(folder, "planned", "0.3", "stop", arguments=["--resume"])
t.ok(run.out.index("NOT GOOD ENOUGH") < run.out.index("Sweep 2,"),
     "stopped at the answer: it is shown again, and the job goes on")
run = session(folder, "0.3", "0.3", "0.3", "end", arguments=["--resume"])
t.equal((run.status, len(readings(folder))), (0, 8), "stopped in the second sweep: it goes on there")
t.contains(run.out, "2 of 4, right", "with the same bearings")
t.contains(run.sentence(), "has moved since, type undo to take", "of one reading as well")
folder = fresh_folder()
session(folder, "8", "1.00", "0.85", "stop")
run = session(folder, "stop", arguments=["--resume"])
t.contains(run.out, "3 of 8, right", "eight are known by the corner")
folder = fresh_folder()
session(folder, "8", "1.00", "stop")
run = session(folder, "8", "stop", arguments=["--resume"])
t.contains(run.out, "2 of 8, front-right", "one reading alone does not tell: it is asked")
folder = fresh_folder()
session(folder, "own", "0 120 240", "1.00", "1.00", "stop")
run = session(folder, "own", "0 120 240", "stop", arguments=["--resume"])
t.contains(run.out, "3 of 3, 240", "nor do bearings of one's own")
folder, _, _ = stopped("stop")
with open(os.path.join(folder, "tern.yaml"), "a", encoding="utf-8") as file:
    file.write("# longer now\n")
run = session(folder, "0", "0.5", "stop", arguments=["--resume"])
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
noted = tap.perpend("log", "note", "--log", "log.sqlite", "--machine", "Tern",
                    "hit\x9b31m the\u202e vice\x7f", cwd=folder)
t.equal(noted.status, 0, "a note may hold what a terminal acts on")
run = session(folder, *AS_FOUND, "stop", arguments=["--fresh"],
              env=tap.environment(LC_ALL="C.UTF-8"))
t.contains(run.sentence(), "hit?31m the? vice?", "which the first answer shows as question marks")

# -- when the disk fails -----------------------------------------------------------------------
folder = fresh_folder()
session(folder, "4", "1", "stop")
size = os.path.getsize(log_of(folder)) + 12000


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

t.done()
