/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is drawn stands where the picture's own axes say it does. */
#include "support/support.h"

#include <string.h>

#include <perpend/status.h>

#include "draw/figures.h"
#include "draw/plot.h"
#include "support/report_case.h"

/* a straight scale, read from two of an axis's own numbers */
struct scale {
    double value, step; /* value at `from`, and per pt */
    double from;
};

static bool as_number(const char *text, double *value)
{
    const bool minus = strncmp(text, "−", strlen("−")) == 0;
    const bool good = perpend_number_parse(minus ? text + strlen("−") : text, value) == PERPEND_OK;
    *value *= minus ? -1 : 1;
    return good;
}

/* The nth run of numbers along an axis: vertical axes end their numbers at one x, horizontal ones
   centre them on one y. */
static struct scale read_scale(const struct figure *figure, bool vertical, int nth)
{
    const struct mark *before = NULL;
    double value_before = 0;
    int run = 0;
    bool in_run = false;
    for (size_t i = 0; i < figure->mark_count; i++) {
        const struct mark *mark = &figure->marks[i];
        double value;
        if (mark->kind != MARK_TEXT)
            continue;
        const bool here = mark->type.anchor == (vertical ? ANCHOR_END : ANCHOR_MIDDLE) &&
                          mark->type.ink == INK_SOFT && as_number(mark->text, &value);
        if (here && in_run && run == nth) {
            const double from = vertical ? before->at.y - 3 : before->at.x;
            const double to = vertical ? mark->at.y - 3 : mark->at.x;
            return (struct scale){value_before, (value - value_before) / (to - from), from};
        }
        if (here && !in_run) {
            before = mark;
            value_before = value;
            in_run = true;
        } else if (!here && in_run) {
            in_run = false;
            run++;
        }
    }
    fail_msg("the figure has no such axis");
    return (struct scale){0, 0, 0};
}

static double at_scale(struct scale scale, double place)
{
    return scale.value + (place - scale.from) * scale.step;
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
            assert_near(across[k], 100 * sin(reading->bearing), 1e-6);
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
            const double down = mark->at.y - 0.36 * 9 - scale.centre.y;
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
    struct figure *figure = figure_lean(&made.machine, &made.solution);
    const struct target_scale scale = read_target(figure);
    struct spot spot;
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
            thick = fmax(thick, figure->marks[i].radius < 100 ? figure->marks[i].radius : 0);
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

static void the_history_shows_each_job(void **state)
{
    (void)state;
    const struct report_case wanted = {.name = "Tern", .rounds = 1, .readings = 4};
    struct report_job made;
    report_job_make(&wanted, &made);
    struct figure *figure = figure_history(&made.machine, made.past, 7);
    const struct scale lean = read_scale(figure, true, 0);
    struct spot spots[16];
    assert_int_equal(rings(figure, INK_TEXT, spots, 16), 8); /* one in the key */
    for (size_t i = 0; i < 7; i++)
        assert_near(at_scale(lean, spots[i + 1].y), 1000 * made.past[i].found, 0.02);
    figure_destroy(figure);
    report_job_finish(&made);
}

static void a_chart_s_contour_is_the_goal(void **state)
{
    (void)state;
    const struct perpend_cutter cutter = {.diameter = 22};
    const struct perpend_facing facing = {.stepover = 10, .along = PERPEND_ALONG_X, .depth = NAN};
    struct figure *figure = figure_chart(&cutter, &facing, 0.02, PERPEND_UNIT_MM, NULL);
    size_t panel = 0;
    for (size_t i = 0; i < figure->mark_count; i++) {
        const struct mark *mark = &figure->marks[i];
        if (mark->kind != MARK_PATH || mark->style.line != INK_TEXT || mark->style.width < 2 ||
            mark->spot_count < 10)
            continue;
        const struct scale lean = read_scale(figure, false, (int)panel);
        const struct scale step = read_scale(figure, true, (int)panel);
        for (size_t j = 0; j < mark->spot_count; j++) {
            const double size = at_scale(lean, mark->spots[j].x) / 1000;
            const double stepover = at_scale(step, mark->spots[j].y);
            const struct perpend_slope t =
                panel == 0 ? (struct perpend_slope){0, size} : (struct perpend_slope){size, 0};
            double height;
            assert_int_equal(
                perpend_ridge_height(t, &cutter, stepover, PERPEND_ALONG_X, &height), PERPEND_OK);
            assert_near(height, 0.02, 2e-4);
        }
        panel++;
    }
    assert_int_equal(panel, 2);
    figure_destroy(figure);
}

/* Whatever an axis spans, two of its own numbers can be read on it, and not too many. */
static void an_axis_has_a_scale(void **state)
{
    (void)state;
    struct test_random random = test_random_start("an axis has a scale", 77);
    for (int n = 0; n < 20000; n++) {
        const double middle = test_pick(&random, 2) ? 0.0 : test_uniform(&random, -2, 2);
        const double reach = pow(10.0, test_uniform(&random, -4, 3));
        const unsigned ticks = 3 + (unsigned)test_pick(&random, 6);
        const struct axis axis = axis_over(middle - reach, middle + reach, ticks);
        const double labels =
            floor(axis.high / axis.step + 1e-9) - ceil(axis.low / axis.step - 1e-9) + 1;
        if (labels < 2 || labels > fmax(5, 1.3 * ticks + 1)) {
            printf("# case %d: %g ± %g has %g labels of %u\n", n, middle, reach, labels, ticks);
            fail();
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_axis_has_a_scale),
        cmocka_unit_test(bars_are_as_high_as_their_readings),
        cmocka_unit_test(a_lean_stands_where_the_rings_say),
        cmocka_unit_test(the_floor_is_as_high_as_its_ridge),
        cmocka_unit_test(the_floor_is_that_of_the_worse_feed),
        cmocka_unit_test(the_history_shows_each_job),
        cmocka_unit_test(a_chart_s_contour_is_the_goal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
