/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A board's plane and waves from touches, and how deep to face it: laws over random boards. */
#include "support/board_world.h"

static struct perpend_survey fitted(const struct board_world *w)
{
    struct perpend_survey survey;
    assert_int_equal(
        perpend_survey_fit(w->touches, w->count, &w->setup, &w->area, &survey), PERPEND_OK);
    return survey;
}

static struct perpend_point place(double x, double y)
{
    return (struct perpend_point){x, y, 0.0};
}

static void exact_touches_give_the_plane(void **state)
{
    (void)state;
    struct test_random random = test_random_start("plane from exact touches", 171);
    for (int trial = 0; trial < 300; trial++) {
        struct board_world w = board_world_make(&random);
        board_form(&random, 0.0, 100.0, 200.0, &w);
        board_touch(&random, 2 + test_pick(&random, 4), 2 + test_pick(&random, 4), 0.0, false, &w);
        struct perpend_survey survey = fitted(&w);
        struct perpend_point from = place(w.area.x, w.area.y),
                             to = place(w.area.x + 77.0, w.area.y - 9.0);
        assert_near(survey.slope.right, w.slope.right, 1e-9);
        assert_near(survey.slope.back, w.slope.back, 1e-9);
        assert_near(survey.over + survey.under, 0.0, 1e-9);
        assert_near(perpend_survey_rise(&survey, from, to, NULL),
            77.0 * w.slope.right - 9.0 * w.slope.back, 1e-6);
        assert_int_equal(survey.suspect.index, PERPEND_FIT_NO_SUSPECT);
        perpend_survey_finish(&survey);
    }
}

/* The rise between two places: nothing to itself, the other way round the opposite, over a third place
   the sum; nearly the touches' own where they are. */
static void rises_add_up(void **state)
{
    (void)state;
    struct test_random random = test_random_start("rises add up", 172);
    for (int trial = 0; trial < 100; trial++) {
        struct board_world w = board_world_make(&random);
        board_form(&random, 0.3, 300.0, 600.0, &w);
        board_touch(&random, 4, 4, 0.001, false, &w);
        w.setup.gauge.step = 0.001;
        w.setup.gauge.spread = 0.001;
        struct perpend_survey survey = fitted(&w);
        struct perpend_point p[3];
        double v01, v10, v00;
        for (size_t i = 0; i < 3; i++)
            p[i] = place(w.area.x + test_uniform(&random, 0.0, w.area.wide),
                w.area.y + test_uniform(&random, 0.0, w.area.deep));
        double there = perpend_survey_rise(&survey, p[0], p[1], &v01);
        assert_near(perpend_survey_rise(&survey, p[1], p[0], &v10), -there, 1e-9);
        assert_near(v10, v01, 1e-9);
        assert_near(perpend_survey_rise(&survey, p[0], p[0], &v00), 0.0, 1e-12);
        assert_near(v00, 0.0, 1e-12);
        assert_near(perpend_survey_rise(&survey, p[0], p[2], NULL) +
                        perpend_survey_rise(&survey, p[2], p[1], NULL),
            there, 1e-9);
        for (size_t i = 1; i < w.count; i++) {
            double rise = perpend_touch_height(&w.setup.gauge, &w.touches[i]) -
                          perpend_touch_height(&w.setup.gauge, &w.touches[0]);
            assert_near(perpend_survey_rise(&survey, place(w.touches[0].x, w.touches[0].y),
                            place(w.touches[i].x, w.touches[i].y), NULL),
                rise, 0.02);
        }
        perpend_survey_finish(&survey);
    }
}

/* What is refused names a place; touched there as well, there is an answer. */
static void the_place_that_is_wanted_helps(void **state)
{
    (void)state;
    struct test_random random = test_random_start("the place that is wanted", 173);
    for (int trial = 0; trial < 400; trial++) {
        struct board_world w = board_world_make(&random);
        struct perpend_survey survey;
        struct perpend_area none = {0};
        size_t count = test_pick(&random, 6);
        double toward = test_uniform(&random, 0.0, 7.0);
        for (size_t i = 0; i < count; i++) {
            double along = test_uniform(&random, -100.0, 100.0);
            w.touches[i] = (struct perpend_reading){
                .x = w.area.x + along * sin(toward), .y = w.area.y + along * cos(toward)};
        }
        const struct perpend_area *area = trial % 2 == 0 ? &none : &w.area;
        for (int more = 0; more < 4; more++) {
            enum perpend_status status =
                perpend_survey_fit(w.touches, count, &w.setup, area, &survey);
            if (status == PERPEND_OK)
                break;
            assert_int_equal(status, PERPEND_ERR_UNDETERMINED);
            assert_null(survey.surface);
            assert_true(more < 3);
            w.touches[count++] = (struct perpend_reading){.x = survey.need_x, .y = survey.need_y};
        }
        perpend_survey_finish(&survey);
    }
}

