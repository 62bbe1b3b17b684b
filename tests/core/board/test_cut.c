/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The test cut: its step against a floor by brute force, and what it knows of the lean alone and with
   the arm. */
#include "support/ridge_cases.h"
#include "support/sweep_world.h"

#include <perpend/cut.h>
#include <perpend/job.h>

#include "core/fit/expected_fit.h"
#include "support/bench_machine.h"

static const double sides[4] = {0.0, PERPEND_PI / 2.0, PERPEND_PI, 1.5 * PERPEND_PI};

/* A bit, how the cut is made, and where it is touched: as usual or as somebody chose. */
static struct perpend_cut draw_cut(struct test_random *random, struct perpend_cutter *cutter)
{
    struct perpend_cut cut = {NAN, NAN};
    *cutter = (struct perpend_cutter){test_uniform(random, 3.0, 80.0), 0.0};
    if (test_pick(random, 2))
        cutter->corner = cutter->diameter * test_uniform(random, 0.01, 0.3);
    if (test_pick(random, 2))
        cut.stepover = cutter->diameter * test_uniform(random, 0.8, 1.0);
    struct perpend_cut usual = perpend_cut_usual(cut, cutter);
    if (test_pick(random, 2))
        cut.apart = usual.apart + test_uniform(random, 0.0, 0.9) * (usual.stepover - usual.apart);
    return cut;
}

/* Both places are touched on a floor of two passes, the lowest of them at each. */
static double brute_step(struct perpend_slope lean, const struct perpend_cutter *cutter,
    struct perpend_cut cut, double higher)
{
    const struct perpend_cut made = perpend_cut_usual(cut, cutter);
    const struct tool tool = tool_make(lean, cutter, higher - PERPEND_PI / 2.0);
    double height[2] = {INFINITY, INFINITY};
    for (int place = 0; place < 2; place++)
        for (int pass = 0; pass < 2; pass++) {
            double off = (place - 0.5) * made.apart - (pass - 0.5) * made.stepover;
            if (fabs(off) <= tool.reach)
                height[place] = fmin(height[place], pass_low(&tool, off));
        }
    return height[1] - height[0];
}

static void step_is_that_of_the_floor(void **state)
{
    (void)state;
    struct test_random random = test_random_start("step = brute force", 20261101);
    double worst = 0.0;
    for (int i = 0, cases = test_cases(6000, 300); i < cases; i++) {
        struct perpend_cutter cutter;
        struct perpend_cut cut = draw_cut(&random, &cutter);
        struct perpend_slope lean = random_slope(&random, test_pick(&random, 4) ? 0.05 : 0.2);
        double higher = sides[test_pick(&random, 4)], step = NAN;
        if (isnan(perpend_cut_lever(cut, &cutter)))
            continue;
        assert_int_equal(perpend_cut_step(lean, &cutter, cut, higher, &step), PERPEND_OK);
        double brute = brute_step(lean, &cutter, cut, higher);
        worst = fmax(worst, fabs(step - brute));
        if (!(fabs(step - brute) <= 1e-9)) {
            printf("# case %d: lean %.17g %.17g, bit %.9g corner %.9g, cut %.9g %.9g, higher %.3g: "
                   "%.12g, brute %.12g\n",
                i, lean.right, lean.back, cutter.diameter, cutter.corner, cut.stepover, cut.apart,
                higher, step, brute);
            fail();
        }
    }
    printf("# farthest apart %.2g mm\n", worst);
}

/* Without corners it is the lean toward that side times the lever, over 1 + (lean along the feed)²:
   the hollow is the same on both sides and drops out. The side the top leans to is the higher. */
