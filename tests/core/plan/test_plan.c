/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The plan without a stock: done to a spindle in space, it must leave what it says. */
#include "support/mount_cases.h"

#include <perpend/perpend.h>

#include "support/clamp_plate.h"

#define CASES 4000
#define MOST_LEAN 0.015

/* A lean that foil, 0.016 mm, would be too thick for at bolts 30 mm apart is left alone. */
#define LITTLE (0.016 / 30)

static struct perpend_slope random_lean(struct test_random *random)
{
    return (struct perpend_slope){
        test_uniform(random, -MOST_LEAN, MOST_LEAN), test_uniform(random, -MOST_LEAN, MOST_LEAN)};
}

static void fail_if(
    bool bad, const char *what, size_t n, const struct mount_case *it, struct perpend_slope lean)
{
    if (!bad)
        return;
    printf("# case %zu: %s\n", n, what);
    case_print(it, lean);
    fail();
}

/* --- the worked example ----------------------------------------------------------------------- */

static void the_worked_example(void **state)
{
    (void)state;
    struct perpend_slope lean = {0, 1.0 / 150.0};
    struct perpend_plan_input input = input_for(&plate_mount, lean);
    struct perpend_plan plan;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_int_equal(plan.step_count, 1);
    const struct perpend_step *step = &plan.steps[0];
    assert_int_equal(step->move, PERPEND_MOVE_SHIM);
    assert_near(step->bolts[0].amount.value, 80.0 / 150.0, 1e-12);
    assert_near(step->bolts[1].amount.value, 80.0 / 150.0, 1e-12);
    assert_true(step->bolts[2].amount.value == 0.0 && step->bolts[3].amount.value == 0.0);
    assert_true(step->pivot == 2 || step->pivot == 3);
    assert_near(step->nearest_common, 0.55, 1e-12);
    assert_near(plan.lean_after.right, 0, 1e-15);
    assert_near(plan.lean_after.back, 0, 1e-15);
    assert_near(plan.asked.back, -1.0 / 150.0, 1e-15);
    /* the tip swings to the back and down about the bottom pair, 130 up and 40 back of it */
    assert_near(plan.tip.back, 130.0 / 150.0, 1e-12);
    assert_near(plan.tip.up, -40.0 / 150.0, 1e-12);
    assert_false(plan.short_of[0].present || plan.short_of[1].present);
    perpend_plan_finish(&plan);
}

/* Whichever way the bit is fed, what cannot be taken from one axis is not hidden by a lean of the
   other: the plan of a plate, whose slide runs out of play, is the same for every feed, and leaves of
   0.02 mm behind bolts 80 mm apart come within a leaf of it. */
static void no_lean_is_put_on_to_hide_another(void **state)
{
    (void)state;
    struct test_random random = test_random_start("feeds", 20261103);
    struct perpend_leaf foil = {.thick = 0.02, .count = 300};
    const struct perpend_stock stock = {&foil, 1};
    for (size_t i = 0; i < 500; i++) {
        struct perpend_slope lean = random_lean(&random);
        struct perpend_plan_input input = input_for(&plate_mount, lean);
        struct perpend_facing facing = *input.facing;
        struct perpend_plan plan;
        facing.both_ways = i % 5 == 0;
        facing.along = test_uniform(&random, 0.0, PERPEND_PI);
        input.facing = &facing;
        input.stock = i % 2 ? &stock : NULL;
        assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
        /* less than foil or leaves would do is left alone */
        double within = i % 2 ? 0.02 / 80 : 1e-12;
        assert_true(
            fabs(plan.lean_after.back) <= (fabs(lean.back) < 0.016 / 80 ? 0.016 / 80 : within));
        assert_true(plan.lean_after.right * lean.right >= -1e-12);
        assert_true(fabs(plan.lean_after.right) <=
                    fmax(i % 2 ? 1e-4 : 1e-9, fabs(lean.right) - 0.005 + 1e-9));
        perpend_plan_finish(&plan);
    }
}

/* The same of any mount and stock: a feed and its mirror image leave the same lean, since what one
   axis has left says nothing of the other. */
