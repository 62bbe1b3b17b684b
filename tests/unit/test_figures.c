/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Figures: texts keep clear of each other and stay on the sheet, whatever the job; and what is
   drawn stands where its own axes say it does. */
#include "../support.h"

#include <locale.h>
#include <string.h>

#include <perpend/status.h>

#include "figure_marks.h"
#include "figures.h"
#include "picture.h"
#include "report_case.h"
#include "sheets.h"

#define LONG                                                                                       \
    "The bench router at the far end of the boat shed, behind the rack for the eights, lent out "  \
    "last winter"
#define WIDE                                                                                       \
    "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW"
#define HEBREW "כרסומת השולחן של מועדון החתירה, ליד הסככה הצפונית"
#define ARABIC "فريزة الطاولة في سقيفة قوارب نادي التجديف"
#define CHINESE "划艇俱乐部船棚里的台式雕刻机，靠近八人艇架子的那一台"
#define NASTY "<script>alert('x')</script> & \"]]> --"

static const char *const names[] = {"Tern", "", LONG, WIDE, HEBREW, ARABIC, CHINESE, NASTY};

/* every text clear of every other and on the sheet */
static void assert_clear(const struct figure *figure, const char *what)
{
    size_t first;
    size_t second;
    if (!figure_overlap(figure, &first, &second))
        return;
    struct box a;
    struct box b;
    const char *one = figure_text_at(figure, first, &a);
    const char *other = figure_text_at(figure, second, &b);
    printf("# %s, sheet %.1f x %.1f\n", what, figure_width(figure), figure_height(figure));
    printf("# '%s' (%.1f %.1f %.1f %.1f)\n", one, a.x, a.y, a.width, a.height);
    if (first == second)
        fail_msg("a text leaves the sheet");
    printf("# '%s' (%.1f %.1f %.1f %.1f)\n", other, b.x, b.y, b.width, b.height);
    fail_msg("two texts overlap");
}

static void overlaps_are_noticed(void **state)
{
    (void)state;
    size_t first;
    size_t second;
    struct figure *figure = figure_create(200, 100);
    const struct spot at = {20, 50};
    figure_text(figure, LETTER_PLAIN, INK_TEXT, ANCHOR_START, at, 0, "one");
    assert_false(figure_overlap(figure, &first, &second));
    figure_text(figure, LETTER_PLAIN, INK_TEXT, ANCHOR_START, (struct spot){20, 80}, 0, "apart");
    assert_false(figure_overlap(figure, &first, &second));
    figure_text(figure, LETTER_PLAIN, INK_TEXT, ANCHOR_START, (struct spot){24, 53}, 0, "upon it");
    assert_true(figure_overlap(figure, &first, &second));
    assert_int_equal(first, 0);
    assert_int_equal(second, 2);
    figure_destroy(figure);

    figure = figure_create(200, 100);
    figure_text(figure, LETTER_PLAIN, INK_TEXT, ANCHOR_END, at, 0, "too long for where it ends");
    assert_true(figure_overlap(figure, &first, &second));
    assert_int_equal(first, second);
    figure_destroy(figure);
}

static void a_text_is_cut_to_its_room(void **state)
{
    (void)state;
    struct figure *figure = figure_create(500, 100);
    for (size_t i = 0; i < G_N_ELEMENTS(names); i++)
        for (double most = 20; most < 400; most *= 1.7)
            figure_text(
                figure, LETTER_PLAIN, INK_TEXT, ANCHOR_START, (struct spot){0, 50}, most, names[i]);
    for (size_t i = 0, k = 0; i < G_N_ELEMENTS(names); i++)
        for (double most = 20; most < 400 && names[i][0] != '\0'; most *= 1.7) {
            struct box box;
            const char *text = figure_text_at(figure, k++, &box);
            assert_true(g_utf8_validate(text, -1, NULL));
            assert_true(figure_measure(figure, LETTER_PLAIN, text) <= most + 1e-6);
            if (figure_measure(figure, LETTER_PLAIN, names[i]) <= most)
                assert_string_equal(text, names[i]);
            else
                assert_true(g_str_has_suffix(text, "…"));
        }
    figure_destroy(figure);
}

