/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The log as a session uses it: what goes in comes out, and nothing accepted changes. */
#include "log/book.h"
#include "support/log_support.h"

static const struct perpend_slope leaning = {0.001, 0.006};
static const struct perpend_slope upright = {0.0001, -0.0002};

static void a_log_is_made_where_it_belongs(void **state)
{
    (void)state;
    struct fault fault;
    struct log_book *book;
    struct log_folder made = log_folder_make();
    char data[128], expected[160];
    snprintf(data, sizeof data, "%s/data/of mine", made.folder);
    snprintf(expected, sizeof expected, "%s/perpend/log.sqlite", data);
    assert_int_equal(setenv("XDG_DATA_HOME", data, 1), 0);
    refused(log_open(NULL, LOG_READ, &book, &fault), 2);
    works(log_open(NULL, LOG_WRITE, &book, &fault));
    assert_string_equal(log_path(book), expected);
    log_close(book);
    assert_int_equal(access(expected, F_OK), 0);

    snprintf(data, sizeof data, "%s/home", made.folder);
    snprintf(expected, sizeof expected, "%s/.local/share/perpend/log.sqlite", data);
    assert_int_equal(setenv("XDG_DATA_HOME", "not/absolute", 1), 0);
    assert_int_equal(setenv("HOME", data, 1), 0);
    works(log_open(NULL, LOG_WRITE, &book, &fault));
    assert_string_equal(log_path(book), expected);
    log_close(book);

    assert_int_equal(unsetenv("HOME"), 0);
    refused(log_open(NULL, LOG_WRITE, &book, &fault), 3);
    log_folder_remove(&made);
}

/* A double of any size, as its bits fall; finite. */
static double any_double(struct test_random *random)
{
    double value;
    do {
        uint64_t bits = test_random_bits(random);
        memcpy(&value, &bits, sizeof value);
    } while (!(fabs(value) <= 1e9));
    return value;
}

static void readings_come_back_to_the_last_bit(void **state)
{
    (void)state;
    struct fault fault;
    struct log_book *book;
    struct log_record record;
    struct log_folder made = log_folder_make();
    struct test_random random = test_random_start("readings to the last bit", 51);
    struct perpend_reading given[300];
    works(log_open(made.path, LOG_WRITE, &book, &fault));
    int64_t job = log_test_job(book, tern_text);
    int64_t sweep;
    works(log_sweep_add(book, job,
        &(struct perpend_sweep){.name = "as found", .x = -12.5, .y = 0.1}, &sweep, &fault));
    works(log_run(book, "PRAGMA synchronous = OFF", NULL, &fault)); /* only to be quick here */
    for (size_t i = 0; i < 300; i++) {
        given[i] = i % 2 ? (struct perpend_reading){test_uniform(&random, 0, 6),
                               any_double(&random), any_double(&random), any_double(&random)}
                         : (struct perpend_reading){test_uniform(&random, 0, 6),
                               test_uniform(&random, -1, 1), 0.1 * (double)i, 1.0 / 3};
        works(log_reading_accept(book, sweep, &given[i], i % 3 ? "0,5 mm" : NULL, NULL, &fault));
    }
    log_close(book);
    works(log_open(made.path, LOG_READ, &book, &fault));
    works(log_load(book, job, &record, &fault));
    assert_int_equal(record.job.sweep_count, 1);
    assert_int_equal(record.job.sweeps[0].reading_count, 300);
    assert_true(record.job.sweeps[0].x == -12.5 && record.job.sweeps[0].y == 0.1);
    for (size_t i = 0; i < 300; i++) {
        const struct perpend_reading *got = &record.job.sweeps[0].readings[i];
        if (memcmp(got, &given[i], sizeof *got) != 0) {
            printf("# reading %zu: %a %a %a %a\n", i, given[i].bearing, given[i].value, given[i].x,
                given[i].y);
            fail();
        }
        const char *typed = record.sweeps[0].readings[i].typed;
        assert_true(i % 3 ? typed && strcmp(typed, "0,5 mm") == 0 : !typed);
    }
    assert_string_equal(record.machine_text, tern_text);
    assert_string_equal(record.machine_name, "Tern");
    assert_true(record.goal.ridge == 0.02);
    assert_int_equal(record.ending, LOG_OPEN);
    log_record_finish(&record);
    log_close(book);
    log_folder_remove(&made);
}

