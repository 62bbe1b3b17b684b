/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Leaves that a job has used are not offered again; what was taken out is on hand again. */
#include "support/support.h"

#include "support/bench_machine.h"
#include "core/plan/on_hand.h"

#define KINDS 3

static void give_stock(struct bench *bench, struct perpend_leaf leaves[KINDS])
{
    bench_init(bench);
    bench->machine.stock = (struct perpend_stock){leaves, KINDS};
}

static struct perpend_did shim_at(size_t bolt, double thickness)
{
    return (struct perpend_did){.bolt = bolt, .move = PERPEND_MOVE_SHIM, .amount.value = thickness};
}

static void assert_left(const struct on_hand *hand, unsigned a, unsigned b, unsigned c)
{
    assert_int_equal(hand->stock.leaves[0].count, a);
    assert_int_equal(hand->stock.leaves[1].count, b);
    assert_int_equal(hand->stock.leaves[2].count, c);
}

static void shims_told_bolt_by_bolt(void **state)
{
    (void)state;
    struct bench bench;
    struct perpend_leaf leaves[KINDS] = {{"foil", 0.05, 8}, {"can", 0.1, 3}, {"brass", 0.3, 2}};
    struct on_hand hand;
    give_stock(&bench, leaves);
    assert_int_equal(on_hand_init(&hand, &bench.machine, &(struct perpend_job){0}), PERPEND_OK);
    struct perpend_did did = shim_at(1, 0.5);
    on_hand_did(&hand, &did); /* the fewest that make it up */
    assert_left(&hand, 8, 1, 1);
    did = shim_at(0, 0.47);
    on_hand_did(&hand, &did); /* something else */
    assert_left(&hand, 8, 1, 1);
    did = shim_at(1, -0.4);
    on_hand_did(&hand, &did);
    assert_left(&hand, 8, 2, 2);
    did = shim_at(1, -0.3);
    on_hand_did(&hand, &did); /* more than those leaves that are out: not of the stock */
    assert_left(&hand, 8, 2, 2);
    did = shim_at(2, 5);
    on_hand_did(&hand, &did); /* more than there is */
    assert_left(&hand, 8, 2, 2);
    assert_near(hand.inside[0], 0.47, 1e-12);
    assert_near(hand.inside[1], -0.2, 1e-12);
    assert_near(hand.inside[2], 5, 1e-12);
    struct perpend_did slide = {.bolt = 0, .move = PERPEND_MOVE_SLIDE, .amount.value = 0.3};
    on_hand_did(&hand, &slide);
    assert_left(&hand, 8, 2, 2);
    assert_int_equal(leaves[1].count, 3); /* the machine's own count stays */
}

static void what_a_job_begins_with(void **state)
{
    (void)state;
    struct bench bench;
    struct perpend_leaf leaves[KINDS] = {{"foil", 0.05, 8}, {"can", 0.1, 3}, {"brass", 0.3, 2}};
    struct perpend_did inside[2] = {shim_at(0, 0.3), shim_at(1, 0.35)}, out = shim_at(0, -0.3);
    unsigned left[KINDS] = {6, 9, 1};
    struct perpend_job job = {
        .inside = inside, .inside_count = 2, .stock = left, .stock_count = KINDS};
    struct on_hand hand;
    give_stock(&bench, leaves);
    assert_int_equal(on_hand_init(&hand, &bench.machine, &job), PERPEND_OK);
    assert_left(&hand, 6, 9, 1);
    assert_near(hand.inside[1], 0.35, 0);
    on_hand_did(&hand, &out);
    assert_left(&hand, 6, 9, 2); /* what an earlier job put in is on hand again */
    assert_near(hand.inside[0], 0, 1e-12);
    job.stock_count = KINDS - 1;
    assert_int_equal(on_hand_init(&hand, &bench.machine, &job), PERPEND_ERR_VALUE);
    job.stock = NULL;
    inside[1].bolt = 99;
    assert_int_equal(on_hand_init(&hand, &bench.machine, &job), PERPEND_ERR_VALUE);
}

