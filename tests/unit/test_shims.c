/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shims from a stock against trying every way to deal it, and the laws of a stacked joint. */
#include "mount_cases.h"

#include <time.h>

#include <perpend/perpend.h>

#include "mount_parts.h"
#include "plan_parts.h"

#define CASES 1000
#define FLAT 0.002       /* in a plane, mm: docs/method.md, "Shims on hand" */
#define RIDGE_STEP_ 1e-4 /* ridges are compared in steps of this, mm */

static const struct perpend_cutter bit = {.diameter = 22};

/* --- every way to deal ------------------------------------------------------------------------ */

#define MOST_KINDS 3

/* One joint or two, few leaves. */
struct dealt {
    struct mount_case it;
    struct perpend_leaf leaves[MOST_KINDS];
    struct perpend_stock stock;
    struct perpend_facing facing;
    struct perpend_slope lean;
    double tallest;     /* no stack is thicker, mm */
    double weigh[2][2]; /* no more lean is left than was found, as the ridge weighs it */
    /* what is being tried */
    unsigned left[MOST_KINDS], used;
    double shim[2][CASE_BOLTS];
    bool skip_inner;
    bool corner[2][CASE_BOLTS];
    /* the best */
    bool any;
    double step;
    unsigned fewest;
    double ridge;
};

static size_t corner_list(const struct dealt *dealt, size_t joint, size_t *corner)
{
    return corner_bolts(&dealt->it.joints[joint], corner);
}

static double lever_along(struct perpend_slope lever, struct perpend_slope direction)
{
    return lever.right * direction.right + lever.back * direction.back;
}

/* The change of a joint whose bolts have these shims, when they lie in a plane: of a plate from its
   two outer rows, of a flange from a resting corner and the two beside it. False when a bolt is out
   of the plane, or nothing rests. */
static bool plane_of(const struct dealt *dealt, size_t j, struct perpend_slope *change)
{
    const struct perpend_joint *joint = &dealt->it.joints[j];
    const double *shim = dealt->shim[j];
    size_t corner[CASE_BOLTS], count = corner_list(dealt, j, corner);
    struct perpend_slope lever[CASE_BOLTS];
    for (size_t i = 0; i < joint->bolt_count; i++)
        lever[i] = shim_lever(joint->face, joint->bolts[i].at);
    for (size_t c = 0; c < count; c++) {
        size_t rest = corner[c];
        if (shim[rest] != 0.0)
            continue;
        if (fabs(case_normal(joint->face).up) < 0.5) {
            struct perpend_slope axis = fabs(case_normal(joint->face).right) > 0.5
                                            ? (struct perpend_slope){1, 0}
                                            : (struct perpend_slope){0, 1};
            size_t far = rest;
            for (size_t i = 0; i < joint->bolt_count; i++)
                if (fabs(lever_along(lever[i], axis) - lever_along(lever[rest], axis)) >
                    fabs(lever_along(lever[far], axis) - lever_along(lever[rest], axis)) + 1e-9)
                    far = i;
            double slope =
                shim[far] / (lever_along(lever[far], axis) - lever_along(lever[rest], axis));
            *change = (struct perpend_slope){slope * axis.right, slope * axis.back};
        } else {
            size_t p = corner[(c + 1) % count], q = corner[(c + count - 1) % count];
            double pr = lever[p].right - lever[rest].right, pb = lever[p].back - lever[rest].back;
            double qr = lever[q].right - lever[rest].right, qb = lever[q].back - lever[rest].back;
            double area = pr * qb - pb * qr;
            *change = (struct perpend_slope){
                (shim[p] * qb - shim[q] * pb) / area, (shim[q] * pr - shim[p] * qr) / area};
        }
        bool flat = true;
        for (size_t i = 0; i < joint->bolt_count && flat; i++) {
            double want = change->right * (lever[i].right - lever[rest].right) +
                          change->back * (lever[i].back - lever[rest].back);
            bool hangs = dealt->skip_inner && !dealt->corner[j][i];
            flat = want > -1e-9 && (hangs || fabs(shim[i] - want) < FLAT - 1e-9);
            /* a row's bolts are alike to the leaf */
            for (size_t k = 0; k < i && flat && !hangs; k++)
                if (fabs(lever[i].right - lever[k].right) + fabs(lever[i].back - lever[k].back) <
                        1e-9 &&
                    fabs(shim[i] - shim[k]) > 1e-9 && dealt->corner[j][i] && dealt->corner[j][k])
                    flat = false;
        }
        if (flat)
            return true;
    }
    return false;
}

