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

#include <sqlite3.h>

#include <perpend/perpend.h>

#include "log/book.h"
#include "support/support.h"

#include "support/machine_text.h"

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

/* A log in such a folder, open to be written: what most tests begin with. As a setup and teardown
   of cmocka it is the test's state. */
struct log_scene {
    struct log_folder made;
    struct log_book *book; /* NULL once the test has closed it */
};

static inline int log_scene_open(void **state)
{
    struct fault fault = {.status = 0};
    struct log_scene *scene = calloc(1, sizeof *scene);
    assert_non_null(scene);
    scene->made = log_folder_make();
    if (!log_open(scene->made.path, LOG_WRITE, &scene->book, &fault))
        fail_msg("%s", fault.text);
    /* only to be quick here; tests of their own see what is on the disk */
    assert_int_equal(
        sqlite3_exec(scene->book->db, "PRAGMA synchronous = OFF", NULL, NULL, NULL), SQLITE_OK);
    *state = scene;
    return 0;
}

static inline int log_scene_close(void **state)
{
    struct log_scene *scene = *state;
    log_close(scene->book);
    log_folder_remove(&scene->made);
    free(scene);
    return 0;
}

#define log_test(test) cmocka_unit_test_setup_teardown(test, log_scene_open, log_scene_close)

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
        fault = (struct fault){.status = 0};                                                       \
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
    parse_machine(text, &machine);
    struct log_start start = {&machine, "tern.yaml", text, strlen(text), NULL};
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
    works(log_sweep_add(book, job, &(struct perpend_sweep){.name = (char *)name}, &sweep, &fault));
    for (size_t i = 0; i < 4; i++) {
        double bearing = perpend_radians(degrees[i]);
        struct perpend_reading reading = {
            bearing, 0.5 + perpend_gap(lean, bed, 75, bearing, 0, 0), 0, 0};
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
    works(log_load(book, job, &record, &fault));
    assert_true(record.readable);
    assert_int_equal(perpend_job_solve(&record.machine, &record.job, &solution, NULL), PERPEND_OK);
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
    works(
        log_did(book, sweep, NULL, &(struct perpend_sweep){.did_kind = PERPEND_DID_PLAN}, &fault));
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

/* A log with jobs in it, closed, and its bytes. */
static inline unsigned char *log_test_sound(
    const struct log_folder *made, size_t jobs, size_t *length)
{
    const struct perpend_slope leaning = {0.001, 0.006}, upright = {0.0001, -0.0002};
    struct fault fault;
    struct log_book *book;
    works(log_open(made->path, LOG_WRITE, &book, &fault));
    for (size_t i = 0; i < jobs; i++)
        log_test_whole_job(book, tern_text, leaning, upright);
    works(log_note(book, &(struct log_about){.machine = "Tern"}, LOG_CRASH, "hit a clamp", &fault));
    log_close(book);
    return log_test_bytes(made->path, length);
}

/* Set a number in the head of a database. */
static inline void log_test_set_number(const char *path, const char *pragma, int value)
{
    sqlite3 *db;
    char sql[80];
    snprintf(sql, sizeof sql, "PRAGMA %s = %d", pragma, value);
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
}

#endif
