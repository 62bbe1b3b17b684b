/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "draw/figures.h"
#include "draw/plot.h"
#include "draw/sheets.h"
#include "text/answer.h"
#include "text/say.h"

#define MARGIN 40.0
#define GAP 28.0
#define LINES 12 /* of a description */
#define MOST 16

/** What stands on one sheet. */
struct contents {
    struct figure *figures[MOST];
    size_t count;
};

static void add(struct contents *contents, struct figure *figure)
{
    if (contents->count < MOST)
        contents->figures[contents->count++] = figure;
    else
        figure_destroy(figure);
}

/** Title, figure, description. Value: where it ends. */
static double place_one(struct figure *sheet, const struct figure *figure, double x, double y)
{
    const struct type title = starting(LETTER_STRONG, INK_TEXT);
    const struct type said = starting(LETTER_SMALL, INK_SOFT);
    const double below = y + 22 + figure->height + 16;
    figure_text(sheet, title, at(x, y + 12), figure->width, buffer_text(&figure->title));
    figure_place(sheet, figure, at(x, y + 22), 1);
    return 4 + below +
           figure_paragraph(
               sheet, said, at(x, below), figure->width, LINES, buffer_text(&figure->description));
}

/** A heading and the figures one below the other, or in two columns when there are more than two.
 *  The figures are destroyed. */
static struct figure *lay_out(const char *heading, struct contents *contents)
{
    const size_t columns = contents->count > 2 ? 2 : 1;
    const double across = (double)columns * (FIGURE_WIDTH + GAP) - GAP;
    struct figure *sheet = figure_create(across + 2 * MARGIN, 0);
    const double top = 28 + MARGIN +
                       figure_paragraph(sheet, starting(LETTER_TITLE, INK_TEXT),
                           at(MARGIN, MARGIN + 10), across, 3, heading);
    double ends[2] = {top, top};
    struct buffer said = {0};
    for (size_t i = 0; i < contents->count; i++) {
        struct figure *figure = contents->figures[i];
        const size_t column = columns == 2 && ends[1] < ends[0] ? 1 : 0; /* the shorter one */
        const double x = MARGIN + (double)column * (FIGURE_WIDTH + GAP);
        ends[column] = place_one(sheet, figure, x, ends[column]) + GAP;
        buffer_addf(&said, "%s", i > 0 ? " " : "");
        buffer_add(&said, buffer_text(&figure->title));
        buffer_add(&said, ". ");
        buffer_add(&said, buffer_text(&figure->description));
        figure_destroy(figure);
    }
    sheet->height = fmax(ends[0], columns == 2 ? ends[1] : 0) - GAP + MARGIN;
    figure_describe(sheet, heading, buffer_text(&said));
    buffer_finish(&said);
    return sheet;
}

struct figure *sheet_of_solution(const struct perpend_machine *machine,
    const struct perpend_job *job, const struct perpend_solution *solution)
{
    const size_t count = solution->measurement_count;
    const struct perpend_measurement *last = &solution->measurements[count - 1];
    const bool planned = answer_has_steps(last);
    const struct floor_lean now = {last->fit.lean, "as it is", false};
    const struct floor_lean then = {last->plan.lean_after, "after the plan", true};
    const struct floor_lean found = {solution->measurements[0].fit.lean, "as found", false};
    const struct floor_lean left = {last->fit.lean, "as now", false};
    const struct mount_work work =
        planned ? mount_work_planned(&last->plan)
                : mount_work_done(job, solution->measurements, solution->measurement_count);
    const struct words words = {.unit = machine->unit};
    struct contents contents = {.count = 0};
    struct buffer heading = {0};
    char *sweeps = say_sweeps(job, last);
    add(&contents, figure_compass(machine, last, sweeps));
    add(&contents, figure_lean(machine, solution));
    if (planned)
        add(&contents, figure_floor(machine, &now, &then));
    else
        add(&contents, figure_floor(machine, count > 1 ? &found : &now, count > 1 ? &left : NULL));
    for (size_t i = 0; i < machine->mount.joint_count; i++)
        if (work.joints[i])
            add(&contents, figure_mount(machine, i, &work, planned));
    fill(&words, &heading, sentences[PICTURE_OF_SOLUTION],
        SLOTS(SLOT_PRINTED("machine", machine->name), SLOT_TEXT("sweeps", sweeps),
            SLOT_RIDGE_RANGE(
                "ridge", last->ridge.height, last->distribution.low, last->distribution.high),
            SLOT_CHOICE("verdict", last->verdict)));
    struct figure *sheet = lay_out(buffer_text(&heading), &contents);
    buffer_finish(&heading);
    free(sweeps);
    return sheet;
}

