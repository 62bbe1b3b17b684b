/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "text/escape.h"
#include "report/report_parts.h"
#include "text/say.h"

/** The rounds: what each sweep read, what was advised, what was done, what that gave. */

static const struct perpend_sweep *sweep_of(
    const struct report_input *input, const struct perpend_measurement *m, size_t reading)
{
    return &input->job->sweeps[m->reading_sweep[reading]];
}

/** With the sign for less than nothing that numbers have in print. */
static char *signed_number(double value, int decimals)
{
    char *number = say_number(value, decimals);
    char *text = number[0] == '-' ? g_strconcat("−", number + 1, NULL) : g_strdup(number);
    g_free(number);
    return text;
}

/** One decimal more than the gauge's step has, so that a residual shows. */
static char *residual_cell(const struct report_input *input, double residual)
{
    const enum perpend_unit unit = input->machine->unit;
    const double step = say_shown(unit, WORDS_SMALL, input->machine->setup.gauge.step);
    const int decimals = (int)fmin(6, fmax(0, ceil(1 - log10(step) - 1e-9)));
    return signed_number(say_shown(unit, WORDS_SMALL, residual), decimals);
}

static char *length_cell(enum perpend_unit unit, double value)
{
    return signed_number(say_shown(unit, WORDS_LARGE, value), unit == PERPEND_UNIT_MM ? 1 : 3);
}

static void readings_table(struct document *document, const struct report_input *input,
    const struct perpend_measurement *m)
{
    const enum perpend_unit unit = input->machine->unit;
    const bool places = !readings_at_one_place(m);
    const bool names = m->sweep_count > 1;
    const bool remarks = m->fit.suspect.index != PERPEND_FIT_NO_SUSPECT;
    const char *length = say_unit(unit, WORDS_LARGE);
    char *heads[7];
    size_t count = 0;
    unsigned numeric = 0;
    if (names)
        heads[count++] = g_strdup("sweep");
    for (int axis = 0; axis < (places ? 2 : 0); axis++) {
        numeric |= 1u << count;
        heads[count++] = g_strdup_printf("%c (%s)", "XY"[axis], length);
    }
    heads[count++] = g_strdup("at");
    numeric |= 3u << count;
    heads[count++] = g_strdup_printf("reading (%s)", length);
    heads[count++] = g_strdup_printf("residual (%s)", say_unit(unit, WORDS_SMALL));
    if (remarks)
        heads[count++] = g_strdup("remark");
    document_table(document, "", count, (const char *const *)heads, numeric);
    for (size_t i = 0; i < m->reading_count; i++) {
        const struct perpend_reading *reading = &m->readings[i];
        if (names)
            document_cell_take(document, isolated_name(sweep_of(input, m, i)->name));
        if (places) {
            document_cell_take(document, length_cell(unit, reading->x));
            document_cell_take(document, length_cell(unit, reading->y));
        }
        char label[WORDS_LABEL];
        document_cell(document, words_bearing_label(label, sizeof label, reading->bearing));
        document_cell_take(
            document, say_reading(unit, reading->value, input->machine->setup.gauge.step));
        document_cell_take(document, residual_cell(input, m->residual[i]));
        if (remarks)
            document_cell(document, perpend_fit_suspects(&m->fit, i) ? "suspect" : "");
    }
    for (size_t i = 0; i < count; i++)
        g_free(heads[i]);
}

static enum perpend_did_kind did_after(
    const struct report_input *input, const struct perpend_measurement *m)
{
    return input->job->sweeps[m->first_sweep + m->sweep_count - 1].did_kind;
}

/** Bolt by bolt, for the joints that anything was advised or done at. */
static void work_table(struct document *document, const struct report_input *input,
    const struct mount_work *advised, const struct mount_work *done)
{
    static const char *const heads[] = {"joint", "bolt", "advised", "done"};
    const struct perpend_mount *mount = &input->machine->mount;
    const size_t one = mount->joint_count == 1; /* goes without saying */
    document_table(document, "", 4 - one, heads + one, 0);
    for (size_t i = 0; i < mount->joint_count; i++) {
        if (!mount_work_at(advised, i) && !mount_work_at(done, i))
            continue;
        for (size_t j = 0; j < mount->joints[i].bolt_count; j++) {
            if (!one)
                document_cell_take(document, isolated_name(mount->joints[i].name));
            document_cell_take(document, isolated_name(mount->joints[i].bolts[j].name));
            document_cell_take(
                document, bolt_work_text(input->machine->unit, &advised->bolts[i][j]));
            document_cell_take(document, bolt_work_text(input->machine->unit, &done->bolts[i][j]));
        }
    }
}

