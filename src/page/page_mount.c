/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From shapes that somebody points at and what a ruler says of them to the mount of a machine file. */
#include <stdlib.h>
#include <string.h>

#include "files/keys.h"
#include "files/mount_shapes.h"
#include "files/number.h"
#include "page/page.h"
#include "page/reply.h"
#include "text/words.h"

struct measures {
    char *shape, *allows;     /* NULL allows what its shape does */
    struct shape_spans spans; /* mm */
    char *thread, *hole;      /* as the machine file is to have them */
};

struct described {
    enum perpend_unit unit;
    struct measures *joints;
    size_t count;
};

static bool read_shape(const struct value *value, void *at)
{
    const struct shape *shape = value_is_text(value) ? shape_called(value->text) : NULL;
    if (shape == NULL || shape->asks == 0)
        return value_wrong(value, "is no shape of a joint");
    return read_name(value, at);
}

static const struct range distance = {0.0, LENGTH_MOST};

#define TEXT(name)                                                                                 \
    {                                                                                              \
#name, false, read_name, offsetof(struct measures, name), NULL, NULL                       \
    }
#define SPAN(name)                                                                                 \
    {                                                                                              \
#name, false, read_length, offsetof(struct measures, spans.name), &distance, NULL          \
    }
static const struct key measure_keys[] = {
    {"shape", true, read_shape, offsetof(struct measures, shape), NULL, NULL},
    TEXT(allows),
    SPAN(across),
    SPAN(deep),
    SPAN(high),
    SPAN(above),
    SPAN(behind),
    TEXT(thread),
    TEXT(hole),
    {0},
};
static const struct mapping measures_mapping = {
    "a joint", "{shape: plate, across: 60}", measure_keys};

/* What a shape needs and nobody measured. */
static bool check_needs(struct reader *reader, const yaml_node_t *node, void *owner, size_t index)
{
    static const struct {
        unsigned asks;
        const char *name;
    } needs[] = {{ACROSS | CIRCLE, "across"}, {DEEP, "deep"}, {HIGH, "high"},
        {ABOVE | BELOW, "above"}, {BEHIND, "behind"}};
    const struct described *described = owner;
    const unsigned asks = shape_called(described->joints[index].shape)->asks;
    for (size_t i = 0; i < sizeof needs / sizeof *needs; i++)
        if ((asks & needs[i].asks) != 0 && key_line(reader, node, needs[i].name) == 0)
            return reader_fail(reader, key_line(reader, node, "shape"),
                "%s is missing; measure it with a ruler", needs[i].name);
    return true;
}

static const struct list described_list = {"joint", "joint", 1, PERPEND_JOINTS_MOST,
    &measures_mapping, LIST_IN(struct described, joints, count), false, check_needs};
static const struct key mount_keys[] = {
    {"perpend", true, read_nothing, 0, NULL, NULL},
    {"unit", true, read_unit, offsetof(struct described, unit), NULL, NULL},
    {"joints", true, read_list, 0, &described_list, NULL},
    {0},
};
static const struct mapping mount_mapping = {
    "mount", "{joints: [{shape: plate, across: 60}]}", mount_keys};

static void put_bolts(
    struct json *json, const struct measures *measures, const struct shape *shape, double unit)
{
    for (const struct shape_bolt *bolt = shape->bolts; bolt->name != NULL; bolt++) {
        struct perpend_point at;
        struct buffer name = {0};
        buffer_add_bytes(&name, bolt->name, shape_bolt_at(shape, &measures->spans, bolt, &at));
        if (name.length == 0)
            continue;
        json_add(json, "{name: %s, at: [", buffer_text(&name));
        for (size_t i = 0; i < 3; i++) {
            char digits[NUMBER_SHOWN];
            const double mm = i == 0 ? at.right : i == 1 ? at.back : at.up;
            words_trimmed(digits, sizeof digits, mm / unit, 6);
            json_add(json, "%s", digits);
        }
        json_add(json, "]");
        if (measures->thread != NULL)
            json_add(json, "thread: %s", measures->thread);
        if (measures->hole != NULL)
            json_add(json, "hole: %s", measures->hole);
        json_add(json, "}");
        buffer_finish(&name);
    }
}

/* "head", or "head 2" for another one of that name. */
static void put_name(struct json *json, const struct described *described, size_t index)
{
    const char *name = shape_called(described->joints[index].shape)->joint;
    struct buffer text = {0};
    size_t same = 1;
    for (size_t i = 0; i < index; i++)
        same += strcmp(shape_called(described->joints[i].shape)->joint, name) == 0;
    buffer_add(&text, name);
    if (same > 1)
        buffer_addf(&text, " %zu", same);
    json_add(json, "joint: %s", buffer_text(&text));
    buffer_finish(&text);
}

static void put_mount(struct json *json, const struct described *described, double unit)
{
    json_add(json, "error: null, mount: [");
    for (size_t i = 0; i < described->count; i++) {
        const struct measures *measures = &described->joints[i];
        const struct shape *shape = shape_called(measures->shape);
        const char *move = measures->allows != NULL ? measures->allows : shape->allows;
        json_add(json, "{");
        put_name(json, described, i);
        json_add(json, "faces: %s, allows: [", shape->faces);
        while (*move != '\0') { /* "shim, slide" */
            struct buffer one = {0};
            buffer_add_bytes(&one, move, strcspn(move, ", "));
            json_add(json, "%s", buffer_text(&one));
            buffer_finish(&one);
            move += strcspn(move, ", ");
            move += strspn(move, ", ");
        }
        json_add(json, "], bolts: [");
        put_bolts(json, measures, shape, unit);
        json_add(json, "]}");
    }
    json_add(json, "]");
}

char *page_mount(const char *text)
{
    struct json json = {.compact = true};
    struct described described = {0};
    json_add(&json, "{");
    if (reply_read(text, &mount_mapping, &described, &json))
        put_mount(
            &json, &described, described.unit == PERPEND_UNIT_INCH ? PERPEND_MM_PER_INCH : 1.0);
    for (size_t i = 0; i < described.count; i++) {
        free(described.joints[i].shape);
        free(described.joints[i].allows);
        free(described.joints[i].thread);
        free(described.joints[i].hole);
    }
    free(described.joints);
    json_add(&json, "}");
    return json_take(&json);
}
