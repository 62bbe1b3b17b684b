/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef COLUMNS_H
#define COLUMNS_H

#include <stddef.h>

/** Narrow the widest columns, and only those, until all fit into `room`. */
void columns_fit(double *widths, size_t count, double room);

#endif
