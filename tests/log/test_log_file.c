/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The log as a file: damage, read-only folders, what stays beside it, backups. */
#include <errno.h>
#include <sys/wait.h>

#include "log/book.h"
#include "support/log_support.h"
#include "log/schema.h"

static const struct perpend_slope leaning = {0.001, 0.006};

#define PAGE 4096u

static void count_finding(void *context, const char *line)
{
    (void)line;
    ++*(size_t *)context;
}

/* Everything the log can be asked to do; how many of them were refused, each with one line. */
struct usage {
    size_t refused;  /* calls that said what is wrong */
    size_t findings; /* of the check */
};

static void expect_line(struct usage *use, bool ok, const struct fault *fault, const char *path)
{
    if (ok)
        return;
    use->refused++;
    if ((fault->status != 2 && fault->status != 3) || !strstr(fault->text, path) ||
        strchr(fault->text, '\n')) {
        printf("# status %d: %s\n", fault->status, fault->text);
        fail();
    }
}

static struct usage use_for_reading(const char *path)
{
    struct usage use = {0, 0};
    struct fault fault = {.status = 0};
    struct log_book *book;
    struct log_list list;
    struct log_filter filter = {.last = 20, .notes = true};
    struct log_checked checked;
    bool ok = log_open(path, LOG_READ, &book, &fault);
    expect_line(&use, ok, &fault, path);
    if (!ok)
        return use;
    ok = log_list(book, &filter, &list, &fault);
    expect_line(&use, ok, &fault, path);
    log_list_finish(&list);
    for (int64_t job = 1; job <= 3; job++) {
        struct log_record record;
        struct log_drift drift;
        ok = log_load(book, job, &record, &fault);
        expect_line(&use, ok || fault.status == 2, &fault, path);
        if (ok)
            log_record_finish(&record);
        ok = log_drift_find(book, job, &drift, &fault);
        expect_line(&use, ok || fault.status == 2, &fault, path);
        if (ok)
            log_drift_finish(&drift);
    }
    ok = log_check(book, 0, false,
        &(struct log_listener){.found = count_finding, .context = &use.findings}, &checked, &fault);
    expect_line(&use, ok, &fault, path);
    log_close(book);
    return use;
}

/* Whether the log let itself be written to. */
static bool use_for_writing(const char *path, struct usage *use)
{
    struct fault fault = {.status = 0};
    struct log_book *book;
    bool ok = log_open(path, LOG_WRITE, &book, &fault);
    expect_line(use, ok, &fault, path);
    if (!ok)
        return false;
    ok = log_note(book, &(struct log_about){.job = 1}, LOG_NOTE, "was here", &fault);
    expect_line(use, ok, &fault, path);
    log_close(book);
    return ok;
}

static void assert_untouched(const char *path, const unsigned char *bytes, size_t length)
{
    size_t now_length;
    unsigned char *now = log_test_bytes(path, &now_length);
    assert_int_equal(now_length, length);
    assert_int_equal(memcmp(now, bytes, length), 0);
    free(now);
}

static void a_log_cut_short_is_refused(void **state)
{
    (void)state;
    size_t length;
    struct log_folder made = log_folder_make();
    unsigned char *bytes = log_test_sound(&made, 3, &length);
    assert_true(length > 20 * PAGE);
    printf("# cut at every %u of %zu bytes\n", PAGE, length);
    for (size_t cut = PAGE; cut < length; cut += PAGE) {
        struct usage use;
        log_test_put(made.path, bytes, cut);
        use = use_for_reading(made.path);
        if (use.refused == 0) {
            printf("# cut at %zu: read all the same\n", cut);
            fail();
        }
        if (use_for_writing(made.path, &use)) {
            printf("# cut at %zu: written to\n", cut);
            fail();
        }
        assert_untouched(made.path, bytes, cut);
    }
    free(bytes);
    log_folder_remove(&made);
}

/* Reading may or may not come across the page; the check must, and so must opening to write. */
static void a_log_with_random_bytes_is_refused(void **state)
{
    (void)state;
    size_t length;
    struct log_folder made = log_folder_make();
    unsigned char *bytes = log_test_sound(&made, 3, &length);
    unsigned char *damaged = malloc(length);
    struct test_random random = test_random_start("random bytes", 53);
    for (size_t page = 0; page < length / PAGE; page++) {
        memcpy(damaged, bytes, length);
        for (size_t i = 0; i < PAGE; i++)
            damaged[page * PAGE + i] = (unsigned char)test_random_bits(&random);
        log_test_put(made.path, damaged, length);
        struct usage use = use_for_reading(made.path);
        if (use.refused == 0 && use.findings == 0) {
            printf("# page %zu: not noticed\n", page + 1);
            fail();
        }
        if (use_for_writing(made.path, &use)) {
            printf("# page %zu: written to\n", page + 1);
            fail();
        }
        assert_untouched(made.path, damaged, length);
    }
    free(damaged);
    free(bytes);
    log_folder_remove(&made);
}

