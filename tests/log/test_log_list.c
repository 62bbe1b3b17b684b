/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the log tells: the list, drift between jobs, and whether the answers still follow. */
#include <time.h>

#include "log/book.h"
#include "cli/drift_words.h"
#include "support/log_support.h"

static const struct perpend_slope leaning = {0.001, 0.006};
static const struct perpend_slope upright = {0.0001, -0.0002};

/* The same machine under another name. */
static void rename_machine(char *text, const char *name)
{
    strcpy(text, tern_text);
    memcpy(strstr(text, "Tern"), name, 4);
}

/* Move a job to another time: the log does not let itself be told, so its guard is taken away. */
static void set_time(struct log_book *book, int64_t job, const char *utc, int offset)
{
    struct fault fault;
    works(log_run(book, "DROP TRIGGER IF EXISTS job_stays", NULL, &fault));
    works(log_run(book, "DROP TRIGGER IF EXISTS sweep_stays", NULL, &fault));
    works(log_run(book, "UPDATE job SET started = ?1, started_offset = ?2 WHERE id = ?3",
        LOG_WITH(log_text(utc), log_whole(offset), log_whole(job)), &fault));
    works(log_run(book, "UPDATE sweep SET at = ?, at_offset = ? WHERE job = ?",
        LOG_WITH(log_text(utc), log_whole(offset), log_whole(job)), &fault));
}

/* The jobs a filter leaves, as "1 3 4". */
static void assert_listed(struct log_book *book, struct log_filter filter, const char *expected)
{
    struct fault fault;
    struct log_list list;
    char ids[80] = "";
    works(log_list(book, &filter, &list, &fault));
    for (size_t i = 0; i < list.count; i++)
        snprintf(ids + strlen(ids), sizeof ids - strlen(ids), i ? " %lld" : "%lld",
            (long long)list.lines[i].id);
    assert_string_equal(ids, expected);
    assert_true(list.all >= list.count);
    log_list_finish(&list);
}

static void the_list_is_filtered(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    struct log_list list;
    char other[sizeof tern_text];
    rename_machine(other, "Gull");
    for (int i = 0; i < 5; i++)
        log_test_whole_job(book, i == 2 ? other : tern_text, leaning, upright);
    set_time(book, 1, "2025-12-31T22:30:00Z", 120); /* already the new year at the machine */
    set_time(book, 2, "2026-02-28T12:00:00Z", 60);
    set_time(book, 3, "2026-05-06T07:08:09Z", 120);
    set_time(book, 4, "2026-05-07T00:30:00Z", -120); /* still the 6th at the machine */
    set_time(book, 5, "2026-05-07T12:00:00Z", 120);
    assert_listed(book, (struct log_filter){0}, "1 2 3 4 5");
    assert_listed(book, (struct log_filter){.last = 2}, "4 5");
    assert_listed(book, (struct log_filter){.machine = "tern", .last = 3}, "2 4 5");
    assert_listed(book, (struct log_filter){.machine = "Gull"}, "3");
    assert_listed(book, (struct log_filter){.since = "2026"}, "1 2 3 4 5");
    assert_listed(book, (struct log_filter){.until = "2025"}, "");
    assert_listed(book, (struct log_filter){.since = "2026-02"}, "2 3 4 5");
    assert_listed(book, (struct log_filter){.until = "2026-02"}, "1 2");
    assert_listed(book, (struct log_filter){.since = "2026-05-06", .until = "2026-05-06"}, "3 4");
    assert_listed(book, (struct log_filter){.since = "2026-05-07"}, "5");
    assert_listed(book, (struct log_filter){.machine = "Tern", .since = "2026-05", .last = 1}, "5");
    static const char *const bad[] = {"", "26", "2026-5", "2026-13", "2026-00", "2026-05-32",
        "2026-02-30", "2026/05/06", "2026-05-06T", "yesterday", "2026-05-0x"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct log_filter since = {.since = bad[i]}, until = {.until = bad[i]};
        refused(log_list(book, &since, &list, &fault), 2);
        refused(log_list(book, &until, &list, &fault), 2);
    }
    refused(log_list(book, &(struct log_filter){.machine = "Eider"}, &list, &fault), 2);
}

