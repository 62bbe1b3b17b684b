/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The advisor at work on thousands of machines that exist only as numbers (simulated_bench.h):
   sweep, fit, learn, plan, adjust, until the sweep is sure of the goal or the adjustments are used
   up. Success is judged by the true ridge. Beside it, on the same machines, the advisor without
   learning, and the rule of thumb. */
#include "support/simulated_bench.h"

#include <time.h>

#define MACHINES 10000

#define MOST_READINGS 8

/* Stocks that such places have (common practice, no source): kitchen foil, heavy foil, feeler
   leaves, can wall, washers; a set of shim steel. */
static const struct workplace shed = {
    .name = "shed",
    .gauge_step = 0.05,
    .gauge_spread = 0.02,
    .readings = 4,
    .gain_low = 0.5,
    .gain_high = 1.2,
    .coupling = 0.15,
    .settling = 1e-4,
    .goal = 0.02,
    .adjustments = 2,
    .thick = {0.016, 0.024, 0.05, 0.10, 0.30},
    .count = {60, 30, 10, 20, 6},
    .kinds = 5,
};
static const struct workplace shop = {
    .name = "shop",
    .gauge_step = 0.01,
    .gauge_spread = 0.005,
    .readings = 8,
    .dial = true,
    .gain_low = 0.5,
    .gain_high = 1.2,
    .coupling = 0.15,
    .settling = 5e-5,
    .goal = 0.005,
    .both_ways = true,
    .adjustments = 3,
    .thick = {0.01, 0.02, 0.05, 0.10, 0.20, 0.30, 0.50},
    .count = {10, 10, 10, 10, 8, 8, 8},
    .kinds = 7,
};

static struct workplace loose(void)
{
    struct workplace place = shop;
    place.name = "loose";
    place.gain_low = 0.3;
    place.gain_high = 1.5;
    place.coupling = 0.3;
    return place;
}

enum way { WAY_ADVISOR, WAY_WITHOUT_LEARNING, WAY_THUMB };

/* How they fared. */
struct outcome {
    int machines;
    int met;
    int after[4]; /* adjustments made, of those that met it */
    double ridge; /* mean of the true ridges */
    double seconds;
};

/* The goal holds at two standard uncertainties every way. */
static bool surely_met(const struct bench *bench, const struct perpend_fit *fit)
{
    double right = 2.0 * sqrt(fit->lean_covariance.right_right);
    double back = 2.0 * sqrt(fit->lean_covariance.back_back);
    for (int i = -1; i <= 1; i++)
        for (int j = -1; j <= 1; j++) {
            struct perpend_slope lean = {fit->lean.right + i * right, fit->lean.back + j * back};
            double ridge = INFINITY;
            assert_int_equal(
                perpend_ridge_facing(lean, &bench->cutter, &bench->facing, &ridge), PERPEND_OK);
            if (ridge > bench->place->goal)
                return false;
        }
    return true;
}

/* What the advisor knows from one round to the next. */
struct advisor {
    bool learns;
    struct perpend_response response;
    struct perpend_slope asked;
    struct perpend_fit before;
};

static void advise(struct advisor *advisor, struct bench *bench, const struct perpend_fit *fit)
{
    struct perpend_plan_input input = {
        .lean = fit->lean,
        .mount = &bench->mount,
        .stock = &bench->stock,
        .response = &advisor->response,
        .cutter = &bench->cutter,
        .facing = &bench->facing,
        .goal = bench->place->goal,
        .turned = bench->believed_turn,
    };
    struct perpend_plan plan;
    assert_int_equal(perpend_plan_make(&input, &plan), PERPEND_OK);
    bench_follow(bench, &plan);
    advisor->asked = plan.asked;
    advisor->before = *fit;
    perpend_plan_finish(&plan);
}

/* Half the gap seen between opposite readings goes under one end, of whichever axis shows the
   larger one; any thickness is at hand, and the plate is shimmed for the back, the bracket for the
   side. */
static void rule_of_thumb(struct bench *bench, const struct perpend_reading *readings)
{
    size_t quarter = bench->place->readings / 4;
    double sign = bench->place->dial ? -1.0 : 1.0;
    double back = sign * (readings[0].value - readings[2 * quarter].value);
    double right = sign * (readings[quarter].value - readings[3 * quarter].value);
    if (fabs(back) >= fabs(right)) /* a larger gap at the front: the top leans back */
        bench_yield(bench, 0.0, back / 2.0 / 80.0);
    else
        bench_yield(bench, right / 2.0 / 60.0, 0.0);
}

