/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is drawn stands where the picture's own axes say it does. */
#include "support/support.h"

#include <string.h>

#include <perpend/status.h>

#include "draw/figures.h"
#include "draw/plot.h"
#include "support/report_case.h"

static bool as_number(const char *text, double *value)
{
    const bool minus = strncmp(text, "−", strlen("−")) == 0;
    const bool good = perpend_number_parse(minus ? text + strlen("−") : text, value) == PERPEND_OK;
    *value *= minus ? -1 : 1;
    return good;
}

static size_t rings(const struct figure *figure, enum ink ink, struct spot *spots, size_t most)
{
    size_t count = 0;
    for (size_t i = 0; i < figure->mark_count; i++) {
        const struct mark *mark = &figure->marks[i];
        if (mark->kind == MARK_CIRCLE && mark->style.line == ink && mark->style.fill == INK_PAPER &&
            mark->radius > 2 && count < most)
            spots[count++] = mark->at;
    }
    return count;
}

/* The bars are as high as the readings over the one that stands at the bed, and stand at their
   bearings; on the loop the fit says them. */
static void bars_are_as_high_as_their_readings(void **state)
{
    (void)state;
    for (int inch = 0; inch < 2; inch++) {
        const struct report_case wanted = {
            .name = "Tern", .rounds = 1, .readings = 7, .inch = inch == 1};
        struct report_job made;
        double high[7];
        double across[7];
        size_t count = 0;
        report_job_make(&wanted, &made);
        const struct perpend_measurement *m = &made.solution.measurements[0];
        struct figure *figure = figure_compass(&made.machine, m, "as found");
        for (size_t i = 0; i < figure->mark_count; i++) {
            const struct mark *mark = &figure->marks[i];
            if (mark->kind != MARK_PATH || mark->spot_count != 4 || mark->style.line != INK_OVER)
                continue;
            assert_true(count < 7);
            high[count] = mark->spots[2].y - mark->spots[0].y;
            across[count++] = (mark->spots[0].x + mark->spots[1].x) / 2 - figure->width / 2;
        }
        assert_int_equal(count, m->reading_count);
        /* those at the back come first */
        size_t order[7];
        size_t placed = 0;
        for (int front = 0; front < 2; front++)
            for (size_t i = 0; i < 7; i++)
                if ((cos(m->readings[i].bearing) < -1e-9) == (front == 1))
                    order[placed++] = i;
        const struct perpend_reading *first = &m->readings[order[0]];
        const struct perpend_reading *last = &m->readings[order[6]];
        const double scale = (high[0] - high[6]) / (first->value - last->value);
        assert_true(scale > 0);
        for (size_t k = 0; k < 7; k++) {
            const struct perpend_reading *reading = &m->readings[order[k]];
            assert_near(high[k] - high[6], scale * (reading->value - last->value), 1e-6);
            assert_near(across[k], 78 * sin(reading->bearing), 1e-6);
        }
        figure_destroy(figure);
        report_job_finish(&made);
    }
}

/* a target's middle and scale, from the numbers of its rings */
struct target_scale {
    struct spot centre;
    double per_point;
};

static struct target_scale read_target(const struct figure *figure)
{
    struct target_scale scale = {{0, 0}, 0};
    for (size_t i = 0; i < figure->mark_count; i++)
        if (figure->marks[i].kind == MARK_CIRCLE && figure->marks[i].style.line == INK_TEXT)
            scale.centre = figure->marks[i].at; /* of the rim */
    for (size_t i = 0; i < figure->mark_count; i++) {
        const struct mark *mark = &figure->marks[i];
        double value;
        if (mark->kind == MARK_TEXT && mark->type.ink == INK_SOFT &&
            as_number(mark->text, &value)) {
            const double across = mark->at.x - scale.centre.x;
            const double down = mark->at.y - 0.36 * 12 - scale.centre.y;
            const double per_point = value / hypot(across, down);
            if (scale.per_point > 0)
                assert_near(per_point, scale.per_point, 1e-6); /* all of them say the same */
            scale.per_point = per_point;
        }
    }
    assert_true(scale.per_point > 0);
    return scale;
}