static void sharp_bit_is_linear(void **state)
{
    (void)state;
    struct test_random random = test_random_start("closed form", 20261102);
    const struct perpend_cutter demo = {22.0, 0.0};
    const struct perpend_cut usual = {NAN, NAN};
    double step;
    assert_near(perpend_cut_lever(usual, &demo), 0.7 * 22.0, 1e-12);
    assert_int_equal(
        perpend_cut_step((struct perpend_slope){0.0, 0.005}, &demo, usual, 0.0, &step), PERPEND_OK);
    assert_near(step, 0.077, 1e-12);
    for (int i = 0; i < 3000; i++) {
        struct perpend_cutter cutter;
        struct perpend_cut cut = draw_cut(&random, &cutter);
        struct perpend_slope lean = random_slope(&random, 0.2);
        double higher = test_uniform(&random, 0.0, 7.0), other;
        cutter.corner = 0.0;
        double lever = perpend_cut_lever(cut, &cutter);
        if (isnan(lever))
            continue;
        double across = lean.right * sin(higher) + lean.back * cos(higher);
        double along = lean.right * cos(higher) - lean.back * sin(higher);
        perpend_cut_step(lean, &cutter, cut, higher, &step);
        perpend_cut_step(lean, &cutter, cut, higher + PERPEND_PI, &other);
        assert_near(step, lever * across / (1.0 + along * along), 1e-12 * cutter.diameter);
        assert_near(other, -step, 1e-12 * cutter.diameter);
    }
}

static struct perpend_cut_reading step_of(
    const struct perpend_cut_question *asked, struct perpend_slope lean, double higher)
{
    struct perpend_cut_reading read = {higher, NAN};
    double factor = fabs(perpend_gauge_gap_per_reading(&asked->setup->gauge));
    assert_int_equal(
        perpend_cut_step(lean, asked->cutter, asked->cut, higher, &read.step), PERPEND_OK);
    read.step /= factor;
    return read;
}

/* Exact steps give the lean back, alone and beside exact readings of the arm; and on a bed as found
   swept at one place, or along a line, they tell its slope. */
static void exact_cut_recovers_the_lean(void **state)
{
    (void)state;
    struct test_random random = test_random_start("exact cut", 20261103);
    double worst = 0.0, worst_bed = 0.0;
    for (int i = 0; i < 1500; i++) {
        enum layout layout = (enum layout)test_pick(&random, LAYOUTS + 1);
        struct world world = random_world(&random, layout == LAYOUTS ? FACED : layout, 8);
        world.bed =
            layout == ONE_PLACE || layout == IN_A_LINE ? random_slope(&random, 0.01) : world.bed;
        read_exactly(&world);
        struct perpend_cutter cutter;
        struct perpend_cut cut = draw_cut(&random, &cutter);
        struct perpend_cut_reading steps[4];
        struct perpend_fit fit = {.includes_bed = false};
        struct perpend_cut_fit told;
        double residual[MOST];
        struct perpend_cut_question asked = {world.readings, layout == LAYOUTS ? 0 : world.count,
            residual, steps, 2 + test_pick(&random, 3), &world.setup, &cutter, cut};
        if (isnan(perpend_cut_lever(cut, &cutter)) ||
            (asked.count > 0 && perpend_fit_readings(world.readings, world.count, &world.setup,
                                    NULL, &fit) != PERPEND_OK))
            continue;
        bool line = fit.includes_bed && perpend_slope_size(fit.travel) > 0.0;
        for (size_t k = 0; k < asked.step_count; k++)
            steps[k] = step_of(&asked, world.lean, sides[k % 2 + 2 * test_pick(&random, 2)]);
        int status = perpend_cut_join(&asked, &fit, &told);
        double off = slope_distance(fit.lean, world.lean);
        double off_bed = layout < LAYOUTS ? slope_distance(fit.bed, world.bed) : 0.0;
        worst = fmax(worst, off);
        /* places in a line tell some of the slope first, without it in the arm's own geometry */
        worst_bed = fmax(worst_bed, line ? 0.0 : off_bed);
        if (status != PERPEND_OK || !(off <= 1e-9) || !(off_bed <= (line ? 1e-4 : 1e-9)) ||
            !told.joined || !told.both_ways || told.off || fit.includes_bed) {
            print_world(i, &world, status);
            printf("# layout %d: lean off by %.3g, bed by %.3g\n", (int)layout, off, off_bed);
            fail();
        }
        assert_near(slope_distance(told.alone, world.lean), 0.0, 1e-9);
    }
    printf("# lean off by at most %.2g, bed %.2g\n", worst, worst_bed);
}

