/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One job, whole, as it was recorded: nothing is worked out anew. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cli/complain.h"
#include "cli/drift_words.h"
#include "cli/log/log_command.h"
#include "cli/prompt/screen.h"
#include "text/gets.h"

#define STEP_UNKNOWN 0.001 /* mm; decimals of readings when the machine file cannot be read */

struct show {
    struct log_command *command;
    const struct words *words;
    struct buffer *text; /* the sentence that is being made */
    const struct log_record *record;
    double step; /* the gauge's */
};

/* "2026-05-06 09:08", or "09:08" on the job's own day. */
static void add_time(struct show *show, const struct log_time *time)
{
    char at[LOG_TIME_TEXT];
    bool same = time->utc[0] && strncmp(time->wall, show->record->started.wall, 10) == 0;
    buffer_add(show->text, log_time_text(at, time) + (same ? 11 : 0));
}

/* ---- the head ------------------------------------------------------------------------------ */

static void show_head(struct show *show)
{
    const struct log_record *record = show->record;
    struct buffer *text = show->text;
    char started[LOG_TIME_TEXT];
    buffer_addf(text, "Job %lld on ", (long long)record->id);
    words_name(text, record->machine_name);
    buffer_addf(text, ", %s", log_time_text(started, &record->started));
    if (record->ending == LOG_OPEN) {
        buffer_add(text, ", open: 'perpend sweep' offers to go on with it.");
    } else {
        buffer_add(text, " to ");
        add_time(show, &record->ended);
        buffer_add(text, record->ending == LOG_DONE ? "." : ", given up.");
    }
    log_command_say(show->command, "");
    buffer_add(text, isnan(record->goal) ? "No goal was set." : "Goal: a ridge of ");
    if (!isnan(record->goal)) {
        words_stated(show->words, text, WORDS_SMALL, record->goal);
        buffer_add(text, " or less.");
    }
    log_command_say(show->command, "");
    buffer_addf(text, "Machine file as it was then: 'perpend log export %lld --format machine'",
        (long long)record->id);
    buffer_add(text, record->machine_path ? "; read from " : "");
    words_name(text, record->machine_path);
    log_command_say(show->command, "");
    if (!record->readable) {
        buffer_add(text, "This perpend cannot read it: ");
        words_name(text, record->why.text);
        log_command_say(show->command, "");
    }
}

/* ---- sweeps -------------------------------------------------------------------------------- */

static void add_one(struct show *show, const struct perpend_reading *reading)
{
    char label[WORDS_LABEL];
    buffer_add(show->text, words_bearing_label(label, sizeof label, reading->bearing));
    buffer_add(show->text, WORDS_GLUE);
    words_reading(show->words, show->text, reading->value, show->step);
}

static void add_why(struct show *show, const char *why)
{
    buffer_add(show->text, why && why[0] ? ": " : "");
    words_name(show->text, why);
}

