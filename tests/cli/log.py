#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""perpend log: list, show, note, export, check, back up."""
import csv
import io
import json
import math
import os
import pty
import re
import signal
import sqlite3
import subprocess
import tempfile
import time

try:
    import jsonschema
except ImportError:
    jsonschema = None

import log_tools
import tap

t = tap.Tap()
one_line = log_tools.one_line
folder = log_tools.Folder()
JOBS = 14

# -- nothing there yet -------------------------------------------------------------------------
for words in ([], ["list"], ["show"], ["show", "1"], ["export", "--all"], ["check"],
              ["backup", "x"], ["note", "1", "first"], ["note", "--machine", "Tern", "first"]):
    one_line(t, folder.perpend("log", *words), 2, ["no log here yet", "perpend sweep", "/data/"],
             f"log {' '.join(words)}: no log yet")
t.ok(not (folder.path / "data").exists(), "and none was made")
folder.perpend("sweep", tap.TERN, stdin="stop\n")
one_line(t, folder.perpend("log", "note", "1", "first"), 2, ["no job 1"], "no job to note on yet")
t.ok((folder.path / "data" / "perpend" / "log.sqlite").exists(), "the log is in XDG_DATA_HOME")
t.contains(folder.perpend("log").out, "No jobs", "an empty log lists no jobs")
one_line(t, folder.perpend("log", "show"), 2, ["no job is in the log yet"], "nothing to show")
t.equal(folder.perpend("log", "export", "--all").out, "", "nothing to export")
t.equal(folder.perpend("log", "check").status, 0, "an empty log is sound")

# -- a log of two machines ---------------------------------------------------------------------
gull = folder.path / "gull.yaml"
gull.write_text(log_tools.INCHES)
folder.fill(JOBS)
before = (folder.path / "log.sqlite").read_bytes()
listed = folder.run("list")
t.equal((listed.status, listed.err), (0, ""), "list is status 0")
t.equal((folder.path / "log.sqlite").read_bytes(), before, "listing does not touch the file")


def rows(text):
    """The lines of jobs: number, date, machine, found, left, goal, verdict."""
    pattern = r"^ *(\d+) +(\d{4}-\d\d-\d\d) +(\S.*?) +(\S+) +(\S+) +(\S+) +(\w.*)$"
    return re.findall(pattern, text, re.MULTILINE)


t.equal(len(rows(listed.out)), JOBS, "each job has its line")
t.equal(folder.perpend("log", "--log", folder.log).out, listed.out, "log alone is log list")
answers = folder.sql("SELECT job, ordinal, ridge FROM answer ORDER BY job, ordinal")
found = {job: ridge for job, ordinal, ridge in answers if ordinal == 1}
left = {job: ridge for job, _, ridge in answers}


def figure(ridge):
    return "<0.001" if 0 < ridge < 0.0005 else f"{ridge:.3f}"


for row in rows(listed.out):
    job = int(row[0])
    t.equal(row[3:6], (figure(found[job]), figure(left[job]), "0.020"),
            f"job {job}: as found, as left, goal")
marked = {int(row[0]) for row in rows(listed.out) if row[6].endswith("*")}
t.equal(marked, {row[0] for row in folder.sql("SELECT DISTINCT job FROM note WHERE job NOT NULL")},
        "jobs with notes are marked")

# widths and characters
for columns in (80, 72, 60):
    wide = folder.run("list", env=dict(folder.env, COLUMNS=str(columns)))
    t.ok(all(len(line) <= columns for line in wide.out.splitlines()), f"list fits {columns}",
         wide.out)
    t.equal([row[0] for row in rows(wide.out)], [row[0] for row in rows(listed.out)],
            f"list at {columns} has the same jobs")
    for job in range(1, JOBS + 1, 1 if columns == 60 else 7):
        shown = folder.run("show", str(job), env=dict(folder.env, COLUMNS=str(columns)))
        if not all(len(line) <= columns for line in shown.out.splitlines()):
            t.ok(False, f"show {job} fits {columns}", shown.out)
