/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What readings cannot determine: refused or said, and the reading that settles it named. */
#include "support/sweep_world.h"

struct refusal {
    const char *what;
    bool faced;
    size_t count;
    double at[8][3]; /* degrees, x, y */
    enum perpend_need_kind need;
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
        double bearing = perpend_degrees(fit.need.bearing);
        if (status != PERPEND_ERR_UNDETERMINED || fit.need.kind != r->need ||
            fit.quality.readings != r->count ||
            (!isnan(r->bearing) && fabs(bearing - r->bearing) > 1e-9)) {
            printf("# %s: status %d, need %d, bearing %g, readings %zu\n", r->what, status,
                (int)fit.need.kind, bearing, fit.quality.readings);
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
                    .bearing = fit.need.bearing, .x = fit.need.x, .y = fit.need.y};
            read_exactly(&world);
        }
        if (status != PERPEND_OK ||
            slope_distance(fit.lean, world.lean) > (fit.includes_bed ? 0.011 : 1e-9)) {
            print_world(trial, &world, status);
            fail();
        }
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
        assert_int_equal(fit.quality.parameters, cases[k].separated      ? 5
                                                 : cases[k].tells_a_line ? 4
                                                                         : 3);
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
    assert_int_equal(fit.quality.dof, 0);
    assert_true(fit.quality.p == 1.0 && fit.quality.scale == 1.0);
    assert_near(slope_distance(fit.lean, world.lean), 0.0, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(too_little_is_refused),
        cmocka_unit_test(the_reading_asked_for_settles_it),
        cmocka_unit_test(places_that_nearly_coincide),
        cmocka_unit_test(three_readings_answer_unchecked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
