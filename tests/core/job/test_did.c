/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was done, told as the plan or bolt by bolt, put right, or sure; and what earlier jobs taught. */
#include "support/simulated_bench.h"

#define CASES 100
#define DID_MOST ((size_t)BENCH_JOINTS * 4 * PERPEND_MOVE_COUNT)
#define READINGS 8

static const struct workplace any_place = {
    .name = "any", .gauge_step = 0.01, .gauge_spread = 0.005, .goal = NAN};

/* The bench's two joints, each with random moves. */
static struct perpend_machine machine_of(struct bench *bench, struct test_random *random)
{
    struct perpend_machine machine;
    bench_start(bench, &any_place, random);
    for (size_t i = 0; i < BENCH_JOINTS; i++)
        bench->joints[i].allows = 1 + (unsigned)test_pick(random, 7);
    perpend_machine_init(&machine);
    machine.mount = bench->mount;
    machine.setup = bench->setup;
    machine.cutter = bench->cutter;
    machine.facing = bench->facing;
    return machine;
}

static void sweep_of(double right, double back, struct perpend_reading *readings)
{
    for (size_t i = 0; i < READINGS; i++) {
        double bearing = 2.0 * PERPEND_PI * (double)i / READINGS;
        double slope = right * sin(bearing) + back * cos(bearing);
        readings[i] = (struct perpend_reading){
            .bearing = bearing, .value = 1.0 - BENCH_ARM * sin(atan(slope))};
    }
}

static size_t list_of(const struct perpend_plan *plan, struct perpend_did *did)
{
    size_t count = 0;
    for (size_t i = 0; i < plan->step_count; i++)
        for (size_t k = 0; k < plan->steps[i].bolt_count; k++)
            if (!perpend_amount_is_none(plan->steps[i].bolts[k].amount))
                did[count++] = (struct perpend_did){
                    plan->steps[i].joint, k, plan->steps[i].move, plan->steps[i].bolts[k].amount};
    return count;
}

/* A random list: each move that a joint allows, its bolts in a plane or turned together. */
static size_t random_list(
    const struct bench *bench, struct test_random *random, struct perpend_did *did)
{
    size_t count = 0;
    for (size_t j = 0; j < BENCH_JOINTS; j++)
        for (size_t m = 0; m < PERPEND_MOVE_COUNT; m++) {
            const struct perpend_move_row *row = perpend_move_at(m);
            if (!(bench->joints[j].allows & (unsigned)row->move))
                continue;
            double much = test_uniform(random, 0.05, 0.8),
                   turn = test_uniform(random, -0.004, 0.004);
            bool top = test_pick(random, 2) == 0;
            for (size_t b = 0; b < 4; b++) {
                struct perpend_did entry = {.joint = j, .bolt = b, .move = row->move};
                double up = bench->bolts[j][b].at.up - 170.0;
                if (row->amount == PERPEND_AMOUNT_DISPLACEMENT && j == PLATE)
                    entry.amount.shift =
                        (struct perpend_point){turn * up, 0, -turn * bench->bolts[j][b].at.right};
                else if (row->amount == PERPEND_AMOUNT_DISPLACEMENT)
                    entry.amount.shift =
                        (struct perpend_point){0, turn * up, -turn * bench->bolts[j][b].at.back};
                else if (top == (b < 2))
                    entry.amount.value = much;
                else
                    continue;
                did[count++] = entry;
            }
        }
    return count;
}

