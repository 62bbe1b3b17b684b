/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a shape that somebody points at and what a ruler says of it to the bolts of a machine file. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "files/keys.h"
#include "page/page.h"
#include "page/reply.h"
#include "text/words.h"

struct measures {
    int shape;
    double across, deep, high, above, behind; /* mm; NAN: not measured */
    char *thread, *hole;                      /* as the machine file is to have them */
};

/* A bolt: where it stands in half widths to the right and to the back, and in heights over the lower
   ones. */
struct shape_bolt {
    const char *name;
    signed char right, back, up;
};
static const struct shape_bolt upright[] = {{"top left", -1, 0, 1}, {"top right", 1, 0, 1},
    {"bottom left", -1, 0, 0}, {"bottom right", 1, 0, 0}, {0}};
static const struct shape_bolt pair[] = {{"left", -1, 0, 0}, {"right", 1, 0, 0}, {0}};
static const struct shape_bolt flat[] = {{"back left", -1, 1, 0}, {"back right", 1, 1, 0},
    {"front left", -1, -1, 0}, {"front right", 1, -1, 0}, {0}};
static const struct shape_bolt sides[] = {{"left top", -1, 0, 1}, {"left bottom", -1, 0, 0},
    {"right top", 1, 0, 1}, {"right bottom", 1, 0, 0}, {0}};

enum { ACROSS = 1, DEEP = 2, HIGH = 4, ABOVE = 8, BEHIND = 16 };

static const struct shape {
    const char *name, *joint, *faces;
    const char *allows[3];
    unsigned needs;
    const struct shape_bolt *bolts;
} shapes[] = {
    {"plate", "plate", "front", {"shim", "slide"}, ACROSS | HIGH | ABOVE | BEHIND, upright},
    {"pair", "head", "front", {"slide"}, ACROSS | ABOVE | BEHIND, pair},
    {"swivel", "swivel head", "front", {"turn"}, ACROSS | ABOVE | BEHIND, pair},
    {"sides", "side plates", "right", {"slide"}, ACROSS | HIGH | ABOVE, sides},
    {"flange", "flange", "up", {"shim"}, ACROSS | DEEP | ABOVE, flat},
    {"hanging", "flange", "down", {"shim"}, ACROSS | DEEP | ABOVE, flat},
    {"column", "column foot", "up", {"shim"}, ACROSS | DEEP | BEHIND, flat},
};
#define SHAPES (sizeof shapes / sizeof *shapes)

static bool read_shape(const struct value *value, void *at)
{
    struct choice names[SHAPES + 1] = {{0}};
    for (size_t i = 0; i < SHAPES; i++)
        names[i] = (struct choice){shapes[i].name, (int)i};
    const struct value choice = value_with(value, names);
    return read_choice(&choice, at);
}

static bool read_unit(const struct value *value, void *at)
{
    static const struct choice units[] = {{"mm", PERPEND_UNIT_MM}, {"in", PERPEND_UNIT_INCH}, {0}};
    const struct value choice = value_with(value, units);
    int unit;
    (void)at;
    if (!read_choice(&choice, &unit))
        return false;
    value->reader->unit = (enum perpend_unit)unit;
    return true;
}

static const struct range distance = {0.0, LENGTH_MOST};

static const struct key measure_keys[] = {
    {"perpend", true, read_nothing, 0, NULL, NULL},
    {"unit", true, read_unit, 0, NULL, NULL},
    {"shape", true, read_shape, offsetof(struct measures, shape), NULL, NULL},
    {"across", false, read_length, offsetof(struct measures, across), &distance, NULL},
    {"deep", false, read_length, offsetof(struct measures, deep), &distance, NULL},
    {"high", false, read_length, offsetof(struct measures, high), &distance, NULL},
    {"above", false, read_length, offsetof(struct measures, above), &distance, NULL},
    {"behind", false, read_length, offsetof(struct measures, behind), &distance, NULL},
    {"thread", false, read_name, offsetof(struct measures, thread), NULL, NULL},
    {"hole", false, read_name, offsetof(struct measures, hole), NULL, NULL},
    {0},
};
static const struct mapping measures_mapping = {
    "mount", "{shape: plate, across: 60}", measure_keys};

