/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole plans with shims from a stock: their laws, and some by hand. */
#include "support/mount_cases.h"

#include <time.h>

#include <perpend/perpend.h>

#include "support/clamp_plate.h"
#include "core/mount/mount_parts.h"
#include "core/plan/plan_parts.h"

#define FLAT 0.002 /* in a plane, mm: docs/method.md, "Shims on hand" */

/* Seconds that plans took. */
struct took {
    double all, slowest;
};

static void plan_in_time(
    const struct perpend_plan_input *input, struct perpend_plan *plan, struct took *took)
{
    clock_t start = clock();
    assert_int_equal(perpend_plan_make(input, plan), PERPEND_OK);
    double seconds = (double)(clock() - start) / CLOCKS_PER_SEC;
    took->slowest = fmax(took->slowest, seconds);
    took->all += seconds;
}

#define ON_EDGE 0.5 /* mm; a bolt so near the line between two corners is none itself */

static double plane_at(const struct mount_case *it, const struct perpend_step *step, size_t bolt)
{
    const struct perpend_joint *joint = &it->joints[step->joint];
    struct perpend_slope lever =
        span_lever(shim_span_of(joint), joint->face, joint->bolts[bolt].at);
    return step->change.right * lever.right + step->change.back * lever.back;
}

/* The bolts stand in one plane, or hang between the corners; it rests on a corner unless there are shims at both ends. One that
   stands out over an edge by a hair is as far below as the plane falls on the hair. */
static void check_plane(const struct mount_case *it, const struct perpend_step *step, size_t n)
{
    size_t corner[CASE_BOLTS], count = corner_bolts(&it->joints[step->joint], corner);
    double least = INFINITY, under = INFINITY;
    for (size_t c = 0; c < count; c++) {
        least = fmin(least, plane_at(it, step, corner[c]));
        under = fmin(under, step->bolts[corner[c]].amount.value);
    }
    assert_true(under == 0.0 || step->pivot == PERPEND_NO_BOLT);
    for (size_t i = 0; i < step->bolt_count; i++) {
        double plane = plane_at(it, step, i) - least;
        double off = step->bolts[i].amount.value - under - fmax(plane, 0.0);
        bool is_corner = false;
        for (size_t c = 0; c < count; c++)
            is_corner = is_corner || corner[c] == i;
        if (!is_corner && step->bolts[i].amount.value == 0.0)
            continue; /* it hangs */
        if (fabs(off) > FLAT + 1e-4 || plane < -ON_EDGE * perpend_slope_size(step->change)) {
            printf("# case %zu: bolt %zu is %.4f mm out of the plane\n", n, i, off);
            case_print(it, step->change);
            fail();
        }
        if (step->bolts[i].amount.value > PERPEND_STACK_TALLEST * (1.0 + 1e-12)) {
            printf("# case %zu: bolt %zu gets %.17g mm\n", n, i, step->bolts[i].amount.value);
            case_print(it, step->change);
            fail();
        }
    }
}

