/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include <perpend/moves.h>

#include "report/report_parts.h"
#include "text/escape.h"

/** The machine, gauge, bit and mount as they were. */

static void gauge(struct buffer *out, const struct words *words, const struct perpend_gauge *gauge)
{
    static const char *const kinds[] = {
        [PERPEND_GAUGE_GAP] = "gap, read directly",
        [PERPEND_GAUGE_TOUCH] = "touch, the machine's own Z",
        [PERPEND_GAUGE_DIAL] = "plunger indicator",
        [PERPEND_GAUGE_LEVER] = "lever indicator",
    };
    static_assert(sizeof kinds / sizeof *kinds == PERPEND_GAUGE_KINDS, "a kind has no words");
    buffer_add(out, kinds[gauge->kind]);
    if (gauge->kind == PERPEND_GAUGE_LEVER) {
        buffer_add(out, ", stylus ");
        buffer_add_number(out, perpend_degrees(gauge->angle), 1);
        buffer_add(out, "° from the bed");
    }
    if (gauge->kind == PERPEND_GAUGE_DIAL || gauge->kind == PERPEND_GAUGE_LEVER)
        buffer_add(out, gauge->rises_away ? ", rises away from the bed" : ", rises toward the bed");
    buffer_add(out, ", in steps of ");
    words_stated(words, out, WORDS_SMALL, gauge->step);
    if (isfinite(gauge->spread)) {
        buffer_add(out, ", spread ");
        words_stated(words, out, WORDS_SMALL, gauge->spread);
    }
}

static void arm(struct buffer *out, const struct words *words, const struct perpend_arm *arm)
{
    words_stated(words, out, WORDS_LARGE, arm->length);
    buffer_add(out, ", known to ");
    buffer_add_number(out, 100 * arm->relative_uncertainty, 1);
    buffer_add(out, WORDS_GLUE "%; aimed to ");
    buffer_add_number(out, perpend_degrees(arm->bearing_uncertainty), 1);
    buffer_add(out, "° (standard uncertainties)");
}

static void bit(struct buffer *out, const struct words *words, const struct perpend_cutter *cutter)
{
    buffer_add(out, "diameter ");
    words_stated(words, out, WORDS_LARGE, cutter->diameter);
    buffer_add(out, cutter->corner > 0 ? ", corner radius " : ", sharp corner");
    if (cutter->corner > 0)
        words_stated(words, out, WORDS_LARGE, cutter->corner);
}

static void facing(
    struct buffer *out, const struct words *words, const struct perpend_facing *facing)
{
    buffer_add(out, "stepover ");
    words_stated(words, out, WORDS_LARGE, facing->stepover);
    buffer_add(out, ", feed along ");
    if (facing->both_ways)
        buffer_add(out, "X and Y both");
    else
        words_feed(out, facing->along);
    if (isfinite(facing->depth)) {
        buffer_add(out, ", depth of cut ");
        words_stated(words, out, WORDS_SMALL, facing->depth);
    }
}

static void stock(struct buffer *out, const struct words *words, const struct perpend_stock *stock)
{
    for (size_t i = 0; i < stock->leaf_count; i++) {
        buffer_addf(
            out, "%s%u" WORDS_GLUE "×" WORDS_GLUE, i > 0 ? ", " : "", stock->leaves[i].count);
        words_stated(words, out, WORDS_SMALL, stock->leaves[i].thick);
        char *name = isolated_name(stock->leaves[i].name);
        buffer_add(out, name != NULL && *name != '\0' ? " " : "");
        buffer_add(out, name);
        free(name);
    }
}

static void joint_caption(struct buffer *out, const struct perpend_joint *joint)
{
    const struct perpend_move_row *row;
    const bool level = joint->face == PERPEND_FACE_UP || joint->face == PERPEND_FACE_DOWN;
    const char *between = "";
    char *name = isolated_name(joint->name);
    buffer_add(out, "Joint ");
    buffer_add(out, name);
    buffer_addf(out, ": its fixed side looks %s%s; allows ", level ? "" : "to the ",
        perpend_face_name(joint->face));
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++)
        if (joint->allows & (unsigned)row->move) {
            buffer_addf(out, "%s%s", between, row->name);
            between = ", ";
        }
    buffer_add(out, ".");
    free(name);
}

static void add_size(const struct report *report, double size, const char *otherwise)
{
    struct buffer text = {0};
    if (size > 0)
        words_stated(&report->words, &text, WORDS_LARGE, size);
    else
        buffer_add(&text, otherwise);
    document_add_phrase(report->document, &text);
}

static void joint_table(const struct report *report, const struct perpend_joint *joint)
{
    static const char *const heads[] = {
        "bolt", "right, back, up from the tool tip", "thread", "hole"};
    struct buffer text = {0};
    joint_caption(&text, joint);
    document_table(report->document, buffer_text(&text), 4, heads, 0);
    buffer_clear(&text);
    for (size_t i = 0; i < joint->bolt_count; i++) {
        const struct perpend_bolt *bolt = &joint->bolts[i];
        const double parts[] = {bolt->at.right, bolt->at.back, bolt->at.up};
        document_add_taken(report->document, isolated_name(bolt->name));
        for (size_t k = 0; k < 3; k++) {
            buffer_add(&text, k > 0 ? ", " : "");
            words_stated(&report->words, &text, WORDS_LARGE, parts[k]);
        }
        document_add_phrase(report->document, &text);
        add_size(report, bolt->thread, "not stated");
        add_size(report, bolt->hole, bolt->thread > 0 ? "ISO 273, medium" : "not stated");
    }
    buffer_finish(&text);
}

void report_machine(const struct report *report)
{
    struct document *document = report->document;
    const struct words *words = &report->words;
    const struct perpend_machine *machine = report->input->machine;
    struct buffer text = {0};
    document_heading(document, 1, "The machine as it was");
    document_block(document, BLOCK_FACTS, "");
    document_add(document, "Gauge");
    gauge(&text, words, &machine->setup.gauge);
    document_add_phrase(document, &text);
    document_add(document, "Arm");
    arm(&text, words, &machine->setup.arm);
    document_add_phrase(document, &text);
    document_add(document, "Bit");
    bit(&text, words, &machine->cutter);
    document_add_phrase(document, &text);
    document_add(document, "Facing");
    facing(&text, words, &machine->facing);
    document_add_phrase(document, &text);
    document_add(document, "Bed");
    document_add(
        document, machine->setup.bed_faced ? "faced on this machine" : "as found, not faced here");
    if (machine->stock.leaf_count > 0) {
        document_add(document, "Shims on hand");
        stock(&text, words, &machine->stock);
        document_add_phrase(document, &text);
    }
    if (machine->mount.joint_count == 0) {
        document_add(document, "Mount");
        document_add(document, "not stated");
    }
    for (size_t i = 0; i < machine->mount.joint_count; i++)
        joint_table(report, &machine->mount.joints[i]);
}
