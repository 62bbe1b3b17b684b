/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Logs of an earlier version: brought up to date whole, or left as they are. */
#include "log/book.h"
#include "log/schema.h"
#include "support/log_support.h"

/* A log of version 1 as an earlier perpend made it, and a statement more. */
static void put_version_1(const char *path, const char *more)
{
    sqlite3 *db;
    size_t length;
    char name[1024];
    const char *top = getenv("TOP"); /* the project's folder; meson says it */
    snprintf(name, sizeof name, "%s/tests/log/version_1.sql", top ? top : ".");
    unsigned char *sql = log_test_bytes(name, &length);
    sql[length] = '\0';
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, (const char *)sql, NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, more, NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "PRAGMA journal_mode = WAL", NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
    free(sql);
}

static void no_finding(void *context, const char *line)
{
    (void)context;
    printf("# %s\n", line);
}

/* Nothing is lost: each row is as it was. */
static void assert_same_rows(struct log_book *book, const char *old)
{
    static const char *const tables[][2] = {
        {"machine", "id, name"},
        {"machine_file", "id, machine, text"},
        {"job", "id, machine, machine_file, path, unit, goal, started, started_offset, ended, "
                "ended_offset, ending, verdict"},
        {"sweep", "id, job, name, x, y, at, at_offset"},
        {"reading", "id, sweep, bearing, value, x, y, typed, at, at_offset"},
        {"correction", "id, reading, withdraws, bearing, value, x, y, typed, why, at, at_offset"},
        {"did", "id, sweep, kind, at, at_offset"},
        {"did_entry", "did, ordinal, joint, bolt, move, shift_right, shift_back, shift_up"},
        {"note", "id, machine, job, sweep, kind, text, at, at_offset"},
        {"answer", "*"},
    };
    struct fault fault;
    char sql[1024];
    works(log_run(book, "ATTACH ? AS old", LOG_WITH(log_text(old)), &fault));
    for (size_t i = 0; i < sizeof tables / sizeof tables[0]; i++) {
        const char *name = tables[i][0], *columns = tables[i][1];
        int64_t rows, missing;
        const char *then =
            strcmp(name, "did_entry") == 0
                ? "did, ordinal, joint, bolt, move, slide_right, slide_back, slide_up"
                : columns;
        snprintf(sql, sizeof sql, "SELECT count(*) FROM main.%s", name);
        works(log_get(book, sql, NULL, &rows, &fault));
        assert_true(rows > 0);
        snprintf(sql, sizeof sql,
            "SELECT (SELECT count(*) FROM old.%s) - %lld + (SELECT count(*) FROM (SELECT %s FROM "
            "old.%s EXCEPT SELECT %s FROM main.%s))",
            name, (long long)rows, then, name, columns, name);
        works(log_get(book, sql, NULL, &missing, &fault));
        if (missing != 0)
            printf("# %s: %lld of %lld\n", name, (long long)missing, (long long)rows);
        assert_int_equal(missing, 0);
    }
    int64_t amounts;
    works(log_get(book,
        "SELECT count(*) FROM main.did_entry JOIN old.did_entry AS old USING (did, ordinal) WHERE "
        "amount IS NOT CASE old.move WHEN 'screw' THEN turns WHEN 'shim' THEN old.shim ELSE 0 END",
        NULL, &amounts, &fault));
    assert_int_equal(amounts, 0);
}

static void an_older_log_is_brought_up_to_date(void **state)
{
    (void)state;
    struct fault fault;
    struct log_book *book;
    struct log_checked checked;
    char before[160];
    for (int access = LOG_READ; access <= LOG_WRITE; access++) {
        struct log_folder made = log_folder_make();
        snprintf(before, sizeof before, "%s/before", made.folder);
        put_version_1(before, "");
        put_version_1(made.path, "");
        works(log_open(made.path, (enum log_access)access, &book, &fault));
        works(log_check(
            book, 0, false, &(struct log_listener){.found = no_finding}, &checked, &fault));
        assert_int_equal(checked.jobs, 2);
        assert_int_equal(checked.findings, 0);
        assert_same_rows(book, before);
        int64_t unsealed;
        works(log_get(
            book, "SELECT count(*) FROM job WHERE digest IS NULL", NULL, &unsealed, &fault));
        assert_int_equal(unsealed, 0);
        log_close(book);
        /* and is as any other from then on */
        works(log_open(made.path, LOG_WRITE, &book, &fault));
        log_test_whole_job(
            book, tern_text, (struct perpend_slope){0, 0.006}, (struct perpend_slope){0, 0});
        assert_false(log_run(book, "DELETE FROM reading", NULL, &fault));
        log_close(book);
        log_folder_remove(&made);
    }
}

static void odd_zones_and_blank_names_are_taken_along(void **state)
{
    (void)state;
    struct fault fault;
    struct log_book *book;
    int64_t found;
    struct log_folder made = log_folder_make();
    put_version_1(made.path, "DROP TRIGGER sweep_stays_UPDATE; UPDATE machine SET name = '  ';"
                             "UPDATE sweep SET at_offset = 1499 WHERE id = 1");
    works(log_open(made.path, LOG_READ, &book, &fault));
    works(log_get(book,
        "SELECT count(*) FROM machine, sweep WHERE machine.name = 'machine 1' AND at_offset = 1499",
        NULL, &found, &fault));
    assert_int_equal(found, 1);
    log_close(book);
    log_folder_remove(&made);
}

static void what_cannot_be_brought_up_to_date_is_left_alone(void **state)
{
    (void)state;
    static const char *const wrong[] = {
        "DROP TRIGGER sweep_stays_UPDATE; UPDATE sweep SET at = '2026-05-68T07:08:09Z' WHERE id=2",
        "DROP TRIGGER reading_stays_UPDATE; UPDATE reading SET value = 1e300 WHERE id = 2",
        "PRAGMA foreign_keys = OFF; DELETE FROM machine",
    };
    struct fault fault;
    struct log_book *book;
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        struct log_folder made = log_folder_make();
        size_t length, now_length;
        put_version_1(made.path, wrong[i]);
        unsigned char *bytes = log_test_bytes(made.path, &length);
        refused(log_open(made.path, LOG_WRITE, &book, &fault), 3);
        assert_non_null(strstr(fault.text, "damaged"));
        unsigned char *now = log_test_bytes(made.path, &now_length);
        assert_int_equal(now_length, length);
        assert_memory_equal(now, bytes, length);
        free(now);
        free(bytes);
        log_folder_remove(&made);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_older_log_is_brought_up_to_date),
        cmocka_unit_test(odd_zones_and_blank_names_are_taken_along),
        cmocka_unit_test(what_cannot_be_brought_up_to_date_is_left_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