static void stacked_plans_keep_the_laws(void **state)
{
    (void)state;
    struct test_random random = test_random_start("stacked plans keep the laws", 32);
    size_t steps = 0, both_ends = 0, cases = (size_t)test_cases(1200, 200);
    struct took took = {0, 0};
    for (size_t n = 0; n < cases; n++) {
        struct mount_case it;
        case_mount(&it, &random, test_uniform(&random, 0.1, 0.6), false);
        struct perpend_leaf leaves[8];
        size_t kinds = 1 + test_pick(&random, 8);
        /* of a few tenths of a mm in all, or up to some mm of leaves told apart to the grain */
        bool thick = test_pick(&random, 4) == 0;
        for (size_t i = 0; i < kinds; i++)
            leaves[i] = (struct perpend_leaf){
                .thick = thick ? 0.0001 * (double)(100 + test_pick(&random, 4000))
                               : 0.002 * (double)(5 + test_pick(&random, 200)),
                .count = (unsigned)test_pick(&random, thick ? 200 : 20),
            };
        struct perpend_stock stock = {leaves, kinds};
        struct perpend_facing facing = {
            .stepover = 10, .both_ways = test_pick(&random, 2) == 0, .along = PERPEND_ALONG_X};
        facing.depth = NAN;
        double largest = thick ? 0.04 : 0.015;
        struct perpend_slope lean = {
            test_uniform(&random, -largest, largest), test_uniform(&random, -largest, largest)};
        struct perpend_plan_input input = {.lean = lean,
            .mount = &it.mount,
            .stock = &stock,
            .cutter = &bit,
            .facing = &facing,
            .goal = test_pick(&random, 2) ? 0.01 : NAN};
        struct perpend_plan plan;
        plan_in_time(&input, &plan, &took);
        unsigned used[8] = {0};
        for (size_t k = 0; k < plan.step_count; k++) {
            const struct perpend_step *step = &plan.steps[k];
            if (step->move != PERPEND_MOVE_SHIM)
                continue;
            steps++;
            if (plan.from_stock)
                check_plane(&it, step, n);
            /* found again from the stacks alone */
            struct perpend_slope change;
            struct perpend_amount amounts[CASE_BOLTS];
            step_amounts(step, amounts);
            assert_int_equal(
                perpend_moves_change(&it.joints[step->joint], PERPEND_MOVE_SHIM, amounts, &change),
                PERPEND_OK);
            assert_near(hypot(change.right - step->change.right, change.back - step->change.back),
                0, 2 * FLAT / 30);
            double off;
            assert_int_equal(
                perpend_moves_misfit(&it.joints[step->joint], PERPEND_MOVE_SHIM, amounts, &off),
                PERPEND_OK);
            assert_true(off <= (plan.from_stock ? FLAT + 1e-4 : PERPEND_THINNEST_SHIM));
            both_ends += step->pivot == PERPEND_NO_BOLT;
            if (step->pivot != PERPEND_NO_BOLT)
                assert_true(step->bolts[step->pivot].amount.value == 0.0);
            for (size_t i = 0; i < step->bolt_count; i++) {
                double sum = 0;
                for (size_t s = 0; s < step->bolts[i].stack_count; s++) {
                    const struct perpend_stack_part *part = &step->bolts[i].stack[s];
                    assert_near(part->thick, leaves[part->leaf].thick, 0);
                    used[part->leaf] += part->count;
                    sum += part->count * part->thick;
                }
                assert_near(sum, plan.from_stock ? step->bolts[i].amount.value : 0.0, 1e-12);
                if (!plan.from_stock)
                    assert_near(step->bolts[i].amount.value, step->bolts[i].wanted, 0);
            }
        }
        for (size_t i = 0; i < kinds; i++)
            assert_true(used[i] <= leaves[i].count);
        struct perpend_slope exact = after_steps(&plan, &it.mount, lean);
        /* 1 % of the lean, and what flat to 2 µm over 30 mm can do */
        double apart =
            hypot(exact.right - plan.lean_after.right, exact.back - plan.lean_after.back);
        if (apart >
            0.01 * perpend_slope_size(lean) + 2 * FLAT / 30 + case_rounded(&plan, &it.mount)) {
            printf("# case %zu: the exact turn leaves another lean, %.3g apart\n", n, apart);
            case_print(&it, lean);
            fail();
        }
        perpend_plan_finish(&plan);
    }
    printf("# %zu shim steps, %zu at both ends; %.2f ms a plan, %.0f ms the slowest\n", steps,
        both_ends, took.all / (double)cases * 1e3, took.slowest * 1e3);
    assert_true(steps > cases / 3);
}

/* What comes out is in the mount, and turns the spindle as far; where shims go in, some bolt has not as
   much. */
static void check_taking_out(const struct mount_case *it, const struct perpend_step *step, bool out)
{
    struct perpend_amount amounts[CASE_BOLTS];
    double most = 0.0, missing = 0.0;
    step_amounts(step, amounts);
    for (size_t i = 0; i < step->bolt_count; i++)
        most = fmax(most, amounts[i].value);
    for (size_t i = 0; i < step->bolt_count; i++) {
        assert_true(!out || (amounts[i].value <= 0.0 && step->bolts[i].stack_count == 0));
        assert_true(amounts[i].value >= -step->bolts[i].inside - PERPEND_SAME_SHIM);
        missing = fmax(missing, most - amounts[i].value - step->bolts[i].inside);
    }
    assert_true(out || missing > PERPEND_SAME_SHIM);
    struct perpend_slope change;
    assert_int_equal(
        perpend_moves_change(&it->joints[step->joint], PERPEND_MOVE_SHIM, amounts, &change),
        PERPEND_OK);
    assert_near(hypot(change.right - step->change.right, change.back - step->change.back), 0,
        2 * (FLAT + PERPEND_SAME_SHIM) / 30);
}