static double weighed(const struct dealt *dealt, struct perpend_slope lean)
{
    const double(*w)[2] = dealt->weigh;
    return hypot(
        w[0][0] * lean.right + w[0][1] * lean.back, w[1][0] * lean.right + w[1][1] * lean.back);
}

static void consider(struct dealt *dealt)
{
    struct perpend_slope left = dealt->lean, change;
    for (size_t j = 0; j < dealt->it.mount.joint_count; j++) {
        for (size_t i = 0; i < dealt->it.joints[j].bolt_count; i++)
            if (dealt->shim[j][i] > dealt->tallest + 1e-9)
                return;
        if (!plane_of(dealt, j, &change))
            return;
        left.right += change.right;
        left.back += change.back;
    }
    if (weighed(dealt, left) > weighed(dealt, dealt->lean) * (1 + 1e-9) + 1e-9)
        return;
    double ridge;
    assert_int_equal(perpend_ridge_facing(left, &bit, &dealt->facing, &ridge), PERPEND_OK);
    double step = floor(ridge / RIDGE_STEP_);
    if (dealt->any && (step > dealt->step || (step == dealt->step && dealt->used >= dealt->fewest)))
        return;
    dealt->any = true;
    dealt->step = step;
    dealt->fewest = dealt->used;
    dealt->ridge = ridge;
}

static void deal(struct dealt *dealt, size_t joint, size_t bolt, size_t kind)
{
    if (joint == dealt->it.mount.joint_count) {
        consider(dealt);
        return;
    }
    if (bolt == dealt->it.joints[joint].bolt_count) {
        deal(dealt, joint + 1, 0, 0);
        return;
    }
    if (kind == dealt->stock.leaf_count || (dealt->skip_inner && !dealt->corner[joint][bolt])) {
        deal(dealt, joint, bolt + 1, 0);
        return;
    }
    double before = dealt->shim[joint][bolt];
    for (unsigned count = 0; count <= dealt->left[kind]; count++) {
        dealt->left[kind] -= count;
        dealt->used += count;
        dealt->shim[joint][bolt] = before + count * dealt->leaves[kind].thick;
        deal(dealt, joint, bolt, kind + 1);
        dealt->left[kind] += count;
        dealt->used -= count;
    }
    dealt->shim[joint][bolt] = before;
}

static void deal_every_way(struct dealt *dealt, bool skip_inner)
{
    dealt->any = false;
    dealt->skip_inner = skip_inner;
    memset(dealt->shim, 0, sizeof dealt->shim);
    for (size_t j = 0; j < dealt->it.mount.joint_count; j++) {
        size_t corner[CASE_BOLTS], count = corner_list(dealt, j, corner);
        memset(dealt->corner[j], 0, sizeof dealt->corner[j]);
        for (size_t c = 0; c < count; c++)
            dealt->corner[j][corner[c]] = true;
    }
    deal(dealt, 0, 0, 0);
}

/* --- small random cases ----------------------------------------------------------------------- */

static void place_bolts(struct dealt *dealt, size_t j, enum perpend_face face, size_t rows,
    size_t columns, bool three_corners, struct test_random *random)
{
    double wide = test_uniform(random, 30, 80), high = test_uniform(random, 40, 90);
    double depth = test_uniform(random, -60, 60);
    size_t count = 0;
    for (size_t row = 0; row < rows; row++)
        for (size_t column = 0; column < columns; column++) {
            if (three_corners && row == 1 && column == 1)
                continue;
            dealt->it.bolts[j][count++] = (struct perpend_bolt){
                .at = case_point(face, depth, wide * (double)column,
                    rows > 1 ? high * (double)row / (double)(rows - 1) : 0.0),
                .thread = 5,
            };
        }
    dealt->it.joints[j] = (struct perpend_joint){.face = face,
        .allows = PERPEND_MOVE_SHIM,
        .bolts = dealt->it.bolts[j],
        .bolt_count = count};
}

