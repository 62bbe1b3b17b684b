/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MACHINE_CHANGE_H
#define MACHINE_CHANGE_H

#include <perpend/machine.h>

#include "files/fault.h"

/**
 * A machine file's text with one value in it changed; its comments are lost.
 *
 * Given:    text, length   of a machine file that can be read
 *           section, key   "cutter", "diameter"; key NULL: the section itself
 *           value          as it would be typed there; NULL: `stock` takes its place
 * Value:    text by malloc, to be read before it is believed; NULL with a fault
 */
char *machine_text_changed(const char *text, size_t length, const char *section, const char *key,
    const char *value, const struct perpend_stock *stock, struct fault *fault);

#endif
