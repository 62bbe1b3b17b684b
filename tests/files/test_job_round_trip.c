/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Job files: what is written reads back to the same numbers, in every locale. */
#include "support/support.h"

#include <perpend/status.h>

#include "files/moment.h"
#include "support/locales.h"
#include "support/machine_text.h"

static struct perpend_machine tern;

static void parse_job(
    const struct perpend_machine *machine, const char *text, struct perpend_job *job)
{
    struct fault fault = {0};
    if (!job_file_parse(text, strlen(text), "job", machine, job, &fault))
        fail_msg("%s\n%s", fault.text, text);
}

/* The fault of a job file that must not be taken, less "job:". */ static double random_length(
    struct test_random *random)
{
    switch (test_pick(random, 5)) {
    case 0:
        return 0.0;
    case 1:
        return 0.01 * (double)((int)test_pick(random, 2000) - 1000);
    case 2:
        return 25.4 * 0.001 * (double)test_pick(random, 1000);
    case 3:
        return test_uniform(random, -1, 1) * 1e-7;
    default:
        return test_uniform(random, -9999, 9999);
    }
}

static char *random_name(struct test_random *random, size_t number)
{
    static const char *const pieces[] = {"as found", ": ", " #", "'", "\"", "- ", "{", "}", "[",
        "null", "~", "1e3", "µ", "é", "日本", "&a", "*a", "!x", "%", "@", "`", "\\", "yes", " ",
        ",", "|", ">", "?", "---", "..."};
    char text[120];
    size_t used = 0;
    for (size_t i = test_pick(random, 5) + 1; i > 0; i--)
        used += (size_t)snprintf(text + used, sizeof text - used, "%s",
            pieces[test_pick(random, sizeof pieces / sizeof *pieces)]);
    used += (size_t)snprintf(text + used, sizeof text - used, "%zu", number);
    char *name = malloc(used + 1);
    assert_non_null(name);
    return strcpy(name, text);
}

static void random_did(struct test_random *random, struct perpend_sweep *sweep)
{
    sweep->did_kind = (enum perpend_did_kind)test_pick(random, 4);
    sweep->did_sure = test_pick(random, 2) == 0;
    if (sweep->did_kind != PERPEND_DID_LIST)
        return;
    sweep->did_count = test_pick(random, 4) + 1;
    sweep->did = calloc(sweep->did_count, sizeof *sweep->did);
    assert_non_null(sweep->did);
    for (size_t i = 0; i < sweep->did_count; i++) {
        static const enum perpend_move moves[] = {
            PERPEND_MOVE_SHIM, PERPEND_MOVE_SLIDE, PERPEND_MOVE_SCREW};
        struct perpend_did *did = &sweep->did[i];
        *did = (struct perpend_did){.bolt = i, .move = moves[test_pick(random, 3)]};
        if (did->move == PERPEND_MOVE_SHIM)
            did->amount.value = random_length(random) / 100;
        else if (did->move == PERPEND_MOVE_SLIDE)
            did->amount.shift = (struct perpend_point){
                random_length(random), random_length(random), random_length(random)};
        else
            did->amount.value = test_uniform(random, -1000, 1000);
    }
}

static struct perpend_moment random_moment(struct test_random *random)
{
    static const char *const dates[] = {"2026-11-28", "0001-01-01", "2024-02-29 23:59",
        "2026-11-28 19:12 +01:00", "9999-12-31 00:00 -13:59"};
    struct perpend_moment moment = {0};
    (void)(test_pick(random, 4) && moment_parse(dates[test_pick(random, COUNT(dates))], &moment));
    return moment;
}