static void the_plan_and_its_list_are_one(void **state)
{
    (void)state;
    struct test_random random = test_random_start("the plan and its list are one", 71);
    size_t moves[8] = {0};
    for (int n = 0; n < CASES; n++) {
        struct bench bench;
        struct perpend_machine machine = machine_of(&bench, &random);
        struct perpend_reading found[READINGS], then[READINGS];
        struct perpend_did did[DID_MOST];
        struct perpend_solution planned, listed;
        double share = test_uniform(&random, 0.6, 1.1);
        sweep_of(bench.lean[0], bench.lean[1], found);
        struct perpend_sweep sweeps[] = {{.name = "a",
                                             .readings = found,
                                             .reading_count = READINGS,
                                             .did_kind = PERPEND_DID_PLAN},
            {.name = "b", .readings = then, .reading_count = READINGS}};
        struct perpend_job job = {.sweeps = sweeps, .sweep_count = 1};
        assert_int_equal(perpend_job_solve(&machine, &job, &planned, NULL), PERPEND_OK);
        const struct perpend_plan *plan = &planned.measurements[0].plan;
        sweep_of(bench.lean[0] + share * plan->asked.right,
            bench.lean[1] + share * plan->asked.back, then);
        size_t count = list_of(plan, did);
        for (size_t i = 0; i < plan->step_count; i++)
            moves[plan->steps[i].move]++;
        perpend_solution_finish(&planned);

        job.sweep_count = 2;
        assert_int_equal(perpend_job_solve(&machine, &job, &planned, NULL), PERPEND_OK);
        sweeps[0].did_kind = PERPEND_DID_LIST;
        sweeps[0].did = did;
        sweeps[0].did_count = count;
        assert_int_equal(perpend_job_solve(&machine, &job, &listed, NULL), PERPEND_OK);
        const struct perpend_measurement *a = &planned.measurements[1],
                                         *b = &listed.measurements[1];
        if (fabs(a->adjustment.asked.right - b->adjustment.asked.right) > 1e-9 ||
            fabs(a->adjustment.asked.back - b->adjustment.asked.back) > 1e-9) {
            printf("# case %d: asked %g, %g by the plan, %g, %g by its list\n", n,
                a->adjustment.asked.right, a->adjustment.asked.back, b->adjustment.asked.right,
                b->adjustment.asked.back);
            fail();
        }
        for (size_t i = 0; i < 4; i++)
            assert_near(a->response.gain[i / 2][i % 2], b->response.gain[i / 2][i % 2], 1e-6);
        assert_near(a->plan.asked.right, b->plan.asked.right, 1e-8);
        assert_near(a->plan.asked.back, b->plan.asked.back, 1e-8);
        assert_int_equal(a->plan.step_count, b->plan.step_count);
        perpend_solution_finish(&planned);
        perpend_solution_finish(&listed);
    }
    printf("# shims %zu, slides %zu, screws %zu\n", moves[PERPEND_MOVE_SHIM],
        moves[PERPEND_MOVE_SLIDE], moves[PERPEND_MOVE_SCREW]);
    assert_true(moves[PERPEND_MOVE_SHIM] > 8 && moves[PERPEND_MOVE_SLIDE] > 8 &&
                moves[PERPEND_MOVE_SCREW] > 8);
}

/* What one move of one joint in a list does to the lean. */
static bool part_of(const struct bench *bench, const struct perpend_did *did, size_t count,
    size_t joint, enum perpend_move move, struct perpend_slope *change)
{
    struct perpend_amount amounts[4] = {{.value = 0}};
    bool any = false;
    for (size_t i = 0; i < count; i++)
        if (did[i].joint == joint && did[i].move == move) {
            amounts[did[i].bolt] = did[i].amount;
            any = true;
        }
    assert_int_equal(
        perpend_moves_change(&bench->joints[joint], move, amounts, change), PERPEND_OK);
    return any;
}