t.ok(folder.run("show", "12", "--ascii").bytes.isascii(), "show --ascii")
t.ok("±" in folder.run("show", "12").out, "show in UTF-8")
t.ok(folder.run("show", "12", env=dict(folder.env, LC_ALL="C")).bytes.isascii(), "show in C")
locales = os.environ.get("LOCPATH", "")
if os.path.isdir(os.path.join(locales, "de_DE.utf8")):
    german = dict(folder.env, LC_ALL="de_DE.utf8", LOCPATH=locales)
    for words in (["list"], ["show", "12"], ["export", "--all"], ["export", "--all", "--format",
                                                                  "csv"]):
        t.equal(folder.run(*words, env=german).bytes, folder.run(*words).bytes,
                f"{words[0]}: same bytes in de_DE")
else:
    t.skip("log in a locale with a decimal comma", "none was made; install 'locales'")

# -- filters -----------------------------------------------------------------------------------
folder.fill(3, seed=5, machine=str(gull))
folder.sql("DROP TRIGGER job_stays", "DROP TRIGGER sweep_stays",
           "DROP TRIGGER note_stays",
           "UPDATE job SET started = printf('2025-%02d-15T22:30:00Z', min(id, 12)), "
           "started_offset = 120 WHERE id <= 14",
           "UPDATE sweep SET at = (SELECT started FROM job WHERE job.id = sweep.job) "
           "WHERE job <= 14",
           "UPDATE note SET at = '2020-01-01T00:00:00Z'", "UPDATE job SET digest = NULL")


def ids(*words):
    return [int(row[0]) for row in rows(folder.run("list", *words).out)]


t.equal(ids(), list(range(1, 18)), "all when there are few")
t.equal(ids("--last", "3"), [15, 16, 17], "--last")
t.equal(ids("--machine", "tern", "--last", "2"), [13, 14], "--machine with --last, any case")
t.equal(ids("--machine", "Gull"), [15, 16, 17], "--machine")
t.equal(ids("--machine", "Tern", "--since", "2025-03", "--until", "2025-05"), [3, 4, 5],
        "--since and --until with months")
t.equal(ids("--machine", "Tern", "--since", "2025-04-16", "--until", "2025-04-16"), [4],
        "days are those at the machine")
t.equal(ids("--machine", "Tern", "--until", "2025-04-15"), [1, 2, 3], "--until")
t.contains(folder.run("list", "--last", "3").sentence(), "The last 3 of 17 jobs", "it says what is left out")
for words, parts in ((["--since", "May"], ["not a date", "2026-05-06"]),
                     (["--until", "2026-02-30"], ["not a date"]),
                     (["--machine", "Eider"], ["no machine called", "Eider"]),
                     (["--last", "0"], ["--last '0'"]),
                     (["--last", "many"], ["--last 'many'"]),
                     (["7"], ["perpend log show 7"]),
                     (["--force"], ["--force does not go with it"])):
    one_line(t, folder.run("list", *words), 2, parts, f"list {' '.join(words)}")

# one unit a table
t.contains(folder.run("list", "--machine", "Gull").out, "ridges in thou", "a machine in inches")
t.contains(folder.run("list").out, "ridges in mm", "machines in both: mm")
t.ok(all(row[5] == "1.0" for row in rows(folder.run("list", "--machine", "Gull").out)),
     "the goal of 0.001 in is 1.0 thou")

# a goal of the lean alone
lean = folder.path / "lean.yaml"
with open(tap.TERN, encoding="utf-8") as tern:
    lean.write_text(re.sub("(?m)^goal:.*", "goal: {lean: 0.2}", tern.read()))
other = ["--log", str(folder.path / "lean.sqlite")]
folder.perpend("sweep", str(lean), *other, stdin="4\n1.00\n0.50\n0\n0.50\nend\n")
t.contains(folder.perpend("log", *other).out, " 0.2/m ", "a goal of the lean is listed")
t.contains(folder.perpend("log", "show", "1", *other).sentence(), "a lean of 0.2 mm/m", "and shown")
t.equal(json.loads(folder.perpend("log", "export", "1", *other).out)["goal_lean"], 0.2, "and exported")

# -- notes -------------------------------------------------------------------------------------
t.equal(folder.run("note", "4", "used the", "good feeler").status, 0, "a note on a job")
t.equal(folder.run("note", "last", "last one").status, 0, "a note on the last job")
t.equal(folder.run("note", "4", "and clean").out, "Kept: note, job 4.\n", "which is said to be kept")
t.equal(folder.run("note", "--machine", "TERN", "hit the vice, hard", "--kind", "crash").status, 0,
        "a note on a machine")
