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

#define JOBS_MOST 12       /* side by side */
#define STEP_UNKNOWN 0.001 /* mm; decimals of readings when the machine file cannot be read */

struct show {
    struct words *words;
    const struct log_record *record;
    double step; /* the gauge's */
};

/* "2026-05-06 09:08", or "09:08" on the job's own day. */
static const char *time_of(
    const struct show *show, char at[LOG_TIME_TEXT], const struct log_time *time)
{
    bool same = time->utc[0] && strncmp(time->wall, show->record->started.wall, 10) == 0;
    return log_time_text(at, time) + (same ? 11 : 0);
}

/* What the job began with, of an earlier one: "top left 0.50 mm, …". */
static void show_inside(const struct show *show)
{
    const struct perpend_job *job = &show->record->job;
    struct buffer list = {0};
    for (size_t i = 0; i < job->inside_count; i++) {
        const struct perpend_joint *joint =
            &show->record->machine.mount.joints[job->inside[i].joint];
        fill(show->words, &list, log_sentences[LOG_INSIDE_BOLT],
            SLOTS(SLOT_IF("first", i == 0),
                SLOT_NAME("bolt", joint->bolts[job->inside[i].bolt].name),
                SLOT_THICKNESS("shim", job->inside[i].amount.value)));
    }
    log_say(show->words, "", LOG_INSIDE, SLOTS(SLOT_TEXT("list", buffer_text(&list))));
    buffer_finish(&list);
}

static void show_head(const struct show *show)
{
    const struct log_record *record = show->record;
    const struct perpend_measured *measured = &record->job.measured;
    char started[LOG_TIME_TEXT], ended[LOG_TIME_TEXT];
    const struct slot *slots =
        SLOTS(SLOT_COUNT("job", record->id), SLOT_NAME("machine", record->machine_name),
            SLOT_TEXT("started", log_time_text(started, &record->started)),
            SLOT_TEXT("ended", time_of(show, ended, &record->ended)),
            SLOT_CHOICE("ending", record->source ? 3 : record->ending),
            SLOT_NAME("who", record->job.who), SLOT_NAME("place", record->machine.place),
            SLOT_NAME("temperature", record->job.temperature), SLOT_GOAL("goal", &record->goal),
            SLOT_IF("ridge", !isnan(record->goal.ridge)), SLOT_NAME("path", record->machine_path),
            SLOT_NAME("why", record->why.text),
            SLOT_RIDGE("along_x", measured->stated ? measured->along_x : NAN),
            SLOT_RIDGE("along_y", measured->stated ? measured->along_y : NAN));
    log_say(show->words, "", LOG_JOB, slots);
    log_say(show->words, "", LOG_GOAL, slots);
    show_inside(show);
    if (measured->stated)
        log_say(show->words, "", LOG_MEASURED, slots);
    log_say(show->words, "", LOG_MACHINE_FILE, slots);
    if (!record->readable)
        log_say(show->words, "", LOG_UNREADABLE, slots);
}

/* ---- sweeps -------------------------------------------------------------------------------- */

static void add_one(
    const struct show *show, struct buffer *text, bool cut, const struct perpend_reading *reading)
{
    char label[WORDS_LABEL];
    fill(show->words, text, log_sentences[LOG_READING],
        SLOTS(SLOT_TEXT("bearing", words_bearing_label(label, sizeof label, reading->bearing)),
            SLOT_IF("cut", cut), SLOT_READING("reading", reading->value, show->step)));
}

