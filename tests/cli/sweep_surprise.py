#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""perpend sweep when an adjustment did not do what it should: it asks for the cause, and the answer puts the
log right or says that it is really so; what was told before stays in the log's history."""
import tap
from sitting import AS_FOUND, ask, fresh_folder, session

t = tap.Tap()
QUESTION = "was it the amount, the bolt, the end, or the readings?"
NOTHING_MOVED = [*AS_FOUND, "done", "1.00", "0.50", "0", "0.50"]
TOLD = ("SELECT bolt, round(amount, 2) FROM did_entry WHERE did = (SELECT max(id) FROM did) AND amount <> 0 "
        "ORDER BY bolt")
ROWS = "SELECT kind, sure FROM did ORDER BY id"


def after(*lines, sweep=NOTHING_MOVED):
    folder = fresh_folder()
    return folder, session(folder, *sweep, *lines)


folder, run = after("unknown", "end")
t.contains(run.sentence(), QUESTION, "nothing moved: it asks what it was")
t.contains(run.sentence(), "The plan leaves that out.", "without an answer the next plan leaves it out")
t.equal(run.out.count("Which was it"), 1, "and it asks once")
t.equal(ask(folder, ROWS)[0], ("plan", 0), "nothing else is put down")

folder, run = after("so", "more", "end")
t.contains(run.sentence(), "Kept: it is really so.", "it is really so")
t.contains(run.sentence(), "After tightening, most sprang back. The plan allows for it.", "and is learned")
t.equal(ask(folder, ROWS)[:2], [("plan", 0), ("plan", 1)], "beside what was told before")
job = tap.perpend("log", "export", "1", "--format", "job", "--log", "log.sqlite", cwd=folder)
t.contains(job.out, "sure: yes", "and goes into the job file")

folder, run = after("amount", "1 0.05", "2 0.05", "", "end")
t.contains(run.sentence(), "Put right: top left shim 0.05 mm, top right shim 0.05 mm.", "the amount is told anew")
t.equal(ask(folder, TOLD), [("top left", 0.05), ("top right", 0.05)], "and counts")
t.equal(len(ask(folder, ROWS)), 2, "what was told before stays in the history")
t.equal(run.out.count("Which was it"), 1, "what then fits is asked no more")

folder, run = after("bolt", "undo", "unknown", "end")
t.equal(run.out.count("Which was it"), 2, "undo goes back to the question")

folder, run = after("end", "end", sweep=[*AS_FOUND, "done", "1.90", "keep", "1.00", "0.10", "1.00"])
t.contains(run.sentence(), QUESTION, "the wrong way: it asks")
t.contains(run.sentence(), "Put right: bottom left shim", "and turns round what went in at the other end")
t.equal([bolt for bolt, _ in ask(folder, TOLD)], ["bottom left", "bottom right"], "in the log, too")

folder, run = after("readings", "0.50", "0.50", "0.50", "0.50", "end")
t.contains(run.sentence(), "GOOD ENOUGH", "a sweep that was misread is read again in its place")
t.equal(run.out.count("Which was it"), 1, "and the job is worked out from that one")

folder, run = after("stop")
again = session(folder, "", "unknown", "end", arguments=("--resume",))
t.contains(again.sentence(), QUESTION, "a session taken up again asks again")

# -- what earlier jobs taught --------------------------------------------------------------------
for gain, said in (("0.75", "sprang back, so the plan asks for about a third more"),
                   ("1.25", "moved too far, so the plan asks for about a quarter less"), ("1", None)):
    learned = (f"perpend: 1\nlearned: {{gain: [{gain}, 0, 0, {gain}], uncertainty: [0.1, 0.1, 0.1, 0.1]}}\n"
               "sweeps: [{readings: [{at: front, reading: 1}, {at: right, reading: 0.5}, {at: back, reading: 0}, "
               "{at: left, reading: 0.5}]}]\n")
    answer = tap.perpend("solve", tap.TERN, "-", stdin=learned).sentence()
    t.equal("In earlier jobs this mount " in answer, said is not None, f"a gain of {gain} from earlier jobs")
    t.ok(said is None or said in answer, "and what follows", answer)

t.done()
