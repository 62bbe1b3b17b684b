/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_NEW_SAVE_H
#define CLI_NEW_SAVE_H

/** Where a machine file goes. */

#include "cli/prompt/dialogue.h"
#include "files/buffer.h"

#define SAVE_NAME 56 /* bytes of a name made of a machine's */

/** A file name made of the machine's: small letters, digits and hyphens. */
void save_name_for(const char *machine, char name[SAVE_NAME]);

/**
 * Ask for a name until the file is there; somebody who types does not lose the answers to a bad
 * name. HEARD_UNDO goes back to the questions.
 *
 * Returned: status  after HEARD_ANSWER: the exit status
 */
enum heard save_machine(
    struct dialogue *dialogue, const struct buffer *text, const char *wished, int *status);

#endif
