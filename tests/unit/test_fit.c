/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Laws of the sweep fit: exact readings return the lean; turning the world turns the answer; what
   cannot be known is refused or said. */
#include <string.h>

#include <perpend/fit.h>
#include <perpend/status.h>
#include <perpend/units.h>

#include "support.h"

#define MOST 64
#define STEEPEST 0.050 /* 50 mm/m */

enum layout { FACED, ONE_PLACE, IN_A_LINE, ALL_OVER, LAYOUTS };

/* A random machine and what it would truly read. */
struct world {
    struct perpend_setup setup;
    struct perpend_slope lean, bed;
    double centre;
    size_t count;
    struct perpend_reading readings[MOST];
};

static struct perpend_slope random_slope(struct test_random *random, double most)
{
    double size = test_uniform(random, 0.0, most);
    double toward = test_uniform(random, 0.0, 2.0 * PERPEND_PI);
    return (struct perpend_slope){size * sin(toward), size * cos(toward)};
}

static struct perpend_setup random_setup(struct test_random *random)
{
    enum perpend_gauge_kind kind = (enum perpend_gauge_kind)test_pick(random, 4);
    return (struct perpend_setup){
        .arm = {.length = test_uniform(random, 20.0, 300.0),
            .relative_uncertainty = PERPEND_ARM_RELATIVE_UNCERTAINTY,
            .bearing_uncertainty = perpend_radians(PERPEND_ARM_BEARING_UNCERTAINTY_DEGREES)},
        .gauge = {.kind = kind,
            .rises_away = test_pick(random, 2) == 1,
            .angle = kind == PERPEND_GAUGE_LEVER ? test_uniform(random, 0.0, 1.2) : 0.0,
            .step = pow(10.0, test_uniform(random, -3.0, -1.0)),
            .spread = test_pick(random, 2) == 1 ? NAN : test_uniform(random, 0.0, 0.05)},
        .bed_faced = true,
    };
}

static void read_exactly(struct world *world)
{
    double factor = perpend_gauge_gap_per_reading(&world->setup.gauge);
    for (size_t i = 0; i < world->count; i++) {
        struct perpend_reading *r = &world->readings[i];
        r->value = perpend_gap(world->centre, world->lean, world->bed, world->setup.arm.length,
                       r->bearing, r->x, r->y) /
                   factor;
    }
}

static struct world random_world(struct test_random *random, enum layout layout, size_t fewest)
{
    struct world world = {.setup = random_setup(random)};
    world.lean = random_slope(random, STEEPEST);
    world.setup.bed_faced = layout == FACED;
    if (layout == IN_A_LINE || layout == ALL_OVER)
        world.bed = random_slope(random, 0.010);
    world.centre = test_uniform(random, -50.0, 50.0);
    world.count = fewest + test_pick(random, MOST - fewest + 1);
    double along = test_uniform(random, 0.0, PERPEND_PI);
    double x = test_uniform(random, -100.0, 100.0), y = test_uniform(random, -100.0, 100.0);
    for (size_t i = 0; i < world.count; i++) {
        double t = test_uniform(random, -300.0, 300.0);
        world.readings[i].bearing = test_uniform(random, -PERPEND_PI, 3.0 * PERPEND_PI);
        world.readings[i].x = x;
        world.readings[i].y = y;
        if (layout == IN_A_LINE) {
            world.readings[i].x = x + t * cos(along);
            world.readings[i].y = y + t * sin(along);
        } else if (layout != ONE_PLACE) {
            world.readings[i].x = test_uniform(random, 0.0, 400.0);
            world.readings[i].y = test_uniform(random, 0.0, 300.0);
        }
    }
    read_exactly(&world);
    return world;
}

static void print_world(int trial, const struct world *world, int status)
{
    printf("# case %d: status %d, %zu readings, kind %d, arm %.6g, lean %.9g %.9g, bed %.9g %.9g\n",
        trial, status, world->count, (int)world->setup.gauge.kind, world->setup.arm.length,
        world->lean.right, world->lean.back, world->bed.right, world->bed.back);
    for (size_t i = 0; i < world->count; i++)
        printf("#   %.9f %.12f %.6f %.6f\n", world->readings[i].bearing, world->readings[i].value,
            world->readings[i].x, world->readings[i].y);
}

static double slope_distance(struct perpend_slope a, struct perpend_slope b)
{
    return hypot(a.right - b.right, a.back - b.back);
}

/* Bearings and places are drawn without regard to sense, so that some sweeps are refused as noise
   (bearings close together, few of them): counted, and none of the others is left out. */
