/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/moves.h>

#include "report/report_parts.h"

/** The machine, gauge, bit and mount as they were. */

static void list_stock(
    const struct report *report, const struct perpend_stock *stock, struct buffer *out)
{
    for (size_t i = 0; i < stock->leaf_count; i++) {
        buffer_add(out, i > 0 ? ", " : "");
        fill(&report->words, out, sentences[RECORD_LEAVES],
            SLOTS(SLOT_COUNT("count", stock->leaves[i].count),
                SLOT_STATED("thick", WORDS_SMALL, stock->leaves[i].thick),
                SLOT_PRINTED("leaf", stock->leaves[i].name)));
    }
}

static void joint_table(const struct report *report, const struct perpend_joint *joint)
{
    const struct perpend_move_row *row;
    struct buffer moves = {0};
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++)
        if (joint->allows & (unsigned)row->move)
            buffer_addf(&moves, "%s%s", moves.length > 0 ? ", " : "", row->name);
    report_say(report, RECORD_JOINT,
        SLOTS(SLOT_PRINTED("joint", joint->name),
            SLOT_IF("level", joint->face == PERPEND_FACE_UP || joint->face == PERPEND_FACE_DOWN),
            SLOT_TEXT("side", perpend_face_name(joint->face)),
            SLOT_TEXT("moves", buffer_text(&moves))));
    for (size_t i = 0; i < joint->bolt_count; i++) {
        const struct perpend_bolt *bolt = &joint->bolts[i];
        report_say(report, RECORD_BOLT,
            SLOTS(SLOT_PRINTED("bolt", bolt->name),
                SLOT_STATED("right", WORDS_LARGE, bolt->at.right),
                SLOT_STATED("back", WORDS_LARGE, bolt->at.back),
                SLOT_STATED("up", WORDS_LARGE, bolt->at.up),
                SLOT_STATED("thread", WORDS_LARGE, bolt->thread > 0 ? bolt->thread : (double)NAN),
                SLOT_STATED("hole", WORDS_LARGE, bolt->hole > 0 ? bolt->hole : (double)NAN)));
    }
    buffer_finish(&moves);
}

void report_machine(const struct report *report)
{
    const struct perpend_machine *machine = report->input->machine;
    const struct perpend_gauge *gauge = &machine->setup.gauge;
    const struct perpend_arm *arm = &machine->setup.arm;
    const struct perpend_cutter *cutter = &machine->cutter;
    const struct perpend_facing *facing = &machine->facing;
    const struct perpend_gauge_row *row = perpend_gauge_at(gauge->kind);
    struct buffer stock = {0};
    list_stock(report, &machine->stock, &stock);
    report_say(report, RECORD_MACHINE,
        SLOTS(SLOT_SENTENCE("gauge", sentences[GAUGE_RECORD]), SLOT_CHOICE("kind", gauge->kind),
            SLOT_NUMBER("angle", row->angled ? perpend_degrees(gauge->angle) : (double)NAN, 1),
            SLOT_IF("turns_with", row->rises), SLOT_IF("away", gauge->rises_away),
            SLOT_STATED("gauge_step", WORDS_SMALL, gauge->step),
            SLOT_STATED("spread", WORDS_SMALL, perpend_gauge_spread(gauge)),
            SLOT_IF("guessed", isnan(gauge->spread)), SLOT_STATED("arm", WORDS_LARGE, arm->length),
            SLOT_NUMBER("percent", 100 * perpend_arm_relative_uncertainty(arm), 1),
            SLOT_NUMBER("degrees", perpend_degrees(arm->bearing_uncertainty), 1),
            SLOT_NUMBER("turned", perpend_degrees(arm->turned_uncertainty), 1),
            SLOT_STATED("bit", WORDS_LARGE, cutter->diameter),
            SLOT_STATED("corner", WORDS_LARGE, cutter->corner > 0 ? cutter->corner : (double)NAN),
            SLOT_STATED("step", WORDS_LARGE, facing->stepover),
            SLOT_IF("both_ways", facing->both_ways), SLOT_FEED("feed", facing->along),
            SLOT_STATED("depth", WORDS_SMALL, facing->depth),
            SLOT_IF("faced", machine->setup.bed_faced), SLOT_TEXT("stock", buffer_text(&stock)),
            SLOT_IF("any_joint", machine->mount.joint_count > 0)));
    for (size_t i = 0; i < machine->mount.joint_count; i++)
        joint_table(report, &machine->mount.joints[i]);
    buffer_finish(&stock);
}