static void what_is_no_number_is_refused(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    int64_t job = log_test_job(book, tern_text);
    int64_t sweep, id;
    refused(log_sweep_add(
                book, job, &(struct perpend_sweep){.name = "as found", .x = NAN}, &sweep, &fault),
        2);
    works(log_sweep_add(book, job, &(struct perpend_sweep){.name = "as found"}, &sweep, &fault));
    struct perpend_reading reading = {0, INFINITY, 0, 0};
    refused(log_reading_accept(book, sweep, &reading, NULL, &id, &fault), 2);
    reading = (struct perpend_reading){-0.1, 0.5, 0, 0};
    refused(log_reading_accept(book, sweep, &reading, NULL, &id, &fault), 2);
    refused(log_reading_accept(
                book, sweep + 1, &(struct perpend_reading){0, 1, 0, 0}, NULL, &id, &fault),
        2);
    refused(
        log_sweep_add(book, job + 1, &(struct perpend_sweep){.name = "as found"}, &sweep, &fault),
        2);
}

static void corrections_are_added(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    struct log_record record;
    int64_t job = log_test_job(book, tern_text);
    int64_t sweep, first, second;
    struct perpend_reading reading = {0, 0.5, 0, 0};
    works(log_sweep_add(book, job, &(struct perpend_sweep){.name = "as found"}, &sweep, &fault));
    works(log_reading_accept(book, sweep, &reading, "0.5", &first, &fault));
    works(log_reading_accept(book, sweep, &reading, "0.5", &second, &fault));
    reading.value = 0.7;
    works(log_reading_correct(book, first, &reading, "0.7", "misread", &fault));
    works(log_reading_withdraw(book, second, "the arm slipped", &fault));
    works(log_load(book, job, &record, &fault));
    assert_int_equal(record.job.sweeps[0].reading_count, 1);
    assert_true(record.job.sweeps[0].readings[0].value == 0.7);
    const struct log_reading *corrected = &record.sweeps[0].readings[0];
    assert_true(corrected->counts && corrected->first.value == 0.5);
    assert_string_equal(corrected->typed, "0.5");
    assert_int_equal(corrected->correction_count, 1);
    assert_string_equal(corrected->corrections[0].why, "misread");
    assert_string_equal(corrected->corrections[0].typed, "0.7");
    assert_false(record.sweeps[0].readings[1].counts);
    assert_true(record.sweeps[0].readings[1].reading.value == 0.5);
    log_record_finish(&record);
    /* and back again: the history has it all */
    reading.value = 0.9;
    works(log_reading_correct(book, second, &reading, NULL, NULL, &fault));
    works(log_load(book, job, &record, &fault));
    assert_int_equal(record.job.sweeps[0].reading_count, 2);
    assert_true(record.job.sweeps[0].readings[1].value == 0.9);
    assert_int_equal(record.sweeps[0].readings[1].correction_count, 2);
    assert_true(record.sweeps[0].readings[1].corrections[0].withdraws);
    log_record_finish(&record);
}