static struct perpend_slope at_target(struct target_scale scale, struct spot spot)
{
    return (struct perpend_slope){(spot.x - scale.centre.x) * scale.per_point / 1000,
        (scale.centre.y - spot.y) * scale.per_point / 1000};
}

static void a_lean_stands_where_the_rings_say(void **state)
{
    (void)state;
    const struct report_case wanted = {.name = "Tern", .rounds = 1, .readings = 8};
    struct report_job made;
    report_job_make(&wanted, &made);
    const struct perpend_measurement *m = &made.solution.measurements[0];
    struct figure *figure = figure_lean(&made.machine, &made.solution, false);
    const struct target_scale scale = read_target(figure);
    struct spot spot = {0, 0};
    assert_int_equal(rings(figure, INK_OVER, &spot, 1), 1);
    assert_near(at_target(scale, spot).right, m->fit.lean.right, 1e-5);
    assert_near(at_target(scale, spot).back, m->fit.lean.back, 1e-5);

    /* on the outline of the goal's region the ridge is the goal, but on the rim, which cuts it; the
       thick ring is the largest lean that keeps it whichever way */
    size_t checked = 0;
    double thick = 0;
    double rim = 0;
    for (size_t i = 0; i < figure->mark_count; i++)
        if (figure->marks[i].kind == MARK_CIRCLE && figure->marks[i].style.line == INK_TEXT) {
            thick = fmax(thick, figure->marks[i].radius < 90 ? figure->marks[i].radius : 0);
            rim = fmax(rim, figure->marks[i].radius);
        }
    assert_near(thick * scale.per_point / 1000, m->limits.lean, 1e-6);
    for (size_t i = 0; i < figure->mark_count; i++) {
        const struct mark *mark = &figure->marks[i];
        if (mark->kind != MARK_PATH || mark->style.fill != INK_MEETS || mark->spot_count < 10)
            continue;
        for (size_t j = 0; j < mark->spot_count; j++) {
            const struct perpend_slope edge = at_target(scale, mark->spots[j]);
            double height;
            assert_int_equal(
                perpend_ridge_facing(edge, &made.machine.cutter, &made.machine.facing, &height),
                PERPEND_OK);
            const bool cut = hypot(mark->spots[j].x - scale.centre.x,
                                 mark->spots[j].y - scale.centre.y) > rim - 1e-6;
            if (cut)
                assert_true(height <= made.machine.goal.ridge + 1e-6);
            else
                assert_near(height, made.machine.goal.ridge, 1e-6);
            checked += !cut;
        }
    }
    assert_true(checked > 100);
    figure_destroy(figure);
    report_job_finish(&made);
}

/* the first filled shape of many spots: the floor of the feed that is judged */
static const struct mark *floor_of(const struct figure *figure)
{
    for (size_t i = 0; i < figure->mark_count; i++)
        if (figure->marks[i].kind == MARK_PATH && figure->marks[i].spot_count > 8 &&
            figure->marks[i].style.fill != INK_NONE)
            return &figure->marks[i];
    fail_msg("the figure has no floor");
    return NULL;
}

/* pt, of the thick line of the goal */
static double goal_line(const struct figure *figure)
{
    for (size_t i = 0; i < figure->mark_count; i++)
        if (figure->marks[i].kind == MARK_PATH && figure->marks[i].style.line == INK_TEXT &&
            figure->marks[i].style.width > 2)
            return figure->marks[i].spots[0].y;
    fail_msg("the figure has no goal");
    return 0;
}

/* every spot of the floor's line stands as high over its lowest place as the floor is there, on the
   scale on which the goal is drawn */