static void exact_readings_return_the_lean(enum layout layout, size_t fewest, uint64_t seed)
{
    struct test_random random = test_random_start("exact readings return the lean", seed);
    int refused = 0;
    double worst = 0.0;
    for (int trial = 0; trial < 5000; trial++) {
        struct world world = random_world(&random, layout, fewest);
        double residual[MOST], off, most = 0.0;
        struct perpend_fit fit;
        if (layout == IN_A_LINE) /* only the sum is known: exact when the rest is level */
            world.bed = (struct perpend_slope){0.0, 0.0};
        read_exactly(&world);
        int status =
            perpend_fit_readings(world.readings, world.count, &world.setup, residual, &fit);
        if (status == PERPEND_ERR_UNDETERMINED) {
            refused++;
            assert_true(fit.need == PERPEND_NEED_BEARING);
            continue;
        }
        off = slope_distance(fit.lean, world.lean);
        if (layout == ALL_OVER && fit.bed_separated)
            off = fmax(off, slope_distance(fit.bed, world.bed));
        for (size_t i = 0; i < world.count; i++) {
            double again = perpend_fit_predict(&fit, &world.setup, world.readings[i].bearing,
                world.readings[i].x, world.readings[i].y);
            most = fmax(most, fabs(residual[i]));
            most = fmax(most, fabs(again - world.readings[i].value));
        }
        if (status != PERPEND_OK || !(off <= 1e-9) || !(most <= 1e-9) ||
            fit.bed_separated != (layout == ALL_OVER) ||
            fit.includes_bed != (layout == ONE_PLACE || layout == IN_A_LINE)) {
            print_world(trial, &world, status);
            printf("# off by %.3g, largest residual %.3g\n", off, most);
            fail();
        }
        worst = fmax(worst, off);
    }
    printf("# off by at most %.1e; %d of 5000 refused\n", worst, refused);
    assert_true(refused < 500);
}

static void exact_on_a_faced_bed(void **state)
{
    (void)state;
    exact_readings_return_the_lean(FACED, 3, 41);
}

static void exact_on_a_bed_as_found(void **state)
{
    (void)state;
    exact_readings_return_the_lean(ALL_OVER, 5, 42);
}

static void exact_at_one_place(void **state)
{
    (void)state;
    exact_readings_return_the_lean(ONE_PLACE, 3, 43);
}

static void exact_in_a_line(void **state)
{
    (void)state;
    exact_readings_return_the_lean(IN_A_LINE, 4, 44);
}

/* With the bed's slope mixed in, the sum comes out, to the third order of the slopes; the slope
   along the line of the places is told, and predictions at those places hold. */
static void sum_of_lean_and_bed(void **state)
{
    (void)state;
    struct test_random random = test_random_start("sum of lean and bed", 45);
    for (int trial = 0; trial < 2000; trial++) {
        enum layout layout = trial % 2 == 0 ? ONE_PLACE : IN_A_LINE;
        struct world world = random_world(&random, layout, 8);
        struct perpend_fit fit;
        world.lean = random_slope(&random, 0.010);
        world.bed = random_slope(&random, 0.005);
        read_exactly(&world);
        int status = perpend_fit_readings(world.readings, world.count, &world.setup, NULL, &fit);
        if (status == PERPEND_ERR_UNDETERMINED)
            continue;
        struct perpend_slope sum = {
            world.lean.right + world.bed.right, world.lean.back + world.bed.back};
        bool right = status == PERPEND_OK && fit.includes_bed && !fit.bed_separated &&
                     slope_distance(fit.lean, sum) <= 2e-5 && fit.need == PERPEND_NEED_PLACE;
        const struct perpend_reading *first = &world.readings[0], *last = &world.readings[1];
        if (layout == IN_A_LINE) {
            double dx = last->x - first->x, dy = last->y - first->y;
            double rise = world.bed.right * dx + world.bed.back * dy;
            double found = fit.travel.right * dx + fit.travel.back * dy;
            right = right && fabs(rise - found) <= 2e-5 * hypot(dx, dy);
        }
        if (!right) {
            print_world(trial, &world, status);
            fail();
        }
    }
}

static void add_noise(struct world *world, struct test_random *random, double size)
{
    for (size_t i = 0; i < world->count; i++)
        world->readings[i].value += size * test_normal(random);
}

static void assert_same_judgement(const struct perpend_fit *a, const struct perpend_fit *b)
{
    assert_relative(a->chi2, b->chi2, 1e-6);
    assert_relative(a->rms, b->rms, 1e-6);
    assert_int_equal(a->dof, b->dof);
    assert_int_equal(a->suspect == PERPEND_FIT_NO_SUSPECT, b->suspect == PERPEND_FIT_NO_SUSPECT);
}