/* The steps of a test cut are kept, corrected and taken back as readings are, beside them. */
static void steps_of_a_test_cut_are_kept(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    struct log_record record;
    int64_t job = log_test_job(book, tern_text);
    int64_t sweep, step, other, copy;
    const struct perpend_cut_reading back = {0, 0.08}, right = {1.5, 0.02};
    works(log_sweep_add(book, job, &(struct perpend_sweep){.name = "as found"}, &sweep, &fault));
    works(log_cut_accept(book, sweep, &back, "back 0.08", &step, &fault));
    for (int i = 0; i < 3; i++)
        works(log_reading_accept(
            book, sweep, &(struct perpend_reading){i, 0.5, 0, 0}, NULL, &other, &fault));
    works(log_cut_accept(book, sweep, &right, NULL, &other, &fault));
    works(log_reading_correct(
        book, step, &(struct perpend_reading){0, 0.06, 0, 0}, "0.06", "misread", &fault));
    works(log_load(book, job, &record, &fault));
    const struct perpend_sweep *as_found = &record.job.sweeps[0];
    assert_int_equal(as_found->reading_count, 3);
    assert_int_equal(as_found->cut_count, 2);
    assert_true(as_found->cuts[0].step == 0.06 && as_found->cuts[1].higher == 1.5);
    assert_string_equal(record.sweeps[0].cuts[0].typed, "back 0.08");
    assert_int_equal(log_sweep_counted(&record.sweeps[0]), 5);
    log_record_finish(&record);
    works(log_reading_withdraw(book, other, NULL, &fault));
    works(log_did(
        book, sweep, NULL, &(struct perpend_sweep){.did_kind = PERPEND_DID_NOTHING}, &fault));
    works(log_did_unsay(book, sweep, NULL, &copy, &fault));
    works(log_load(book, job, &record, &fault));
    assert_int_equal(record.job.sweeps[0].cut_count, 1);
    assert_true(record.job.sweeps[0].cuts[0].step == 0.06);
    assert_int_equal(record.sweeps[1].id, copy);
    log_record_finish(&record);
    /* a sweep of a cut alone is one as well */
    works(log_sweep_add(book, job, &(struct perpend_sweep){.name = "cut"}, &sweep, &fault));
    works(log_cut_accept(book, sweep, &back, NULL, &step, &fault));
    works(log_load(book, job, &record, &fault));
    assert_int_equal(record.job.sweep_count, 2);
    assert_int_equal(record.job.sweeps[1].reading_count, 0);
    log_record_finish(&record);
    refused(
        log_cut_accept(book, sweep, &(struct perpend_cut_reading){7, 0.1}, NULL, &step, &fault), 2);
}

static void the_file_itself_refuses_changes(void **state)
{
    struct log_scene *scene = *state;
    static const char *const attempts[] = {
        "UPDATE reading SET value = 0",
        "DELETE FROM reading",
        "DELETE FROM correction",
        "UPDATE correction SET value = 0 WHERE value IS NOT NULL",
        "DELETE FROM did",
        "UPDATE did SET kind = 'nothing'",
        "DELETE FROM sweep",
        "UPDATE sweep SET x = 1",
        "UPDATE note SET text = 'all well'",
        "DELETE FROM note",
        "DELETE FROM job",
        "UPDATE job SET goal = 1",
        "UPDATE job SET verdict = 'met'",
        "UPDATE machine_file SET text = ''",
    };
    struct fault fault;
    struct log_book *book = scene->book;
    int64_t job = log_test_whole_job(book, tern_text, leaning, upright);
    struct perpend_reading reading = {0, 0.5, 0, 0};
    int64_t open = log_test_job(book, tern_text);
    int64_t sweep, id;
    works(log_sweep_add(book, open, &(struct perpend_sweep){.name = "as found"}, &sweep, &fault));
    works(log_reading_accept(book, sweep, &reading, NULL, &id, &fault));
    works(log_reading_correct(book, id, &reading, NULL, NULL, &fault));
    works(log_note(book, &(struct log_about){.job = job}, LOG_CRASH, "hit a clamp", &fault));
    for (size_t i = 0; i < sizeof attempts / sizeof attempts[0]; i++)
        if (log_run(book, attempts[i], NULL, &fault) || !strstr(fault.text, "never changed")) {
            printf("# taken: %s (%s)\n", attempts[i], fault.text);
            fail();
        }
}

