/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a plan may not do to somebody who does as it says: machines of all kinds of mounts, leans of
   all sizes, readings as leaves show them, adjustments as mounts answer them. Short here;
   PERPEND_HONEST_JOBS=2000 for so many (a minute). */
#include "support/mount_cases.h"

#include <perpend/perpend.h>

#define JOBS 100
#define ROUNDS 3
#define READINGS 4

static const struct perpend_slope level = {0, 0};

static void machine_of(struct perpend_machine *machine, struct mount_case *it,
    struct perpend_leaf *leaves, struct test_random *random)
{
    static const double thick[] = {0.1, 0.05, 0.3, 0.016};
    *machine = (struct perpend_machine){
        .setup = {.arm = {.length = test_uniform(random, 40, 150), .relative_uncertainty = NAN},
            .gauge = {.kind = PERPEND_GAUGE_GAP, .step = 0.05, .spread = NAN},
            .bed_faced = true},
        .cutter = {.diameter = 22},
        .facing = {.stepover = 10,
            .along = test_pick(random, 2) ? PERPEND_ALONG_X : 0.0,
            .depth = 0.2,
            .both_ways = test_pick(random, 4) == 0},
        .goal = {test_uniform(random, 0.005, 0.05), NAN},
        .mount = it->mount,
        .stock = {leaves, test_pick(random, 5)},
    };
    if (test_pick(random, 4) == 0) /* who drills and bores */
        machine->goal = (struct perpend_goal){NAN, test_uniform(random, 0.0001, 0.001)};
    for (size_t i = 0; i < machine->stock.leaf_count; i++)
        leaves[i] =
            (struct perpend_leaf){.thick = thick[i], .count = (unsigned)test_pick(random, 20)};
}

/* A hand sets Z so that the tip just clears, and slides leaves under it. */
static void sweep(const struct perpend_machine *machine, struct perpend_slope lean,
    struct test_random *random, struct perpend_reading *readings)
{
    double radius = machine->setup.arm.length, step = machine->setup.gauge.step;
    double centre = radius * perpend_slope_size(lean) + test_uniform(random, 0, 0.6);
    for (size_t i = 0; i < READINGS; i++) {
        double bearing = 2 * PERPEND_PI * (double)i / READINGS;
        double gap = centre + perpend_gap(lean, level, radius, bearing, 0, 0);
        double read = step * floor(gap / step + test_uniform(random, 0.1, 0.9));
        readings[i] = (struct perpend_reading){bearing, fmax(read, 0.0), 0, 0};
    }
}

/* Joints one after another, in a joint what could let a shim fall out first, and none taller than
   anybody would believe. */
static void check_order(const struct perpend_plan *plan)
{
    bool begun[CASE_JOINTS] = {false};
    for (size_t k = 0; k < plan->step_count; k++) {
        const struct perpend_step *step = &plan->steps[k], *before = step - 1;
        bool same = k > 0 && before->joint == step->joint;
        assert_true(same || !begun[step->joint]);
        begun[step->joint] = true;
        if (same)
            assert_true(
                perpend_move_find(before->move)->trouble <= perpend_move_find(step->move)->trouble);
        for (size_t i = 0; i < step->bolt_count; i++)
            if (step->move == PERPEND_MOVE_SHIM) {
                assert_true(step->bolts[i].amount.value <= PERPEND_STACK_TALLEST + 1e-9);
                assert_true(step->bolts[i].amount.value >= -step->bolts[i].inside - 0.005);
            }
    }
}

/* All round, whoever reads it: what is expected shows on the gauge. */
static void check_clear(
    const struct perpend_machine *machine, const struct perpend_measurement *measurement)
{
    const struct perpend_plan *plan = &measurement->plan;
    const struct perpend_outlook outlook = perpend_measurement_outlook(machine, measurement);
    double step = machine->setup.gauge.step;
    struct perpend_fit next;
    perpend_plan_foresee(plan, &outlook, &next);
    for (size_t k = 0; k < plan->step_count; k++)
        assert_true(plan->steps[k].watch.reading >= step - 1e-9);
    for (int degrees = 0; plan->step_count > 0 && degrees < 360; degrees += 5)
        assert_true(perpend_fit_predict(&next, &machine->setup, perpend_radians(degrees), 0, 0) >=
                    step - 1e-6);
}

/* A plan that would do harm says so; one for a lean alone never does. */
static void check_no_worse(
    const struct perpend_machine *machine, const struct perpend_measurement *measurement)
{
    const struct perpend_plan *plan = &measurement->plan;
    if (isnan(machine->goal.ridge)) {
        assert_false(measurement->plan_worsens);
        assert_true(perpend_slope_size(plan->lean_after) <=
                    perpend_slope_size(measurement->fit.lean) + 1e-12);
    } else if (measurement->verdict == PERPEND_VERDICT_NOT_MET) {
        assert_true(measurement->plan_worsens || plan->step_count == 0 ||
                    plan->ridge <= measurement->distribution.high);
    }
}

static void honest_jobs(void **state)
{
    (void)state;
    struct test_random random = test_random_start("honest jobs", 71);
    const char *asked = getenv("PERPEND_HONEST_JOBS");
    size_t cases = asked ? strtoul(asked, NULL, 10) : JOBS, raised = 0, plans = 0, met = 0;
    for (size_t n = 0; n < cases; n++) {
        struct mount_case it;
        struct perpend_machine machine;
        struct perpend_leaf leaves[4];
        struct perpend_reading readings[ROUNDS][READINGS];
        struct perpend_sweep sweeps[ROUNDS];
        case_mount(&it, &random, test_uniform(&random, 0.1, 2.0), true);
        machine_of(&machine, &it, leaves, &random);
        struct perpend_slope lean = {
            test_uniform(&random, -0.012, 0.012), test_uniform(&random, -0.012, 0.012)};
        double gives = test_uniform(&random, 0.7, 1.05);
        for (size_t round = 0; round < ROUNDS; round++) {
            sweep(&machine, lean, &random, readings[round]);
            sweeps[round] = (struct perpend_sweep){.readings = readings[round],
                .reading_count = READINGS,
                .did_kind = round + 1 < ROUNDS ? PERPEND_DID_PLAN : PERPEND_DID_UNSTATED};
            struct perpend_job job = {.sweeps = sweeps, .sweep_count = round + 1};
            struct perpend_solution solution;
            assert_int_equal(perpend_job_solve(&machine, &job, &solution, NULL), PERPEND_OK);
            const struct perpend_measurement *last =
                &solution.measurements[solution.measurement_count - 1];
            check_order(&last->plan);
            check_clear(&machine, last);
            check_no_worse(&machine, last);
            raised += last->plan.raise > 0.0;
            plans += last->plan.step_count > 0;
            met += round + 1 == ROUNDS &&
                   perpend_goal_kept(&machine.goal, last->ridge.height, last->fit.lean);
            for (size_t k = 0; k < last->plan.step_count; k++) {
                lean.right += gives * last->plan.steps[k].change.right;
                lean.back += gives * last->plan.steps[k].change.back;
            }
            perpend_solution_finish(&solution);
        }
    }
    printf("# %zu jobs, %zu plans, Z raised in %zu; %zu meet their goal after two\n", cases, plans,
        raised, met);
    assert_true(raised > 0 && met > cases / 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(honest_jobs)};
    return cmocka_run_group_tests_name("honest jobs", tests, NULL, NULL);
}
