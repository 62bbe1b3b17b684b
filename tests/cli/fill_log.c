/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fills a log with whole jobs, as sessions at the machine would have, for tests and benchmarks:
 *
 *     fill_log LOG MACHINE JOBS [SEED] [quick]
 *
 * Each job: a sweep of four, shims, a sweep of eight, sometimes a third round; now and then a
 * correction, a withdrawn reading, a note, places across the bed, a list of what was done. `quick`
 * does not wait for the disk. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/perpend.h>

#include "log/book.h"

struct filler {
    struct log_book *book;
    struct fault fault;
    char *text;
    size_t length;
    struct perpend_machine machine;
    const char *path;
    unsigned long long state;
};

static void must(struct filler *filler, bool ok)
{
    if (ok)
        return;
    fprintf(stderr, "fill_log: %s\n", filler->fault.text);
    exit(1);
}

static double uniform(struct filler *filler, double low, double high)
{
    filler->state = filler->state * 6364136223846793005u + 1442695040888963407u;
    return low + (high - low) * (double)(filler->state >> 11) / 9007199254740992.0;
}

static bool one_in(struct filler *filler, int count)
{
    return uniform(filler, 0, count) < 1.0;
}

/* A reading as the gauge shows it: exact to the gauge's step, mostly. */
static struct perpend_reading read_gauge(
    struct filler *filler, struct perpend_slope lean, double bearing, double x, double y)
{
    struct perpend_slope bed = {0, 0};
    const struct perpend_setup *setup = &filler->machine.setup;
    double gap = 1.0 + perpend_gap(lean, bed, setup->arm.length, bearing, x, y);
    double value = gap / perpend_gauge_gap_per_reading(&setup->gauge);
    double step = setup->gauge.step;
    if (!one_in(filler, 10))
        value = round((value + uniform(filler, -0.3, 0.3) * step) / step) * step;
    return (struct perpend_reading){bearing, value, x, y};
}

static int64_t add_sweep(struct filler *filler, int64_t job, const char *name,
    struct perpend_slope lean, int count, double x)
{
    int64_t sweep, id;
    must(
        filler, log_sweep_add(filler->book, job,
                    &(struct perpend_sweep){.name = (char *)name, .x = x}, &sweep, &filler->fault));
    for (int i = 0; i < count; i++) {
        double degrees = 360.0 * i / count;
        if (one_in(filler, 12))
            degrees += round(uniform(filler, -5, 5) * 10) / 10;
        double bearing = 0;
        char typed[64];
        perpend_number_format(typed, sizeof typed, degrees, 1);
        must(filler, perpend_bearing_parse(typed, &bearing) == PERPEND_OK);
        struct perpend_reading reading = read_gauge(filler, lean, bearing, x, 0);
        perpend_number_format(typed, sizeof typed, reading.value, 3);
        must(filler, log_reading_accept(filler->book, sweep, &reading, typed, &id, &filler->fault));
        if (one_in(filler, 20)) {
            struct perpend_reading better = read_gauge(filler, lean, bearing, x, 0);
            must(filler,
                log_reading_correct(filler->book, id, &better, NULL, "misread", &filler->fault));
        }
    }
    if (one_in(filler, 5)) {
        struct perpend_reading slip = read_gauge(filler, lean, 0, x, 0);
        must(filler, log_reading_accept(filler->book, sweep, &slip, NULL, &id, &filler->fault));
        must(filler, log_reading_withdraw(filler->book, id, "the arm, slipped", &filler->fault));
    }
    return sweep;
}

/* Solve and store, and end the job when asked to. */
static void answer(struct filler *filler, int64_t job, bool end)
{
    struct log_record record;
    struct perpend_solution solution;
    must(filler, log_load(filler->book, job, &record, &filler->fault));
    int status = perpend_job_solve(&record.machine, &record.job, &solution, NULL);
    fault_set(&filler->fault, 1, "job %lld: %s", (long long)job, perpend_status_text(status));
    must(filler, record.readable && status == PERPEND_OK);
    must(filler, log_answers_store(filler->book, &record, &solution, &filler->fault));
    enum perpend_verdict verdict = solution.measurements[solution.measurement_count - 1].verdict;
    enum log_ending ending = one_in(filler, 15) ? LOG_GIVEN_UP : LOG_DONE;
    if (end)
        must(filler, log_job_end(filler->book, job, ending, verdict, &filler->fault));
    perpend_solution_finish(&solution);
    log_record_finish(&record);
}