t.contains(folder.run("show", "4").sentence(), "used the good feeler", "show has the note")
t.contains(folder.run("show", "17").out, "last one", "the last job has it")
t.contains(folder.run("list").out, "Tern, crash: hit the vice, hard", "list has the machine's note")
t.lacks(folder.run("list", "--machine", "Gull").out, "vice", "but not under another machine")
folder.sql("UPDATE note SET at = '2025-07-01T10:00:00Z' WHERE text LIKE 'hit the vice%'")
lines = folder.run("list", "--machine", "Tern").out.splitlines()
where = [i for i, line in enumerate(lines) if "vice" in line][0]
t.ok(re.match(" *6 ", lines[where - 1]) and re.match(" *7 ", lines[where + 1]),
     "in its place between the jobs", "\n".join(lines))
t.lacks(folder.run("list", "--machine", "Tern", "--last", "3").out, "vice",
        "not when its time is not shown")
t.contains(folder.run("list", "--machine", "Tern", "--since", "2025-07-01", "--until",
                      "2025-07-01").out, "vice", "a day with a note and no job")
t.contains(folder.run("show", "7").sentence(), "a crash (2025-07-01): hit the vice, hard",
           "drift names the crash before the job")
t.lacks(folder.run("show", "8").sentence(), "vice", "and only before that one")
for words, parts in ((["4"], ["the note"]), ([], ["job's number"]),
                     (["999", "x"], ["no job 999"]), (["x", "y"], ["not the number of a job"]),
                     (["-1", "y"], ["unknown option '-1'"]), (["4", " "], ["note is empty"]),
                     (["4", "x", "--kind", "crush"], ["did you mean 'crash'"]),
                     (["4", "x", "--kind", "zzz"], ["note, crash, bit, move and repair"]),
                     (["--machine", "Eider", "x"], ["no machine called"]),
                     (["--machine", "Tern"], ["after the machine's name"])):
    one_line(t, folder.run("note", *words), 2, parts, f"note {' '.join(words)!r}")
t.equal(folder.run("note", "4", "\x1b[2Jtwo\nlines").status, 0, "a note may hold anything")
t.ok("\x1b" not in folder.run("show", "4").out, "but its control characters are not shown")

t.equal(folder.run("note", "4", b"caf\xe9").status, 0, "even what is no UTF-8")
t.contains(folder.run("export", "4").out, '"text":"caf?"', "which JSON shows as a question mark")

# -- show --------------------------------------------------------------------------------------
t.equal(folder.run("show").out, folder.run("show", "17").out, "show alone shows the last job")
t.equal(folder.run("show", "--machine", "Tern").out, folder.run("show", "14").out,
        "or the machine's last")
for words, parts in ((["999"], ["no job 999"]), (["0"], ["not the number of a job"]),
                     (["99999999999999999999"], ["no job"]), (["Eider"], ["no machine called"]), (["1"] * 13, ["12"]),
                     (["--since", "2026"], ["--since does not go with it"])):
    one_line(t, folder.run("show", *words), 2, parts, f"show {' '.join(words)}")
corrected = folder.sql("SELECT DISTINCT job FROM correction JOIN reading ON reading.id = "
                       "correction.reading JOIN sweep ON sweep.id = reading.sweep "
                       "WHERE withdraws = 0")
t.ok(len(corrected) > 0, "the log has corrections to show")
for (job,) in corrected:
    t.contains(folder.run("show", str(job)).sentence(), "misread)", f"job {job}: correction shown")
withdrawn = folder.sql("SELECT DISTINCT job FROM correction JOIN reading ON reading.id = "
                       "correction.reading JOIN sweep ON sweep.id = reading.sweep WHERE withdraws")
for (job,) in withdrawn:
    t.contains(folder.run("show", str(job)).sentence(), "(withdrawn: the arm, slipped)",
               f"job {job}: withdrawal shown")

