/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stddef.h>

#include "log/schema.h"

/* Times are UTC text with the zone's offset in minutes beside it; lengths mm, bearings rad, slopes
   mm/mm. The checks hold what can never change; words of which there may come more (moves, verdicts,
   kinds of a note) are checked by the program alone, so that a new one needs no new version. */
/* Whether a text is a moment as the log writes one: "+0 days" has SQLite put right a 30 February. */
#define IS_MOMENT(at) at " IS strftime('%Y-%m-%dT%H:%M:%SZ', " at ", '+0 days')"
#define TIME(at)                                                                                   \
    at " TEXT NOT NULL DEFAULT (" LOG_NOW                                                          \
       ") CHECK (" IS_MOMENT(at) "), " at "_offset INTEGER NOT NULL DEFAULT (" LOG_OFFSET ") "     \
                                 "CHECK (abs(" at "_offset) <= 10080)"
/* The day as it was at the machine, which lists are filtered by. */
#define DAY(at)                                                                                    \
    "day TEXT NOT NULL DEFAULT (date('now', " LOG_OFFSET " || ' minutes')) "                       \
    "CHECK (day IS date(" at ", " at "_offset || ' minutes'))"
#define ANY(x) x " REAL CHECK (abs(" x ") <= 1e9)"
#define REAL(x) x " REAL NOT NULL CHECK (abs(" x ") <= 1e9)"
#define BEARING "CHECK (bearing BETWEEN 0 AND 6.283185307179587)"

