/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job as one line of JSON, with all there is about it: lengths in mm, slopes in mm/m, angles in
   degrees, as in the answer of 'perpend solve --json'. */
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "files/json_text.h"
#include "cli/log/log_command.h"

/* Text that is no UTF-8 cannot stand in JSON: then what is beyond ASCII in it becomes "?". */
static json_t *any_text(const char *text)
{
    if (!text)
        return json_null();
    json_t *string = json_string(text);
    size_t size = strlen(text) + 1;
    char *plain = string ? NULL : malloc(size);
    if (!plain)
        return string;
    memcpy(plain, text, size);
    for (char *c = plain; *c; c++)
        if ((unsigned char)*c >= 0x80)
            *c = '?';
    string = json_string(plain);
    free(plain);
    return string;
}

static json_t *moment(const struct log_time *time)
{
    char iso[LOG_TIME_ISO];
    return time->utc[0] ? json_string(log_time_iso(iso, time)) : json_null();
}

static void put_reading(json_t **object, const struct perpend_reading *reading)
{
    json_put(object, "at", json_number(perpend_degrees(reading->bearing)));
    json_put(object, "reading", json_number(reading->value));
    json_put(object, "x", json_number(reading->x));
    json_put(object, "y", json_number(reading->y));
}

static json_t *correction_json(const struct log_correction *correction)
{
    json_t *object = json_object();
    json_put(&object, "time", moment(&correction->at));
    json_put(&object, "withdraws", json_boolean(correction->withdraws));
    if (!correction->withdraws)
        put_reading(&object, &correction->reading);
    json_put(&object, "typed", any_text(correction->typed));
    json_put(&object, "why", any_text(correction->why));
    return object;
}

static json_t *reading_json(const struct log_reading *reading)
{
    json_t *object = json_object();
    json_t *corrections = json_array();
    put_reading(&object, &reading->reading);
    json_put(&object, "counts", json_boolean(reading->counts));
    json_put(&object, "time", moment(&reading->at));
    json_put(&object, "typed", any_text(reading->typed));
    if (reading->correction_count > 0) {
        json_t *first = json_object();
        put_reading(&first, &reading->first);
        json_put(&object, "first", first);
    }
    for (size_t i = 0; i < reading->correction_count; i++)
        json_add(&corrections, correction_json(&reading->corrections[i]));
    json_put(&object, "corrections", corrections);
    return object;
}

static json_t *did_json(const struct log_sweep *sweep)
{
    if (sweep->did_kind == PERPEND_DID_UNSTATED)
        return json_null();
    if (sweep->did_kind != PERPEND_DID_LIST)
        return json_string(sweep->did_kind == PERPEND_DID_PLAN ? "plan" : "nothing");
    json_t *list = json_array();
    for (size_t i = 0; i < sweep->did_count; i++) {
        const struct log_did_entry *did = &sweep->did[i];
        json_t *object = json_object();
        json_put(&object, "joint", any_text(did->joint));
        json_put(&object, "bolt", any_text(did->bolt));
        const struct perpend_move_row *row = perpend_move_row(did->move);
        json_put(&object, row->key,
            row->amount == PERPEND_AMOUNT_DISPLACEMENT ? json_point(did->amount.shift)
                                                       : json_number(did->amount.value));
        json_add(&list, object);
    }
    return list;
}

static json_t *sweep_json(const struct log_sweep *sweep)
{
    json_t *object = json_object();
    json_t *readings = json_array();
    json_put(&object, "name", any_text(sweep->name));
    json_put(&object, "time", moment(&sweep->at));
    json_put(&object, "x", json_number(sweep->x));
    json_put(&object, "y", json_number(sweep->y));
    for (size_t i = 0; i < sweep->reading_count; i++)
        json_add(&readings, reading_json(&sweep->readings[i]));
    json_put(&object, "readings", readings);
    json_put(&object, "did", did_json(sweep));
    json_put(&object, "did_time", moment(&sweep->did_at));
    return object;
}