static void run_sql(sqlite3 *db, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    char *sql = sqlite3_vmprintf(format, arguments), *said = NULL;
    va_end(arguments);
    if (sqlite3_exec(db, sql, NULL, NULL, &said) != SQLITE_OK)
        fail_msg("%s: %s", sql, said);
    sqlite3_free(sql);
}

/* A column that must hold something is emptied, and the rules are as they were. */
static void empty_column(const char *path, const char *table, const char *column)
{
    sqlite3 *db;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    run_sql(db,
        "CREATE TEMP TABLE rules AS SELECT sql FROM sqlite_schema WHERE name = %Q AND type = "
        "'table'; CREATE TEMP TABLE fences AS SELECT name FROM sqlite_schema WHERE type = "
        "'trigger'",
        table);
    sqlite3_stmt *fence;
    sqlite3_prepare_v2(db, "SELECT 'DROP TRIGGER ' || name FROM temp.fences", -1, &fence, NULL);
    while (sqlite3_step(fence) == SQLITE_ROW)
        run_sql(db, "%s", sqlite3_column_text(fence, 0));
    sqlite3_finalize(fence);
    run_sql(db,
        "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = replace(sql, 'NOT NULL', "
        "'') WHERE name = %Q AND type = 'table'; PRAGMA writable_schema = RESET",
        table);
    run_sql(db, "PRAGMA ignore_check_constraints = ON; UPDATE %s SET %s = NULL", table, column);
    if (sqlite3_changes(db) == 0)
        fail_msg("%s has no row to be changed", table);
    run_sql(db,
        "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = (SELECT sql FROM "
        "temp.rules) WHERE name = %Q AND type = 'table'",
        table);
    sqlite3_close(db);
}

/* All is read, or it is said in one line what is not. */
static void nothing_where_something_must_be_is_seen(void **state)
{
    (void)state;
    size_t length, columns = 0;
    struct fault fault;
    struct log_book *book;
    sqlite3_stmt *column;
    sqlite3 *db;
    struct log_folder made = log_folder_make();
    free(log_test_sound(&made, 2, &length));
    works(log_open(made.path, LOG_ADD, &book, &fault));
    works(log_measured_add(book, 1, 0.01, NAN, &fault));
    works(log_rename(book, "Tern", "Petrel", &fault));
    works(log_did(book, log_test_sweep(book, log_test_job(book, tern_text), "as found", leaning),
        NULL, &(struct perpend_sweep){.did_kind = PERPEND_DID_NOTHING}, &fault));
    works(log_run(book,
        "INSERT INTO did_entry VALUES (1, 1, 'clamp plate', 'top left', 'shim', 0.1, "
        "0, 0, 0)",
        NULL, &fault));
    works(log_reading_withdraw(book, 1, "slipped", &fault));
    log_close(book);
    unsigned char *bytes = log_test_bytes(made.path, &length);
    char copy[160];
    snprintf(copy, sizeof copy, "%s/copy", made.folder);
    log_test_put(copy, bytes, length);
    assert_int_equal(sqlite3_open(copy, &db), SQLITE_OK);
    sqlite3_prepare_v2(db,
        "SELECT tables.name, columns.name FROM sqlite_schema AS tables, "
        "pragma_table_info(tables.name) "
        "AS columns WHERE tables.type = 'table' AND tables.name NOT IN ('sqlite_sequence', "
        "'claim') AND "
        "\"notnull\" AND NOT pk",
        -1, &column, NULL);
    while (sqlite3_step(column) == SQLITE_ROW) {
        log_test_put(made.path, bytes, length);
        empty_column(made.path, (const char *)sqlite3_column_text(column, 0),
            (const char *)sqlite3_column_text(column, 1));
        use_for_reading(made.path);
        columns++;
    }
    sqlite3_finalize(column);
    sqlite3_close(db);
    assert_true(columns > 40);
    free(bytes);
    log_folder_remove(&made);
}

