/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job as one line of JSON, with all there is about it: lengths in mm, slopes in mm/m, angles in
   degrees, as in the answer of 'perpend solve --json'. A value that cannot be had for want of memory
   makes all it belongs to NULL. */
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "cli/log/log_command.h"
#include "files/json_text.h"

/* Text that is no UTF-8 cannot stand in JSON: then what is beyond ASCII in it becomes "?". */
static json_t *any_text(const char *text)
{
    json_t *string = text ? json_string(text) : json_null();
    char *plain = string ? NULL : strdup(text);
    if (!plain)
        return string;
    for (char *c = plain; *c; c++)
        *c = (unsigned char)*c < 0x80 ? *c : '?';
    string = json_string(plain);
    free(plain);
    return string;
}

static json_t *moment(const struct log_time *time)
{
    char iso[LOG_TIME_ISO];
    return any_text(time->utc[0] ? log_time_iso(iso, time) : NULL);
}

static json_t *reading_object(const struct perpend_reading *reading)
{
    return json_pack("{s:o, s:o, s:o, s:o}", "at", json_number(perpend_degrees(reading->bearing)),
        "reading", json_number(reading->value), "x", json_number(reading->x), "y",
        json_number(reading->y));
}

static json_t *correction_json(const struct log_correction *correction)
{
    json_t *object = correction->withdraws ? json_object() : reading_object(&correction->reading);
    json_put(&object, "time", moment(&correction->at));
    json_put(&object, "withdraws", json_boolean(correction->withdraws));
    json_put(&object, "typed", any_text(correction->typed));
    json_put(&object, "why", any_text(correction->why));
    return object;
}

static json_t *reading_json(const struct log_reading *reading)
{
    json_t *object = reading_object(&reading->reading);
    json_t *corrections = json_array();
    for (size_t i = 0; i < reading->correction_count; i++)
        json_add(&corrections, correction_json(&reading->corrections[i]));
    json_put(&object, "counts", json_boolean(reading->counts));
    json_put(&object, "time", moment(&reading->at));
    json_put(&object, "typed", any_text(reading->typed));
    if (reading->correction_count > 0)
        json_put(&object, "first", reading_object(&reading->first));
    json_put(&object, "corrections", corrections);
    return object;
}

static json_t *did_json(const struct log_sweep *sweep)
{
    static const char *const words[] = {NULL, "plan", "nothing"};
    if (sweep->did_kind != PERPEND_DID_LIST)
        return any_text(words[sweep->did_kind]);
    json_t *list = json_array();
    for (size_t i = 0; i < sweep->did_count; i++) {
        const struct log_did_entry *did = &sweep->did[i];
        const struct perpend_move_row *row = perpend_move_row(did->move);
        json_add(&list,
            json_pack("{s:o, s:o, s:o}", "joint", any_text(did->joint), "bolt", any_text(did->bolt),
                row->key,
                row->amount == PERPEND_AMOUNT_DISPLACEMENT ? json_point(did->amount.shift)
                                                           : json_number(did->amount.value)));
    }
    return list;
}

static json_t *sweep_json(const struct log_sweep *sweep)
{
    json_t *readings = json_array();
    for (size_t i = 0; i < sweep->reading_count; i++)
        json_add(&readings, reading_json(&sweep->readings[i]));
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "name", any_text(sweep->name), "time",
        moment(&sweep->at), "x", json_number(sweep->x), "y", json_number(sweep->y), "readings",
        readings, "did", did_json(sweep), "did_time", moment(&sweep->did_at));
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
    json_t *ridge = json_pack("{s:o, s:o, s:o, s:o, s:o}", "height", json_number(answer->ridge),
        "low", json_number(answer->low), "high", json_number(answer->high), "chance",
        json_number(answer->chance), "verdict", any_text(perpend_verdict_text(answer->verdict)));
    return json_pack("{s:o, s:o, s:I, s:o, s:o, s:b, s:o, s:o, s:o, s:o}", "first_sweep",
        sweep_name(record, answer->first_sweep), "last_sweep",
        sweep_name(record, answer->last_sweep), "readings", (json_int_t)answer->readings, "lean",
        json_slope(answer->lean), "uncertainty", json_uncertainty(&answer->covariance),
        "includes_bed", (int)answer->includes_bed, "bed",
        answer->bed_separated ? json_slope(answer->bed) : json_null(), "ridge", ridge, "time",
        moment(&answer->at), "program", any_text(answer->program));
}

static json_t *note_object(const struct log_note *note)
{
    return json_pack("{s:o, s:s, s:o}", "time", moment(&note->at), "kind",
        log_note_word(note->kind), "text", any_text(note->text));
}

char *log_record_json(const struct log_record *record)
{
    static const char *const endings[] = {NULL, "done", "given up"};
    const char *verdict = record->ending == LOG_OPEN ? NULL : perpend_verdict_text(record->verdict);
    json_t *object = json_pack("{s:i, s:I, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "perpend", 1,
        "job", (json_int_t)record->id, "machine", any_text(record->machine_name), "started",
        moment(&record->started), "ended", moment(&record->ended), "ending",
        any_text(endings[record->ending]), "verdict", any_text(verdict), "goal",
        json_number(record->goal), "machine_path", any_text(record->machine_path), "machine_file",
        any_text(record->machine_text));
    json_t *sweeps = json_array(), *answers = json_array(), *notes = json_array();
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
    return json_text_exact(object, JSON_COMPACT, "");
}

char *log_note_json(const struct log_machine_note *note)
{
    return json_text_exact(json_pack("{s:i, s:o, s:o}", "perpend", 1, "machine",
                               any_text(note->machine), "note", note_object(&note->note)),
        JSON_COMPACT, "");
}