static void the_floor_is_as_high_as_its_ridge(void **state)
{
    (void)state;
    struct test_random random = test_random_start("floor", 62);
    for (int i = 0; i < 60; i++) {
        struct perpend_machine machine;
        perpend_machine_init(&machine);
        machine.cutter.diameter = 22;
        machine.goal.ridge = pow(10, test_uniform(&random, -2.5, -1));
        machine.facing = (struct perpend_facing){.stepover = test_uniform(&random, 2, 15),
            .along = test_uniform(&random, 0, 3),
            .depth = NAN};
        const double step = machine.facing.stepover;
        const double along = machine.facing.along;
        const struct floor_lean now = {
            {test_uniform(&random, -0.01, 0.01), test_uniform(&random, -0.01, 0.01)}, "now", false};
        struct figure *figure = figure_floor(&machine, &now, NULL);
        const struct mark *drawn = floor_of(figure);
        const size_t count = drawn->spot_count - 2; /* the last two close it, along the floor */
        const double base = drawn->spots[count].y;
        const double per_point = machine.goal.ridge / (base - goal_line(figure));
        const double wide = step * ceil(fmax(4, 1.6 * machine.cutter.diameter / step));
        const double across = wide / (drawn->spots[count - 1].x - drawn->spots[0].x);
        const double way = cos(along + PERPEND_PI / 2) < 0 ? -1 : 1; /* the back is at the right */
        double ridge;
        printf("# case %d: stepover %.17g, lean %.17g %.17g along %.17g\n", i, step, now.lean.right,
            now.lean.back, along);
        assert_int_equal(
            perpend_ridge_height(now.lean, &machine.cutter, step, along, &ridge), PERPEND_OK);
        assert_true(per_point > 0);
        for (size_t k = 0; k < count; k++) {
            const double place = way * across * (drawn->spots[k].x - drawn->spots[0].x);
            const double height = per_point * (base - drawn->spots[k].y);
            double wanted;
            assert_int_equal(
                perpend_floor_height(now.lean, &machine.cutter, step, along, place, &wanted),
                PERPEND_OK);
            assert_near(height, wanted, 1e-9);
            assert_true(height <= ridge + 1e-9);
        }
        figure_destroy(figure);
        perpend_machine_finish(&machine);
    }
}

static void the_floor_is_that_of_the_worse_feed(void **state)
{
    (void)state;
    struct perpend_machine machine;
    perpend_machine_init(&machine);
    machine.cutter.diameter = 22;
    machine.facing = (struct perpend_facing){
        .stepover = 10, .along = PERPEND_ALONG_X, .both_ways = true, .depth = NAN};
    const struct floor_lean back = {{0.0, 0.006}, "as found", false};
    const struct floor_lean right = {{0.002, 0.0}, "as left", false};
    const struct floor_lean plan = {{0.002, 0.0}, "after the plan", true};
    struct figure *figures[] = {figure_floor(&machine, &back, NULL),
        figure_floor(&machine, &back, &right), figure_floor(&machine, &back, &plan)};
    static const char *const feeds[] = {
        "feed along\xc2\xa0X", "feed along\xc2\xa0Y", "feed along\xc2\xa0X"};
    for (size_t i = 0; i < 3; i++) {
        print_message("# %s\n", buffer_text(&figures[i]->description));
        assert_non_null(strstr(buffer_text(&figures[i]->description), feeds[i]));
        figure_destroy(figures[i]);
    }
    perpend_machine_finish(&machine);
}

/* its bars end where the ruled scale's own numbers say, those of a job that found too much open */
static void the_history_shows_each_job(void **state)
{
    (void)state;
    const struct report_case wanted = {.name = "Tern", .rounds = 1, .readings = 4};
    struct report_job made;
    report_job_make(&wanted, &made);
    struct figure *figure = figure_history(&made.machine, made.past, 7);
    double numbers[2] = {0}, places[2] = {0}; /* the last two of the scale */
    double value;
    size_t shown = 0;
    for (size_t i = 0; i < figure->mark_count; i++)
        if (figure->marks[i].kind == MARK_TEXT && figure->marks[i].type.anchor == ANCHOR_MIDDLE &&
            as_number(figure->marks[i].text, &value)) {
            numbers[0] = numbers[1], places[0] = places[1];
            numbers[1] = value, places[1] = figure->marks[i].at.x;
        }
    for (size_t i = 0; i < figure->mark_count; i++) {
        const struct mark *mark = &figure->marks[i];
        if (mark->kind != MARK_PATH || mark->spot_count != 4 || mark->style.fill != INK_NONE)
            continue;
        const struct past_job *job = &made.past[shown / 2];
        const double ridge = shown++ % 2 == 0 ? job->found.height : job->now.height;
        assert_near(numbers[0] + (mark->spots[1].x - places[0]) * (numbers[1] - numbers[0]) /
                                     (places[1] - places[0]),
            ridge, 1e-6);
        assert_int_equal(mark->style.line, ridge <= job->goal ? INK_WITHIN : INK_OVER);
    }
    assert_int_equal(shown, 14);
    figure_destroy(figure);
    report_job_finish(&made);
}