static void taking_out_turns_as_far(void **state)
{
    (void)state;
    struct test_random random = test_random_start("taking out turns as far", 54);
    size_t could = 0, could_not = 0, cases = (size_t)test_cases(1200, 200);
    for (size_t n = 0; n < cases; n++) {
        struct mount_case it;
        case_mount(&it, &random, test_uniform(&random, 0.1, 0.6), false);
        struct perpend_leaf leaves[] = {{"foil", 0.02, 20}, {"can", 0.1, 20}, {"shim", 0.5, 8}};
        struct perpend_stock stock = {leaves, 3};
        double inside[CASE_JOINTS * CASE_BOLTS], deep = test_uniform(&random, 0.0, 1.5);
        for (size_t i = 0; i < CASE_JOINTS * CASE_BOLTS; i++)
            inside[i] = test_pick(&random, 5) ? deep : 0.1;
        struct perpend_slope lean = {
            test_uniform(&random, -0.01, 0.01), test_uniform(&random, -0.01, 0.01)};
        struct perpend_plan_input input = input_for(&it.mount, lean);
        input.stock = &stock;
        input.inside = inside;
        struct perpend_plan plan;
        assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
        for (size_t k = 0; plan.from_stock && k < plan.step_count; k++) {
            const struct perpend_step *step = &plan.steps[k];
            bool out = false;
            for (size_t i = 0; i < step->bolt_count; i++)
                out = out || (step->move == PERPEND_MOVE_SHIM && step->bolts[i].amount.value < 0.0);
            if (step->move == PERPEND_MOVE_SHIM)
                check_taking_out(&it, step, out);
            could += out;
            could_not += !out;
        }
        perpend_plan_finish(&plan);
    }
    printf("# %zu steps could be done by taking out, %zu could not\n", could, could_not);
    assert_true(could > cases / 10 && could_not > cases / 10);
}

/* As many kinds of leaf as there may be, told apart to 0.1 µm; how long they take is printed. */
static void as_many_kinds_as_there_may_be(void **state)
{
    (void)state;
    struct test_random random = test_random_start("as many kinds of leaf as there may be", 33);
    struct took took = {0, 0};
    const int plans = test_cases(300, 30);
    for (int n = 0; n < plans; n++) {
        struct perpend_leaf leaves[PERPEND_LEAVES_MOST];
        for (size_t i = 0; i < PERPEND_LEAVES_MOST; i++)
            leaves[i] = (struct perpend_leaf){.thick = test_uniform(&random, 0.01, 1.0),
                .count = 1 + (unsigned)test_pick(&random, 10)};
        struct perpend_stock stock = {leaves, PERPEND_LEAVES_MOST};
        struct perpend_slope lean = {
            test_uniform(&random, -0.004, 0.004), test_uniform(&random, -0.015, 0.015)};
        struct perpend_plan_input input = input_for(&plate_mount, lean);
        input.stock = &stock;
        struct perpend_plan plan;
        plan_in_time(&input, &plan, &took);
        assert_true(fabs(plan.lean_after.back) <= fabs(input.lean.back));
        /* a lean to the side stays as it is where taking it out would lower the cost by less than 0.5 µm */
        double right = fabs(plan.lean_after.right), back = fabs(plan.lean_after.back);
        assert_true(
            right < 1e-4 || (plan.lean_after.right == lean.right &&
                                hypot(5.0 * right, 10.0 * back) * 0.999 - 10.0 * back < 5.5e-4));
        perpend_plan_finish(&plan);
    }
    printf("# thickness to 0.1 µm: %.2f ms a plan, %.2f ms the slowest of %d\n",
        took.all / plans * 1e3, took.slowest * 1e3, plans);
}

