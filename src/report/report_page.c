/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "draw/plot.h"
#include "files/moment.h"
#include "report/report_parts.h"
#include "text/escape.h"
#include "text/moments.h"
#include "text/say.h"

/** The page that is whole by itself. */

#define ROUNDS_MOST 6 /* rows of the table; of more the first two and the last */
#define ROUNDS_FIRST 2
#define SIDES 4           /* readings that have a column each */
#define LEGEND_ROOM 340.0 /* px, of the name that a number stands for */
#define FREE_MOST 240     /* bytes of what somebody wrote */
#define NOTES_MOST 3

/** When the first and the last reading were taken, as far as the job says. */
static void moments_of(
    const struct perpend_job *job, struct perpend_moment *first, struct perpend_moment *last)
{
    *first = *last = job->date;
    for (size_t i = 0; i < job->sweep_count; i++) {
        const struct perpend_moment *date = &job->sweeps[i].date;
        if (first->year == 0)
            *first = *date;
        if (date->year != 0)
            *last = *date;
    }
}

static void head(const struct report *report)
{
    const struct report_input *input = report->input;
    const struct perpend_machine *machine = input->machine;
    const struct perpend_gauge *gauge = &machine->setup.gauge;
    struct perpend_moment first, last;
    struct buffer when = {0};
    moments_of(input->job, &first, &last);
    words_moments(&when, &first, &last);
    report_say(report, RECORD_HEAD,
        SLOTS(SLOT_PRINTED("machine", input->name),
            SLOT_TEXT("job", input->number != NULL ? input->number : ""),
            SLOT_TEXT("when", buffer_text(&when)),
            SLOT_TEXT("ending", input->ending != NULL ? input->ending : ""),
            SLOT_PRINTED("who", input->who != NULL ? input->who : input->job->who),
            SLOT_PRINTED("place", machine->place), SLOT_CHOICE("kind", gauge->kind),
            SLOT_STATED("gauge_step", WORDS_SMALL, gauge->step),
            SLOT_STATED("arm", WORDS_LARGE, machine->setup.arm.length),
            SLOT_STATED("bit", WORDS_LARGE, machine->cutter.diameter),
            SLOT_STATED("step", WORDS_LARGE, machine->facing.stepover),
            SLOT_IF("both_ways", machine->facing.both_ways),
            SLOT_FEED("feed", machine->facing.along), SLOT_IF("faced", machine->setup.bed_faced),
            SLOT_IF("plate", machine->setup.waves == PERPEND_WAVES_PLATE),
            SLOT_PRINTED("temperature", input->job->temperature)));
    buffer_finish(&when);
}

static struct ridge_bar bar_of(
    const struct report *report, const char *name, const struct perpend_measurement *m)
{
    return (struct ridge_bar){name, m->ridge.height, m->distribution.low, m->distribution.high,
        ink_judged(&report->input->machine->goal, m->ridge.height, m->fit.lean),
        report->input->machine->goal.ridge};
}

/** In a few words; why; and the ridge on its scale. What is in doubt is not said to be sure. */
static void verdict(const struct report *report)
{
    const struct perpend_machine *machine = report->input->machine;
    const struct perpend_measurement *last = report->last;
    const bool known = last->verdict != PERPEND_VERDICT_NO_GOAL &&
                       last->verdict != PERPEND_VERDICT_UNKNOWN && !report->doubtful &&
                       !report->unmeasured;
    const struct ridge_bar bars[2] = {bar_of(report, "as found", report->first),
        bar_of(report, report->unmeasured ? "last swept" : "as now", last)};
    struct buffer doubt = {0};
    if (report->doubtful)
        doubt_add(&report->words, &doubt, machine, &last->doubt);
    document_aside(report->document, true);
    report_say(report, RECORD_VERDICT,
        SLOTS(SLOT_CHOICE("state", report->doubtful     ? 0
                                   : report->unmeasured ? 1
                                                        : 2),
            SLOT_CHOICE("verdict", last->verdict), SLOT_TEXT("doubt", buffer_text(&doubt)),
            SLOT_RIDGE_RANGE(
                "ridge", last->ridge.height, last->distribution.low, last->distribution.high),
            SLOT_FACING("facing", &machine->facing), SLOT_GOAL("goal", &machine->goal),
            SLOT_IF("known", known), SLOT_ODDS("odds", last->distribution.chance),
            SLOT_CHANCE("chance", last->distribution.chance),
            SLOT_IF("bed", last->fit.includes_bed)));
    document_aside(report->document, true);
    document_figure(report->document, figure_scale(machine, bars, report->several ? 2 : 1), "");
    document_aside(report->document, false);
    buffer_finish(&doubt);
}