static void a_line_says_found_left_and_verdict(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    struct log_list list;
    int64_t whole = log_test_whole_job(book, tern_text, leaning, upright);
    works(log_note(book, &(struct log_about){.job = whole}, LOG_NOTE, "good", &fault));
    /* one that ends on an adjustment, and one without an answer */
    int64_t open = log_test_job(book, tern_text);
    int64_t sweep = log_test_sweep(book, open, "as found", leaning);
    log_test_answer(book, open);
    works(
        log_did(book, sweep, NULL, &(struct perpend_sweep){.did_kind = PERPEND_DID_PLAN}, &fault));
    log_test_sweep(book, log_test_job(book, tern_text), "as found", leaning);
    works(log_list(book, &(struct log_filter){0}, &list, &fault));
    assert_int_equal(list.count, 3);
    assert_string_equal(list.lines[0].machine, "Tern");
    assert_int_equal(list.lines[0].ending, LOG_DONE);
    assert_int_equal(list.lines[0].verdict, PERPEND_VERDICT_MET);
    assert_int_equal(list.lines[0].measurements, 2);
    assert_int_equal(list.lines[0].notes, 1);
    assert_true(list.lines[0].goal.ridge == 0.02);
    assert_near(list.lines[0].lean_found.back, leaning.back, 1e-9);
    assert_near(list.lines[0].lean_left.back, upright.back, 1e-9);
    struct perpend_cutter cutter = {22, 0};
    double ridge;
    assert_int_equal(
        perpend_ridge_height(leaning, &cutter, 10, PERPEND_ALONG_X, &ridge), PERPEND_OK);
    assert_near(list.lines[0].found, ridge, 1e-9);
    assert_int_equal(
        perpend_ridge_height(upright, &cutter, 10, PERPEND_ALONG_X, &ridge), PERPEND_OK);
    assert_near(list.lines[0].left, ridge, 1e-9);
    assert_true(
        list.lines[1].left_unmeasured && isnan(list.lines[1].left) && !isnan(list.lines[1].found));
    assert_int_equal(list.lines[1].ending, LOG_OPEN);
    assert_true(
        !list.lines[2].left_unmeasured && isnan(list.lines[2].left) && isnan(list.lines[2].found));
    log_list_finish(&list);
}

/* ---- drift --------------------------------------------------------------------------------- */

static void assert_says(const char *text, const char *words)
{
    if (text && strstr(text, words))
        return;
    printf("# \"%s\" is not in: %s\n", words, text ? text : "nothing");
    fail();
}

static void drift_is_what_happened_between_two_jobs(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    struct log_drift drift;
    struct perpend_slope near_by = {0.0002, -0.0002}, knocked = {0.0001, 0.0058};
    int64_t first = log_test_whole_job(book, tern_text, leaning, upright);
    int64_t same = log_test_whole_job(book, tern_text, near_by, upright);
    works(log_note(book, &(struct log_about){.machine = "Tern"}, LOG_CRASH,
        "the bit caught\na clamp", &fault));
    int64_t moved = log_test_whole_job(book, tern_text, knocked, upright);

    works(log_drift_find(book, first, &drift, &fault));
    assert_int_equal(drift.before, 0);
    char *text = drift_text(&drift, PERPEND_UNIT_MM);
    assert_says(text, "No earlier job");
    free(text);
    log_drift_finish(&drift);

    works(log_drift_find(book, same, &drift, &fault));
    assert_int_equal(drift.before, first);
    assert_false(drift.drift.beyond);
    assert_near(drift.drift.change.right, near_by.right - upright.right, 1e-9);
    text = drift_text(&drift, PERPEND_UNIT_MM);
    assert_says(text, "At the end of job 1 (");
    assert_says(text, "0.22 mm/m toward the front-right");
    assert_says(text, "No drift: two sweeps differ as much.");
    free(text);
    log_drift_finish(&drift);

    works(log_drift_find(book, moved, &drift, &fault));
    assert_int_equal(drift.before, same);
    assert_true(drift.drift.beyond && drift.comparable && !drift.includes_bed);
    assert_near(drift.drift.size, 0.006, 1e-9);
    assert_int_equal(drift.note_count, 1);
    text = drift_text(&drift, PERPEND_UNIT_MM);
    assert_says(text, "by more than usual, 6.00 mm/m toward the back.");
    assert_says(text, "It may have moved; read again before you believe it.");
    assert_says(text, "a crash (");
    assert_says(text, "): the bit caught a clamp.");
    free(text);
    text = drift_text(&drift, PERPEND_UNIT_INCH);
    assert_says(text, "72.0 thou/ft");
    free(text);
    log_drift_finish(&drift);

    /* of many notes the latest are named */
    static const char *const texts[] = {"first", "second", "third", "fourth", "fifth", "sixth"};
    for (size_t i = 0; i < 6; i++)
        works(log_note(book, &(struct log_about){.machine = "Tern"}, LOG_REPAIR, texts[i], &fault));
    int64_t last = log_test_whole_job(book, tern_text, near_by, upright);
    works(log_drift_find(book, last, &drift, &fault));
    text = drift_text(&drift, PERPEND_UNIT_MM);
    assert_says(text, "The latest in the log: a repair (");
    assert_says(text, "sixth.");
    assert_null(strstr(text, "second"));
    free(text);
    log_drift_finish(&drift);
    refused(log_drift_find(book, 99, &drift, &fault), 2);
}

