/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <yaml.h>

#include "files/number.h"
#include "files/reader.h"

/* What is written so far; `failed` sticks, so that the calls need no checks of their own. */
struct writer {
    yaml_emitter_t emitter;
    enum perpend_unit unit;
    bool failed;
    char *text;
    size_t length, room;
};

static int append(void *data, unsigned char *bytes, size_t count)
{
    struct writer *writer = data;
    if (writer->room - writer->length <= count) {
        size_t room = (writer->length + count + 1) * 2;
        char *larger = realloc(writer->text, room);
        if (larger == NULL)
            return 0;
        writer->text = larger;
        writer->room = room;
    }
    memcpy(writer->text + writer->length, bytes, count);
    writer->length += count;
    writer->text[writer->length] = '\0';
    return 1;
}

/* Emit what an initialiser made; the emitter releases the event also when it fails. */
static void emit(struct writer *writer, yaml_event_t *event, int initialised)
{
    if (initialised && !writer->failed) {
        writer->failed = !yaml_emitter_emit(&writer->emitter, event);
        return;
    }
    if (initialised)
        yaml_event_delete(event);
    writer->failed = true;
}

static void put_text(struct writer *writer, const char *text, yaml_scalar_style_t style)
{
    yaml_event_t event;
    emit(writer, &event,
        yaml_scalar_event_initialize(
            &event, NULL, NULL, (const yaml_char_t *)text, (int)strlen(text), 1, 1, style));
}

static void put_word(struct writer *writer, const char *word)
{
    put_text(writer, word, YAML_PLAIN_SCALAR_STYLE);
}

static void put_name(struct writer *writer, const char *key, const char *name)
{
    put_word(writer, key);
    put_text(writer, name, YAML_ANY_SCALAR_STYLE);
}

static void open_map(struct writer *writer, bool flow)
{
    yaml_event_t event;
    emit(writer, &event,
        yaml_mapping_start_event_initialize(
            &event, NULL, NULL, 1, flow ? YAML_FLOW_MAPPING_STYLE : YAML_BLOCK_MAPPING_STYLE));
}

static void close_map(struct writer *writer)
{
    yaml_event_t event;
    emit(writer, &event, yaml_mapping_end_event_initialize(&event));
}

static void open_list(struct writer *writer, bool flow)
{
    yaml_event_t event;
    emit(writer, &event,
        yaml_sequence_start_event_initialize(
            &event, NULL, NULL, 1, flow ? YAML_FLOW_SEQUENCE_STYLE : YAML_BLOCK_SEQUENCE_STYLE));
}

static void close_list(struct writer *writer)
{
    yaml_event_t event;
    emit(writer, &event, yaml_sequence_end_event_initialize(&event));
}

/* In the file's unit when that reads back to the same length, else in mm. */
static void put_bare_length(struct writer *writer, double mm)
{
    char number[NUMBER_SHOWN], text[LENGTH_SHOWN];
    bool inch = writer->unit == PERPEND_UNIT_INCH;
    if (number_exact(
            number, inch ? mm / PERPEND_MM_PER_INCH : mm, reads_as_length, mm, writer->unit)) {
        put_word(writer, number);
        return;
    }
    number_exact(number, mm, reads_as_length, mm, PERPEND_UNIT_MM);
    snprintf(text, sizeof text, "%s mm", number);
    put_word(writer, text);
}

static void put_length(struct writer *writer, const char *key, double mm)
{
    put_word(writer, key);
    put_bare_length(writer, mm);
}

/* By its name when that is exactly the bearing, else in degrees. Every bearing that was read from a
   text has degrees that read back to it; others come as near as degrees can. */
static void put_bearing(struct writer *writer, double bearing)
{
    char text[NUMBER_SHOWN];
    const char *name = perpend_bearing_name(bearing);
    put_word(writer, "at");
    if (name != NULL && reads_as_degrees(name, bearing, writer->unit)) {
        put_word(writer, name);
        return;
    }
    number_exact(text, perpend_degrees(bearing), reads_as_degrees, bearing, writer->unit);
    put_word(writer, text);
}

