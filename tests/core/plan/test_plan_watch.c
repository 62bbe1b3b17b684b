/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to watch: an arm parked on a spindle in space, carried along by each step's turn. */
#include "support/mount_cases.h"

#include <perpend/perpend.h>

#define CASES 3000

/* A spindle in space: a point of its axis at the height of the arm, and the axis. */
struct spindle {
    struct perpend_point at, axis;
};

/* The arm's contact tip: from the axis at right angles, over the bearing given. */
static struct perpend_point arm_tip(const struct spindle *spindle, double radius, double bearing)
{
    double right = sin(bearing), back = cos(bearing);
    double slope = (spindle->axis.right * right + spindle->axis.back * back) / spindle->axis.up;
    double shrink = 1.0 / sqrt(1.0 + slope * slope);
    struct perpend_point along = {right * shrink, back * shrink, -slope * shrink};
    return space_sum(spindle->at, radius, along);
}

static double gap_under(struct perpend_point tip, double height, struct perpend_slope bed)
{
    return tip.up + height - bed.right * tip.right - bed.back * tip.back;
}

static struct perpend_setup random_setup(struct test_random *random)
{
    struct perpend_setup setup = {
        .arm = {.length = test_uniform(random, 40, 150)},
        .gauge = {.kind = (enum perpend_gauge_kind)test_pick(random, 4), .step = 0.01},
        .bed_faced = test_pick(random, 2) == 0,
    };
    if (setup.gauge.kind == PERPEND_GAUGE_LEVER)
        setup.gauge.angle = test_uniform(random, 0, 1);
    if (setup.gauge.kind >= PERPEND_GAUGE_DIAL)
        setup.gauge.rises_away = test_pick(random, 2) == 0;
    return setup;
}

/* What eight readings all round would be. */
static void read_round(const struct perpend_fit *fit, const struct perpend_setup *setup,
    struct perpend_reading readings[8])
{
    for (int i = 0; i < 8; i++) {
        double bearing = i * PERPEND_PI / 4;
        readings[i] =
            (struct perpend_reading){bearing, perpend_fit_predict(fit, setup, bearing, 0, 0), 0, 0};
    }
}