static void what_was_done_comes_back_by_name(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    struct log_record record;
    int64_t job = log_test_job(book, tern_text);
    int64_t sweep = log_test_sweep(book, job, "as found", leaning);
    works(log_load(book, job, &record, &fault));
    struct perpend_did did[] = {
        {.joint = 0, .bolt = 1, .move = PERPEND_MOVE_SHIM, .amount.value = 0.1},
        {.joint = 0, .bolt = 3, .move = PERPEND_MOVE_SLIDE, .amount.shift = {0.1, 0, -1.0 / 3}},
    };
    works(log_did(
        book, sweep, NULL, &(struct perpend_sweep){.did_kind = PERPEND_DID_NOTHING}, &fault));
    works(log_did(book, sweep, &record.machine.mount,
        &(struct perpend_sweep){.did_kind = PERPEND_DID_LIST, .did = did, .did_count = 2}, &fault));
    log_record_finish(&record);
    works(log_load(book, job, &record, &fault));
    assert_int_equal(record.sweeps[0].did_kind, PERPEND_DID_LIST);
    assert_string_equal(record.sweeps[0].did[1].bolt, "bottom right");
    const struct perpend_sweep *back = &record.job.sweeps[0];
    assert_int_equal(back->did_count, 2);
    for (size_t i = 0; i < 2; i++) {
        assert_int_equal(back->did[i].joint, did[i].joint);
        assert_int_equal(back->did[i].bolt, did[i].bolt);
        assert_int_equal(back->did[i].move, did[i].move);
        assert_true(back->did[i].amount.value == did[i].amount.value &&
                    back->did[i].amount.shift.up == did[i].amount.shift.up);
    }
    log_record_finish(&record);
}

static void what_was_done_needs_its_sweep(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    struct perpend_reading reading = {0, 0.5, 0, 0};
    int64_t sweep, first, second;
    int64_t job = log_test_job(book, tern_text);
    works(log_sweep_add(book, job, &(struct perpend_sweep){.name = "as found"}, &sweep, &fault));
    refused(
        log_did(book, sweep, NULL, &(struct perpend_sweep){.did_kind = PERPEND_DID_PLAN}, &fault),
        2);
    works(log_reading_accept(book, sweep, &reading, NULL, &first, &fault));
    works(log_reading_accept(book, sweep, &reading, NULL, &second, &fault));
    works(
        log_did(book, sweep, NULL, &(struct perpend_sweep){.did_kind = PERPEND_DID_PLAN}, &fault));
    works(log_reading_withdraw(book, first, NULL, &fault));
    refused(log_reading_withdraw(book, second, NULL, &fault), 2);
    works(log_reading_correct(book, second, &reading, NULL, NULL, &fault));
}

static void an_ended_job_takes_notes_and_corrections(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    struct log_record record;
    int64_t job = log_test_whole_job(book, tern_text, leaning, upright);
    int64_t sweep;
    works(log_load(book, job, &record, &fault));
    assert_int_equal(record.ending, LOG_DONE);
    assert_int_equal(record.verdict, PERPEND_VERDICT_MET);
    assert_int_equal(record.answer_count, 2);
    int64_t old = record.sweeps[0].id, reading = record.sweeps[0].readings[0].id;
    refused(log_sweep_add(book, job, &(struct perpend_sweep){.name = "more"}, &sweep, &fault), 2);
    refused(
        log_reading_accept(book, old, &record.job.sweeps[0].readings[0], NULL, NULL, &fault), 2);
    refused(
        log_did(book, old, NULL, &(struct perpend_sweep){.did_kind = PERPEND_DID_PLAN}, &fault), 2);
    refused(log_job_end(book, job, LOG_DONE, PERPEND_VERDICT_MET, &fault), 2);
    /* but a reading can be put right for ever */
    works(log_reading_correct(
        book, reading, &record.job.sweeps[0].readings[0], "so", "misread", &fault));
    log_record_finish(&record);
    works(
        log_note(book, &(struct log_about){.job = job}, LOG_NOTE, "used the good feeler", &fault));
    works(log_note(book, &(struct log_about){.sweep = old}, LOG_NOTE, "in the sun", &fault));
    works(log_note(book, &(struct log_about){.machine = "tern"}, LOG_CRASH, "hit a clamp", &fault));
    refused(
        log_note(book, &(struct log_about){.machine = "Gull"}, LOG_CRASH, "ran off", &fault), 2);
    refused(log_note(book, &(struct log_about){.job = job + 1}, LOG_NOTE, "what", &fault), 2);
    refused(log_note(book, &(struct log_about){.job = job}, LOG_NOTE, " \n", &fault), 2);
    works(log_load(book, job, &record, &fault));
    assert_int_equal(record.note_count, 2);
    assert_string_equal(record.notes[1].text, "in the sun");
    assert_int_equal(record.notes[1].sweep, old);
    log_record_finish(&record);
}