static struct perpend_slope_covariance inverse_of(struct perpend_slope_covariance c)
{
    double det = c.right_right * c.back_back - c.right_back * c.right_back;
    return (struct perpend_slope_covariance){
        c.back_back / det, -c.right_back / det, c.right_right / det};
}

/* What both know is the sum of what each knows, at the arm's scale. */
static void informations_add_up(void **state)
{
    (void)state;
    struct test_random random = test_random_start("sum of informations", 20261104);
    for (int i = 0; i < 300; i++) {
        struct world world = random_world(&random, i % 2 ? FACED : ALL_OVER, 12);
        const struct perpend_cutter cutter = {test_uniform(&random, 6.0, 60.0), 0.0};
        struct perpend_cut_reading steps[2];
        double residual[MOST];
        struct perpend_cut_question asked = {
            world.readings, world.count, residual, steps, 2, &world.setup, &cutter, {NAN, NAN}};
        struct perpend_fit fit, arm, alone;
        struct perpend_cut_fit told;
        add_noise(&world, &random, 0.02);
        if (perpend_fit_readings(world.readings, world.count, &world.setup, NULL, &arm) !=
            PERPEND_OK)
            continue;
        for (size_t k = 0; k < 2; k++)
            steps[k] = step_of(&asked, arm.lean, sides[k]);
        fit = arm;
        assert_int_equal(perpend_cut_join(&asked, &fit, &told), PERPEND_OK);
        assert_near(slope_distance(fit.lean, arm.lean), 0.0, 1e-12);
        asked.count = 0;
        assert_int_equal(perpend_cut_join(&asked, &alone, &told), PERPEND_OK);
        double scale = arm.quality.scale * arm.dof / (arm.dof - 2.0) /
                       (alone.quality.scale * alone.dof / (alone.dof - 2.0));
        struct perpend_slope_covariance both = inverse_of(fit.lean_covariance),
                                        one = inverse_of(arm.lean_covariance),
                                        two = inverse_of(alone.lean_covariance);
        assert_relative(both.right_right, one.right_right + two.right_right / scale, 1e-9);
        assert_near(both.right_back, one.right_back + two.right_back / scale,
            1e-9 * (fabs(both.right_right) + fabs(both.back_back)));
        assert_relative(both.back_back, one.back_back + two.back_back / scale, 1e-9);
        for (size_t k = 0; k < world.count; k++)
            assert_near(residual[k],
                world.readings[k].value - perpend_fit_predict(&fit, &world.setup,
                                              world.readings[k].bearing, world.readings[k].x,
                                              world.readings[k].y),
                1e-9);
    }
}