static void random_dealt(struct dealt *dealt, struct test_random *random)
{
    memset(dealt, 0, sizeof *dealt);
    size_t kinds = 1 + test_pick(random, 2);
    dealt->it.mount = (struct perpend_mount){dealt->it.joints, 1};
    switch (test_pick(random, 5)) {
    case 0: /* a plate of two rows */
        place_bolts(dealt, 0, case_upright(random), 2, 2, false, random);
        kinds = 1 + test_pick(random, MOST_KINDS);
        break;
    case 1: /* three rows in one column: the middle bolt may hang */
        place_bolts(dealt, 0, case_upright(random), 3, 1, false, random);
        break;
    case 2: /* a flange on three bolts */
        place_bolts(dealt, 0, PERPEND_FACE_UP, 2, 2, true, random);
        break;
    case 3: /* a flange on four */
        place_bolts(dealt, 0, PERPEND_FACE_DOWN, 2, 2, false, random);
        break;
    default: /* two plates, two bolts each */
        place_bolts(dealt, 0, PERPEND_FACE_FRONT, 2, 1, false, random);
        place_bolts(dealt, 1, PERPEND_FACE_LEFT, 2, 1, false, random);
        dealt->it.mount.joint_count = 2;
    }
    for (size_t i = 0; i < kinds; i++) {
        dealt->leaves[i] =
            (struct perpend_leaf){.thick = 0.01 * (double)(1 + test_pick(random, 30)),
                .count = (unsigned)test_pick(random, 4)};
        dealt->left[i] = dealt->leaves[i].count;
    }
    dealt->stock = (struct perpend_stock){dealt->leaves, kinds};
    dealt->facing = (struct perpend_facing){.stepover = test_uniform(random, 5, 15),
        .both_ways = test_pick(random, 3) == 0,
        .along = test_pick(random, 2) ? PERPEND_ALONG_X : test_uniform(random, 0, 3),
        .depth = NAN};
    dealt->lean = (struct perpend_slope){
        test_uniform(random, -0.008, 0.008), test_uniform(random, -0.008, 0.008)};
}

static void fail_dealt(
    const struct dealt *dealt, size_t n, const char *what, double ridge, unsigned leaves)
{
    printf("# case %zu: %s: ridge %.9g with %u leaves; every way: %.9g with %u\n", n, what, ridge,
        leaves, dealt->ridge, dealt->fewest);
    case_print(&dealt->it, dealt->lean);
    printf("# leaves:");
    for (size_t i = 0; i < dealt->stock.leaf_count; i++)
        printf(" %u x %.2f", dealt->leaves[i].count, dealt->leaves[i].thick);
    printf("\n");
    fail();
}

/* What the planner's search finds with all the joints' shims. */
static void search(struct dealt *dealt, struct choice *choice, double *ridge, bool *hangs)
{
    struct perpend_plan_input input = {.lean = dealt->lean,
        .mount = &dealt->it.mount,
        .stock = &dealt->stock,
        .cutter = &bit,
        .facing = &dealt->facing};
    struct situation situation;
    assert_int_equal(situation_init(&situation, &input), PERPEND_OK);
    dealt->tallest = situation.heap.tallest * situation.heap.grain;
    memcpy(dealt->weigh, situation.weigh, sizeof dealt->weigh);
    size_t stacked[] = {0, 1}, count = dealt->it.mount.joint_count;
    assert_int_equal(situation.unit_count, count);
    assert_int_equal(stock_choose(&situation, 0, stacked, count, choice), PERPEND_OK);
    struct perpend_slope left = dealt->lean;
    for (size_t i = 0; i < count; i++) {
        left.right += choice->change[i].right;
        left.back += choice->change[i].back;
    }
    assert_int_equal(perpend_ridge_facing(left, &bit, &dealt->facing, ridge), PERPEND_OK);
    *hangs = false;
    for (size_t slot = 0; slot < choice->stacked_count; slot++)
        for (size_t i = 0; i < dealt->it.joints[slot].bolt_count; i++)
            *hangs = *hangs || choice->stacked[slot].hangs[i];
    situation_finish(&situation);
}

