/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <perpend/status.h>

#include "draw/figures.h"
#include "draw/plot.h"
#include "draw/sheets.h"
#include "text/answer.h"
#include "text/say.h"

#define MARGIN 24.0
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
    const double below = y + 22 + figure->height + 13;
    figure_text(sheet, title, at(x, y + 10), figure->width, buffer_text(&figure->title));
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
    const struct floor_lean then = {last->plan.leaves, "after the plan", true};
    const struct floor_lean found = {solution->measurements[0].fit.lean, "as found", false};
    const struct floor_lean left = {last->fit.lean, "as left", false};
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

struct figure *sheet_of_ridge(
    const struct perpend_machine *machine, const struct perpend_slope *lean)
{
    const struct perpend_facing *facing = &machine->facing;
    const struct words words = {.unit = machine->unit};
    struct contents contents = {.count = 0};
    struct buffer heading = {0};
    double height = NAN;
    if (lean != NULL)
        (void)perpend_ridge_facing(*lean, &machine->cutter, facing, &height);
    if (lean != NULL) {
        const struct floor_lean now = {*lean, "with this lean", false};
        add(&contents, figure_floor(machine, &now, NULL));
    }
    add(&contents,
        figure_chart(&machine->cutter, &machine->facing, machine->goal.ridge, machine->unit, lean));
    fill(&words, &heading, sentences[PICTURE_OF_RIDGE],
        SLOTS(SLOT_STATED("bit", WORDS_LARGE, machine->cutter.diameter),
            SLOT_STATED("step", WORDS_LARGE, facing->stepover),
            SLOT_IF("both_ways", facing->both_ways), SLOT_FEED("feed", facing->along),
            SLOT_RIDGE("ridge", height)));
    struct figure *sheet = lay_out(buffer_text(&heading), &contents);
    buffer_finish(&heading);
    return sheet;
}
