/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_NEW_SUMMARY_H
#define CLI_NEW_SUMMARY_H

/** What `perpend new` has understood, before anything is written. */

#include <perpend/machine.h>

#include "text/words.h"

void summary_show(struct words *words, const struct perpend_machine *machine);

#endif
