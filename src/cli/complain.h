/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef COMPLAIN_H
#define COMPLAIN_H

/**
 * What a command says on standard error when it cannot go on.
 */

#include "files/files.h"

/** Write "perpend: " and one line to standard error, control characters made harmless; returns
 *  `status`. */
int complain(int status, const char *format, ...) __attribute__((format(printf, 2, 3)));

/** The same for a fault; its status. */
int complain_fault(const struct fault *fault);

/** Memory is out: complain, status 3; or say so in a fault, always false. */
int complain_memory(void);
bool fault_out_of_memory(struct fault *fault);

#endif