static struct perpend_job random_job(struct test_random *random)
{
    struct perpend_job job = {.sweep_count = test_pick(random, 4) + 1,
        .date = random_moment(random),
        .who = test_pick(random, 2) == 0 ? random_name(random, 1) : NULL,
        .temperature = test_pick(random, 2) == 0 ? random_name(random, 2) : NULL,
        .measured = {test_pick(random, 2) == 0, NAN, 0.001 * (double)test_pick(random, 50)}};
    job.sweeps = calloc(job.sweep_count, sizeof *job.sweeps);
    job.inside = calloc(1, sizeof *job.inside);
    job.stock = calloc(2, sizeof *job.stock);
    assert_true(job.sweeps && job.inside && job.stock);
    job.inside_count = test_pick(random, 2);
    job.inside[0] = (struct perpend_did){
        0, test_pick(random, 4), PERPEND_MOVE_SHIM, {.value = test_uniform(random, 0.01, 1)}};
    job.stock_count = 2;
    job.stock[0] = (unsigned)test_pick(random, 30);
    job.has_learned = test_pick(random, 2) == 0;
    for (size_t i = 0; i < 4 && job.has_learned; i++) {
        job.learned.gain[i / 2][i % 2] = test_uniform(random, -1, 2);
        job.learned.covariance[i][i] = test_uniform(random, 0.001, 0.04);
    }
    for (size_t i = 0; i < job.sweep_count; i++) {
        struct perpend_sweep *sweep = &job.sweeps[i];
        sweep->name = random_name(random, i);
        sweep->date = random_moment(random);
        sweep->x = random_length(random);
        sweep->y = random_length(random);
        sweep->cut_count = test_pick(random, 4);
        sweep->cuts = calloc(sweep->cut_count + 1, sizeof *sweep->cuts);
        assert_non_null(sweep->cuts);
        for (size_t j = 0; j < sweep->cut_count; j++)
            sweep->cuts[j] = (struct perpend_cut_reading){
                perpend_radians(90.0 * (double)test_pick(random, 4)), test_uniform(random, 0, 99)};
        sweep->reading_count = test_pick(random, 8) + (sweep->cut_count == 0);
        sweep->readings = calloc(sweep->reading_count + 1, sizeof *sweep->readings);
        assert_non_null(sweep->readings);
        for (size_t j = 0; j < sweep->reading_count; j++) {
            struct perpend_reading *reading = &sweep->readings[j];
            bool own_place = test_pick(random, 4) == 0;
            reading->bearing = test_pick(random, 2) == 0
                                   ? perpend_radians(45.0 * (double)test_pick(random, 8))
                                   : test_uniform(random, 0, 2 * PERPEND_PI);
            reading->value = random_length(random);
            reading->x = own_place ? random_length(random) : sweep->x;
            reading->y = own_place ? random_length(random) : sweep->y;
        }
        random_did(random, sweep);
    }
    return job;
}

static void same_words(const char *got, const char *want)
{
    assert_string_equal(got != NULL ? got : "none", want != NULL ? want : "none");
}

static void same_moment(struct perpend_moment got, struct perpend_moment want)
{
    char texts[2][MOMENT_TEXT];
    same_words(moment_text(texts[0], &got), moment_text(texts[1], &want));
}