static void stock_plans_weigh_each_axis_by_itself(void **state)
{
    (void)state;
    struct test_random random = test_random_start("mirrored feeds", 20261128);
    for (size_t n = 0, cases = (size_t)test_cases(1000, 200); n < cases; n++) {
        struct mount_case it;
        case_mount(&it, &random, test_uniform(&random, 0.1, 0.6), false);
        struct perpend_leaf leaves[3];
        for (size_t i = 0; i < 3; i++)
            leaves[i] = (struct perpend_leaf){.thick = 0.01 * (double)(1 + test_pick(&random, 40)),
                .count = 1 + (unsigned)test_pick(&random, 20)};
        const struct perpend_stock stock = {leaves, 3};
        struct perpend_slope lean = random_lean(&random);
        struct perpend_plan_input input = input_for(&it.mount, lean);
        struct perpend_facing facing = *input.facing;
        struct perpend_plan plan, mirrored;
        facing.along = test_uniform(&random, 0.0, PERPEND_PI);
        input.facing = &facing;
        input.upright = n % 4 == 0; /* then no feed matters at all */
        input.stock = &stock;
        assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
        facing.along = input.upright ? 0.0 : -facing.along;
        assert_int_equal(perpend_plan_make(&input, &mirrored), PERPEND_OK);
        fail_if(hypot(plan.lean_after.right - mirrored.lean_after.right,
                    plan.lean_after.back - mirrored.lean_after.back) > 1e-9,
            "a mirrored feed leaves another lean", n, &it, lean);
        perpend_plan_finish(&plan);
        perpend_plan_finish(&mirrored);
    }
}

/* A side lean is a slide of the same plate: the top goes left when the spindle leans right. */
static void side_lean_is_a_slide(void **state)
{
    (void)state;
    struct perpend_slope lean = {0.002, 0};
    struct perpend_plan_input input = input_for(&plate_mount, lean);
    struct perpend_plan plan;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_int_equal(plan.step_count, 1);
    assert_int_equal(plan.steps[0].move, PERPEND_MOVE_SLIDE);
    assert_near(
        plan.steps[0].bolts[0].amount.shift.right - plan.steps[0].bolts[2].amount.shift.right,
        -0.16, 1e-12);
    /* 100 mm from a corner to the opposite one: 0.2 mm of the 0.25 mm play, so one bolt stays */
    assert_int_not_equal(plan.steps[0].pivot, PERPEND_NO_BOLT);
    perpend_plan_finish(&plan);
    input.lean.right = 0.004;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_int_equal(plan.steps[0].pivot, PERPEND_NO_BOLT);
    assert_near(plan.lean_after.right, 0, 1e-15);
    perpend_plan_finish(&plan);
}

/* --- laws over random mounts ------------------------------------------------------------------ */

/* Whether what a plan leaves is what was there, along an axis, or a tenth of what the thinnest leaf does:
   too little for a step of its own. */
static bool left_alone(const struct perpend_plan *plan, struct perpend_slope lean)
{
    return fabs(plan->lean_after.right - lean.right) < 1e-9 ||
           fabs(plan->lean_after.back - lean.back) < 1e-9 ||
           perpend_slope_size(plan->lean_after) < LITTLE / 10;
}

static void applied_plans_bring_the_lean_to_zero(void **state)
{
    (void)state;
    struct test_random random = test_random_start("applied plans bring the lean to zero", 41);
    double worst = 0, worst_exact = 0;
    size_t thin = 0;
    for (size_t n = 0; n < CASES; n++) {
        struct mount_case it;
        case_mount(&it, &random, 20.0, true);
        struct perpend_slope lean = random_lean(&random);
        struct perpend_plan_input input = input_for(&it.mount, lean);
        struct perpend_plan plan;
        fail_if(perpend_plan_make(&input, &plan) != PERPEND_OK, "no plan", n, &it, lean);
        double size = perpend_slope_size(lean);
        struct perpend_slope first = after_steps_first_order(&plan, &it.mount, lean);
        double off = perpend_slope_size(first), rounded = case_rounded(&plan, &it.mount);
        worst = fmax(worst, off);
        thin += off >= 1e-6;
        fail_if(!(off < 1e-6 + rounded) && !(off < LITTLE && left_alone(&plan, lean)),
            "not zero to first order", n, &it, lean);
        struct perpend_slope exact = after_steps(&plan, &it.mount, lean);
        double apart =
            hypot(exact.right - plan.lean_after.right, exact.back - plan.lean_after.back);
        worst_exact = fmax(worst_exact, apart / size);
        fail_if(!(apart <= 0.01 * size + rounded), "the exact turn leaves something else", n, &it,
            lean);
        fail_if(plan.short_of[0].present || plan.short_of[1].present, "says it falls short", n, &it,
            lean);
        perpend_plan_finish(&plan);
    }
    printf("# worst lean left %.3g to first order, %zu too little to do; exact turn within %.3g of "
           "the "
           "lean\n",
        worst, thin, worst_exact);
    assert_true(thin < CASES / 10);
}

