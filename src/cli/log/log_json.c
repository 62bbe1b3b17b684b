/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job as one line of JSON, with all there is about it: lengths in mm, slopes in mm/m, angles in
   degrees, as in the answer of 'perpend solve --json'. */
#include "cli/log/log_command.h"
#include "files/json.h"

static void put_moment(struct json *json, const char *key, const struct log_time *time)
{
    char iso[LOG_TIME_ISO];
    json_put_text(json, key, time->utc[0] != '\0' ? log_time_iso(iso, time) : NULL);
}

static void put_reading(struct json *json, const struct perpend_reading *reading)
{
    json_put_number(json, "at", perpend_degrees(reading->bearing));
    json_put_number(json, "reading", reading->value);
    json_put_number(json, "x", reading->x);
    json_put_number(json, "y", reading->y);
}

static void put_corrections(struct json *json, const struct log_reading *reading)
{
    if (reading->correction_count > 0) {
        json_open(json, "first", '{');
        put_reading(json, &reading->first);
        json_close(json, '}');
    }
    json_open(json, "corrections", '[');
    for (size_t i = 0; i < reading->correction_count; i++) {
        const struct log_correction *correction = &reading->corrections[i];
        json_open(json, NULL, '{');
        put_moment(json, "time", &correction->at);
        json_put_bool(json, "withdraws", correction->withdraws);
        if (!correction->withdraws)
            put_reading(json, &correction->reading);
        json_put_text(json, "typed", correction->typed);
        json_put_text(json, "why", correction->why);
        json_close(json, '}');
    }
    json_close(json, ']');
}

static void put_did(struct json *json, const struct log_sweep *sweep)
{
    if (sweep->did_kind != PERPEND_DID_LIST) {
        json_put_text(json, "did",
            sweep->did_kind == PERPEND_DID_UNSTATED ? NULL
            : sweep->did_kind == PERPEND_DID_PLAN   ? "plan"
                                                    : "nothing");
        return;
    }
    json_open(json, "did", '[');
    for (size_t i = 0; i < sweep->did_count; i++) {
        const struct log_did_entry *did = &sweep->did[i];
        const struct perpend_move_row *row = perpend_move_find(did->move);
        json_open(json, NULL, '{');
        json_put_text(json, "joint", did->joint);
        json_put_text(json, "bolt", did->bolt);
        if (row->amount == PERPEND_AMOUNT_DISPLACEMENT)
            json_put_point(json, row->key, did->amount.shift);
        else
            json_put_number(json, row->key, did->amount.value);
        json_close(json, '}');
    }
    json_close(json, ']');
}

static void put_sweep(struct json *json, const struct log_sweep *sweep)
{
    json_open(json, NULL, '{');
    json_put_text(json, "name", sweep->name);
    put_moment(json, "time", &sweep->at);
    json_put_number(json, "x", sweep->x);
    json_put_number(json, "y", sweep->y);
    json_open(json, "readings", '[');
    for (size_t i = 0; i < sweep->reading_count; i++) {
        const struct log_reading *reading = &sweep->readings[i];
        json_open(json, NULL, '{');
        put_reading(json, &reading->reading);
        json_put_bool(json, "counts", reading->counts);
        put_moment(json, "time", &reading->at);
        json_put_text(json, "typed", reading->typed);
        put_corrections(json, reading);
        json_close(json, '}');
    }
    json_close(json, ']');
    put_did(json, sweep);
    put_moment(json, "did_time", &sweep->did_at);
    json_close(json, '}');
}

static void put_sweep_name(
    struct json *json, const char *key, const struct log_record *record, int64_t id)
{
    const char *name = NULL;
    for (size_t i = 0; i < record->sweep_count && name == NULL; i++)
        if (record->sweeps[i].id == id)
            name = record->sweeps[i].name;
    json_put_text(json, key, name);
}

static void put_answer(
    struct json *json, const struct log_record *record, const struct log_answer *answer)
{
    json_open(json, NULL, '{');
    put_sweep_name(json, "first_sweep", record, answer->first_sweep);
    put_sweep_name(json, "last_sweep", record, answer->last_sweep);
    json_put_integer(json, "readings", (long long)answer->readings);
    json_put_slope(json, "lean", answer->lean);
    json_put_uncertainty(json, "uncertainty", &answer->covariance);
    json_put_bool(json, "includes_bed", answer->includes_bed);
    if (answer->bed_separated)
        json_put_slope(json, "bed", answer->bed);
    else
        json_put_null(json, "bed");
    json_open(json, "ridge", '{');
    json_put_number(json, "height", answer->ridge);
    json_put_number(json, "low", answer->low);
    json_put_number(json, "high", answer->high);
    json_put_number(json, "chance", answer->chance);
    json_put_text(json, "verdict", perpend_verdict_text(answer->verdict));
    json_close(json, '}');
    put_moment(json, "time", &answer->at);
    json_put_text(json, "program", answer->program);
    json_close(json, '}');
}

static void put_note(struct json *json, const struct log_note *note)
{
    put_moment(json, "time", &note->at);
    json_put_text(json, "kind", log_note_word(note->kind));
    json_put_text(json, "text", note->text);
}

static void put_head(struct json *json, const struct log_record *record)
{
    static const char *const endings[] = {NULL, "done", "given up"};
    bool ended = record->ending != LOG_OPEN;
    json_put_integer(json, "perpend", 1);
    json_put_integer(json, "job", record->id);
    json_put_text(json, "machine", record->machine_name);
    put_moment(json, "started", &record->started);
    put_moment(json, "ended", &record->ended);
    json_put_text(json, "ending", endings[record->ending]);
    json_put_text(json, "verdict", ended ? perpend_verdict_text(record->verdict) : NULL);
    json_put_number(json, "goal", record->goal);
    json_put_text(json, "machine_path", record->machine_path);
    json_put_text(json, "machine_file", record->machine_text);
}

char *log_record_json(const struct log_record *record)
{
    struct json json = {.compact = true, .exact = true};
    json_open(&json, NULL, '{');
    put_head(&json, record);
    json_open(&json, "sweeps", '[');
    for (size_t i = 0; i < record->sweep_count; i++)
        put_sweep(&json, &record->sweeps[i]);
    json_close(&json, ']');
    json_open(&json, "answers", '[');
    for (size_t i = 0; i < record->answer_count; i++)
        put_answer(&json, record, &record->answers[i]);
    json_close(&json, ']');
    json_open(&json, "notes", '[');
    for (size_t i = 0; i < record->note_count; i++) {
        json_open(&json, NULL, '{');
        put_note(&json, &record->notes[i]);
        put_sweep_name(&json, "sweep", record, record->notes[i].sweep);
        json_close(&json, '}');
    }
    json_close(&json, ']');
    json_close(&json, '}');
    return json_take(&json);
}

char *log_note_json(const struct log_machine_note *note)
{
    struct json json = {.compact = true, .exact = true};
    json_open(&json, NULL, '{');
    json_put_integer(&json, "perpend", 1);
    json_put_text(&json, "machine", note->machine);
    json_open(&json, "note", '{');
    put_note(&json, &note->note);
    json_close(&json, '}');
    json_close(&json, '}');
    return json_take(&json);
}