static json_t *ridge_json(const struct log_answer *answer)
{
    json_t *object = json_object();
    json_put(&object, "height", json_number(answer->ridge));
    json_put(&object, "low", json_number(answer->low));
    json_put(&object, "high", json_number(answer->high));
    json_put(&object, "chance", json_number(answer->chance));
    json_put(&object, "verdict", any_text(perpend_verdict_text(answer->verdict)));
    return object;
}

static json_t *sweep_name(const struct log_record *record, int64_t id)
{
    for (size_t i = 0; i < record->sweep_count; i++)
        if (record->sweeps[i].id == id)
            return any_text(record->sweeps[i].name);
    return json_null();
}

static json_t *answer_json(const struct log_record *record, const struct log_answer *answer)
{
    json_t *object = json_object();
    json_put(&object, "first_sweep", sweep_name(record, answer->first_sweep));
    json_put(&object, "last_sweep", sweep_name(record, answer->last_sweep));
    json_put(&object, "readings", json_integer((json_int_t)answer->readings));
    json_put(&object, "lean", json_slope(answer->lean));
    json_put(&object, "uncertainty", json_uncertainty(&answer->covariance));
    json_put(&object, "includes_bed", json_boolean(answer->includes_bed));
    json_put(&object, "bed", answer->bed_separated ? json_slope(answer->bed) : json_null());
    json_put(&object, "ridge", ridge_json(answer));
    json_put(&object, "time", moment(&answer->at));
    json_put(&object, "program", any_text(answer->program));
    return object;
}

static json_t *note_object(const struct log_note *note)
{
    json_t *object = json_object();
    json_put(&object, "time", moment(&note->at));
    json_put(&object, "kind", json_string(log_note_word(note->kind)));
    json_put(&object, "text", any_text(note->text));
    return object;
}

static void put_head(json_t **object, const struct log_record *record)
{
    static const char *const endings[] = {NULL, "done", "given up"};
    bool ended = record->ending != LOG_OPEN;
    json_put(object, "perpend", json_integer(1));
    json_put(object, "job", json_integer((json_int_t)record->id));
    json_put(object, "machine", any_text(record->machine_name));
    json_put(object, "started", moment(&record->started));
    json_put(object, "ended", moment(&record->ended));
    json_put(object, "ending", any_text(endings[record->ending]));
    json_put(object, "verdict", any_text(ended ? perpend_verdict_text(record->verdict) : NULL));
    json_put(object, "goal", json_number(record->goal));
    json_put(object, "machine_path", any_text(record->machine_path));
    json_put(object, "machine_file", any_text(record->machine_text));
}

static char *line_of(json_t *object)
{
    return json_text_exact(object, JSON_COMPACT, "");
}

char *log_record_json(const struct log_record *record)
{
    json_t *object = json_object();
    json_t *sweeps = json_array(), *answers = json_array(), *notes = json_array();
    put_head(&object, record);
    for (size_t i = 0; i < record->sweep_count; i++)
        json_add(&sweeps, sweep_json(&record->sweeps[i]));
    for (size_t i = 0; i < record->answer_count; i++)
        json_add(&answers, answer_json(record, &record->answers[i]));
    for (size_t i = 0; i < record->note_count; i++) {
        json_t *note = note_object(&record->notes[i]);
        json_put(&note, "sweep", sweep_name(record, record->notes[i].sweep));
        json_add(&notes, note);
    }
    json_put(&object, "sweeps", sweeps);
    json_put(&object, "answers", answers);
    json_put(&object, "notes", notes);
    return line_of(object);
}

char *log_note_json(const struct log_machine_note *note)
{
    json_t *object = json_object();
    json_put(&object, "perpend", json_integer(1));
    json_put(&object, "machine", any_text(note->machine));
    json_put(&object, "note", note_object(&note->note));
    return line_of(object);
}