/** How to use the chart, and the floor of today's lean under it. */
static double add_uses(struct figure *sheet, const struct perpend_machine *machine,
    const struct perpend_slope *lean, double x, double y)
{
    const struct words words = {.unit = machine->unit};
    struct buffer text = {0};
    fill(&words, &text, sentences[PICTURE_CHART_USE],
        SLOTS(SLOT_IF("read", machine->setup.arm.length > 0),
            SLOT_STATED("goal", WORDS_SMALL, machine->goal.ridge),
            SLOT_IF("marked", lean != NULL)));
    for (const char *line = buffer_text(&text), *end; *line != '\0';
         line = *end == '\n' ? end + 1 : end) {
        struct buffer one = {0};
        end = line + strcspn(line, "\n");
        buffer_add_bytes(&one, line, (size_t)(end - line));
        y += 20 + figure_paragraph(sheet, starting(LETTER_PLAIN, INK_TEXT), at(x, y), FIGURE_WIDTH,
                      LINES, buffer_text(&one));
        buffer_finish(&one);
    }
    buffer_finish(&text);
    return y;
}

/* A4, lying */
#define WALL_WIDTH (297 / 25.4 * 96)
#define WALL_HEIGHT (210 / 25.4 * 96)

struct figure *sheet_of_ridge(
    const struct perpend_machine *machine, const struct perpend_slope *lean)
{
    const struct perpend_facing *facing = &machine->facing;
    const struct words words = {.unit = machine->unit};
    const bool across_x = !facing->both_ways && fabs(sin(facing->along)) < 0.5;
    const double gap = (WALL_WIDTH - 2 * MARGIN - 3 * FIGURE_WIDTH) / 2;
    struct figure *sheet = figure_create(WALL_WIDTH, WALL_HEIGHT);
    struct buffer head = {0};
    struct buffer use = {0};
    const struct slot *slots = SLOTS(SLOT_PRINTED("machine", machine->name),
        SLOT_IF("read", machine->setup.arm.length > 0),
        SLOT_STATED("bit", WORDS_LARGE, machine->cutter.diameter),
        SLOT_STATED("corner", WORDS_LARGE,
            machine->cutter.corner > 0 ? machine->cutter.corner : (double)NAN),
        SLOT_IF("both_ways", facing->both_ways), SLOT_FEED("feed", facing->along),
        SLOT_STATED("arm", WORDS_LARGE,
            machine->setup.arm.length > 0 ? machine->setup.arm.length : (double)NAN),
        SLOT_TEXT("unit", words_unit_name(&words, WORDS_SMALL)),
        SLOT_STATED("goal", WORDS_SMALL, machine->goal.ridge));
    fill(&words, &head, sentences[PICTURE_CHART_HEAD], slots);
    fill(&words, &use, sentences[PICTURE_CHART_FOR], slots);
    figure_text(sheet, starting(LETTER_HEAD, INK_TEXT), at(MARGIN, 54), WALL_WIDTH - 2 * MARGIN,
        buffer_text(&head));
    figure_paragraph(sheet, starting(LETTER_TITLE, INK_SOFT), at(MARGIN, 84),
        WALL_WIDTH - 2 * MARGIN, 2, buffer_text(&use));
    figure_describe(sheet, buffer_text(&head), buffer_text(&use));
    for (int i = 0; i < 2; i++) { /* the pair that makes steps first */
        const double bearing = (i == 1) == across_x ? 0 : PERPEND_PI / 2;
        struct figure *chart = figure_chart(machine, bearing, lean);
        figure_place(sheet, chart, at(MARGIN + i * (FIGURE_WIDTH + gap), 120), 1);
        figure_destroy(chart);
    }
    const double x = MARGIN + 2 * (FIGURE_WIDTH + gap);
    const double below = add_uses(sheet, machine, lean, x, 138) + 16;
    if (lean != NULL) {
        const struct floor_lean now = {*lean, "with this lean", false};
        struct figure *cut = figure_floor(machine, &now, NULL);
        figure_place(sheet, cut, at(x, below), 1);
        figure_destroy(cut);
    }
    buffer_finish(&head);
    buffer_finish(&use);
    return sheet;
}
