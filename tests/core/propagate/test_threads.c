/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two threads may solve at once: the library has no state of its own. Run under the thread
   sanitizer as well. */
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/bench_machine.h"

#define SOLVERS 2
#define ROUNDS 20

struct solver {
    struct perpend_slope lean;
    double high[ROUNDS]; /* upper end of the ridge's interval, each round */
    int status;
};

static void *solve_again_and_again(void *argument)
{
    struct solver *solver = argument;
    struct bench bench;
    bench_init(&bench);
    struct perpend_reading readings[BOLTS];
    sweep_of(solver->lean, readings);
    struct perpend_sweep sweep = {.name = "a", .readings = readings, .reading_count = BOLTS};
    struct perpend_job job = {&sweep, 1};
    for (int round = 0; round < ROUNDS && solver->status == PERPEND_OK; round++) {
        struct perpend_solution solution;
        solver->status = perpend_job_solve(&bench.machine, &job, &solution, NULL);
        if (solver->status != PERPEND_OK)
            break;
        solver->high[round] = solution.measurements[0].distribution.high;
        perpend_solution_finish(&solution);
    }
    return NULL;
}

static void two_threads_do_not_disturb_each_other(void **state)
{
    (void)state;
    struct solver together[SOLVERS] = {{.lean = {0.001, 0.004}}, {.lean = {-0.003, 0.002}}};
    pthread_t threads[SOLVERS];
    for (size_t i = 0; i < SOLVERS; i++)
        assert_int_equal(pthread_create(&threads[i], NULL, solve_again_and_again, &together[i]), 0);
    for (size_t i = 0; i < SOLVERS; i++)
        assert_int_equal(pthread_join(threads[i], NULL), 0);
    for (size_t i = 0; i < SOLVERS; i++) {
        struct solver alone = {.lean = together[i].lean};
        solve_again_and_again(&alone);
        assert_int_equal(together[i].status, PERPEND_OK);
        assert_memory_equal(together[i].high, alone.high, sizeof alone.high);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_threads_do_not_disturb_each_other),
    };
    return cmocka_run_group_tests_name("threads", tests, NULL, NULL);
}