static void adjust(struct filler *filler, int64_t sweep)
{
    const struct perpend_mount *mount = &filler->machine.mount;
    if (mount->joint_count == 0 || one_in(filler, 2)) {
        must(filler, log_did(filler->book, sweep, NULL,
                         &(struct perpend_sweep){.did_kind = PERPEND_DID_PLAN}, &filler->fault));
        return;
    }
    struct perpend_did did[2] = {
        {.joint = 0, .bolt = 0, .move = PERPEND_MOVE_SHIM, .amount.value = 0.1},
        {.joint = 0, .bolt = 1, .move = PERPEND_MOVE_SHIM, .amount.value = 1.0 / 3},
    };
    if (one_in(filler, 3))
        did[1] = (struct perpend_did){.joint = 0,
            .bolt = 1,
            .move = PERPEND_MOVE_SLIDE,
            .amount.shift = {uniform(filler, -0.2, 0.2), 0, 0.1}};
    must(filler,
        log_did(filler->book, sweep, mount,
            &(struct perpend_sweep){.did_kind = PERPEND_DID_LIST, .did = did, .did_count = 2},
            &filler->fault));
}

static void fill_job(struct filler *filler)
{
    int64_t job;
    struct log_start start = {&filler->machine, filler->path, filler->text, filler->length, NULL};
    must(filler, log_job_start(filler->book, &start, &job, &filler->fault));
    struct perpend_slope lean; /* one draw after the other, so that every compiler draws the same */
    lean.right = uniform(filler, -0.006, 0.006);
    lean.back = uniform(filler, -0.006, 0.006);
    int64_t sweep = add_sweep(filler, job, "as found", lean, 4, 0);
    if (one_in(filler, 6)) {
        add_sweep(filler, job, "at the left", lean, 4, -100);
        sweep = add_sweep(filler, job, "at the right, far", lean, 4, 100.0 / 3);
    }
    answer(filler, job, false);
    int rounds = one_in(filler, 4) ? 2 : 1;
    for (int round = 0; round < rounds; round++) {
        adjust(filler, sweep);
        lean.right *= uniform(filler, -0.2, 0.3);
        lean.back *= uniform(filler, -0.2, 0.3);
        sweep = add_sweep(filler, job, round ? "after more" : "after \"shims\"", lean, 8, 0);
        answer(filler, job, round + 1 == rounds);
    }
    if (one_in(filler, 4))
        must(filler, log_note(filler->book, &(struct log_about){.job = job}, LOG_NEW_BIT,
                         "a 22 mm surfacing bit, new", &filler->fault));
    if (one_in(filler, 12)) {
        char *name = log_machine_name(&filler->machine, filler->path);
        must(filler, log_note(filler->book, &(struct log_about){.machine = name}, LOG_CRASH,
                         "the bit caught a clamp", &filler->fault));
        free(name);
    }
}

int main(int argc, char **argv)
{
    struct filler filler = {.state = argc > 4 ? strtoull(argv[4], NULL, 10) : 1};
    if (argc < 4) {
        fprintf(stderr, "fill_log LOG MACHINE JOBS [SEED] [quick]\n");
        return 2;
    }
    filler.path = argv[2];
    must(&filler, file_read_text(argv[2], &filler.text, &filler.length, &filler.fault));
    must(&filler,
        machine_file_parse(filler.text, filler.length, argv[2], &filler.machine, &filler.fault));
    must(&filler, log_open(argv[1], LOG_WRITE, &filler.book, &filler.fault));
    if (argc > 5)
        must(&filler, log_run(filler.book, "PRAGMA synchronous = OFF", NULL, &filler.fault));
    for (long jobs = strtol(argv[3], NULL, 10); jobs > 0; jobs--)
        fill_job(&filler);
    log_close(filler.book);
    perpend_machine_finish(&filler.machine);
    free(filler.text);
    return 0;
}