/* ---- one row a round ---- */

/** The bearings that have a column each, from the front on against the clock: those of every round,
 *  if they are the same few. Value: how many; 0 when they are not. */
static size_t columns_of(const struct report *report, double bearings[SIDES])
{
    const struct perpend_solution *solution = report->input->solution;
    const size_t count = report->first->reading_count;
    if (count > SIDES)
        return 0;
    for (size_t i = 0; i < count; i++) { /* sorted in as they come */
        const double bearing = report->first->readings[i].bearing;
        size_t k = i;
        for (; k > 0 && fmod(3 * PERPEND_PI - bearings[k - 1], 2 * PERPEND_PI) >
                            fmod(3 * PERPEND_PI - bearing, 2 * PERPEND_PI);
             k--)
            bearings[k] = bearings[k - 1];
        bearings[k] = bearing;
    }
    for (size_t i = 0; i < solution->measurement_count; i++) {
        const struct perpend_measurement *m = &solution->measurements[i];
        size_t found = 0;
        for (size_t k = 0; k < m->reading_count; k++)
            for (size_t b = 0; b < count; b++)
                found += fabs(m->readings[k].bearing - bearings[b]) < 1e-9;
        if (m->reading_count != count || found != count || m->sweep_count != 1)
            return 0;
    }
    return count;
}

static void add_cell(const struct report *report, struct buffer *cells, enum sentence sentence,
    const struct slot *slots)
{
    fill(&report->words, cells, sentences[sentence], slots);
}

static void round_row(
    const struct report *report, size_t number, const double *bearings, size_t columns)
{
    const struct report_input *input = report->input;
    const struct perpend_measurement *m = &input->solution->measurements[number];
    const struct perpend_moment *date = &input->job->sweeps[m->first_sweep].date;
    const struct mount_work done = mount_work_done(input->job, m, 1);
    const double step = input->machine->setup.gauge.step;
    struct buffer cells = {0};
    struct buffer cut = {0};
    struct buffer then = {0};
    char clock[8] = "";
    char *names = say_sweeps(input->job, m);
    if (date->year != 0 && date->timed)
        snprintf(clock, sizeof clock, "%02d:%02d", date->hour, date->minute);
    for (size_t i = 0; i < columns; i++)
        for (size_t k = 0; k < m->reading_count; k++)
            if (fabs(m->readings[k].bearing - bearings[i]) < 1e-9)
                add_cell(report, &cells, RECORD_READ,
                    SLOTS(SLOT_READING("reading", m->readings[k].value, step),
                        SLOT_IF("suspect", perpend_fit_suspects(&m->fit, k))));
    double least = INFINITY, most = -INFINITY;
    for (size_t k = 0; k < m->reading_count; k++) {
        least = fmin(least, m->readings[k].value);
        most = fmax(most, m->readings[k].value);
    }
    if (columns == 0)
        add_cell(report, &cells, RECORD_READ_MANY,
            SLOTS(SLOT_COUNT("count", m->reading_count), SLOT_IF("any", m->reading_count > 0),
                SLOT_READING("least", least, step), SLOT_READING("most", most, step)));
    for (size_t i = 0; i < m->cut_count; i++)
        add_cell(report, &cut, CUT_STEP,
            SLOTS(SLOT_IF("first", i == 0), SLOT_IF("any", true),
                SLOT_BEARING("higher", m->cuts[i].higher),
                SLOT_READING("step", m->cuts[i].step, step)));
    report_add_work(report, &done, true, &then);
    report_say(report, RECORD_ROUND_ROW,
        SLOTS(SLOT_COUNT("number", number + 1), SLOT_TEXT("sweeps", names),
            SLOT_TEXT("clock", clock), SLOT_TEXT("cut", buffer_text(&cut)),
            SLOT_TEXT("cells", buffer_text(&cells)),
            SLOTS_OF_LEAN("", m->fit.lean, m->fit.lean_covariance),
            SLOT_RIDGE_RANGE("ridge", m->ridge.height, m->distribution.low, m->distribution.high),
            SLOT_IF("any_then", report->worked), SLOT_TEXT("then", buffer_text(&then))));
    free(names);
    buffer_finish(&cells);
    buffer_finish(&cut);
    buffer_finish(&then);
}

