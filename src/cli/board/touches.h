/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef TOUCHES_H
#define TOUCHES_H

/** Touches of a board, typed one a line into a file that keeps each at once. */

#include <perpend/job.h>
#include <perpend/machine.h>

/**
 * Ask for touches after those that there are, place by place of a grid over the board,
 * until that is done or `end` or `stop` is typed.
 *
 * Given:    path     of the survey file, written anew with each touch
 *           survey   what it holds; one sweep
 * Returned: survey   with what was typed
 * Value:    the exit status; 0 also when stopped: what was typed is kept
 */
int touches_ask(const char *path, const struct perpend_machine *machine, struct perpend_job *survey,
    bool ascii);

#endif