/* What a shape needs and nobody measured. */
static bool check_needs(
    struct reader *reader, const struct measures *measures, const yaml_node_t *root)
{
    static const struct {
        unsigned need;
        const char *name;
        size_t offset;
    } needs[] = {{ACROSS, "across", offsetof(struct measures, across)},
        {DEEP, "deep", offsetof(struct measures, deep)},
        {HIGH, "high", offsetof(struct measures, high)},
        {ABOVE, "above", offsetof(struct measures, above)},
        {BEHIND, "behind", offsetof(struct measures, behind)}};
    for (size_t i = 0; i < sizeof needs / sizeof *needs; i++) {
        double mm;
        memcpy(&mm, (const char *)measures + needs[i].offset, sizeof mm);
        if ((shapes[measures->shape].needs & needs[i].need) != 0 && isnan(mm))
            return reader_fail(reader, key_line(reader, root, "shape"),
                "%s is missing; measure it with a ruler", needs[i].name);
    }
    return true;
}

static double measured(double mm)
{
    return isnan(mm) ? 0 : mm;
}

static void put_length(struct json *json, enum perpend_unit unit, double mm)
{
    char digits[400];
    words_trimmed(
        digits, sizeof digits, unit == PERPEND_UNIT_INCH ? mm / PERPEND_MM_PER_INCH : mm, 6);
    json_add(json, "%s", digits);
}

static void put_bolt(struct json *json, enum perpend_unit unit, const struct measures *measures,
    const struct shape_bolt *bolt)
{
    json_add(json, "{");
    json_add(json, "name: %s", bolt->name);
    json_add(json, "at: [");
    put_length(json, unit, bolt->right * measured(measures->across) / 2);
    put_length(json, unit, measured(measures->behind) + bolt->back * measured(measures->deep) / 2);
    put_length(json, unit, measured(measures->above) + bolt->up * measured(measures->high));
    json_add(json, "]");
    if (measures->thread != NULL)
        json_add(json, "thread: %s", measures->thread);
    if (measures->hole != NULL)
        json_add(json, "hole: %s", measures->hole);
    json_add(json, "}");
}

static void put_mount(struct json *json, enum perpend_unit unit, const struct measures *measures)
{
    const struct shape *shape = &shapes[measures->shape];
    json_add(json, "error: null");
    json_add(json, "mount: [");
    json_add(json, "{");
    json_add(json, "joint: %s", shape->joint);
    json_add(json, "faces: %s", shape->faces);
    json_add(json, "allows: [");
    for (size_t i = 0; shape->allows[i] != NULL; i++)
        json_add(json, "%s", shape->allows[i]);
    json_add(json, "]");
    json_add(json, "bolts: [");
    for (const struct shape_bolt *bolt = shape->bolts; bolt->name != NULL; bolt++)
        put_bolt(json, unit, measures, bolt);
    json_add(json, "]");
    json_add(json, "}");
    json_add(json, "]");
}

char *page_mount(const char *text)
{
    struct json json = {.compact = true};
    struct fault fault = {0};
    struct reader reader;
    struct measures measures = {
        .across = NAN, .deep = NAN, .high = NAN, .above = NAN, .behind = NAN};
    json_add(&json, "{");
    reader_start(&reader, "mount", &fault);
    const yaml_node_t *root = text_check(text, strlen(text), "mount", &fault)
                                  ? read_root(&reader, text, strlen(text))
                                  : NULL;
    if (root != NULL && read_map(&reader, &measures_mapping, root, &measures) &&
        check_needs(&reader, &measures, root))
        put_mount(&json, reader.unit, &measures);
    else
        reply_fault(&json, "mount", &fault);
    if (root != NULL)
        yaml_document_delete(&reader.document);
    free(measures.thread);
    free(measures.hole);
    json_add(&json, "}");
    return json_take(&json);
}
