/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/moves.h>
#include <perpend/status.h>

#include "files/moment.h"
#include "report/report_parts.h"
#include "text/escape.h"
#include "text/say.h"

/** What the page rests on: fits, residuals, plans, earlier jobs, the machine, the method. */

/** What was worked out of a measurement. */
static void results(const struct report *report, const struct perpend_measurement *m)
{
    const struct perpend_machine *machine = report->input->machine;
    const struct perpend_facing *facing = &machine->facing;
    const struct perpend_slope_covariance *lean = &m->fit.lean_covariance;
    const struct perpend_slope_covariance *bed = &m->fit.bed_covariance;
    char *said = say_lean(report->words.unit, &m->fit);
    report_say(report, RECORD_RESULTS,
        SLOTS(SLOT_PLUS_MINUS(
                  "right", WORDS_SLOPE, m->fit.lean.right, words_expanded(lean->right_right)),
            SLOT_PLUS_MINUS("back", WORDS_SLOPE, m->fit.lean.back, words_expanded(lean->back_back)),
            SLOT_TEXT("lean", said), SLOT_IF("bed", m->fit.bed_separated),
            SLOT_PLUS_MINUS(
                "bed_right", WORDS_SLOPE, m->fit.bed.right, words_expanded(bed->right_right)),
            SLOT_PLUS_MINUS(
                "bed_back", WORDS_SLOPE, m->fit.bed.back, words_expanded(bed->back_back)),
            SLOT_FACING("facing", facing),
            SLOT_RIDGE_RANGE("ridge", m->ridge.height, m->distribution.low, m->distribution.high),
            SLOT_IF("any_goal", perpend_goal_is_set(&machine->goal)),
            SLOT_GOAL("goal", &machine->goal), SLOT_CHANCE("chance", m->distribution.chance),
            SLOT_TEXT("said", perpend_verdict_text(m->verdict)),
            SLOT_IF("not_x", facing->both_ways || fabs(facing->along - PERPEND_ALONG_X) > 1e-9),
            SLOT_IF("not_y", facing->both_ways || fabs(facing->along - PERPEND_ALONG_Y) > 1e-9),
            SLOT_RIDGE("along_x", m->ridge.along_x), SLOT_RIDGE("along_y", m->ridge.along_y),
            SLOT_RIDGE("ra", m->ridge.ra)));
    free(said);
}

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

static void report_round(const struct report *report, size_t number)
{
    static const struct perpend_plan no_plan = {0};
    const struct report_input *input = report->input;
    const struct perpend_measurement *m = &input->solution->measurements[number];
    const struct mount_work advised =
        mount_work_planned(m->has_plan && answer_has_plan(m) ? &m->plan : &no_plan);
    const struct mount_work done = mount_work_done(input->job, m, 1);
    char *names = say_sweeps(input->job, m);
    report_say(
        report, RECORD_ROUND, SLOTS(SLOT_COUNT("number", number + 1), SLOT_TEXT("sweeps", names)));
    if (m->adjusted)
        report_answer(report, m, answer_response_alone);
    results(report, m);
    readings_table(report, m);
    report_answer(report, m, answer_doubts);
    if (advised.any || done.any)
        work_table(report, &advised, &done);
    if (m != report->last) /* the last one's compass is on the page */
        document_figure(report->document, figure_compass(input->machine, m, names), "");
    free(names);
}

static void earlier(const struct report *report)
{
    const struct report_input *input = report->input;
    const size_t count = input->past_count;
    if (input->drift == NULL && count < 2)
        return;
    report_say(report, RECORD_EARLIER, NULL);
    if (input->drift != NULL)
        document_block(report->document, BLOCK_FREE_TEXT, input->drift);
    if (count < 2)
        return;
    document_figure(report->document, figure_history(input->machine, input->past, count), "");
    report_say(report, RECORD_HISTORY, NULL);
    for (size_t i = count > HISTORY_MOST ? count - HISTORY_MOST : 0; i < count; i++) {
        const struct past_job *job = &input->past[i];
        char day[MOMENT_TEXT];
        moment_text(day, &job->date);
        day[strcspn(day, " ")] = '\0';
        report_say(report, RECORD_PAST,
            SLOTS(SLOT_TEXT("day", day), SLOT_RIDGE("found", job->found.height),
                SLOT_RIDGE("now", job->now.height)));
    }
}

static void list_stock(
    const struct report *report, const struct perpend_stock *stock, struct buffer *out)
{
    for (size_t i = 0; i < stock->leaf_count; i++) {
        buffer_add(out, i > 0 ? ", " : "");
        fill(&report->words, out, sentences[RECORD_LEAVES],
            SLOTS(SLOT_COUNT("count", stock->leaves[i].count),
                SLOT_STATED("thick", WORDS_SMALL, stock->leaves[i].thick),
                SLOT_PRINTED("leaf", stock->leaves[i].name)));
    }
}