/* Single bytes changed anywhere: no crash, no hang; what is refused is left as it is. */
static void single_bytes_changed_never_crash(void **state)
{
    (void)state;
    size_t length;
    struct log_folder made = log_folder_make();
    unsigned char *bytes = log_test_sound(&made, 3, &length);
    unsigned char *damaged = malloc(length);
    struct test_random random = test_random_start("single bytes", 54);
    size_t noticed = 0;
    for (int round = 0; round < 100; round++) {
        memcpy(damaged, bytes, length);
        size_t at = test_pick(&random, round % 3 ? length : 200);
        damaged[at] = (unsigned char)test_random_bits(&random);
        log_test_put(made.path, damaged, length);
        struct usage use = use_for_reading(made.path);
        noticed += use.refused > 0 || use.findings > 0;
        assert_untouched(made.path, damaged, length);
    }
    printf("# noticed %zu of 100\n", noticed);
    free(damaged);
    free(bytes);
    log_folder_remove(&made);
}

struct oddity {
    const char *what;
    int status;
    const char *says;
};

static void try_oddity(const char *path, const struct oddity *odd, size_t length)
{
    struct fault fault;
    struct log_book *book;
    unsigned char *bytes = log_test_bytes(path, &length);
    for (int write = 0; write < 2; write++) {
        refused(log_open(path, write ? LOG_WRITE : LOG_READ, &book, &fault), odd->status);
        if (!strstr(fault.text, odd->says) || !strstr(fault.text, path)) {
            printf("# %s: %s\n", odd->what, fault.text);
            fail();
        }
        assert_untouched(path, bytes, length);
    }
    free(bytes);
}

static void what_is_no_log_is_refused(void **state)
{
    (void)state;
    size_t length;
    struct fault fault;
    struct log_book *book;
    struct log_folder made = log_folder_make();
    unsigned char *bytes = log_test_sound(&made, 1, &length);

    log_test_put(made.path, (const unsigned char *)"sweep,at,reading\n", 17);
    try_oddity(made.path, &(struct oddity){"a text", 2, "not a log"}, 17);
    log_test_put(made.path, bytes, 60);
    try_oddity(made.path, &(struct oddity){"a stump", 2, "not a log"}, 60);
    log_test_put(made.path, bytes, length);
    log_test_set_number(made.path, "application_id", 7);
    try_oddity(made.path, &(struct oddity){"another program's", 2, "another program"}, length);
    log_test_put(made.path, bytes, length);
    log_test_set_number(made.path, "user_version", LOG_VERSION + 1);
    try_oddity(made.path, &(struct oddity){"a newer one", 2, "newer perpend"}, length);
    refused(log_open(made.folder, LOG_WRITE, &book, &fault), 2);
    assert_non_null(strstr(fault.text, "folder"));
    refused(log_open("/dev/null", LOG_WRITE, &book, &fault), 2);
    /* an empty file is a log not begun */
    log_test_put(made.path, bytes, 0);
    refused(log_open(made.path, LOG_READ, &book, &fault), 2);
    refused(log_open(made.path, LOG_ADD, &book, &fault), 2);
    works(log_open(made.path, LOG_WRITE, &book, &fault));
    log_close(book);
    free(bytes);
    log_folder_remove(&made);
}

static void a_missing_folder_is_said_to_be_missing(void **state)
{
    (void)state;
    struct fault fault;
    struct log_book *book;
    struct log_folder made = log_folder_make();
    char path[192];
    snprintf(path, sizeof path, "%s/nowhere/log.sqlite", made.folder);
    refused(log_open(path, LOG_WRITE, &book, &fault), 3);
    assert_non_null(strstr(fault.text, strerror(ENOENT)));
    log_folder_remove(&made);
}

/* ---- read-only ----------------------------------------------------------------------------- */