/* "front 1.00 (was 1.05: misread)", or "left 0.50 (withdrawn: the arm slipped)". */
static void add_reading(struct show *show, const struct log_reading *reading)
{
    add_one(show, &reading->reading);
    const struct perpend_reading *before = &reading->first;
    for (size_t i = 0; i < reading->correction_count; i++) {
        const struct log_correction *correction = &reading->corrections[i];
        buffer_add(show->text, i == 0 ? " (" : "; ");
        buffer_add(show->text, correction->withdraws ? "withdrawn" : "was ");
        if (!correction->withdraws) {
            if (before->bearing == correction->reading.bearing)
                words_reading(show->words, show->text, before->value, show->step);
            else
                add_one(show, before);
            before = &correction->reading;
        }
        add_why(show, correction->why);
    }
    buffer_add(show->text, reading->correction_count > 0 ? ")" : "");
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

static void show_sweep(struct show *show, const struct log_sweep *sweep)
{
    const char *whole = withdrawn_whole(sweep);
    words_name(show->text, sweep->name);
    buffer_add(show->text, ", ");
    add_time(show, &sweep->at);
    if (sweep->x != 0.0 || sweep->y != 0.0) {
        buffer_add(show->text, ", carriage at X ");
        words_stated(show->words, show->text, WORDS_LARGE, sweep->x);
        buffer_add(show->text, ", Y ");
        words_stated(show->words, show->text, WORDS_LARGE, sweep->y);
    }
    log_command_say(show->command, "");
    for (size_t i = 0; i < sweep->reading_count; i++) {
        buffer_add(show->text, i > 0 ? ", " : "");
        if (whole)
            add_one(show, &sweep->readings[i].reading);
        else
            add_reading(show, &sweep->readings[i]);
    }
    if (whole) {
        buffer_add(show->text, sweep->reading_count > 1 ? " (all withdrawn" : " (withdrawn");
        add_why(show, whole);
    }
    buffer_add(show->text, whole ? ")" : sweep->reading_count == 0 ? "no readings" : "");
    log_command_say(show->command, "  ");
}

/* ---- answers ------------------------------------------------------------------------------- */

/* "forward 6.67 ± 0.28 mm/m", as the session said it */
static void add_axis(struct show *show, double slope, double variance, const char *way)
{
    buffer_add(show->text, way);
    buffer_add(show->text, WORDS_GLUE);
    words_plus_minus(show->words, show->text, WORDS_SLOPE, fabs(slope), words_expanded(variance));
}

static void show_answer(struct show *show, const struct log_answer *answer)
{
    struct buffer *text = show->text;
    const struct perpend_slope lean = answer->lean, bed = answer->bed;
    buffer_add(text, answer->includes_bed ? "Lean and bed together: " : "Lean: ");
    add_axis(
        show, lean.back, answer->covariance.back_back, lean.back > -1e-12 ? "back" : "forward");
    buffer_add(text, ", ");
    add_axis(
        show, lean.right, answer->covariance.right_right, lean.right > -1e-12 ? "right" : "left");
    buffer_add(text, ".");
    log_command_say(show->command, "  ");
    if (answer->bed_separated) {
        buffer_addf(text, "Bed rises: to the %s ", bed.back < 0.0 ? "front" : "back");
        words_rounded(show->words, text, WORDS_SLOPE, fabs(bed.back), 0.0);
        buffer_addf(text, ", to the %s ", bed.right < 0.0 ? "left" : "right");
        words_rounded(show->words, text, WORDS_SLOPE, fabs(bed.right), 0.0);
        buffer_add(text, ".");
        log_command_say(show->command, "  ");
    }
    buffer_add(text, "Ridge: ");
    words_ridge_range(show->words, text, answer->ridge, answer->low, answer->high);
    const char *verdict = perpend_verdict_text(answer->verdict);
    if (verdict) {
        bool close = answer->verdict == PERPEND_VERDICT_TOO_CLOSE;
        buffer_addf(text, "; goal %s, ", close ? "too close to call" : verdict);
        words_chance(text, answer->chance);
    }
    buffer_add(text, ".");
    log_command_say(show->command, "  ");
}

/* ---- what was done ------------------------------------------------------------------------- */

static void add_did(struct show *show, const struct log_did_entry *did)
{
    words_name(show->text, did->bolt);
    buffer_add(show->text, " ");
    bolt_did(show->words, show->text, did->move, &did->amount);
}

static void show_did(struct show *show, const struct log_sweep *sweep)
{
    static const char *const words[] = {"", "as planned", "nothing", ""};
    struct buffer *text = show->text;
    const char *joint = "";
    if (sweep->did_kind == PERPEND_DID_UNSTATED)
        return;
    buffer_add(text, log_sweep_counted(sweep) > 0 ? "Done then: " : "Said then, and taken back: ");
    buffer_add(text, words[sweep->did_kind]);
    buffer_add(text, sweep->did_kind == PERPEND_DID_PLAN && sweep->did_count > 0 ? ": " : "");
    for (size_t i = 0; i < sweep->did_count; i++) {
        const struct log_did_entry *did = &sweep->did[i];
        if (i == 0 || strcmp(did->joint, joint) != 0) {
            buffer_add(text, i == 0 ? "" : "; ");
            words_name(text, joint = did->joint);
            buffer_add(text, ": ");
        } else {
            buffer_add(text, ", ");
        }
        add_did(show, did);
    }
    buffer_add(text, ".");
    log_command_say(show->command, "  ");
}

/* ---- notes and drift ----------------------------------------------------------------------- */

static void show_notes(struct show *show)
{
    static const char *const titles[LOG_NOTE_KINDS] = {
        "Note", "Crash", "New bit", "Move", "Repair"};
    const struct log_record *record = show->record;
    if (record->note_count > 0)
        words_gap(&show->command->words);
    for (size_t i = 0; i < record->note_count; i++) {
        const struct log_note *note = &record->notes[i];
        buffer_addf(show->text, "%s, ", titles[note->kind]);
        add_time(show, &note->at);
        for (size_t s = 0; s < record->sweep_count; s++)
            if (record->sweeps[s].id == note->sweep) {
                buffer_add(show->text, ", ");
                words_name(show->text, record->sweeps[s].name);
            }
        buffer_add(show->text, ": ");
        words_name(show->text, note->text);
        log_command_say(show->command, "");
    }
}

static int show_record(
    struct log_command *command, const struct log_record *record, const struct log_drift *drift)
{
    struct words *words = &command->words;
    struct show show = {command, words, &command->text, record,
        record->readable ? record->machine.setup.gauge.step : STEP_UNKNOWN};
    words->unit = record->readable ? record->machine.unit : PERPEND_UNIT_MM;
    show_head(&show);
    for (size_t i = 0; i < record->sweep_count; i++) {
        const struct log_sweep *sweep = &record->sweeps[i];
        words_gap(words);
        show_sweep(&show, sweep);
        for (size_t a = 0; a < record->answer_count; a++)
            if (record->answers[a].last_sweep == sweep->id)
                show_answer(&show, &record->answers[a]);
        show_did(&show, sweep);
    }
    show_notes(&show);
    if (drift->before != 0) {
        char *text = drift_text(drift, words->unit);
        words_gap(words);
        words->out.failed |= !text;
        words_name(show.text, text);
        log_command_say(command, "");
        free(text);
    }
    return screen_print(words);
}

int log_show_part(struct log_command *command)
{
    struct log_record record;
    struct log_drift drift;
    int64_t job = 0;
    if (command->operand_count > 1)
        return complain(2, "log show: one job at a time, please");
    int status =
        log_command_job(command, command->operand_count > 0 ? command->operands[0] : NULL, &job);
    if (status != 0)
        return status;
    if (!log_load(command->book, job, &record, &command->fault))
        return complain_fault(&command->fault);
    if (log_drift_find(command->book, job, &drift, &command->fault)) {
        status = show_record(command, &record, &drift);
        log_drift_finish(&drift);
    } else {
        status = complain_fault(&command->fault);
    }
    log_record_finish(&record);
    return status;
}