static void the_stock_is_used_as_well_as_can_be(void **state)
{
    (void)state;
    struct test_random random = test_random_start("the stock is used as well as can be", 31);
    const size_t cases = (size_t)test_cases(CASES, 300);
    size_t shimmed = 0, hung = 0;
    for (size_t n = 0; n < cases; n++) {
        struct dealt dealt;
        struct choice choice;
        double ridge;
        bool hangs;
        random_dealt(&dealt, &random);
        search(&dealt, &choice, &ridge, &hangs);
        shimmed += choice.leaves > 0;
        hung += hangs;
        deal_every_way(&dealt, false);
        assert_true(dealt.any);
        double stands = dealt.ridge;
        if (!hangs) {
            if (floor(ridge / RIDGE_STEP_) != dealt.step || choice.leaves != dealt.fewest)
                fail_dealt(&dealt, n, "not the best", ridge, choice.leaves);
            continue;
        }
        /* hanging must be worth it, and then be the best for the corners */
        if (!(ridge < 0.5 * stands && ridge + 1e-3 < stands))
            fail_dealt(&dealt, n, "hangs for little", ridge, choice.leaves);
        deal_every_way(&dealt, true);
        if (floor(ridge / RIDGE_STEP_) != dealt.step)
            fail_dealt(&dealt, n, "hangs, and is not the best", ridge, choice.leaves);
    }
    printf("# %zu of %zu were shimmed, in %zu a bolt between hangs\n", shimmed, cases, hung);
    assert_true(shimmed > cases / 3);
    assert_true(hung > 0);
}

/* --- laws of whole plans ---------------------------------------------------------------------- */

/* The bolts that stand on something lie in one plane; those that hang lie between them. */
static void check_plane(const struct mount_case *it, const struct perpend_step *step, size_t n)
{
    const struct perpend_joint *joint = &it->joints[step->joint];
    double least = INFINITY;
    for (size_t i = 0; i < step->bolt_count; i++) {
        struct perpend_slope lever =
            span_lever(shim_span_of(joint), joint->face, joint->bolts[i].at);
        double plane = step->change.right * lever.right + step->change.back * lever.back;
        least = fmin(least, plane);
    }
    for (size_t i = 0; i < step->bolt_count; i++) {
        struct perpend_slope lever =
            span_lever(shim_span_of(joint), joint->face, joint->bolts[i].at);
        double plane = step->change.right * lever.right + step->change.back * lever.back - least;
        double off = step->bolts[i].shim + step->bolts[i].gap - plane;
        if (fabs(off) > FLAT + 1e-4) {
            printf("# case %zu: bolt %zu is %.4f mm out of the plane\n", n, i, off);
            case_print(it, step->change);
            fail();
        }
        if (step->bolts[i].gap == 0.0)
            continue;
        size_t corner[CASE_BOLTS], count = corner_bolts(joint, corner);
        assert_true(step->bolts[i].shim == 0.0);
        for (size_t c = 0; c < count; c++)
            assert_true(corner[c] != i);
    }
}