static void a_misread_touch_is_named(void **state)
{
    (void)state;
    struct test_random random = test_random_start("a misread touch", 174);
    int named = 0, blamed = 0, cases = 200;
    for (int trial = 0; trial < cases; trial++) {
        struct board_world w = board_world_make(&random);
        board_form(&random, 0.03, 100.0, 300.0, &w);
        board_touch(&random, 4, 4, perpend_gauge_spread(&w.setup.gauge), true, &w);
        struct perpend_survey honest = fitted(&w);
        blamed += honest.suspect.index != PERPEND_FIT_NO_SUSPECT;
        size_t wrong = test_pick(&random, w.count);
        w.touches[wrong].value += 0.6;
        struct perpend_survey survey = fitted(&w);
        named += survey.suspect.index == wrong;
        perpend_survey_finish(&honest);
        perpend_survey_finish(&survey);
    }
    printf("# %d of %d misread touches named, %d of as many honest surveys questioned\n", named,
        cases, blamed);
    assert_true(named >= 90 * cases / 100);
    assert_true(blamed <= 4 * cases / 100);
}

struct tally {
    int cases, right, back, even, sure, waves;
    double more;
};

/* One board, surveyed and faced. */
static void survey_one(
    struct test_random *random, size_t side, double waves, double longest, struct tally *tally)
{
    static struct perpend_cleanup cleanup;
    struct board_world w = board_world_make(random);
    struct perpend_survey survey;
    struct perpend_board board = {.area = w.area};
    w.area = (struct perpend_area){0.0, 0.0, 400.0, 430.0};
    board.area = w.area;
    board_form(random, waves, 0.5 * longest, longest, &w);
    board_touch(random, side, side, perpend_gauge_spread(&w.setup.gauge), true, &w);
    survey = fitted(&w);
    const struct perpend_reading *highest = &w.touches[survey.highest];
    double own = perpend_gauge_uncertainty(&w.setup.gauge);
    assert_int_equal(
        perpend_cleanup_find(&survey, &board, place(highest->x, highest->y), own, 0.2, &cleanup),
        PERPEND_OK);
    double zero = board_height(&w, highest->x, highest->y) + own * test_normal(random),
           lowest = INFINITY;
    for (int i = 0; i < 41 * 44; i++)
        lowest = fmin(lowest, board_height(&w, 10.0 * (i % 41), 10.0 * (i / 41)));
    double depth = zero - lowest;
    tally->cases++;
    tally->right +=
        fabs(survey.slope.right - w.slope.right) <= 2.0 * sqrt(survey.covariance.right_right);
    tally->back +=
        fabs(survey.slope.back - w.slope.back) <= 2.0 * sqrt(survey.covariance.back_back);
    tally->even += depth <= cleanup.even;
    tally->sure += depth <= cleanup.sure;
    tally->more += cleanup.sure - depth;
    tally->waves += survey.waves < 2.0 * waves && survey.waves > 0.5 * waves;
    perpend_survey_finish(&survey);
}

/* How often the 95 % of each slope and of the depth hold, and half of the depth that is as likely as not.
   Nine touches cannot tell waves three times the usual that are shorter than what lies between them. */
