/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is the stated uncertainty true? Thousands of synthetic sweeps with the noise that the machine
   states, read with true rounding to the gauge's step: how often the 95 % region of the lean holds
   the true lean, how often a clean sweep is blamed, how often a misreading is found. */
#include <float.h>

#include <perpend/fit.h>
#include <perpend/status.h>
#include <perpend/units.h>

#include "support/support.h"

#define SWEEPS 20000
/* the bounds on the coverage are then four of its standard deviations away */
#define FEWEST 6000
#define MOST 64

struct condition {
    const char *name;
    enum perpend_gauge_kind kind;
    double step, spread; /* mm */
    bool spread_stated;
    size_t bearings, times, places;
    double steepest;    /* mm/mm; leans are drawn evenly up to it */
    double least, most; /* coverage allowed, % */
};

/* Feeler leaves in steps of 0.05 mm on an arm of 75 mm, as in the demo, first without and then with
   a spread; a dial; carriage positions on a bed as found; and repeats, stated and pooled. */
static const struct condition conditions[] = {
    {"leaves, 4 readings", PERPEND_GAUGE_GAP, 0.05, 0.0, true, 4, 1, 1, 0.010, 94.0, 97.0},
    {"leaves, 8 readings", PERPEND_GAUGE_GAP, 0.05, 0.0, true, 8, 1, 1, 0.010, 94.0, 97.0},
    {"leaves and spread, 4", PERPEND_GAUGE_GAP, 0.05, 0.02, true, 4, 1, 1, 0.010, 94.0, 97.0},
    {"leaves and spread, 8", PERPEND_GAUGE_GAP, 0.05, 0.02, true, 8, 1, 1, 0.010, 94.0, 97.0},
    {"dial, 8", PERPEND_GAUGE_DIAL, 0.01, 0.005, true, 8, 1, 1, 0.010, 94.0, 97.0},
    {"as found, 3 places of 4", PERPEND_GAUGE_GAP, 0.05, 0.02, true, 4, 1, 3, 0.010, 94.0, 97.0},
    {"leaves, 4 bearings 4 times, nearly level", PERPEND_GAUGE_GAP, 0.05, 0.005, true, 4, 4, 1,
        0.001, 94.0, 97.0},
    {"dial, 4 twice, spread pooled", PERPEND_GAUGE_DIAL, 0.01, 0.02, false, 4, 2, 1, 0.010, 94.0,
        97.0},
};

/* What happened in all the sweeps of one condition. */
struct tally {
    int sweeps, covered, blamed, found;
};

struct truth {
    struct perpend_slope lean, bed;
    double centre, arm;
};

static struct perpend_setup setup_of(const struct condition *condition)
{
    return (struct perpend_setup){
        .arm = {.length = 75.0,
            .relative_uncertainty = PERPEND_ARM_RELATIVE_UNCERTAINTY,
            .bearing_uncertainty = perpend_radians(PERPEND_ARM_BEARING_UNCERTAINTY_DEGREES)},
        .gauge = {.kind = condition->kind,
            .step = condition->step,
            .spread = condition->spread_stated ? condition->spread : NAN},
        .bed_faced = condition->places == 1,
    };
}

static struct truth draw_truth(const struct condition *condition, const struct perpend_setup *setup,
    struct test_random *random)
{
    double size = test_uniform(random, 0.0, condition->steepest);
    double toward = test_uniform(random, 0.0, 2.0 * PERPEND_PI);
    struct truth truth = {
        .lean = {size * sin(toward), size * cos(toward)},
        .centre = test_uniform(random, 1.0, 2.0),
        .arm = setup->arm.length * (1.0 + setup->arm.relative_uncertainty * test_normal(random)),
    };
    if (condition->places > 1)
        truth.bed = (struct perpend_slope){
            test_uniform(random, -0.003, 0.003), test_uniform(random, -0.003, 0.003)};
    return truth;
}

/* One reading: the arm aimed by eye, the gauge's spread, and its step. */
static double take(const struct condition *condition, const struct perpend_setup *setup,
    const struct truth *truth, const struct perpend_reading *at, struct test_random *random)
{
    double aimed = at->bearing + setup->arm.bearing_uncertainty * test_normal(random);
    double gap =
        truth->centre + perpend_gap(truth->lean, truth->bed, truth->arm, aimed, at->x, at->y);
    double reading = gap / perpend_gauge_gap_per_reading(&setup->gauge) +
                     condition->spread * test_normal(random);
    return condition->step * floor(reading / condition->step + 0.5);
}