static void joint_table(const struct report *report, const struct perpend_joint *joint)
{
    const struct perpend_move_row *row;
    struct buffer moves = {0};
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++)
        if (joint->allows & (unsigned)row->move)
            buffer_addf(&moves, "%s%s", moves.length > 0 ? ", " : "", row->name);
    report_say(report, RECORD_JOINT,
        SLOTS(SLOT_PRINTED("joint", joint->name),
            SLOT_IF("level", joint->face == PERPEND_FACE_UP || joint->face == PERPEND_FACE_DOWN),
            SLOT_TEXT("side", perpend_face_name(joint->face)),
            SLOT_TEXT("moves", buffer_text(&moves))));
    for (size_t i = 0; i < joint->bolt_count; i++) {
        const struct perpend_bolt *bolt = &joint->bolts[i];
        report_say(report, RECORD_BOLT,
            SLOTS(SLOT_PRINTED("bolt", bolt->name),
                SLOT_STATED("right", WORDS_LARGE, bolt->at.right),
                SLOT_STATED("back", WORDS_LARGE, bolt->at.back),
                SLOT_STATED("up", WORDS_LARGE, bolt->at.up),
                SLOT_PRINTED("named", bolt->thread_name),
                SLOT_STATED("thread", WORDS_LARGE, bolt->thread > 0 ? bolt->thread : (double)NAN),
                SLOT_STATED("hole", WORDS_LARGE, bolt->hole > 0 ? bolt->hole : (double)NAN)));
    }
    buffer_finish(&moves);
}

static void machine(const struct report *report)
{
    const struct perpend_machine *stated = report->input->machine;
    const struct perpend_gauge *gauge = &stated->setup.gauge;
    const struct perpend_arm *arm = &stated->setup.arm;
    const struct perpend_cutter *cutter = &stated->cutter;
    const struct perpend_facing *facing = &stated->facing;
    const struct perpend_gauge_row *row = perpend_gauge_at(gauge->kind);
    struct buffer stock = {0};
    list_stock(report, &stated->stock, &stock);
    report_say(report, RECORD_MACHINE,
        SLOTS(SLOT_SENTENCE("gauge", sentences[GAUGE_RECORD]), SLOT_CHOICE("kind", gauge->kind),
            SLOT_NUMBER("angle", row->angled ? perpend_degrees(gauge->angle) : (double)NAN, 1),
            SLOT_IF("turns_with", row->rises), SLOT_IF("away", gauge->rises_away),
            SLOT_STATED("gauge_step", WORDS_SMALL, gauge->step),
            SLOT_STATED("spread", WORDS_SMALL, perpend_gauge_spread(gauge)),
            SLOT_IF("guessed", isnan(gauge->spread)), SLOT_STATED("arm", WORDS_LARGE, arm->length),
            SLOT_NUMBER("percent", 100 * perpend_arm_relative_uncertainty(arm), 1),
            SLOT_NUMBER("degrees", perpend_degrees(arm->bearing_uncertainty), 1),
            SLOT_NUMBER("turned", perpend_degrees(arm->turned_uncertainty), 1),
            SLOT_STATED("bit", WORDS_LARGE, cutter->diameter),
            SLOT_STATED("corner", WORDS_LARGE, cutter->corner > 0 ? cutter->corner : (double)NAN),
            SLOT_STATED("step", WORDS_LARGE, facing->stepover),
            SLOT_IF("both_ways", facing->both_ways), SLOT_FEED("feed", facing->along),
            SLOT_STATED("depth", WORDS_SMALL, facing->depth),
            SLOT_IF("faced", stated->setup.bed_faced), SLOT_TEXT("stock", buffer_text(&stock)),
            SLOT_IF("any_joint", stated->mount.joint_count > 0)));
    for (size_t i = 0; i < stated->mount.joint_count; i++)
        joint_table(report, &stated->mount.joints[i]);
    buffer_finish(&stock);
}

void report_appendix(const struct report *report)
{
    const struct perpend_measurement *last = report->last;
    report_say(report, RECORD_FOUND, NULL);
    if (report->first->fit.includes_bed || last->fit.includes_bed)
        report_say(report, RECORD_INCLUDES_BED, NULL);
    if (isfinite(last->limits.stepover) && isfinite(report->input->machine->goal.ridge))
        report_say(report, RECORD_STEPOVER,
            SLOTS(SLOT_ROUNDED("stepover", WORDS_LARGE, last->limits.stepover, 0)));
    for (size_t i = 0; i < report->input->solution->measurement_count; i++)
        report_round(report, i);
    if (report->planned)
        report_answer(report, last, answer_next_sweep);
    report_mounts(report, 1, PERPEND_JOINTS_MOST); /* the first is on the page */
    document_aside(report->document, false);
    earlier(report);
    machine(report);
    report_say(report, RECORD_METHOD, NULL);
    report_say(report, RECORD_CAUTIONS, NULL);
}