static void put_reading(
    struct writer *writer, const struct perpend_sweep *sweep, const struct perpend_reading *reading)
{
    open_map(writer, true);
    put_bearing(writer, reading->bearing);
    put_length(writer, "reading", reading->value);
    if (reading->x != sweep->x || reading->y != sweep->y) {
        put_length(writer, "x", reading->x);
        put_length(writer, "y", reading->y);
    }
    close_map(writer);
}

static void put_did_entry(
    struct writer *writer, const struct perpend_machine *machine, const struct perpend_did *did)
{
    char number[NUMBER_SHOWN];
    const struct perpend_joint *joint = &machine->mount.joints[did->joint];
    open_map(writer, true);
    put_name(writer, "joint", joint->name);
    put_name(writer, "bolt", joint->bolts[did->bolt].name);
    const struct perpend_move_row *row = perpend_move_find(did->move);
    switch (row->amount) {
    case PERPEND_AMOUNT_THICKNESS:
        put_length(writer, row->key, did->amount.value);
        break;
    case PERPEND_AMOUNT_DISPLACEMENT:
        put_word(writer, row->key);
        open_list(writer, true);
        put_bare_length(writer, did->amount.shift.right);
        put_bare_length(writer, did->amount.shift.back);
        put_bare_length(writer, did->amount.shift.up);
        close_list(writer);
        break;
    case PERPEND_AMOUNT_TURNS:
        put_word(writer, row->key);
        number_exact(number, did->amount.value, reads_as_number, did->amount.value, writer->unit);
        put_word(writer, number);
        break;
    }
    close_map(writer);
}

static void put_did(
    struct writer *writer, const struct perpend_machine *machine, const struct perpend_sweep *sweep)
{
    if (sweep->did_kind == PERPEND_DID_UNSTATED)
        return;
    put_word(writer, "did");
    if (sweep->did_kind == PERPEND_DID_LIST) {
        open_list(writer, false);
        for (size_t i = 0; i < sweep->did_count; i++)
            put_did_entry(writer, machine, &sweep->did[i]);
        close_list(writer);
    } else {
        put_word(writer, sweep->did_kind == PERPEND_DID_PLAN ? "plan" : "nothing");
    }
}

static void put_sweep(
    struct writer *writer, const struct perpend_machine *machine, const struct perpend_sweep *sweep)
{
    open_map(writer, false);
    put_name(writer, "name", sweep->name);
    put_length(writer, "x", sweep->x);
    put_length(writer, "y", sweep->y);
    put_word(writer, "readings");
    open_list(writer, false);
    for (size_t i = 0; i < sweep->reading_count; i++)
        put_reading(writer, sweep, &sweep->readings[i]);
    close_list(writer);
    put_did(writer, machine, sweep);
    close_map(writer);
}

static void put_job(
    struct writer *writer, const struct perpend_machine *machine, const struct perpend_job *job)
{
    yaml_event_t event;
    emit(writer, &event, yaml_stream_start_event_initialize(&event, YAML_UTF8_ENCODING));
    emit(writer, &event, yaml_document_start_event_initialize(&event, NULL, NULL, NULL, 1));
    open_map(writer, false);
    put_word(writer, "perpend");
    put_word(writer, "1");
    put_word(writer, "sweeps");
    open_list(writer, false);
    for (size_t i = 0; i < job->sweep_count; i++)
        put_sweep(writer, machine, &job->sweeps[i]);
    close_list(writer);
    close_map(writer);
    emit(writer, &event, yaml_document_end_event_initialize(&event, 1));
    emit(writer, &event, yaml_stream_end_event_initialize(&event));
}

char *job_file_write(const struct perpend_machine *machine, const struct perpend_job *job)
{
    struct writer writer = {.unit = machine->unit};
    if (!yaml_emitter_initialize(&writer.emitter))
        return NULL;
    yaml_emitter_set_encoding(&writer.emitter, YAML_UTF8_ENCODING);
    yaml_emitter_set_unicode(&writer.emitter, 1);
    yaml_emitter_set_width(&writer.emitter, -1);
    yaml_emitter_set_output(&writer.emitter, append, &writer);
    put_job(&writer, machine, job);
    yaml_emitter_delete(&writer.emitter);
    if (writer.failed) {
        free(writer.text);
        return NULL;
    }
    return writer.text;
}