/* A shed: the ± of each axis holds the truth, by the cut alone and with a sweep of four. */
static void what_is_stated_holds(void **state)
{
    (void)state;
    struct test_random random = test_random_start("coverage", 20261105);
    static const struct {
        double step;
        bool swept, faced;
        size_t cuts;
    } cells[] = {{0.05, false, true, 2}, {0.01, false, true, 2}, {0.01, false, true, 6},
        {0.05, true, true, 2}, {0.01, true, true, 2}, {0.01, true, false, 2}};
    for (size_t cell = 0; cell < sizeof cells / sizeof *cells; cell++) {
        const double step = cells[cell].step;
        const bool leaves = step > 0.02;
        const int cases = test_cases(2000, 300);
        int held = 0, doubted = 0;
        for (int i = 0; i < cases; i++) {
            struct world world = even_sweep(4, 1, random_slope(&random, 0.01));
            struct perpend_setup *setup = &world.setup;
            setup->gauge = (struct perpend_gauge){
                leaves ? PERPEND_GAUGE_GAP : PERPEND_GAUGE_DIAL, false, 0.0, step, NAN};
            setup->arm = (struct perpend_arm){75.0, NAN, perpend_radians(2), perpend_radians(2)};
            setup->bed_faced = cells[cell].faced;
            setup->waves = NAN;
            world.bed = cells[cell].faced ? world.bed : random_slope(&random, 0.005);
            read_exactly(&world);
            const double spread = perpend_gauge_spread(&setup->gauge);
            const struct perpend_cutter cutter = {22.0, 0.0};
            const double waves = perpend_bed_waves(setup), lever = 0.7 * 22.0;
            for (size_t k = 0; k < 4; k++) {
                struct perpend_reading *read = &world.readings[k];
                read->value = step * round((read->value + spread * test_normal(&random) +
                                               waves * test_normal(&random)) /
                                           step);
            }
            struct perpend_cut_reading steps[6];
            for (size_t k = 0; k < cells[cell].cuts; k++) {
                double higher = sides[k % 2], half = lever / 2.0;
                double across = world.lean.right * sin(higher) + world.lean.back * cos(higher);
                double height = test_uniform(&random, 1.0, 2.0), read[2];
                for (int place = 0; place < 2; place++) {
                    double at = half + PERPEND_CUT_PLACE * test_normal(&random);
                    double sign = place == 0 ? -1.0 : 1.0;
                    double gap = height - sign * across * at + spread * test_normal(&random);
                    read[place] = step * round(gap / step);
                }
                steps[k] = (struct perpend_cut_reading){higher, read[0] - read[1]};
            }
            struct perpend_fit fit = {.includes_bed = false};
            struct perpend_cut_fit told;
            if (cells[cell].swept)
                fit = fit_of(&world);
            struct perpend_cut_question asked = {world.readings, cells[cell].swept ? 4 : 0,
                (double[4]){0}, steps, cells[cell].cuts, setup, &cutter, {NAN, NAN}};
            assert_int_equal(perpend_cut_join(&asked, &fit, &told), PERPEND_OK);
            held += fabs(fit.lean.right - world.lean.right) <=
                    2.0 * sqrt(fit.lean_covariance.right_right);
            doubted += told.off;
        }
        double share = (double)held / cases, slack = 3.0 * sqrt(0.94 * 0.06 / cases);
        printf("# step %.2f, %s, %s, %zu steps: held %.1f in 100, questioned %.1f\n", step,
            cells[cell].swept ? "with a sweep" : "alone", cells[cell].faced ? "faced" : "as found",
            cells[cell].cuts, 100.0 * share, 100.0 * doubted / cases);
        assert_true(share >= 0.94 - slack);
        assert_true(doubted <= 0.03 * cases + 3);
    }
}

/* One way: beside a sweep on a faced bed it counts, on one as found it waits for the other, alone it is
   refused with the side that is missing. Bad numbers are refused. */
