/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A new log laid out, and one of an earlier version brought to the same. */
#include "log/schema.h"

static const char tables[] =
#include "log/schema.inc"
    ;
static const char fences[] =
#include "log/fences.inc"
    ;

#define NUMBER_TEXT(number) #number
#define PRAGMA_NUMBER(name, number) "PRAGMA " name " = " NUMBER_TEXT(number)

/* From an earlier version, and from nothing. The fences go; what the earlier one named or held otherwise is put right; each table is set aside,
   made anew and filled with the columns that both have. These make the statements of a step. */
#define OWN_TABLES "FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'"
static const char drop_fences[] =
    "SELECT group_concat('DROP ' || type || ' ' || name, ';') FROM sqlite_schema"
    " WHERE type IN ('index', 'trigger', 'view') AND sql IS NOT NULL";
static const char set_aside[] =
    "SELECT group_concat('ALTER TABLE ' || name || ' RENAME TO old_' || name, ';') " OWN_TABLES;
static const char refill[] =
    "SELECT group_concat('INSERT INTO ' || name || ' (' || columns || ') SELECT ' || columns ||"
    " ' FROM old_' || name || '; DROP TABLE old_' || name, ';') FROM (SELECT name, (SELECT"
    " group_concat(new.name) FROM pragma_table_info(tables.name) AS new JOIN pragma_table_info("
    "'old_' || tables.name) AS old USING (name)) AS columns FROM (SELECT name " OWN_TABLES
    ") AS tables) WHERE columns IS NOT NULL";

/* Version 1: a column for each move's amount; a machine's name could be blank. */
static const char from_1[] = "ALTER TABLE did_entry RENAME COLUMN shim TO amount;"
                             "ALTER TABLE did_entry RENAME COLUMN slide_right TO shift_right;"
                             "ALTER TABLE did_entry RENAME COLUMN slide_back TO shift_back;"
                             "ALTER TABLE did_entry RENAME COLUMN slide_up TO shift_up;"
                             "UPDATE did_entry SET amount = turns WHERE move = 'screw';"
                             "UPDATE machine SET name = 'machine ' || id WHERE trim(name) = '';"
                             "ALTER TABLE job ADD COLUMN day TEXT;"
                             "UPDATE job SET day = date(started, started_offset || ' minutes');"
                             "ALTER TABLE note ADD COLUMN day TEXT;"
                             "UPDATE note SET day = date(at, at_offset || ' minutes');";

/* Run the statements that a query makes. */
static bool run_made(struct log_book *book, const char *query, struct fault *fault)
{
    struct log_query made = log_ask(book, query, NULL);
    char *script =
        log_row(&made) ? sqlite3_mprintf("%s", sqlite3_column_text(made.statement, 0)) : NULL;
    bool ok = log_done(&made, fault) && log_script(book, script, fault);
    sqlite3_free(script);
    return ok;
}

/* In one transaction: all of it or none. */
static bool update(struct log_book *book, struct fault *fault)
{
    int64_t version = 0, dangling = 0;
    bool ok = log_get(book, "PRAGMA user_version", NULL, &version, fault);
    if (ok && version < LOG_VERSION) /* no other process has done it meanwhile */
        ok = run_made(book, drop_fences, fault) &&
             (version != 1 || log_script(book, from_1, fault)) &&
             run_made(book, set_aside, fault) && log_script(book, tables, fault) &&
             run_made(book, refill, fault) && log_script(book, fences, fault) &&
             log_get(
                 book, "SELECT count(*) FROM pragma_foreign_key_check", NULL, &dangling, fault) &&
             (dangling == 0 || log_sql_fault(book, SQLITE_CORRUPT, fault)) &&
             log_script(book, PRAGMA_NUMBER("application_id", LOG_APPLICATION), fault) &&
             log_script(book, PRAGMA_NUMBER("user_version", LOG_VERSION), fault);
    if (!ok && fault->status == 2) /* what cannot be, and the old tables took all the same */
        log_sql_fault(book, SQLITE_CORRUPT, fault);
    return ok;
}

bool log_bring_up_to_date(struct log_book *book, struct fault *fault)
{
    const bool fixed = sqlite3_db_readonly(book->db, "main") == 1;
    if (fixed && book->access != LOG_READ)
        return log_sql_fault(book, SQLITE_READONLY, fault);
    if (fixed)
        return fault_set(fault, 3,
            "%s: the log is of an earlier perpend, and cannot be brought up to date where it is "
            "read-only; copy it, with any file beside it, to a folder that can be written",
            book->path);
    int code = log_soundness(book, "PRAGMA integrity_check(1)", NULL, NULL);
    if (code != SQLITE_OK)
        return log_sql_fault(book, code, fault);
    return log_script(book, "PRAGMA foreign_keys = OFF", fault) && log_begin(book, fault) &&
           log_end(book, update(book, fault), fault) &&
           log_script(book, "PRAGMA foreign_keys = ON", fault) &&
           log_script(book, "PRAGMA journal_mode = DELETE", fault);
}
