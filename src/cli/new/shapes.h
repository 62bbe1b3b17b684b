/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_NEW_SHAPES_H
#define CLI_NEW_SHAPES_H

/** The shapes of joint that `perpend new` knows: a row each in shapes.inc. */

#include <stddef.h>

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

extern const struct shape shapes[];

#endif