/* One machine from found to done; how many adjustments it took. */
static int put_right(struct bench *bench, enum way way)
{
    struct advisor advisor = {.learns = way == WAY_ADVISOR, .response = perpend_response_start()};
    for (int round = 0;; round++) {
        struct perpend_reading readings[MOST_READINGS];
        struct perpend_fit fit;
        bench_sweep(bench, readings);
        assert_int_equal(
            perpend_fit_readings(readings, bench->place->readings, &bench->setup, NULL, &fit),
            PERPEND_OK);
        if (round > 0 && advisor.learns) {
            const struct perpend_slope was = advisor.before.lean;
            const struct perpend_slope_covariance a = fit.lean_covariance,
                                                  c = advisor.before.lean_covariance;
            assert_int_equal(
                perpend_response_learn(&advisor.response, advisor.asked,
                    (struct perpend_slope){fit.lean.right - was.right, fit.lean.back - was.back},
                    (struct perpend_slope_covariance){a.right_right + c.right_right,
                        a.right_back + c.right_back, a.back_back + c.back_back},
                    NULL),
                PERPEND_OK);
        }
        if (round == bench->place->adjustments || surely_met(bench, &fit))
            return round;
        if (way == WAY_THUMB)
            rule_of_thumb(bench, readings);
        else
            advise(&advisor, bench, &fit);
    }
}

static struct outcome simulate(const struct workplace *place, enum way way, uint64_t seed)
{
    struct test_random seeds = {seed};
    struct outcome outcome = {.machines = test_cases(MACHINES, 1000)};
    clock_t start = clock();
    for (int n = 0; n < outcome.machines; n++) {
        /* the same machine for each way: its own stream of random numbers */
        struct test_random random = {test_random_bits(&seeds)};
        struct bench bench;
        bench_start(&bench, place, &random);
        int rounds = put_right(&bench, way);
        double ridge = bench_ridge(&bench);
        outcome.ridge += ridge / outcome.machines;
        if (ridge > place->goal)
            continue;
        outcome.met++;
        outcome.after[rounds]++;
    }
    outcome.seconds = (double)(clock() - start) / CLOCKS_PER_SEC;
    return outcome;
}

static double percent(const struct outcome *outcome, int count)
{
    return 100.0 * count / outcome->machines;
}

static void print_outcome(const char *way, const struct outcome *outcome)
{
    printf(
        "#   %-18s %6.2f %%   after 0: %5.1f  1: %5.1f  2: %5.1f  3: %5.1f   mean ridge %.4f mm   "
        "%.1f s\n",
        way, percent(outcome, outcome->met), percent(outcome, outcome->after[0]),
        percent(outcome, outcome->after[1]), percent(outcome, outcome->after[2]),
        percent(outcome, outcome->after[3]), outcome->ridge, outcome->seconds);
}

/* Run a workplace three ways and hold the advisor to its share. */
static void hold_to(const struct workplace *place, double share)
{
    struct test_random random = test_random_start(place->name, 20);
    uint64_t seed = random.state;
    struct outcome advisor = simulate(place, WAY_ADVISOR, seed);
    struct outcome unlearned = simulate(place, WAY_WITHOUT_LEARNING, seed);
    struct outcome thumb = simulate(place, WAY_THUMB, seed);
    printf("# %s, %d machines: goal %g mm within %d adjustments\n", place->name, advisor.machines,
        place->goal, place->adjustments);
    print_outcome("advisor", &advisor);
    print_outcome("without learning", &unlearned);
    print_outcome("rule of thumb", &thumb);
    assert_true(percent(&advisor, advisor.met) >= share);
    assert_true(advisor.met > unlearned.met);
    assert_true(unlearned.met > thumb.met);
}

static void in_the_shed(void **state)
{
    (void)state;
    hold_to(&shed, 98.0);
}

static void in_the_shop(void **state)
{
    (void)state;
    hold_to(&shop, 99.0);
}

static void on_loose_mounts(void **state)
{
    (void)state;
    struct workplace place = loose();
    hold_to(&place, 97.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(in_the_shed),
        cmocka_unit_test(in_the_shop),
        cmocka_unit_test(on_loose_mounts),
    };
    return cmocka_run_group_tests_name("simulator", tests, NULL, NULL);
}
