/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LOG_SUPPORT_H
#define LOG_SUPPORT_H

/**
 * A log in a folder of the test's own, for the tests of the log.
 */

#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <perpend/perpend.h>

#include "log.h"
#include "support.h"

static const char log_test_machine[] =
    "perpend: 1\n"
    "machine: Tern\n"
    "unit: mm\n"
    "arm: 75\n"
    "gauge: {kind: gap, step: 0.05}\n"
    "cutter: {diameter: 22, corner: 0}\n"
    "facing: {stepover: 10, along: X, depth: 0.2}\n"
    "goal: {ridge: 0.02}\n"
    "mount:\n"
    "  - joint: clamp plate\n"
    "    faces: front\n"
    "    allows: [shim, slide]\n"
    "    bolts:\n"
    "      - {name: top left,     at: [-30, 40, 210], thread: M5}\n"
    "      - {name: top right,    at: [ 30, 40, 210], thread: M5}\n"
    "      - {name: bottom left,  at: [-30, 40, 130], thread: M5}\n"
    "      - {name: bottom right, at: [ 30, 40, 130], thread: M5, hole: 5.5}\n";

struct log_folder {
    char folder[64];
    char path[128];
};

static inline struct log_folder log_folder_make(void)
{
    struct log_folder made = {.folder = "/tmp/perpend-test-XXXXXX", .path = ""};
    if (!mkdtemp(made.folder))
        fail_msg("no folder for the test");
    snprintf(made.path, sizeof made.path, "%s/log.sqlite", made.folder);
    return made;
}

static inline void log_folder_remove(const struct log_folder *made)
{
    char command[128];
    snprintf(command, sizeof command, "rm -rf %s", made->folder);
    if (system(command) != 0)
        printf("# %s is left behind\n", made->folder);
}

/* Assert that a call worked, else print what it said. */
#define works(call)                                                                                \
    do {                                                                                           \
        fault.text[0] = '\0';                                                                      \
        if (!(call)) {                                                                             \
            printf("# %s:%d: %s\n", __FILE__, __LINE__, fault.text);                               \
            _fail(__FILE__, __LINE__);                                                             \
        }                                                                                          \
    } while (0)

/* Assert that a call is refused with a status and one line that says something. */
#define refused(call, with_status)                                                                 \
    do {                                                                                           \
        fault = (struct fault){0, ""};                                                             \
        assert_false(call);                                                                        \
        if (fault.status != (with_status) || fault.text[0] == '\0' || strchr(fault.text, '\n')) {  \
            printf("# %s:%d: status %d: %s\n", __FILE__, __LINE__, fault.status, fault.text);      \
            _fail(__FILE__, __LINE__);                                                             \
        }                                                                                          \
    } while (0)

static inline int64_t log_test_job(struct log_book *book, const char *text)
{
    struct fault fault;
    struct perpend_machine machine;
    int64_t job = 0;
    works(machine_file_parse(text, strlen(text), "tern.yaml", &machine, &fault));
    struct log_start start = {&machine, "tern.yaml", text, strlen(text)};
    works(log_job_start(book, &start, &job, &fault));
    perpend_machine_finish(&machine);
    return job;
}

/* Four readings, front, right, back, left, of a lean, as they come. */
static inline int64_t log_test_sweep(
    struct log_book *book, int64_t job, const char *name, struct perpend_slope lean)
{
    static const double degrees[] = {180, 90, 0, 270};
    struct perpend_slope bed = {0, 0};
    struct fault fault;
    int64_t sweep = 0;
    works(log_sweep_add(book, job, name, 0, 0, &sweep, &fault));
    for (size_t i = 0; i < 4; i++) {
        double bearing = perpend_radians(degrees[i]);
        struct perpend_reading reading = {
            bearing, perpend_gap(0.5, lean, bed, 75, bearing, 0, 0), 0, 0};
        works(log_reading_accept(book, sweep, &reading, NULL, NULL, &fault));
    }
    return sweep;
}

/* Work a job out and store its answers, as a session does after a sweep. */
static inline enum perpend_verdict log_test_answer(struct log_book *book, int64_t job)
{
    struct fault fault;
    struct log_record record;
    struct perpend_solution solution;
    struct perpend_trials_options options = perpend_trials_defaults();
    works(log_load(book, job, &record, &fault));
    assert_true(record.readable);
    assert_int_equal(
        perpend_job_solve(&record.machine, &record.job, &options, &solution, NULL), PERPEND_OK);
    works(log_answers_store(book, &record, &solution, &fault));
    enum perpend_verdict verdict = solution.measurements[solution.measurement_count - 1].verdict;
    perpend_solution_finish(&solution);
    log_record_finish(&record);
    return verdict;
}

/* A whole job: found with a lean, shimmed, left with another; ended. */
static inline int64_t log_test_whole_job(
    struct log_book *book, const char *text, struct perpend_slope found, struct perpend_slope left)
{
    struct fault fault;
    int64_t job = log_test_job(book, text);
    int64_t sweep = log_test_sweep(book, job, "as found", found);
    log_test_answer(book, job);
    works(log_did(book, sweep, PERPEND_DID_PLAN, NULL, NULL, 0, &fault));
    log_test_sweep(book, job, "after shims", left);
    works(log_job_end(book, job, LOG_DONE, log_test_answer(book, job), &fault));
    return job;
}

/* A file's bytes, by malloc. */
static inline unsigned char *log_test_bytes(const char *path, size_t *length)
{
    struct stat status;
    int file = open(path, O_RDONLY);
    assert_true(file >= 0 && fstat(file, &status) == 0);
    unsigned char *bytes = malloc((size_t)status.st_size + 1);
    assert_non_null(bytes);
    assert_int_equal(read(file, bytes, (size_t)status.st_size), status.st_size);
    close(file);
    *length = (size_t)status.st_size;
    return bytes;
}

static inline void log_test_put(const char *path, const unsigned char *bytes, size_t length)
{
    int file = open(path, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    assert_true(file >= 0);
    assert_int_equal(write(file, bytes, length), (ssize_t)length);
    close(file);
}

#endif