/* an axis in equal ratios, read from two of its own numbers */
static double at_log_scale(const struct figure *figure, bool vertical, double place)
{
    const struct mark *first = NULL;
    double low = 0;
    for (size_t i = 0; i < figure->mark_count; i++) {
        const struct mark *mark = &figure->marks[i];
        double value;
        if (mark->kind != MARK_TEXT || mark->type.letter != LETTER_STRONG ||
            mark->type.ink != INK_TEXT ||
            mark->type.anchor != (vertical ? ANCHOR_END : ANCHOR_MIDDLE) ||
            !as_number(mark->text, &value))
            continue;
        const double here = vertical ? mark->at.y - 4 : mark->at.x;
        if (first != NULL) {
            const double from = vertical ? first->at.y - 4 : first->at.x;
            return low * pow(value / low, (place - from) / (here - from));
        }
        first = mark;
        low = value;
    }
    fail_msg("the chart has no such axis");
    return 0;
}

static void a_chart_s_contour_is_the_goal(void **state)
{
    (void)state;
    struct perpend_machine machine;
    perpend_machine_init(&machine);
    machine.cutter.diameter = 22;
    machine.facing.stepover = 10;
    machine.goal.ridge = 0.02;
    machine.setup.arm.length = 75;
    machine.setup.gauge.step = 0.05;
    for (int pair = 0; pair < 2; pair++) {
        const double bearing = pair * PERPEND_PI / 2;
        struct figure *figure = figure_chart(&machine, bearing, NULL);
        size_t lines = 0;
        for (size_t i = 0; i < figure->mark_count; i++) {
            const struct mark *mark = &figure->marks[i];
            if (mark->kind != MARK_PATH || mark->style.line != INK_TEXT || mark->style.width < 3 ||
                mark->spot_count < 10)
                continue;
            for (size_t j = 0; j < mark->spot_count; j++) {
                if (mark->spots[j].x < 60 || mark->spots[j].x > 310)
                    continue; /* beyond the frame it stands at its edge */
                const double share = at_log_scale(figure, false, mark->spots[j].x) / 150;
                const double lean = share / sqrt(1 - share * share);
                struct perpend_facing facing = machine.facing;
                double height;
                facing.stepover = at_log_scale(figure, true, mark->spots[j].y);
                assert_int_equal(perpend_ridge_facing((struct perpend_slope){lean * sin(bearing),
                                                          lean * cos(bearing)},
                                     &machine.cutter, &facing, &height),
                    PERPEND_OK);
                assert_near(height, 0.02, 2e-4);
            }
            lines++;
        }
        assert_int_equal(lines, 1);
        figure_destroy(figure);
    }
}

/* The spot of a lean that is mixed of both pairs stands at this pair's share, and so on the line of
   the ridge that the share makes; the two ridges together are never less than the true one. */
