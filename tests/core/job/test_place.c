/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Places are checked as they end: a misreading is found there, and named; exact readings raise no
   doubt. */
#include "support/support.h"

#include <perpend/job.h>
#include <perpend/machine.h>
#include <perpend/status.h>

#define PLACES 3
#define MOST 8

struct evening {
    struct perpend_machine machine;
    struct perpend_reading readings[PLACES][MOST];
    struct perpend_sweep sweeps[PLACES];
    struct perpend_job job;
    size_t bearings;
};

static void draw(struct test_random *random, size_t bearings, struct evening *evening)
{
    struct perpend_machine *machine = &evening->machine;
    const struct perpend_slope lean = {
        test_uniform(random, -0.008, 0.008), test_uniform(random, -0.008, 0.008)};
    const struct perpend_slope bed = {
        test_uniform(random, -0.002, 0.002), test_uniform(random, -0.002, 0.002)};
    const double at[PLACES][2] = {{8, 8}, {200, 8}, {200, 200}};
    perpend_machine_init(machine);
    machine->setup.arm.length = 75.0;
    machine->setup.gauge.step = 0.05;
    machine->setup.bed_faced = false;
    machine->cutter.diameter = 22.0;
    machine->facing.stepover = 10.0;
    evening->bearings = bearings;
    evening->job = (struct perpend_job){.sweeps = evening->sweeps, .sweep_count = PLACES};
    for (size_t p = 0; p < PLACES; p++) {
        evening->sweeps[p] = (struct perpend_sweep){.name = "",
            .x = at[p][0],
            .y = at[p][1],
            .readings = evening->readings[p],
            .reading_count = bearings};
        for (size_t i = 0; i < bearings; i++) {
            double bearing = 2.0 * PERPEND_PI * (double)i / (double)bearings;
            double gap = 3.0 + perpend_gap(lean, bed, 75.0, bearing, at[p][0], at[p][1]);
            evening->readings[p][i] = (struct perpend_reading){
                bearing, 0.05 * floor(gap / 0.05 + 0.5), at[p][0], at[p][1]};
        }
    }
}

static struct perpend_doubt doubt_at(const struct evening *evening, size_t place)
{
    struct perpend_doubt doubt;
    struct perpend_job so_far = {.sweeps = evening->job.sweeps, .sweep_count = place + 1};
    assert_int_equal(
        perpend_place_check(&evening->machine.setup, &so_far, place, &doubt), PERPEND_OK);
    return doubt;
}

static void a_misreading_is_found_at_its_place(void **state)
{
    (void)state;
    struct test_random random = test_random_start("places", 20261101);
    for (int round = 0; round < 300; round++) {
        struct evening evening;
        struct perpend_solution solution;
        draw(&random, round % 2 ? 4 : 8, &evening);
        size_t place = test_pick(&random, PLACES), index = test_pick(&random, evening.bearings);
        struct perpend_reading *wrong = &evening.readings[place][index];
        for (size_t p = 0; p < PLACES; p++)
            assert_int_equal(doubt_at(&evening, p).kind, PERPEND_DOUBT_NONE);
        double right = wrong->value;
        wrong->value += test_pick(&random, 2) ? 0.5 : -0.5;
        for (size_t p = 0; p < place; p++)
            assert_int_equal(doubt_at(&evening, p).kind, PERPEND_DOUBT_NONE);
        struct perpend_doubt doubt = doubt_at(&evening, place);
        assert_true(doubt.kind != PERPEND_DOUBT_NONE);
        assert_int_equal(doubt.sweep, place);
        assert_int_equal(doubt.place, place + 1);
        if (evening.bearings == 8) {
            assert_int_equal(doubt.kind, PERPEND_DOUBT_READING);
            assert_int_equal(doubt.index, index);
            assert_true(doubt.readings[0].value == wrong->value);
            assert_near(doubt.suspect.expected, right, 0.1);
        }
        assert_int_equal(
            perpend_job_solve(&evening.machine, &evening.job, &solution, NULL), PERPEND_OK);
        assert_int_equal(solution.measurements[0].doubt.kind, PERPEND_DOUBT_READING);
        assert_int_equal(solution.measurements[0].doubt.sweep, place);
        assert_int_equal(solution.measurements[0].doubt.index, index);
        perpend_solution_finish(&solution);
    }
}

/* Four that do not add up are named by bearing, wherever their sweep begins; what was adjusted
   between two sweeps parts them; too few readings raise no doubt. */
static void four_and_fewer(void **state)
{
    (void)state;
    struct test_random random = test_random_start("four", 20261102);
    struct evening evening;
    draw(&random, 4, &evening);
    struct perpend_reading *four = evening.readings[1], first = four[0];
    four[2].value += 0.5;
    for (size_t i = 0; i < 3; i++)
        four[i] = four[i + 1];
    four[3] = first;
    evening.sweeps[0].did_kind = PERPEND_DID_NOTHING;
    struct perpend_doubt doubt = doubt_at(&evening, 1);
    assert_int_equal(doubt.kind, PERPEND_DOUBT_CLOSURE);
    assert_int_equal(doubt.place, 1);
    assert_true(doubt.readings[0].bearing == 0.0 && doubt.readings[0].value == first.value);
    assert_near(doubt.closure.value, 0.5, 0.11);
    evening.sweeps[1].reading_count = 2;
    assert_int_equal(doubt_at(&evening, 1).kind, PERPEND_DOUBT_NONE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_misreading_is_found_at_its_place),
        cmocka_unit_test(four_and_fewer),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