static size_t answers_of(struct log_book *book, int64_t job)
{
    struct fault fault;
    struct log_record record;
    works(log_load(book, job, &record, &fault));
    size_t count = record.answer_count;
    log_record_finish(&record);
    return count;
}

static void answers_go_when_readings_change(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    struct log_record record;
    struct perpend_reading reading = {0, 0.5, 0, 0};
    int64_t job = log_test_job(book, tern_text);
    int64_t sweep = log_test_sweep(book, job, "as found", leaning);
    log_test_answer(book, job);
    assert_int_equal(answers_of(book, job), 1);
    /* another place in the same measurement */
    int64_t place = log_test_sweep(book, job, "at the left", leaning);
    assert_int_equal(answers_of(book, job), 0);
    log_test_answer(book, job);
    assert_int_equal(answers_of(book, job), 1);
    /* an adjustment ends the measurement; what comes after it leaves the answer alone */
    works(
        log_did(book, place, NULL, &(struct perpend_sweep){.did_kind = PERPEND_DID_PLAN}, &fault));
    log_test_sweep(book, job, "after", upright);
    assert_int_equal(answers_of(book, job), 1);
    log_test_answer(book, job);
    assert_int_equal(answers_of(book, job), 2);
    /* what was done is said anew: what followed from it goes */
    works(log_did(
        book, place, NULL, &(struct perpend_sweep){.did_kind = PERPEND_DID_NOTHING}, &fault));
    assert_int_equal(answers_of(book, job), 1);
    log_test_answer(book, job);
    /* a reading of the first is corrected: all go */
    works(log_load(book, job, &record, &fault));
    works(log_reading_correct(book, record.sweeps[0].readings[0].id, &reading, NULL, NULL, &fault));
    assert_int_equal(record.sweeps[0].id, sweep);
    log_record_finish(&record);
    assert_int_equal(answers_of(book, job), 0);
}

static void a_sweep_taken_again_counts_in_its_place(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    struct log_record record;
    int64_t again, third;
    int64_t job = log_test_job(book, tern_text);
    int64_t first = log_test_sweep(book, job, "as found", leaning);
    log_test_answer(book, job);
    works(log_load(book, job, &record, &fault));
    int64_t taken_back = record.sweeps[0].readings[1].id;
    log_record_finish(&record);
    works(log_reading_withdraw(book, taken_back, "the arm slipped", &fault));
    works(log_sweep_again(book, first, "taken again", &again, &fault));
    assert_int_equal(answers_of(book, job), 0);
    works(log_load(book, job, &record, &fault));
    assert_int_equal(record.sweep_count, 2);
    assert_int_equal(record.sweeps[1].id, again);
    assert_string_equal(record.sweeps[1].name, "as found");
    assert_true(record.sweeps[1].x == record.sweeps[0].x);
    assert_true(record.sweeps[1].y == record.sweeps[0].y);
    assert_int_equal(record.job.sweep_count, 0);
    for (size_t i = 0; i < record.sweeps[0].reading_count; i++) {
        const struct log_reading *reading = &record.sweeps[0].readings[i];
        assert_false(reading->counts);
        assert_int_equal(reading->correction_count, 1); /* what was withdrawn is not, once more */
        assert_string_equal(
            reading->corrections[0].why, i == 1 ? "the arm slipped" : "taken again");
    }
    /* what is read now is the measurement, from the first reading on */
    for (size_t i = 0; i < record.sweeps[0].reading_count; i++)
        works(log_reading_accept(
            book, again, &record.sweeps[0].readings[i].first, NULL, NULL, &fault));
    log_record_finish(&record);
    works(log_load(book, job, &record, &fault));
    assert_int_equal(record.job.sweep_count, 1);
    assert_int_equal(record.sweeps[0].in_job, LOG_NO_SWEEP);
    assert_int_equal(record.sweeps[1].in_job, 0);
    log_record_finish(&record);
    works(
        log_did(book, again, NULL, &(struct perpend_sweep){.did_kind = PERPEND_DID_PLAN}, &fault));
    refused(log_sweep_again(book, again, NULL, &third, &fault), 2);
    refused(log_sweep_again(book, again + 7, NULL, &third, &fault), 2);
    works(log_job_end(book, job, LOG_DONE, PERPEND_VERDICT_MET, &fault));
    refused(log_sweep_again(book, again, NULL, &third, &fault), 2);
}

