/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <assert.h>
#include <math.h>

#include "text/escape.h"
#include "report/report_parts.h"
#include "text/say.h"

/** The machine, gauge, bit and mount as they were. */

static char *gauge_text(enum perpend_unit unit, const struct perpend_gauge *gauge)
{
    static const char *const kinds[] = {
        [PERPEND_GAUGE_GAP] = "gap, read directly",
        [PERPEND_GAUGE_TOUCH] = "touch, the machine's own Z",
        [PERPEND_GAUGE_DIAL] = "plunger indicator",
        [PERPEND_GAUGE_LEVER] = "lever indicator",
    };
    static_assert(sizeof kinds / sizeof *kinds == PERPEND_GAUGE_KINDS, "a kind has no words");
    GString *text = g_string_new(kinds[gauge->kind]);
    if (gauge->kind == PERPEND_GAUGE_LEVER) {
        char *angle = say_number(perpend_degrees(gauge->angle), 1);
        g_string_append_printf(text, ", stylus %s° from the bed", angle);
        g_free(angle);
    }
    if (gauge->kind == PERPEND_GAUGE_DIAL || gauge->kind == PERPEND_GAUGE_LEVER)
        g_string_append(
            text, gauge->rises_away ? ", rises away from the bed" : ", rises toward the bed");
    char *step = say_stated(unit, WORDS_SMALL, gauge->step);
    g_string_append_printf(text, ", in steps of %s", step);
    g_free(step);
    if (isfinite(gauge->spread)) {
        char *spread = say_stated(unit, WORDS_SMALL, gauge->spread);
        g_string_append_printf(text, ", spread %s", spread);
        g_free(spread);
    }
    return g_string_free(text, FALSE);
}

static char *arm_text(enum perpend_unit unit, const struct perpend_arm *arm)
{
    char *length = say_stated(unit, WORDS_LARGE, arm->length);
    char *percent = say_number(100 * arm->relative_uncertainty, 1);
    char *aim = say_number(perpend_degrees(arm->bearing_uncertainty), 1);
    char *text = g_strdup_printf(
        "%s, known to %s\xc2\xa0%%; aimed to %s° (standard uncertainties)", length, percent, aim);
    g_free(length);
    g_free(percent);
    g_free(aim);
    return text;
}

static char *bit_text(enum perpend_unit unit, const struct perpend_cutter *cutter)
{
    char *diameter = say_stated(unit, WORDS_LARGE, cutter->diameter);
    char *corner = say_stated(unit, WORDS_LARGE, cutter->corner);
    char *text = cutter->corner > 0
                     ? g_strdup_printf("diameter %s, corner radius %s", diameter, corner)
                     : g_strdup_printf("diameter %s, sharp corner", diameter);
    g_free(diameter);
    g_free(corner);
    return text;
}

static char *facing_text(enum perpend_unit unit, const struct perpend_facing *facing)
{
    char *step = say_stated(unit, WORDS_LARGE, facing->stepover);
    char *feed = facing->both_ways ? g_strdup("X and Y both") : say_feed(facing->along);
    GString *text = g_string_new(NULL);
    g_string_append_printf(text, "stepover %s, feed along %s", step, feed);
    if (isfinite(facing->depth)) {
        char *depth = say_stated(unit, WORDS_SMALL, facing->depth);
        g_string_append_printf(text, ", depth of cut %s", depth);
        g_free(depth);
    }
    g_free(step);
    g_free(feed);
    return g_string_free(text, FALSE);
}

static char *stock_text(enum perpend_unit unit, const struct perpend_stock *stock)
{
    GString *text = g_string_new(NULL);
    for (size_t i = 0; i < stock->leaf_count; i++) {
        char *thick = say_stated(unit, WORDS_SMALL, stock->leaves[i].thick);
        char *name = isolated_name(stock->leaves[i].name);
        g_string_append_printf(text, "%s%u\xc2\xa0×\xc2\xa0%s%s%s", i > 0 ? ", " : "",
            stock->leaves[i].count, thick, *name != '\0' ? " " : "", name);
        g_free(thick);
        g_free(name);
    }
    return g_string_free(text, FALSE);
}

static char *allows_text(const struct perpend_joint *joint)
{
    const struct perpend_move_row *row;
    GString *text = g_string_new(NULL);
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++)
        if (joint->allows & (unsigned)row->move)
            g_string_append_printf(text, "%s%s", text->len > 0 ? ", " : "", row->name);
    return g_string_free(text, FALSE);
}

static char *size_or(enum perpend_unit unit, double size, const char *otherwise)
{
    return size > 0 ? say_stated(unit, WORDS_LARGE, size) : g_strdup(otherwise);
}

static char *at_text(enum perpend_unit unit, const struct perpend_point *at)
{
    const double parts[] = {at->right, at->back, at->up};
    GString *text = g_string_new(NULL);
    for (size_t i = 0; i < 3; i++) {
        char *part = say_stated(unit, WORDS_LARGE, fabs(parts[i]));
        g_string_append_printf(text, "%s%s%s", i > 0 ? ", " : "", parts[i] < 0 ? "−" : "", part);
        g_free(part);
    }
    return g_string_free(text, FALSE);
}

static void joint_table(
    struct document *document, enum perpend_unit unit, const struct perpend_joint *joint)
{
    static const char *const heads[] = {
        "bolt", "right, back, up from the tool tip", "thread", "hole"};
    char *name = isolated_name(joint->name);
    char *allows = allows_text(joint);
    char *caption = g_strdup_printf("Joint %s: its fixed side looks to the %s; allows %s.", name,
        perpend_face_name(joint->face), allows);
    if (joint->face == PERPEND_FACE_UP || joint->face == PERPEND_FACE_DOWN) {
        g_free(caption);
        caption = g_strdup_printf("Joint %s: its fixed side looks %s; allows %s.", name,
            perpend_face_name(joint->face), allows);
    }
    document_table(document, caption, 4, heads, 0);
    for (size_t i = 0; i < joint->bolt_count; i++) {
        const struct perpend_bolt *bolt = &joint->bolts[i];
        document_cell_take(document, isolated_name(bolt->name));
        document_cell_take(document, at_text(unit, &bolt->at));
        document_cell_take(document, size_or(unit, bolt->thread, "not stated"));
        document_cell_take(document,
            size_or(unit, bolt->hole, bolt->thread > 0 ? "ISO 273, medium" : "not stated"));
    }
    g_free(name);
    g_free(allows);
    g_free(caption);
}

void report_machine(struct document *document, const struct report_input *input)
{
    const struct perpend_machine *machine = input->machine;
    const enum perpend_unit unit = machine->unit;
    document_heading(document, 1, "The machine as it was");
    document_facts(document);
    document_fact_take(document, "Gauge", gauge_text(unit, &machine->setup.gauge));
    document_fact_take(document, "Arm", arm_text(unit, &machine->setup.arm));
    document_fact_take(document, "Bit", bit_text(unit, &machine->cutter));
    document_fact_take(document, "Facing", facing_text(unit, &machine->facing));
    document_fact(document, "Bed",
        machine->setup.bed_faced ? "faced on this machine" : "as found, not faced here");
    if (machine->stock.leaf_count > 0)
        document_fact_take(document, "Shims on hand", stock_text(unit, &machine->stock));
    if (machine->mount.joint_count == 0)
        document_fact(document, "Mount", "not stated");
    for (size_t i = 0; i < machine->mount.joint_count; i++)
        joint_table(document, unit, &machine->mount.joints[i]);
}