static void stacked_plans_keep_the_laws(void **state)
{
    (void)state;
    struct test_random random = test_random_start("stacked plans keep the laws", 32);
    size_t steps = 0;
    double slowest = 0, all = 0;
    for (size_t n = 0; n < CASES; n++) {
        struct mount_case it;
        case_mount(&it, &random, test_uniform(&random, 0.1, 0.6), false);
        struct perpend_leaf leaves[8];
        size_t kinds = 1 + test_pick(&random, 8);
        for (size_t i = 0; i < kinds; i++)
            leaves[i] = (struct perpend_leaf){
                .thick = 0.002 * (double)(5 + test_pick(&random, 200)),
                .count = (unsigned)test_pick(&random, 20),
            };
        struct perpend_stock stock = {leaves, kinds};
        struct perpend_facing facing = {
            .stepover = 10, .both_ways = test_pick(&random, 2) == 0, .along = PERPEND_ALONG_X};
        facing.depth = NAN;
        struct perpend_slope lean = {
            test_uniform(&random, -0.015, 0.015), test_uniform(&random, -0.015, 0.015)};
        struct perpend_plan_input input = {.lean = lean,
            .mount = &it.mount,
            .stock = &stock,
            .cutter = &bit,
            .facing = &facing,
            .goal = test_pick(&random, 2) ? 0.01 : NAN};
        struct perpend_plan plan;
        clock_t start = clock();
        assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
        double took = (double)(clock() - start) / CLOCKS_PER_SEC;
        slowest = fmax(slowest, took);
        all += took;
        unsigned used[8] = {0};
        for (size_t k = 0; k < plan.step_count; k++) {
            const struct perpend_step *step = &plan.steps[k];
            if (step->move != PERPEND_MOVE_SHIM)
                continue;
            steps++;
            check_plane(&it, step, n);
            /* found again from the stacks alone, though a bolt may hang */
            struct perpend_slope change;
            assert_int_equal(perpend_moves_change(
                                 &it.joints[step->joint], PERPEND_MOVE_SHIM, step->bolts, &change),
                PERPEND_OK);
            assert_near(hypot(change.right - step->change.right, change.back - step->change.back),
                0, 2 * FLAT / 30);
            assert_true(step->pivot < step->bolt_count);
            assert_true(step->bolts[step->pivot].shim == 0.0);
            for (size_t i = 0; i < step->bolt_count; i++) {
                double sum = 0;
                for (size_t s = 0; s < step->bolts[i].stack_count; s++) {
                    const struct perpend_stack_part *part = &step->bolts[i].stack[s];
                    assert_near(part->thick, leaves[part->leaf].thick, 0);
                    used[part->leaf] += part->count;
                    sum += part->count * part->thick;
                }
                assert_near(sum, plan.from_stock ? step->bolts[i].shim : 0.0, 1e-12);
                if (!plan.from_stock)
                    assert_near(step->bolts[i].shim, step->bolts[i].wanted, 0);
            }
        }
        for (size_t i = 0; i < kinds; i++)
            assert_true(used[i] <= leaves[i].count);
        struct perpend_slope exact = after_steps(&plan, &it.mount, lean);
        /* 1 % of the lean, and what flat to 2 µm over 30 mm can do */
        double apart = hypot(exact.right - plan.leaves.right, exact.back - plan.leaves.back);
        if (apart > 0.01 * perpend_slope_size(lean) + 2 * FLAT / 30) {
            printf("# case %zu: the exact turn leaves another lean, %.3g apart\n", n, apart);
            case_print(&it, lean);
            fail();
        }
        perpend_plan_finish(&plan);
    }
    printf("# %zu shim steps; %.2f ms a plan, %.0f ms the slowest\n", steps, all / CASES * 1e3,
        slowest * 1e3);
    assert_true(steps > CASES / 3);
}