const char *const log_tables[] = {
    "CREATE TABLE machine (id INTEGER PRIMARY KEY,"
    "  name TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (trim(name) <> '')) STRICT",

    /* the file's text as it was; jobs share one as long as it does not change */
    "CREATE TABLE machine_file (id INTEGER PRIMARY KEY,"
    "  machine INTEGER NOT NULL REFERENCES machine, text TEXT NOT NULL) STRICT",
    "CREATE INDEX file_of ON machine_file (machine)",

    /* the digest is of all that was accepted for the job (digest.c); NULL while it is written */
    "CREATE TABLE job (id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  machine INTEGER NOT NULL REFERENCES machine,"
    "  machine_file INTEGER NOT NULL REFERENCES machine_file, path TEXT,"
    "  unit TEXT NOT NULL CHECK (unit IN ('mm', 'in'))," ANY("goal") "," TIME(
        "started") ","
                   "  ended TEXT CHECK (" IS_MOMENT(
                       "ended") "),"
                                "  ended_offset INTEGER CHECK (abs(ended_offset) <= 10080),"
                                "  ending TEXT CHECK (ending IN ('done', 'given up')), verdict "
                                "TEXT CHECK "
                                "(verdict <> ''),"
                                "  digest INTEGER," DAY(
                                    "started") ","
                                               "  CHECK ((ended IS NULL) = (ending IS NULL) AND "
                                               "(ended IS NULL) "
                                               "= (verdict IS NULL)"
                                               "    AND (ended IS NULL) = (ended_offset IS NULL))) "
                                               "STRICT",
    "CREATE INDEX job_of ON job (machine)",
    "CREATE INDEX job_day ON job (day, machine)", /* all that a filter asks */
    "CREATE INDEX job_open ON job (machine) WHERE ended IS NULL",
    "CREATE INDEX job_unsealed ON job (id) WHERE digest IS NULL",

    "CREATE TABLE sweep (id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  job INTEGER NOT NULL REFERENCES job, name TEXT NOT NULL," REAL("x") "," REAL(
        "y") ","
             "  " TIME("at") ") STRICT",
    "CREATE INDEX sweep_of ON sweep (job)",

    "CREATE TABLE reading (id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  sweep INTEGER NOT NULL REFERENCES sweep, bearing REAL NOT NULL " BEARING ","
    "  " REAL("value") "," REAL("x") "," REAL("y") ", typed TEXT," TIME("at") ") STRICT",
    "CREATE INDEX reading_of ON reading (sweep)",

    /* the last correction of a reading is what counts */
    "CREATE TABLE correction (id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  reading INTEGER NOT NULL REFERENCES reading,"
    "  withdraws INTEGER NOT NULL DEFAULT 0 CHECK (withdraws IN (0, 1)),"
    "  bearing REAL " BEARING "," ANY("value") "," ANY("x") "," ANY(
        "y") ","
             "  typed TEXT, why TEXT," TIME("at") ","
                                                  "  CHECK (withdraws = (value IS NULL) AND (value "
                                                  "IS NULL) = (bearing IS NULL)"
                                                  "    AND (value IS NULL) = (x IS NULL) AND "
                                                  "(value IS NULL) = (y IS NULL))) STRICT",
    "CREATE INDEX correction_of ON correction (reading)",

    /* the readings that count, as they count */
    "CREATE VIEW counted AS SELECT reading.id, reading.sweep,"
    "  coalesce(last.bearing, reading.bearing) AS bearing,"
    "  coalesce(last.value, reading.value) AS value, coalesce(last.x, reading.x) AS x,"
    "  coalesce(last.y, reading.y) AS y,"
    "  CASE WHEN last.id IS NULL THEN reading.typed ELSE last.typed END AS typed,"
    "  reading.at, reading.at_offset FROM reading LEFT JOIN correction AS last ON last.id ="
    "  (SELECT max(id) FROM correction WHERE correction.reading = reading.id)"
    "  WHERE last.withdraws IS NOT 1",

    /* what was done after a sweep: the last one of a sweep is what counts */
    "CREATE TABLE did (id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  sweep INTEGER NOT NULL REFERENCES sweep,"
    "  kind TEXT NOT NULL CHECK (kind IN ('plan', 'nothing', 'list'))," TIME("at") ") STRICT",
    "CREATE INDEX did_of ON did (sweep)",
    /* how much a bolt was moved, whatever the move: a number, or a displacement */
    "CREATE TABLE did_entry (did INTEGER NOT NULL REFERENCES did, ordinal INTEGER NOT NULL,"
    "  joint TEXT NOT NULL, bolt TEXT NOT NULL, move TEXT NOT NULL CHECK (move <> ''),"
    "  " REAL("amount") "," REAL("shift_right") "," REAL("shift_back") "," REAL(
        "shift_up") ","
                    "  PRIMARY KEY (did, ordinal)) STRICT, WITHOUT ROWID",

    "CREATE TABLE note (id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  machine INTEGER NOT NULL REFERENCES machine, job INTEGER REFERENCES job,"
    "  sweep INTEGER REFERENCES sweep, kind TEXT NOT NULL CHECK (kind <> ''),"
    "  text TEXT NOT NULL CHECK (text <> '')," TIME("at") "," DAY("at") ") STRICT",
    "CREATE INDEX note_of ON note (machine, at)",
    "CREATE INDEX note_alone ON note (day) WHERE job IS NULL",
    "CREATE INDEX note_job ON note (job) WHERE job IS NOT NULL",

    /* worked out from the rest: replaced when that changes */
    "CREATE TABLE answer (job INTEGER NOT NULL REFERENCES job, ordinal INTEGER NOT NULL,"
    "  first_sweep INTEGER NOT NULL REFERENCES sweep,"
    "  last_sweep INTEGER NOT NULL REFERENCES sweep, readings INTEGER NOT NULL,"
    "  " REAL("lean_right") "," REAL("lean_back") "," REAL(
        "lean_right_right") ","
                            "  " REAL("lean_right_back") "," REAL(
                                "lean_back_back") ","
                                                  "  includes_bed INTEGER NOT NULL CHECK "
                                                  "(includes_bed IN (0, 1)),"
                                                  "  " ANY("bed_right") "," ANY("bed_back") "," REAL("ridge") "," REAL("low") "," REAL(
                                                      "high") ","
                                                              "  " ANY(
                                                                  "chance") ", verdict TEXT NOT "
                                                                            "NULL CHECK (verdict "
                                                                            "<> '')," TIME("answere"
                                                                                           "d") ","
                                                                                                "  "
                                                                                                "pr"
                                                                                                "og"
                                                                                                "ra"
                                                                                                "m "
                                                                                                "TE"
                                                                                                "XT"
                                                                                                " N"
                                                                                                "OT"
                                                                                                " N"
                                                                                                "UL"
                                                                                                "L,"
                                                                                                " P"
                                                                                                "RI"
                                                                                                "MA"
                                                                                                "RY"
                                                                                                " K"
                                                                                                "EY"
                                                                                                " ("
                                                                                                "jo"
                                                                                                "b,"
                                                                                                " o"
                                                                                                "rd"
                                                                                                "in"
                                                                                                "al"
                                                                                                "))"
                                                                                                " S"
                                                                                                "TR"
                                                                                                "IC"
                                                                                                "T,"
                                                                                                " W"
                                                                                                "IT"
                                                                                                "HO"
                                                                                                "UT"
                                                                                                " R"
                                                                                                "OW"
                                                                                                "I"
                                                                                                "D",

    /* which process is at work on a job (claim.c) */
    "CREATE TABLE claim (job INTEGER PRIMARY KEY REFERENCES job,"
    "  process INTEGER NOT NULL, began INTEGER NOT NULL) STRICT",
    NULL,
};

#define RAISE(what) " BEGIN SELECT RAISE(ABORT, '" what "'); END"
#define STAYS(table, name, event)                                                                  \
    "CREATE TRIGGER " table "_" name " BEFORE " event                                              \
    " ON " table RAISE("what the log has accepted is never changed")
#define KEPT(table) STAYS(table, "stays", "UPDATE"), STAYS(table, "remains", "DELETE")

/* Answers that no longer follow: those of the measurement that a sweep belongs to, which begins
   after the last adjustment before it, and of all later ones. */