static size_t take_all(const struct condition *condition, const struct perpend_setup *setup,
    const struct truth *truth, struct perpend_reading *readings, struct test_random *random)
{
    static const double places[3][2] = {{0.0, 0.0}, {200.0, 0.0}, {0.0, 150.0}};
    size_t count = 0;
    for (size_t place = 0; place < condition->places; place++) {
        for (size_t i = 0; i < condition->bearings * condition->times; i++) {
            struct perpend_reading *r = &readings[count++];
            *r = (struct perpend_reading){
                .bearing = 2.0 * PERPEND_PI * (double)i / (double)condition->bearings,
                .x = places[place][0],
                .y = places[place][1]};
            r->value = take(condition, setup, truth, r, random);
        }
    }
    return count;
}

/* Is the true lean inside the ellipse that holds 95 % of a bivariate normal? */
static bool covers(const struct perpend_fit *fit, struct perpend_slope lean)
{
    const double chi2_95 = 5.991464547; /* 2 degrees of freedom: −2 ln 0.05 */
    const struct perpend_slope_covariance *v = &fit->lean_covariance;
    double right = fit->lean.right - lean.right, back = fit->lean.back - lean.back;
    double squares = v->back_back * right * right - 2.0 * v->right_back * right * back +
                     v->right_right * back * back;
    return squares <= chi2_95 * (v->right_right * v->back_back - v->right_back * v->right_back);
}

static struct tally simulate(const struct condition *condition, struct test_random *random)
{
    struct perpend_setup setup = setup_of(condition);
    struct tally tally = {.sweeps = test_cases(SWEEPS, FEWEST)};
    for (int sweep = 0; sweep < tally.sweeps; sweep++) {
        struct perpend_reading readings[MOST];
        struct perpend_fit fit;
        struct truth truth = draw_truth(condition, &setup, random);
        size_t count = take_all(condition, &setup, &truth, readings, random);
        assert_int_equal(perpend_fit_readings(readings, count, &setup, NULL, &fit), PERPEND_OK);
        tally.covered += covers(&fit, truth.lean);
        tally.blamed += fit.suspect.index != PERPEND_FIT_NO_SUSPECT;

        size_t which = test_pick(random, count);
        readings[which].value += (test_pick(random, 2) == 1 ? 10.0 : -10.0) * condition->step;
        assert_int_equal(perpend_fit_readings(readings, count, &setup, NULL, &fit), PERPEND_OK);
        tally.found += fit.suspect.index == which;
    }
    return tally;
}

static double percent(const struct tally *tally, int count)
{
    return 100.0 * count / tally->sweeps;
}

static void check_condition(void **state)
{
    const struct condition *condition = *state;
    struct test_random random =
        test_random_start(condition->name, 61 + (uint64_t)(condition - conditions));
    struct tally tally = simulate(condition, &random);
    printf("# %s: %d sweeps, covered %.2f %%, blamed %.2f %%, found %.2f %%\n", condition->name,
        tally.sweeps, percent(&tally, tally.covered), percent(&tally, tally.blamed),
        percent(&tally, tally.found));
    assert_true(percent(&tally, tally.covered) >= condition->least);
    assert_true(percent(&tally, tally.covered) <= condition->most);
    assert_true(percent(&tally, tally.blamed) <= 6.0);
    /* eight readings with leaves: a misreading of ten steps is named */
    if (condition->kind == PERPEND_GAUGE_GAP && condition->bearings == 8)
        assert_true(percent(&tally, tally.found) >= 95.0);
}

/* Each condition is a test of its own, named after it. */
int main(void)
{
    struct CMUnitTest tests[sizeof conditions / sizeof *conditions];
    for (size_t i = 0; i < sizeof conditions / sizeof *conditions; i++)
        tests[i] = (struct CMUnitTest){.name = conditions[i].name,
            .test_func = check_condition,
            .initial_state = (void *)(uintptr_t)&conditions[i]};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