static void drift_knows_what_it_cannot_tell(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    struct log_drift drift;
    char as_found[sizeof tern_text + 32], other[sizeof tern_text];
    snprintf(as_found, sizeof as_found, "%s", tern_text);
    strcpy(strstr(as_found, "bed: faced"), "bed: as found\n");
    /* the last job ended on an adjustment */
    int64_t job = log_test_job(book, tern_text);
    int64_t sweep = log_test_sweep(book, job, "as found", leaning);
    log_test_answer(book, job);
    works(
        log_did(book, sweep, NULL, &(struct perpend_sweep){.did_kind = PERPEND_DID_PLAN}, &fault));
    works(log_job_end(book, job, LOG_DONE, PERPEND_VERDICT_NOT_MET, &fault));
    int64_t next = log_test_whole_job(book, tern_text, leaning, upright);
    works(log_drift_find(book, next, &drift, &fault));
    assert_true(drift.before == job && drift.left_unmeasured);
    char *text = drift_text(&drift, PERPEND_UNIT_MM);
    assert_says(text, "ended on an adjustment");
    free(text);
    log_drift_finish(&drift);
    /* one with the bed's slope in it against one without, then two with */
    for (int i = 0; i < 2; i++) {
        int64_t bed = log_test_job(book, as_found);
        log_test_sweep(book, bed, "as found", leaning);
        works(log_job_end(book, bed, LOG_DONE, log_test_answer(book, bed), &fault));
        works(log_drift_find(book, bed, &drift, &fault));
        assert_int_equal(drift.comparable, i == 1);
        assert_int_equal(drift.includes_bed, i == 1);
        text = drift_text(&drift, PERPEND_UNIT_MM);
        assert_says(text, i == 0 ? "which does not compare" : "lean and bed together");
        free(text);
        log_drift_finish(&drift);
    }
    /* another machine's jobs are none of its business */
    rename_machine(other, "Gull");
    int64_t gull = log_test_whole_job(book, other, leaning, upright);
    works(log_drift_find(book, gull, &drift, &fault));
    assert_int_equal(drift.before, 0);
    log_drift_finish(&drift);
}

/* ---- check --------------------------------------------------------------------------------- */

struct findings {
    size_t count;
    char last[512];
};

static void keep_finding(void *context, const char *line)
{
    struct findings *found = context;
    found->count++;
    snprintf(found->last, sizeof found->last, "%s", line);
}

static struct findings check(struct log_book *book)
{
    struct fault fault;
    struct findings found = {0, ""};
    struct log_checked checked;
    works(log_check(book, 0, true, &(struct log_listener){.found = keep_finding, .context = &found},
        &checked, &fault));
    assert_int_equal(checked.findings, found.count);
    return found;
}

