/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "files/board_file.h"
#include "files/keys.h"
#include "files/moment.h"
#include "files/mount_file.h"
#include "files/names.h"
#include "files/number.h"

static const struct range some_length = {LENGTH_LEAST, LENGTH_MOST};
static const struct range any_length = {0.0, LENGTH_MOST};
static const struct range gauge_step = {LENGTH_LEAST, 10.0};
static const struct range gauge_spread = {0.0, 10.0};
static const struct range arm_length = {1.0, 2000.0};
static const struct range aim_degrees = {0.0, 30.0};
static const struct range lever_degrees = {0.0, LEVER_ANGLE_MOST};

#define LEAN_LEAST 1e-9          /* mm/mm; a goal of none cannot be met */
#define ARM_UNCERTAINTY_MOST 0.2 /* of the length */

/* A share of the length or a length; the length itself has been read before it. */
static bool read_arm_uncertainty(const struct value *value, void *at)
{
    struct perpend_arm *arm = at;
    double share = 0.0, length = 0.0;
    if (!value_is_text(value))
        return false;
    if (!share_parse(value->text, &share)) {
        const struct value any = value_with(value, &any_length);
        if (!read_length(&any, &length))
            return false;
        share = length / arm->length;
    }
    if (share < 0.0 || share > ARM_UNCERTAINTY_MOST)
        return value_wrong(value, "must be 0 to 20%% of the arm's length; measure the arm");
    arm->relative_uncertainty = share;
    return true;
}

static const struct key arm_keys[] = {
    {"length", true, read_length, offsetof(struct perpend_arm, length), &arm_length, NULL},
    {"uncertainty", false, read_arm_uncertainty, 0, NULL, NULL},
    {"aim", false, read_degrees, offsetof(struct perpend_arm, bearing_uncertainty), &aim_degrees,
        NULL},
    {"turned", false, read_degrees, offsetof(struct perpend_arm, turned_uncertainty), &aim_degrees,
        NULL},
    {0},
};

static const struct mapping arm_mapping = {"arm", "{length: 75, uncertainty: 0.5%}", arm_keys};

/* A bare length or a mapping. */
static bool read_arm(const struct value *value, void *at)
{
    struct perpend_arm *arm = at;
    const struct value bare = value_with(value, &arm_length);
    const struct value section = value_with(value, &arm_mapping);
    return value->text != NULL ? read_length(&bare, &arm->length) : read_section(&section, arm);
}

static bool read_gauge_kind(const struct value *value, void *at)
{
    struct choice kinds[PERPEND_GAUGE_KINDS + 1] = {{0}};
    struct value choice = *value;
    choice.detail = kinds;
    for (int i = 0; i < PERPEND_GAUGE_KINDS; i++)
        kinds[i] = (struct choice){perpend_gauge_at((size_t)i)->name, i};
    return read_choice(&choice, at);
}

static const struct choice gauge_rises[] = {{"toward", false}, {"away", true}, {0}};

static const struct key gauge_keys[] = {
    {"kind", true, read_gauge_kind, offsetof(struct perpend_gauge, kind), NULL, NULL},
    {"step", true, read_length, offsetof(struct perpend_gauge, step), &gauge_step, NULL},
    {"rises", false, read_flag, offsetof(struct perpend_gauge, rises_away), gauge_rises, NULL},
    {"angle", false, read_degrees, offsetof(struct perpend_gauge, angle), &lever_degrees, NULL},
    {"spread", false, read_length, offsetof(struct perpend_gauge, spread), &gauge_spread, NULL},
    {0},
};

static const struct mapping gauge_mapping = {"gauge", "{kind: gap, step: 0.05}", gauge_keys};

/* Whether a key is one that this kind of gauge has a use for, if it is there. */
static bool serves(const struct value *value, const struct perpend_gauge *gauge, bool angle)
{
    const char *kinds[PERPEND_GAUGE_KINDS], *name = angle ? "angle" : "rises";
    char words[WORDS];
    size_t count = 0, line = key_line(value->reader, value->node, name);
    for (size_t i = 0; i < PERPEND_GAUGE_KINDS; i++) {
        const struct perpend_gauge_row *row = perpend_gauge_at(i);
        if (!(angle ? row->angled : row->rises))
            continue;
        kinds[count++] = row->name;
        line = i == (size_t)gauge->kind ? 0 : line;
    }
    return line == 0 || reader_fail(value->reader, line,
                            "gauge: %s belongs to kind %s; remove it, or set the kind", name,
                            words_or(words, kinds, count));
}

static bool read_gauge(const struct value *value, void *at)
{
    return read_section(value, at) && serves(value, at, true) && serves(value, at, false);
}