/* What was said to be done is taken back: the readings count as they did, where they were corrected
   and withdrawn as well, and a sweep can follow that counts together with them. */
static void what_was_done_can_be_unsaid(void **state)
{
    struct log_scene *scene = *state;
    struct fault fault;
    struct log_book *book = scene->book;
    struct log_record record, now;
    int64_t copy, third;
    int64_t job = log_test_job(book, tern_text);
    int64_t first = log_test_sweep(book, job, "as found", leaning);
    works(log_load(book, job, &record, &fault));
    struct perpend_reading put_right = record.sweeps[0].readings[2].first;
    put_right.value += 0.05;
    works(log_reading_correct(
        book, record.sweeps[0].readings[2].id, &put_right, "so", "misread", &fault));
    works(log_reading_withdraw(book, record.sweeps[0].readings[1].id, "the arm slipped", &fault));
    log_record_finish(&record);
    works(
        log_did(book, first, NULL, &(struct perpend_sweep){.did_kind = PERPEND_DID_PLAN}, &fault));
    works(log_load(book, job, &record, &fault));
    works(log_did_unsay(book, first, "unsaid", &copy, &fault));
    works(log_load(book, job, &now, &fault));
    assert_int_equal(now.sweep_count, 2);
    assert_int_equal(now.sweeps[1].id, copy);
    assert_int_equal(now.job.sweep_count, 1);
    assert_int_equal(now.sweeps[0].in_job, LOG_NO_SWEEP);
    assert_int_equal(now.sweeps[1].did_kind, PERPEND_DID_UNSTATED);
    assert_int_equal(now.job.sweeps[0].did_kind, PERPEND_DID_UNSTATED);
    assert_string_equal(now.job.sweeps[0].name, record.job.sweeps[0].name);
    assert_string_equal(now.sweeps[1].at.utc, record.sweeps[0].at.utc);
    assert_int_equal(now.job.sweeps[0].reading_count, record.job.sweeps[0].reading_count);
    for (size_t i = 0; i < now.job.sweeps[0].reading_count; i++) {
        assert_true(now.job.sweeps[0].readings[i].value == record.job.sweeps[0].readings[i].value);
        assert_true(
            now.job.sweeps[0].readings[i].bearing == record.job.sweeps[0].readings[i].bearing);
    }
    assert_string_equal(now.sweeps[1].readings[1].typed, "so");
    log_record_finish(&now);
    log_record_finish(&record);
    log_test_sweep(book, job, "as found, turn 2", leaning);
    refused(log_did_unsay(book, copy, NULL, &third, &fault), 2);
    refused(log_did_unsay(book, copy + 7, NULL, &third, &fault), 2);
    works(log_job_end(book, job, LOG_DONE, PERPEND_VERDICT_MET, &fault));
    refused(log_did_unsay(book, copy + 1, NULL, &third, &fault), 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_log_is_made_where_it_belongs),
        cmocka_unit_test(readings_come_back_to_the_last_bit),
        log_test(what_is_no_number_is_refused),
        log_test(corrections_are_added),
        log_test(steps_of_a_test_cut_are_kept),
        log_test(the_file_itself_refuses_changes),
        log_test(what_was_done_comes_back_by_name),
        log_test(what_was_done_needs_its_sweep),
        log_test(an_ended_job_takes_notes_and_corrections),
        log_test(answers_go_when_readings_change),
        log_test(a_sweep_taken_again_counts_in_its_place),
        log_test(what_was_done_can_be_unsaid),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
