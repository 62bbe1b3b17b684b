/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job as one line of JSON, with all there is about it: lengths in mm, slopes in mm/m, angles in
   degrees, as in the answer of 'perpend solve --json'. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "json_text.h"
#include "log_command.h"

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

/* Text that is no UTF-8 cannot stand in JSON: then what is beyond ASCII in it becomes "?". */
static json_t *text_or_null(const char *text)
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

/* Takes the value over; NULL anywhere ends in json_dumps failing. */
static void put(json_t *object, const char *key, json_t *value)
{
    if (json_object_set_new(object, key, value) != 0)
        json_object_clear(object);
}

static void put_reading(json_t *object, const struct perpend_reading *reading)
{
    put(object, "at", number(perpend_degrees(reading->bearing)));
    put(object, "reading", number(reading->value));
    put(object, "x", number(reading->x));
    put(object, "y", number(reading->y));
}

static json_t *correction_json(const struct log_correction *correction)
{
    json_t *object = json_object();
    put(object, "time", moment(&correction->at));
    put(object, "withdraws", json_boolean(correction->withdraws));
    if (!correction->withdraws)
        put_reading(object, &correction->reading);
    put(object, "typed", text_or_null(correction->typed));
    put(object, "why", text_or_null(correction->why));
    return object;
}

static json_t *reading_json(const struct log_reading *reading)
{
    json_t *object = json_object();
    json_t *corrections = json_array();
    put_reading(object, &reading->reading);
    put(object, "counts", json_boolean(reading->counts));
    put(object, "time", moment(&reading->at));
    put(object, "typed", text_or_null(reading->typed));
    if (reading->correction_count > 0) {
        json_t *first = json_object();
        put_reading(first, &reading->first);
        put(object, "first", first);
    }
    for (size_t i = 0; i < reading->correction_count; i++)
        json_array_append_new(corrections, correction_json(&reading->corrections[i]));
    put(object, "corrections", corrections);
    return object;
}

static json_t *slide_json(struct perpend_point slide)
{
    json_t *list = json_array();
    json_array_append_new(list, number(slide.right));
    json_array_append_new(list, number(slide.back));
    json_array_append_new(list, number(slide.up));
    return list;
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
        put(object, "joint", text_or_null(did->joint));
        put(object, "bolt", text_or_null(did->bolt));
        if (did->move == PERPEND_MOVE_SHIM)
            put(object, "shim", number(did->shim));
        else if (did->move == PERPEND_MOVE_SCREW)
            put(object, "turns", number(did->turns));
        else
            put(object, "slide", slide_json(did->slide));
        json_array_append_new(list, object);
    }
    return list;
}

static json_t *sweep_json(const struct log_sweep *sweep)
{
    json_t *object = json_object();
    json_t *readings = json_array();
    put(object, "name", text_or_null(sweep->name));
    put(object, "time", moment(&sweep->at));
    put(object, "x", number(sweep->x));
    put(object, "y", number(sweep->y));
    for (size_t i = 0; i < sweep->reading_count; i++)
        json_array_append_new(readings, reading_json(&sweep->readings[i]));
    put(object, "readings", readings);
    put(object, "did", did_json(sweep));
    put(object, "did_time", moment(&sweep->did_at));
    return object;
}

static json_t *slope_json(struct perpend_slope slope)
{
    json_t *object = json_object();
    put(object, "right", number(1000.0 * slope.right));
    put(object, "back", number(1000.0 * slope.back));
    return object;
}

static json_t *uncertainty_json(const struct perpend_slope_covariance *covariance)
{
    double right = sqrt(covariance->right_right), back = sqrt(covariance->back_back);
    double both = right * back;
    json_t *object = json_object();
    put(object, "right", number(1000.0 * right));
    put(object, "back", number(1000.0 * back));
    put(object, "correlation", number(both > 0.0 ? covariance->right_back / both : 0.0));
    return object;
}

static json_t *ridge_json(const struct log_answer *answer)
{
    json_t *object = json_object();
    put(object, "height", number(answer->ridge));
    put(object, "low", number(answer->low));
    put(object, "high", number(answer->high));
    put(object, "chance", number(answer->chance));
    put(object, "verdict", text_or_null(perpend_verdict_text(answer->verdict)));
    return object;
}

static json_t *sweep_name(const struct log_record *record, int64_t id)
{
    for (size_t i = 0; i < record->sweep_count; i++)
        if (record->sweeps[i].id == id)
            return text_or_null(record->sweeps[i].name);
    return json_null();
}

static json_t *answer_json(const struct log_record *record, const struct log_answer *answer)
{
    json_t *object = json_object();
    put(object, "first_sweep", sweep_name(record, answer->first_sweep));
    put(object, "last_sweep", sweep_name(record, answer->last_sweep));
    put(object, "readings", json_integer((json_int_t)answer->readings));
    put(object, "lean", slope_json(answer->lean));
    put(object, "uncertainty", uncertainty_json(&answer->covariance));
    put(object, "includes_bed", json_boolean(answer->includes_bed));
    put(object, "bed", answer->bed_separated ? slope_json(answer->bed) : json_null());
    put(object, "ridge", ridge_json(answer));
    put(object, "time", moment(&answer->at));
    put(object, "program", text_or_null(answer->program));
    return object;
}

static json_t *note_object(const struct log_note *note)
{
    json_t *object = json_object();
    put(object, "time", moment(&note->at));
    put(object, "kind", json_string(log_note_word(note->kind)));
    put(object, "text", text_or_null(note->text));
    return object;
}

static void put_head(json_t *object, const struct log_record *record)
{
    static const char *const endings[] = {NULL, "done", "given up"};
    bool ended = record->ending != LOG_OPEN;
    put(object, "perpend", json_integer(1));
    put(object, "job", json_integer((json_int_t)record->id));
    put(object, "machine", text_or_null(record->machine_name));
    put(object, "started", moment(&record->started));
    put(object, "ended", moment(&record->ended));
    put(object, "ending", text_or_null(endings[record->ending]));
    put(object, "verdict", text_or_null(ended ? perpend_verdict_text(record->verdict) : NULL));
    put(object, "goal", number(record->goal));
    put(object, "machine_path", text_or_null(record->machine_path));
    put(object, "machine_file", text_or_null(record->machine_text));
}

static char *line_of(json_t *object)
{
    return json_text(object, JSON_COMPACT | JSON_REAL_PRECISION(17), "");
}

char *log_record_json(const struct log_record *record)
{
    json_t *object = json_object();
    json_t *sweeps = json_array(), *answers = json_array(), *notes = json_array();
    put_head(object, record);
    for (size_t i = 0; i < record->sweep_count; i++)
        json_array_append_new(sweeps, sweep_json(&record->sweeps[i]));
    for (size_t i = 0; i < record->answer_count; i++)
        json_array_append_new(answers, answer_json(record, &record->answers[i]));
    for (size_t i = 0; i < record->note_count; i++) {
        json_t *note = note_object(&record->notes[i]);
        put(note, "sweep", sweep_name(record, record->notes[i].sweep));
        json_array_append_new(notes, note);
    }
    put(object, "sweeps", sweeps);
    put(object, "answers", answers);
    put(object, "notes", notes);
    return line_of(object);
}

char *log_note_json(const struct log_machine_note *note)
{
    json_t *object = json_object();
    put(object, "perpend", json_integer(1));
    put(object, "machine", text_or_null(note->machine));
    put(object, "note", note_object(&note->note));
    return line_of(object);
}