/* Each change to what is stored is found, and put back again before the next. */
static void the_check_works_answers_out_anew(void **state)
{
    (void)state;
    static const char *const changes[] = {
        "UPDATE answer SET lean_back = lean_back * 1.000001 WHERE job = 1 AND ordinal = 1",
        "UPDATE answer SET lean_right = lean_right + 1e-9 WHERE job = 1 AND ordinal = 1",
        "UPDATE answer SET lean_back_back = lean_back_back * 1.00001 WHERE job = 1 AND ordinal = 2",
        "UPDATE answer SET ridge = ridge + 1e-6 WHERE job = 1 AND ordinal = 1",
        "UPDATE answer SET low = low * 1.01 WHERE job = 1 AND ordinal = 1",
        "UPDATE answer SET high = high * 1.01 WHERE job = 1 AND ordinal = 1",
        "UPDATE answer SET chance = chance - 0.01 WHERE job = 1 AND ordinal = 2",
        "UPDATE answer SET verdict = 'too close' WHERE job = 1 AND ordinal = 1",
        "UPDATE answer SET readings = 5 WHERE job = 1 AND ordinal = 2",
        "UPDATE answer SET includes_bed = 1 WHERE job = 1 AND ordinal = 2",
        "INSERT INTO answer SELECT job, 3, first_sweep, last_sweep, readings, lean_right, "
        "lean_back, lean_right_right, lean_right_back, lean_back_back, includes_bed, bed_right, "
        "bed_back, ridge, low, high, chance, verdict, answered, answered_offset, program FROM "
        "answer "
        "WHERE job = 1 AND ordinal = 2",
        "UPDATE reading SET value = value + 0.001 WHERE id = 1",
        "UPDATE reading SET typed = '0.51' WHERE id = 1",
        "UPDATE reading SET at = '2026-05-06T07:08:09Z' WHERE id = 1",
        "UPDATE reading SET at_offset = at_offset + 60 WHERE id = 1",
        "UPDATE machine SET name = 'Term'",
        "UPDATE machine_file SET text = replace(text, 'arm: 75', 'arm: 76')",
        "UPDATE machine_file SET text = replace(text, 'arm: 75', 'arm: long')",
        "DELETE FROM machine",
    };
    struct fault fault;
    struct log_book *book;
    struct log_folder made = log_folder_make();
    works(log_open(made.path, LOG_WRITE, &book, &fault));
    works(log_run(book, "PRAGMA synchronous = OFF", NULL, &fault));
    log_test_whole_job(book, tern_text, leaning, upright);
    /* interrupted ones are no finding: without an answer, with too few readings, with none */
    log_test_sweep(book, log_test_job(book, tern_text), "as found", leaning);
    int64_t job = log_test_job(book, tern_text), sweep;
    struct perpend_reading reading = {0, 0.5, 0, 0};
    works(log_sweep_add(book, job, &(struct perpend_sweep){.name = "as found"}, &sweep, &fault));
    works(log_reading_accept(book, sweep, &reading, NULL, NULL, &fault));
    log_test_job(book, tern_text);
    struct findings found = check(book);
    if (found.count > 0)
        printf("# %s\n", found.last);
    assert_int_equal(found.count, 0);
    works(log_run(book, "DROP TRIGGER reading_stays", NULL, &fault));
    works(log_run(book, "DROP TRIGGER machine_file_stays", NULL, &fault));
    works(log_run(book, "DROP TRIGGER machine_remains", NULL, &fault));
    works(log_run(book, "PRAGMA foreign_keys = OFF", NULL, &fault));
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        works(log_run(book, "SAVEPOINT change", NULL, &fault));
        works(log_run(book, changes[i], NULL, &fault));
        assert_int_not_equal(sqlite3_changes(book->db), 0);
        works(log_run(book, "RELEASE change", NULL, &fault));
        found = check(book);
        if (found.count == 0) {
            printf("# not found: %s\n", changes[i]);
            fail();
        }
        log_close(book);
        log_folder_remove(&made);
        made = log_folder_make();
        works(log_open(made.path, LOG_WRITE, &book, &fault));
        works(log_run(book, "PRAGMA synchronous = OFF", NULL, &fault));
        log_test_whole_job(book, tern_text, leaning, upright);
        works(log_run(book, "DROP TRIGGER reading_stays", NULL, &fault));
        works(log_run(book, "DROP TRIGGER machine_file_stays", NULL, &fault));
        works(log_run(book, "DROP TRIGGER machine_remains", NULL, &fault));
        works(log_run(book, "PRAGMA foreign_keys = OFF", NULL, &fault));
    }
    assert_int_equal(check(book).count, 0);
    log_close(book);
    log_folder_remove(&made);
}