# -- export, then solve ------------------------------------------------------------------------
for job in range(2, 18, 3):
    files = {}
    for form in ("job", "machine"):
        files[form] = folder.path / f"{form}.yaml"
        files[form].write_bytes(folder.run("export", str(job), "--format", form).bytes)
    t.equal(files["machine"].read_text(),
            log_tools.INCHES if job > JOBS else open(tap.TERN, encoding="utf-8").read(),
            f"job {job}: the machine file as it was")
    solved = folder.perpend("solve", str(files["machine"]), str(files["job"]), "--json")
    straight = subprocess.run([log_tools.SOLVE, folder.log, str(job)], capture_output=True,
                              check=False)
    t.ok(straight.returncode == 0 and straight.stdout == solved.bytes and solved.status in (0, 1),
         f"job {job}: export, then solve gives the same JSON to the last digit",
         solved.err + straight.stderr.decode())
    stored = folder.sql(f"SELECT lean_right, lean_back, ridge, low, high FROM answer "
                        f"WHERE job = {job} ORDER BY ordinal")
    for measured, row in zip(json.loads(solved.out)["measurements"], stored):
        got = (measured["lean"]["right"], measured["lean"]["back"], measured["ridge"]["height"],
               measured["ridge"]["low"], measured["ridge"]["high"])
        want = (row[0] * 1000, row[1] * 1000, *row[2:])
        if not all(math.isclose(a, b, rel_tol=1e-11, abs_tol=6e-10) for a, b in zip(got, want)):
            t.ok(False, f"job {job}: the stored answer is that of solve", f"{got}\n{want}")

# -- export for other programs -----------------------------------------------------------------
everything = folder.run("export", "--all")
objects = [json.loads(line) for line in everything.out.splitlines()]


def keys_of(part):
    if isinstance(part, list):
        return set().union(*map(keys_of, part))
    return set(part).union(*map(keys_of, part.values())) if isinstance(part, dict) else set()


if jsonschema is None:
    t.skip("the export against its schema", "python3-jsonschema is not there")
else:
    schema = json.loads((tap.ROOT / "docs" / "log.schema.json").read_text())
    validator = jsonschema.Draft202012Validator(schema)
    t.equal([error.message for item in objects for error in validator.iter_errors(item)], [],
            "each line obeys the schema")
page = "".join((tap.ROOT / "docs" / f"perpend-{name}.1.scd").read_text(encoding="utf-8") for name in ("log", "solve"))
t.equal({key for key in keys_of(objects) if f"*{key}*" not in page}, set(), "the manual names every key")
jobs = [item for item in objects if "job" in item]
t.equal(sorted(item["job"] for item in jobs), list(range(1, 18)), "JSON Lines: a line for each job")
notes = [item for item in objects if "note" in item]
t.equal(len(notes), folder.sql("SELECT count(*) FROM note WHERE job IS NULL")[0][0],
        "and for each note on a machine")
by_id = dict((row[0], row) for row in folder.sql(
    "SELECT id, (SELECT job FROM sweep WHERE sweep.id = sweep), bearing, value, x, y FROM reading"))
exported = [(item["job"], reading) for item in jobs for sweep in item["sweeps"]
            for reading in sweep["readings"]]
t.equal(len(exported), len(by_id), "every reading is there, withdrawn ones too")
exact = all((job, r["first"]["reading"] if "first" in r else r["reading"],
             r["x"], r["y"]) == (row[1], row[3], row[4], row[5])
            for (job, r), row in zip(exported, by_id.values()))
t.ok(exact, "to the last bit")
numbers = re.findall(r"[:\[,](-?\d[-+.0-9e]*)", re.sub(r'"(?:[^"\\]|\\.)*"', '""', everything.out))
t.ok(len(numbers) > 1000, "many numbers", len(numbers))
long = [number for number in numbers
        if "." in number and len(number.split("e")[0]) > max(len(repr(float(number)).split("e")[0]), 17)]
t.equal(long, [], "none with more digits than it takes")
t.equal(sum(len(reading["corrections"]) for _, reading in exported),
        folder.sql("SELECT count(*) FROM correction")[0][0], "with every correction")
t.equal([line for line in folder.run("export", "3").out.splitlines()],
        [line for line in everything.out.splitlines() if '"job":3,' in line], "one job alone")
t.equal(len(folder.run("export", "--machine", "Gull").out.splitlines()),
        3 + len([item for item in notes if item["machine"] == "Gull"]), "one machine alone")
t.equal([json.loads(line)["job"] for line in
         folder.run("export", "--machine", "Tern", "--since", "2025-03", "--until", "2025-04").out
         .splitlines() if "job" in json.loads(line)], [3, 4], "by date")