/* The whole world turned by any angle: the answer and its covariance turn with it. */
static void turning_the_world_turns_the_answer(void **state)
{
    (void)state;
    struct test_random random = test_random_start("turning the world", 46);
    for (int trial = 0; trial < 2000; trial++) {
        struct world world = random_world(&random, (enum layout)test_pick(&random, LAYOUTS), 8);
        add_noise(&world, &random, 0.02);
        struct world turned = world;
        double angle = trial % 2 == 0 ? PERPEND_PI / 2.0 : test_uniform(&random, 0.0, 6.0);
        double c = cos(angle), s = sin(angle); /* clockwise, as bearings run */
        for (size_t i = 0; i < world.count; i++) {
            const struct perpend_reading *r = &world.readings[i];
            turned.readings[i].bearing = r->bearing + angle;
            turned.readings[i].x = c * r->x + s * r->y;
            turned.readings[i].y = c * r->y - s * r->x;
        }
        struct perpend_fit fit, other;
        int status = perpend_fit_readings(world.readings, world.count, &world.setup, NULL, &fit);
        assert_int_equal(
            perpend_fit_readings(turned.readings, turned.count, &turned.setup, NULL, &other),
            status);
        if (status != PERPEND_OK)
            continue;
        struct perpend_slope want = {
            c * fit.lean.right + s * fit.lean.back, c * fit.lean.back - s * fit.lean.right};
        assert_near(slope_distance(other.lean, want), 0.0, 1e-10);
        const struct perpend_slope_covariance *v = &fit.lean_covariance;
        double rr = c * c * v->right_right + 2.0 * c * s * v->right_back + s * s * v->back_back;
        double total = v->right_right + v->back_back;
        assert_near(other.lean_covariance.right_right, rr, 1e-6 * total);
        assert_near(other.lean_covariance.back_back, total - rr, 1e-6 * total);
        assert_same_judgement(&fit, &other);
    }
}

/* Every length in another unit: slopes do not change. */
static void units_make_no_difference(void **state)
{
    (void)state;
    struct test_random random = test_random_start("units make no difference", 47);
    for (int trial = 0; trial < 2000; trial++) {
        struct world world = random_world(&random, (enum layout)test_pick(&random, LAYOUTS), 8);
        add_noise(&world, &random, 0.02);
        struct world inch = world;
        inch.setup.arm.length /= PERPEND_MM_PER_INCH;
        inch.setup.gauge.step /= PERPEND_MM_PER_INCH;
        inch.setup.gauge.spread /= PERPEND_MM_PER_INCH;
        for (size_t i = 0; i < world.count; i++) {
            inch.readings[i].value /= PERPEND_MM_PER_INCH;
            inch.readings[i].x /= PERPEND_MM_PER_INCH;
            inch.readings[i].y /= PERPEND_MM_PER_INCH;
        }
        struct perpend_fit fit, other;
        int status = perpend_fit_readings(world.readings, world.count, &world.setup, NULL, &fit);
        assert_int_equal(
            perpend_fit_readings(inch.readings, inch.count, &inch.setup, NULL, &other), status);
        if (status != PERPEND_OK)
            continue;
        assert_near(slope_distance(other.lean, fit.lean), 0.0, 1e-12);
        assert_relative(other.lean_covariance.right_right, fit.lean_covariance.right_right, 1e-8);
        assert_relative(other.chi2, fit.chi2, 1e-8);
        assert_near(other.rms * PERPEND_MM_PER_INCH, fit.rms, 1e-12);
    }
}

/* The order in which readings were taken is no part of the answer. */
static void order_makes_no_difference(void **state)
{
    (void)state;
    struct test_random random = test_random_start("order makes no difference", 48);
    for (int trial = 0; trial < 1000; trial++) {
        struct world world = random_world(&random, FACED, 8);
        add_noise(&world, &random, 0.02);
        struct world shuffled = world;
        for (size_t i = world.count - 1; i > 0; i--) {
            size_t j = test_pick(&random, i + 1);
            struct perpend_reading kept = shuffled.readings[i];
            shuffled.readings[i] = shuffled.readings[j];
            shuffled.readings[j] = kept;
        }
        struct perpend_fit fit, other;
        assert_int_equal(
            perpend_fit_readings(world.readings, world.count, &world.setup, NULL, &fit),
            perpend_fit_readings(shuffled.readings, world.count, &world.setup, NULL, &other));
        assert_near(slope_distance(other.lean, fit.lean), 0.0, 1e-12);
        assert_same_judgement(&fit, &other);
        if (fit.suspect != PERPEND_FIT_NO_SUSPECT && fit.suspect_twin == PERPEND_FIT_NO_SUSPECT)
            assert_true(
                world.readings[fit.suspect].value == shuffled.readings[other.suspect].value);
    }
}

/* A plain sweep of n readings evenly spaced, all gaps alike but for the lean. */
static struct world even_sweep(size_t count, size_t times, struct perpend_slope lean)
{
    struct world world = {
        .setup = {.arm = {.length = 75.0},
            .gauge = {.kind = PERPEND_GAUGE_GAP, .step = 0.05, .spread = NAN},
            .bed_faced = true},
        .lean = lean,
        .centre = 1.0,
        .count = count * times,
    };
    for (size_t i = 0; i < world.count; i++)
        world.readings[i].bearing = 2.0 * PERPEND_PI * (double)(i % count) / (double)count;
    read_exactly(&world);
    return world;
}

static struct perpend_fit fit_of(const struct world *world)
{
    struct perpend_fit fit;
    assert_int_equal(
        perpend_fit_readings(world->readings, world->count, &world->setup, NULL, &fit), PERPEND_OK);
    return fit;
}

