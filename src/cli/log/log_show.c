/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One job, whole, as it was recorded: nothing is worked out anew. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cli/drift_words.h"
#include "cli/log/log_command.h"
#include "cli/options.h"
#include "cli/prompt/screen.h"

#define STEP_UNKNOWN 0.001 /* mm; decimals of readings when the machine file cannot be read */

struct show {
    struct words words;
    const struct log_record *record;
    double step; /* the gauge's */
};

static void say(struct show *show, const char *lead, struct buffer *text)
{
    words_paragraph(&show->words, lead, buffer_text(text));
    buffer_finish(text);
}

/* "2026-05-06 09:08", or "09:08" on the job's own day. */
static void add_time(struct show *show, struct buffer *text, const struct log_time *time)
{
    char at[LOG_TIME_TEXT], day[LOG_TIME_TEXT];
    log_time_text(at, time);
    log_time_text(day, &show->record->started);
    size_t length = strcspn(day, " ");
    bool same = time->utc[0] && strncmp(at, day, length) == 0 && at[length] == ' ';
    buffer_add(text, same ? at + length + 1 : at);
}

/* ---- the head ------------------------------------------------------------------------------ */

static void show_head(struct show *show)
{
    const struct log_record *record = show->record;
    char started[LOG_TIME_TEXT];
    struct buffer text = {0};
    buffer_addf(&text, "Job %lld on ", (long long)record->id);
    words_name(&text, record->machine_name);
    buffer_addf(&text, ", %s", log_time_text(started, &record->started));
    if (record->ending == LOG_OPEN) {
        buffer_add(&text, ", open: 'perpend sweep' offers to go on with it.");
    } else {
        buffer_add(&text, " to ");
        add_time(show, &text, &record->ended);
        buffer_add(&text, record->ending == LOG_DONE ? "." : ", given up.");
    }
    say(show, "", &text);
    if (isnan(record->goal)) {
        buffer_add(&text, "No goal was set.");
    } else {
        buffer_add(&text, "Goal: a ridge of ");
        words_stated(&show->words, &text, WORDS_SMALL, record->goal);
        buffer_add(&text, " or less.");
    }
    say(show, "", &text);
    buffer_add(&text, "Machine file as it was then: 'perpend log export ");
    buffer_addf(&text, "%lld --format machine'", (long long)record->id);
    if (record->machine_path) {
        buffer_add(&text, "; read from ");
        words_name(&text, record->machine_path);
    }
    say(show, "", &text);
    if (!record->readable) {
        buffer_add(&text, "This perpend cannot read it: ");
        words_name(&text, record->why.text);
        say(show, "", &text);
    }
}

/* ---- sweeps -------------------------------------------------------------------------------- */

static void add_one(struct show *show, struct buffer *text, const struct perpend_reading *reading)
{
    char label[WORDS_LABEL];
    buffer_add(text, words_bearing_label(label, sizeof label, reading->bearing));
    buffer_add(text, WORDS_GLUE);
    words_reading(&show->words, text, reading->value, show->step);
}

static void add_why(struct buffer *text, const char *why)
{
    if (!why || !why[0])
        return;
    buffer_add(text, ": ");
    words_name(text, why);
}

/* "front 1.00 (was 1.05: misread)", or "left 0.50 (withdrawn: the arm slipped)". */
static void add_reading(struct show *show, struct buffer *text, const struct log_reading *reading)
{
    add_one(show, text, &reading->reading);
    const struct perpend_reading *before = &reading->first;
    for (size_t i = 0; i < reading->correction_count; i++) {
        const struct log_correction *correction = &reading->corrections[i];
        buffer_add(text, i == 0 ? " (" : "; ");
        if (correction->withdraws) {
            buffer_add(text, "withdrawn");
        } else {
            buffer_add(text, "was ");
            if (before->bearing == correction->reading.bearing)
                words_reading(&show->words, text, before->value, show->step);
            else
                add_one(show, text, before);
            before = &correction->reading;
        }
        add_why(text, correction->why);
    }
    buffer_add(text, reading->correction_count > 0 ? ")" : "");
}

/* The reason, when the whole sweep was withdrawn in one go ("" for none); NULL when it was not. */
static const char *withdrawn_whole(const struct log_sweep *sweep)
{
    const char *why = NULL;
    for (size_t i = 0; i < sweep->reading_count; i++) {
        const struct log_reading *reading = &sweep->readings[i];
        if (reading->counts || reading->correction_count != 1)
            return NULL;
        const char *own = reading->corrections[0].why ? reading->corrections[0].why : "";
        if (why && strcmp(why, own) != 0)
            return NULL;
        why = own;
    }
    return why;
}

