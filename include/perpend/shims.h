/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_SHIMS_H
#define PERPEND_SHIMS_H

/**
 * Stacks from what is on hand, solved for all places of a joint together.
 */

#include <stddef.h>

#include <perpend/mount.h>

#ifdef __cplusplus
extern "C" {
#endif

/**
 * The common thickness nearest to a wish, and a stack of common sizes that makes it (kitchen foil
 * 0.016, heavy foil 0.024, feeler leaves 0.05 to 1.00, shim washers 0.1 0.2 0.3 0.5 1.0, can wall
 * 0.10 mm; common practice, no source).
 *
 * Value: mm
 */
double perpend_common_thickness(double wanted);

#ifdef __cplusplus
}
#endif

#endif