static void the_parked_arm_reads_what_is_said(void **state)
{
    (void)state;
    struct test_random random = test_random_start("the parked arm reads what is said", 51);
    const struct perpend_cutter bit = {.diameter = 22};
    const struct perpend_facing facing = {.stepover = 10, .both_ways = true, .depth = NAN};
    double worst = 0;
    size_t raised = 0;
    for (size_t n = 0; n < CASES; n++) {
        struct mount_case it;
        case_mount(&it, &random, test_uniform(&random, 0.1, 5.0), true);
        struct perpend_setup setup = random_setup(&random);
        struct perpend_fit fit = {
            .lean = {test_uniform(&random, -0.015, 0.015), test_uniform(&random, -0.015, 0.015)},
            .centre = test_uniform(&random, -5, 5),
        };
        if (!setup.bed_faced) {
            fit.bed_separated = true;
            fit.bed = (struct perpend_slope){
                test_uniform(&random, -0.01, 0.01), test_uniform(&random, -0.01, 0.01)};
        }
        struct perpend_plan_input input = {
            .lean = fit.lean, .mount = &it.mount, .cutter = &bit, .facing = &facing};
        struct perpend_plan plan;
        assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
        struct perpend_reading readings[8];
        const struct perpend_response as_it_is = perpend_response_start();
        const struct perpend_outlook outlook = {&it.mount, &as_it_is, &setup, &fit, readings, 8};
        read_round(&fit, &setup, readings);
        assert_int_equal(perpend_plan_watch(&plan, &outlook), PERPEND_OK);
        raised += plan.raise > 0.0;
        double per_reading = perpend_gauge_gap_per_reading(&setup.gauge);
        struct spindle spindle = {{0, 0, 0}, {fit.lean.right, fit.lean.back, 1}};
        for (size_t k = 0; k < plan.step_count; k++) {
            const struct perpend_step *step = &plan.steps[k];
            struct perpend_point tip = arm_tip(&spindle, setup.arm.length, step->watch.bearing);
            /* the step's turn as planned: exact about its pivot */
            struct perpend_point about, axis = {-step->change.back, step->change.right, 0};
            double radius, angle = space_size(axis);
            perpend_joint_circle(&it.joints[step->joint], &about, &radius);
            if (step->move == PERPEND_MOVE_TURN)
                about = it.joints[step->joint].centre;
            else if (step->pivot != PERPEND_NO_BOLT)
                about = it.joints[step->joint].bolts[step->pivot].at;
            struct turn turn = turn_about(space_unit(axis), sin(angle), cos(angle), about);
            tip = turn_point(&turn, tip);
            spindle.at = turn_point(&turn, spindle.at);
            spindle.axis = turn_direction(&turn, spindle.axis);
            double reach = gap_under(tip, fit.centre, fit.bed);
            double off = fabs(step->watch.reading - (reach + plan.raise) / per_reading);
            if (setup.gauge.kind == PERPEND_GAUGE_GAP)
                off = fmax(off, setup.gauge.step - step->watch.reading);
            worst = fmax(worst, off);
            if (off > 1e-9) {
                printf("# case %zu step %zu: off by %.3g mm\n", n, k, off);
                case_print(&it, fit.lean);
                fail();
            }
            if (k > 0 || plan.raise > 0.0)
                assert_true(isnan(step->watch.now)); /* nobody read that */
            else
                assert_near(step->watch.now,
                    perpend_fit_predict(&fit, &setup, step->watch.bearing, 0, 0), 1e-9);
            /* the turn that the hands make differs by the third order of its angle */
            struct turn by_hand = step_turn(&it.mount, step, 1.0);
            assert_near(
                space_size(space_sum(turn_direction(&by_hand, (struct perpend_point){0, 0, 1}), -1,
                    turn_direction(&turn, (struct perpend_point){0, 0, 1}))),
                0, 2 * angle * angle * angle + 1e-12 + case_rounded(&plan, &it.mount));
        }
        /* the next sweep reads there what was to be reached, but for the arm's bearing, which the
           turn itself moves a little */
        if (plan.step_count > 0) {
            const struct perpend_step *last = &plan.steps[plan.step_count - 1];
            struct perpend_point next = arm_tip(&spindle, setup.arm.length, last->watch.bearing);
            double reading = (gap_under(next, fit.centre, fit.bed) + plan.raise) / per_reading;
            assert_near(reading, last->watch.reading,
                2 * setup.arm.length * 0.03 * 0.03 / fabs(per_reading));
        }
        perpend_plan_finish(&plan);
    }
    printf("# worst %.3g mm; Z raised in %zu of %d\n", worst, raised, CASES);
    assert_true(raised > 50);
}

/* The next sweep's centre goes up and down with the tip, whatever the mount makes of the plan; the
   lean is what the plan leaves. */
static void the_next_sweep_goes_with_the_tip(void **state)
{
    (void)state;
    struct test_random random = test_random_start("the next sweep goes with the tip", 55);
    const struct perpend_cutter bit = {.diameter = 22};
    const struct perpend_facing facing = {.stepover = 10, .both_ways = true, .depth = NAN};
    double most = 0;
    for (size_t n = 0; n < CASES; n++) {
        struct mount_case it;
        struct perpend_fit next,
            fit = {
                .lean = {test_uniform(&random, -0.015, 0.015),
                    test_uniform(&random, -0.015, 0.015)},
                .bed = {test_uniform(&random, -0.01, 0.01), test_uniform(&random, -0.01, 0.01)},
                .bed_separated = test_pick(&random, 2) == 0,
                .centre = test_uniform(&random, -5, 5),
            };
        struct perpend_response response = perpend_response_start();
        for (int i = 0; i < 2; i++)
            for (int k = 0; k < 2; k++)
                response.gain[i][k] =
                    i == k ? test_uniform(&random, 0.4, 1.1) : test_uniform(&random, -0.2, 0.2);
        case_mount(&it, &random, test_uniform(&random, 0.1, 5.0), true);
        struct perpend_plan_input input = {.lean = fit.lean,
            .mount = &it.mount,
            .response = &response,
            .cutter = &bit,
            .facing = &facing};
        struct perpend_plan plan;
        assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
        const struct perpend_outlook outlook = {&it.mount, &response, NULL, &fit, NULL, 0};
        perpend_plan_foresee(&plan, &outlook, &next);
        assert_true(
            next.lean.right == plan.lean_after.right && next.lean.back == plan.lean_after.back);
        double rise = plan.tip.up;
        if (fit.bed_separated)
            rise -= fit.bed.right * plan.tip.right + fit.bed.back * plan.tip.back;
        most = fmax(most, fabs(rise));
        /* the tip's move is to the first order of turns of a few hundredths, 300 mm off at most */
        double turned = perpend_slope_size(plan.asked);
        if (fabs(next.centre - fit.centre - rise) > 300 * 4 * turned * turned) {
            printf("# case %zu: %.6g mm up and not %.6g\n", n, next.centre - fit.centre, rise);
            case_print(&it, fit.lean);
            fail();
        }
        perpend_plan_finish(&plan);
    }
    assert_true(most > 0.5);
}

