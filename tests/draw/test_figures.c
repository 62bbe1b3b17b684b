/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Figures: texts keep clear of each other and stay on the sheet, whatever the job; and what is
   drawn stands where its own axes say it does. */
#include "support/support.h"

#include <locale.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "draw/figures.h"
#include "draw/letters.h"
#include "draw/sheets.h"
#include "support/overlap.h"
#include "support/report_case.h"

static const char *const names[] = {"Tern", "", LONG, WIDE, HEBREW, ARABIC, CHINESE, NASTY};

/* every text clear of every other and on the sheet */
static void assert_clear(const struct figure *figure, const char *what)
{
    const struct mark *one;
    const struct mark *other;
    assert_non_null(figure);
    assert_false(figure->failed);
    if (!figure_overlap(figure, &one, &other))
        return;
    printf("# %s, sheet %.1f x %.1f\n", what, figure->width, figure->height);
    printf("# '%s' (%.1f %.1f %.1f %.1f)\n", one->text, one->box.x, one->box.y, one->box.width,
        one->box.height);
    if (one == other)
        fail_msg("a text leaves the sheet");
    printf("# '%s' (%.1f %.1f %.1f %.1f)\n", other->text, other->box.x, other->box.y,
        other->box.width, other->box.height);
    fail_msg("two texts overlap");
}

static size_t text_count(const struct figure *figure)
{
    size_t count = 0;
    for (size_t i = 0; i < figure->mark_count; i++)
        count += figure->marks[i].kind == MARK_TEXT;
    return count;
}

static void overlaps_are_noticed(void **state)
{
    (void)state;
    const struct type plain = {.letter = LETTER_PLAIN, .ink = INK_TEXT};
    const struct mark *first;
    const struct mark *second;
    struct figure *figure = figure_create(200, 100);
    figure_text(figure, plain, (struct spot){20, 50}, 0, "one");
    assert_false(figure_overlap(figure, &first, &second));
    figure_text(figure, plain, (struct spot){20, 80}, 0, "apart");
    assert_false(figure_overlap(figure, &first, &second));
    figure_text(figure, plain, (struct spot){24, 53}, 0, "upon it");
    assert_true(figure_overlap(figure, &first, &second));
    assert_string_equal(first->text, "one");
    assert_string_equal(second->text, "upon it");
    figure_destroy(figure);

    figure = figure_create(200, 100);
    figure_text(figure, (struct type){LETTER_PLAIN, INK_TEXT, ANCHOR_END, false, false},
        (struct spot){20, 50}, 0, "too long for where it ends");
    assert_true(figure_overlap(figure, &first, &second));
    assert_ptr_equal(first, second);
    figure_destroy(figure);
}

static bool ends_in(const char *text, const char *end)
{
    const size_t length = strlen(text);
    return length >= strlen(end) && strcmp(text + length - strlen(end), end) == 0;
}

static void a_text_is_cut_to_its_room(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        for (double most = 20; most < 400; most *= 1.7) {
            struct buffer cut = {0};
            text_cut(LETTER_PLAIN, names[i], most, &cut);
            const char *text = buffer_text(&cut);
            for (struct character c; (c = character_at(text)).bytes > 0; text += c.bytes)
                assert_int_not_equal(c.code, CHARACTER_BROKEN);
            text = buffer_text(&cut);
            assert_true(text_width(LETTER_PLAIN, text) <= most + 1e-6);
            if (text_width(LETTER_PLAIN, names[i]) <= most)
                assert_string_equal(text, names[i]);
            else
                assert_true(ends_in(text, "…"));
            buffer_finish(&cut);
        }
}

/* lines of any width hold the whole text but for the blanks between them, and fit */
static void lines_hold_the_whole_text(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        for (double most = 12; most < 400; most *= 1.3) {
            const char *text = names[i];
            size_t next;
            for (; *text != '\0'; text += next) {
                struct buffer line = {0};
                const size_t length = text_line(LETTER_PLAIN, text, most, &next);
                assert_true(length > 0 && length <= next);
                for (size_t k = length; k < next; k++)
                    assert_int_equal(text[k], ' ');
                buffer_add_bytes(&line, text, length);
                const struct character first = character_at(text);
                if (length > 2 * first.bytes)
                    assert_true(text_width(LETTER_PLAIN, buffer_text(&line)) <= most + 1e-6);
                buffer_finish(&line);
            }
        }
}

/* all figures of one job */
static void look_at_all(const struct report_case *wanted)
{
    struct report_job made;
    char what[160];
    report_job_make(wanted, &made);
    const struct perpend_measurement *first = &made.solution.measurements[0];
    const struct perpend_measurement *last = &made.solution.measurements[wanted->rounds - 1];
    const struct floor_lean found = {first->fit.lean, "as found", false};
    const struct floor_lean now = {last->fit.lean, "as now", false};
    const struct mount_work done =
        mount_work_done(&made.job, made.solution.measurements, made.solution.measurement_count);
    const struct ridge_bar bars[] = {{"as found", first->ridge.height, first->distribution.low,
                                         first->distribution.high, INK_OVER, 0.02},
        {"as now", last->ridge.height, last->distribution.low, last->distribution.high, INK_WITHIN,
            0.02}};
    struct figure *figures[] = {
        figure_compass(&made.machine, first, wanted->name),
        figure_compass(&made.machine, last, wanted->name),
        figure_lean(&made.machine, &made.solution, true),
        figure_floor(&made.machine, &found, NULL),
        figure_floor(&made.machine, &found, &now),
        figure_mount(&made.machine, 0, &done, false),
        figure_mount(&made.machine, made.machine.mount.joint_count - 1, &done, true),
        figure_history(&made.machine, made.past, 1),
        figure_history(&made.machine, made.past, 2),
        figure_history(&made.machine, made.past, 11),
        figure_history(&made.machine, made.past, 40),
        figure_scale(&made.machine, bars, 2),
        sheet_of_ridge(&made.machine, &first->fit.lean),
    };
    for (size_t i = 0; i < sizeof figures / sizeof *figures; i++) {
        snprintf(what, sizeof what, "figure %zu, %zu rounds, %zu readings, '%.40s'", i,
            wanted->rounds, wanted->readings, wanted->name);
        assert_clear(figures[i], what);
        assert_true(text_count(figures[i]) > 3);
        assert_true(figures[i]->title.length > 5);
        assert_true(figures[i]->description.length > 20);
        figure_destroy(figures[i]);
    }
    report_job_finish(&made);
}

