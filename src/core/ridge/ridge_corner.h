/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CORE_RIDGE_CORNER_H
#define CORE_RIDGE_CORNER_H

#include "core/ridge/ridge_profile.h"

/** ridge_profile_cell for a profile with a corner radius and a stepover no wider than the cut. */
void ridge_corner_cell(
    const struct ridge_profile *profile, double stepover, struct ridge_cell *cell);

#endif