static void a_mixed_lean_stands_on_its_own_line(void **state)
{
    (void)state;
    struct test_random random = test_random_start("mixed leans", 64);
    for (int n = 0; n < 300; n++) {
        struct perpend_machine machine;
        double sum = 0;
        double height;
        perpend_machine_init(&machine);
        machine.cutter.diameter = test_uniform(&random, 3, 40);
        machine.facing.stepover = test_uniform(&random, 0.1, 0.8) * machine.cutter.diameter;
        machine.facing.along = n % 2 * PERPEND_PI / 2;
        machine.setup.arm.length = 75;
        machine.setup.gauge.step = 0.05;
        machine.goal.ridge = 1e-9; /* so that the spot is a ring */
        const struct perpend_slope lean = {
            test_uniform(&random, -0.01, 0.01), test_uniform(&random, -0.01, 0.01)};
        for (int pair = 0; pair < 2; pair++) {
            const double bearing = pair * PERPEND_PI / 2;
            struct figure *figure = figure_chart(&machine, bearing, &lean);
            struct spot spots[4];
            const double share = fabs(pair == 0 ? lean.back : lean.right);
            const size_t count = rings(figure, INK_OVER, spots, 4);
            assert_true(count >= 1);
            const double read = 150 * share / hypot(1, share);
            if (read > 0.06)
                assert_near(at_log_scale(figure, false, spots[0].x), read, 1e-3 * read);
            assert_near(at_log_scale(figure, true, spots[0].y), machine.facing.stepover,
                1e-3 * machine.facing.stepover);
            assert_int_equal(perpend_ridge_facing(
                                 (struct perpend_slope){share * sin(bearing), share * cos(bearing)},
                                 &machine.cutter, &machine.facing, &height),
                PERPEND_OK);
            sum += height;
            figure_destroy(figure);
        }
        assert_int_equal(
            perpend_ridge_facing(lean, &machine.cutter, &machine.facing, &height), PERPEND_OK);
        assert_true(height <= sum * (1 + 1e-9));
    }
}

/* the same at 200 bearings: as far as the ridge's own limit there goes, and no farther */
static void the_outline_is_the_ridge_s_own_limit(void **state)
{
    (void)state;
    struct test_random random = test_random_start("outline", 63);
    for (int trial = 0; trial < 8; trial++) {
        const struct report_case wanted = {
            .name = "Tern", .rounds = 1, .readings = 8, .both_ways = trial % 2 == 1};
        struct report_job made;
        report_job_make(&wanted, &made);
        made.machine.goal.ridge *= pow(2, test_uniform(&random, -2, 2));
        made.machine.goal.lean = trial > 5 ? 0.003 : NAN;
        struct figure *figure = figure_lean(&made.machine, &made.solution, false);
        const struct target_scale scale = read_target(figure);
        const struct mark *outline = NULL;
        double rim = 0;
        for (size_t i = 0; i < figure->mark_count; i++) {
            const struct mark *mark = &figure->marks[i];
            if (mark->kind == MARK_PATH && mark->style.fill == INK_MEETS && mark->spot_count > 10)
                outline = mark;
            if (mark->kind == MARK_CIRCLE && mark->style.line == INK_TEXT)
                rim = fmax(rim, mark->radius * scale.per_point / 1000);
        }
        assert_non_null(outline);
        for (int n = 0; n < 200; n++) {
            const double bearing = test_uniform(&random, 0, 2 * PERPEND_PI);
            const double limit = lean_reach(
                &made.machine.cutter, &made.machine.facing, &made.machine.goal, bearing, rim);
            double drawn = 0; /* where the ray leaves the outline */
            for (size_t j = 0; j < outline->spot_count; j++) {
                const struct perpend_slope a = at_target(scale, outline->spots[j]);
                const struct perpend_slope b =
                    at_target(scale, outline->spots[(j + 1) % outline->spot_count]);
                const double s = sin(bearing), c = cos(bearing);
                const double left = a.right * c - a.back * s, right = b.right * c - b.back * s;
                const double share = left / (left - right);
                const double ahead = (a.right + share * (b.right - a.right)) * s +
                                     (a.back + share * (b.back - a.back)) * c;
                if (left * right <= 0 && left != right && ahead > 0)
                    drawn = fmax(drawn, ahead);
            }
            if (fabs(drawn - limit) > 0.01 * rim)
                fail_msg("trial %d, bearing %g: drawn %g, limit %g", trial, bearing, drawn, limit);
        }
        figure_destroy(figure);
        report_job_finish(&made);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bars_are_as_high_as_their_readings),
        cmocka_unit_test(a_lean_stands_where_the_rings_say),
        cmocka_unit_test(the_floor_is_as_high_as_its_ridge),
        cmocka_unit_test(the_floor_is_that_of_the_worse_feed),
        cmocka_unit_test(the_history_shows_each_job),
        cmocka_unit_test(a_chart_s_contour_is_the_goal),
        cmocka_unit_test(a_mixed_lean_stands_on_its_own_line),
        cmocka_unit_test(the_outline_is_the_ridge_s_own_limit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
