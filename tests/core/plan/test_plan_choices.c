/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which joints and moves the planner takes, and what it says when they do not suffice. */
#include "support/mount_cases.h"

#include <perpend/perpend.h>

#include "support/clamp_plate.h"

static struct perpend_bolt flange_bolts[] = {
    {.at = {-30, 0, 230}, .thread = 6},
    {.at = {30, 0, 230}, .thread = 6},
    {.at = {-30, 60, 230}, .thread = 6},
    {.at = {30, 60, 230}, .thread = 6},
};
static struct perpend_bolt side_bolts[] = {
    {.name = "upper", .at = {35, 60, 260}, .thread = 5},
    {.name = "lower", .at = {35, 60, 180}, .thread = 5},
};

static const struct perpend_step *step_of(
    const struct perpend_plan *plan, size_t joint, enum perpend_move move)
{
    for (size_t i = 0; i < plan->step_count; i++)
        if (plan->steps[i].joint == joint && plan->steps[i].move == move)
            return &plan->steps[i];
    return NULL;
}

/* Within one joint a slide spares two shims; the flange alone would take three. */
static void slides_are_chosen_before_shims(void **state)
{
    (void)state;
    struct perpend_joint joints[] = {
        {.face = PERPEND_FACE_UP,
            .allows = PERPEND_MOVE_SHIM,
            .bolts = flange_bolts,
            .bolt_count = 4},
        plate,
    };
    struct perpend_mount mount = {joints, 2};
    struct perpend_plan_input input = input_for(&mount, (struct perpend_slope){0.003, 0.006});
    struct perpend_plan plan;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_int_equal(plan.step_count, 2);
    assert_non_null(step_of(&plan, 1, PERPEND_MOVE_SHIM));
    assert_non_null(step_of(&plan, 1, PERPEND_MOVE_SLIDE));
    perpend_plan_finish(&plan);
    /* beyond the plate's play the flange does it all: one joint rather than two */
    input.lean.right = 0.009;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_int_equal(plan.step_count, 1);
    assert_non_null(step_of(&plan, 0, PERPEND_MOVE_SHIM));
    assert_near(perpend_slope_size(plan.lean_after), 0, 1e-12);
    perpend_plan_finish(&plan);
}

/* A corner of a flange that wants less than foil gets none, or foil, whichever is nearer. */
static void no_shim_is_thinner_than_foil(void **state)
{
    (void)state;
    struct perpend_joint flange = {.face = PERPEND_FACE_UP,
        .allows = PERPEND_MOVE_SHIM,
        .bolts = flange_bolts,
        .bolt_count = 4};
    struct perpend_mount mount = {&flange, 1};
    const double right[] = {0.005 / 60, 0.012 / 60}, thinnest[] = {0.2, PERPEND_THINNEST_SHIM};
    for (size_t k = 0; k < 2; k++) {
        struct perpend_plan_input input =
            input_for(&mount, (struct perpend_slope){right[k], 0.005});
        struct perpend_plan plan;
        double least = INFINITY;
        assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
        for (size_t i = 0; i < 4; i++)
            if (plan.steps[0].bolts[i].amount.value > 0.0)
                least = fmin(least, plan.steps[0].bolts[i].amount.value);
        if (k == 0)
            assert_true(least > thinnest[k]);
        else
            assert_near(least, thinnest[k], 1e-12);
        perpend_plan_finish(&plan);
    }
}

/* Shims of any thickness are 3 mm at most, and what is wanted more is said. */
static void no_shim_is_thicker_than_anybody_believes(void **state)
{
    (void)state;
    struct perpend_plan_input input = input_for(&plate_mount, (struct perpend_slope){0, 0.05});
    struct perpend_plan plan;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_near(plan.steps[0].bolts[0].amount.value, PERPEND_STACK_TALLEST, 1e-9);
    assert_near(plan.short_of[1].wanted, 80 * 0.05, 1e-9);
    assert_near(plan.short_of[1].allowed, PERPEND_STACK_TALLEST, 1e-9);
    perpend_plan_finish(&plan);
}

/* "The side bolts allow 0.25 mm at the top; 0.53 mm is needed." */
static void play_that_runs_out_is_stated_in_mm(void **state)
{
    (void)state;
    struct perpend_joint side = {.face = PERPEND_FACE_RIGHT,
        .allows = PERPEND_MOVE_SLIDE,
        .bolts = side_bolts,
        .bolt_count = 2};
    struct perpend_mount mount = {&side, 1};
    struct perpend_plan_input input = input_for(&mount, (struct perpend_slope){0.001, 0.53 / 40});
    struct perpend_plan plan;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_true(plan.short_of[1].present);
    assert_int_equal(plan.short_of[1].joint, 0);
    assert_int_equal(plan.short_of[1].move, PERPEND_MOVE_SLIDE);
    assert_near(plan.short_of[1].wanted, 0.53, 1e-9);
    assert_near(plan.short_of[1].allowed, 0.25, 1e-9);
    assert_near(plan.lean_after.back, 0.28 / 40, 1e-9);
    /* nothing here serves a lean to the right */
    assert_true(plan.short_of[0].present);
    assert_true(plan.short_of[0].joint == (size_t)-1);
    assert_near(plan.lean_after.right, 0.001, 1e-12);
    perpend_plan_finish(&plan);
    /* of a joint that turns about a stated centre, along its rim */
    side.allows = PERPEND_MOVE_TURN;
    side.centred = true;
    side.centre = (struct perpend_point){35, 60, 220};
    side.range = 0.25 / 40;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_int_equal(plan.short_of[1].move, PERPEND_MOVE_TURN);
    assert_near(plan.short_of[1].wanted, 0.53, 1e-9);
    assert_near(plan.short_of[1].allowed, 0.25, 1e-9);
    perpend_plan_finish(&plan);
}

