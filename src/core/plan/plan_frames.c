/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The ways a joint can lie on its shims, and what each bolt then wants. */
#include <math.h>
#include <stdlib.h>

#include <perpend/status.h>

#include "core/mount/mount_parts.h"
#include "core/plan/plan_stock_parts.h"

/* In a plane, mm: less than foil varies. */
#define PLANE_SLIP 0.002

const struct perpend_joint *slot_joint(const struct stock_search *search, size_t slot)
{
    const struct situation *situation = search->situation;
    return &situation->input->mount->joints[situation->units[search->stacked[slot]].joint];
}

/* One axis: resting on the near row, thickest at the far one; `way` is +1 or −1. */
static void ramp(struct stock_search *search, struct frame *frame, size_t slot, int way)
{
    const struct unit *unit = &search->situation->units[search->stacked[slot]];
    const struct perpend_joint *joint = slot_joint(search, slot);
    struct perpend_slope full = {way * unit->direction.right, way * unit->direction.back};
    double shim[PERPEND_BOLTS_MOST];
    double most = openings_for_change(joint, full, shim); /* per unit change */
    size_t param = frame->params++;
    double per_grain = search->situation->heap.grain / most;
    frame->change[param] = (struct perpend_slope){full.right * per_grain, full.back * per_grain};
    for (size_t i = 0; i < joint->bolt_count; i++)
        frame->per[slot][param][i] = shim[i] / most;
}

/* A flange: resting on one corner, the two beside it say the plane. False when they are in line. */
static bool flange(struct stock_search *search, struct frame *frame, size_t slot, size_t rest,
    const size_t beside[2])
{
    const struct perpend_joint *joint = slot_joint(search, slot);
    struct perpend_slope at = shim_lever(joint->face, joint->bolts[rest].at), to[2];
    for (size_t k = 0; k < 2; k++) {
        to[k] = shim_lever(joint->face, joint->bolts[beside[k]].at);
        to[k].right -= at.right;
        to[k].back -= at.back;
    }
    double area = to[0].right * to[1].back - to[0].back * to[1].right;
    if (fabs(area) < HAIR)
        return false;
    double grain = search->situation->heap.grain;
    frame->params = 2;
    frame->change[0] =
        (struct perpend_slope){to[1].back * grain / area, -to[1].right * grain / area};
    frame->change[1] =
        (struct perpend_slope){-to[0].back * grain / area, to[0].right * grain / area};
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct perpend_slope lever = shim_lever(joint->face, joint->bolts[i].at);
        lever.right -= at.right;
        lever.back -= at.back;
        for (size_t k = 0; k < 2; k++)
            frame->per[slot][k][i] =
                (lever.right * frame->change[k].right + lever.back * frame->change[k].back) / grain;
    }
    return true;
}

static void flange_frames(struct stock_search *search, size_t slot)
{
    size_t corner[PERPEND_BOLTS_MOST];
    size_t count = corner_bolts(slot_joint(search, slot), corner);
    for (size_t i = 0; i < count; i++) {
        const size_t beside[2] = {corner[(i + 1) % count], corner[(i + count - 1) % count]};
        search->frame_count +=
            flange(search, &search->frames[search->frame_count], slot, corner[i], beside);
    }
}

static void ramp_frames(struct stock_search *search)
{
    for (int first = -1; first <= 1; first += 2) {
        if (search->slots == 1) {
            ramp(search, &search->frames[search->frame_count++], 0, first);
            continue;
        }
        for (int second = -1; second <= 1; second += 2) {
            struct frame *frame = &search->frames[search->frame_count++];
            ramp(search, frame, 0, first);
            ramp(search, frame, 1, second);
        }
    }
}

/* Mark the corners, and what each frame takes of the heap for them. */
static void note_corners(struct stock_search *search, size_t slot)
{
    const struct perpend_joint *joint = slot_joint(search, slot);
    size_t corner[PERPEND_BOLTS_MOST];
    size_t count = corner_bolts(joint, corner);
    for (size_t i = 0; i < count; i++)
        search->corner[slot][corner[i]] = true;
    search->inner = search->inner || count < joint->bolt_count;
    for (size_t f = 0; f < search->frame_count; f++)
        for (size_t i = 0; i < count; i++)
            for (size_t k = 0; k < 2; k++)
                search->frames[f].material[k] += search->frames[f].per[slot][k][corner[i]];
}