static void same_job(
    const struct perpend_job *got, const struct perpend_job *want, double bearing_tolerance)
{
    same_moment(got->date, want->date);
    same_words(got->who, want->who);
    same_words(got->temperature, want->temperature);
    assert_int_equal(got->measured.stated, want->measured.stated);
    assert_near(got->measured.along_y, want->measured.stated ? want->measured.along_y : 0, 0);
    assert_int_equal(got->inside_count, want->inside_count);
    for (size_t i = 0; i < want->inside_count; i++) {
        assert_int_equal(got->inside[i].bolt, want->inside[i].bolt);
        assert_near(got->inside[i].amount.value, want->inside[i].amount.value, 0);
    }
    assert_int_equal(got->stock_count, 2);
    assert_int_equal(got->stock[0], want->stock[0]);
    assert_int_equal(got->stock[1], want->stock[1]);
    assert_int_equal(got->has_learned, want->has_learned);
    for (size_t i = 0; i < 4; i++) {
        assert_near(got->learned.gain[i / 2][i % 2], want->learned.gain[i / 2][i % 2], 0);
        assert_near(got->learned.covariance[i][i], want->learned.covariance[i][i], 1e-16);
    }
    assert_int_equal(got->sweep_count, want->sweep_count);
    for (size_t i = 0; i < want->sweep_count; i++) {
        const struct perpend_sweep *a = &got->sweeps[i], *b = &want->sweeps[i];
        assert_string_equal(a->name, b->name);
        same_moment(a->date, b->date);
        assert_near(a->x, b->x, 0);
        assert_near(a->y, b->y, 0);
        assert_int_equal(a->cut_count, b->cut_count);
        for (size_t j = 0; j < b->cut_count; j++) {
            assert_near(a->cuts[j].higher, b->cuts[j].higher, bearing_tolerance);
            assert_near(a->cuts[j].step, b->cuts[j].step, 0);
        }
        assert_int_equal(a->reading_count, b->reading_count);
        for (size_t j = 0; j < b->reading_count; j++) {
            assert_near(a->readings[j].bearing, b->readings[j].bearing, bearing_tolerance);
            assert_near(a->readings[j].value, b->readings[j].value, 0);
            assert_near(a->readings[j].x, b->readings[j].x, 0);
            assert_near(a->readings[j].y, b->readings[j].y, 0);
        }
        assert_int_equal(a->did_kind, b->did_kind);
        assert_int_equal(a->did_sure, b->did_sure);
        assert_int_equal(a->did_count, b->did_count);
        for (size_t j = 0; j < b->did_count; j++) {
            assert_int_equal(a->did[j].joint, b->did[j].joint);
            assert_int_equal(a->did[j].bolt, b->did[j].bolt);
            assert_int_equal(a->did[j].move, b->did[j].move);
            assert_near(a->did[j].amount.value, b->did[j].amount.value, 0);
            assert_near(a->did[j].amount.shift.right, b->did[j].amount.shift.right, 0);
            assert_near(a->did[j].amount.shift.back, b->did[j].amount.shift.back, 0);
            assert_near(a->did[j].amount.shift.up, b->did[j].amount.shift.up, 0);
        }
    }
}

static void check_written_and_read(const char *law, uint64_t seed, int trials)
{
    /* degrees cost a bearing that never was a text its last bits: 2e-15 rad */
    struct test_random random = test_random_start(law, seed);
    struct perpend_machine machine = tern;
    for (int trial = 0; trial < trials; trial++) {
        struct perpend_job job = random_job(&random), back, third;
        machine.unit = trial % 2 == 0 ? PERPEND_UNIT_MM : PERPEND_UNIT_INCH;
        char *text = job_file_write(&machine, &job);
        assert_non_null(text);
        parse_job(&machine, text, &back);
        same_job(&back, &job, 2e-15);
        /* what has been read once is kept to the last bit, bearings too */
        char *again = job_file_write(&machine, &back);
        assert_non_null(again);
        parse_job(&machine, again, &third);
        same_job(&third, &back, 0);
        perpend_job_finish(&third);
        perpend_job_finish(&back);
        perpend_job_finish(&job);
        free(text);
        free(again);
    }
}

static void what_is_written_reads_back(void **state)
{
    (void)state;
    check_written_and_read("written and read", 20260102, 3000);
}

static void in_every_locale(void **state)
{
    (void)state;
    for (size_t i = 1; i < COUNT(locales); i++) {
        take_locale(i);
        check_written_and_read(locales[i], 20260104 + i, 300);
    }
    setlocale(LC_ALL, "C");
}

static int read_tern(void **state)
{
    (void)state;
    parse_machine(tern_text, &tern);
    return 0;
}

static int finish_tern(void **state)
{
    (void)state;
    perpend_machine_finish(&tern);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_written_reads_back),
        cmocka_unit_test(in_every_locale),
    };
    return cmocka_run_group_tests(tests, read_tern, finish_tern);
}