static void work(struct document *document, const struct report_input *input,
    const struct perpend_measurement *m)
{
    static const struct perpend_plan no_plan = {0};
    const enum perpend_did_kind did = did_after(input, m);
    const bool advised_any = answer_has_plan(m);
    const bool shown = m->has_plan && (advised_any || did == PERPEND_DID_PLAN);
    const struct mount_work advised = mount_work_planned(shown ? &m->plan : &no_plan);
    const struct mount_work done = mount_work_of(input->job, m);
    if (mount_work_any(&advised) || mount_work_any(&done))
        work_table(document, input, &advised, &done);
    if (did == PERPEND_DID_PLAN)
        document_paragraph(document, advised_any ? "Done as advised."
                                                 : "There was no need to, but the plan was "
                                                   "carried out.");
    else if (did == PERPEND_DID_NOTHING)
        document_paragraph(document, "Nothing was done to the mount after this.");
    else if (did == PERPEND_DID_LIST && !advised_any)
        document_paragraph(document, "Nothing was advised; this was done all the same.");
    else if (m == report_last(input) && !advised_any && m->verdict != PERPEND_VERDICT_NOT_MET)
        document_paragraph(document, "Nothing more to do.");
}

static void brief(struct document *document, const struct report_input *input,
    const struct perpend_measurement *m)
{
    const enum perpend_unit unit = input->machine->unit;
    char *lean = say_lean(unit, &m->fit);
    char *ridge = say_ridge_range(unit, m->ridge.height, m->distribution.low, m->distribution.high);
    static const char *const verdicts[] = {
        [PERPEND_VERDICT_NO_GOAL] = "",
        [PERPEND_VERDICT_MET] = "; the goal is met",
        [PERPEND_VERDICT_NOT_MET] = "; the goal is not met",
        [PERPEND_VERDICT_TOO_CLOSE] = "; too close to call",
    };
    char *text = g_strdup_printf("Lean %s; ridge %s%s.", lean, ridge, verdicts[m->verdict]);
    document_paragraph(document, text);
    g_free(lean);
    g_free(ridge);
    g_free(text);
}

static size_t rounds_with_work(const struct report_input *input)
{
    size_t count = 0;
    for (size_t i = 0; i < input->solution->measurement_count; i++) {
        const struct mount_work done = mount_work_of(input->job, &input->solution->measurements[i]);
        count += mount_work_any(&done) ? 1 : 0;
    }
    return count;
}

/** What each bolt of a joint got: the tables have it round by round only. */
static char *work_in_all(
    const struct report_input *input, size_t joint, const struct bolt_work *work)
{
    const struct perpend_joint *worked = &input->machine->mount.joints[joint];
    char *name = isolated_name(worked->name);
    GString *text = g_string_new(NULL);
    g_string_append_printf(text, "All rounds together, %s:", name);
    for (size_t i = 0, said = 0; i < worked->bolt_count; i++) {
        if (!work[i].touched)
            continue;
        char *bolt = isolated_name(worked->bolts[i].name);
        char *gets = bolt_work_text(input->machine->unit, &work[i]);
        g_string_append_printf(text, "%s %s: %s", said++ > 0 ? ";" : "", bolt, gets);
        g_free(bolt);
        g_free(gets);
    }
    g_string_append_c(text, '.');
    g_free(name);
    return g_string_free(text, FALSE);
}

void report_rounds(struct document *document, const struct report_input *input)
{
    const size_t count = input->solution->measurement_count;
    document_heading(document, 1, count > 1 ? "The rounds" : "The sweep");
    for (size_t i = 0; i < count; i++) {
        const struct perpend_measurement *m = &input->solution->measurements[i];
        char *names = say_sweeps(input->job, m);
        char *heading = g_strdup_printf("Round %zu: %s", i + 1, names);
        document_heading(document, 2, heading);
        if (m->adjusted)
            report_say(document, input, m, answer_response_alone);
        brief(document, input, m);
        readings_table(document, input, m);
        report_say(document, input, m, answer_doubts);
        work(document, input, m);
        if (i == 0 || i + 1 == count)
            document_figure(document, figure_sweep(input->machine, m, names, i > 0), "");
        g_free(names);
        g_free(heading);
    }
    const struct mount_work done = mount_work_done(input->job, input->solution);
    const bool several = rounds_with_work(input) > 1;
    for (size_t i = 0; i < input->machine->mount.joint_count; i++) {
        if (!mount_work_at(&done, i))
            continue;
        char *sum = several ? work_in_all(input, i, done.bolts[i]) : g_strdup("");
        document_figure(document, figure_mount(input->machine, i, &done, false), sum);
        g_free(sum);
    }
}
