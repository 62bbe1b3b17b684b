/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_SHIMS_H
#define PERPEND_SHIMS_H

/**
 * Thicknesses that are commonly at hand, for those who have stated no stock. What a stock can make
 * is the planner's business: perpend/plan.h.
 */

#ifdef __cplusplus
extern "C" {
#endif

/** mm: kitchen foil; nobody has a thinner shim. Common practice, no source. */
#define PERPEND_THINNEST_SHIM 0.016

/**
 * The common thickness nearest to a wish: kitchen foil 0.016, heavy foil 0.024, feeler leaves and
 * shim washers from 0.05 to 1.00 mm by 0.05; more than that in whole millimetres and one of these.
 *
 * Given:    wanted  mm
 * Value:    mm; 0 for nothing wanted (0, less, or NAN)
 * Source:   common practice, no source
 */
double perpend_common_thickness(double wanted);

#ifdef __cplusplus
}
#endif

#endif