static void intervals_hold(void **state)
{
    (void)state;
    struct test_random random = test_random_start("a board's 95 %", 175);
    const int cases = test_cases(400, 40);
    for (int kind = 0; kind < 8; kind++) {
        const double waves = kind % 2 == 0 ? 0.05 : 0.15,
                     longest = kind / 2 % 2 == 0 ? 160.0 : 500.0;
        const size_t side = kind < 4 ? 3 : 5;
        const double promised = kind == 1 ? 0.75 : kind == 5 ? 0.82 : 0.90, share = 1.0 / cases;
        const double least = promised - 3.0 * sqrt(promised * (1.0 - promised) * share);
        struct tally tally = {0};
        for (int trial = 0; trial < cases; trial++)
            survey_one(&random, side, waves, longest, &tally);
        printf("# %zu x %zu touches, waves %.2f mm, to %.0f mm long: slope %.3f and %.3f, all cut "
               "%.3f "
               "when even, %.3f when sure, %.3f mm over; waves within twice %.3f\n",
            side, side, waves, longest, tally.right * share, tally.back * share, tally.even * share,
            tally.sure * share, tally.more * share, tally.waves * share);
        assert_true(tally.right * share >= least && tally.back * share >= least);
        assert_true(tally.sure * share >= least);
        assert_true(tally.even * share >= 0.25 && tally.even * share <= 0.9);
        assert_true(tally.waves * share >= 0.8);
    }
}

/* The share that is uncut against a grid of its own, each spot asked for anew; a plane without scatter
   against its corner cut off. */
static void share_as_brute_force(void **state)
{
    (void)state;
    struct test_random random = test_random_start("uncut share", 176);
    static struct perpend_cleanup cleanup;
    for (int trial = 0; trial < 8; trial++) {
        struct board_world w = board_world_make(&random);
        struct perpend_board board = {.area = w.area};
        struct perpend_point zero = place(w.area.x + 30.0, w.area.y + 30.0);
        double touch = perpend_gauge_uncertainty(&w.setup.gauge), depth = 0.0, sum = 0.0;
        board_form(&random, 0.1, 200.0, 500.0, &w);
        board_touch(&random, 4, 4, touch, true, &w);
        struct perpend_survey survey = fitted(&w);
        assert_int_equal(
            perpend_cleanup_find(&survey, &board, zero, touch, 0.2, &cleanup), PERPEND_OK);
        depth = test_uniform(&random, 0.2, 1.0) * cleanup.even;
        for (int i = 0; i < 80 * 80; i++) {
            struct perpend_point spot = place(w.area.x + w.area.wide * (i % 80 + 0.5) / 80.0,
                w.area.y + w.area.deep * (i / 80 + 0.5) / 80.0);
            double variance, rise = perpend_survey_rise(&survey, zero, spot, &variance);
            sum += 1.0 - 0.5 * erfc(-(depth + rise) / sqrt(2.0 * (variance + touch * touch)));
        }
        assert_near(perpend_cleanup_share(&cleanup, depth), sum / 6400.0, 0.01);
        assert_near(perpend_cleanup_share(&cleanup, -1e3), 1.0, 1e-12);
        assert_near(perpend_cleanup_share(&cleanup, 1e3), 0.0, 1e-12);
        assert_near(perpend_cleanup_chance(&cleanup, cleanup.sure), 0.95, 1e-3);
        assert_near(perpend_cleanup_chance(&cleanup, cleanup.even), 0.5, 1e-3);
        assert_true(cleanup.passes * 0.2 >= cleanup.sure - 1e-6 &&
                    (cleanup.passes == 1 || (cleanup.passes - 1) * 0.2 < cleanup.sure + 1e-6));
        perpend_survey_finish(&survey);
    }
}