/* What is along the feed, X, counts by half. */
static double weighed(struct perpend_slope lean)
{
    return hypot(0.5 * lean.right, lean.back);
}

/* With tight holes it cannot all be done; what is left must still be what the plan says. */
static void short_plans_leave_what_they_say(void **state)
{
    (void)state;
    struct test_random random = test_random_start("short plans leave what they say", 42);
    size_t short_ones = 0;
    for (size_t n = 0; n < CASES; n++) {
        struct mount_case it;
        case_mount(&it, &random, test_uniform(&random, 0.0, 0.5), true);
        struct perpend_slope lean = random_lean(&random);
        struct perpend_plan_input input = input_for(&it.mount, lean);
        struct perpend_plan plan;
        fail_if(perpend_plan_make(&input, &plan) != PERPEND_OK, "no plan", n, &it, lean);
        struct perpend_slope first = after_steps_first_order(&plan, &it.mount, lean);
        double rounded = case_rounded(&plan, &it.mount);
        fail_if(hypot(first.right - plan.lean_after.right, first.back - plan.lean_after.back) >
                    1e-6 + rounded,
            "leaves something else", n, &it, lean);
        struct perpend_slope exact = after_steps(&plan, &it.mount, lean);
        fail_if(hypot(exact.right - plan.lean_after.right, exact.back - plan.lean_after.back) >
                    0.01 * perpend_slope_size(lean) + rounded,
            "the exact turn leaves something else", n, &it, lean);
        fail_if(weighed(plan.lean_after) > weighed(lean) + 1e-12, "makes it worse", n, &it, lean);
        /* what overshoots for the sake of the other axis is not short */
        const double leaves[] = {plan.lean_after.right, plan.lean_after.back};
        const double was[] = {lean.right, lean.back};
        for (size_t k = 0; k < 2; k++) {
            bool is_short = leaves[k] * was[k] > 1e-8 * fabs(was[k]);
            fail_if(is_short != plan.short_of[k].present && !(is_short && fabs(leaves[k]) < LITTLE),
                "is silent about falling short", n, &it, lean);
        }
        short_ones += plan.short_of[0].present || plan.short_of[1].present;
        for (size_t k = 0; k < 2; k++) {
            const struct perpend_shortfall *is = &plan.short_of[k];
            fail_if(is->present && is->joint != (size_t)-1 && !(is->allowed < is->wanted),
                "allows what it says is short", n, &it, lean);
        }
        perpend_plan_finish(&plan);
    }
    printf("# %zu of %d fell short\n", short_ones, CASES);
    assert_true(short_ones > CASES / 10);
}

/* No bolt is moved out of its hole, whatever turn was taken before. */
static void slides_stay_in_their_play(void **state)
{
    (void)state;
    struct test_random random = test_random_start("slides stay in their play", 43);
    size_t slides = 0;
    for (size_t n = 0; n < CASES; n++) {
        struct mount_case it;
        double play = test_uniform(&random, 0.05, 1.0), turned[CASE_JOINTS];
        case_mount(&it, &random, play, false);
        for (size_t j = 0; j < it.mount.joint_count; j++)
            turned[j] = test_uniform(&random, -1, 1) * perpend_joint_turn_slack(&it.joints[j]);
        struct perpend_slope lean = random_lean(&random);
        struct perpend_plan_input input = input_for(&it.mount, lean);
        input.turned = turned;
        struct perpend_plan plan;
        fail_if(perpend_plan_make(&input, &plan) != PERPEND_OK, "no plan", n, &it, lean);
        for (size_t k = 0; k < plan.step_count; k++) {
            const struct perpend_step *step = &plan.steps[k];
            const struct perpend_joint *joint = &it.joints[step->joint];
            if (step->move != PERPEND_MOVE_SLIDE)
                continue;
            slides++;
            struct perpend_point middle;
            double radius;
            perpend_joint_circle(joint, &middle, &radius);
            /* in all, about the middle of the bolts */
            struct turn turn = step_turn(&it.mount, step, 1e-4);
            struct perpend_point n_ = case_normal(joint->face);
            double step_angle =
                (n_.right != 0 ? turn.m[2][1] * n_.right : turn.m[0][2] * n_.back) / 1e-4;
            fail_if(fabs(turned[step->joint] + step_angle) * radius > play + 1e-6,
                "turns farther than the holes let it", n, &it, lean);
            for (size_t i = 0; i < step->bolt_count; i++) {
                fail_if(fabs(space_dot(step->bolts[i].amount.shift, n_)) > 1e-12,
                    "slides out of the plane", n, &it, lean);
                fail_if(step->pivot != PERPEND_NO_BOLT &&
                            space_size(step->bolts[i].amount.shift) > play + 1e-9,
                    "slides a bolt out of its hole", n, &it, lean);
                /* a pivot is one for all that the joint has turned so far */
                fail_if(step->pivot != PERPEND_NO_BOLT &&
                            fabs(turned[step->joint] + step_angle) *
                                    space_size(space_sum(
                                        joint->bolts[i].at, -1, joint->bolts[step->pivot].at)) >
                                play + 1e-6,
                    "takes a pivot that the holes do not allow", n, &it, lean);
            }
        }
        perpend_plan_finish(&plan);
    }
    printf("# %zu slides\n", slides);
    assert_true(slides > 500);
}

