/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Logs of other versions: brought up to date whole, or not at all. */
#include "log/book.h"
#include "support/log_support.h"
#include "log/schema.h"

static const struct perpend_slope leaning = {0.001, 0.006};
static const struct perpend_slope upright = {0.0001, -0.0002};

static int number_of(const char *path, const char *sql)
{
    sqlite3 *db;
    sqlite3_stmt *statement;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &statement, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(statement), SQLITE_ROW);
    int number = sqlite3_column_int(statement, 0);
    sqlite3_finalize(statement);
    sqlite3_close(db);
    return number;
}

/* A log before its first version: named ours, nothing in it. */
static void put_version_0(const char *path)
{
    log_test_set_number(path, "application_id", LOG_APPLICATION);
    assert_int_equal(number_of(path, "PRAGMA user_version"), 0);
}

static void an_older_log_is_brought_up_to_date(void **state)
{
    (void)state;
    struct fault fault;
    struct log_book *book;
    for (int write = 0; write < 2; write++) {
        struct log_folder made = log_folder_make();
        put_version_0(made.path);
        works(log_open(made.path, write ? LOG_WRITE : LOG_READ, &book, &fault));
        assert_int_equal(book->access, write ? LOG_WRITE : LOG_READ);
        log_close(book);
        assert_int_equal(number_of(made.path, "PRAGMA user_version"), log_newest_version());
        works(log_open(made.path, LOG_WRITE, &book, &fault));
        log_test_whole_job(book, tern_text, leaning, upright);
        log_close(book);
        log_folder_remove(&made);
    }
}

/* A step to a version 2 as one might come: a table that others refer to is built anew. */
static const char *const to_2[] = {
    "CREATE TABLE machine_new (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE COLLATE NOCASE, "
    "place TEXT NOT NULL DEFAULT 'boat shed') STRICT",
    "INSERT INTO machine_new (id, name) SELECT id, name FROM machine",
    "DROP TABLE machine",
    "ALTER TABLE machine_new RENAME TO machine",
    NULL,
};
static const char *const halfway[] = {
    "ALTER TABLE job ADD COLUMN operator TEXT", "INSERT INTO nowhere VALUES (1)", NULL};
static const char *const dangling[] = {
    "DELETE FROM machine", "ALTER TABLE job ADD COLUMN operator TEXT", NULL};

static int migrate_with(const char *path, const char *const *statements)
{
    struct log_migration list[8];
    sqlite3 *db;
    size_t count = log_migration_count;
    memcpy(list, log_migrations, count * sizeof list[0]);
    list[count] = (struct log_migration){log_newest_version() + 1, statements};
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    int code = log_migrate(db, list, count + 1);
    if (code == SQLITE_OK) /* again: nothing to do */
        assert_int_equal(log_migrate(db, list, count + 1), SQLITE_OK);
    sqlite3_close(db);
    return code & 0xff;
}

static void a_migration_is_all_or_nothing(void **state)
{
    (void)state;
    size_t length;
    struct log_folder made = log_folder_make();
    unsigned char *bytes = log_test_sound(&made, 2, &length);
    int next = log_newest_version() + 1;
    const char *columns = "SELECT count(*) FROM pragma_table_info('job')";
    int before = number_of(made.path, columns);
    assert_int_equal(migrate_with(made.path, halfway), SQLITE_ERROR);
    assert_int_equal(migrate_with(made.path, dangling), SQLITE_CONSTRAINT);
    assert_int_equal(number_of(made.path, columns), before);
    assert_int_equal(number_of(made.path, "PRAGMA user_version"), next - 1);
    assert_int_equal(number_of(made.path, "SELECT count(*) FROM machine"), 1);

    assert_int_equal(migrate_with(made.path, to_2), SQLITE_OK);
    assert_int_equal(number_of(made.path, "PRAGMA user_version"), next);
    assert_int_equal(
        number_of(made.path, "SELECT count(*) FROM job JOIN machine ON machine.id = job.machine "
                             "WHERE place = 'boat shed'"),
        2);
    free(bytes);
    log_folder_remove(&made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_older_log_is_brought_up_to_date),
        cmocka_unit_test(a_migration_is_all_or_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
