/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PAGE_REPLY_H
#define PAGE_REPLY_H

#include "draw/figure.h"
#include "files/files.h"
#include "files/json.h"
#include "files/keys.h"
#include "text/words.h"

/** "error": in which of the texts, at which line (0: none), and what is wrong there. Always returns
 *  false. */
bool reply_fault(struct json *json, const char *in, const struct fault *fault);

/** Read a text by a mapping, into its struct; false after the fault went into
 *  the reply, as in the text that the mapping is called by. */
bool reply_read(const char *text, const struct mapping *mapping, void *into, struct json *json);

/** Words for the page, in a unit; what was said with them as a text, null where nothing was, and released. */
struct words reply_wording(enum perpend_unit unit);
void reply_words(struct json *json, const char *key, struct words *words);

/** A figure as SVG, and released; null for NULL. */
void reply_figure(struct json *json, const char *key, const char *id, struct figure *figure);

#endif
