/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_NEW_DRAFT_H
#define CLI_NEW_DRAFT_H

/**
 * The machine file in the making: texts by the keys of the file ("gauge.step"), as they were typed or
 * as they stand in the file that is changed; and the file's text made of them.
 *
 * What a joint is made from (its shape, the spans between its bolts) and the kinds of shim are no keys
 * of the file and stand under their number: "0 across", "1 leaf".
 */

#include <perpend/units.h>

#include "files/buffer.h"
#include "files/files.h"
#include "files/mount_shapes.h"

#define DRAFT_KEY 40 /* bytes of a key */

struct part {
    char key[DRAFT_KEY];
    char *text;
    bool as_written; /* YAML as it stood in the file: a list, a mapping; else a value alone */
};

/** A zeroed one is empty. */
struct draft {
    struct part parts[200];
    size_t count;
    const char *changed;   /* the file that is changed; NULL when there is none */
    bool mounted, stocked; /* it has a mount, a stock */
};

void draft_finish(struct draft *draft);

/** Keep a text under a key, instead of what stood there; false when memory is out. */
bool draft_keep(struct draft *draft, const char *key, const char *text, bool as_written);

/** The text of a key; NULL when there is none. Whether it is this word. */
const char *draft_text(const struct draft *draft, const char *key);
bool draft_is(const struct draft *draft, const char *key, const char *word);

/** The shape of a joint; NULL when there is no such joint. */
const struct shape *draft_shape(const struct draft *draft, size_t joint);

/** Make the file's lists of joints and shims of what was answered. */
bool draft_keep_lists(struct draft *draft);

/** The unit of bare numbers. */
enum perpend_unit draft_unit(const struct draft *draft);

/** The key of what stands under a number; its text. */
char *draft_key_of(char numbered[DRAFT_KEY], size_t number, const char *key);
const char *draft_text_of(const struct draft *draft, size_t number, const char *key);

/** The one key of a section whose value may stand there alone ("arm: 75"); else the section. */
const char *value_alone(const char *section);

/** Start from the texts of a machine file that can be read. */
bool draft_read(struct draft *draft, const char *text, size_t length, struct fault *fault);

/** The whole file's text, with comments; "none" and "usual" leave their key out. */
void draft_write(const struct draft *draft, struct buffer *text);

#endif
