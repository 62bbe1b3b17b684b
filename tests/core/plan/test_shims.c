/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shims from a stock against trying every way to deal it. */
#include "support/mount_cases.h"

#include <perpend/perpend.h>

#include "core/mount/mount_parts.h"
#include "core/plan/plan_parts.h"

#define CASES 1000
#define FLAT 0.002      /* in a plane, mm: docs/method.md, "Shims on hand" */
#define COST_STEP_ 1e-4 /* costs are compared in steps of this, mm */

static const struct perpend_cutter bit = {.diameter = 22};

/* --- every way to deal ------------------------------------------------------------------------ */

#define MOST_KINDS 3

/* One joint or two, few leaves. */
struct dealt {
    struct mount_case it;
    struct perpend_leaf leaves[MOST_KINDS];
    struct perpend_stock stock;
    struct perpend_facing facing;
    /* along the axes that the shims serve, and along the one that they do not: this weighs nothing */
    struct perpend_slope lean, unserved;
    double tallest;  /* no stack is thicker, mm */
    double weigh[2]; /* what a lean costs: no more than was found */
    /* what is being tried */
    unsigned left[MOST_KINDS], used;
    double shim[2][CASE_BOLTS];
    bool corner[2][CASE_BOLTS];
    /* the best */
    bool any;
    double step;
    unsigned fewest;
    double cost;
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
            flat = want > -1e-9 && fabs(shim[i] - want) < FLAT - 1e-9;
            /* a row's bolts are alike to the leaf */
            for (size_t k = 0; k < i && flat; k++)
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
    return hypot(dealt->weigh[0] * lean.right, dealt->weigh[1] * lean.back);
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
    double cost = weighed(dealt, left);
    double step = floor(cost / COST_STEP_);
    if (dealt->any && (step > dealt->step || (step == dealt->step && dealt->used >= dealt->fewest)))
        return;
    dealt->any = true;
    dealt->step = step;
    dealt->fewest = dealt->used;
    dealt->cost = cost;
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
    if (kind == dealt->stock.leaf_count) {
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

static void deal_every_way(struct dealt *dealt)
{
    dealt->any = false;
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

static void swap(double *a, double *b)
{
    double was = *a;
    *a = *b;
    *b = was;
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
    dealt->unserved = (struct perpend_slope){0, 0};
    if (dealt->it.mount.joint_count == 1 && fabs(case_normal(dealt->it.joints[0].face).right) > 0.5)
        swap(&dealt->lean.back, &dealt->unserved.back);
    else if (dealt->it.mount.joint_count == 1 &&
             fabs(case_normal(dealt->it.joints[0].face).up) < 0.5)
        swap(&dealt->lean.right, &dealt->unserved.right);
}

static void fail_dealt(
    const struct dealt *dealt, size_t n, const char *what, double cost, unsigned leaves)
{
    printf("# case %zu: %s: cost %.9g with %u leaves; every way: %.9g with %u\n", n, what, cost,
        leaves, dealt->cost, dealt->fewest);
    case_print(&dealt->it, dealt->lean);
    printf("# leaves:");
    for (size_t i = 0; i < dealt->stock.leaf_count; i++)
        printf(" %u x %.2f", dealt->leaves[i].count, dealt->leaves[i].thick);
    printf("\n");
    fail();
}

/* What the planner's search finds with all the joints' shims. */
static void search(struct dealt *dealt, struct choice *choice, double *cost)
{
    struct perpend_plan_input input = {.lean = slope_sum(dealt->lean, 1.0, dealt->unserved),
        .mount = &dealt->it.mount,
        .stock = &dealt->stock,
        .cutter = &bit,
        .facing = &dealt->facing};
    struct situation situation;
    assert_int_equal(situation_init(&situation, &input), PERPEND_OK);
    dealt->tallest = situation.heap.tallest * STACKS_GRAIN;
    memcpy(dealt->weigh, situation.weigh, sizeof dealt->weigh);
    size_t count = dealt->it.mount.joint_count;
    assert_int_equal(situation.move_count, count);
    *choice = (struct choice){.set = MOVE_BIT(count) - 1};
    if (!choose_planes(&situation, choice))
        *choice = (struct choice){.set = 0};
    struct perpend_slope left = dealt->lean;
    for (size_t i = 0; i < count; i++) {
        left.right += choice->change[i].right;
        left.back += choice->change[i].back;
    }
    *cost = weighed(dealt, left);
    situation_finish(&situation);
}

static void the_stock_is_used_as_well_as_can_be(void **state)
{
    (void)state;
    struct test_random random = test_random_start("the stock is used as well as can be", 31);
    const size_t cases = (size_t)test_cases(CASES, 300);
    size_t shimmed = 0, both_ends = 0;
    for (size_t n = 0; n < cases; n++) {
        struct dealt dealt;
        struct choice choice;
        double cost;
        random_dealt(&dealt, &random);
        search(&dealt, &choice, &cost);
        shimmed += choice.leaves > 0;
        deal_every_way(&dealt);
        assert_true(dealt.any);
        double step = floor(cost / COST_STEP_);
        both_ends += step < dealt.step;
        /* shims at both ends, which are not dealt here, are for much less cost */
        if (step > dealt.step || (step == dealt.step && choice.leaves != dealt.fewest) ||
            (step < dealt.step && cost + 1e-3 >= dealt.cost))
            fail_dealt(&dealt, n, "not the best", cost, choice.leaves);
    }
    printf("# %zu of %zu were shimmed, %zu at both ends\n", shimmed, cases, both_ends);
    assert_true(both_ends > 0);
    assert_true(shimmed > cases / 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_stock_is_used_as_well_as_can_be),
    };
    return cmocka_run_group_tests_name("shims", tests, NULL, NULL);
}