#define ANSWERS_GO(job, sweep)                                                                     \
    " DELETE FROM answer WHERE job = " job " AND last_sweep > coalesce((SELECT max(sweep.id) FROM" \
    " sweep JOIN did ON did.sweep = sweep.id WHERE sweep.job = " job " AND sweep.id < " sweep      \
    "), 0);"

/* What is added to a job: only while it is open, and its digest is to be made anew. */
#define ADDED(table, job, then)                                                                    \
    "CREATE TRIGGER " table "_open BEFORE INSERT ON " table                                        \
    " WHEN (SELECT ended FROM job WHERE id = " job                                                 \
    ") IS NOT NULL" RAISE("the job has ended, so this cannot be added to it; a note still can"),   \
        "CREATE TRIGGER " table "_unseals AFTER INSERT ON " table                                  \
        " BEGIN UPDATE job SET digest = NULL WHERE id = " job ";" then " END"
#define OF_SWEEP "(SELECT job FROM sweep WHERE id = NEW.sweep)"
#define SWEEP_READ "(SELECT sweep FROM reading WHERE id = NEW.reading)"
#define OF_READING "(SELECT job FROM sweep WHERE id = " SWEEP_READ ")"

/* What was accepted is fenced off from whatever writes to the file. */
const char *const log_fences[] = {
    KEPT("machine_file"),
    KEPT("sweep"),
    KEPT("reading"),
    KEPT("correction"),
    KEPT("did"),
    KEPT("did_entry"),
    KEPT("note"),
    STAYS("job", "remains", "DELETE"),
    STAYS("job", "stays",
        "UPDATE OF id, machine, machine_file, path, unit, goal, started, started_offset"),
    "CREATE TRIGGER job_stays_ended BEFORE UPDATE OF ended, ended_offset, ending, verdict ON job"
    " WHEN OLD.ended IS NOT NULL" RAISE("what the log has accepted is never changed"),

    ADDED("sweep", "NEW.job", ""),
    ADDED("reading", OF_SWEEP, ANSWERS_GO(OF_SWEEP, "NEW.sweep")),
    ADDED("correction", OF_READING, ANSWERS_GO(OF_READING, SWEEP_READ)),
    /* answers to later measurements have learned from what was done */
    ADDED("did", OF_SWEEP,
        " DELETE FROM answer WHERE job = " OF_SWEEP " AND last_sweep > NEW.sweep;"),
    "CREATE TRIGGER did_after_readings BEFORE INSERT ON did"
    " WHEN NOT EXISTS (SELECT 1 FROM counted WHERE sweep = NEW.sweep)" RAISE(
        "what was done is recorded after a sweep, and this sweep has no readings; sweep first"),
    "CREATE TRIGGER note_unseals AFTER INSERT ON note"
    " BEGIN UPDATE job SET digest = NULL WHERE id = NEW.job; END",
    NULL,
};

/* To this version from an earlier one, with the fences down: what the earlier one named or held
   otherwise is put right, then each table is set aside, made anew and filled with the columns that
   both have. Each line makes the statements of its step. */
#define OWN_TABLES "FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'"
const char log_drop_fences[] =
    "SELECT group_concat('DROP ' || type || ' ' || name, ';') FROM sqlite_schema"
    " WHERE type IN ('index', 'trigger', 'view') AND sql IS NOT NULL";
const char log_set_aside[] = "SELECT group_concat('ALTER TABLE ' || name || ' RENAME TO old_' ||"
                             " name, ';') " OWN_TABLES;
const char log_refill[] =
    "SELECT group_concat('INSERT INTO ' || name || ' (' || columns || ') SELECT ' || columns ||"
    " ' FROM old_' || name || '; DROP TABLE old_' || name, ';') FROM (SELECT name, (SELECT"
    " group_concat(new.name) FROM pragma_table_info(tables.name) AS new JOIN pragma_table_info("
    "'old_' || tables.name) AS old USING (name)) AS columns FROM (SELECT name " OWN_TABLES
    ") AS tables) WHERE columns IS NOT NULL";

/* Version 1: a column for each move's amount, no days; a machine's name could be blank. */
const char *const log_from_1[] = {
    "ALTER TABLE did_entry RENAME COLUMN shim TO amount",
    "ALTER TABLE did_entry RENAME COLUMN slide_right TO shift_right",
    "ALTER TABLE did_entry RENAME COLUMN slide_back TO shift_back",
    "ALTER TABLE did_entry RENAME COLUMN slide_up TO shift_up",
    "UPDATE did_entry SET amount = turns WHERE move = 'screw'",
    "UPDATE machine SET name = 'machine ' || id WHERE trim(name) = ''",
    "ALTER TABLE job ADD COLUMN day TEXT",
    "UPDATE job SET day = date(started, started_offset || ' minutes')",
    "ALTER TABLE note ADD COLUMN day TEXT",
    "UPDATE note SET day = date(at, at_offset || ' minutes')",
    NULL,
};