/* Leaves are neither lost nor made: what is out of the drawer is in the mount. */
static void leaves_are_kept_count_of(void **state)
{
    (void)state;
    struct test_random random = test_random_start("leaves are kept count of", 51);
    const int cases = test_cases(2000, 200);
    int moved = 0;
    for (int n = 0; n < cases; n++) {
        struct bench bench;
        struct perpend_leaf leaves[KINDS];
        struct on_hand hand;
        double in_mount = 0.0;
        for (size_t i = 0; i < KINDS; i++)
            leaves[i] = (struct perpend_leaf){.thick = 0.01 * (double)(1 + test_pick(&random, 30)),
                .count = (unsigned)test_pick(&random, 9)};
        give_stock(&bench, leaves);
        assert_int_equal(on_hand_init(&hand, &bench.machine, &(struct perpend_job){0}), PERPEND_OK);
        for (int k = 0; k < 12; k++) {
            struct perpend_did did =
                shim_at(test_pick(&random, BOLTS), 0.01 * ((double)test_pick(&random, 120) - 60.0));
            double before = 0.0, after = 0.0;
            for (size_t i = 0; i < KINDS; i++)
                before += hand.stock.leaves[i].count * leaves[i].thick;
            on_hand_did(&hand, &did);
            for (size_t i = 0; i < KINDS; i++) {
                after += hand.stock.leaves[i].count * leaves[i].thick;
                assert_true(hand.stock.leaves[i].count <= leaves[i].count);
            }
            if (after != before) {
                assert_near(before - after, did.amount.value, 1.1e-3);
                moved++;
            }
            in_mount += did.amount.value;
        }
        double inside = 0.0;
        for (size_t i = 0; i < BOLTS; i++)
            inside += hand.inside[i];
        assert_near(inside, in_mount, 1e-9);
    }
    printf("# %d shims of the stock\n", moved);
    assert_true(moved > cases);
}

/* Three rounds as planned, on a mount that gives half of it back: all stacks together are in the
   stock, and what the job has put in is known. */
static void a_job_never_plans_with_used_leaves(void **state)
{
    (void)state;
    struct test_random random = test_random_start("a job never plans with used leaves", 52);
    const size_t cases = (size_t)test_cases(300, 60);
    size_t beyond = 0, stacked = 0;
    for (size_t n = 0; n < cases; n++) {
        struct bench bench;
        struct perpend_leaf leaves[KINDS] = {{"foil", 0.02, (unsigned)test_pick(&random, 30)},
            {"can", 0.1, (unsigned)test_pick(&random, 9)},
            {"brass", 0.25, (unsigned)test_pick(&random, 5)}};
        struct perpend_reading readings[3][BOLTS];
        struct perpend_sweep sweeps[3];
        struct perpend_solution solution;
        give_stock(&bench, leaves);
        double back = test_uniform(&random, -0.008, 0.008);
        for (size_t k = 0; k < 3; k++, back /= 2) {
            sweep_of((struct perpend_slope){0, back}, readings[k]);
            sweeps[k] = (struct perpend_sweep){.name = "a",
                .readings = readings[k],
                .reading_count = BOLTS,
                .did_kind = k < 2 ? PERPEND_DID_PLAN : PERPEND_DID_UNSTATED};
        }
        struct perpend_job job = {.sweeps = sweeps, .sweep_count = 3};
        assert_int_equal(perpend_job_solve(&bench.machine, &job, &solution, NULL), PERPEND_OK);
        unsigned used[KINDS] = {0, 0, 0};
        double inside[BOLTS] = {0, 0, 0, 0};
        for (size_t k = 0; k < 3; k++) {
            const struct perpend_plan *plan = &solution.measurements[k].plan;
            for (size_t s = 0; s < plan->step_count; s++)
                for (size_t i = 0; i < BOLTS; i++) {
                    const struct perpend_bolt_move *bolt = &plan->steps[s].bolts[i];
                    assert_near(bolt->inside, inside[i], 1e-12);
                    for (size_t p = 0; p < bolt->stack_count; p++)
                        used[bolt->stack[p].leaf] += bolt->stack[p].count;
                    stacked += bolt->stack_count > 0;
                    beyond += !plan->from_stock && bolt->amount.value > 0.0;
                    inside[i] += bolt->amount.value;
                }
        }
        for (size_t i = 0; i < KINDS; i++)
            assert_true(used[i] <= leaves[i].count);
        /* the third plan is not carried out */
        const struct perpend_plan *last = &solution.measurements[2].plan;
        for (size_t s = 0; s < last->step_count; s++)
            for (size_t i = 0; i < BOLTS; i++)
                for (size_t p = 0; p < last->steps[s].bolts[i].stack_count; p++)
                    used[last->steps[s].bolts[i].stack[p].leaf] -=
                        last->steps[s].bolts[i].stack[p].count;
        for (size_t i = 0; i < KINDS; i++)
            assert_int_equal(solution.leaves_left[i], leaves[i].count - used[i]);
        perpend_solution_finish(&solution);
    }
    printf("# %zu stacks, %zu shims beyond the stock\n", stacked, beyond);
    assert_true(stacked > cases && beyond > cases / 6);
}

