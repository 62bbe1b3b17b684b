/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several processes at one log, and processes that are killed. */
#include <signal.h>
#include <sys/wait.h>
#include <time.h>

#include "log/book.h"
#include "support/log_support.h"

static const struct perpend_slope leaning = {0.001, 0.006};

static void a_job_is_held_by_one_process(void **state)
{
    (void)state;
    struct fault fault;
    struct log_book *book;
    struct log_folder made = log_folder_make();
    int to_child[2], to_parent[2];
    char word;
    int64_t job = 0;
    works(log_open(made.path, LOG_WRITE, &book, &fault));
    works(log_unfinished(book, "Tern", &job, &fault));
    assert_int_equal(job, 0);
    assert_int_equal(pipe(to_child), 0);
    assert_int_equal(pipe(to_parent), 0);
    pid_t child = fork();
    if (child == 0) {
        struct log_book *own;
        if (!log_open(made.path, LOG_WRITE, &own, &fault))
            _exit(1);
        int64_t mine = log_test_job(own, tern_text);
        log_test_sweep(own, mine, "as found", leaning);
        if (write(to_parent[1], "x", 1) != 1 || read(to_child[0], &word, 1) != 1)
            _exit(1);
        raise(SIGKILL);
        _exit(1);
    }
    assert_int_equal(read(to_parent[0], &word, 1), 1);
    bool mine = true;
    works(log_unfinished(book, "Tern", &job, &fault));
    assert_int_equal(job, 0); /* somebody is at it */
    works(log_claim(book, 1, &mine, &fault));
    assert_false(mine);
    assert_int_equal(write(to_child[1], "x", 1), 1);
    waitpid(child, NULL, 0);
    works(log_unfinished(book, "TERN", &job, &fault));
    assert_int_equal(job, 1);
    works(log_unfinished(book, "Gull", &job, &fault));
    assert_int_equal(job, 0);
    works(log_unfinished(book, NULL, &job, &fault));
    assert_int_equal(job, 1);
    /* a number given anew: the process of that number began at another time */
    works(log_run(book, "UPDATE claim SET process = 1, began = began + 1", NULL, &fault));
    works(log_unfinished(book, "Tern", &job, &fault));
    assert_int_equal(job, 1);
    works(log_claim(book, job, &mine, &fault));
    assert_true(mine);
    works(log_job_end(book, job, LOG_GIVEN_UP, PERPEND_VERDICT_NO_GOAL, &fault));
    works(log_unfinished(book, "Tern", &job, &fault));
    assert_int_equal(job, 0);
    log_close(book);
    log_folder_remove(&made);
}

static size_t readings_in(struct log_book *book)
{
    struct fault fault;
    int64_t count;
    works(log_get(book, "SELECT count(*) FROM reading", NULL, &count, &fault));
    return (size_t)count;
}

static void no_finding(void *context, const char *line)
{
    (void)context;
    printf("# %s\n", line);
}

static void two_sessions_do_not_hurt_each_other(void **state)
{
    (void)state;
    struct fault fault;
    struct log_book *book;
    struct log_folder made = log_folder_make();
    pid_t children[3];
    for (int i = 0; i < 3; i++)
        if ((children[i] = fork()) == 0) { /* they also race to make the log */
            if (!log_open(made.path, LOG_WRITE, &book, &fault))
                _exit(1);
            int64_t job = log_test_job(book, tern_text);
            for (int sweep = 0; sweep < 10; sweep++)
                log_test_sweep(book, job, "again", leaning);
            log_close(book);
            _exit(0);
        }
    for (int i = 0; i < 3; i++) {
        int status;
        waitpid(children[i], &status, 0);
        assert_int_equal(status, 0);
    }
    struct log_checked checked;
    works(log_open(made.path, LOG_READ, &book, &fault));
    assert_int_equal(readings_in(book), 3 * 10 * 4);
    works(log_check(book, 0, false, &(struct log_listener){.found = no_finding}, &checked, &fault));
    assert_int_equal(checked.jobs, 3);
    assert_int_equal(checked.findings, 0);
    log_close(book);
    log_folder_remove(&made);
}

/* A process that says "x" for each reading the log has accepted, until it is killed. */
static void accept_for_ever(const char *path, int say)
{
    struct fault fault;
    struct log_book *book;
    int64_t job, sweep;
    if (!log_open(path, LOG_WRITE, &book, &fault))
        _exit(1);
    if (!log_unfinished(book, "Tern", &job, &fault))
        _exit(1);
    if (job == 0)
        job = log_test_job(book, tern_text);
    if (!log_sweep_add(book, job, &(struct perpend_sweep){.name = "again"}, &sweep, &fault))
        _exit(1);
    for (;;) {
        struct perpend_reading reading = {0, 0.5, 0, 0};
        if (!log_reading_accept(book, sweep, &reading, NULL, NULL, &fault) ||
            write(say, "x", 1) != 1)
            _exit(1);
    }
}

static void a_kill_loses_nothing_accepted(void **state)
{
    (void)state;
    struct fault fault;
    struct log_book *book;
    struct log_folder made = log_folder_make();
    struct test_random random = test_random_start("kills", 52);
    size_t acknowledged = 0;
    for (int round = 0; round < 40; round++) {
        int pipes[2];
        char words[4096];
        ssize_t got;
        assert_int_equal(pipe(pipes), 0);
        pid_t child = fork();
        if (child == 0) {
            close(pipes[0]);
            accept_for_ever(made.path, pipes[1]);
        }
        close(pipes[1]);
        /* every fourth is killed while it opens the log, the others once they are at work */
        if (round % 4 != 3 && (got = read(pipes[0], words, 1)) > 0)
            acknowledged += (size_t)got;
        struct timespec wait = {0, (long)test_uniform(&random, 0, 30e6)};
        nanosleep(&wait, NULL);
        kill(child, SIGKILL);
        waitpid(child, NULL, 0);
        while ((got = read(pipes[0], words, sizeof words)) > 0)
            acknowledged += (size_t)got;
        close(pipes[0]);
        struct log_checked checked;
        size_t there = 0;
        if (access(made.path, F_OK) == 0) {
            works(log_open(made.path, LOG_READ, &book, &fault));
            there = readings_in(book);
            works(log_check(
                book, 0, false, &(struct log_listener){.found = no_finding}, &checked, &fault));
            assert_int_equal(checked.findings, 0);
            log_close(book);
        }
        /* the last one may have been accepted and not yet said */
        if (there < acknowledged || there > acknowledged + (size_t)round + 1) {
            printf("# round %d: %zu said, %zu there\n", round, acknowledged, there);
            fail();
        }
    }
    printf("# 40 kills, %zu readings\n", acknowledged);
    assert_true(acknowledged >= 30);
    log_folder_remove(&made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_job_is_held_by_one_process),
        cmocka_unit_test(two_sessions_do_not_hurt_each_other),
        cmocka_unit_test(a_kill_loses_nothing_accepted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