/* The machine file of the manual: eight brass leaves of 0.05 behind the top pair make 0.20 each of
   the 0.533 wanted. */
static void eight_leaves_are_too_few(void **state)
{
    (void)state;
    struct perpend_leaf brass = {.thick = 0.05, .count = 8};
    struct perpend_stock stock = {&brass, 1};
    struct perpend_plan_input input = input_for(&plate_mount, (struct perpend_slope){0, 1.0 / 150});
    input.stock = &stock;
    struct perpend_plan plan;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_int_equal(plan.step_count, 1);
    for (size_t i = 0; i < 2; i++) {
        const struct perpend_bolt_move *top = &plan.steps[0].bolts[i];
        assert_near(top->wanted, 80.0 / 150, 1e-9);
        assert_near(top->amount.value, 0.20, 1e-12);
        assert_int_equal(top->stack_count, 1);
        assert_int_equal(top->stack[0].count, 4);
        assert_true(plan.steps[0].bolts[2 + i].amount.value == 0.0);
    }
    assert_near(plan.lean_after.back, 1.0 / 150 - 0.2 / 80, 1e-12);
    assert_true(plan.short_of[1].present);
    assert_int_equal(plan.short_of[1].move, PERPEND_MOVE_SHIM);
    assert_near(plan.short_of[1].wanted, 80.0 / 150, 1e-9);
    assert_near(plan.short_of[1].allowed, 0.2, 1e-9);
    assert_near(plan.steps[0].nearest_common, 0.55, 1e-12);
    perpend_plan_take_leaves(&plan, &stock);
    assert_int_equal(brass.count, 0);
    perpend_plan_take_leaves(&plan, &stock); /* no more than there are */
    assert_int_equal(brass.count, 0);
    perpend_plan_finish(&plan);
    /* none left, or only one that has no fellow for the other bolt: the thickness wanted */
    for (brass.count = 0; brass.count < 2; brass.count++) {
        assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
        assert_false(plan.from_stock);
        assert_int_equal(plan.step_count, 1);
        assert_near(plan.steps[0].bolts[0].amount.value, 80.0 / 150, 1e-9);
        assert_int_equal(plan.steps[0].bolts[0].stack_count, 0);
        assert_false(plan.short_of[1].present);
        perpend_plan_finish(&plan);
    }
    /* with plenty 0.55 is nearer than 0.50, and is not called short */
    brass.count = 40;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_near(plan.steps[0].bolts[0].amount.value, 0.55, 1e-12);
    assert_near(plan.lean_after.back, 1.0 / 150 - 0.55 / 80, 1e-12);
    assert_false(plan.short_of[1].present);
    perpend_plan_finish(&plan);
}

/* A corner of four that is too thick by d stands off the best plane by d/4, whatever plane the rest is
   in; three always lie in one. */
static void what_rocks_is_off_a_plane(void **state)
{
    (void)state;
    struct test_random random = test_random_start("what rocks is off a plane", 56);
    for (int n = 0; n < 1000; n++) {
        double wide = test_uniform(&random, 20, 90), high = test_uniform(&random, 20, 90), off;
        struct perpend_bolt bolts[4];
        struct perpend_amount moves[4] = {{0}};
        enum perpend_face face = (enum perpend_face)test_pick(&random, 6);
        double a = test_uniform(&random, -0.01, 0.01), b = test_uniform(&random, -0.01, 0.01);
        double thick = test_uniform(&random, -0.5, 0.5);
        bool screws = test_pick(&random, 2) == 0;
        for (size_t i = 0; i < 4; i++) {
            double x = i % 2 ? wide : 0, y = i / 2 ? high : 0;
            double open = 0.3 + a * x + b * y + (i == 2 ? thick : 0);
            bolts[i] =
                (struct perpend_bolt){.at = case_point(face, 40, x, y), .thread = 5, .pitch = 0.8};
            moves[i].value = screws ? open / 0.8 : open;
        }
        struct perpend_joint joint = {.face = face, .bolts = bolts, .bolt_count = 4};
        enum perpend_move move = screws ? PERPEND_MOVE_SCREW : PERPEND_MOVE_SHIM;
        assert_int_equal(perpend_moves_misfit(&joint, move, moves, &off), PERPEND_OK);
        assert_near(off, fabs(thick) / 4, 1e-12);
        joint.bolt_count = 3;
        assert_int_equal(perpend_moves_misfit(&joint, move, moves, &off), PERPEND_OK);
        assert_true(off == 0.0);
        moves[1].value = NAN;
        joint.bolt_count = 4;
        assert_int_equal(perpend_moves_misfit(&joint, move, moves, &off), PERPEND_ERR_VALUE);
    }
}

