/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include "report/report_parts.h"
#include "text/escape.h"
#include "text/say.h"

/** The rounds: what each sweep read, what was advised, what was done, what that gave. */

static void add_number(const struct report *report, double value, int decimals)
{
    struct buffer text = {0};
    buffer_add_number(&text, value, decimals);
    document_add_phrase(report->document, &text);
}

/** Decimals of a residual: one more than the gauge's step has, so that it shows. */
static int residual_decimals(const struct report *report)
{
    const double step =
        words_shown(&report->words, WORDS_SMALL, report->input->machine->setup.gauge.step);
    return (int)fmin(6, fmax(0, ceil(1 - log10(step) - 1e-9)));
}

/** Which columns the table of readings has. */
struct columns {
    bool names, places, remarks;
};

static void readings_head(const struct report *report, struct columns columns)
{
    const char *length = words_unit_name(&report->words, WORDS_LARGE);
    struct buffer texts[4] = {{0}};
    const char *heads[7];
    size_t count = 0;
    buffer_addf(&texts[0], "X (%s)", length);
    buffer_addf(&texts[1], "Y (%s)", length);
    buffer_addf(&texts[2], "reading (%s)", length);
    buffer_addf(&texts[3], "residual (%s)", words_unit_name(&report->words, WORDS_SMALL));
    if (columns.names)
        heads[count++] = "sweep";
    for (size_t i = 0; i < 2 && columns.places; i++)
        heads[count++] = buffer_text(&texts[i]);
    heads[count++] = "at";
    heads[count++] = buffer_text(&texts[2]);
    heads[count++] = buffer_text(&texts[3]);
    if (columns.remarks)
        heads[count++] = "remark";
    const unsigned places = columns.places ? 3u : 0;
    const unsigned numeric = places | 3u << (columns.places ? 3 : 1);
    document_table(report->document, "", count, heads, columns.names ? numeric << 1 : numeric);
    for (size_t i = 0; i < 4; i++)
        buffer_finish(&texts[i]);
}

static void readings_table(const struct report *report, const struct perpend_measurement *m)
{
    const struct words *words = &report->words;
    const double step = report->input->machine->setup.gauge.step;
    const struct columns columns = {.names = m->sweep_count > 1,
        .places = !readings_at_one_place(m),
        .remarks = m->fit.suspect.index != PERPEND_FIT_NO_SUSPECT};
    readings_head(report, columns);
    for (size_t i = 0; i < m->reading_count; i++) {
        const struct perpend_reading *reading = &m->readings[i];
        const double place[2] = {reading->x, reading->y};
        char label[WORDS_LABEL];
        struct buffer text = {0};
        if (columns.names)
            report_add_name(report, report->input->job->sweeps[m->reading_sweep[i]].name);
        for (size_t axis = 0; axis < 2 && columns.places; axis++)
            add_number(report, words_shown(words, WORDS_LARGE, place[axis]),
                words->unit == PERPEND_UNIT_MM ? 1 : 3);
        document_add(report->document, words_bearing_label(label, sizeof label, reading->bearing));
        words_reading(words, &text, reading->value, step);
        document_add_phrase(report->document, &text);
        add_number(
            report, words_shown(words, WORDS_SMALL, m->residual[i]), residual_decimals(report));
        if (columns.remarks)
            document_add(report->document, perpend_fit_suspects(&m->fit, i) ? "suspect" : "");
    }
}

/** Bolt by bolt, for the joints that anything was advised or done at. */
static void work_table(
    const struct report *report, const struct mount_work *advised, const struct mount_work *done)
{
    static const char *const heads[] = {"joint", "bolt", "advised", "done"};
    const struct perpend_mount *mount = &report->input->machine->mount;
    const enum perpend_unit unit = report->words.unit;
    const size_t one = mount->joint_count == 1; /* goes without saying */
    document_table(report->document, "", 4 - one, heads + one, 0);
    for (size_t i = 0; i < mount->joint_count; i++) {
        if (!mount_work_at(advised, i) && !mount_work_at(done, i))
            continue;
        for (size_t j = 0; j < mount->joints[i].bolt_count; j++) {
            if (!one)
                report_add_name(report, mount->joints[i].name);
            report_add_name(report, mount->joints[i].bolts[j].name);
            document_add_taken(report->document, say_work(unit, &advised->bolts[i][j]));
            document_add_taken(report->document, say_work(unit, &done->bolts[i][j]));
        }
    }
}

