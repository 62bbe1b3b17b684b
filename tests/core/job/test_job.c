/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A whole job: the example of the demo machine, and laws that tie the parts together. */
#include "support/support.h"

#include <string.h>

#include <perpend/perpend.h>

#include "support/bench_machine.h"

#define near(value, expected, tolerance) assert_true(fabs((value) - (expected)) <= (tolerance))

static void the_demo_gives_the_worked_figures(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    struct perpend_reading readings[] = {{PERPEND_PI, 1.0, 0, 0}, {PERPEND_PI / 2, 0.5, 0, 0},
        {0, 0, 0, 0}, {1.5 * PERPEND_PI, 0.5, 0, 0}};
    struct perpend_sweep sweep = {.name = "as found", .readings = readings, .reading_count = 4};
    struct perpend_job job = {.sweeps = &sweep, .sweep_count = 1};
    struct perpend_solution solution;
    assert_int_equal(perpend_job_solve(&bench.machine, &job, &solution, NULL), PERPEND_OK);
    const struct perpend_measurement *found = &solution.measurements[0];
    near(found->fit.lean.back, 1.0 / 150, 1e-6);
    near(found->fit.lean.right, 0, 1e-12);
    near(found->ridge.along_x, 0.0667, 5e-5);
    near(found->ridge.along_y, 0.0080, 5e-5);
    assert_int_equal(found->verdict, PERPEND_VERDICT_NOT_MET);
    assert_true(found->turn_feed_meets_goal);
    assert_int_equal(found->plan.step_count, 1);
    const struct perpend_step *step = &found->plan.steps[0];
    assert_int_equal(step->move, PERPEND_MOVE_SHIM);
    near(step->bolts[0].amount.value, 0.5333, 1e-4);
    near(step->bolts[1].amount.value, 0.5333, 1e-4);
    near(step->bolts[2].amount.value, 0, 1e-12);
    near(step->bolts[3].amount.value, 0, 1e-12);
    perpend_solution_finish(&solution);
}

/* A small generator of the test's own, so that a failing case can be rerun from its seed. */
static double uniform(uint64_t *seed, double low, double high)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return low + (high - low) * (double)(*seed >> 11) / 9007199254740992.0;
}

static struct perpend_slope quarter_turn(struct perpend_slope slope)
{
    return (struct perpend_slope){slope.back, -slope.right};
}

/* The bench seen by somebody who stands at its left: what was the back is now the right. */
static void turn_bench(struct bench *bench)
{
    bench->joint.face = PERPEND_FACE_LEFT; /* front, a quarter turn clockwise */
    for (size_t i = 0; i < BOLTS; i++) {
        struct perpend_point at = bench->bolts[i].at;
        bench->bolts[i].at = (struct perpend_point){at.back, -at.right, at.up};
    }
    bench->machine.facing.along += PERPEND_PI / 2;
}

/* Turning the whole world by a quarter turns the answer by a quarter. */
static void a_turned_world_turns_the_answer(void **state)
{
    (void)state;
    uint64_t seed = 20;
    for (int round = 0, rounds = test_cases(60, 20); round < rounds; round++) {
        struct bench bench, turned;
        bench_init(&bench);
        bench_init(&turned);
        turn_bench(&turned);
        struct perpend_slope lean = {uniform(&seed, -0.004, 0.004), uniform(&seed, -0.01, 0.01)};
        struct perpend_reading readings[BOLTS], readings_turned[BOLTS];
        sweep_of(lean, readings);
        memcpy(readings_turned, readings, sizeof readings);
        for (size_t i = 0; i < BOLTS; i++)
            readings_turned[i].bearing += PERPEND_PI / 2;
        struct perpend_sweep sweep = {.name = "a", .readings = readings, .reading_count = BOLTS};
        struct perpend_sweep sweep_turned = sweep;
        sweep_turned.readings = readings_turned;
        struct perpend_job job = {.sweeps = &sweep, .sweep_count = 1},
                           job_turned = {.sweeps = &sweep_turned, .sweep_count = 1};
        struct perpend_solution one, other;
        assert_int_equal(perpend_job_solve(&bench.machine, &job, &one, NULL), 0);
        assert_int_equal(perpend_job_solve(&turned.machine, &job_turned, &other, NULL), 0);
        const struct perpend_measurement *a = &one.measurements[0], *b = &other.measurements[0];
        struct perpend_slope expected = quarter_turn(a->fit.lean);
        near(b->fit.lean.right, expected.right, 1e-12);
        near(b->fit.lean.back, expected.back, 1e-12);
        near(b->ridge.height, a->ridge.height, 1e-12);
        near(b->ridge.along_x, a->ridge.along_y, 1e-12);
        assert_int_equal(b->plan.step_count, a->plan.step_count);
        for (size_t s = 0; s < a->plan.step_count; s++)
            for (size_t i = 0; i < BOLTS; i++) {
                assert_int_equal(b->plan.steps[s].move, a->plan.steps[s].move);
                near(b->plan.steps[s].bolts[i].amount.value, a->plan.steps[s].bolts[i].amount.value,
                    1e-9);
                near(b->plan.steps[s].bolts[i].amount.shift.right,
                    a->plan.steps[s].bolts[i].amount.shift.back, 1e-9);
            }
        perpend_solution_finish(&one);
        perpend_solution_finish(&other);
    }
}