text = folder.run("export", "--all", "--format", "csv").bytes.decode()
t.ok(text.count("\n") == text.count("\r\n"), "CSV lines end as RFC 4180 has it")
table = list(csv.DictReader(io.StringIO(text, newline="")))
counting = [(job, r) for job, r in exported if r["counts"]]
t.equal(len(table), len(counting), "CSV: a row for each reading that counts")
order = sorted(counting, key=lambda item: item[0])
good = all(int(row["job"]) == job and float(row["reading_mm"]) == r["reading"]
           and float(row["x_mm"]) == r["x"] and math.isclose(float(row["at_degrees"]), r["at"],
                                                             abs_tol=1e-12)
           for row, (job, r) in zip(sorted(table, key=lambda row: int(row["job"])), order))
t.ok(good, "CSV: the same numbers")
t.ok(any(row["sweep"] == 'after "shims"' for row in table), "CSV: quotes in names")
formulas = folder.path / "formulas.yaml"
formulas.write_text(log_tools.INCHES.replace("machine: Gull", "machine: '=1+1, really'"))
with tempfile.TemporaryDirectory() as data:
    env = dict(folder.env, XDG_DATA_HOME=data)
    subprocess.run([log_tools.FILL, os.path.join(data, "log"), str(formulas), "1"], check=True, env=env)
    rows_of = folder.perpend("log", "export", "1", "--format", "csv", "--log", os.path.join(data, "log")).out
t.equal({row["machine"] for row in csv.DictReader(io.StringIO(rows_of, newline=""))}, {"'=1+1, really"},
        "CSV: no name is a formula to a spreadsheet")
for words, parts in (([], ["number of a job"]), (["1", "--all"], ["not both"]),
                     (["1", "--format", "xml"], ["jsonl, csv, job and machine"]),
                     (["1", "--format", "jobs"], ["did you mean 'job'"]),
                     (["--all", "--format", "job"], ["is for one job"]),
                     (["999"], ["no job 999"]), (["1", "2"], ["number of a job"])):
    one_line(t, folder.run("export", *words), 2, parts, f"export {' '.join(words)}")

# -- check -------------------------------------------------------------------------------------
checked = folder.run("check")
t.equal((checked.status, checked.err), (0, ""), "the log is sound and its answers follow")
t.contains(checked.out, "17 jobs", "it says how many it looked at")
t.equal(folder.run("check", "3").status, 0, "one job alone")
t.equal(folder.run("check", "--quick").status, 0, "the file alone")
one_line(t, folder.run("check", "99"), 2, ["no job 99"], "no such job")


def held_up(seconds):
    """What a terminal sees of a check that is held up for a while soon after it began."""
    terminal, theirs = pty.openpty()
    check = subprocess.Popen([tap.PERPEND, "log", "check", "--log", folder.log], env=folder.env,
                             stdout=subprocess.PIPE, stderr=theirs)
    os.close(theirs)
    time.sleep(seconds)
    check.send_signal(signal.SIGSTOP)
    time.sleep(2.5)
    check.send_signal(signal.SIGCONT)
    seen = b""
    try:
        while got := os.read(terminal, 4096):
            seen += got
    except OSError:  # the other end was closed
        pass
    os.close(terminal)
    said = check.stdout.read().decode()
    check.stdout.close()
    return check.wait(), seen.decode(), said


for seconds in (0.1, 0.2, 0.05, 0.4, 0.02):
    status, seen, said = held_up(seconds)
    if seen:
        break
reached = re.match(r"checked ([0-9]+) of 17 jobs", seen)
t.ok(reached and 0 < int(reached[1]) <= 17, "a check that takes long tells a terminal how far it is", seen)
t.ok(re.fullmatch(r"(checked \d+ of 17 jobs\r +\r)+", seen), "on a line that makes way", repr(seen))
t.equal((status, said), (0, checked.out), "for the same answer")
folder.sql("UPDATE answer SET ridge = ridge + 0.001 WHERE job = 3 AND ordinal = 1")
wrong = folder.run("check")
t.equal((wrong.status, wrong.out, wrong.err.count("\n")), (1, "", 2), "a changed answer is found")
t.contains(wrong.err, "job 3, measurement 1: the ridge stored", "and named")
t.equal(folder.run("check", "4").status, 0, "the others are well")
t.equal(folder.run("check", "--quick").status, 0, "a quick check does not look")
folder.sql("UPDATE answer SET ridge = ridge - 0.001 WHERE job = 3 AND ordinal = 1",
           "PRAGMA foreign_keys = OFF", "DELETE FROM answer WHERE job = 5", "DROP TRIGGER "
           "sweep_remains", "DELETE FROM sweep WHERE job = 5")
