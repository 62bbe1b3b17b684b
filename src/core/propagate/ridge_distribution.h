/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef RIDGE_DISTRIBUTION_H
#define RIDGE_DISTRIBUTION_H

/** The same from fewer points: for a word or a choice, not for a figure. */

#include <perpend/distribution.h>

/** As perpend_ridge_distribution; its chance to about 0.002, its interval to a tenth of u. */
enum perpend_status ridge_distribution_roughly(const struct perpend_uncertain_lean *lean,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double goal,
    struct perpend_distribution *distribution);

#endif
