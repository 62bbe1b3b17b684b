/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PAGE_REPLY_H
#define PAGE_REPLY_H

#include "files/files.h"
#include "files/json.h"

/** "error": in which of the texts, at which line (0: none), and what is wrong there. Always returns
 *  false. */
bool reply_fault(struct json *json, const char *in, const struct fault *fault);

#endif