/* "front 1.00 (was 1.05: misread)", or "left 0.50 (withdrawn: the arm slipped)". */
static void add_reading(
    const struct show *show, struct buffer *text, const struct log_reading *reading)
{
    const struct perpend_reading *before = &reading->first;
    add_one(show, text, reading->cut != 0, &reading->reading);
    for (size_t i = 0; i < reading->correction_count; i++) {
        const struct log_correction *correction = &reading->corrections[i];
        struct buffer was = {0};
        if (before->bearing == correction->reading.bearing)
            words_reading(show->words, &was, before->value, show->step);
        else
            add_one(show, &was, reading->cut != 0, before);
        buffer_add(text, i == 0 ? " (" : "; ");
        fill(show->words, text, log_sentences[LOG_CORRECTED],
            SLOTS(SLOT_IF("withdrawn", correction->withdraws),
                SLOT_TEXT("before", buffer_text(&was)), SLOT_NAME("why", correction->why)));
        buffer_finish(&was);
        before = correction->withdraws ? before : &correction->reading;
    }
    buffer_add(text, reading->correction_count > 0 ? ")" : "");
}

/* The reason, when the whole sweep was withdrawn in one go ("" for none); NULL when it was not. */
static const char *withdrawn_whole(const struct log_sweep *sweep)
{
    const char *why = NULL;
    for (size_t i = 0; i < sweep->reading_count + sweep->cut_count; i++) {
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

static void show_sweep(const struct show *show, const struct log_sweep *sweep)
{
    const char *whole = withdrawn_whole(sweep);
    char at[LOG_TIME_TEXT];
    struct buffer text = {0};
    log_say(show->words, "", LOG_SWEEP,
        SLOTS(SLOT_NAME("sweep", sweep->name), SLOT_TEXT("at", time_of(show, at, &sweep->at)),
            SLOT_IF("away", sweep->x != 0.0 || sweep->y != 0.0),
            SLOT_STATED("x", WORDS_LARGE, sweep->x), SLOT_STATED("y", WORDS_LARGE, sweep->y)));
    for (size_t i = 0; i < sweep->reading_count + sweep->cut_count; i++) {
        buffer_add(&text, i > 0 ? ", " : "");
        if (whole)
            add_one(show, &text, sweep->readings[i].cut != 0, &sweep->readings[i].reading);
        else
            add_reading(show, &text, &sweep->readings[i]);
    }
    if (whole)
        fill(show->words, &text, log_sentences[LOG_SWEEP_WITHDRAWN],
            SLOTS(SLOT_IF("several", sweep->reading_count + sweep->cut_count > 1),
                SLOT_NAME("why", whole)));
    if (sweep->reading_count + sweep->cut_count == 0)
        fill(show->words, &text, log_sentences[LOG_NO_READINGS], NULL);
    say_and_finish(show->words, "  ", &text);
}

static void show_answer(const struct show *show, const struct log_answer *answer)
{
    const struct perpend_slope lean = answer->lean, bed = answer->bed;
    const struct perpend_slope_covariance *covariance = &answer->covariance;
    log_say(show->words, "  ", LOG_LEAN,
        SLOTS(SLOT_IF("bed", answer->includes_bed), SLOT_IF("back_plus", lean.back > -1e-12),
            SLOT_IF("right_plus", lean.right > -1e-12),
            SLOT_PLUS_MINUS(
                "back", WORDS_SLOPE, fabs(lean.back), words_expanded(covariance->back_back)),
            SLOT_PLUS_MINUS(
                "right", WORDS_SLOPE, fabs(lean.right), words_expanded(covariance->right_right))));
    if (log_bed_separated(answer))
        log_say(show->words, "  ", LOG_BED,
            SLOTS(SLOT_IF("front", bed.back < 0.0), SLOT_IF("left", bed.right < 0.0),
                SLOT_ROUNDED("back", WORDS_SLOPE, fabs(bed.back), 0.0),
                SLOT_ROUNDED("right", WORDS_SLOPE, fabs(bed.right), 0.0)));
    log_say(show->words, "  ", LOG_RIDGE,
        SLOTS(SLOT_RIDGE_RANGE("ridge", answer->ridge, answer->low, answer->high),
            SLOT_CHOICE("verdict", answer->verdict), SLOT_CHANCE("chance", answer->chance)));
}

static void show_did(const struct show *show, const struct log_sweep *sweep)
{
    struct buffer list = {0}, did = {0};
    if (sweep->did_kind == PERPEND_DID_UNSTATED)
        return;
    for (size_t i = 0; i < sweep->did_count; i++) {
        const struct log_did_entry *entry = &sweep->did[i];
        bool same = i > 0 && strcmp(entry->joint, sweep->did[i - 1].joint) == 0;
        buffer_clear(&did);
        bolt_did(show->words, &did, entry->move, &entry->amount);
        fill(show->words, &list, log_sentences[LOG_DID_BOLT],
            SLOTS(SLOT_IF("first", i == 0), SLOT_NAME("joint", same ? "" : entry->joint),
                SLOT_NAME("bolt", entry->bolt), SLOT_TEXT("did", buffer_text(&did))));
    }
    log_say(show->words, "  ", LOG_DID_THEN,
        SLOTS(SLOT_IF("counts", log_sweep_counted(sweep) > 0),
            SLOT_CHOICE("kind", sweep->did_kind - PERPEND_DID_PLAN),
            SLOT_TEXT("list", buffer_text(&list))));
    buffer_finish(&list);
    buffer_finish(&did);
}

static void show_notes(const struct show *show)
{
    const struct log_record *record = show->record;
    if (record->note_count > 0)
        words_gap(show->words);
    for (size_t i = 0; i < record->note_count; i++) {
        const struct log_note *note = &record->notes[i];
        char at[LOG_TIME_TEXT];
        log_say(show->words, "", LOG_JOB_NOTE,
            SLOTS(SLOT_CHOICE("kind", note->kind), SLOT_TEXT("at", time_of(show, at, &note->at)),
                SLOT_NAME("sweep", log_sweep_name(record, note->sweep)),
                SLOT_NAME("note", note->text)));
    }
}

static int show_record(
    struct log_command *command, const struct log_record *record, const struct log_drift *drift)
{
    struct words *words = &command->words;
    const struct show show = {
        words, record, record->readable ? record->machine.setup.gauge.step : STEP_UNKNOWN};
    words->unit = record->readable ? record->machine.unit : PERPEND_UNIT_MM;
    show_head(&show);
    for (size_t i = 0; i < record->sweep_count; i++) {
        words_gap(words);
        show_sweep(&show, &record->sweeps[i]);
        for (size_t a = 0; a < record->answer_count; a++)
            if (record->answers[a].last_sweep == record->sweeps[i].id)
                show_answer(&show, &record->answers[a]);
        show_did(&show, &record->sweeps[i]);
    }
    show_notes(&show);
    if (drift->before != 0) {
        struct buffer said = {0};
        char *text = drift_text(drift, words->unit);
        words_gap(words);
        words_name(&said, text);
        said.failed |= !text;
        say_and_finish(words, "", &said);
        free(text);
    }
    return screen_print(words);
}

static int show_job(struct log_command *command, int64_t job)
{
    struct log_record record;
    struct log_drift drift;
    int status;
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

/* A job by its number, or a machine's last by the machine's name. */
static int find_job(struct log_command *command, const char *word, int64_t *job)
{
    if (word && word[strspn(word, "0123456789")] != '\0' && strcmp(word, "last") != 0)
        return log_last_job(command->book, word, job, &command->fault)
                   ? 0
                   : complain_fault(&command->fault);
    return log_command_job(command, word, job);
}

int log_show_part(struct log_command *command)
{
    int64_t jobs[JOBS_MOST] = {0};
    const size_t count = command->operand_count > 0 ? (size_t)command->operand_count : 1;
    if (count > JOBS_MOST)
        return complain(
            2, "log show: %zu jobs at once are too many; name up to %d", count, JOBS_MOST);
    for (size_t i = 0; i < count; i++) {
        int status =
            find_job(command, command->operand_count > 0 ? command->operands[i] : NULL, &jobs[i]);
        if (status != 0)
            return status;
    }
    return count == 1 ? show_job(command, jobs[0]) : log_compare(command, jobs, count);
}
