/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MOUNT_SHAPES_H
#define MOUNT_SHAPES_H

/** Shapes of a joint that somebody can point at instead of listing its bolts; a row each is in
 *  mount_shapes.inc. */

#include <stddef.h>

#include <perpend/mount.h>

/** What has to be known of a shape, or-ed; the questions' table says what is asked. */
enum shape_asks {
    ACROSS = 1,   /* left to right between bolts */
    CIRCLE = 2,   /* of the circle that they stand on, instead */
    DEEP = 4,     /* front to back */
    DEEP_TOO = 8, /* the same where it may be nothing */
    HIGH = 16,    /* up and down */
    ABOVE = 32,   /* from the tip up to the lower bolts */
    BELOW = 64,   /* from the tip down to them */
    BEHIND = 128, /* from the spindle back to their middle */
    THREAD = 256,
    PITCH = 512, /* the thread of push screws, with its turns */
    HOLE = 1024,
    SHIMS = 2048
};

/** Half widths to the right and to the back, and heights over the lower bolts. */
struct shape_bolt {
    const char *name;
    signed char right, back, up;
};

struct shape {
    const char *word, *meaning;                   /* as it is asked for */
    const char *joint, *faces, *allows, *comment; /* as the file has it */
    unsigned asks;
    struct shape_bolt bolts[9]; /* ends without a name */
};

/** All of them; the last, without a word, ends them. The one before it, "none", has no bolts. */
extern const struct shape shapes[];

/** The shape called `word`; NULL for none. */
const struct shape *shape_called(const char *word);

/** What a ruler says of a joint, in any unit; 0 for what its shape does not ask for. */
struct shape_spans {
    double across, deep, high; /* between bolts */
    double above, behind;      /* from the tip, and from the spindle's middle */
};

/**
 * Where a bolt of a shape stands, in the unit of the spans, right of and behind the spindle's middle and over
 * the tip.
 *
 * Value: how many bytes of its name it is called by; 0 when the joint has no such bolt, as plates of which
 *        each has only one bolt over the other
 */
size_t shape_bolt_at(const struct shape *shape, const struct shape_spans *spans,
    const struct shape_bolt *bolt, struct perpend_point *at);

#endif