/* Too much went in: it comes out again, and turns the spindle as far. */
static void what_is_too_much_comes_out(void **state)
{
    (void)state;
    struct test_random random = test_random_start("what is too much comes out", 53);
    for (int n = 0, cases = test_cases(200, 40); n < cases; n++) {
        struct bench bench;
        struct perpend_reading readings[2][BOLTS];
        struct perpend_solution solution;
        double first = test_uniform(&random, 0.004, 0.010), over = test_uniform(&random, 0.1, 1.1);
        bench_init(&bench); /* no stock: any thickness */
        sweep_of((struct perpend_slope){0, first}, readings[0]);
        sweep_of((struct perpend_slope){0, -over * first}, readings[1]);
        struct perpend_sweep sweeps[] = {{.name = "a",
                                             .readings = readings[0],
                                             .reading_count = BOLTS,
                                             .did_kind = PERPEND_DID_PLAN},
            {.name = "b", .readings = readings[1], .reading_count = BOLTS}};
        struct perpend_job job = {.sweeps = sweeps, .sweep_count = 2};
        assert_int_equal(perpend_job_solve(&bench.machine, &job, &solution, NULL), PERPEND_OK);
        const struct perpend_plan *plan = &solution.measurements[1].plan;
        const struct perpend_step *step = &plan->steps[0];
        double went_in = solution.measurements[0].plan.steps[0].bolts[0].amount.value;
        struct perpend_slope change;
        struct perpend_amount amounts[BOLTS];
        for (size_t i = 0; i < BOLTS; i++)
            amounts[i] = step->bolts[i].amount;
        assert_int_equal(step->move, PERPEND_MOVE_SHIM);
        assert_int_equal(
            perpend_moves_change(&bench.joint, PERPEND_MOVE_SHIM, amounts, &change), PERPEND_OK);
        assert_near(change.back, step->change.back, 1e-9);
        assert_true(change.back > 0.0);
        for (size_t i = 0; i < 2; i++) {
            bool out = step->bolts[i].amount.value < 0.0;
            assert_int_equal(out, step->bolts[2 + i].amount.value == 0.0);
            assert_true(!out || -step->bolts[i].amount.value <= went_in + 0.005);
            assert_near(step->bolts[i].inside, went_in, 1e-12);
        }
        perpend_solution_finish(&solution);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shims_told_bolt_by_bolt),
        cmocka_unit_test(what_a_job_begins_with),
        cmocka_unit_test(leaves_are_kept_count_of),
        cmocka_unit_test(what_is_too_much_comes_out),
        cmocka_unit_test(a_job_never_plans_with_used_leaves),
    };
    return cmocka_run_group_tests_name("on hand", tests, NULL, NULL);
}
