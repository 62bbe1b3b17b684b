/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>

#include "log/schema.h"

/* Times are UTC text (ISO 8601, "Z") with the zone's offset in minutes beside it; lengths mm,
   bearings rad, slopes mm/mm. What was accepted is fenced off by triggers: only answers, which
   follow from the rest, may be replaced. */
static const char *const version_1[] = {
    "CREATE TABLE machine ("
    "  id INTEGER PRIMARY KEY,"
    "  name TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (name <> '')"
    ") STRICT",

    /* the file's text as it was; jobs share one as long as it does not change */
    "CREATE TABLE machine_file ("
    "  id INTEGER PRIMARY KEY,"
    "  machine INTEGER NOT NULL REFERENCES machine,"
    "  text TEXT NOT NULL"
    ") STRICT",
    "CREATE INDEX machine_file_machine ON machine_file (machine)",

    "CREATE TABLE job ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  machine INTEGER NOT NULL REFERENCES machine,"
    "  machine_file INTEGER NOT NULL REFERENCES machine_file,"
    "  path TEXT,"
    "  unit TEXT NOT NULL CHECK (unit IN ('mm', 'in')),"
    "  goal REAL,"
    "  started TEXT NOT NULL,"
    "  started_offset INTEGER NOT NULL,"
    "  ended TEXT,"
    "  ended_offset INTEGER,"
    "  ending TEXT CHECK (ending IN ('done', 'given up')),"
    "  verdict TEXT CHECK (verdict IN ('no goal', 'met', 'not met', 'too close')),"
    "  CHECK ((ended IS NULL) = (ending IS NULL) AND (ended IS NULL) = (verdict IS NULL)"
    "    AND (ended IS NULL) = (ended_offset IS NULL))"
    ") STRICT",
    "CREATE INDEX job_machine ON job (machine, id)",
    "CREATE INDEX job_open ON job (machine, id) WHERE ended IS NULL",
    /* the day as it was at the machine */
    "CREATE INDEX job_day ON job (date(started, started_offset || ' minutes'))",

    "CREATE TABLE sweep ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  job INTEGER NOT NULL REFERENCES job,"
    "  name TEXT NOT NULL,"
    "  x REAL NOT NULL,"
    "  y REAL NOT NULL,"
    "  at TEXT NOT NULL,"
    "  at_offset INTEGER NOT NULL"
    ") STRICT",
    "CREATE INDEX sweep_job ON sweep (job, id)",

    "CREATE TABLE reading ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  sweep INTEGER NOT NULL REFERENCES sweep,"
    "  bearing REAL NOT NULL,"
    "  value REAL NOT NULL,"
    "  x REAL NOT NULL,"
    "  y REAL NOT NULL,"
    "  typed TEXT,"
    "  at TEXT NOT NULL,"
    "  at_offset INTEGER NOT NULL"
    ") STRICT",
    "CREATE INDEX reading_sweep ON reading (sweep, id)",

    /* the last correction of a reading is what counts */
    "CREATE TABLE correction ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  reading INTEGER NOT NULL REFERENCES reading,"
    "  withdraws INTEGER NOT NULL CHECK (withdraws IN (0, 1)),"
    "  bearing REAL,"
    "  value REAL,"
    "  x REAL,"
    "  y REAL,"
    "  typed TEXT,"
    "  why TEXT,"
    "  at TEXT NOT NULL,"
    "  at_offset INTEGER NOT NULL,"
    "  CHECK (withdraws = (value IS NULL) AND (value IS NULL) = (bearing IS NULL)"
    "    AND (value IS NULL) = (x IS NULL) AND (value IS NULL) = (y IS NULL))"
    ") STRICT",
    "CREATE INDEX correction_reading ON correction (reading, id)",

    /* the last one of a sweep is what counts */
    "CREATE TABLE did ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  sweep INTEGER NOT NULL REFERENCES sweep,"
    "  kind TEXT NOT NULL CHECK (kind IN ('plan', 'nothing', 'list')),"
    "  at TEXT NOT NULL,"
    "  at_offset INTEGER NOT NULL"
    ") STRICT",
    "CREATE INDEX did_sweep ON did (sweep, id)",
    "CREATE TABLE did_entry ("
    "  did INTEGER NOT NULL REFERENCES did,"
    "  ordinal INTEGER NOT NULL,"
    "  joint TEXT NOT NULL,"
    "  bolt TEXT NOT NULL,"
    "  move TEXT NOT NULL CHECK (move IN ('shim', 'slide', 'screw')),"
    "  shim REAL NOT NULL,"
    "  slide_right REAL NOT NULL,"
    "  slide_back REAL NOT NULL,"
    "  slide_up REAL NOT NULL,"
    "  turns REAL NOT NULL,"
    "  PRIMARY KEY (did, ordinal)"
    ") STRICT, WITHOUT ROWID",

    "CREATE TABLE note ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  machine INTEGER NOT NULL REFERENCES machine,"
    "  job INTEGER REFERENCES job,"
    "  sweep INTEGER REFERENCES sweep,"
    "  kind TEXT NOT NULL CHECK (kind IN ('note', 'crash', 'bit', 'move', 'repair')),"
    "  text TEXT NOT NULL CHECK (text <> ''),"
    "  at TEXT NOT NULL,"
    "  at_offset INTEGER NOT NULL"
    ") STRICT",
    "CREATE INDEX note_machine ON note (machine, at)",
    "CREATE INDEX note_alone ON note (at) WHERE job IS NULL",
    "CREATE INDEX note_job ON note (job) WHERE job IS NOT NULL",

    /* worked out from the rest: replaced when that changes */
    "CREATE TABLE answer ("
    "  job INTEGER NOT NULL REFERENCES job,"
    "  ordinal INTEGER NOT NULL,"
    "  first_sweep INTEGER NOT NULL REFERENCES sweep,"
    "  last_sweep INTEGER NOT NULL REFERENCES sweep,"
    "  readings INTEGER NOT NULL,"
    "  lean_right REAL NOT NULL,"
    "  lean_back REAL NOT NULL,"
    "  lean_right_right REAL NOT NULL,"
    "  lean_right_back REAL NOT NULL,"
    "  lean_back_back REAL NOT NULL,"
    "  includes_bed INTEGER NOT NULL CHECK (includes_bed IN (0, 1)),"
    "  bed_right REAL,"
    "  bed_back REAL,"
    "  ridge REAL NOT NULL,"
    "  low REAL NOT NULL,"
    "  high REAL NOT NULL,"
    "  chance REAL,"
    "  verdict TEXT NOT NULL CHECK (verdict IN ('no goal', 'met', 'not met', 'too close')),"
    "  answered TEXT NOT NULL,"
    "  answered_offset INTEGER NOT NULL,"
    "  program TEXT NOT NULL,"
    "  PRIMARY KEY (job, ordinal)"
    ") STRICT, WITHOUT ROWID",

#define STAYS(table, event)                                                                        \
    "CREATE TRIGGER " table "_stays_" event " BEFORE " event " ON " table                          \
    " BEGIN SELECT RAISE(ABORT, 'what the log has accepted is never changed'); END"
    STAYS("reading", "UPDATE"),
    STAYS("reading", "DELETE"),
    STAYS("correction", "UPDATE"),
    STAYS("correction", "DELETE"),
    STAYS("did", "UPDATE"),
    STAYS("did", "DELETE"),
    STAYS("did_entry", "UPDATE"),
    STAYS("did_entry", "DELETE"),
    STAYS("note", "UPDATE"),
    STAYS("note", "DELETE"),
    STAYS("sweep", "UPDATE"),
    STAYS("sweep", "DELETE"),
    STAYS("machine_file", "UPDATE"),
    STAYS("machine_file", "DELETE"),
    STAYS("job", "DELETE"),
#undef STAYS
    "CREATE TRIGGER job_stays_ended BEFORE UPDATE ON job"
    "  WHEN OLD.ended IS NOT NULL OR NEW.id <> OLD.id OR NEW.machine <> OLD.machine"
    "    OR NEW.machine_file <> OLD.machine_file OR NEW.goal IS NOT OLD.goal"
    "    OR NEW.started <> OLD.started"
    " BEGIN SELECT RAISE(ABORT, 'what the log has accepted is never changed'); END",
    NULL,
};