/* ---- names, paths, times ------------------------------------------------------------------- */

/* Whatever the zone, what is accepted now is a time that the log can keep and show. */
static void times_are_shown_as_on_the_wall(void **state)
{
    struct log_scene *scene = *state;
    static const struct {
        const char *utc;
        int offset;
        const char *text, *iso;
    } cases[] = {
        {"2026-05-06T07:08:09Z", 120, "2026-05-06 09:08", "2026-05-06T09:08:09+02:00"},
        {"2025-12-31T23:59:59Z", 60, "2026-01-01 00:59", "2026-01-01T00:59:59+01:00"},
        {"2026-01-01T02:00:00Z", -210, "2025-12-31 22:30", "2025-12-31T22:30:00-03:30"},
        {"2024-02-28T20:00:00Z", 345, "2024-02-29 01:45", "2024-02-29T01:45:00+05:45"},
        {"2026-03-01T00:00:00Z", -1, "2026-02-28 23:59", "2026-02-28T23:59:00-00:01"},
        {"2026-03-01T00:00:00Z", 1560, "2026-03-02 02:00", "2026-03-02T02:00:00+26:00"},
    };
    static const struct {
        const char *zone;
        int offset;
    } zones[] = {{"<+0545>-5:45", 345}, {"XYZ3:30", -210}, {"XYZ-24", 1440}, {"XYZ-24:59:59", 1499},
        {"XYZ167:59:59", -1499}, {"no/such zone", 0}};
    char text[LOG_TIME_TEXT], iso[LOG_TIME_ISO];
    struct fault fault;
    struct log_record record;
    int64_t job = log_test_job(scene->book, tern_text);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        set_time(scene->book, job, cases[i].utc, cases[i].offset);
        works(log_load(scene->book, job, &record, &fault));
        assert_string_equal(log_time_text(text, &record.started), cases[i].text);
        assert_string_equal(log_time_iso(iso, &record.started), cases[i].iso);
        assert_string_equal(log_time_text(text, &record.ended), "-");
        assert_string_equal(log_time_iso(iso, &record.ended), "");
        log_record_finish(&record);
    }
    for (size_t i = 0; i < sizeof zones / sizeof zones[0]; i++) {
        assert_int_equal(setenv("TZ", zones[i].zone, 1), 0);
        tzset();
        job = log_test_job(scene->book, tern_text);
        works(log_load(scene->book, job, &record, &fault));
        assert_int_equal(record.started.offset, zones[i].offset);
        assert_int_equal(strlen(record.started.utc), 20);
        log_record_finish(&record);
    }
}

static void the_last_machine_is_remembered(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    char *path;
    char cwd[1024];
    works(log_last_machine(book, &path, &fault));
    assert_null(path);
    log_test_put("tern.yaml", (const unsigned char *)tern_text, strlen(tern_text));
    log_test_job(book, tern_text);
    works(log_last_machine(book, &path, &fault));
    assert_non_null(getcwd(cwd, sizeof cwd));
    assert_memory_equal(path, cwd, strlen(cwd)); /* from anywhere */
    assert_string_equal(path + strlen(cwd), "/tern.yaml");
    free(path);
    unlink("tern.yaml");
}

static void a_machine_without_a_name_takes_its_files(void **state)
{
    (void)state;
    struct perpend_machine machine;
    perpend_machine_init(&machine);
    static const char *const cases[][2] = {
        {"/shed/tern.yaml", "tern"}, {"tern", "tern"}, {"a/.yaml", ".yaml"}, {NULL, "machine"}};
    for (size_t i = 0; i < 8; i++) {
        machine.name = i < 4 ? NULL : " \t"; /* blank is none */
        char *name = log_machine_name(&machine, cases[i % 4][0]);
        assert_string_equal(name, cases[i % 4][1]);
        free(name);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        log_test(the_list_is_filtered),
        log_test(a_line_says_found_left_and_verdict),
        log_test(drift_is_what_happened_between_two_jobs),
        log_test(drift_knows_what_it_cannot_tell),
        cmocka_unit_test(the_check_works_answers_out_anew),
        log_test(times_are_shown_as_on_the_wall),
        log_test(the_last_machine_is_remembered),
        cmocka_unit_test(a_machine_without_a_name_takes_its_files),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