/* For n evenly spaced readings of uncertainty u: u_lean = u/R √(2/n), u_centre = u/√n, no
   correlation (from the normal equations of equal steps round a circle). */
static void uncertainty_of_an_even_sweep(void **state)
{
    (void)state;
    const double u = 0.05 / sqrt(12.0);
    for (size_t count = 3; count <= MOST; count++) {
        struct world world = even_sweep(count, 1, (struct perpend_slope){0.0, 0.0});
        struct perpend_fit fit = fit_of(&world);
        double want = u * u / (75.0 * 75.0) * 2.0 / (double)count;
        assert_relative(fit.lean_covariance.right_right, want, 1e-12);
        assert_relative(fit.lean_covariance.back_back, want, 1e-12);
        assert_near(fit.lean_covariance.right_back, 0.0, 1e-12 * want);
        assert_relative(fit.centre_uncertainty, u / sqrt((double)count), 1e-12);
        assert_relative(fit.reading_uncertainty, u, 1e-15);
    }
}

/* The arm's length: u_R/R of the lean along the lean, nothing across it. */
static void uncertainty_of_the_arm(void **state)
{
    (void)state;
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.006, -0.008});
    struct perpend_fit without = fit_of(&world);
    world.setup.arm.relative_uncertainty = 0.02;
    struct perpend_fit with = fit_of(&world);
    struct perpend_slope_covariance a = with.lean_covariance, b = without.lean_covariance;
    assert_relative(a.right_right - b.right_right, 0.006 * 0.006 * 4e-4, 1e-7);
    assert_relative(a.right_back - b.right_back, -0.006 * 0.008 * 4e-4, 1e-7);
    assert_relative(a.back_back - b.back_back, 0.008 * 0.008 * 4e-4, 1e-7);
    assert_true(with.chi2 == without.chi2 || with.chi2 < 1e-20);
}

/* The arm's bearing turns lean into gap where the wave is steep: a lean to the back makes the right
   and left readings uncertain by R t u_aim, so that the lean to the right is. */
static void uncertainty_of_the_aim(void **state)
{
    (void)state;
    const double u = 0.05 / sqrt(12.0), aim = perpend_radians(2.0), t = 0.010, arm = 75.0;
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.0, t});
    world.setup.arm.bearing_uncertainty = aim;
    struct perpend_fit fit = fit_of(&world);
    double side = u * u + arm * t * aim * arm * t * aim;
    double wave = u * u + 0.5 * arm * t * aim * aim * arm * t * aim * aim;
    assert_relative(fit.lean_covariance.right_right, side / (2.0 * arm * arm), 1e-4);
    assert_relative(fit.lean_covariance.back_back, wave / (2.0 * arm * arm), 1e-3);
}

/* Readings that repeat to the same step on a level bed tell no more than one of each: what rounding
   hides, it hides each time. A spread of a step shakes it loose, and the mean then counts. */
static void repeats_do_not_shed_their_rounding(void **state)
{
    (void)state;
    const struct perpend_slope level = {0.0, 0.0};
    struct world once = even_sweep(4, 1, level), often = even_sweep(4, 16, level);
    once.setup.gauge.spread = often.setup.gauge.spread = 0.0;
    double ratio =
        fit_of(&often).lean_covariance.right_right / fit_of(&once).lean_covariance.right_right;
    assert_near(ratio, 1.0, 1e-3);
    once.setup.gauge.spread = often.setup.gauge.spread = 0.05;
    ratio = fit_of(&often).lean_covariance.right_right / fit_of(&once).lean_covariance.right_right;
    assert_near(ratio, 1.0 / 16.0, 1e-3);
}

/* Spread not stated: pooled from the repeats, and a covariance wider by the F quantile for its few
   degrees of freedom. Stated: taken as it stands. */
static void pooled_spread_is_used(void **state)
{
    (void)state;
    struct world world = even_sweep(4, 2, (struct perpend_slope){0.0, 0.0});
    world.setup.gauge.step = 1e-4;
    for (size_t i = 0; i < 8; i++) /* pairs 0.02 apart, alternately: variance 0.0002 each */
        world.readings[i].value += (i < 4) == (i % 2 == 0) ? 0.01 : -0.01;
    struct perpend_fit pooled = fit_of(&world);
    assert_relative(pooled.spread_used, sqrt(0.0002), 1e-12);
    assert_int_equal(pooled.spread_dof, 4);
    /* F(2, 4) at 95 % is 6.944, chi-square of 2 is 5.991 (tables) */
    assert_relative(pooled.few_repeats, sqrt(2.0 * 6.944 / 5.991), 1e-3);
    world.setup.gauge.spread = sqrt(0.0002);
    struct perpend_fit stated = fit_of(&world);
    assert_int_equal(stated.spread_dof, 0);
    assert_true(stated.few_repeats == 1.0);
    assert_relative(pooled.lean_covariance.right_right,
        stated.lean_covariance.right_right * pooled.few_repeats * pooled.few_repeats, 1e-9);
}