/* A mount that does as it is told: after the plan the lean is nothing, and nothing is learned
   that would spoil the next plan. */
static void a_true_mount_is_put_right_by_the_plan(void **state)
{
    (void)state;
    uint64_t seed = 7;
    for (int round = 0, rounds = test_cases(60, 20); round < rounds; round++) {
        struct bench bench;
        bench_init(&bench);
        /* more than a tenth of the goal, which would be left alone */
        struct perpend_slope lean = {uniform(&seed, 0.0005, 0.004), uniform(&seed, -0.01, -0.0005)};
        struct perpend_reading first[BOLTS], second[BOLTS];
        sweep_of(lean, first);
        sweep_of((struct perpend_slope){0, 0}, second);
        struct perpend_sweep sweeps[] = {{.name = "as found",
                                             .readings = first,
                                             .reading_count = BOLTS,
                                             .did_kind = PERPEND_DID_PLAN},
            {.name = "as left", .readings = second, .reading_count = BOLTS}};
        struct perpend_job job = {.sweeps = sweeps, .sweep_count = 2};
        struct perpend_solution solution;
        assert_int_equal(perpend_job_solve(&bench.machine, &job, &solution, NULL), PERPEND_OK);
        assert_int_equal(solution.measurement_count, 2);
        const struct perpend_measurement *found = &solution.measurements[0];
        const struct perpend_measurement *left = &solution.measurements[1];
        near(found->plan.lean_after.right, 0, 1e-6);
        near(found->plan.lean_after.back, 0, 1e-6);
        assert_true(left->adjusted);
        assert_int_equal(left->adjustment.outcome, PERPEND_OUTCOME_AS_ASKED);
        assert_int_equal(left->verdict, PERPEND_VERDICT_MET);
        for (int i = 0; i < 2; i++)
            for (int j = 0; j < 2; j++)
                near(left->response.gain[i][j], i == j, 1e-3);
        perpend_solution_finish(&solution);
    }
}

/* A bed as found, swept at three places; from then on one place is enough, wherever it is, since the
   bed stays as it is. The other way round nothing false is learned. */