wrong = folder.run("check")
t.equal(wrong.status, 1, "rows that belong to nothing are found")
t.contains(wrong.err, "belongs to a sweep that is not there", "and named")
folder.close()

# -- several side by side, machines, corrections, ridges, names, files ------------------------------
folder = log_tools.Folder()
folder.fill(3)
gull = folder.path / "gull.yaml"
gull.write_text(log_tools.INCHES)
folder.fill(1, seed=5, machine=str(gull))
side = folder.run("show", "1", "2", "Gull")
t.ok(re.search(r"^Job +1 +2 +4$", side.out, re.M) and re.search(r"^Machine +Tern +Tern +Gull$", side.out, re.M),
     "jobs and machines side by side", side.out)
t.contains(side.out, "ridges in mm", "in the unit that all can share")
for columns in (60, 80):
    wide = folder.run("show", "1", "2", "3", "4", "1", env=dict(folder.env, COLUMNS=str(columns)))
    t.ok(all(len(line) <= columns for line in wide.out.splitlines()), f"five side by side fit {columns}", wide.out)
machines = folder.run("machines")
t.ok(re.search(r"^Gull +1 .*\n^Tern +3 +\d{4}-\d\d-\d\d ", machines.out, re.M), "machines by their names", machines.out)
t.ok(re.search(r"^Tern .* \d{4}-\d\d-\d\d$", machines.out, re.M), "and when they are due", machines.out)
t.lacks(folder.run("list").out, "Due:", "nobody is due")
folder.sql("DROP TRIGGER job_stays", "UPDATE job SET started = '2020-01-01T10:00:00Z' WHERE id < 4",
           "UPDATE job SET digest = NULL")
t.contains(folder.run("list").sentence(), "Due: Tern since 2020-07-01.", "26 weeks later it is")
t.contains(folder.run("machines").out, "since 2020-07-01", "in the list of machines too")
reading = json.loads(folder.run("export", "2").out)["sweeps"][0]["readings"][0]
was, at = str(reading["reading"]), str(reading["at"])
right = folder.run("correct", "2", at, was, "0.77", "--why", "misread")
t.equal((right.status, right.err), (0, ""), "a reading of an ended job is put right")
t.contains(folder.run("show", "2").sentence(), "0.77 (was ", "which show has, the old one beside it")
t.equal(folder.run("check").status, 0, "the answers follow")
for words, parts in ((["2", at, was, "0.7"], ["no reading of", "perpend log show 2"]),
                     (["2", "up", was, "1"], ["no bearing"]), (["2", at, was, "x"], ["no reading;"]),
                     (["2", at, was], ["front 1.05 1.00"]), (["99", at, was, "1"], ["no job 99"])):
    one_line(t, folder.run("correct", *words), 2, parts, f"correct {' '.join(words)}")
t.contains(folder.run("measured", "2", "0.03").out, "measured ridge 0.030 mm along X", "a measured ridge")
t.equal(folder.run("measured", "2", "0.01", "--along", "Y").status, 0, "the other way too")
t.contains(folder.run("show", "2").sentence(), "Measured afterwards: ridge 0.030 mm along X, 0.010 mm along Y.",
           "is shown as measured")
for words, parts in ((["2", "-1"], ["unknown option"]), (["2", "much"], ["no ridge"]), (["2"], ["last 0.03"]),
                     (["2", "1", "--along", "Z"], ["X and Y"])):
    one_line(t, folder.run("measured", *words), 2, parts, f"measured {' '.join(words)}")
t.contains(folder.run("rename", "Tern", "Petrel").sentence(), "Tern is now called Petrel", "another name")
t.equal([row[2] for row in rows(folder.run("list", "--machine", "Petrel").out)], ["Petrel"] * 3, "with its history")
folder.fill(1)
t.equal(len(rows(folder.run("list", "--machine", "Petrel").out)), 4, "its file's old name leads there too")
for words, parts in ((["Eider", "x"], ["no machine"]), (["Gull", "Tern"], ["is or was"]), (["Gull"], ["new one"]),
                     (["Gull", " "], ["1 to 120 bytes"])):
    one_line(t, folder.run("rename", *words), 2, parts, f"rename {' '.join(words)!r}")