static void the_other_end_is_the_other_way(void **state)
{
    (void)state;
    struct test_random random = test_random_start("the other end is the other way", 72);
    for (int n = 0; n < CASES; n++) {
        struct bench bench;
        struct perpend_machine machine = machine_of(&bench, &random);
        struct perpend_did did[DID_MOST], other[DID_MOST + PERPEND_BOLTS_MOST];
        size_t count = random_list(&bench, &random, did), other_count = 0;
        struct perpend_slope total = {0, 0}, turned = {0, 0}, change;
        /* one of the moves of one of the joints went the other way */
        const struct perpend_did *wrong = &did[test_pick(&random, count)];
        for (size_t j = 0; j < BENCH_JOINTS; j++)
            for (size_t m = 0; m < PERPEND_MOVE_COUNT; m++)
                if (part_of(&bench, did, count, j, perpend_move_at(m)->move, &change)) {
                    total.right += change.right;
                    total.back += change.back;
                }
        part_of(&bench, did, count, wrong->joint, wrong->move, &turned);
        struct perpend_adjustment seen = {.asked = total,
            .obtained = {total.right - 2 * turned.right, total.back - 2 * turned.back}};
        assert_int_equal(
            perpend_did_other_end(&machine.mount, &seen, did, count, other, &other_count),
            PERPEND_OK);
        for (size_t j = 0; j < BENCH_JOINTS; j++)
            for (size_t m = 0; m < PERPEND_MOVE_COUNT; m++) {
                const struct perpend_move_row *row = perpend_move_at(m);
                struct perpend_slope now;
                bool there = part_of(&bench, did, count, j, row->move, &change);
                bool still = part_of(&bench, other, other_count, j, row->move, &now);
                double way = j == wrong->joint && row->move == wrong->move ? -1 : 1;
                assert_int_equal(there, still);
                assert_near(now.right, way * change.right, 1e-12);
                assert_near(now.back, way * change.back, 1e-12);
                /* leaves stay leaves: what went in went in, only elsewhere */
                for (size_t i = 0; i < other_count; i++)
                    if (other[i].move == PERPEND_MOVE_SHIM)
                        assert_true(other[i].amount.value > 0);
            }
    }
    struct bench bench;
    struct perpend_machine machine = machine_of(&bench, &random);
    const struct perpend_adjustment seen = {.asked = {0.001, 0}};
    struct perpend_did odd = {.move = PERPEND_MOVE_SHIM, .amount = {.value = NAN}}, other[8];
    size_t count = 9;
    assert_int_equal(
        perpend_did_other_end(&machine.mount, &seen, NULL, 0, other, &count), PERPEND_OK);
    assert_int_equal(count, 0);
    assert_int_equal(
        perpend_did_other_end(&machine.mount, &seen, &odd, 1, other, &count), PERPEND_ERR_VALUE);
}

/* Nothing moved: a surprise that teaches nothing, unless it is sure; what was taught before stays. */
static void what_is_sure_is_learned(void **state)
{
    (void)state;
    struct test_random random = test_random_start("what is sure is learned", 73);
    for (int n = 0; n < 50; n++) {
        struct bench bench;
        struct perpend_machine machine = machine_of(&bench, &random);
        struct perpend_reading found[READINGS];
        struct perpend_solution solution;
        bench.joints[PLATE].allows = bench.joints[BRACKET].allows = PERPEND_MOVE_SHIM;
        sweep_of(test_uniform(&random, 0.004, 0.01), -0.005, found);
        struct perpend_sweep sweeps[] = {{.name = "a",
                                             .readings = found,
                                             .reading_count = READINGS,
                                             .did_kind = PERPEND_DID_PLAN},
            {.name = "b", .readings = found, .reading_count = READINGS}};
        struct perpend_job job = {.sweeps = sweeps, .sweep_count = 2};
        for (int way = 0; way < 4; way++) {
            sweeps[0].did_sure = way % 2 == 1;
            job.has_learned = way >= 2;
            job.learned = perpend_response_start();
            job.learned.gain[0][0] = job.learned.gain[1][1] = 0.8;
            assert_int_equal(perpend_job_solve(&machine, &job, &solution, NULL), PERPEND_OK);
            const struct perpend_measurement *first = &solution.measurements[0],
                                             *second = first + 1;
            double start = job.has_learned ? 0.8 : 1.0;
            assert_near(first->response.gain[0][0], start, 1e-15);
            assert_near(first->plan.wanted.right, -first->fit.lean.right / start, 1e-12);
            assert_int_equal(second->adjustment.outcome,
                way % 2 == 1 ? PERPEND_OUTCOME_PART : PERPEND_OUTCOME_SURPRISE);
            assert_int_equal(second->response.gain[0][0] < start - 0.05, way % 2 == 1);
            struct perpend_response next;
            assert_int_equal(perpend_solution_learned(&solution, &next), way > 0);
            assert_near(next.gain[0][0], 1 + 0.7 * (second->response.gain[0][0] - 1), 1e-12);
            perpend_solution_finish(&solution);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_plan_and_its_list_are_one),
        cmocka_unit_test(the_other_end_is_the_other_way),
        cmocka_unit_test(what_is_sure_is_learned),
    };
    return cmocka_run_group_tests_name("did", tests, NULL, NULL);
}
