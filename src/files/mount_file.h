/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MOUNT_FILE_H
#define MOUNT_FILE_H

/** The machine file's `mount` and `stock`. */

#include <perpend/mount.h>

#include "files/keys.h"

#define LEAF_COUNT_MOST 1000

/**
 * A thread by its name: "M5", "M5x0.5", "1/4-20", "#10-24"; false when it has none of these forms.
 *
 * Returned: bolt   thread and, where the name says it, pitch
 */
bool thread_parse(const char *text, struct perpend_bolt *bolt);

value_reader read_count; /* unsigned, of leaves; a range */

extern const struct list joint_list; /* of a struct perpend_mount */
extern const struct list leaf_list;  /* of a struct perpend_stock */

#endif