/* Run something as nobody, for whom the permissions bind; its answer, or -1. */
static int as_nobody(int (*what)(const char *), const char *path)
{
    int status;
    pid_t child = fork();
    if (child == 0) {
        if (getuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0))
            _exit(99);
        _exit(what(path));
    }
    waitpid(child, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static int read_all(const char *path)
{
    struct usage use = use_for_reading(path);
    return use.refused == 0 && use.findings == 0 ? 0 : 1;
}

/* 0: refused as read-only and in one line. */
static int write_refused(const char *path)
{
    struct fault fault = {.status = 0};
    struct log_book *book;
    if (!log_open(path, LOG_WRITE, &book, &fault))
        return fault.status == 3 && !strchr(fault.text, '\n') ? 0 : 1;
    bool ok = log_note(book, &(struct log_about){.job = 1}, LOG_NOTE, "was here", &fault);
    log_close(book);
    return !ok && fault.status == 3 ? 0 : 2;
}

static int stale_refused(const char *path)
{
    struct fault fault = {.status = 0};
    struct log_book *book;
    if (log_open(path, LOG_READ, &book, &fault))
        return 1;
    return fault.status == 3 && strstr(fault.text, "-journal") ? 0 : 2;
}

/* The folder for the log cannot be made, and it says why. */
static int folder_refused(const char *path)
{
    struct fault fault = {.status = 0};
    struct log_book *book;
    setenv("XDG_DATA_HOME", path, 1);
    if (log_open(NULL, LOG_WRITE, &book, &fault))
        return 1;
    return fault.status == 3 && strstr(fault.text, strerror(EACCES)) ? 0 : 2;
}

static void a_folder_that_cannot_be_made_says_why(void **state)
{
    (void)state;
    char data[160];
    struct log_folder made = log_folder_make();
    snprintf(data, sizeof data, "%s/data", made.folder);
    assert_int_equal(chmod(made.folder, 0555), 0);
    assert_int_equal(as_nobody(folder_refused, data), 0);
    assert_int_equal(chmod(made.folder, 0755), 0);
    log_folder_remove(&made);
}

static void a_read_only_log_can_be_read(void **state)
{
    (void)state;
    size_t length;
    char side[160];
    struct log_folder made = log_folder_make();
    unsigned char *bytes = log_test_sound(&made, 2, &length);
    assert_int_equal(chmod(made.path, 0444), 0);
    assert_int_equal(chmod(made.folder, 0555), 0);
    assert_int_equal(as_nobody(read_all, made.path), 0);
    assert_int_equal(as_nobody(write_refused, made.path), 0);
    /* the file may be written, its folder may not */
    assert_int_equal(chmod(made.path, 0666), 0);
    assert_int_equal(as_nobody(read_all, made.path), 0);
    assert_int_equal(as_nobody(write_refused, made.path), 0);
    /* entries that are still beside the file cannot be taken in: say so rather than miss them */
    assert_int_equal(chmod(made.folder, 0755), 0);
    snprintf(side, sizeof side, "%s-journal", made.path);
    log_test_put(side, (const unsigned char *)"something", 9);
    assert_int_equal(chmod(side, 0644), 0);
    assert_int_equal(chmod(made.path, 0444), 0);
    assert_int_equal(chmod(made.folder, 0555), 0);
    assert_int_equal(as_nobody(stale_refused, made.path), 0);
    assert_untouched(made.path, bytes, length);
    assert_int_equal(chmod(made.folder, 0755), 0);
    free(bytes);
    log_folder_remove(&made);
}

/* ---- what stays beside it, what it is called ------------------------------------------------ */

static void nothing_stays_beside_a_log(void **state)
{
    (void)state;
    size_t length;
    char there[1024], command[256];
    struct log_folder made = log_folder_make();
    unsigned char *bytes = log_test_sound(&made, 2, &length);
    use_for_reading(made.path);
    snprintf(command, sizeof command, "ls -A %s", made.folder);
    FILE *list = popen(command, "r");
    assert_non_null(list);
    there[fread(there, 1, sizeof there - 1, list)] = '\0';
    pclose(list);
    assert_string_equal(there, "log.sqlite\n");
    assert_untouched(made.path, bytes, length);
    free(bytes);
    log_folder_remove(&made);
}

static void a_name_is_no_more_than_a_name(void **state)
{
    (void)state;
    static const char *const names[] = {
        "file:log", "file:///etc/x", ":memory:", "a?mode=ro", "50% off #1"};
    struct fault fault;
    struct log_book *book;
    struct log_folder made = log_folder_make();
    char before[1024];
    assert_non_null(getcwd(before, sizeof before));
    assert_int_equal(chdir(made.folder), 0);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        if (strstr(names[i], "///"))
            refused(log_open(names[i], LOG_WRITE, &book, &fault), 3); /* in a folder "file:" */
        else {
            works(log_open(names[i], LOG_WRITE, &book, &fault));
            log_close(book);
            assert_int_equal(access(names[i], F_OK), 0);
        }
    }
    assert_int_equal(chdir(before), 0);
    log_folder_remove(&made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_log_cut_short_is_refused),
        cmocka_unit_test(a_log_with_random_bytes_is_refused),
        cmocka_unit_test(nothing_where_something_must_be_is_seen),
        cmocka_unit_test(single_bytes_changed_never_crash),
        cmocka_unit_test(what_is_no_log_is_refused),
        cmocka_unit_test(a_missing_folder_is_said_to_be_missing),
        cmocka_unit_test(a_folder_that_cannot_be_made_says_why),
        cmocka_unit_test(a_read_only_log_can_be_read),
        cmocka_unit_test(nothing_stays_beside_a_log),
        cmocka_unit_test(a_name_is_no_more_than_a_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