static void texts_keep_clear_whatever_the_names(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
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
    for (int i = 0; i < 36; i++) {
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
        machine.setup.arm.length = i % 3 == 0 ? NAN : test_uniform(&random, 20, 300);
        machine.setup.gauge.step = pow(10, test_uniform(&random, -3, -1));
        machine.goal.ridge = test_pick(&random, 4) ? pow(10, test_uniform(&random, -3, -0.5)) : NAN;
        const double size = pow(10, test_uniform(&random, -5, -1));
        const double toward = test_uniform(&random, 0, 6.28);
        const struct perpend_slope lean = {size * sin(toward), size * cos(toward)};
        const struct floor_lean now = {lean, "now", false};
        const struct floor_lean then = {{lean.right / 20, lean.back / 7}, "then", false};
        struct figure *figures[] = {
            figure_floor(&machine, &now, &then), sheet_of_ridge(&machine, i % 2 ? &lean : NULL)};
        for (size_t k = 0; k < 2; k++) {
            char what[160];
            snprintf(what, sizeof what,
                "case %d, figure %zu: lean %g toward %g, bit %g, corner %g, step %g, goal %g", i, k,
                size, toward, machine.cutter.diameter, machine.cutter.corner,
                machine.facing.stepover, machine.goal.ridge);
            assert_clear(figures[k], what);
            figure_destroy(figures[k]);
        }
        perpend_machine_finish(&machine);
    }
}

/* ---- colours ---- */

/* relative luminance, and contrast from 1 to 21: WCAG 2.2, from memory */
static double luminance(enum ink ink, bool dark)
{
    char colour[8];
    ink_colour(ink, dark, colour);
    const unsigned long rgb = strtoul(colour + 1, NULL, 16);
    const double weights[] = {0.0722, 0.7152, 0.2126};
    double sum = 0;
    for (int i = 0; i < 3; i++) {
        const double c = (double)(rgb >> 8 * i & 0xff) / 255;
        sum += weights[i] * (c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4));
    }
    return sum;
}

static double contrast(enum ink one, enum ink other, bool dark)
{
    const double a = luminance(one, dark);
    const double b = luminance(other, dark);
    return (fmax(a, b) + 0.05) / (fmin(a, b) + 0.05);
}

static void words_stand_out_and_found_from_left_in_grey(void **state)
{
    (void)state;
    static const enum ink words[] = {INK_TEXT, INK_SOFT, INK_OVER, INK_WITHIN};
    static const enum ink grounds[] = {INK_PAPER, INK_MEETS, INK_BAND};
    for (int dark = 0; dark < 2; dark++) {
        for (size_t i = 0; i < sizeof words / sizeof *words; i++)
            for (size_t j = 0; j < sizeof grounds / sizeof *grounds; j++)
                if (contrast(words[i], grounds[j], dark) < 4.5)
                    fail_msg("ink %d on %d, dark %d: contrast %.2f", words[i], grounds[j], dark,
                        contrast(words[i], grounds[j], dark));
        assert_true(contrast(INK_OVER, INK_WITHIN, dark) > 1.3);
    }
}

/* ---- the writers ---- */

static void a_locale_with_commas_changes_no_byte(void **state)
{
    (void)state;
    struct perpend_machine machine;
    perpend_machine_init(&machine);
    machine.cutter.diameter = 22;
    machine.facing.stepover = 10;
    machine.goal.ridge = 0.02;
    struct buffer plain = {0};
    struct buffer comma = {0};
    struct figure *figure = figure_chart(&machine, 0, NULL);
    figure_svg(figure, "a", true, &plain);
    figure_destroy(figure);
    if (setlocale(LC_ALL, "de_DE.utf8") == NULL) {
        buffer_finish(&plain);
        skip();
    }
    figure = figure_chart(&machine, 0, NULL);
    figure_svg(figure, "a", true, &comma);
    setlocale(LC_ALL, "C");
    figure_destroy(figure);
    assert_string_equal(buffer_text(&plain), buffer_text(&comma));
    buffer_finish(&plain);
    buffer_finish(&comma);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(overlaps_are_noticed),
        cmocka_unit_test(a_text_is_cut_to_its_room),
        cmocka_unit_test(lines_hold_the_whole_text),
        cmocka_unit_test(texts_keep_clear_whatever_the_names),
        cmocka_unit_test(texts_keep_clear_whatever_the_job),
        cmocka_unit_test(texts_keep_clear_whatever_the_numbers),
        cmocka_unit_test(words_stand_out_and_found_from_left_in_grey),
        cmocka_unit_test(a_locale_with_commas_changes_no_byte),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