/* Residuals beyond what the gauge explains widen the answer by √(χ²/dof); never narrow it. */
static void birge_widens(void **state)
{
    (void)state;
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.003, 0.0});
    struct perpend_fit clean = fit_of(&world);
    assert_true(clean.birge == 1.0);
    assert_near(clean.p, 1.0, 1e-9);
    world.readings[0].value += 0.1; /* closure: residuals ± 0.025, χ² = 4 (0.025/u)² = 12 */
    struct perpend_fit off = fit_of(&world);
    assert_near(off.chi2, 12.0, 1e-3);
    assert_int_equal(off.dof, 1);
    assert_near(off.birge, sqrt(12.0), 1e-3);
    assert_near(off.p, 0.000532, 1e-6); /* chi-square tail at 12, 1 dof (tables) */
    assert_relative(off.lean_covariance.back_back, 12.0 * clean.lean_covariance.back_back, 1e-3);
    assert_near(off.rms, 0.025, 1e-5);
}

static void closure_of_four(void **state)
{
    (void)state;
    struct test_random random = test_random_start("closure of four", 49);
    for (int trial = 0; trial < 1000; trial++) {
        struct world world = even_sweep(4, 1, random_slope(&random, STEEPEST));
        double start = test_uniform(&random, -7.0, 7.0), slip = test_uniform(&random, -0.3, 0.3);
        size_t which = test_pick(&random, 4), first = 0;
        for (size_t i = 0; i < 4; i++)
            world.readings[i].bearing += start;
        read_exactly(&world);
        world.readings[which].value += slip;
        struct perpend_fit fit = fit_of(&world);
        /* the sign goes by rank from the lowest bearing on */
        double lowest = INFINITY;
        for (size_t i = 0; i < 4; i++) {
            double reduced = fmod(world.readings[i].bearing, 2.0 * PERPEND_PI);
            reduced += reduced < 0.0 ? 2.0 * PERPEND_PI : 0.0;
            if (reduced < lowest) {
                lowest = reduced;
                first = i;
            }
        }
        assert_true(fit.closure_checked);
        assert_near(fit.closure, (which - first) % 2 == 0 ? slip : -slip, 1e-12);
        assert_near(fit.closure_limit, 1.959964 * 2.0 * 0.05 / sqrt(12.0), 1e-6);
        assert_int_equal(fit.closure_off, fabs(slip) > fit.closure_limit);
    }
}

static void closure_needs_quarter_turns(void **state)
{
    (void)state;
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.0, 0.0});
    world.readings[2].bearing += 0.01;
    assert_false(fit_of(&world).closure_checked);
    world = even_sweep(5, 1, (struct perpend_slope){0.0, 0.0});
    assert_false(fit_of(&world).closure_checked);
    world = even_sweep(3, 1, (struct perpend_slope){0.0, 0.0});
    assert_false(fit_of(&world).closure_checked);
}

static void suspect_is_named(void **state)
{
    (void)state;
    const struct perpend_slope lean = {0.002, 0.004};
    struct test_random random = test_random_start("suspect is named", 50);
    for (int trial = 0; trial < 500; trial++) {
        struct world world = even_sweep(6 + test_pick(&random, 20), 1, lean);
        world.setup.gauge.spread = 0.005;
        add_noise(&world, &random, 0.005);
        struct world rest = world;
        size_t which = test_pick(&random, world.count);
        world.readings[which].value += trial % 2 == 0 ? 1.0 : -1.0;
        struct perpend_fit fit = fit_of(&world);
        if (fit.suspect != which || fit.suspect_twin != PERPEND_FIT_NO_SUSPECT) {
            print_world(trial, &world, PERPEND_OK);
            printf("# misread %zu, named %zd\n", which, (ssize_t)fit.suspect);
            fail();
        }
        assert_true(fabs(fit.suspect_studentised) > fit.suspect_limit);
        assert_true((fit.suspect_studentised > 0.0) == (trial % 2 == 0));
        rest.readings[which] = rest.readings[--rest.count];
        struct perpend_fit without = fit_of(&rest);
        assert_true(fit.has_lean_without);
        assert_near(slope_distance(fit.lean_without, without.lean), 0.0, 1e-12);
        assert_relative(
            fit.lean_without_covariance.right_right, without.lean_covariance.right_right, 1e-9);
    }
}

/* A whole step of rounding among readings that else agree to the last digit is not a misreading;
   two steps and more beyond what the gauge explains is. */
static void one_step_is_no_suspect(void **state)
{
    (void)state;
    struct world world = even_sweep(8, 1, (struct perpend_slope){0.0, 0.0});
    world.readings[3].value += 0.05;
    struct perpend_fit fit = fit_of(&world);
    assert_true(fit.suspect == PERPEND_FIT_NO_SUSPECT);
    assert_true(fit.birge == 1.0);
    world.readings[3].value += 0.05;
    fit = fit_of(&world);
    assert_true(fit.suspect == 3);
}

