/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include "report/report_parts.h"
#include "text/escape.h"
#include "text/say.h"

/** The rounds: what each sweep read, what was advised, what was done, what that gave. */

/** Decimals of a residual: one more than the gauge's step has, so that it shows. */
static int residual_decimals(const struct words *words, double step)
{
    const double shown = words_shown(words, WORDS_SMALL, step);
    return (int)fmin(6, fmax(0, ceil(1 - log10(shown) - 1e-9)));
}

static void readings_table(const struct report *report, const struct perpend_measurement *m)
{
    const struct words *words = &report->words;
    const double step = report->input->machine->setup.gauge.step;
    const int place_decimals = words->unit == PERPEND_UNIT_MM ? 1 : 3;
    const struct slot names = SLOT_IF("names", m->sweep_count > 1);
    const struct slot places = SLOT_IF("places", !readings_at_one_place(m));
    const struct slot remarks = SLOT_IF("remarks", m->fit.suspect.index != PERPEND_FIT_NO_SUSPECT);
    report_say(report, RECORD_READINGS,
        SLOTS(names, places, remarks, SLOT_TEXT("unit", words_unit_name(words, WORDS_LARGE)),
            SLOT_TEXT("small", words_unit_name(words, WORDS_SMALL))));
    for (size_t i = 0; i < m->reading_count; i++) {
        const struct perpend_reading *reading = &m->readings[i];
        char label[WORDS_LABEL];
        report_say(report, RECORD_READING,
            SLOTS(names, places, remarks,
                SLOT_PRINTED("sweep", report->input->job->sweeps[m->reading_sweep[i]].name),
                SLOT_NUMBER("x", words_shown(words, WORDS_LARGE, reading->x), place_decimals),
                SLOT_NUMBER("y", words_shown(words, WORDS_LARGE, reading->y), place_decimals),
                SLOT_TEXT("at", words_bearing_label(label, sizeof label, reading->bearing)),
                SLOT_READING("reading", reading->value, step),
                SLOT_NUMBER("residual", words_shown(words, WORDS_SMALL, m->residual[i]),
                    residual_decimals(words, step)),
                SLOT_IF("suspect", perpend_fit_suspects(&m->fit, i))));
    }
}

/** Bolt by bolt, for the joints that anything was advised or done at. */
static void work_table(
    const struct report *report, const struct mount_work *advised, const struct mount_work *done)
{
    const struct perpend_mount *mount = &report->input->machine->mount;
    const struct slot joints =
        SLOT_IF("joints", mount->joint_count > 1); /* one goes without saying */
    report_say(report, RECORD_WORK, SLOTS(joints));
    for (size_t i = 0; i < mount->joint_count; i++) {
        const struct perpend_joint *joint = &mount->joints[i];
        const bool shown = advised->joints[i] || done->joints[i];
        for (size_t j = 0; j < joint->bolt_count && shown; j++) {
            char *wanted = say_work(report->words.unit, &advised->bolts[i][j]);
            char *got = say_work(report->words.unit, &done->bolts[i][j]);
            report_say(report, RECORD_WORK_AT,
                SLOTS(joints, SLOT_PRINTED("joint", joint->name),
                    SLOT_PRINTED("bolt", joint->bolts[j].name), SLOT_TEXT("advised", wanted),
                    SLOT_TEXT("done", got)));
            free(wanted);
            free(got);
        }
    }
}

static void work(const struct report *report, const struct perpend_measurement *m)
{
    static const struct perpend_plan no_plan = {0};
    const enum perpend_did_kind did =
        report->input->job->sweeps[m->first_sweep + m->sweep_count - 1].did_kind;
    const bool any = answer_has_plan(m);
    const bool shown = m->has_plan && (any || did == PERPEND_DID_PLAN);
    const struct mount_work advised = mount_work_planned(shown ? &m->plan : &no_plan);
    const struct mount_work done = mount_work_done(report->input->job, m, 1);
    const bool enough = m == report->last && !any && m->verdict != PERPEND_VERDICT_NOT_MET &&
                        m->verdict != PERPEND_VERDICT_UNKNOWN;
    if (advised.any || done.any)
        work_table(report, &advised, &done);
    report_say(report, RECORD_DONE,
        SLOTS(SLOT_CHOICE("done", did == PERPEND_DID_PLAN           ? (any ? 1 : 2)
                                  : did == PERPEND_DID_NOTHING      ? 3
                                  : did == PERPEND_DID_LIST && !any ? 4
                                  : enough                          ? 5
                                                                    : 0)));
}

static void brief(const struct report *report, const struct perpend_measurement *m)
{
    char *lean = say_lean(report->words.unit, &m->fit);
    report_say(report, RECORD_BRIEF,
        SLOTS(SLOT_TEXT("lean", lean),
            SLOT_RIDGE_RANGE("ridge", m->ridge.height, m->distribution.low, m->distribution.high),
            SLOT_CHOICE("verdict", m->verdict)));
    free(lean);
}

static void report_one(const struct report *report, size_t number)
{
    const struct report_input *input = report->input;
    const struct perpend_measurement *m = &input->solution->measurements[number];
    char *names = say_sweeps(input->job, m);
    report_say(
        report, RECORD_ROUND, SLOTS(SLOT_COUNT("number", number + 1), SLOT_TEXT("sweeps", names)));
    if (m->adjusted)
        report_answer(report, m, answer_response_alone);
    brief(report, m);
    readings_table(report, m);
    report_answer(report, m, answer_doubts);
    work(report, m);
    if (m == report->first || m == report->last)
        document_figure(report->document, figure_compass(input->machine, m, names), "");
    free(names);
}

/** What each bolt of a joint got: the tables have it round by round only. */
static void work_in_all(
    const struct report *report, size_t joint, const struct bolt_work *work, struct buffer *out)
{
    const struct perpend_joint *worked = &report->input->machine->mount.joints[joint];
    struct buffer gets = {0};
    for (size_t i = 0; i < worked->bolt_count; i++) {
        if (!work[i].touched)
            continue;
        char *bolt = isolated_name(worked->bolts[i].name);
        buffer_add(&gets, gets.length > 0 ? "; " : "");
        buffer_add(&gets, bolt);
        buffer_add(&gets, ": ");
        bolt_work_add(&report->words, &gets, &work[i]);
        free(bolt);
    }
    fill(&report->words, out, sentences[RECORD_IN_ALL],
        SLOTS(SLOT_PRINTED("joint", worked->name), SLOT_TEXT("gets", buffer_text(&gets))));
    buffer_finish(&gets);
}

void report_rounds(const struct report *report)
{
    const struct report_input *input = report->input;
    const struct mount_work done = mount_work_done(
        input->job, input->solution->measurements, input->solution->measurement_count);
    size_t worked = 0;
    report_say(report, RECORD_ROUNDS, SLOTS(SLOT_IF("several", report->several)));
    for (size_t i = 0; i < input->solution->measurement_count; i++) {
        const struct mount_work then =
            mount_work_done(input->job, &input->solution->measurements[i], 1);
        worked += then.any;
        report_one(report, i);
    }
    for (size_t i = 0; i < input->machine->mount.joint_count; i++) {
        struct buffer sum = {0};
        if (!done.joints[i])
            continue;
        if (worked > 1)
            work_in_all(report, i, done.bolts[i], &sum);
        document_figure(
            report->document, figure_mount(input->machine, i, &done, false), buffer_text(&sum));
        buffer_finish(&sum);
    }
}
