/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include <perpend/moves.h>

#include "report/report_parts.h"
#include "text/escape.h"

/** The machine, gauge, bit and mount as they were. */

static void gauge(const struct report *report, const struct perpend_gauge *gauge)
{
    static_assert(PERPEND_GAUGE_KINDS == 4, "RECORD_GAUGE has words for four kinds");
    const bool lever = gauge->kind == PERPEND_GAUGE_LEVER;
    report_add(report, RECORD_GAUGE,
        SLOTS(SLOT_CHOICE("kind", gauge->kind),
            SLOT_NUMBER("angle", lever ? perpend_degrees(gauge->angle) : NAN, 1),
            SLOT_IF("turns_with", lever || gauge->kind == PERPEND_GAUGE_DIAL),
            SLOT_IF("away", gauge->rises_away), SLOT_STATED("step", WORDS_SMALL, gauge->step),
            SLOT_STATED("spread", WORDS_SMALL, gauge->spread)));
}

static void stock(const struct report *report, const struct perpend_stock *stock)
{
    struct buffer text = {0};
    for (size_t i = 0; i < stock->leaf_count; i++) {
        char *name = isolated_name(stock->leaves[i].name);
        buffer_add(&text, i > 0 ? ", " : "");
        fill(&report->words, &text, sentences[RECORD_LEAVES],
            SLOTS(SLOT_COUNT("count", stock->leaves[i].count),
                SLOT_STATED("thick", WORDS_SMALL, stock->leaves[i].thick),
                SLOT_TEXT("leaf", name)));
        free(name);
    }
    document_add_phrase(report->document, &text);
}

static void joint_caption(
    const struct report *report, struct buffer *out, const struct perpend_joint *joint)
{
    const struct perpend_move_row *row;
    struct buffer moves = {0};
    char *name = isolated_name(joint->name);
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++)
        if (joint->allows & (unsigned)row->move)
            buffer_addf(&moves, "%s%s", moves.length > 0 ? ", " : "", row->name);
    fill(&report->words, out, sentences[RECORD_JOINT],
        SLOTS(SLOT_TEXT("joint", name),
            SLOT_IF("level", joint->face == PERPEND_FACE_UP || joint->face == PERPEND_FACE_DOWN),
            SLOT_TEXT("side", perpend_face_name(joint->face)),
            SLOT_TEXT("moves", buffer_text(&moves))));
    buffer_finish(&moves);
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
    joint_caption(report, &text, joint);
    document_table(report->document, buffer_text(&text), 4, heads, 0);
    for (size_t i = 0; i < joint->bolt_count; i++) {
        const struct perpend_bolt *bolt = &joint->bolts[i];
        report_add_name(report, bolt->name);
        report_add(report, RECORD_PLACE,
            SLOTS(SLOT_STATED("right", WORDS_LARGE, bolt->at.right),
                SLOT_STATED("back", WORDS_LARGE, bolt->at.back),
                SLOT_STATED("up", WORDS_LARGE, bolt->at.up)));
        add_size(report, bolt->thread, "not stated");
        add_size(report, bolt->hole, bolt->thread > 0 ? "ISO 273, medium" : "not stated");
    }
    buffer_finish(&text);
}

void report_machine(const struct report *report)
{
    struct document *document = report->document;
    const struct perpend_machine *machine = report->input->machine;
    const struct perpend_arm *arm = &machine->setup.arm;
    const struct perpend_cutter *cutter = &machine->cutter;
    const struct perpend_facing *facing = &machine->facing;
    document_heading(document, 1, "The machine as it was");
    document_block(document, BLOCK_FACTS, "");
    document_add(document, "Gauge");
    gauge(report, &machine->setup.gauge);
    document_add(document, "Arm");
    report_add(report, RECORD_ARM,
        SLOTS(SLOT_STATED("arm", WORDS_LARGE, arm->length),
            SLOT_NUMBER("percent", 100 * arm->relative_uncertainty, 1),
            SLOT_NUMBER("degrees", perpend_degrees(arm->bearing_uncertainty), 1)));
    document_add(document, "Bit");
    report_add(report, RECORD_BIT,
        SLOTS(SLOT_STATED("bit", WORDS_LARGE, cutter->diameter),
            SLOT_STATED("corner", WORDS_LARGE, cutter->corner > 0 ? cutter->corner : NAN)));
    document_add(document, "Facing");
    report_add(report, RECORD_FACING,
        SLOTS(SLOT_STATED("step", WORDS_LARGE, facing->stepover),
            SLOT_IF("both_ways", facing->both_ways), SLOT_FEED("feed", facing->along),
            SLOT_STATED("depth", WORDS_SMALL, facing->depth)));
    document_add(document, "Bed");
    document_add(
        document, machine->setup.bed_faced ? "faced on this machine" : "as found, not faced here");
    if (machine->stock.leaf_count > 0) {
        document_add(document, "Shims on hand");
        stock(report, &machine->stock);
    }
    if (machine->mount.joint_count == 0) {
        document_add(document, "Mount");
        document_add(document, "not stated");
    }
    for (size_t i = 0; i < machine->mount.joint_count; i++)
        joint_table(report, &machine->mount.joints[i]);
}