static void the_bed_stays_as_it_was_found(void **state)
{
    (void)state;
    static const double places[3][2] = {{0, 0}, {200, 0}, {0, 200}};
    const struct perpend_slope bed = {0.004, -0.002}, leans[2] = {{0.001, 0.006}, {0.0, 0.0005}};
    for (int first = 0; first < 2; first++) { /* which of the two is swept at three places */
        struct bench bench;
        struct perpend_reading readings[2][3 * BOLTS];
        struct perpend_sweep sweeps[2];
        struct perpend_solution solution;
        bench_init(&bench);
        bench.machine.setup.bed_faced = false;
        for (int k = 0; k < 2; k++) {
            size_t count = k == first ? 3 * BOLTS : BOLTS;
            for (size_t i = 0; i < count; i++) {
                const double *at = places[i / BOLTS];
                double bearing = (double)(i % BOLTS) * PERPEND_PI / 2;
                readings[k][i] = (struct perpend_reading){bearing,
                    2 + perpend_gap(leans[k], bed, 75, bearing, at[0], at[1]), at[0], at[1]};
            }
            sweeps[k] = (struct perpend_sweep){.name = "a",
                .readings = readings[k],
                .reading_count = count,
                .did_kind = k == 0 ? PERPEND_DID_PLAN : PERPEND_DID_UNSTATED};
        }
        struct perpend_job job = {.sweeps = sweeps, .sweep_count = 2};
        assert_int_equal(perpend_job_solve(&bench.machine, &job, &solution, NULL), PERPEND_OK);
        const struct perpend_measurement *found = &solution.measurements[0];
        const struct perpend_measurement *left = &solution.measurements[1];
        assert_true(left->fit.bed_separated && !left->fit.includes_bed);
        assert_int_equal(left->bed_from_before, first == 0);
        assert_int_equal(found->fit.includes_bed, first == 1);
        near(left->fit.lean.right, leans[1].right, 1e-9);
        near(left->fit.lean.back, leans[1].back, 1e-9);
        near(left->adjustment.obtained.right, leans[1].right - leans[0].right, 1e-6);
        near(left->adjustment.obtained.back, leans[1].back - leans[0].back, 1e-6);
        perpend_solution_finish(&solution);
    }
}

/* What two sweeps tell of a change is the same on a bed that slopes, told apart or not, as on a level
   one: the bed stands still meanwhile. */
static void a_change_is_told_as_well_on_a_sloping_bed(void **state)
{
    (void)state;
    static const double places[3][2] = {{0, 0}, {200, 0}, {0, 200}};
    uint64_t seed = 11;
    struct perpend_adjustment seen[4];
    for (int round = 0, rounds = test_cases(30, 10); round < rounds; round++) {
        const struct perpend_slope slope = {uniform(&seed, -0.01, 0.01),
                                       uniform(&seed, -0.01, 0.01)},
                                   leans[2] = {{0.001, uniform(&seed, 0.004, 0.01)}, {0, 0.001}};
        for (int way = 0; way < 4;
             way++) { /* bit k: sweep k at three places; bed 0 when way is 0 */
            struct bench bench;
            struct perpend_reading readings[2][3 * BOLTS];
            struct perpend_sweep sweeps[2];
            struct perpend_solution solution;
            const struct perpend_slope bed = way ? slope : (struct perpend_slope){0, 0};
            bench_init(&bench);
            bench.machine.setup.bed_faced = way == 0;
            bench.machine.setup.arm.relative_uncertainty = 0;
            bench.machine.setup.arm.bearing_uncertainty = 0;
            bench.machine.setup.arm.turned_uncertainty = 0;
            bench.machine.setup.gauge.spread = 0.05; /* waves and rounding told apart by places */
            for (int k = 0; k < 2; k++) {
                /* as many readings in any case */
                for (size_t i = 0; i < 3 * BOLTS; i++) {
                    const double *at = places[way >> k & 1 ? i / BOLTS : 0];
                    /* no bearing twice, and evenly round at each place */
                    double bearing =
                        (double)(i % BOLTS) * PERPEND_PI / 2 + (double)(i / BOLTS) * PERPEND_PI / 6;
                    readings[k][i] = (struct perpend_reading){bearing,
                        2 + perpend_gap(leans[k], bed, 75, bearing, at[0], at[1]), at[0], at[1]};
                }
                sweeps[k] = (struct perpend_sweep){.name = "a",
                    .readings = readings[k],
                    .reading_count = 3 * BOLTS,
                    .did_kind = k == 0 ? PERPEND_DID_PLAN : PERPEND_DID_UNSTATED};
            }
            struct perpend_job job = {.sweeps = sweeps, .sweep_count = 2};
            assert_int_equal(perpend_job_solve(&bench.machine, &job, &solution, NULL), PERPEND_OK);
            seen[way] = solution.measurements[1].adjustment;
            perpend_solution_finish(&solution);
            /* not told apart, lean and bed add up to the first order only */
            near(seen[way].obtained.back, seen[0].obtained.back, 2e-6);
            near(seen[way].obtained.right, seen[0].obtained.right, 2e-6);
            double share =
                seen[way].obtained_covariance.back_back / seen[0].obtained_covariance.back_back;
            near(share, 1, 0.05); /* two parameters more leave two degrees of freedom less */
        }
    }
}