static void what_runs_out_is_split_over_joints(void **state)
{
    (void)state;
    /* two sliding side joints, each good for 0.25/40 */
    struct perpend_joint joints[] = {
        {.face = PERPEND_FACE_RIGHT,
            .allows = PERPEND_MOVE_SLIDE,
            .bolts = side_bolts,
            .bolt_count = 2},
        {.face = PERPEND_FACE_LEFT,
            .allows = PERPEND_MOVE_SLIDE,
            .bolts = side_bolts,
            .bolt_count = 2},
    };
    struct perpend_mount mount = {joints, 2};
    struct perpend_plan_input input = input_for(&mount, (struct perpend_slope){0, 0.005});
    struct perpend_plan plan;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_int_equal(plan.step_count, 1); /* one is enough */
    perpend_plan_finish(&plan);
    input.lean.back = 0.009;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_int_equal(plan.step_count, 2);
    assert_near(plan.lean_after.back, 0, 1e-12);
    assert_near(plan.steps[0].change.back, -0.0045, 1e-12);
    perpend_plan_finish(&plan);
    /* play taken before counts */
    double turned[2] = {0.25 / 40, 0};
    input.turned = turned;
    input.lean.back = 0.004;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_near(plan.lean_after.back, 0, 1e-12);
    perpend_plan_finish(&plan);
}

/* Bolts in a line do not serve the other axis. */
static void bolts_in_a_line_serve_one_axis(void **state)
{
    (void)state;
    struct perpend_bolt row[] = {
        {.at = {-30, 0, 230}, .thread = 6}, {.at = {30, 0, 230}, .thread = 6}};
    struct perpend_joint joint = {
        .face = PERPEND_FACE_UP, .allows = PERPEND_MOVE_SHIM, .bolts = row, .bolt_count = 2};
    struct perpend_mount mount = {&joint, 1};
    struct perpend_plan_input input = input_for(&mount, (struct perpend_slope){0.004, 0.005});
    struct perpend_plan plan;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_int_equal(plan.step_count, 1);
    assert_near(plan.steps[0].bolts[1].amount.value, 0.24, 1e-12);
    assert_near(plan.lean_after.right, 0, 1e-15);
    assert_near(plan.lean_after.back, 0.005, 1e-15);
    assert_true(plan.short_of[1].present && plan.short_of[1].joint == (size_t)-1);
    perpend_plan_finish(&plan);
    /* a row of bolts behind an upright plate cannot tip it at all */
    row[0].at = (struct perpend_point){-30, 40, 200};
    row[1].at = (struct perpend_point){30, 40, 200};
    joint.face = PERPEND_FACE_FRONT;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_int_equal(plan.step_count, 0);
    perpend_plan_finish(&plan);
}

static void screws_are_counted_in_turns(void **state)
{
    (void)state;
    struct perpend_joint joint = plate;
    joint.allows = PERPEND_MOVE_SCREW;
    struct perpend_mount mount = {&joint, 1};
    struct perpend_plan_input input = input_for(&mount, (struct perpend_slope){0, -0.005});
    struct perpend_plan plan;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    /* 0.4 mm at the bottom pair on a pitch of 0.8 */
    assert_near(plan.steps[0].bolts[2].amount.value, 0.5, 1e-12);
    assert_near(plan.steps[0].bolts[0].amount.value, 0.0, 1e-12);
    assert_true(isnan(plan.steps[0].nearest_common));
    perpend_plan_finish(&plan);
}

static void nothing_to_do_is_an_empty_plan(void **state)
{
    (void)state;
    struct perpend_plan_input input = input_for(&plate_mount, (struct perpend_slope){0, 0});
    struct perpend_plan plan;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_int_equal(plan.step_count, 0);
    assert_true(plan.ridge == 0.0);
    perpend_plan_finish(&plan);
    struct perpend_mount none = {NULL, 0};
    input = input_for(&none, (struct perpend_slope){0.001, 0});
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_int_equal(plan.step_count, 0);
    assert_true(plan.short_of[0].present);
    perpend_plan_finish(&plan);
    perpend_plan_finish(NULL);
}

static void bad_input_is_refused(void **state)
{
    (void)state;
    struct perpend_plan_input input = input_for(&plate_mount, (struct perpend_slope){NAN, 0});
    struct perpend_plan plan;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_ERR_VALUE);
    struct perpend_joint joint = plate;
    joint.bolt_count = 1;
    struct perpend_mount mount = {&joint, 1};
    input = input_for(&mount, (struct perpend_slope){0.001, 0});
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_ERR_VALUE);
    mount.joint_count = PERPEND_JOINTS_MOST + 1;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_ERR_VALUE);
    struct perpend_facing wide = along_x;
    wide.stepover = 30;
    input = input_for(&plate_mount, (struct perpend_slope){0.001, 0});
    input.facing = &wide;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_ERR_STEPOVER);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(slides_are_chosen_before_shims),
        cmocka_unit_test(no_shim_is_thinner_than_foil),
        cmocka_unit_test(no_shim_is_thicker_than_anybody_believes),
        cmocka_unit_test(play_that_runs_out_is_stated_in_mm),
        cmocka_unit_test(what_runs_out_is_split_over_joints),
        cmocka_unit_test(bolts_in_a_line_serve_one_axis),
        cmocka_unit_test(screws_are_counted_in_turns),
        cmocka_unit_test(nothing_to_do_is_an_empty_plan),
        cmocka_unit_test(bad_input_is_refused),
    };
    return cmocka_run_group_tests_name("plan choices", tests, NULL, NULL);
}