static void fewer_than_six_name_nobody(void **state)
{
    (void)state;
    struct world world = even_sweep(5, 1, (struct perpend_slope){0.0, 0.0});
    world.readings[3].value += 1.0;
    struct perpend_fit fit = fit_of(&world);
    assert_true(fit.suspect == PERPEND_FIT_NO_SUSPECT);
    assert_true(fit.birge > 1.0);
}

/* Three bearings, each read twice: a pair that pulls apart says that one of the two is wrong, not
   which, and nothing is left to answer from without both. */
static void twins_are_both_named(void **state)
{
    (void)state;
    struct world world = even_sweep(3, 2, (struct perpend_slope){0.001, 0.0});
    world.readings[0].value += 0.001;
    world.readings[2].value -= 0.001;
    world.readings[4].value += 1.0;
    struct perpend_fit fit = fit_of(&world);
    assert_true(
        (fit.suspect == 4 && fit.suspect_twin == 1) || (fit.suspect == 1 && fit.suspect_twin == 4));
    assert_false(fit.has_lean_without);
}

struct refusal {
    const char *what;
    bool faced;
    size_t count;
    double at[8][3]; /* degrees, x, y */
    enum perpend_need need;
    double bearing; /* degrees; NAN: any */
};

static void too_little_is_refused(void **state)
{
    (void)state;
    static const struct refusal refusals[] = {
        {"nothing", true, 0, {{0}}, PERPEND_NEED_BEARING, 180},
        {"one", true, 1, {{180}}, PERPEND_NEED_BEARING, 0},
        {"two opposite", true, 2, {{180}, {0}}, PERPEND_NEED_BEARING, 90},
        {"two square", true, 2, {{180}, {90}}, PERPEND_NEED_BEARING, 0},
        {"one bearing four times", true, 4, {{90}, {90}, {90}, {450}}, PERPEND_NEED_BEARING, 270},
        {"two bearings twice", true, 4, {{90}, {270}, {90}, {270}}, PERPEND_NEED_BEARING, 180},
        {"three within a few degrees", true, 3, {{0}, {3}, {6}}, PERPEND_NEED_BEARING, 180},
        {"two and a hair", true, 4, {{0}, {180}, {0.5}, {180.5}}, PERPEND_NEED_BEARING, 90},
        {"four places, one bearing each", false, 4,
            {{0, 0, 0}, {90, 200, 0}, {180, 200, 200}, {270, 0, 200}}, PERPEND_NEED_BEARING, NAN},
        {"line of three, one bearing each", false, 3, {{0, 0, 0}, {90, 100, 0}, {180, 200, 0}},
            PERPEND_NEED_BEARING, NAN},
        {"as found, two bearings", false, 6,
            {{0, 0, 0}, {180, 0, 0}, {0, 100, 0}, {180, 100, 0}, {0, 0, 100}, {180, 0, 100}},
            PERPEND_NEED_BEARING, 90},
    };
    for (size_t k = 0; k < sizeof refusals / sizeof *refusals; k++) {
        const struct refusal *r = &refusals[k];
        struct world world = even_sweep(4, 1, (struct perpend_slope){0.001, 0.002});
        struct perpend_fit fit;
        world.count = r->count;
        world.setup.bed_faced = r->faced;
        for (size_t i = 0; i < r->count; i++)
            world.readings[i] = (struct perpend_reading){
                .bearing = perpend_radians(r->at[i][0]), .x = r->at[i][1], .y = r->at[i][2]};
        read_exactly(&world);
        int status = perpend_fit_readings(world.readings, world.count, &world.setup, NULL, &fit);
        double bearing = perpend_degrees(fit.need_bearing);
        if (status != PERPEND_ERR_UNDETERMINED || fit.need != r->need || fit.readings != r->count ||
            (!isnan(r->bearing) && fabs(bearing - r->bearing) > 1e-9)) {
            printf("# %s: status %d, need %d, bearing %g, readings %zu\n", r->what, status,
                (int)fit.need, bearing, fit.readings);
            fail();
        }
    }
}

/* Taking the readings that are asked for, one after the other, ends in an answer. */
static void the_reading_asked_for_settles_it(void **state)
{
    (void)state;
    struct test_random random = test_random_start("the reading asked for settles it", 51);
    for (int trial = 0; trial < 2000; trial++) {
        enum layout layout = (enum layout)test_pick(&random, LAYOUTS);
        struct world world = random_world(&random, layout, 6);
        struct perpend_fit fit;
        world.count = test_pick(&random, 6);
        int status = PERPEND_ERR_UNDETERMINED, asked = 0;
        for (; status == PERPEND_ERR_UNDETERMINED && asked < 4; asked++) {
            status = perpend_fit_readings(world.readings, world.count, &world.setup, NULL, &fit);
            if (status == PERPEND_ERR_UNDETERMINED)
                world.readings[world.count++] = (struct perpend_reading){
                    .bearing = fit.need_bearing, .x = fit.need_x, .y = fit.need_y};
            read_exactly(&world);
        }
        if (status != PERPEND_OK ||
            slope_distance(fit.lean, world.lean) > (fit.includes_bed ? 0.011 : 1e-9)) {
            print_world(trial, &world, status);
            fail();
        }
    }
}