/* The bearing watched is the one of the eight where the reading changes most. */
static void the_bearing_is_the_one_that_changes_most(void **state)
{
    (void)state;
    struct perpend_bolt bolts[] = {
        {.at = {-30, 40, 210}, .thread = 5},
        {.at = {30, 40, 210}, .thread = 5},
        {.at = {-30, 40, 130}, .thread = 5},
        {.at = {30, 40, 130}, .thread = 5},
    };
    struct perpend_joint joint = {
        .face = PERPEND_FACE_FRONT, .allows = PERPEND_MOVE_SHIM, .bolts = bolts, .bolt_count = 4};
    struct perpend_mount mount = {&joint, 1};
    struct perpend_cutter bit = {.diameter = 22};
    struct perpend_facing facing = {.stepover = 10, .along = PERPEND_ALONG_X, .depth = NAN};
    struct perpend_setup setup = {.arm = {.length = 75},
        .gauge = {.kind = PERPEND_GAUGE_GAP, .step = 0.05},
        .bed_faced = true};
    struct perpend_fit fit = {.lean = {0, 1.0 / 150}, .centre = 0.5};
    struct perpend_plan_input input = {
        .lean = fit.lean, .mount = &mount, .cutter = &bit, .facing = &facing};
    struct perpend_plan plan;
    struct perpend_reading readings[8];
    const struct perpend_response as_it_is = perpend_response_start();
    struct perpend_outlook outlook = {&mount, &as_it_is, &setup, &fit, readings, 8};
    read_round(&fit, &setup, readings);
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_true(isnan(plan.steps[0].watch.now));
    assert_int_equal(perpend_plan_watch(&plan, &outlook), PERPEND_OK);
    assert_true(plan.raise == 0.0);
    /* at the front the gap closes by half a mm and by what the tip sinks, 40/150 mm */
    assert_near(plan.steps[0].watch.bearing, PERPEND_PI, 1e-12);
    assert_near(plan.steps[0].watch.now, 1.0, 1e-4);
    assert_near(plan.steps[0].watch.reading, 1.0 - 0.5 - 40.0 / 150.0, 4e-3);
    assert_near(plan.steps[0].watch.grows, -0.5 - 40.0 / 150.0, 4e-3);
    /* elsewhere the bed is nearer or farther by its rise, and so is what is to be reached */
    struct perpend_watch here = plan.steps[0].watch;
    fit.travel = (struct perpend_slope){0.002, -0.001};
    readings[7] = (struct perpend_reading){0, 0.1, 100, 300};
    assert_int_equal(perpend_plan_watch(&plan, &outlook), PERPEND_OK);
    assert_true(isnan(plan.steps[0].watch.now)); /* nothing was read at the front there */
    assert_near(plan.steps[0].watch.reading, here.reading + 0.1, 1e-12);
    /* with 0.2 mm less below it the tip would touch: Z goes up by half a mm, and all counts from there */
    readings[7] = readings[6];
    fit.travel = (struct perpend_slope){0, 0};
    fit.centre -= 0.2;
    assert_int_equal(perpend_plan_watch(&plan, &outlook), PERPEND_OK);
    assert_near(plan.raise, 0.5, 0);
    assert_near(plan.steps[0].watch.reading, here.reading + 0.3, 1e-12);
    struct perpend_fit next;
    perpend_plan_foresee(&plan, &outlook, &next);
    assert_near(next.centre, fit.centre - 40.0 / 150.0 + 0.5, 4e-3);
    setup.arm.length = 0;
    assert_int_equal(perpend_plan_watch(&plan, &outlook), PERPEND_ERR_VALUE);
    perpend_plan_finish(&plan);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_parked_arm_reads_what_is_said),
        cmocka_unit_test(the_next_sweep_goes_with_the_tip),
        cmocka_unit_test(the_bearing_is_the_one_that_changes_most),
    };
    return cmocka_run_group_tests_name("plan_watch", tests, NULL, NULL);
}