static const struct key cutter_keys[] = {
    {"diameter", true, read_length, offsetof(struct perpend_cutter, diameter), &some_length, NULL},
    {"corner", false, read_length, offsetof(struct perpend_cutter, corner), &any_length, NULL},
    {0},
};

static const struct mapping cutter_mapping = {"cutter", "{diameter: 22, corner: 0}", cutter_keys};

static bool read_cutter(const struct value *value, void *at)
{
    struct perpend_cutter *cutter = at;
    char shown[LENGTH_SHOWN];
    if (!read_section(value, cutter))
        return false;
    if (cutter->corner > cutter->diameter / 2.0)
        return reader_fail(value->reader, key_line(value->reader, value->node, "corner"),
            "cutter: corner is more than half the diameter (%s); a ball end has exactly half",
            length_shown(shown, cutter->diameter / 2.0, value->reader->unit));
    return true;
}

static bool read_along(const struct value *value, void *at)
{
    if (!value_is_text(value))
        return false;
    return feed_parse(value->text, at) ||
           value_wrong(
               value, "is unknown; use X, Y, both, a name such as right, or -360 to 360 degrees");
}

/* The cutter has been read before the facing. */
static bool read_stepover(const struct value *value, void *at)
{
    struct perpend_machine *machine = at;
    const struct value length = value_with(value, &some_length);
    double diameter = machine->cutter.diameter, share = 0.0, stepover = 0.0;
    char shown[LENGTH_SHOWN];
    if (!value_is_text(value))
        return false;
    if (share_parse(value->text, &share)) {
        stepover = share * diameter;
        if (!(stepover >= LENGTH_LEAST))
            return value_wrong(value, "must be more than 0; check it");
    } else if (!read_length(&length, &stepover)) {
        return false;
    }
    if (stepover >= diameter)
        return value_wrong(value, "is not under the cutter's diameter (%s); stripes would stand",
            length_shown(shown, diameter, value->reader->unit));
    machine->facing.stepover = stepover;
    return true;
}

static const struct key facing_keys[] = {
    {"stepover", true, read_stepover, 0, NULL, NULL},
    {"along", true, read_along, offsetof(struct perpend_machine, facing), NULL, NULL},
    {"depth", false, read_length, offsetof(struct perpend_machine, facing.depth), &some_length,
        NULL},
    {0},
};

static const struct mapping facing_mapping = {"facing", "{stepover: 10, along: X}", facing_keys};

static const struct key cut_keys[] = {
    {"stepover", false, read_length, offsetof(struct perpend_cut, stepover), &some_length, NULL},
    {"apart", false, read_length, offsetof(struct perpend_cut, apart), &some_length, NULL},
    {0},
};

static const struct mapping cut_mapping = {"cut", "{stepover: 20, apart: 6}", cut_keys};

/* mm a metre, or one length over another: a lean over 45° serves nobody. */
static bool read_lean(const struct value *value, void *at)
{
    double *lean = at, number = 0.0;
    if (!value_is_text(value))
        return false;
    if (!over_parse(value->text, value->reader->unit, lean)) {
        if (perpend_number_parse(value->text, &number) != PERPEND_OK)
            return value_wrong(value, "is not mm per metre; write it like 0.07 or 0.01 over 150");
        *lean = number / PERPEND_MM_PER_METRE;
    }
    return (*lean >= LEAN_LEAST && *lean <= 1.0) ||
           value_wrong(value, "must be over 0, to 1000 mm per metre; write it like 0.01 over 150");
}

static const struct key goal_keys[] = {
    {"ridge", false, read_length, offsetof(struct perpend_goal, ridge), &some_length, NULL},
    {"lean", false, read_lean, offsetof(struct perpend_goal, lean), NULL, NULL},
    {0},
};

static const struct mapping goal_mapping = {"goal", "{ridge: 0.02}", goal_keys};

static bool read_goal(const struct value *value, void *at)
{
    return read_section(value, at) &&
           (perpend_goal_is_set(at) ||
               value_fail(value, "goal: set a ridge or a lean, like {ridge: 0.02}"));
}

enum bed { AS_FOUND, FACED, PLATE };

static const struct choice beds[] = {
    {"faced", FACED}, {"as found", AS_FOUND}, {"plate", PLATE}, {0}};

static bool read_bed_kind(const struct value *value, void *at)
{
    struct perpend_setup *setup = at;
    enum bed bed = FACED;
    if (!read_choice(value, &bed))
        return false;
    setup->bed_faced = bed != AS_FOUND;
    if (bed == PLATE && isnan(setup->waves))
        setup->waves = PERPEND_WAVES_PLATE;
    return true;
}

