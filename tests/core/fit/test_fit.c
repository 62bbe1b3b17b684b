/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Laws of the sweep fit: exact readings return the lean; turning the world, another unit, another
   order make no difference; any numbers are safe. */
#include "support/sweep_world.h"

/* Bearings and places are drawn without regard to sense, so that some sweeps are refused as noise
   (bearings close together, few of them): counted, and none of the others is left out. */
static void exact_readings_return_the_lean(enum layout layout, size_t fewest, uint64_t seed)
{
    struct test_random random = test_random_start("exact readings return the lean", seed);
    const int cases = test_cases(5000, 500);
    int refused = 0;
    double worst = 0.0;
    for (int trial = 0; trial < cases; trial++) {
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
            assert_true(fit.need.kind == PERPEND_NEED_BEARING);
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
            fit.bed_separated != (layout == ALL_OVER || layout == BED_KNOWN) ||
            fit.includes_bed != (layout == ONE_PLACE || layout == IN_A_LINE)) {
            print_world(trial, &world, status);
            printf("# off by %.3g, largest residual %.3g\n", off, most);
            fail();
        }
        worst = fmax(worst, off);
    }
    printf("# off by at most %.1e; %d of %d refused\n", worst, refused, cases);
    assert_true(refused < cases / 10);
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

/* Wherever the carriage stood; and the lean is as sure as the sum and the bed together. */
static void exact_with_the_bed_known(void **state)
{
    (void)state;
    exact_readings_return_the_lean(BED_KNOWN, 3, 46);
    struct test_random random = test_random_start("as sure as the sum and the bed", 47);
    for (int trial = 0; trial < 500; trial++) {
        struct world world = random_world(&random, BED_KNOWN, 6);
        struct perpend_fit known, level;
        if (perpend_fit_readings(world.readings, world.count, &world.setup, NULL, &known) !=
            PERPEND_OK)
            continue;
        world.setup.bed_covariance = (struct perpend_slope_covariance){0, 0, 0};
        assert_int_equal(
            perpend_fit_readings(world.readings, world.count, &world.setup, NULL, &level),
            PERPEND_OK);
        const struct perpend_slope_covariance *k = &known.lean_covariance,
                                              *l = &level.lean_covariance;
        assert_near(k->right_right - l->right_right, 4e-8, 1e-15 + 1e-12 * l->right_right);
        assert_near(k->right_back - l->right_back, 1e-8, 1e-15 + 1e-12 * l->right_right);
        assert_near(k->back_back - l->back_back, 9e-8, 1e-15 + 1e-12 * l->back_back);
    }
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
                     slope_distance(fit.lean, sum) <= 2e-5;
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

static void assert_same_judgement(const struct perpend_fit *a, const struct perpend_fit *b)
{
    assert_relative(a->quality.chi2, b->quality.chi2, 1e-6);
    assert_relative(a->quality.rms, b->quality.rms, 1e-6);
    assert_int_equal(a->quality.dof, b->quality.dof);
    assert_int_equal(
        a->suspect.index == PERPEND_FIT_NO_SUSPECT, b->suspect.index == PERPEND_FIT_NO_SUSPECT);
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
        turned.setup.bed = (struct perpend_slope){
            c * world.bed.right + s * world.bed.back, c * world.bed.back - s * world.bed.right};
        /* as uncertain every way */
        world.setup.bed_covariance = (struct perpend_slope_covariance){4e-8, 0, 4e-8};
        turned.setup.bed_covariance = world.setup.bed_covariance;
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
        if (isnan(world.setup.gauge.spread)) /* what a hand has is so many mm in any unit */
            world.setup.gauge.spread = 0.01;
        inch.setup.gauge.spread = world.setup.gauge.spread / PERPEND_MM_PER_INCH;
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
        assert_relative(other.quality.chi2, fit.quality.chi2, 1e-8);
        assert_near(other.quality.rms * PERPEND_MM_PER_INCH, fit.quality.rms, 1e-12);
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
        if (fit.suspect.index != PERPEND_FIT_NO_SUSPECT && !fit.suspect.has_twin)
            assert_true(world.readings[fit.suspect.index].value ==
                        shuffled.readings[other.suspect.index].value);
    }
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
    enum { SETUPS = 20 };
    struct perpend_setup s[SETUPS];
    for (size_t k = 0; k < SETUPS; k++)
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
    s[9].arm.length = INFINITY;
    s[10].arm.turned_uncertainty = -0.1;
    s[11].arm.relative_uncertainty = INFINITY;
    s[12].waves = -0.1;
    s[13].gauge.kind = PERPEND_GAUGE_KINDS;
    s[14].gauge.kind = PERPEND_GAUGE_LEVER;
    s[14].gauge.angle = -0.1;
    for (size_t k = 15; k < SETUPS; k++) {
        s[k].bed_faced = false;
        s[k].bed_known = true;
    }
    s[15].bed.right = NAN;
    s[16].bed.back = INFINITY;
    s[17].bed_covariance.right_right = -1.0;
    s[18].bed_covariance.back_back = NAN;
    s[19].bed_covariance.right_back = NAN;
    for (size_t k = 0; k < SETUPS; k++)
        assert_int_equal(
            perpend_fit_readings(good.readings, 4, &s[k], NULL, &fit), PERPEND_ERR_VALUE);
}

/* Whatever the numbers: a known status, and with PERPEND_OK nothing but finite answers. */
static void any_numbers_are_safe(void **state)
{
    (void)state;
    struct test_random random = test_random_start("any numbers are safe", 53);
    const int cases = test_cases(20000, 2000);
    int answered = 0;
    for (int trial = 0; trial < cases; trial++) {
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
                   isfinite(fit.lean_covariance.back_back) && isfinite(fit.quality.chi2) &&
                   isfinite(fit.quality.rms) && fit.quality.p >= 0.0 && fit.quality.p <= 1.0 &&
                   fit.quality.scale > 0.0 && isfinite(fit.quality.scale) && fit.dof >= 4.0;
        }
        if (!fine) {
            print_world(trial, &world, status);
            fail();
        }
    }
    printf("# %d of %d answered\n", answered, cases);
    assert_true(answered > cases / 20);
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
            .value = 1.0 + perpend_gap(world.lean, world.bed, 75.0, bearing, 0.0, 0.0) +
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
        cmocka_unit_test(exact_with_the_bed_known),
        cmocka_unit_test(sum_of_lean_and_bed),
        cmocka_unit_test(turning_the_world_turns_the_answer),
        cmocka_unit_test(units_make_no_difference),
        cmocka_unit_test(order_makes_no_difference),
        cmocka_unit_test(bad_values_are_refused),
        cmocka_unit_test(any_numbers_are_safe),
        cmocka_unit_test(many_readings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