/* A figure, not a test: how long forty kinds of leaf take. */
static void forty_kinds_of_leaf(void **state)
{
    (void)state;
    struct test_random random = test_random_start("forty kinds of leaf", 33);
    struct perpend_bolt bolts[] = {{.at = {-30, 40, 210}, .thread = 5},
        {.at = {30, 40, 210}, .thread = 5}, {.at = {-30, 40, 130}, .thread = 5},
        {.at = {30, 40, 130}, .thread = 5}};
    struct perpend_joint joint = {.face = PERPEND_FACE_FRONT,
        .allows = PERPEND_MOVE_SHIM | PERPEND_MOVE_SLIDE,
        .bolts = bolts,
        .bolt_count = 4};
    struct perpend_mount mount = {&joint, 1};
    struct perpend_facing facing = {.stepover = 10, .along = PERPEND_ALONG_X, .depth = NAN};
    double slowest = 0, all = 0;
    const int plans = 300;
    for (int n = 0; n < plans; n++) {
        struct perpend_leaf leaves[40];
        for (size_t i = 0; i < 40; i++)
            leaves[i] = (struct perpend_leaf){.thick = test_uniform(&random, 0.01, 1.0),
                .count = 1 + (unsigned)test_pick(&random, 10)};
        struct perpend_stock stock = {leaves, 40};
        struct perpend_plan_input input = {
            .lean = {test_uniform(&random, -0.004, 0.004), test_uniform(&random, -0.015, 0.015)},
            .mount = &mount,
            .stock = &stock,
            .cutter = &bit,
            .facing = &facing};
        struct perpend_plan plan;
        clock_t start = clock();
        assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
        double took = (double)(clock() - start) / CLOCKS_PER_SEC;
        slowest = fmax(slowest, took);
        all += took;
        assert_true(fabs(plan.leaves.back) <= fabs(input.lean.back));
        assert_near(plan.leaves.right, 0, 1e-4);
        perpend_plan_finish(&plan);
    }
    printf("# forty kinds, thickness to 0.1 µm: %.2f ms a plan, %.2f ms the slowest of %d\n",
        all / plans * 1e3, slowest * 1e3, plans);
}

/* --- by hand ---------------------------------------------------------------------------------- */

/* The machine file of the manual: eight brass leaves of 0.05 behind the top pair make 0.20 each of
   the 0.533 wanted. */
static void eight_leaves_are_too_few(void **state)
{
    (void)state;
    struct perpend_bolt bolts[] = {{.at = {-30, 40, 210}, .thread = 5},
        {.at = {30, 40, 210}, .thread = 5}, {.at = {-30, 40, 130}, .thread = 5},
        {.at = {30, 40, 130}, .thread = 5}};
    struct perpend_joint joint = {.face = PERPEND_FACE_FRONT,
        .allows = PERPEND_MOVE_SHIM | PERPEND_MOVE_SLIDE,
        .bolts = bolts,
        .bolt_count = 4};
    struct perpend_mount mount = {&joint, 1};
    struct perpend_facing facing = {.stepover = 10, .along = PERPEND_ALONG_X, .depth = NAN};
    struct perpend_leaf brass = {.thick = 0.05, .count = 8};
    struct perpend_stock stock = {&brass, 1};
    struct perpend_plan_input input = {.lean = {0, 1.0 / 150},
        .mount = &mount,
        .stock = &stock,
        .cutter = &bit,
        .facing = &facing};
    struct perpend_plan plan;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_int_equal(plan.step_count, 1);
    for (size_t i = 0; i < 2; i++) {
        const struct perpend_bolt_move *top = &plan.steps[0].bolts[i];
        assert_near(top->wanted, 80.0 / 150, 1e-9);
        assert_near(top->shim, 0.20, 1e-12);
        assert_int_equal(top->stack_count, 1);
        assert_int_equal(top->stack[0].count, 4);
        assert_true(plan.steps[0].bolts[2 + i].shim == 0.0);
    }
    assert_near(plan.leaves.back, 1.0 / 150 - 0.2 / 80, 1e-12);
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
        assert_near(plan.steps[0].bolts[0].shim, 80.0 / 150, 1e-9);
        assert_int_equal(plan.steps[0].bolts[0].stack_count, 0);
        assert_false(plan.short_of[1].present);
        perpend_plan_finish(&plan);
    }
    /* with plenty 0.55 is nearer than 0.50, and is not called short */
    brass.count = 40;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    assert_near(plan.steps[0].bolts[0].shim, 0.55, 1e-12);
    assert_near(plan.leaves.back, 1.0 / 150 - 0.55 / 80, 1e-12);
    assert_false(plan.short_of[1].present);
    perpend_plan_finish(&plan);
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
        cmocka_unit_test(the_stock_is_used_as_well_as_can_be),
        cmocka_unit_test(stacked_plans_keep_the_laws),
        cmocka_unit_test(forty_kinds_of_leaf),
        cmocka_unit_test(eight_leaves_are_too_few),
        cmocka_unit_test(common_sizes),
    };
    return cmocka_run_group_tests_name("shims", tests, NULL, NULL);
}
