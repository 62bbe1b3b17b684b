/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_SWEEP_JOB_H
#define CLI_SWEEP_JOB_H

/**
 * One session, from the machine file to the end of the job.
 */

#include <stdbool.h>

struct sweep_wishes {
    const char *machine; /* file; NULL: found */
    const char *log;     /* NULL: the usual one */
    bool resume;         /* go on without asking */
    bool fresh;          /* give up what is unfinished without asking */
    bool ascii;          /* nothing beyond ASCII on the screen */
};

/** Value: the exit status. */
int sweep_session(const struct sweep_wishes *wishes);

#endif