/* A sweep at one place, then the place that is asked for, and again: lean and bed come apart. */
static void the_places_asked_for_part_lean_and_bed(void **state)
{
    (void)state;
    static const double corners[4] = {0.0, 90.0, 180.0, 270.0};
    struct test_random random = test_random_start("the places asked for", 52);
    for (int trial = 0; trial < 500; trial++) {
        struct world world = even_sweep(4, 1, random_slope(&random, 0.02));
        struct perpend_fit fit;
        world.setup.bed_faced = false;
        world.bed = random_slope(&random, 0.005);
        for (size_t i = 0; i < 4; i++) {
            world.readings[i].x = (double)(trial % 7) * 30.0;
            world.readings[i].y = (double)(trial % 5) * 20.0;
        }
        for (int places = 1; places <= 3; places++) {
            read_exactly(&world);
            fit = fit_of(&world);
            assert_int_equal(fit.bed_separated, places == 3);
            assert_int_equal(fit.need, places == 3 ? PERPEND_NEED_NOTHING : PERPEND_NEED_PLACE);
            for (size_t i = 0; places < 3 && i < 4; i++)
                world.readings[world.count++] = (struct perpend_reading){
                    .bearing = perpend_radians(corners[i]), .x = fit.need_x, .y = fit.need_y};
        }
        assert_near(slope_distance(fit.lean, world.lean), 0.0, 1e-12);
        assert_near(slope_distance(fit.bed, world.bed), 0.0, 1e-12);
    }
}

/* Places a tenth of a millimetre apart are one place; on a line but for a millimetre, a line. */
static void places_that_nearly_coincide(void **state)
{
    (void)state;
    static const double near[3][2] = {{0, 0}, {0.1, 0}, {0, 0.1}};
    static const double line[3][2] = {{0, 0}, {100, 0.3}, {200, 0}};
    static const double far[3][2] = {{0, 0}, {200, 0}, {0, 150}};
    const struct {
        const double (*places)[2];
        bool separated;
        bool tells_a_line;
    } cases[] = {{near, false, false}, {line, false, true}, {far, true, false}};
    for (size_t k = 0; k < 3; k++) {
        struct world world = even_sweep(4, 3, (struct perpend_slope){0.001, 0.002});
        world.setup.bed_faced = false;
        world.bed = (struct perpend_slope){0.0005, 0.0};
        for (size_t i = 0; i < 12; i++) {
            world.readings[i].x = cases[k].places[i / 4][0];
            world.readings[i].y = cases[k].places[i / 4][1];
        }
        read_exactly(&world);
        struct perpend_fit fit = fit_of(&world);
        assert_int_equal(fit.bed_separated, cases[k].separated);
        assert_int_equal(fit.parameters, cases[k].separated ? 5 : cases[k].tells_a_line ? 4 : 3);
        if (cases[k].tells_a_line)
            assert_near(fit.travel.right, 0.0005, 1e-5);
    }
}

static void three_readings_answer_unchecked(void **state)
{
    (void)state;
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.003, 0.004});
    world.count = 3;
    struct perpend_fit fit = fit_of(&world);
    assert_int_equal(fit.dof, 0);
    assert_true(fit.p == 1.0 && fit.birge == 1.0);
    assert_near(slope_distance(fit.lean, world.lean), 0.0, 1e-12);
    assert_int_equal(fit.need, PERPEND_NEED_BEARING);
    assert_near(fit.need_bearing, perpend_radians(270.0), 1e-12);
}

static void bad_values_are_refused(void **state)
{
    (void)state;
    const struct world good = even_sweep(4, 1, (struct perpend_slope){0.0, 0.0});
    static const double bad[] = {NAN, INFINITY, -INFINITY};
    struct perpend_fit fit;
    for (size_t i = 0; i < 3; i++) {
        struct world w[4] = {good, good, good, good};
        w[0].readings[1].value = bad[i];
        w[1].readings[1].bearing = bad[i];
        w[2].readings[1].x = bad[i];
        w[3].readings[1].y = bad[i];
        for (size_t k = 0; k < 4; k++)
            assert_int_equal(
                perpend_fit_readings(w[k].readings, 4, &w[k].setup, NULL, &fit), PERPEND_ERR_VALUE);
    }
    struct perpend_setup s[9];
    for (size_t k = 0; k < 9; k++)
        s[k] = good.setup;
    s[0].arm.length = 0.0;
    s[1].arm.length = NAN;
    s[2].arm.relative_uncertainty = -0.1;
    s[3].arm.bearing_uncertainty = NAN;
    s[4].gauge.step = 0.0;
    s[5].gauge.spread = -0.1;
    s[6].gauge.spread = INFINITY;
    s[7].gauge.kind = PERPEND_GAUGE_LEVER;
    s[7].gauge.angle = PERPEND_PI / 2.0;
    s[8].gauge.step = INFINITY;
    for (size_t k = 0; k < 9; k++)
        assert_int_equal(
            perpend_fit_readings(good.readings, 4, &s[k], NULL, &fit), PERPEND_ERR_VALUE);
}