static void one_way_and_bad_numbers(void **state)
{
    (void)state;
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.002, 0.005});
    const struct perpend_cutter cutter = {22.0, 0.0}, ball = {22.0, 11.0};
    struct perpend_cut_reading steps[1] = {{0.0, 0.077}};
    struct perpend_cut_question asked = {
        world.readings, 4, (double[4]){0}, steps, 1, &world.setup, &cutter, {NAN, NAN}};
    struct perpend_fit fit = fit_of(&world), before = fit;
    struct perpend_cut_fit told;
    assert_int_equal(perpend_cut_join(&asked, &fit, &told), PERPEND_OK);
    assert_true(told.joined && !told.both_ways);
    assert_true(fit.lean_covariance.back_back < 0.999 * before.lean_covariance.back_back);
    assert_near(fit.lean_covariance.right_right / before.lean_covariance.right_right, 1.0, 0.2);

    world.setup.bed_faced = false;
    fit = before = fit_of(&world);
    assert_int_equal(perpend_cut_join(&asked, &fit, &told), PERPEND_OK);
    assert_true(!told.joined && fit.includes_bed && fit.quality.readings == 4);

    asked.count = 0;
    assert_int_equal(perpend_cut_join(&asked, &fit, &told), PERPEND_ERR_UNDETERMINED);
    assert_int_equal(fit.need.kind, PERPEND_NEED_CUT);
    assert_near(fit.need.bearing, PERPEND_PI / 2.0, 1e-12);
    steps[0].higher = sides[3];
    assert_int_equal(perpend_cut_join(&asked, &fit, &told), PERPEND_ERR_UNDETERMINED);
    assert_near(fit.need.bearing, 0.0, 0.0);

    asked.cutter = &ball;
    assert_int_equal(perpend_cut_join(&asked, &fit, &told), PERPEND_ERR_VALUE);
    double height = 7.0;
    const struct perpend_slope nowhere = {NAN, 0.0};
    assert_int_equal(
        perpend_cut_step(nowhere, &cutter, asked.cut, 0.0, &height), PERPEND_ERR_VALUE);
    assert_int_equal(
        perpend_cut_step(world.lean, &ball, asked.cut, 0.0, &height), PERPEND_ERR_VALUE);
    assert_near(height, 7.0, 0.0);
    asked.cutter = &cutter;
    steps[0].step = 1e12; /* no lean leaves that */
    steps[0].higher = 0.0;
    asked.count = 4;
    world.setup.bed_faced = true;
    fit = fit_of(&world);
    assert_int_equal(perpend_cut_join(&asked, &fit, &told), PERPEND_ERR_CONVERGE);
    fit.lean_covariance = (struct perpend_slope_covariance){0.0, 0.0, 0.0};
    assert_int_equal(perpend_cut_join(&asked, &fit, &told), PERPEND_ERR_VALUE);
    asked.count = 0;
    steps[0].step = NAN;
    assert_int_equal(perpend_cut_join(&asked, &fit, &told), PERPEND_ERR_VALUE);
    steps[0] = (struct perpend_cut_reading){NAN, 0.1};
    assert_int_equal(perpend_cut_join(&asked, &fit, &told), PERPEND_ERR_VALUE);
    world.setup.gauge.step = 0.0;
    assert_int_equal(perpend_cut_join(&asked, &fit, &told), PERPEND_ERR_VALUE);
    /* not clear of what both passes cut; wider than the bit; past its flat */
    assert_true(isnan(perpend_cut_lever((struct perpend_cut){18.0, 3.0}, &cutter)));
    assert_true(isnan(perpend_cut_lever((struct perpend_cut){22.1, 5.0}, &cutter)));
    assert_true(isnan(perpend_cut_lever((struct perpend_cut){21.9, 0.2}, &cutter)));
}

/* A step read ten times too large does not agree with the arm. */
static void disagreement_is_seen(void **state)
{
    (void)state;
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.0, 0.005});
    const struct perpend_cutter cutter = {22.0, 0.0};
    struct perpend_cut_reading steps[2] = {{0.0, 0.77}, {PERPEND_PI / 2.0, 0.0}};
    struct perpend_cut_question asked = {
        world.readings, 4, (double[4]){0}, steps, 2, &world.setup, &cutter, {NAN, NAN}};
    struct perpend_fit fit = fit_of(&world);
    struct perpend_cut_fit told;
    assert_int_equal(perpend_cut_join(&asked, &fit, &told), PERPEND_OK);
    assert_true(told.off && told.by_arm && told.dof == 2);
    assert_near(told.alone.back, 0.05, 1e-6);
    assert_near(told.arm.back, 0.005, 1e-9);
}

/* A whole job: sweep and cut on a bed as found, the mount touched, then a sweep, then a cut alone. The
   first tells the bed for good, so that a verdict stands each time and what was done is learned. */
