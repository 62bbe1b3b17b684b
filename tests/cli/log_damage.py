#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A damaged log: every part of perpend log, and the session, say so in one line and leave it as it is."""
import os
import random
import sqlite3

import log_tools
import tap

t = tap.Tap()
PAGE = 4096
folder = log_tools.Folder()
folder.fill(6)
folder.run("note", "2", "for the record")
# a job with each thing that is looked for below
TOLD = folder.sql("SELECT sweep.job FROM did JOIN sweep ON sweep.id = did.sweep WHERE kind = 'list' LIMIT 1")
TOLD = str(TOLD[0][0])
with open(folder.log, "rb") as file:
    SOUND = file.read()
t.ok(len(SOUND) >= 20 * PAGE and len(SOUND) % PAGE == 0, "a log of some pages")
FOUR = "1.00\n0.50\n0\n0.50\n"

READERS = [["list"], ["show", "2"], ["export", "--all"], ["check", "--quick"],
           ["backup", str(folder.path / "copy")]]
WRITERS = [["log", "note", "2", "was here"], ["sweep", tap.TERN]]


def put(content):
    for name in os.listdir(folder.path):
        if name.startswith("log.sqlite-") or name == "copy":
            os.unlink(folder.path / name)
    with open(folder.log, "wb") as out:
        out.write(content)


def untouched(content):
    with open(folder.log, "rb") as now:
        return now.read() == content


def lines_of(run):
    """Its complaints, if each is one whole line of ours; else None."""
    lines = run.err.splitlines()
    if run.err and not run.err.endswith("\n"):
        return None
    return lines if all(line.startswith("perpend: " + folder.log) for line in lines) else None


def run_writer(words):
    return folder.perpend(*words, "--log", folder.log, stdin=FOUR)


def refused(run):
    """One line and status 2 or 3; nothing else, unless it was at work on many jobs."""
    lines = lines_of(run)
    whole = all(line.startswith("{") and line.endswith("}") for line in run.out.splitlines())
    return run.status in (2, 3) and whole and lines is not None and len(lines) == 1


def try_all(content, must_refuse, name, parts=()):
    """All parts on a damaged file: each works or gives one line; the check and what writes notice."""
    put(content)
    wrong = []
    for words in READERS:
        run = folder.run(*words)
        if must_refuse or words[0] in ("check", "backup") or run.status != 0:
            findings = words[0] == "check" and run.status == 1 and lines_of(run)
            if not (refused(run) or findings):
                wrong.append((words, run.status, run.out[:200], run.err))
        if must_refuse and not all(part in run.err for part in parts):
            wrong.append((words, run.err))
        if not untouched(content):
            wrong.append((words, "changed the file"))
            put(content)
    for words in WRITERS:
        run = run_writer(words)
        if not refused(run):
            wrong.append((words, run.status, run.out[:200], run.err))
        if not untouched(content):
            wrong.append((words, "changed the file"))
            put(content)
    if (folder.path / "copy").exists():
        wrong.append("a backup was made")
    t.ok(not wrong, name, "\n".join(str(item) for item in wrong))


# the library is tried with every cut and every page (tests/log/test_log_file.c): here one of each
try_all(SOUND[:7 * PAGE], True, "cut short", ["damaged", "backup"])
rng = random.Random(71)
print("# random bytes: seed 71")
noise = rng.randbytes(PAGE)
try_all(SOUND[:5 * PAGE] + noise + SOUND[6 * PAGE:], False, "a page overwritten with random bytes")
try_all(noise + SOUND[PAGE:], True, "its first page overwritten", ["not a log"])
try_all(SOUND[:50], True, "half a header", ["not a log"])
try_all(b"sweep,at,reading\n" * 500, True, "a table of readings", ["not a log"])


def altered(*statements):
    put(SOUND)
    connection = sqlite3.connect(folder.log)
    for statement in statements:
        connection.execute(statement)
    connection.commit()
    connection.close()
    with open(folder.log, "rb") as now:
        return now.read()


newer = altered("PRAGMA user_version = 1000")
try_all(newer, True, "a log of a later version", ["newer perpend", "version is 1000"])
other = altered("PRAGMA application_id = 1")
try_all(other, True, "a database of another program", ["another program"])


def forced(table, column, value):
    """The log with a value in a column that its rules do not take, and the rules as they were."""
    schema = "UPDATE sqlite_schema SET sql = ? WHERE type = 'table' AND name = ?"
    put(SOUND)
    connection = sqlite3.connect(folder.log)
    for (name,) in connection.execute(
            "SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
        connection.execute(f"DROP TRIGGER {name}")
    (rules,) = connection.execute("SELECT sql FROM sqlite_schema WHERE type = 'table' AND name = ?",
                                  (table,)).fetchone()
    connection.execute("PRAGMA writable_schema = ON")
    connection.execute(schema, (rules.replace("NOT NULL", ""), table))
    connection.commit()
    connection.close()
    connection = sqlite3.connect(folder.log)
    connection.execute("PRAGMA ignore_check_constraints = ON")
    changed = connection.execute(f"UPDATE {table} SET {column} = ?", (value,)).rowcount
    connection.execute("PRAGMA writable_schema = ON")
    connection.execute(schema, (rules, table))
    connection.commit()
    connection.close()
    t.ok(changed > 0, f"{table}.{column} is there to be forced")
    with open(folder.log, "rb") as now:
        return now.read()


# rows that cannot be: what must be there is not, a word is none of those there are
for table, column, value, reader in (
        ("machine", "name", None, "list"), ("note", "text", None, "show"),
        ("note", "kind", "zzz", "show"), ("job", "verdict", "zzz", "show"),
        ("job", "ending", "zzz", "list"), ("answer", "verdict", "zzz", "list"),
        ("sweep", "name", None, "show"), ("machine_file", "text", None, "show"),
        ("did", "kind", "zzz", "show"), ("did_entry", "joint", None, "show"),
        ("did_entry", "bolt", None, "show"), ("did_entry", "move", "zzz", "show")):
    content = forced(table, column, value)
    put(content)
    run = folder.run(reader, *([TOLD if table == "did_entry" else "2"] if reader == "show" else []))
    t.ok(refused(run) and "damaged" in run.err, f"{reader}: {table}.{column} {value}",
         (run.status, run.err))
    run = folder.run("check")
    t.ok(run.status in (1, 3) and lines_of(run), f"check: {table}.{column} {value}", (run.status, run.err))

# what no table of pages has: a folder, a link to nothing, a device
os.unlink(folder.log)
os.mkdir(folder.log)
t.ok(refused(folder.run("list")) and refused(run_writer(WRITERS[1])), "a folder")
os.rmdir(folder.log)
os.symlink(folder.path / "nowhere" / "log", folder.log)
t.ok(refused(folder.run("list")) and refused(run_writer(WRITERS[1])), "a dangling link")
os.unlink(folder.log)

# a log with a name that a URI would read otherwise, and one through a link
put(SOUND)
odd = str(folder.path / "50% off? #1.sqlite")
os.rename(folder.log, odd)
t.equal(folder.perpend("log", "--log", odd).status, 0, "an odd name")
os.symlink(odd, folder.log)
t.equal(folder.run("check", "--quick").status, 0, "through a link")
t.equal(folder.run("note", "1", "through a link").status, 0, "and to write")
folder.close()
t.done()