/* Whatever the numbers: a known status, and with PERPEND_OK nothing but finite answers. */
static void any_numbers_are_safe(void **state)
{
    (void)state;
    struct test_random random = test_random_start("any numbers are safe", 53);
    int answered = 0;
    for (int trial = 0; trial < 20000; trial++) {
        struct world world = random_world(&random, (enum layout)test_pick(&random, LAYOUTS), 3);
        double decades = test_uniform(&random, 0.0, trial % 10 == 0 ? 300.0 : 6.0);
        double residual[MOST];
        struct perpend_fit fit;
        for (size_t i = 0; i < world.count; i++) {
            world.readings[i].value *= pow(10.0, test_uniform(&random, -decades, decades));
            if (trial % 3 == 0)
                world.readings[i].x *= pow(10.0, test_uniform(&random, -decades, decades));
        }
        int status =
            perpend_fit_readings(world.readings, world.count, &world.setup, residual, &fit);
        bool fine = status == PERPEND_ERR_UNDETERMINED || status == PERPEND_ERR_CONVERGE ||
                    status == PERPEND_ERR_VALUE;
        if (status == PERPEND_OK) {
            answered++;
            fine = isfinite(fit.lean.right) && isfinite(fit.lean.back) && isfinite(fit.centre) &&
                   isfinite(fit.lean_covariance.right_right) &&
                   isfinite(fit.lean_covariance.right_back) &&
                   isfinite(fit.lean_covariance.back_back) && isfinite(fit.chi2) &&
                   isfinite(fit.rms) && fit.p >= 0.0 && fit.p <= 1.0 && fit.birge >= 1.0 &&
                   isfinite(fit.birge) && isfinite(fit.few_repeats) &&
                   isfinite(fit.centre_uncertainty);
        }
        if (!fine) {
            print_world(trial, &world, status);
            fail();
        }
    }
    printf("# %d of 20000 answered\n", answered);
    assert_true(answered > 1000);
}

/* A log of readings as long as a file may hold is answered, and soon. */
static void many_readings(void **state)
{
    (void)state;
    const size_t count = 200000;
    struct test_random random = test_random_start("many readings", 54);
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.003, -0.002});
    struct perpend_reading *readings = malloc(count * sizeof *readings);
    struct perpend_fit fit;
    assert_non_null(readings);
    world.setup.gauge.spread = 0.1;
    for (size_t i = 0; i < count; i++) {
        double bearing = perpend_radians(15.0 * (double)(i % 24));
        readings[i] = (struct perpend_reading){.bearing = bearing,
            .value = perpend_gap(1.0, world.lean, world.bed, 75.0, bearing, 0.0, 0.0) +
                     0.1 * test_normal(&random)};
    }
    int status = perpend_fit_readings(readings, count, &world.setup, NULL, &fit);
    free(readings);
    assert_int_equal(status, PERPEND_OK);
    /* 0.1 mm of spread over √(n/2) and the arm: 4 µm/m; five of those */
    assert_near(
        slope_distance(fit.lean, world.lean), 0.0, 5.0 * 0.1 / 75.0 * sqrt(2.0 / (double)count));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exact_on_a_faced_bed),
        cmocka_unit_test(exact_on_a_bed_as_found),
        cmocka_unit_test(exact_at_one_place),
        cmocka_unit_test(exact_in_a_line),
        cmocka_unit_test(sum_of_lean_and_bed),
        cmocka_unit_test(turning_the_world_turns_the_answer),
        cmocka_unit_test(units_make_no_difference),
        cmocka_unit_test(order_makes_no_difference),
        cmocka_unit_test(uncertainty_of_an_even_sweep),
        cmocka_unit_test(uncertainty_of_the_arm),
        cmocka_unit_test(uncertainty_of_the_aim),
        cmocka_unit_test(repeats_do_not_shed_their_rounding),
        cmocka_unit_test(pooled_spread_is_used),
        cmocka_unit_test(birge_widens),
        cmocka_unit_test(closure_of_four),
        cmocka_unit_test(closure_needs_quarter_turns),
        cmocka_unit_test(suspect_is_named),
        cmocka_unit_test(one_step_is_no_suspect),
        cmocka_unit_test(fewer_than_six_name_nobody),
        cmocka_unit_test(twins_are_both_named),
        cmocka_unit_test(too_little_is_refused),
        cmocka_unit_test(the_reading_asked_for_settles_it),
        cmocka_unit_test(the_places_asked_for_part_lean_and_bed),
        cmocka_unit_test(places_that_nearly_coincide),
        cmocka_unit_test(three_readings_answer_unchecked),
        cmocka_unit_test(bad_values_are_refused),
        cmocka_unit_test(any_numbers_are_safe),
        cmocka_unit_test(many_readings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