static void rounds(const struct report *report)
{
    const size_t count = report->input->solution->measurement_count;
    const size_t gone = count > ROUNDS_MOST ? count - ROUNDS_MOST + 1 : 0;
    double bearings[SIDES];
    const size_t columns = columns_of(report, bearings);
    struct buffer heads = {0};
    struct buffer empty = {0};
    for (size_t i = 0; i < columns; i++) {
        char label[WORDS_LABEL];
        add_cell(report, &heads, RECORD_READ_AT,
            SLOTS(SLOT_TEXT("at", words_bearing_label(label, sizeof label, bearings[i]))));
    }
    report_say(report, RECORD_ROUND_HEADS,
        SLOTS(SLOT_TEXT("heads", buffer_text(&heads)), SLOT_IF("any_then", report->worked),
            SLOT_TEXT("large", words_unit_name(&report->words, WORDS_LARGE)),
            SLOT_TEXT("slope", words_unit_name(&report->words, WORDS_SLOPE))));
    for (size_t i = 0; i < 2 + (columns > 0 ? columns : 1) + report->worked; i++)
        buffer_add(&empty, "\t");
    for (size_t i = 0; i < count; i++) {
        if (gone == 0 || i < ROUNDS_FIRST || i >= ROUNDS_FIRST + gone)
            round_row(report, i, bearings, columns);
        else if (i == ROUNDS_FIRST)
            report_say(report, RECORD_ROUNDS_GONE,
                SLOTS(SLOT_COUNT("count", gone), SLOT_TEXT("empty", buffer_text(&empty))));
    }
    buffer_finish(&heads);
    buffer_finish(&empty);
}

/* ---- pictures ---- */

static void add_picture(const struct report *report, struct figure *figure)
{
    document_aside(report->document, true);
    document_figure(report->document, figure, "");
}

void report_mounts(const struct report *report, size_t from, size_t count)
{
    const struct perpend_machine *machine = report->input->machine;
    const struct mount_work work = report_work(report);
    size_t joint = 0;
    for (size_t i = 0; i < machine->mount.joint_count; i++)
        if (work.joints[i] && joint++ >= from && joint <= from + count)
            add_picture(report, figure_mount(machine, i, &work, report->planned));
}

void report_pictures(const struct report *report)
{
    const struct report_input *input = report->input;
    const struct perpend_machine *machine = input->machine;
    const struct perpend_measurement *last = report->last;
    const struct floor_lean found = {report->first->fit.lean, "as found", false};
    const struct floor_lean now = {last->fit.lean, "as now", false};
    const struct floor_lean then = {last->plan.lean_after, "as planned", true};
    char *names = say_sweeps(input->job, last);
    add_picture(report, figure_lean(machine, input->solution, report->planned));
    add_picture(report, figure_floor(machine, report->planned ? &now : &found,
                            report->planned   ? &then
                            : report->several ? &now
                                              : NULL));
    report_mounts(report, 0, 1);
    if (last->reading_count > 0)
        add_picture(report, figure_compass(machine, last, names));
    free(names);
}