t.equal(folder.run("check").status, 0, "and the log is sound")
evening = str(tap.ROOT / "examples" / "tern-evening.yaml")
t.equal(folder.run("import", tap.TERN, evening).out, "Taken in as job 6.\n", "a job from files")
t.contains(folder.run("import", tap.TERN, evening).sentence(), "Already in the log as job 6", "once")
t.equal(len(json.loads(folder.perpend("solve", tap.TERN, evening, "--json").out)["measurements"]),
        folder.sql("SELECT count(*) FROM answer WHERE job = 6")[0][0], "with its answers")
t.contains(folder.run("show", "6").sentence(), "from files, by A. Oarsman", "which show says")
one_line(t, folder.run("import", tap.TERN), 2, ["machine file and a job file"], "import wants two files")
one_line(t, folder.run("import", tap.TERN, tap.TERN), 2, ["machine file"], "and the right ones")
one_line(t, folder.run("note", "1", "x" * 2001), 2, ["2000"], "a note has its limit")
folder.close()

# -- backup while in use, two at once ----------------------------------------------------------
folder = log_tools.Folder()
folder.fill(4)
copy = str(folder.path / "copy.sqlite")
user = sqlite3.connect(folder.log, isolation_level=None)
user.execute("BEGIN IMMEDIATE")
user.execute("INSERT INTO note (machine, kind, text) VALUES (1, 'note', 'not committed')")
backup = folder.run("backup", copy)
t.equal(backup.status, 0, "a backup while somebody writes")
t.contains(backup.sentence(), f"Copied and checked: {copy}", "and it is said to be there")
user.execute("ROLLBACK")
user.close()
dump = {}
for path in (folder.log, copy):
    connection = sqlite3.connect(path)
    dump[path] = list(connection.iterdump())
    connection.close()
t.equal(dump[copy], dump[folder.log], "holds what the log held")
one_line(t, folder.run("backup", copy), 2, ["there already", "--force"], "it replaces nothing")
t.equal(folder.run("backup", copy, "--force").status, 0, "unless it is told to")
one_line(t, folder.run("backup", folder.log, "--force"), 2, ["the log itself"], "never the log")
one_line(t, folder.run("backup", str(folder.path), "--force"), 2, ["a directory"], "nor a folder")
one_line(t, folder.run("backup", str(folder.path / "no" / "copy")), 3, ["cannot"], "no such folder")
one_line(t, folder.run("backup"), 2, ["name one file"], "a backup wants a name")
t.equal(sorted(name for name in os.listdir(folder.path) if ".new-" in name), [],
        "nothing half-made is left")

writers = [subprocess.Popen([tap.PERPEND, "log", "note", str(i % 4 + 1), f"note {i}", "--log",
                             folder.log], env=folder.env, stdout=subprocess.DEVNULL,
                            stderr=subprocess.PIPE)
           for i in range(24)]
ends = [(writer.communicate()[1], writer.returncode) for writer in writers]
t.equal(ends, [(b"", 0)] * 24, "24 at once all get their turn")
t.equal(folder.sql("SELECT count(*) FROM note WHERE text LIKE 'note %'")[0][0], 24,
        "and all their notes are there")
t.equal(folder.run("check").status, 0, "and the log is sound")

# many at once make one log
with tempfile.TemporaryDirectory() as data:
    env = dict(folder.env, XDG_DATA_HOME=data)
    starters = [subprocess.Popen([log_tools.FILL, os.path.join(data, "log.sqlite"), tap.TERN, "1",
                                  str(i)], env=env) for i in range(6)]
    t.equal([starter.wait() for starter in starters], [0] * 6, "six start a log at once")
    run = folder.perpend("log", "list", "--log", os.path.join(data, "log.sqlite"))
    t.equal(len(rows(run.out)), 6, "and it has the jobs of all")

# -- the command line --------------------------------------------------------------------------
for words, parts in ((["shwo"], ["did you mean 'show'"]), (["zzz"], ["list, machines, show"]),
                     (["list", "--since"], ["wants a value"]),
                     (["backup", "x", "--quick"], ["--quick does not go with it"])):
    one_line(t, folder.perpend("log", *words), 2, parts, f"log {' '.join(words)}")
folder.close()
t.done()