enum perpend_status frames_make(struct stock_search *search)
{
    search->frames = calloc(PERPEND_BOLTS_MOST, sizeof *search->frames);
    if (!search->frames)
        return PERPEND_ERR_MEMORY;
    if (search->situation->units[search->stacked[0]].dims == 2)
        flange_frames(search, 0);
    else
        ramp_frames(search);
    for (size_t slot = 0; slot < search->slots; slot++)
        note_corners(search, slot);
    size_t room = search->situation->heap.make_count;
    search->lists = calloc(2 * search->frame_count * room + 1, sizeof *search->lists);
    return search->lists ? PERPEND_OK : PERPEND_ERR_MEMORY;
}

static bool whole_or_none(double share)
{
    return fabs(share) < HAIR || fabs(share - 1.0) < HAIR;
}

void bins_of(const struct stock_search *search, const struct frame *frame, const unsigned thick[2],
    size_t slot, struct stacked *stacked)
{
    const struct heap *heap = &search->situation->heap;
    double slip = PLANE_SLIP / heap->grain;
    stacked->unit = search->stacked[slot];
    for (size_t i = 0; i < slot_joint(search, slot)->bolt_count; i++) {
        double first = frame->per[slot][0][i], second = frame->per[slot][1][i];
        double want = first * thick[0] + second * thick[1];
        bool whole = whole_or_none(first) && whole_or_none(second) &&
                     (fabs(first) < HAIR || fabs(second) < HAIR);
        double room = whole ? 0.5 : slip;
        stacked->plane[i] = fmax(want, 0.0) * heap->grain;
        stacked->bins[i].low = (unsigned)fmax(ceil(want - room), 0.0);
        stacked->bins[i].high = (unsigned)fmax(floor(want + room - HAIR), 0.0);
        stacked->hangs[i] = search->hang && !search->corner[slot][i] && stacked->bins[i].low > 0;
    }
}

/* All the leaves on hand together are too few for the corners. */
static bool too_little(
    const struct stock_search *search, const struct frame *frame, const unsigned thick[2])
{
    const struct heap *heap = &search->situation->heap;
    double room = (PLANE_SLIP / heap->grain + 1.0) * PLAN_STACKED_MOST * PERPEND_BOLTS_MOST;
    return frame->material[0] * thick[0] + frame->material[1] * thick[1] > heap->material + room;
}

/* Whether each stack could be made if it were the only one. */
static bool stacks_possible(
    const struct stock_search *search, const struct frame *frame, const unsigned thick[2])
{
    for (size_t slot = 0; slot < search->slots; slot++) {
        struct stacked stacked;
        bins_of(search, frame, thick, slot, &stacked);
        for (size_t i = 0; i < slot_joint(search, slot)->bolt_count; i++)
            if (!stacked.hangs[i] && stacked.bins[i].low > 0 &&
                stacks_least(&search->situation->heap, &stacked.bins[i], 1) == STACKS_NONE)
                return false;
    }
    return true;
}

/* Of a flange both thicknesses say together what the other bolts want; of two ramps each says its
   own, and the lists hold only what fits. */
static bool is_flange(const struct stock_search *search)
{
    return search->situation->units[search->stacked[0]].dims == 2;
}

bool frame_fits(
    const struct stock_search *search, const struct frame *frame, const unsigned thick[2])
{
    if (too_little(search, frame, thick))
        return false;
    return !is_flange(search) || stacks_possible(search, frame, thick);
}

/* Bolts that all want nothing or the whole thickness. */
static bool two_rows(const struct stock_search *search, const struct frame *frame, size_t k)
{
    for (size_t slot = 0; slot < search->slots; slot++)
        for (size_t i = 0; i < slot_joint(search, slot)->bolt_count; i++)
            if (!whole_or_none(frame->per[slot][k][i]))
                return false;
    return true;
}

/* The thicknesses that one of a frame's may be, into `list`; how many. */
static size_t list_thickness(
    const struct stock_search *search, const struct frame *frame, size_t k, unsigned *list)
{
    const struct heap *heap = &search->situation->heap;
    bool any_will_do = is_flange(search) || two_rows(search, frame, k);
    size_t count = 0;
    for (size_t i = 0; i < heap->make_count; i++) {
        const unsigned thick[2] = {k == 0 ? heap->makes[i] : 0, k == 1 ? heap->makes[i] : 0};
        if (too_little(search, frame, thick))
            break;
        if (any_will_do || stacks_possible(search, frame, thick))
            list[count++] = heap->makes[i];
    }
    return count;
}

void frames_list(struct stock_search *search)
{
    size_t room = search->situation->heap.make_count;
    for (size_t f = 0; f < search->frame_count; f++) {
        struct frame *frame = &search->frames[f];
        for (size_t k = 0; k < frame->params; k++) {
            frame->thick[k] = search->lists + (2 * f + k) * room;
            frame->thick_count[k] = list_thickness(search, frame, k, frame->thick[k]);
        }
    }
}