/* What the moves do, found again from the moves alone. */
static void moves_give_back_their_change(void **state)
{
    (void)state;
    struct test_random random = test_random_start("moves give back their change", 44);
    for (size_t n = 0; n < CASES; n++) {
        struct mount_case it;
        case_mount(&it, &random, test_uniform(&random, 0.1, 20.0), true);
        struct perpend_slope lean = random_lean(&random), sum = {0, 0};
        struct perpend_plan_input input = input_for(&it.mount, lean);
        struct perpend_plan plan;
        fail_if(perpend_plan_make(&input, &plan) != PERPEND_OK, "no plan", n, &it, lean);
        for (size_t k = 0; k < plan.step_count; k++) {
            const struct perpend_step *step = &plan.steps[k];
            struct perpend_slope change;
            struct perpend_amount amounts[CASE_BOLTS];
            step_amounts(step, amounts);
            assert_int_equal(
                perpend_moves_change(&it.joints[step->joint], step->move, amounts, &change),
                PERPEND_OK);
            fail_if(
                hypot(change.right - step->change.right, change.back - step->change.back) > 1e-12,
                "a step's moves make another change", n, &it, lean);
            sum.right += change.right;
            sum.back += change.back;
        }
        fail_if(hypot(sum.right - plan.asked.right, sum.back - plan.asked.back) > 1e-12,
            "the sum is not what is asked", n, &it, lean);
        perpend_plan_finish(&plan);
    }
}

/* Turn the world a quarter clockwise seen from above: back becomes right, right becomes front. */
static struct perpend_point quarter(struct perpend_point p)
{
    return (struct perpend_point){p.back, -p.right, p.up};
}

static enum perpend_face quarter_face(enum perpend_face face)
{
    switch (face) {
    case PERPEND_FACE_BACK:
        return PERPEND_FACE_RIGHT;
    case PERPEND_FACE_RIGHT:
        return PERPEND_FACE_FRONT;
    case PERPEND_FACE_FRONT:
        return PERPEND_FACE_LEFT;
    case PERPEND_FACE_LEFT:
        return PERPEND_FACE_BACK;
    default:
        return face;
    }
}

static void a_turned_world_turns_the_plan(void **state)
{
    (void)state;
    struct test_random random = test_random_start("a turned world turns the plan", 45);
    for (size_t n = 0; n < CASES; n++) {
        struct mount_case it;
        case_mount(&it, &random, test_uniform(&random, 0.1, 2.0), true);
        struct mount_case turned = it;
        turned.mount.joints = turned.joints;
        for (size_t j = 0; j < it.mount.joint_count; j++) {
            turned.joints[j].face = quarter_face(it.joints[j].face);
            turned.joints[j].bolts = turned.bolts[j];
            turned.joints[j].centre = quarter(it.joints[j].centre);
            for (size_t i = 0; i < it.joints[j].bolt_count; i++)
                turned.bolts[j][i].at = quarter(it.bolts[j][i].at);
        }
        struct perpend_facing facing = along_x;
        facing.along += PERPEND_PI / 2;
        struct perpend_slope lean = random_lean(&random);
        struct perpend_plan_input input = input_for(&it.mount, lean);
        struct perpend_plan_input other =
            input_for(&turned.mount, (struct perpend_slope){lean.back, -lean.right});
        other.facing = &facing;
        struct perpend_plan plan, again;
        fail_if(perpend_plan_make(&input, &plan) != PERPEND_OK ||
                    perpend_plan_make(&other, &again) != PERPEND_OK,
            "no plan", n, &it, lean);
        fail_if(plan.step_count != again.step_count, "other steps", n, &it, lean);
        fail_if(fabs(plan.ridge - again.ridge) > 1e-12, "another ridge", n, &it, lean);
        for (size_t k = 0; k < plan.step_count; k++) {
            const struct perpend_step *a = &plan.steps[k], *b = &again.steps[k];
            fail_if(a->joint != b->joint || a->move != b->move, "another step", n, &it, lean);
            for (size_t i = 0; i < a->bolt_count; i++) {
                struct perpend_point slide = quarter(a->bolts[i].amount.shift);
                fail_if(fabs(a->bolts[i].amount.value - b->bolts[i].amount.value) > 1e-9 ||
                            fabs(a->bolts[i].amount.value - b->bolts[i].amount.value) > 1e-9 ||
                            space_size(space_sum(slide, -1, b->bolts[i].amount.shift)) > 1e-9,
                    "another move", n, &it, lean);
            }
        }
        struct perpend_point tip = quarter(plan.tip);
        fail_if(space_size(space_sum(tip, -1, again.tip)) > 1e-9, "another tip", n, &it, lean);
        perpend_plan_finish(&plan);
        perpend_plan_finish(&again);
    }
}

