/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job as one line of JSON, with all there is about it: lengths in mm, slopes in mm/m, angles in
   degrees, as in the answer of 'perpend solve --json'. */
#include "cli/log/log_command.h"
#include "files/json.h"

static void put_moment(struct json *json, const char *key, const struct log_time *time)
{
    char iso[LOG_TIME_ISO];
    if (time->utc[0] == '\0')
        json_add(json, "%s: null", key);
    else
        json_add(json, "%s: %s", key, log_time_iso(iso, time));
}

static void put_reading(struct json *json, const struct perpend_reading *reading)
{
    json_add(json, "at: %g, reading: %g, x: %g, y: %g", perpend_degrees(reading->bearing),
        reading->value, reading->x, reading->y);
}

static void put_corrections(struct json *json, const struct log_reading *reading)
{
    if (reading->correction_count > 0) {
        json_add(json, "first: {");
        put_reading(json, &reading->first);
        json_add(json, "}");
    }
    json_add(json, "corrections: [");
    for (size_t i = 0; i < reading->correction_count; i++) {
        const struct log_correction *correction = &reading->corrections[i];
        json_add(json, "{");
        put_moment(json, "time", &correction->at);
        json_add(json, "withdraws: %i", correction->withdraws);
        if (!correction->withdraws)
            put_reading(json, &correction->reading);
        json_add(json, "typed: %s, why: %s}", correction->typed, correction->why);
    }
    json_add(json, "]");
}

static void put_did(struct json *json, const struct log_sweep *sweep)
{
    if (sweep->did_kind != PERPEND_DID_LIST) {
        json_add(json, "did: %s",
            sweep->did_kind == PERPEND_DID_UNSTATED ? NULL
            : sweep->did_kind == PERPEND_DID_PLAN   ? "plan"
                                                    : "nothing");
        return;
    }
    json_add(json, "did: [");
    for (size_t i = 0; i < sweep->did_count; i++) {
        const struct log_did_entry *did = &sweep->did[i];
        const struct perpend_move_row *row = perpend_move_find(did->move);
        json_add(json, "{joint: %s, bolt: %s", did->joint, did->bolt);
        if (row->amount == PERPEND_AMOUNT_DISPLACEMENT)
            json_put_point(json, row->key, did->amount.shift);
        else
            json_add(json, "%s: %g", row->key,
                row->amount == PERPEND_AMOUNT_ANGLE ? perpend_degrees(did->amount.value)
                                                    : did->amount.value);
        json_add(json, "}");
    }
    json_add(json, "]");
}

static void put_sweep(struct json *json, const struct log_sweep *sweep)
{
    json_add(json, "{name: %s", sweep->name);
    put_moment(json, "time", &sweep->at);
    json_add(json, "x: %g, y: %g, readings: [", sweep->x, sweep->y);
    for (size_t i = 0; i < sweep->reading_count + sweep->cut_count; i++) {
        const struct log_reading *reading = &sweep->readings[i];
        json_add(json, "{");
        put_reading(json, &reading->reading);
        json_add(json, "cut: %i, counts: %i", reading->cut != 0, reading->counts);
        put_moment(json, "time", &reading->at);
        json_add(json, "typed: %s", reading->typed);
        put_corrections(json, reading);
        json_add(json, "}");
    }
    json_add(json, "]");
    put_did(json, sweep);
    json_add(json, "sure: %i", sweep->did_sure);
    put_moment(json, "did_time", &sweep->did_at);
    json_add(json, "}");
}

static void put_answer(
    struct json *json, const struct log_record *record, const struct log_answer *answer)
{
    json_add(json, "{first_sweep: %s, last_sweep: %s, readings: %lld",
        log_sweep_name(record, answer->first_sweep), log_sweep_name(record, answer->last_sweep),
        (long long)answer->readings);
    json_put_slope(json, "lean", answer->lean);
    json_put_uncertainty(json, "uncertainty", &answer->covariance);
    json_add(json, "includes_bed: %i", answer->includes_bed);
    if (log_bed_separated(answer))
        json_put_slope(json, "bed", answer->bed);
    else
        json_add(json, "bed: null");
    json_add(json, "ridge: {height: %g, low: %g, high: %g, chance: %g, verdict: %s}", answer->ridge,
        answer->low, answer->high, answer->chance, perpend_verdict_text(answer->verdict));
    put_moment(json, "time", &answer->at);
    json_add(json, "program: %s}", answer->program);
}

static void put_note(struct json *json, const struct log_note *note)
{
    put_moment(json, "time", &note->at);
    json_add(json, "kind: %s, text: %s", log_note_word(note->kind), note->text);
}

static void put_head(struct json *json, const struct log_record *record)
{
    static const char *const endings[] = {NULL, "done", "given up"};
    const struct perpend_measured *measured = &record->job.measured;
    bool ended = record->ending != LOG_OPEN;
    json_add(
        json, "perpend: 1, job: %lld, machine: %s", (long long)record->id, record->machine_name);
    put_moment(json, "started", &record->started);
    put_moment(json, "ended", &record->ended);
    json_add(json, "ending: %s, verdict: %s, goal: %g, goal_lean: %g, who: %s, temperature: %s",
        endings[record->ending], ended ? perpend_verdict_text(record->verdict) : NULL,
        record->goal.ridge, PERPEND_MM_PER_METRE * record->goal.lean, record->job.who,
        record->job.temperature);
    if (measured->stated)
        json_add(
            json, "measured: {along_x: %g, along_y: %g}", measured->along_x, measured->along_y);
    else
        json_add(json, "measured: null");
    json_add(json, "machine_path: %s, machine_file: %s, head: %s", record->machine_path,
        record->machine_text, record->head);
}

char *log_record_json(const struct log_record *record)
{
    struct json json = {.compact = true, .exact = true};
    json_add(&json, "{");
    put_head(&json, record);
    json_add(&json, "sweeps: [");
    for (size_t i = 0; i < record->sweep_count; i++)
        put_sweep(&json, &record->sweeps[i]);
    json_add(&json, "], answers: [");
    for (size_t i = 0; i < record->answer_count; i++)
        put_answer(&json, record, &record->answers[i]);
    json_add(&json, "], notes: [");
    for (size_t i = 0; i < record->note_count; i++) {
        json_add(&json, "{");
        put_note(&json, &record->notes[i]);
        json_add(&json, "sweep: %s}", log_sweep_name(record, record->notes[i].sweep));
    }
    json_add(&json, "]}");
    return json_take(&json);
}

char *log_note_json(const struct log_line *note)
{
    struct json json = {.compact = true, .exact = true};
    json_add(&json, "{perpend: 1, machine: %s, note: {", note->machine);
    put_note(&json, &note->note);
    json_add(&json, "}}");
    return json_take(&json);
}