/* all figures of one job */
static void look_at_all(const struct report_case *wanted)
{
    struct report_job made;
    char what[160];
    report_job_make(wanted, &made);
    const struct perpend_measurement *first = &made.solution.measurements[0];
    const struct perpend_measurement *last = &made.solution.measurements[wanted->rounds - 1];
    const struct floor_lean found = {first->fit.lean, "as found"};
    const struct floor_lean left = {last->fit.lean, "as left"};
    struct mount_work *done = mount_work_done(&made.machine.mount, &made.job, &made.solution);
    struct figure *figures[] = {
        figure_sweep(&made.machine, first, wanted->name, false),
        figure_sweep(&made.machine, last, wanted->name, true),
        figure_lean(&made.machine, &made.solution),
        figure_floor(&made.machine, &found, NULL),
        figure_floor(&made.machine, &found, &left),
        figure_mount(&made.machine, 0, done, false),
        figure_mount(&made.machine, made.machine.mount.joint_count - 1, done, true),
        figure_history(&made.machine, made.past, 1),
        figure_history(&made.machine, made.past, 2),
        figure_history(&made.machine, made.past, 11),
        figure_history(&made.machine, made.past, 40),
        figure_chart(&made.machine.cutter, &made.machine.facing, made.machine.goal,
            made.machine.unit, &first->fit.lean),
        figure_chart(&made.machine.cutter, &made.machine.facing, NAN, made.machine.unit, NULL),
        sheet_of_solution(&made.machine, &made.job, &made.solution),
        sheet_of_ridge(&made.machine, &first->fit.lean),
    };
    for (size_t i = 0; i < G_N_ELEMENTS(figures); i++) {
        g_snprintf(what, sizeof what, "figure %zu, %zu rounds, %zu readings, '%.40s'", i,
            wanted->rounds, wanted->readings, wanted->name);
        assert_clear(figures[i], what);
        assert_true(figure_text_count(figures[i]) > 3);
        assert_true(strlen(figure_title(figures[i])) > 5 || i >= 13);
        assert_true(strlen(figure_description(figures[i])) > 40);
        figure_destroy(figures[i]);
    }
    mount_work_free(done);
    report_job_finish(&made);
}

static void texts_keep_clear_whatever_the_names(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(names); i++) {
        const struct report_case wanted = {
            .name = names[i], .rounds = 3, .readings = 8, .two_joints = true, .inch = i % 2 == 1};
        look_at_all(&wanted);
    }
}

static void texts_keep_clear_whatever_the_job(void **state)
{
    (void)state;
    static const size_t rounds[] = {1, 3, 30};
    static const size_t readings[] = {4, 5, 64};
    for (size_t i = 0; i < 3; i++)
        for (size_t j = 0; j < 3; j++) {
            const struct report_case wanted = {.name = j == 1 ? LONG : "Tern",
                .rounds = rounds[i],
                .readings = readings[j],
                .both_ways = j == 2,
                .inch = i == 1};
            look_at_all(&wanted);
        }
}

/* leans from a hundredth of a mm/m to a hundred, bits from 1 to 100 mm, any feed */
static void texts_keep_clear_whatever_the_numbers(void **state)
{
    (void)state;
    struct test_random random = test_random_start("texts keep clear", 61);
    for (int i = 0; i < 80; i++) {
        struct perpend_machine machine;
        perpend_machine_init(&machine);
        machine.unit = test_pick(&random, 2) ? PERPEND_UNIT_MM : PERPEND_UNIT_INCH;
        machine.cutter.diameter = pow(10, test_uniform(&random, 0, 2));
        machine.cutter.corner =
            test_pick(&random, 3) ? 0 : test_uniform(&random, 0, 0.5) * machine.cutter.diameter;
        machine.facing.stepover =
            test_uniform(&random, 0.05, 0.95) * (machine.cutter.diameter - machine.cutter.corner);
        machine.facing.both_ways = test_pick(&random, 4) == 0;
        machine.facing.along = test_uniform(&random, 0, 3.14);
        machine.goal = test_pick(&random, 4) ? pow(10, test_uniform(&random, -3, -0.5)) : NAN;
        const double size = pow(10, test_uniform(&random, -5, -1));
        const double toward = test_uniform(&random, 0, 6.28);
        const struct perpend_slope lean = {size * sin(toward), size * cos(toward)};
        const struct floor_lean now = {lean, "now"};
        const struct floor_lean then = {{lean.right / 20, lean.back / 7}, "then"};
        struct figure *figures[] = {figure_floor(&machine, &now, &then),
            figure_chart(&machine.cutter, &machine.facing, machine.goal, machine.unit, &lean),
            sheet_of_ridge(&machine, &lean)};
        for (size_t k = 0; k < 3; k++) {
            char what[160];
            g_snprintf(what, sizeof what,
                "case %d, figure %zu: lean %g toward %g, bit %g, corner %g, step %g, goal %g", i, k,
                size, toward, machine.cutter.diameter, machine.cutter.corner,
                machine.facing.stepover, machine.goal);
            assert_clear(figures[k], what);
            figure_destroy(figures[k]);
        }
        perpend_machine_finish(&machine);
    }
}