static void show_readings(struct show *show, const struct log_sweep *sweep)
{
    struct buffer text = {0};
    const char *why = withdrawn_whole(sweep);
    if (why) {
        for (size_t i = 0; i < sweep->reading_count; i++) {
            buffer_add(&text, i > 0 ? ", " : "");
            add_one(show, &text, &sweep->readings[i].reading);
        }
        buffer_add(&text, sweep->reading_count > 1 ? " (all withdrawn" : " (withdrawn");
        add_why(&text, why);
        buffer_add(&text, ")");
        say(show, "  ", &text);
        return;
    }
    for (size_t i = 0; i < sweep->reading_count; i++) {
        buffer_add(&text, i > 0 ? ", " : "");
        add_reading(show, &text, &sweep->readings[i]);
    }
    if (sweep->reading_count == 0)
        buffer_add(&text, "no readings");
    say(show, "  ", &text);
}

static void show_sweep_head(struct show *show, const struct log_sweep *sweep)
{
    struct buffer text = {0};
    words_name(&text, sweep->name);
    buffer_add(&text, ", ");
    add_time(show, &text, &sweep->at);
    if (sweep->x != 0.0 || sweep->y != 0.0) {
        buffer_add(&text, ", carriage at X ");
        words_stated(&show->words, &text, WORDS_LARGE, sweep->x);
        buffer_add(&text, ", Y ");
        words_stated(&show->words, &text, WORDS_LARGE, sweep->y);
    }
    say(show, "", &text);
}

/* ---- answers ------------------------------------------------------------------------------- */

/* "forward 6.67 ± 0.28 mm/m", as the session said it */
static void add_axis(struct show *show, struct buffer *text, double slope, double variance,
    const char *plus, const char *minus)
{
    buffer_add(text, slope > -1e-12 ? plus : minus);
    buffer_add(text, WORDS_GLUE);
    words_plus_minus(&show->words, text, WORDS_SLOPE, fabs(slope), words_expanded(variance));
}

static void show_answer(struct show *show, const struct log_answer *answer)
{
    const struct perpend_slope_covariance *covariance = &answer->covariance;
    struct buffer text = {0};
    buffer_add(&text, answer->includes_bed ? "Lean and bed together: " : "Lean: ");
    add_axis(show, &text, answer->lean.back, covariance->back_back, "back", "forward");
    buffer_add(&text, ", ");
    add_axis(show, &text, answer->lean.right, covariance->right_right, "right", "left");
    buffer_add(&text, ".");
    say(show, "  ", &text);
    if (answer->bed_separated) {
        buffer_addf(&text, "Bed rises: to the %s ", answer->bed.back < 0.0 ? "front" : "back");
        words_rounded(&show->words, &text, WORDS_SLOPE, fabs(answer->bed.back), 0.0);
        buffer_addf(&text, ", to the %s ", answer->bed.right < 0.0 ? "left" : "right");
        words_rounded(&show->words, &text, WORDS_SLOPE, fabs(answer->bed.right), 0.0);
        buffer_add(&text, ".");
        say(show, "  ", &text);
    }
    buffer_add(&text, "Ridge: ");
    words_ridge_range(&show->words, &text, answer->ridge, answer->low, answer->high);
    const char *verdict = perpend_verdict_text(answer->verdict);
    if (verdict) {
        buffer_add(&text, "; goal ");
        buffer_add(
            &text, answer->verdict == PERPEND_VERDICT_TOO_CLOSE ? "too close to call" : verdict);
        buffer_add(&text, ", ");
        words_chance(&text, answer->chance);
    }
    buffer_add(&text, ".");
    say(show, "  ", &text);
}

static void show_answer_after(struct show *show, const struct log_sweep *sweep)
{
    for (size_t i = 0; i < show->record->answer_count; i++)
        if (show->record->answers[i].last_sweep == sweep->id)
            show_answer(show, &show->record->answers[i]);
}

/* ---- what was done ------------------------------------------------------------------------- */

static void add_part(
    struct show *show, struct buffer *text, const char *name, double value, bool *any)
{
    if (value == 0.0)
        return;
    buffer_add(text, *any ? " and " : " ");
    words_stated(&show->words, text, WORDS_SMALL, fabs(value));
    buffer_add(text, name);
    *any = true;
}