const struct log_migration log_migrations[] = {
    {1, version_1},
};
const size_t log_migration_count = sizeof log_migrations / sizeof log_migrations[0];

int log_newest_version(void)
{
    return log_migrations[log_migration_count - 1].version;
}

int log_ask_number(sqlite3 *db, const char *sql, int *number)
{
    sqlite3_stmt *statement = NULL;
    int code = sqlite3_prepare_v2(db, sql, -1, &statement, NULL);
    if (code == SQLITE_OK && (code = sqlite3_step(statement)) == SQLITE_ROW) {
        *number = sqlite3_column_int(statement, 0);
        code = SQLITE_OK;
    }
    sqlite3_finalize(statement);
    return code;
}

static int take_step(sqlite3 *db, const struct log_migration *step)
{
    char set[48];
    int code = SQLITE_OK;
    for (const char *const *sql = step->statements; *sql && code == SQLITE_OK; sql++)
        code = sqlite3_exec(db, *sql, NULL, NULL, NULL);
    if (code != SQLITE_OK)
        return code;
    snprintf(set, sizeof set, "PRAGMA user_version = %d", step->version);
    return sqlite3_exec(db, set, NULL, NULL, NULL);
}

static int check_foreign_keys(sqlite3 *db)
{
    sqlite3_stmt *statement = NULL;
    int code = sqlite3_prepare_v2(db, "PRAGMA foreign_key_check", -1, &statement, NULL);
    if (code == SQLITE_OK)
        code = sqlite3_step(statement);
    sqlite3_finalize(statement);
    if (code == SQLITE_DONE)
        return SQLITE_OK;
    return code == SQLITE_ROW ? SQLITE_CONSTRAINT : code;
}

int log_migrate(sqlite3 *db, const struct log_migration *list, size_t count)
{
    int version = 0;
    /* a step may rebuild a table that others refer to; this is a no-op inside a transaction */
    int code = sqlite3_exec(db, "PRAGMA foreign_keys = OFF", NULL, NULL, NULL);
    if (code != SQLITE_OK)
        return code;
    code = sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL);
    if (code != SQLITE_OK)
        return code;
    code = log_ask_number(db, "PRAGMA user_version", &version);
    for (size_t i = 0; i < count && code == SQLITE_OK; i++)
        if (list[i].version > version)
            code = take_step(db, &list[i]);
    if (code == SQLITE_OK)
        code = check_foreign_keys(db);
    if (code == SQLITE_OK)
        code = sqlite3_exec(db, "COMMIT", NULL, NULL, NULL);
    if (code != SQLITE_OK && !sqlite3_get_autocommit(db))
        sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL);
    int on = sqlite3_exec(db, "PRAGMA foreign_keys = ON", NULL, NULL, NULL);
    return code == SQLITE_OK ? on : code;
}