static void metal_is_come_to(void **state)
{
    (void)state;
    struct test_random random = test_random_start("metal", 177);
    static struct perpend_cleanup cleanup;
    struct perpend_metal metal[2] = {{20.0, 30.0, 5.0}, {120.0, 80.0, 5.0}};
    struct board_world w = board_world_make(&random);
    w.area = (struct perpend_area){0.0, 0.0, 300.0, 300.0};
    w.setup.gauge =
        (struct perpend_gauge){.kind = PERPEND_GAUGE_TOUCH, .step = 0.01, .spread = 0.005};
    w.setup.waves = 0.005;
    board_form(&random, 0.0, 100.0, 200.0, &w);
    w.slope = (struct perpend_slope){0.0, 0.004};
    board_touch(&random, 4, 4, 0.0, true, &w);
    struct perpend_survey survey = fitted(&w);
    struct perpend_board board = {.area = w.area, .metal = metal, .metal_count = 2};
    const struct perpend_point front = place(15.0, 15.0), back = place(150.0, 285.0);
    /* Z set at the front, the low end: one pass, which takes 1.3 mm at the back */
    assert_int_equal(perpend_cleanup_find(&survey, &board, front, 0.01, 0.2, &cleanup), PERPEND_OK);
    assert_near(cleanup.first, 0.2 + 0.004 * 285.0, 0.05);
    assert_int_equal(cleanup.hit, 2);
    /* at 120, 80 some 0.26 mm over the front, and 0.2 and more of passes */
    metal[1].under = 0.26 + cleanup.passes * 0.2 + PERPEND_METAL_ROOM - 0.02;
    assert_int_equal(perpend_cleanup_find(&survey, &board, front, 0.01, 0.2, &cleanup), PERPEND_OK);
    assert_int_equal(cleanup.hit, 1);
    metal[0].under = 0.1;
    assert_int_equal(perpend_cleanup_find(&survey, &board, front, 0.01, 0.2, &cleanup), PERPEND_OK);
    assert_int_equal(cleanup.hit, 0);
    assert_int_equal(perpend_cleanup_find(&survey, &board, back, 0.01, 0.2, &cleanup), PERPEND_OK);
    assert_near(cleanup.even, 0.004 * 285.0, 0.03);
    assert_int_equal(cleanup.passes, 6);
    assert_int_equal(
        perpend_cleanup_find(&survey, &board, back, 0.01, 0.0, &cleanup), PERPEND_ERR_VALUE);
    assert_int_equal(
        perpend_cleanup_find(&survey, &board, back, 0.0, 0.2, &cleanup), PERPEND_ERR_VALUE);
    assert_int_equal(perpend_cleanup_find(&survey, &board, place(NAN, 0.0), 0.01, 0.2, &cleanup),
        PERPEND_ERR_VALUE);
    perpend_survey_finish(&survey);
    assert_int_equal(
        perpend_cleanup_find(&survey, &board, back, 0.01, 0.2, &cleanup), PERPEND_ERR_VALUE);
    perpend_survey_finish(NULL);
}

static void bad_values_are_refused(void **state)
{
    (void)state;
    struct test_random random = test_random_start("bad values", 178);
    struct board_world w = board_world_make(&random);
    struct perpend_survey survey;
    struct perpend_setup setup = w.setup;
    board_touch(&random, 3, 3, 0.0, false, &w);
    double *const numbers[] = {&w.touches[4].x, &w.touches[5].y, &w.touches[6].value};
    for (size_t i = 0; i < 3; i++) {
        double was = *numbers[i];
        *numbers[i] = i == 1 ? INFINITY : (double)NAN;
        assert_int_equal(
            perpend_survey_fit(w.touches, 9, &setup, &w.area, &survey), PERPEND_ERR_VALUE);
        *numbers[i] = was;
    }
    assert_int_equal(
        perpend_survey_fit(w.touches, PERPEND_TOUCHES_MOST + 1, &setup, &w.area, &survey),
        PERPEND_ERR_VALUE);
    setup.gauge.step = 0.0;
    assert_int_equal(perpend_survey_fit(w.touches, 9, &setup, &w.area, &survey), PERPEND_ERR_VALUE);
    setup = w.setup;
    setup.gauge.spread = INFINITY;
    assert_int_equal(perpend_survey_fit(w.touches, 9, &setup, &w.area, &survey), PERPEND_ERR_VALUE);
    setup = w.setup;
    setup.waves = INFINITY;
    assert_int_equal(perpend_survey_fit(w.touches, 9, &setup, &w.area, &survey), PERPEND_ERR_VALUE);
    w.touches[0].value = 1e200; /* what leaves the numbers is refused as well */
    assert_int_not_equal(perpend_survey_fit(w.touches, 9, &w.setup, &w.area, &survey), PERPEND_OK);
    perpend_survey_finish(&survey);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exact_touches_give_the_plane),
        cmocka_unit_test(rises_add_up),
        cmocka_unit_test(the_place_that_is_wanted_helps),
        cmocka_unit_test(a_misread_touch_is_named),
        cmocka_unit_test(intervals_hold),
        cmocka_unit_test(share_as_brute_force),
        cmocka_unit_test(metal_is_come_to),
        cmocka_unit_test(bad_values_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
