#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A session killed (SIGKILL) at random moments: nothing that it acknowledged is ever lost.

A made-up person talks to `perpend sweep` through pipes: types readings, takes some back, corrects
some, repeats some, says what was done. At a random moment, while an answer is on its way, the program
is killed. After each kill

  - every event that stood on its output ("kept", "corrected", "taken back") is in the log, in order,
    and at most one more, the one that was on its way; what it takes back of what was done sets a
    whole sweep aside for a copy, which is one event;
  - `perpend log check` finds nothing, and the next session goes on with the same job.

    sweep_kill.py PERPEND TOP [KILLS [SEED]]

50 kills; 500 with PERPEND_TEST_PERCENT=100.
"""
import os
import random
import re
import shutil
import signal
import sys
import tempfile
import time

import tap
import talk

KILLS = int(sys.argv[3]) if len(sys.argv) > 3 else tap.cases(500, 50)
SEED = int(sys.argv[4]) if len(sys.argv) > 4 else 20260506

t = tap.Tap()
chance = random.Random(SEED)
folder = tempfile.mkdtemp(prefix="perpend-kill-")
log = os.path.join(folder, "log.sqlite")
tap.copy_stocked_tern(os.path.join(folder, "tern.yaml"))
print(f"# {KILLS} kills, seed {SEED}")

EVENT = re.compile(r"^(kept|corrected|taken back): (?:[a-z0-9 ]+, )?([a-z-]+)(?: higher by)? (-?[0-9.]+) mm$")
UNSAID = "taken back: what you did"
DONE = re.compile(r"^kept: (done as planned|nothing was done|bolts:)")
KINDS = {"done as planned": "plan", "nothing was done": "nothing", "bolts:": "list"}


def acknowledged(text):
    """The events on an output that may be cut off anywhere: whole lines only."""
    found = []
    for line in text.split("\n")[:-1]:
        event = EVENT.match(line)
        if event:
            found.append((event[1], event[2], float(event[3])))
        elif line == UNSAID:
            found.append(("unsaid", "sweep", 0.0))
        elif DONE.match(line):
            found.append(("did", KINDS[DONE.match(line)[1]], 0.0))
    return found


UNSAYING = "why = 'what was told as done was taken back'"


def unsaid(book, job):
    """How many sweeps of the job were set aside for a copy, and the readings copied: the first ones
    of the next sweep of that name and time, as many as were withdrawn for it."""
    aside = book.execute(
        "SELECT sweep.id, name, sweep.at, count(*) FROM sweep JOIN reading ON sweep = sweep.id JOIN "
        f"correction ON reading = reading.id WHERE job = ? AND {UNSAYING} GROUP BY sweep.id",
        (job,)).fetchall()
    copied = set()
    for sweep, name, at, count in aside:
        copied.update(row[0] for row in book.execute(
            "SELECT id FROM reading WHERE sweep = (SELECT min(id) FROM sweep WHERE job = ? AND id > ? "
            "AND name = ? AND at = ?) ORDER BY id LIMIT ?", (job, sweep, name, at, count)))
    return len(aside), copied


def in_log(job):
    """The job's events in the order in which the log took them in; corrections and readings have
    numbers of their own, so they are put together by what each can come after."""
    with talk.look(log) as book:
        readings = book.execute(
            "SELECT reading.id, sweep, bearing, value FROM reading JOIN sweep ON sweep.id = sweep "
            "WHERE job = ? ORDER BY reading.id", (job,)).fetchall()
        corrections = book.execute(
            "SELECT correction.id, reading, withdraws, correction.value, reading.bearing FROM "
            "correction JOIN reading ON reading.id = reading JOIN sweep ON sweep.id = sweep "
            f"WHERE job = ? AND NOT coalesce({UNSAYING}, 0) ORDER BY correction.id",
            (job,)).fetchall()
        done = book.execute("SELECT did.kind FROM did JOIN sweep ON sweep.id = did.sweep "
                            "WHERE job = ? ORDER BY did.id", (job,)).fetchall()
        aside, copied = unsaid(book, job)
    book.close()
    values = {}
    kept = [("kept", talk.name_of(b), v) for number, _, b, v in readings if number not in copied]
    changed = []
    for number, _, bearing, value in ((r[0], r[1], r[2], r[3]) for r in readings):
        values[number] = (bearing, value)
    for _, reading, withdraws, value, _ in corrections:
        bearing, before = values[reading]
        changed.append(("taken back" if withdraws else "corrected", talk.name_of(bearing),
                        before if withdraws else value))
        if not withdraws:
            values[reading] = (bearing, value)
    return {"kept": kept, "changed": changed, "did": [("did", kind, 0.0) for (kind,) in done],
            "unsaid": [("unsaid", "sweep", 0.0)] * aside}


def split(events):
    return {"kept": [e for e in events if e[0] == "kept"],
            "changed": [e for e in events if e[0] in ("corrected", "taken back")],
            "did": [e for e in events if e[0] == "did"],
            "unsaid": [e for e in events if e[0] == "unsaid"]}


def reply(prompt):
    """What the person types at a question."""
    if prompt.startswith("What next") and chance.random() < 0.1:
        return "cut"
    if prompt.startswith("What next") and len(split(expected)["did"]) >= 3:
        return "end"  # a job of a few rounds, then the next one
    if re.match(r"\d+/\d+ ", prompt):
        reading = f"{chance.randint(0, 40) * 0.05:.2f}"
        draw = chance.random()
        if draw < (0.55 if prompt.startswith("1/") else 0.70):
            return reading
        if draw < 0.80:
            return "undo"
        if draw < 0.88:
            return f"{chance.choice(['front', 'left', 'back', 'right'])} {reading}"
        return "again" if draw < 0.93 else "list" if draw < 0.96 else "cut"
    if prompt.startswith("higher side"):
        return chance.choice(["front 0.05", "left 0.10", "0", "", "undo"])
    if prompt.startswith("Read it again"):
        return "keep"
    if prompt.startswith("bolt"):
        return chance.choice(["", "1 0.5", "2 0.5", "undo"])
    if prompt.startswith("Was it so"):
        return "yes"
    if prompt.startswith("What next"):
        return chance.choice(["nothing", "nothing", "done", "other", "add", "undo", "as found, front 0.5"])
    return ""  # what stands in brackets


class Killed(Exception):
    pass


def session(expected, job):
    """One session, killed on the way. Returns whether it got so far as to be asked something."""
    run = talk.Talk("sweep", "tern.yaml", "--log", log, *(["--resume"] if job else []), cwd=folder)
    turns = chance.choice([0, 1, 2, 3, 5, 8, 13])
    try:
        for _ in range(turns):
            run.answer(reply(run.prompt()))
        # one more answer on its way, and somewhere in there the end
        if turns:
            run.answer(reply(run.prompt()))
        time.sleep(chance.choice([0, chance.uniform(0, 0.004), chance.uniform(0, 0.04)]))
    except talk.Gone:
        pass
    run.process.send_signal(signal.SIGKILL)
    status = run.wait()
    return run, status


kills = ended = resumed = extra = readings = aside = latest = 0
expected = []
job = 0
problems = []
started = time.monotonic()
while kills < KILLS and len(problems) < 5 and ended < KILLS:
    run, status = session(expected, job)
    name = f"kill {kills + 1}"
    if status == -signal.SIGKILL:
        kills += 1
    elif "To see the record" in run.text:
        ended += 1
    else:
        problems.append(f"{name}: the session ended by itself, status {status}: {run.error}")
        continue
    going = re.search(r"Going on with job (\d+) on Tern", run.text)
    if job and going:
        resumed += 1
        if int(going[1]) != job:
            problems.append(f"{name}: went on with job {going[1]}, not {job}")
    expected += acknowledged(run.text)
    if not talk.begun(log):
        continue
    # a job killed before its first reading is none: there is nothing to take up
    endings = {number: ending for number, ending in talk.jobs(log) if in_log(number)["kept"]}
    known = [number for number, ending in endings.items() if ending is None]
    job = job or max((number for number in endings if number > latest), default=0)
    latest = max(endings, default=latest)
    if known not in ([], [job]) or (job and endings[job] not in (None, "done")):
        problems.append(f"{name}: open jobs {known}, was in {job}, {endings}")
    there = in_log(job) if job else split([])
    more = 0
    for part, events in split(expected).items():
        if there[part][:len(events)] != events:
            problems.append(f"{name}: {part} on the screen {events[-3:]}, "
                            f"in the log {there[part][-3:]}")
        more += len(there[part]) - len(events)
    if more > 1:
        problems.append(f"{name}: {more} events in the log that the screen did not show")
    extra += more
    # what the log has is what the next session starts from
    expected = [event for part in there.values() for event in part]
    if not known:
        readings += len(there["kept"])
        aside += len(there["unsaid"])
        job, expected = 0, []
    check = tap.perpend("log", "check", "--log", log, *(["--quick"] if kills % 20 else []))
    if check.status != 0:
        problems.append(f"{name}: log check says {check.status}: {check.out} {check.err}")
seconds = time.monotonic() - started

t.ok(not problems, f"{kills} kills lose nothing that was acknowledged", "\n".join(problems))
t.equal(kills, KILLS, "so many sessions were killed on their way")
t.ok(resumed > KILLS // 3, "many sessions went on with the job of the one before", resumed)
t.ok(extra > 0 or KILLS < 100, "some kills fell between the log and the screen", extra)
whole = tap.perpend("log", "check", "--log", log)
t.equal(whole.status, 0, "at the end the whole log is sound, answers worked out anew")

# and the job that has been through all that can be brought to its end
run = talk.Talk("sweep", "tern.yaml", "--log", log, *(["--resume"] if job else []), cwd=folder)
try:
    for _ in range(40):
        prompt = run.prompt()
        if prompt.startswith("What next"):
            run.answer("end")
        elif re.match(r"\d+/\d+ ", prompt):
            run.answer("0.30")
        else:
            run.answer("")
except talk.Gone:
    pass
status = run.wait()
t.ok(status in (0, 1), "the job can be ended", f"{status}: {run.error}")
t.equal({ending for number, ending in talk.jobs(log) if in_log(number)["kept"]}, {"done"},
        "every job has ended")
print(f"# {seconds:.1f} s; {readings} readings in {ended} jobs, {aside} sweeps set aside for copies; "
      f"{resumed} sessions went on; "
      f"{extra} events were in the log and not yet on the screen")
shutil.rmtree(folder)
t.done()