static void add_did(struct show *show, struct buffer *text, const struct log_did_entry *did)
{
    char number[64];
    bool any = false;
    words_name(text, did->bolt);
    switch (did->move) {
    case PERPEND_MOVE_SHIM:
        buffer_add(text, did->amount.value < 0.0 ? " took out " : " shim ");
        words_stated(&show->words, text, WORDS_SMALL, fabs(did->amount.value));
        break;
    case PERPEND_MOVE_SLIDE:
        buffer_add(text, " slid");
        add_part(show, text, did->amount.shift.right < 0 ? " left" : " right",
            did->amount.shift.right, &any);
        add_part(show, text, did->amount.shift.back < 0 ? " forward" : " back",
            did->amount.shift.back, &any);
        add_part(
            show, text, did->amount.shift.up < 0 ? " down" : " up", did->amount.shift.up, &any);
        buffer_add(text, any ? "" : " nowhere");
        break;
    case PERPEND_MOVE_SCREW:
        perpend_number_format(number, sizeof number, did->amount.value, 3);
        buffer_addf(text, " screw %s turns", number);
        break;
    }
}

static void show_did(struct show *show, const struct log_sweep *sweep)
{
    struct buffer text = {0};
    if (sweep->did_kind == PERPEND_DID_UNSTATED)
        return;
    buffer_add(&text, log_sweep_counted(sweep) > 0 ? "Done then: " : "Said then, and taken back: ");
    if (sweep->did_kind != PERPEND_DID_LIST)
        buffer_add(&text, sweep->did_kind == PERPEND_DID_PLAN ? "as planned" : "nothing");
    if (sweep->did_kind == PERPEND_DID_PLAN && sweep->did_count > 0)
        buffer_add(&text, ": ");
    for (size_t i = 0; i < sweep->did_count; i++) {
        const struct log_did_entry *did = &sweep->did[i];
        if (i == 0 || strcmp(did->joint, sweep->did[i - 1].joint) != 0) {
            buffer_add(&text, i == 0 ? "" : "; ");
            words_name(&text, did->joint);
            buffer_add(&text, ": ");
        } else {
            buffer_add(&text, ", ");
        }
        add_did(show, &text, did);
    }
    buffer_add(&text, ".");
    say(show, "  ", &text);
}

/* ---- notes and drift ----------------------------------------------------------------------- */

static void show_notes(struct show *show)
{
    static const char *const titles[LOG_NOTE_KINDS] = {
        "Note", "Crash", "New bit", "Move", "Repair"};
    const struct log_record *record = show->record;
    if (record->note_count > 0)
        words_gap(&show->words);
    for (size_t i = 0; i < record->note_count; i++) {
        struct buffer text = {0};
        const struct log_note *note = &record->notes[i];
        buffer_add(&text, titles[note->kind]);
        buffer_add(&text, ", ");
        add_time(show, &text, &note->at);
        for (size_t s = 0; s < record->sweep_count; s++)
            if (record->sweeps[s].id == note->sweep) {
                buffer_add(&text, ", ");
                words_name(&text, record->sweeps[s].name);
            }
        buffer_add(&text, ": ");
        words_name(&text, note->text);
        say(show, "", &text);
    }
}

static void show_drift(struct show *show, const struct log_drift *drift)
{
    struct buffer text = {0};
    char *words = drift_text(drift, show->words.unit);
    if (!words)
        show->words.out.failed = true;
    else if (drift->before != 0) {
        words_gap(&show->words);
        words_name(&text, words);
        say(show, "", &text);
    }
    free(words);
}

static int show_record(const struct log_options *options, const struct log_record *record,
    const struct log_drift *drift)
{
    enum perpend_unit unit = record->readable ? record->machine.unit : PERPEND_UNIT_MM;
    struct show show = {
        .words = screen_words(unit, options->ascii),
        .record = record,
        .step = record->readable ? record->machine.setup.gauge.step : STEP_UNKNOWN,
    };
    show_head(&show);
    for (size_t i = 0; i < record->sweep_count; i++) {
        words_gap(&show.words);
        show_sweep_head(&show, &record->sweeps[i]);
        show_readings(&show, &record->sweeps[i]);
        show_answer_after(&show, &record->sweeps[i]);
        show_did(&show, &record->sweeps[i]);
    }
    show_notes(&show);
    show_drift(&show, drift);
    return screen_print(&show.words);
}

int log_show_part(const struct log_options *options)
{
    struct log_record record;
    struct log_drift drift;
    struct fault fault = {.status = 0};
    int64_t job = 0;
    int status = 0;
    if (options->operand_count > 1)
        return complain(2, "log show: one job at a time, please");
    struct log_book *book = log_command_open(options, LOG_READ, &status);
    if (!book)
        return status;
    const char *which = options->operand_count > 0 ? options->operands[0] : NULL;
    if (!log_command_job(book, options, which, &job, &status))
        goto out;
    if (!log_load(book, job, &record, &fault)) {
        status = complain_fault(&fault);
        goto out;
    }
    if (log_drift_find(book, job, &drift, &fault)) {
        status = show_record(options, &record, &drift);
        log_drift_finish(&drift);
    } else {
        status = complain_fault(&fault);
    }
    log_record_finish(&record);
out:
    log_close(book);
    return status;
}
