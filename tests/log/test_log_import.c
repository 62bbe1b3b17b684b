/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Jobs from files, readings put right later, ridges measured, machines called otherwise. */
#include "log/book.h"
#include "support/log_support.h"

static const struct perpend_slope leaning = {0.001, 0.006};
static const struct perpend_slope upright = {0.0001, -0.0002};

/* A job as files may hold one, as text: any mixture of what can be said. */
static char *random_job(struct test_random *random, const struct perpend_machine *machine)
{
    static const char *const heads[] = {"", "date: 2026-05-06\n", "date: 2026-05-06 07:08\n",
        "date: 2026-05-06 07:08 +05:30\nwho: A. Oarsman\n", "who: \"yes: no\"\ntemperature: 12 C\n",
        "date: 2026-11-01 23:30 -04:00\nmeasured: {x: 0.01, y: 0.005}\n"};
    static const char *const did[] = {"", "    did: plan\n", "    did: nothing\n",
        ("    did:\n      - {joint: clamp plate, bolt: top left, shim: 0.5}\n"
         "      - {joint: clamp plate, bolt: bottom right, slide: [0.1, 0, -0.2]}\n")};
    struct buffer text = {0};
    struct perpend_job job;
    struct fault fault;
    size_t sweeps = 1 + test_pick(random, 3);
    buffer_addf(&text, "perpend: 1\n");
    buffer_add(&text, heads[test_pick(random, sizeof heads / sizeof *heads)]);
    buffer_add(&text, "sweeps:\n");
    for (size_t i = 0; i < sweeps; i++) {
        buffer_addf(&text, "  - name: round %zu\n", i);
        if (test_pick(random, 3) == 0)
            buffer_addf(&text, "    date: 2026-05-0%zu 10:30 +02:00\n", i + 1);
        buffer_add(&text, "    readings:\n");
        for (int at = 0; at < 360; at += test_pick(random, 2) ? 90 : 45) {
            buffer_addf(&text, "      - {at: %d, reading: ", at);
            buffer_add_number(&text, test_uniform(random, 0.2, 0.8), 3);
            buffer_add(&text, "}\n");
        }
        if (test_pick(random, 3) == 0)
            buffer_add(&text, "    cut:\n      - {higher: back, step: 0.08}\n"
                              "      - {higher: left, step: 0}\n");
        const size_t which = test_pick(random, i + 1 < sweeps ? 4 : 2);
        buffer_add(&text, did[which]);
        buffer_add(&text, which > 0 && test_pick(random, 3) == 0 ? "    sure: yes\n" : "");
    }
    works(job_file_parse(buffer_text(&text), text.length, "a random job", machine, &job, &fault));
    buffer_finish(&text);
    char *canonical = job_file_write(machine, &job);
    perpend_job_finish(&job);
    assert_non_null(canonical);
    return canonical;
}

static char *exported(struct log_book *book, int64_t id)
{
    struct fault fault;
    struct log_record record;
    works(log_load(book, id, &record, &fault));
    assert_true(record.readable);
    char *text = job_file_write(&record.machine, &record.job);
    log_record_finish(&record);
    assert_non_null(text);
    return text;
}

static int64_t import(
    struct log_book *book, const struct perpend_machine *machine, const char *text, bool *known)
{
    struct fault fault;
    struct perpend_job job;
    int64_t id = 0;
    const struct log_start start = {machine, "tern.yaml", tern_text, strlen(tern_text), NULL};
    works(job_file_parse(text, strlen(text), "a job", machine, &job, &fault));
    works(log_import(book, &start, &job, &id, known, &fault));
    perpend_job_finish(&job);
    return id;
}

/* Import, then export gives the same file; told again, nothing comes in. */
static void import_and_export_are_inverse(void **state)
{
    struct log_scene *scene = *state;
    struct test_random random = test_random_start("imported jobs", 61);
    struct perpend_machine machine;
    bool known = true;
    parse_machine(tern_text, &machine);
    for (int i = 0; i < test_cases(400, 20); i++) {
        char *text = random_job(&random, &machine);
        int64_t id = import(scene->book, &machine, text, &known);
        if (!known) {
            char *back = exported(scene->book, id);
            assert_string_equal(back, text);
            free(back);
        }
        assert_int_equal(import(scene->book, &machine, text, &known), id);
        assert_true(known);
        free(text);
    }
    perpend_machine_finish(&machine);
}