static void a_cut_makes_the_bed_known(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    bench.machine.cut = (struct perpend_cut){NAN, NAN};
    bench.machine.setup.bed_faced = false;
    const struct perpend_slope leans[3] = {{0.003, 0.006}, {0.001, 0.001}, {0.0002, 0.0}};
    const struct perpend_slope bed = {0.002, -0.003};
    struct perpend_reading readings[2][BOLTS];
    struct perpend_cut_reading cuts[2][2];
    struct perpend_did did = {.move = PERPEND_MOVE_SHIM, .amount.value = 0.4};
    struct perpend_cut_question asked = {
        .setup = &bench.machine.setup, .cutter = &bench.machine.cutter, .cut = {NAN, NAN}};
    for (size_t i = 0; i < 2 * BOLTS; i++) {
        struct perpend_reading *read = &readings[i / BOLTS][i % BOLTS];
        read->bearing = sides[i % BOLTS];
        read->x = read->y = 50.0;
        read->value = 1.0 + perpend_gap(leans[i / BOLTS], bed, 75, read->bearing, 50, 50);
    }
    for (size_t i = 0; i < 4; i++)
        cuts[i / 2][i % 2] = step_of(&asked, leans[i / 2 * 2], sides[i % 2]);
    struct perpend_sweep sweeps[3] = {{.name = "a",
                                          .readings = readings[0],
                                          .reading_count = BOLTS,
                                          .cuts = cuts[0],
                                          .cut_count = 2,
                                          .did_kind = PERPEND_DID_LIST,
                                          .did = &did,
                                          .did_count = 1},
        {.name = "b",
            .readings = readings[1],
            .reading_count = BOLTS,
            .did_kind = PERPEND_DID_LIST,
            .did = &did,
            .did_count = 1},
        {.name = "c", .cuts = cuts[1], .cut_count = 2}};
    struct perpend_job job = {.sweeps = sweeps, .sweep_count = 3};
    struct perpend_solution solution, again;
    assert_int_equal(perpend_job_solve(&bench.machine, &job, &solution, NULL), PERPEND_OK);
    assert_int_equal(solution.measurement_count, 3);
    for (size_t i = 0; i < 3; i++) {
        const struct perpend_measurement *m = &solution.measurements[i];
        assert_near(slope_distance(m->fit.lean, leans[i]), 0.0, 1e-9);
        assert_near(slope_distance(m->fit.bed, bed), 0.0, 1e-9);
        assert_int_not_equal(m->verdict, PERPEND_VERDICT_UNKNOWN);
        assert_true(m->fit.bed_separated && m->has_plan && m->adjusted == (i > 0));
        assert_int_equal(m->bed_from_before, i == 1);
        assert_near(m->residual[0], 0.0, 1e-9);
    }
    assert_int_equal(
        perpend_job_solve_again(&bench.machine, &job, &solution, &again, NULL), PERPEND_OK);
    assert_near(again.measurements[2].ridge.height, solution.measurements[2].ridge.height, 0.0);
    perpend_solution_finish(&again);
    perpend_solution_finish(&solution);

    /* with the cut first and alone nothing is known of the bed, and nothing is learned from a sweep */
    sweeps[0].reading_count = 0;
    assert_int_equal(perpend_job_solve(&bench.machine, &job, &solution, NULL), PERPEND_OK);
    assert_true(!solution.measurements[0].fit.bed_separated);
    assert_true(!solution.measurements[1].adjusted && !solution.measurements[2].adjusted);
    assert_int_equal(solution.measurements[1].verdict, PERPEND_VERDICT_UNKNOWN);
    perpend_solution_finish(&solution);
    sweeps[1] = sweeps[2];
    job.sweep_count = 2;
    assert_int_equal(perpend_job_solve(&bench.machine, &job, &solution, NULL), PERPEND_OK);
    assert_true(solution.measurements[1].adjusted);
    assert_near(solution.measurements[1].adjustment.obtained.back, -0.006, 1e-9);
    perpend_solution_finish(&solution);

    sweeps[0].cut_count = 1;
    struct perpend_job_fault fault;
    assert_int_equal(
        perpend_job_solve(&bench.machine, &job, &solution, &fault), PERPEND_ERR_UNDETERMINED);
    assert_int_equal(fault.fit.need.kind, PERPEND_NEED_CUT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(step_is_that_of_the_floor),
        cmocka_unit_test(sharp_bit_is_linear),
        cmocka_unit_test(exact_cut_recovers_the_lean),
        cmocka_unit_test(informations_add_up),
        cmocka_unit_test(what_is_stated_holds),
        cmocka_unit_test(one_way_and_bad_numbers),
        cmocka_unit_test(disagreement_is_seen),
        cmocka_unit_test(a_cut_makes_the_bed_known),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