static void a_job_without_readings_names_its_sweep(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    struct perpend_reading readings[BOLTS];
    sweep_of((struct perpend_slope){0.001, 0.002}, readings);
    struct perpend_sweep sweeps[] = {{.name = "as found",
                                         .readings = readings,
                                         .reading_count = BOLTS,
                                         .did_kind = PERPEND_DID_NOTHING},
        {.name = "again", .readings = readings, .reading_count = 2}};
    struct perpend_job job = {.sweeps = sweeps, .sweep_count = 2};
    struct perpend_solution solution;
    struct perpend_job_fault fault;
    assert_int_equal(
        perpend_job_solve(&bench.machine, &job, &solution, &fault), PERPEND_ERR_UNDETERMINED);
    assert_int_equal(fault.sweep, 1);
    assert_int_equal(fault.fit.need.kind, PERPEND_NEED_BEARING);
}

/* A job that was solved before an evening goes on, or a reading is put right, comes out as if it had never
   been solved: what is taken over is what would be worked out. */
static void solving_again_changes_nothing(void **state)
{
    (void)state;
    struct test_random random = test_random_start("again", 12);
    for (int n = 0; n < 12; n++) {
        struct bench bench;
        bench_init(&bench);
        bench.machine.cutter.corner = n % 4 == 0 ? 2.0 : 0.0;
        struct perpend_reading readings[3][4];
        struct perpend_sweep sweeps[3];
        for (size_t i = 0; i < 3; i++) {
            for (size_t k = 0; k < 4; k++)
                readings[i][k] = (struct perpend_reading){
                    PERPEND_PI / 2 * (double)k, 0.05 * round(test_uniform(&random, 0, 10)), 0, 0};
            sweeps[i] = (struct perpend_sweep){.name = "a",
                .readings = readings[i],
                .reading_count = 4,
                .did_kind = i < 2 ? PERPEND_DID_PLAN : PERPEND_DID_UNSTATED};
        }
        struct perpend_job job = {.sweeps = sweeps, .sweep_count = 2};
        struct perpend_solution known, again, fresh;
        if (perpend_job_solve(&bench.machine, &job, &known, NULL) != PERPEND_OK)
            continue;
        job.sweep_count = 3;
        if (n % 2 == 0)
            readings[0][1].value += 0.05;
        enum perpend_status status =
            perpend_job_solve_again(&bench.machine, &job, &known, &again, NULL);
        assert_int_equal(status, perpend_job_solve(&bench.machine, &job, &fresh, NULL));
        for (size_t i = 0; status == PERPEND_OK && i < fresh.measurement_count; i++) {
            const struct perpend_measurement *a = &again.measurements[i];
            const struct perpend_measurement *f = &fresh.measurements[i];
            assert_int_equal(a->verdict, f->verdict);
            assert_int_equal(a->remedy_count, f->remedy_count);
            assert_int_equal(a->turn_feed_meets_goal, f->turn_feed_meets_goal);
            assert_memory_equal(&a->ridge.height, &f->ridge.height, sizeof a->ridge.height);
            near(a->distribution.low, f->distribution.low, 0);
            near(a->distribution.high, f->distribution.high, 0);
            near(a->distribution.chance, f->distribution.chance, 0);
            near(a->plan.ridge, f->plan.ridge, 0);
        }
        perpend_solution_finish(&known);
        if (status == PERPEND_OK) {
            perpend_solution_finish(&again);
            perpend_solution_finish(&fresh);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(solving_again_changes_nothing),
        cmocka_unit_test(the_demo_gives_the_worked_figures),
        cmocka_unit_test(a_turned_world_turns_the_answer),
        cmocka_unit_test(a_true_mount_is_put_right_by_the_plan),
        cmocka_unit_test(the_bed_stays_as_it_was_found),
        cmocka_unit_test(a_change_is_told_as_well_on_a_sloping_bed),
        cmocka_unit_test(a_job_without_readings_names_its_sweep),
    };
    return cmocka_run_group_tests_name("job", tests, NULL, NULL);
}