/** What the bolts' numbers stand for, a line each. */
static void legend(const struct report *report)
{
    const struct mount_work work = report_work(report);
    const struct perpend_mount *mount = &report->input->machine->mount;
    for (size_t i = 0; i < mount->joint_count && report->numbered != NULL; i++)
        for (size_t j = 0; j < mount->joints[i].bolt_count && work.joints[i]; j++) {
            struct buffer name = {0};
            text_cut(LETTER_PLAIN, report->numbered->joints[i].bolts[j].name, LEGEND_ROOM, &name);
            report_say(report, RECORD_NUMBERED,
                SLOTS(SLOT_PRINTED("number", mount->joints[i].bolts[j].name),
                    SLOT_PRINTED("bolt", buffer_text(&name))));
            buffer_finish(&name);
        }
}

/* ---- what somebody wrote ---- */

/** What somebody wrote, without blanks at its ends, and no longer than a page has room for. */
static void add_free(const struct report *report, struct buffer *out, const char *text)
{
    char *clean = clean_text(text);
    const char *start = clean == NULL ? "" : clean + strspn(clean, " \n\t");
    size_t length = strlen(start);
    while (length > 0 && strchr(" \n\t", start[length - 1]) != NULL)
        length--;
    const bool cut = !report->input->full && length > FREE_MOST;
    for (length = cut ? FREE_MOST : length; cut && ((unsigned char)start[length] & 0xc0) == 0x80;)
        length--; /* not within a character */
    buffer_add_bytes(out, start, length);
    if (cut)
        fill(&report->words, out, sentences[RECORD_MORE], NULL);
    out->failed = out->failed || clean == NULL;
    free(clean);
}

static void notes(const struct report *report)
{
    const struct report_input *input = report->input;
    const size_t shown =
        input->full || input->note_count <= NOTES_MOST ? input->note_count : NOTES_MOST;
    struct buffer text = {0};
    document_aside(report->document, true);
    if (input->remark != NULL && *input->remark != '\0') {
        add_free(report, &text, input->remark);
        document_block(report->document, BLOCK_FREE_TEXT, buffer_text(&text));
    }
    if (shown > 0)
        document_block(report->document, BLOCK_FACTS, "");
    for (size_t i = 0; i < shown; i++) {
        const struct report_note *note = &input->notes[i];
        const bool kind = note->kind != NULL && strcmp(note->kind, "note") != 0;
        buffer_clear(&text);
        fill(&report->words, &text, sentences[RECORD_NOTE],
            SLOTS(SLOT_TEXT("when", note->when != NULL ? note->when : ""),
                SLOT_TEXT("kind", kind ? note->kind : "")));
        document_add(report->document, buffer_text(&text));
        buffer_clear(&text);
        add_free(report, &text, note->text);
        document_add(report->document, buffer_text(&text));
    }
    buffer_finish(&text);
}

/* ---- the foot ---- */

/** Of the leaves on hand, how many of each kind went into the mount. */
static void add_used(const struct report *report, struct buffer *out)
{
    const struct perpend_stock *stock = &report->input->machine->stock;
    const unsigned *left = report->input->solution->leaves_left;
    for (size_t i = 0; i < stock->leaf_count; i++) {
        const struct perpend_leaf *leaf = &stock->leaves[i];
        if (left == NULL || left[i] >= leaf->count)
            continue;
        buffer_add(out, out->length > 0 ? ", " : "");
        fill(&report->words, out, sentences[RECORD_LEAVES],
            SLOTS(SLOT_COUNT("count", leaf->count - left[i]),
                SLOT_STATED("thick", WORDS_SMALL, leaf->thick), SLOT_PRINTED("leaf", leaf->name)));
    }
}