/* A job of this log, exported, is known when it comes back; in another log it is the same job. */
static void what_was_exported_is_known(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *other;
    struct log_record record;
    struct log_folder made = log_folder_make();
    struct perpend_machine machine;
    bool known = false;
    parse_machine(tern_text, &machine);
    int64_t job = log_test_whole_job(scene->book, tern_text, leaning, upright);
    char *text = exported(scene->book, job);
    assert_non_null(strstr(text, "date: "));
    assert_int_equal(import(scene->book, &machine, text, &known), job);
    assert_true(known);
    works(log_open(made.path, LOG_WRITE, &other, &fault));
    int64_t id = import(other, &machine, text, &known);
    assert_false(known);
    char *back = exported(other, id);
    assert_string_equal(back, text);
    works(log_load(other, id, &record, &fault));
    assert_int_equal(record.answer_count, 2);
    assert_int_equal(record.ending, LOG_DONE);
    assert_int_equal(record.verdict, PERPEND_VERDICT_MET);
    /* corrected there, the files that it came from are still known */
    struct perpend_reading better = record.sweeps[0].readings[0].reading;
    better.value += 0.01;
    works(log_reading_correct(
        other, record.sweeps[0].readings[0].id, &better, NULL, "misread", &fault));
    log_record_finish(&record);
    assert_int_equal(import(other, &machine, text, &known), id);
    assert_true(known);
    log_close(other);
    log_folder_remove(&made);
    free(back);
    free(text);
    perpend_machine_finish(&machine);
}

/* What a job leaves is what the next begins with, and one in which nothing is done hands it on. */
static void what_is_in_the_mount_carries_over(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    struct test_random random = test_random_start("carried over", 63);
    struct perpend_machine machine;
    parse_machine(tern_text, &machine);
    const size_t kinds = machine.stock.leaf_count;
    struct perpend_job head = {0};
    double inside[4] = {0};
    for (int i = 0; i < test_cases(200, 12); i++) {
        int64_t job = 0, from = -1;
        struct log_start start = {&machine, "tern.yaml", tern_text, strlen(tern_text), &head};
        works(log_job_start(book, &start, &job, &fault));
        int64_t sweep = log_test_sweep(book, job, "as found", leaning);
        struct perpend_did did[4];
        size_t count = test_pick(&random, 5);
        for (size_t b = 0; b < count; b++) {
            /* sometimes all of it comes out again */
            double more =
                test_pick(&random, 4) == 0 ? -inside[b] : 0.1 * (double)test_pick(&random, 5);
            did[b] = (struct perpend_did){0, b, PERPEND_MOVE_SHIM, {.value = more}};
            inside[b] += more;
        }
        works(log_did(book, sweep, &machine.mount,
            &(struct perpend_sweep){.did_kind = count ? PERPEND_DID_LIST : PERPEND_DID_NOTHING,
                .did = did,
                .did_count = count},
            &fault));
        log_test_answer(book, job);
        perpend_job_finish(&head);
        works(log_carry(book, &start, &head, &from, &fault));
        assert_int_equal(from, job);
        double seen[4] = {0};
        for (size_t b = 0; b < head.inside_count; b++)
            seen[head.inside[b].bolt] += head.inside[b].amount.value;
        for (size_t b = 0; b < 4; b++)
            assert_near(seen[b], inside[b], 2e-4);
        assert_int_equal(head.stock_count, kinds);
        for (size_t k = 0; k < kinds; k++)
            assert_true(head.stock[k] <= machine.stock.leaves[k].count);
    }
    /* what an adjustment showed goes on, faded, and is kept with the job that begins with it */
    assert_false(head.has_learned);
    int64_t taught = log_test_whole_job(book, tern_text, leaning, upright), job = 0, from = 0;
    struct log_start start = {&machine, "tern.yaml", tern_text, strlen(tern_text), &head};
    struct log_record record;
    perpend_job_finish(&head);
    works(log_carry(book, &start, &head, &from, &fault));
    assert_int_equal(from, taught);
    assert_true(head.has_learned);
    works(log_job_start(book, &start, &job, &fault));
    works(log_load(book, job, &record, &fault));
    assert_true(record.readable && record.job.has_learned);
    assert_near(record.job.learned.gain[1][1], head.learned.gain[1][1], 1e-12);
    log_record_finish(&record);
    perpend_job_finish(&head);
    perpend_machine_finish(&machine);
}

