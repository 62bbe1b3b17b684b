/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is the ridge's stated interval true? Thousands of synthetic sweeps on a faced bed with the noise
   that the machine states, read with true rounding to the gauge's step: how often the 95 % interval
   of the ridge holds the ridge of the true lean; and whether `met` and `not met` may be relied on.
 */
#include "support/support.h"

#include <perpend/fit.h>
#include <perpend/status.h>
#include <perpend/distribution.h>
#include <perpend/units.h>
#include <perpend/verdict.h>

#include "core/propagate/ridge_distribution.h"

#define SWEEPS 15000
#define FEWEST 1500
#define MOST 8

struct condition {
    const char *name;
    size_t bearings;
    double step, spread; /* mm */
    double corner;       /* mm */
    bool both_ways;
    double along;    /* rad */
    double steepest; /* mm/mm; leans are drawn evenly up to it */
};

static const struct condition conditions[] = {
    {"leaves, 4 readings", 4, 0.05, 0.0, 0.0, false, PERPEND_ALONG_X, 0.010},
    {"leaves, 8 readings", 8, 0.05, 0.0, 0.0, false, PERPEND_ALONG_X, 0.010},
    {"leaves and spread, 4 readings, both ways", 4, 0.05, 0.02, 0.0, true, 0.0, 0.010},
    {"leaves and spread, 8 readings, rounded bit", 8, 0.05, 0.02, 0.5, false, PERPEND_ALONG_Y,
        0.010},
    {"dial, 8 readings, askew", 8, 0.01, 0.005, 0.0, false, 0.7, 0.003},
};

struct tally {
    int covered, met, met_wrongly, not_met, not_met_wrongly;
};

static void take_readings(const struct condition *condition, const struct perpend_setup *setup,
    struct perpend_slope lean, struct perpend_reading *readings, struct test_random *random)
{
    const struct perpend_slope none = {0.0, 0.0};
    double centre = test_uniform(random, 1.0, 2.0);
    double arm = setup->arm.length * (1.0 + setup->arm.relative_uncertainty * test_normal(random));
    for (size_t i = 0; i < condition->bearings; i++) {
        double bearing = 2.0 * PERPEND_PI * (double)i / (double)condition->bearings;
        double aimed = bearing + setup->arm.bearing_uncertainty * test_normal(random);
        double gap = centre + perpend_gap(lean, none, arm, aimed, 0.0, 0.0);
        double reading = gap + condition->spread * test_normal(random);
        readings[i] = (struct perpend_reading){
            bearing, condition->step * floor(reading / condition->step + 0.5), 0.0, 0.0};
    }
}

static void one_sweep(
    const struct condition *condition, struct test_random *random, struct tally *tally)
{
    const struct perpend_setup setup = {
        {75.0, PERPEND_ARM_RELATIVE_UNCERTAINTY,
            perpend_radians(PERPEND_ARM_BEARING_UNCERTAINTY_DEGREES)},
        {PERPEND_GAUGE_GAP, false, 0.0, condition->step, condition->spread}, .bed_faced = true};
    const struct perpend_cutter cutter = {22.0, condition->corner};
    const struct perpend_facing facing = {10.0, condition->both_ways, condition->along, NAN};
    const double goal = 0.02;
    double size = test_uniform(random, 0.0, condition->steepest);
    double toward = test_uniform(random, 0.0, 2.0 * PERPEND_PI), height;
    struct perpend_slope lean = {size * sin(toward), size * cos(toward)};
    struct perpend_reading readings[MOST];
    struct perpend_fit fit;
    struct perpend_distribution d;

    assert_int_equal(perpend_ridge_facing(lean, &cutter, &facing, &height), PERPEND_OK);
    take_readings(condition, &setup, lean, readings, random);
    assert_int_equal(
        perpend_fit_readings(readings, condition->bearings, &setup, NULL, &fit), PERPEND_OK);
    struct perpend_uncertain_lean found = {fit.lean, fit.lean_covariance, INFINITY};
    assert_int_equal(ridge_distribution_roughly(&found, &cutter, &facing, goal, &d), PERPEND_OK);
    tally->covered += d.low <= height && height <= d.high;
    enum perpend_verdict verdict = perpend_verdict_for(d.chance);
    tally->met += verdict == PERPEND_VERDICT_MET;
    tally->met_wrongly += verdict == PERPEND_VERDICT_MET && height > goal;
    tally->not_met += verdict == PERPEND_VERDICT_NOT_MET;
    tally->not_met_wrongly += verdict == PERPEND_VERDICT_NOT_MET && height <= goal;
}

static void check(const struct condition *condition, uint64_t seed)
{
    struct test_random random = test_random_start(condition->name, seed);
    struct tally tally = {0};
    const int sweeps = test_cases(SWEEPS, FEWEST);
    for (int i = 0; i < sweeps; i++)
        one_sweep(condition, &random, &tally);
    double covered = 100.0 * tally.covered / sweeps;
    printf("# covered %.2f %%; met %d times, %d wrongly; not met %d times, %d wrongly\n", covered,
        tally.met, tally.met_wrongly, tally.not_met, tally.not_met_wrongly);
    /* half a percent for what is not quite normal, and four standard deviations of the count */
    assert_near(covered, 95.0, 0.6 + 400.0 * sqrt(0.95 * 0.05 / sweeps));
    assert_true(tally.met > 0 && tally.met_wrongly <= tally.met / 20);
    assert_true(tally.not_met > 0 && tally.not_met_wrongly <= tally.not_met / 20);
}

static void interval_holds_the_truth(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof conditions / sizeof *conditions; i++)
        check(&conditions[i], 20250401 + i);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(interval_holds_the_truth),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
