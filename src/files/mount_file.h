/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MOUNT_FILE_H
#define MOUNT_FILE_H

/** The machine file's `mount` and `stock`. */

#include "reader.h"

#define JOINTS_MOST 8
#define BOLTS_MOST 64  /* in one joint */
#define LEAVES_MOST 64 /* kinds in stock */
#define LEAF_COUNT_MOST 1000

bool read_mount(
    struct reader *, const struct key *, const struct node *, void *); /* perpend_mount */
bool read_stock(
    struct reader *, const struct key *, const struct node *, void *); /* perpend_stock */

#endif
