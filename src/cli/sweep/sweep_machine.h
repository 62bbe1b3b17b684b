/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_SWEEP_MACHINE_H
#define CLI_SWEEP_MACHINE_H

/**
 * Which machine file a session is about.
 */

#include "cli/prompt/dialogue.h"
#include "files/files.h"
#include "log/log.h"

enum machine_choice {
    MACHINE_CHOSEN,
    MACHINE_STOPPED, /* the person stopped at the question */
    MACHINE_FAILED   /* the fault says why */
};

/**
 * The only machine file in this folder; of several the one chosen; with none the one that the
 * latest job in the log was started with.
 *
 * Returned: path  by malloc
 */
enum machine_choice sweep_choose_machine(
    struct dialogue *dialogue, struct log_book *book, char **path, struct fault *fault);

#endif