/* A shift and a turn of all bolts is what a stiff plate does; of one bolt that goes its own way more
   than half is neither. */
static void what_stretches_is_no_slide(void **state)
{
    (void)state;
    struct test_random random = test_random_start("what stretches is no slide", 57);
    for (int n = 0; n < 1000; n++) {
        double wide = test_uniform(&random, 20, 90), high = test_uniform(&random, 20, 90), off;
        enum perpend_face face = (enum perpend_face)test_pick(&random, 6);
        struct perpend_point out = perpend_face_direction(face);
        struct perpend_point zero = case_point(face, 40, 0, 0),
                             shift = case_point(face, 40, test_uniform(&random, -1, 1),
                                 test_uniform(&random, -1, 1));
        double turn = test_uniform(&random, -0.01, 0.01), own = test_uniform(&random, 0.1, 1);
        struct perpend_bolt bolts[4];
        struct perpend_amount moves[4] = {{0}};
        for (size_t i = 0; i < 4; i++) {
            bolts[i] = (struct perpend_bolt){
                .at = case_point(face, 40, i % 2 ? wide : 0, i / 2 ? high : 0), .thread = 5};
            struct perpend_point turned = perpend_cross(out, bolts[i].at);
            moves[i].shift = (struct perpend_point){shift.right - zero.right + turn * turned.right,
                shift.back - zero.back + turn * turned.back, shift.up - zero.up + turn * turned.up};
        }
        struct perpend_joint joint = {.face = face, .bolts = bolts, .bolt_count = 4};
        assert_int_equal(perpend_moves_misfit(&joint, PERPEND_MOVE_SLIDE, moves, &off), PERPEND_OK);
        assert_near(off, 0.0, 1e-12);
        struct perpend_point to = case_point(face, 40, own, 0);
        moves[0].shift.right += to.right - zero.right;
        moves[0].shift.back += to.back - zero.back;
        moves[0].shift.up += to.up - zero.up;
        assert_int_equal(perpend_moves_misfit(&joint, PERPEND_MOVE_SLIDE, moves, &off), PERPEND_OK);
        /* three quarters of it are no shift; of what is left the turn takes high² / (wide² + high²)
           of a quarter */
        double share = high / hypot(wide, high);
        assert_true(off > own / 2 - 1e-9 && off <= own * 3 / 4 + 1e-9);
        assert_near(off,
            own * hypot(0.75 - share * share / 4, wide * high / (4 * (wide * wide + high * high))),
            1e-9);
        moves[1].shift.up = NAN;
        assert_int_equal(
            perpend_moves_misfit(&joint, PERPEND_MOVE_SLIDE, moves, &off), PERPEND_ERR_VALUE);
    }
}

static void common_sizes(void **state)
{
    (void)state;
    assert_near(perpend_common_thickness(0.533), 0.55, 1e-12);
    assert_near(perpend_common_thickness(0.018), 0.016, 1e-12);
    assert_near(perpend_common_thickness(0.001), 0.016, 1e-12);
    assert_near(perpend_common_thickness(1.27), 1.25, 1e-12);
    assert_near(perpend_common_thickness(2.004), 2.0, 1e-12);
    assert_true(perpend_common_thickness(0.0) == 0.0);
    assert_true(perpend_common_thickness(NAN) == 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stacked_plans_keep_the_laws),
        cmocka_unit_test(taking_out_turns_as_far),
        cmocka_unit_test(as_many_kinds_as_there_may_be),
        cmocka_unit_test(eight_leaves_are_too_few),
        cmocka_unit_test(what_rocks_is_off_a_plane),
        cmocka_unit_test(what_stretches_is_no_slide),
        cmocka_unit_test(common_sizes),
    };
    return cmocka_run_group_tests_name("stock plans", tests, NULL, NULL);
}