/* A bolt that is called otherwise now, or a kind that was counted anew, is as the file says. */
static void what_the_file_says_otherwise_is_not_carried(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct perpend_machine machine;
    struct perpend_job head = {0};
    int64_t from = 0, job = log_test_job(scene->book, tern_text);
    int64_t sweep = log_test_sweep(scene->book, job, "as found", leaning);
    parse_machine(tern_text, &machine);
    struct log_start start = {&machine, "tern.yaml", tern_text, strlen(tern_text), NULL};
    works(log_carry(scene->book, &start, &head, &from, &fault));
    assert_true(from == 0 && head.inside_count == 0 && !head.stock);
    const double leaf = machine.stock.leaves[0].thick;
    struct perpend_did did[] = {
        {0, 0, PERPEND_MOVE_SHIM, {.value = leaf}}, {0, 1, PERPEND_MOVE_SHIM, {.value = leaf}}};
    works(log_did(scene->book, sweep, &machine.mount,
        &(struct perpend_sweep){.did_kind = PERPEND_DID_LIST, .did = did, .did_count = 2}, &fault));
    log_test_answer(scene->book, job);
    machine.mount.joints[0].bolts[1].name[0] = 'x';
    machine.stock.leaves[0].count += 7;
    works(log_carry(scene->book, &start, &head, &from, &fault));
    assert_int_equal(from, job);
    assert_int_equal(head.inside_count, 1);
    assert_int_equal(head.inside[0].bolt, 0);
    assert_int_equal(head.stock[0], machine.stock.leaves[0].count);
    perpend_job_finish(&head);
    perpend_machine_finish(&machine);
}

/* Another stock in the midst of a job: what it began with is said in the new kinds. */
static void a_job_keeps_its_head_on_another_file(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_record record;
    struct perpend_machine machine, other;
    struct perpend_did inside = {0, 1, PERPEND_MOVE_SHIM, {.value = 0.5}};
    unsigned stock[2] = {3, 4};
    struct perpend_job head = {.who = (char[]){"A. Oarsman"},
        .inside = &inside,
        .inside_count = 1,
        .stock = stock,
        .stock_count = 2};
    struct buffer text = {0};
    int64_t job = 0;
    parse_machine(tern_text, &machine);
    struct log_start start = {&machine, "tern.yaml", tern_text, strlen(tern_text), &head};
    works(log_job_start(scene->book, &start, &job, &fault));
    log_test_sweep(scene->book, job, "as found", leaning);
    buffer_add(&text, tern_text);
    buffer_add(&text, "  - {thick: 0.2, count: 5, name: card}\n");
    parse_machine(buffer_text(&text), &other);
    const struct log_start now = {&other, NULL, buffer_text(&text), text.length, NULL};
    works(log_job_machine(scene->book, job, "Tern", &now, &fault));
    works(log_load(scene->book, job, &record, &fault));
    assert_true(record.readable);
    assert_string_equal(record.job.who, "A. Oarsman");
    assert_int_equal(record.job.inside_count, 1);
    assert_int_equal(record.job.inside[0].bolt, 1);
    assert_int_equal(record.job.stock_count, 3);
    assert_int_equal(record.job.stock[0], 3);
    assert_int_equal(record.job.stock[1], 4);
    assert_int_equal(record.job.stock[2], 5);
    log_record_finish(&record);
    /* what could not be read back is not taken */
    char long_name[200];
    memset(long_name, 'x', sizeof long_name);
    long_name[sizeof long_name - 1] = '\0';
    head.who = long_name;
    refused(log_job_start(scene->book, &start, &job, &fault), 2);
    buffer_finish(&text);
    perpend_machine_finish(&machine);
    perpend_machine_finish(&other);
}

static void an_ended_job_is_put_right(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_record before, after;
    int64_t job = log_test_whole_job(scene->book, tern_text, leaning, upright);
    works(log_load(scene->book, job, &before, &fault));
    const struct log_reading *old = &before.sweeps[1].readings[2];
    struct perpend_reading better = old->reading;
    better.value += 0.05;
    works(log_reading_correct(scene->book, old->id, &better, "0.55", "misread", &fault));
    works(log_answers_renew(scene->book, job, &fault));
    works(log_load(scene->book, job, &after, &fault));
    assert_int_equal(after.ending, LOG_DONE);
    assert_true(after.sweeps[1].readings[2].first.value == old->reading.value);
    assert_true(after.sweeps[1].readings[2].reading.value == better.value);
    assert_int_equal(after.answer_count, 2);
    assert_true(after.answers[0].lean.back == before.answers[0].lean.back);
    assert_true(after.answers[1].lean.back != before.answers[1].lean.back);
    log_record_finish(&before);
    log_record_finish(&after);
}

