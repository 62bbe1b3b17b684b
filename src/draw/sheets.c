/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/status.h>

#include "text/answer.h"
#include "text/escape.h"
#include "draw/figures.h"
#include "draw/picture.h"
#include "text/say.h"
#include "draw/sheets.h"

static void add(GPtrArray *figures, struct figure *figure)
{
    g_ptr_array_add(figures, figure);
}

static struct figure *finish(GPtrArray *figures, char *heading)
{
    struct figure *sheet = picture_sheet(heading, (struct figure **)figures->pdata, figures->len);
    g_ptr_array_free(figures, TRUE);
    g_free(heading);
    return sheet;
}

static char *solution_heading(const struct perpend_machine *machine, const char *sweeps,
    const struct perpend_measurement *measurement)
{
    static const char *const said[] = {
        [PERPEND_VERDICT_NO_GOAL] = "",
        [PERPEND_VERDICT_MET] = ", good enough",
        [PERPEND_VERDICT_NOT_MET] = ", not good enough",
        [PERPEND_VERDICT_TOO_CLOSE] = ", too close to call",
    };
    char *name = isolated_name(machine->name);
    char *ridge = say_ridge_range(machine->unit, measurement->ridge.height,
        measurement->distribution.low, measurement->distribution.high);
    char *heading = g_strdup_printf("%s%s%s: ridge %s%s", name, *name != '\0' ? ", " : "", sweeps,
        ridge, said[measurement->verdict]);
    g_free(name);
    g_free(ridge);
    return heading;
}

static void add_mount(GPtrArray *figures, const struct perpend_machine *machine,
    const struct mount_work *work, bool planned)
{
    for (size_t i = 0; i < machine->mount.joint_count; i++)
        if (mount_work_at(work, i))
            add(figures, figure_mount(machine, i, work, planned));
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
    GPtrArray *figures = g_ptr_array_new();
    char *sweeps = say_sweeps(job, last);
    add(figures, figure_sweep(machine, last, sweeps, count > 1));
    add(figures, figure_lean(machine, solution));
    if (planned)
        add(figures, figure_floor(machine, &now, &then));
    else
        add(figures, figure_floor(machine, count > 1 ? &found : &now, count > 1 ? &left : NULL));
    const struct mount_work work =
        planned ? mount_work_planned(&last->plan) : mount_work_done(job, solution);
    add_mount(figures, machine, &work, planned);
    char *heading = solution_heading(machine, sweeps, last);
    g_free(sweeps);
    return finish(figures, heading);
}

static char *ridge_heading(const struct perpend_machine *machine, const struct perpend_slope *lean)
{
    const struct perpend_facing *facing = &machine->facing;
    char *bit = say_stated(machine->unit, WORDS_LARGE, machine->cutter.diameter);
    char *step = say_stated(machine->unit, WORDS_LARGE, facing->stepover);
    char *feed = facing->both_ways ? g_strdup("X or Y") : say_feed(facing->along);
    GString *heading = g_string_new(NULL);
    g_string_append_printf(heading, "Bit %s, stepover %s, feed along %s", bit, step, feed);
    double height;
    if (lean != NULL &&
        perpend_ridge_facing(*lean, &machine->cutter, facing, &height) == PERPEND_OK) {
        char *ridge = say_ridge(machine->unit, height);
        g_string_append_printf(heading, ": ridge %s", ridge);
        g_free(ridge);
    }
    g_free(bit);
    g_free(step);
    g_free(feed);
    return g_string_free(heading, FALSE);
}

struct figure *sheet_of_ridge(
    const struct perpend_machine *machine, const struct perpend_slope *lean)
{
    GPtrArray *figures = g_ptr_array_new();
    if (lean != NULL) {
        const struct floor_lean now = {*lean, "with this lean", false};
        add(figures, figure_floor(machine, &now, NULL));
    }
    add(figures,
        figure_chart(&machine->cutter, &machine->facing, machine->goal, machine->unit, lean));
    return finish(figures, ridge_heading(machine, lean));
}