/* How far the tip moves, against the exact turns. */
static void the_tip_moves_as_said(void **state)
{
    (void)state;
    struct test_random random = test_random_start("the tip moves as said", 46);
    for (size_t n = 0; n < CASES; n++) {
        struct mount_case it;
        case_mount(&it, &random, test_uniform(&random, 0.1, 5.0), true);
        struct perpend_slope lean = random_lean(&random);
        struct perpend_plan_input input = input_for(&it.mount, lean);
        struct perpend_plan plan;
        fail_if(perpend_plan_make(&input, &plan) != PERPEND_OK, "no plan", n, &it, lean);
        struct perpend_point tip = {0, 0, 0};
        double size = 0;
        for (size_t k = 0; k < plan.step_count; k++) {
            struct turn turn = step_turn(&it.mount, &plan.steps[k], 1.0);
            tip = turn_point(&turn, tip);
            size += perpend_slope_size(plan.steps[k].change);
        }
        /* bolts are within 350 mm of the tip */
        fail_if(space_size(space_sum(tip, -1, plan.tip)) >
                    350 * (size * size + case_rounded(&plan, &it.mount)) + 1e-9,
            "the tip goes elsewhere", n, &it, lean);
        perpend_plan_finish(&plan);
    }
}

/* Through a response that is known, what is asked brings what is wanted. */
static void plans_go_through_the_response(void **state)
{
    (void)state;
    struct test_random random = test_random_start("plans go through the response", 47);
    size_t exact = 0; /* the others leave what is too little to do */
    for (size_t n = 0; n < CASES; n++) {
        struct mount_case it;
        case_mount(&it, &random, 50.0, true);
        struct perpend_slope lean = random_lean(&random);
        struct perpend_response response = perpend_response_start();
        for (size_t i = 0; i < 2; i++)
            for (size_t j = 0; j < 2; j++)
                response.gain[i][j] =
                    i == j ? test_uniform(&random, 0.9, 1.5) : test_uniform(&random, -0.2, 0.2);
        struct perpend_plan_input input = input_for(&it.mount, lean);
        input.response = &response;
        struct perpend_plan plan;
        fail_if(perpend_plan_make(&input, &plan) != PERPEND_OK, "no plan", n, &it, lean);
        struct perpend_slope by_geometry =
            after_steps_first_order(&plan, &it.mount, (struct perpend_slope){0, 0});
        double right = lean.right + response.gain[0][0] * by_geometry.right +
                       response.gain[0][1] * by_geometry.back;
        double back = lean.back + response.gain[1][0] * by_geometry.right +
                      response.gain[1][1] * by_geometry.back;
        exact += hypot(right, back) < 1e-6;
        fail_if(hypot(right, back) > 3 * LITTLE, "does not end at zero", n, &it, lean);
        perpend_plan_finish(&plan);
    }
    assert_true(exact > CASES - CASES / 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_worked_example),
        cmocka_unit_test(no_lean_is_put_on_to_hide_another),
        cmocka_unit_test(stock_plans_weigh_each_axis_by_itself),
        cmocka_unit_test(side_lean_is_a_slide),
        cmocka_unit_test(applied_plans_bring_the_lean_to_zero),
        cmocka_unit_test(short_plans_leave_what_they_say),
        cmocka_unit_test(slides_stay_in_their_play),
        cmocka_unit_test(moves_give_back_their_change),
        cmocka_unit_test(a_turned_world_turns_the_plan),
        cmocka_unit_test(the_tip_moves_as_said),
        cmocka_unit_test(plans_go_through_the_response),
    };
    return cmocka_run_group_tests_name("plan", tests, NULL, NULL);
}