/* What is stated of the waves comes first, so that a plate's own does not take its place. */
static const struct key bed_keys[] = {
    {"flat", false, read_length, offsetof(struct perpend_setup, waves), &gauge_spread, NULL},
    {"slope", false, read_bed_slope, 0, NULL, NULL},
    {"uncertainty", false, read_bed_uncertainty, 0, NULL, NULL},
    {"kind", true, read_bed_kind, 0, beds, NULL},
    {0},
};

static const struct mapping bed_mapping = {"bed", "{kind: faced, flat: 0.02}", bed_keys};

/* A bare kind or a mapping. */
static bool read_bed(const struct value *value, void *at)
{
    const struct value bare = value_with(value, beds);
    const struct value section = value_with(value, &bed_mapping);
    return value->text != NULL ? read_bed_kind(&bare, at)
                               : read_section(&section, at) && bed_slope_is_sure(value);
}

static bool read_due(const struct value *value, void *at)
{
    return value_is_text(value) &&
           (due_parse(value->text, at) ||
               value_wrong(value, "must be 1 to 1000 weeks or jobs, such as 26 weeks"));
}

static const struct key machine_keys[] = {
    {"perpend", true, read_nothing, 0, NULL, NULL},
    {"unit", false, read_unit, offsetof(struct perpend_machine, unit), NULL, NULL},
    {"machine", false, read_name, offsetof(struct perpend_machine, name), NULL, NULL},
    {"place", false, read_name, offsetof(struct perpend_machine, place), NULL, NULL},
    {"due", false, read_due, offsetof(struct perpend_machine, due), NULL, NULL},
    {"arm", true, read_arm, offsetof(struct perpend_machine, setup.arm), NULL, NULL},
    {"gauge", true, read_gauge, offsetof(struct perpend_machine, setup.gauge), &gauge_mapping,
        NULL},
    {"cutter", true, read_cutter, offsetof(struct perpend_machine, cutter), &cutter_mapping, NULL},
    {"facing", true, read_section, 0, &facing_mapping, NULL},
    {"cut", false, read_section, offsetof(struct perpend_machine, cut), &cut_mapping, NULL},
    {"goal", false, read_goal, offsetof(struct perpend_machine, goal), &goal_mapping, NULL},
    {"bed", false, read_bed, offsetof(struct perpend_machine, setup), NULL, NULL},
    {"mount", false, read_list, offsetof(struct perpend_machine, mount), &joint_list, NULL},
    {"stock", false, read_list, offsetof(struct perpend_machine, stock), &leaf_list, NULL},
    {"board", false, read_section, offsetof(struct perpend_machine, bench.board), &board_mapping,
        NULL},
    {"travel", false, read_section, offsetof(struct perpend_machine, bench.travel), &travel_mapping,
        NULL},
    {"feed", false, read_length, offsetof(struct perpend_machine, bench.feed), &feed_range, NULL},
    {"speed", false, read_number, offsetof(struct perpend_machine, bench.speed), &speed_range,
        NULL},
    {"acceleration", false, read_length, offsetof(struct perpend_machine, bench.acceleration),
        &feed_range, NULL},
    {0},
};

static const struct mapping machine_mapping = {"a machine file", "\"arm: 75\"", machine_keys};

static bool read_machine(
    struct reader *reader, const yaml_node_t *root, struct perpend_machine *machine)
{
    const size_t sweeps = key_line(reader, root, "sweeps");
    if (sweeps == 0)
        return read_map(reader, &machine_mapping, root, machine);
    reader_fail(reader, sweeps,
        "this is a job file (it has sweeps); give the machine file first, then the readings");
    reader->fault->is_job = true;
    return false;
}

bool machine_file_parse(const char *text, size_t length, const char *name,
    struct perpend_machine *machine, struct fault *fault)
{
    struct perpend_machine read;
    struct reader reader;

    reader_start(&reader, name, fault);
    const yaml_node_t *root =
        text_check(text, length, name, fault) ? read_root(&reader, text, length) : NULL;
    if (root == NULL)
        return false;
    perpend_machine_init(&read);
    bool done = read_machine(&reader, root, &read);
    yaml_document_delete(&reader.document);
    if (done)
        *machine = read;
    else
        perpend_machine_finish(&read);
    return done;
}

bool machine_file_read(const char *path, struct perpend_machine *machine, struct fault *fault)
{
    char *text = NULL;
    size_t length = 0;
    if (!file_read_text(path, &text, &length, fault))
        return false;
    bool done = machine_file_parse(text, length, path, machine, fault);
    free(text);
    return done;
}