static void work(const struct report *report, const struct perpend_measurement *m)
{
    static const struct perpend_plan no_plan = {0};
    const enum perpend_did_kind did =
        report->input->job->sweeps[m->first_sweep + m->sweep_count - 1].did_kind;
    const bool advised_any = answer_has_plan(m);
    const bool shown = m->has_plan && (advised_any || did == PERPEND_DID_PLAN);
    const struct mount_work advised = mount_work_planned(shown ? &m->plan : &no_plan);
    const struct mount_work done = mount_work_of(report->input->job, m);
    int said = -1;
    if (mount_work_any(&advised) || mount_work_any(&done))
        work_table(report, &advised, &done);
    if (did == PERPEND_DID_PLAN)
        said = advised_any ? RECORD_DONE_AS_ADVISED : RECORD_DONE_WITHOUT_NEED;
    else if (did == PERPEND_DID_NOTHING)
        said = RECORD_NOTHING_DONE;
    else if (did == PERPEND_DID_LIST && !advised_any)
        said = RECORD_DONE_UNADVISED;
    else if (m == report->last && !advised_any && m->verdict != PERPEND_VERDICT_NOT_MET)
        said = RECORD_NOTHING_TO_DO;
    if (said >= 0)
        report_block(report, BLOCK_PARAGRAPH, (enum sentence)said, NULL);
}

static void brief(const struct report *report, const struct perpend_measurement *m)
{
    char *lean = say_lean(report->words.unit, &m->fit);
    report_block(report, BLOCK_PARAGRAPH, RECORD_BRIEF,
        SLOTS(SLOT_TEXT("lean", lean),
            SLOT_RIDGE_RANGE("ridge", m->ridge.height, m->distribution.low, m->distribution.high),
            SLOT_CHOICE("verdict", m->verdict)));
    free(lean);
}

static void report_one(const struct report *report, size_t number)
{
    const struct report_input *input = report->input;
    const struct perpend_measurement *m = &input->solution->measurements[number];
    struct buffer heading = {0};
    char *names = say_sweeps(input->job, m);
    fill(&report->words, &heading, sentences[RECORD_ROUND],
        SLOTS(SLOT_COUNT("number", number + 1), SLOT_TEXT("sweeps", names)));
    document_heading(report->document, 2, buffer_text(&heading));
    if (m->adjusted)
        report_say(report, m, answer_response_alone);
    brief(report, m);
    readings_table(report, m);
    report_say(report, m, answer_doubts);
    work(report, m);
    if (m == report->first || m == report->last)
        document_figure(report->document, figure_compass(input->machine, m, names), "");
    buffer_finish(&heading);
    free(names);
}

/** What each bolt of a joint got: the tables have it round by round only. */
static void work_in_all(
    const struct report *report, size_t joint, const struct bolt_work *work, struct buffer *out)
{
    const struct perpend_joint *worked = &report->input->machine->mount.joints[joint];
    struct buffer gets = {0};
    char *name = isolated_name(worked->name);
    for (size_t i = 0; i < worked->bolt_count; i++) {
        char *bolt = isolated_name(worked->bolts[i].name);
        if (work[i].touched) {
            buffer_add(&gets, gets.length > 0 ? "; " : "");
            buffer_add(&gets, bolt);
            buffer_add(&gets, ": ");
            bolt_work_add(&report->words, &gets, &work[i]);
        }
        free(bolt);
    }
    fill(&report->words, out, sentences[RECORD_IN_ALL],
        SLOTS(SLOT_TEXT("joint", name), SLOT_TEXT("gets", buffer_text(&gets))));
    buffer_finish(&gets);
    free(name);
}

void report_rounds(const struct report *report)
{
    const struct report_input *input = report->input;
    const struct mount_work done = mount_work_done(input->job, input->solution);
    size_t worked = 0;
    document_heading(report->document, 1, report->several ? "The rounds" : "The sweep");
    for (size_t i = 0; i < input->solution->measurement_count; i++) {
        const struct mount_work then = mount_work_of(input->job, &input->solution->measurements[i]);
        worked += mount_work_any(&then);
        report_one(report, i);
    }
    for (size_t i = 0; i < input->machine->mount.joint_count; i++) {
        struct buffer sum = {0};
        if (!mount_work_at(&done, i))
            continue;
        if (worked > 1)
            work_in_all(report, i, done.bolts[i], &sum);
        document_figure(
            report->document, figure_mount(input->machine, i, &done, false), buffer_text(&sum));
        buffer_finish(&sum);
    }
}
