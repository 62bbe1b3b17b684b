/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is drawn stands where the picture's own axes say it does. */
#include "support/support.h"

#include <string.h>

#include <perpend/status.h>

#include "draw/figure_marks.h"
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
    char plain[64];
    if (g_str_has_prefix(text, "−"))
        g_snprintf(plain, sizeof plain, "-%s", text + strlen("−"));
    else
        g_strlcpy(plain, text, sizeof plain);
    return perpend_number_parse(plain, value) == PERPEND_OK;
}

/* The nth run of numbers along an axis: vertical axes end their numbers at one x, horizontal ones
   centre them on one y. */
static struct scale read_scale(const struct figure *figure, bool vertical, int nth)
{
    const struct mark *before = NULL;
    double value_before = 0;
    int run = 0;
    bool in_run = false;
    for (guint i = 0; i < figure->marks->len; i++) {
        const struct mark *mark = &g_array_index(figure->marks, struct mark, i);
        double value;
        if (mark->kind != MARK_TEXT)
            continue;
        const bool here = mark->anchor == (vertical ? ANCHOR_END : ANCHOR_MIDDLE) &&
                          mark->ink == INK_SOFT && as_number(mark->text, &value);
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
    for (guint i = 0; i < figure->marks->len; i++) {
        const struct mark *mark = &g_array_index(figure->marks, struct mark, i);
        if (mark->kind == MARK_CIRCLE && mark->style.line == ink && mark->style.fill == INK_PAPER &&
            mark->radius > 2 && count < most)
            spots[count++] = mark->at;
    }
    return count;
}

static void readings_stand_where_the_axes_say(void **state)
{
    (void)state;
    for (int inch = 0; inch < 2; inch++) {
        const struct report_case wanted = {
            .name = "Tern", .rounds = 1, .readings = 7, .inch = inch == 1};
        struct report_job made;
        report_job_make(&wanted, &made);
        const struct perpend_measurement *m = &made.solution.measurements[0];
        const double unit = inch ? 25.4 : 1;
        struct figure *figure = figure_sweep(&made.machine, m, "as found", false);
        const struct scale value = read_scale(figure, true, 0);
        const struct scale rest = read_scale(figure, true, 1);
        struct spot spots[64];
        const size_t count = rings(figure, INK_FOUND, spots, 64);
        /* one in the key; each reading twice, once above and once below; the back twice over */
        assert_int_equal(count, 1 + 2 * (m->reading_count + 1));
        size_t k = 1;
        for (size_t i = 0; i < m->reading_count; i++)
            for (int turn = 0; turn <= (i == 0 ? 1 : 0); turn++, k += 2) {
                assert_near(at_scale(value, spots[k].y), m->readings[i].value / unit, 2e-3 / unit);
                assert_near(at_scale(rest, spots[k + 1].y),
                    inch ? m->residual[i] / 0.0254 : m->residual[i], inch ? 2e-2 : 5e-4);
                assert_near(spots[k].x, spots[k + 1].x, 1e-9);
            }
        figure_destroy(figure);
        report_job_finish(&made);
    }
}

static void a_lean_stands_where_the_axes_say(void **state)
{
    (void)state;
    const struct report_case wanted = {.name = "Tern", .rounds = 1, .readings = 8};
    struct report_job made;
    report_job_make(&wanted, &made);
    const struct perpend_slope lean = made.solution.measurements[0].fit.lean;
    struct figure *figure = figure_lean(&made.machine, &made.solution);
    const struct scale right = read_scale(figure, false, 0);
    const struct scale back = read_scale(figure, true, 0);
    struct spot spot;
    assert_int_equal(rings(figure, INK_FOUND, &spot, 1), 1);
    assert_near(at_scale(right, spot.x), 1000 * lean.right, 0.01);
    assert_near(at_scale(back, spot.y), 1000 * lean.back, 0.01);
    assert_near(fabs(right.step), fabs(back.step), 1e-9); /* one scale both ways */

    /* on the outline of the goal's region the ridge is the goal */
    size_t checked = 0;
    for (guint i = 0; i < figure->marks->len; i++) {
        const struct mark *mark = &g_array_index(figure->marks, struct mark, i);
        if (mark->kind != MARK_PATH || mark->style.fill != INK_MEETS || mark->spot_count < 10)
            continue;
        for (size_t j = 0; j < mark->spot_count; j++) {
            const struct perpend_slope edge = {
                at_scale(right, mark->spots[j].x) / 1000, at_scale(back, mark->spots[j].y) / 1000};
            double height;
            if (perpend_slope_size(edge) > 0.035)
                continue; /* the outline is not looked for so far out */
            assert_int_equal(
                perpend_ridge_facing(edge, &made.machine.cutter, &made.machine.facing, &height),
                PERPEND_OK);
            assert_near(height, made.machine.goal, 2e-4);
            checked++;
        }
    }
    assert_true(checked > 100);
    figure_destroy(figure);
    report_job_finish(&made);
}

static void the_floor_is_as_high_as_its_ridge(void **state)
{
    (void)state;
    struct test_random random = test_random_start("floor", 62);
    for (int i = 0; i < 60; i++) {
        struct perpend_machine machine;
        perpend_machine_init(&machine);
        machine.cutter.diameter = 22;
        machine.facing = (struct perpend_facing){.stepover = test_uniform(&random, 2, 15),
            .along = test_uniform(&random, 0, 3),
            .depth = NAN};
        const struct floor_lean now = {
            {test_uniform(&random, -0.01, 0.01), test_uniform(&random, -0.01, 0.01)}, "now", false};
        double ridge;
        assert_int_equal(perpend_ridge_height(now.lean, &machine.cutter, machine.facing.stepover,
                             machine.facing.along, &ridge),
            PERPEND_OK);
        struct figure *figure = figure_floor(&machine, &now, NULL);
        const struct scale height = read_scale(figure, true, 0);
        double low = INFINITY;
        double high = -INFINITY;
        for (guint k = 0; k < figure->marks->len; k++) {
            const struct mark *mark = &g_array_index(figure->marks, struct mark, k);
            for (size_t j = 0; j < mark->spot_count && mark->spot_count > 8; j++) {
                low = fmin(low, at_scale(height, mark->spots[j].y));
                high = fmax(high, at_scale(height, mark->spots[j].y));
            }
        }
        printf("# case %d: stepover %.17g, lean %.17g %.17g along %.17g\n", i,
            machine.facing.stepover, now.lean.right, now.lean.back, machine.facing.along);
        assert_near(high - low, ridge, 0.03 * ridge + 1e-6);
        assert_near(low, 0, 0.01 * ridge + 1e-9);
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
    static const char *const feeds[] = {"along X", "along Y", "along X"};
    for (size_t i = 0; i < G_N_ELEMENTS(figures); i++) {
        print_message("# %s\n", figure_description(figures[i]));
        assert_non_null(strstr(figure_description(figures[i]), feeds[i]));
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
    assert_int_equal(rings(figure, INK_FOUND, spots, 16), 8); /* one in the key */
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
    for (guint i = 0; i < figure->marks->len; i++) {
        const struct mark *mark = &g_array_index(figure->marks, struct mark, i);
        if (mark->kind != MARK_PATH || mark->style.line != INK_GOAL || mark->spot_count < 10)
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
        cmocka_unit_test(readings_stand_where_the_axes_say),
        cmocka_unit_test(a_lean_stands_where_the_axes_say),
        cmocka_unit_test(the_floor_is_as_high_as_its_ridge),
        cmocka_unit_test(the_floor_is_that_of_the_worse_feed),
        cmocka_unit_test(the_history_shows_each_job),
        cmocka_unit_test(a_chart_s_contour_is_the_goal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
