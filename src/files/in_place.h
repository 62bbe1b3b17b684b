/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef IN_PLACE_H
#define IN_PLACE_H

#include <stdbool.h>

/**
 * Give a finished file its name, and see the folder onto the disk.
 *
 * Given:    temporary  the file, on its disk; gone afterwards, whatever happens
 *           path       its name
 *           replace    whether what is there may go; else EEXIST says that something is
 * Value:    0 or an errno
 */
int put_in_place(const char *temporary, const char *path, bool replace);

#endif