static void a_measured_ridge_is_kept_beside_the_expected(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_record record;
    int64_t job = log_test_whole_job(scene->book, tern_text, leaning, upright);
    works(log_load(scene->book, job, &record, &fault));
    assert_false(record.job.measured.stated);
    log_record_finish(&record);
    works(log_measured_add(scene->book, job, 0.03, NAN, &fault));
    works(log_measured_add(scene->book, job, 0.02, 0.01, &fault));
    refused(log_measured_add(scene->book, job, -0.1, NAN, &fault), 2);
    refused(log_measured_add(scene->book, job, NAN, NAN, &fault), 2);
    refused(log_measured_add(scene->book, job + 1, 0.1, NAN, &fault), 2);
    works(log_load(scene->book, job, &record, &fault));
    assert_true(record.job.measured.stated && record.job.measured.along_x == 0.02 &&
                record.job.measured.along_y == 0.01);
    assert_int_equal(record.answer_count, 2);
    log_record_finish(&record);
}

static void a_machine_called_otherwise_keeps_its_jobs(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    struct log_list list;
    struct log_record record;
    int64_t first = log_test_whole_job(book, tern_text, leaning, upright), last = 0;
    char other[sizeof tern_text];
    strcpy(other, tern_text);
    memcpy(strstr(other, "Tern"), "Gull", 4);
    log_test_whole_job(book, other, leaning, upright);
    works(log_rename(book, "tern", "Petrel", &fault));
    refused(log_rename(book, "Eider", "Skua", &fault), 2);
    refused(log_rename(book, "Gull", "petrel", &fault), 2);
    refused(log_rename(book, "Gull", "Tern", &fault), 2); /* which Petrel was */
    refused(log_rename(book, "Gull", " ", &fault), 2);
    refused(log_rename(book, "Gull", "two\nlines", &fault), 2);
    /* its file still says the old name: the next job is one of the same machine */
    int64_t next = log_test_whole_job(book, tern_text, leaning, upright);
    works(log_list(book, &(struct log_filter){.machine = "Petrel"}, &list, &fault));
    assert_int_equal(list.jobs, 2);
    assert_int_equal(list.lines[0].id, first);
    assert_string_equal(list.lines[1].machine, "Petrel");
    log_list_finish(&list);
    works(log_last_job(book, "Tern", &last, &fault));
    assert_int_equal(last, next);
    works(log_load(book, first, &record, &fault));
    assert_string_equal(record.machine_name, "Petrel");
    assert_non_null(strstr(record.machine_text, "machine: Tern"));
    log_record_finish(&record);
    /* and back again */
    works(log_rename(book, "Petrel", "Tern", &fault));
    works(log_note(book, &(struct log_about){.machine = "Petrel"}, LOG_NOTE, "renamed", &fault));
    works(log_last_job(book, "Petrel", &last, &fault));
    assert_int_equal(last, next);
}

static void a_note_that_is_too_long_is_refused(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    char text[LOG_NOTE_MOST + 2];
    int64_t job = log_test_job(scene->book, tern_text);
    memset(text, 'x', sizeof text);
    text[LOG_NOTE_MOST + 1] = '\0';
    refused(log_note(scene->book, &(struct log_about){.job = job}, LOG_NOTE, text, &fault), 2);
    assert_non_null(strstr(fault.text, "2000"));
    text[LOG_NOTE_MOST] = '\0';
    works(log_note(scene->book, &(struct log_about){.job = job}, LOG_NOTE, text, &fault));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        log_test(import_and_export_are_inverse),
        log_test(what_was_exported_is_known),
        log_test(what_is_in_the_mount_carries_over),
        log_test(what_the_file_says_otherwise_is_not_carried),
        log_test(a_job_keeps_its_head_on_another_file),
        log_test(an_ended_job_is_put_right),
        log_test(a_measured_ridge_is_kept_beside_the_expected),
        log_test(a_machine_called_otherwise_keeps_its_jobs),
        log_test(a_note_that_is_too_long_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