/* ---- what is drawn stands where the axes say ---- */

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
            {test_uniform(&random, -0.01, 0.01), test_uniform(&random, -0.01, 0.01)}, "now"};
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

/* ---- the writers ---- */

static void a_locale_with_commas_changes_no_byte(void **state)
{
    (void)state;
    const struct perpend_cutter cutter = {.diameter = 22};
    const struct perpend_facing facing = {.stepover = 10, .along = PERPEND_ALONG_X, .depth = NAN};
    GString *plain = g_string_new(NULL);
    GString *comma = g_string_new(NULL);
    struct figure *figure = figure_chart(&cutter, &facing, 0.02, PERPEND_UNIT_MM, NULL);
    figure_svg(figure, "a", true, plain);
    figure_destroy(figure);
    if (setlocale(LC_ALL, "de_DE.utf8") == NULL) {
        g_string_free(plain, TRUE);
        g_string_free(comma, TRUE);
        skip();
    }
    figure = figure_chart(&cutter, &facing, 0.02, PERPEND_UNIT_MM, NULL);
    figure_svg(figure, "a", true, comma);
    setlocale(LC_ALL, "C");
    figure_destroy(figure);
    assert_string_equal(plain->str, comma->str);
    g_string_free(plain, TRUE);
    g_string_free(comma, TRUE);
}

static void each_format_begins_as_it_should(void **state)
{
    (void)state;
    const struct perpend_cutter cutter = {.diameter = 22};
    const struct perpend_facing facing = {.stepover = 10, .along = PERPEND_ALONG_X, .depth = NAN};
    static const struct {
        const char *path;
        enum picture_format format;
        const char *first;
    } formats[] = {{"a.svg", PICTURE_SVG, "<?xml version=\"1.0\""},
        {"b.PNG", PICTURE_PNG, "\x89PNG\r\n"}, {"c.Pdf", PICTURE_PDF, "%PDF-1."}};
    struct figure *figure = figure_chart(&cutter, &facing, 0.02, PERPEND_UNIT_MM, NULL);
    enum picture_format format;
    for (size_t i = 0; i < 3; i++) {
        assert_true(picture_format_of(formats[i].path, &format));
        assert_int_equal(format, formats[i].format);
        GByteArray *bytes = picture_bytes(figure, format);
        assert_non_null(bytes);
        assert_true(bytes->len > 2000);
        assert_memory_equal(bytes->data, formats[i].first, strlen(formats[i].first));
        g_byte_array_free(bytes, TRUE);
    }
    assert_false(picture_format_of("picture", &format));
    assert_false(picture_format_of(".svg", &format));
    assert_false(picture_format_of("a.jpg", &format));
    figure_destroy(figure);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(overlaps_are_noticed),
        cmocka_unit_test(a_text_is_cut_to_its_room),
        cmocka_unit_test(texts_keep_clear_whatever_the_names),
        cmocka_unit_test(texts_keep_clear_whatever_the_job),
        cmocka_unit_test(texts_keep_clear_whatever_the_numbers),
        cmocka_unit_test(readings_stand_where_the_axes_say),
        cmocka_unit_test(a_lean_stands_where_the_axes_say),
        cmocka_unit_test(the_floor_is_as_high_as_its_ridge),
        cmocka_unit_test(the_history_shows_each_job),
        cmocka_unit_test(a_chart_s_contour_is_the_goal),
        cmocka_unit_test(a_locale_with_commas_changes_no_byte),
        cmocka_unit_test(each_format_begins_as_it_should),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