static void steps(struct words *words, const struct answer_about *about)
{
    answer_plan(words, about, NULL);
}

/** What is in the mount; or before the goal is met what comes next; and why it is no more. */
static void mount(const struct report *report)
{
    const struct mount_work work = report_work(report);
    struct buffer now = {0};
    struct buffer used = {0};
    document_aside(report->document, true);
    if (report->planned) {
        report_say(report, RECORD_TO_DO, NULL);
        report_answer(report, report->last, steps);
    } else if (work.any) {
        report_add_work(report, &work, false, &now);
        add_used(report, &used);
        report_say(report, RECORD_NOW,
            SLOTS(SLOT_TEXT("now", buffer_text(&now)), SLOT_TEXT("used", buffer_text(&used))));
    }
    if (!report->unmeasured && !report->doubtful) {
        if (report->last->plan_worsens)
            report_answer(report, report->last, answer_worse);
        if (report->last->plan_worsens || answer_has_plan(report->last))
            report_answer(report, report->last, answer_shortfall);
    }
    buffer_finish(&now);
    buffer_finish(&used);
}

static void again(const struct report *report)
{
    const struct report_input *input = report->input;
    const struct perpend_machine *machine = input->machine;
    const struct answer_about about = {machine, input->job, report->last};
    const bool good = !report->planned && !report->doubtful && !report->unmeasured;
    const double agree = /* what comes first is said above */
        good && machine->setup.bed_faced ? answer_agree(&about) : (double)NAN;
    const struct perpend_measured *measured = &input->job->measured;
    struct perpend_moment first, last;
    struct buffer due = {0};
    moments_of(input->job, &first, &last);
    if (machine->due.weeks > 0 && last.year != 0) {
        const struct perpend_moment day = moment_after(&last, 7 * machine->due.weeks);
        words_moments(&due, &day, &day);
    }
    const struct slot *slots = SLOTS(SLOT_IF("unmeasured", report->unmeasured),
        SLOT_IF("doubtful", report->doubtful), SLOT_IF("planned", report->planned),
        SLOT_IF("unknown",
            report->last->verdict == PERPEND_VERDICT_UNKNOWN && report->last->fit.includes_bed),
        SLOT_TEXT("due", buffer_text(&due)), SLOT_COUNT("jobs", machine->due.jobs),
        SLOT_IF("any_jobs", machine->due.jobs > 0),
        SLOT_IF("any_due", machine->due.weeks > 0 || machine->due.jobs > 0),
        SLOT_COUNT("weeks", machine->due.weeks), SLOT_IF("dated", due.length > 0),
        SLOT_READING("apart", agree, machine->setup.gauge.step),
        SLOT_TEXT("large", words_unit_name(&report->words, WORDS_LARGE)),
        SLOT_RIDGE("along_x", measured->stated ? measured->along_x : (double)NAN),
        SLOT_RIDGE("along_y", measured->stated ? measured->along_y : (double)NAN));
    document_aside(report->document, true);
    report_say(report, RECORD_AGAIN, slots);
    if (!report->unmeasured && !report->doubtful) {
        report_answer(report, report->last, answer_turn_feed);
        report_answer(report, report->last, answer_remedy);
    }
    document_aside(report->document, true);
    report_say(report, RECORD_CUT, slots);
    document_aside(report->document, false);
    buffer_finish(&due);
}

void report_page(const struct report *report)
{
    const struct report_input *input = report->input;
    head(report);
    verdict(report);
    rounds(report);
    legend(report);
    report_pictures(report);
    notes(report);
    mount(report);
    again(report);
    report_say(report, RECORD_SELF,
        SLOTS(SLOT_TEXT("version", input->version),
            SLOT_TEXT("identity", buffer_text(&report->document->identity)),
            SLOT_TEXT("digest", input->digest), SLOT_TEXT("of", input->digest_of),
            SLOT_IF("full", input->full)));
}
