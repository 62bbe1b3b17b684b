/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stddef.h>

#include <perpend/shims.h>

/* Kitchen foil, heavy foil, feeler leaves and shim washers, mm; common practice, no source. */
static const double common[] = {PERPEND_THINNEST_SHIM, 0.024, 0.05, 0.10, 0.15, 0.20, 0.25, 0.30,
    0.35, 0.40, 0.45, 0.50, 0.55, 0.60, 0.65, 0.70, 0.75, 0.80, 0.85, 0.90, 0.95, 1.00};

#define THICKEST 1.00

double perpend_common_thickness(double wanted)
{
    if (!(wanted > 0.0))
        return 0.0;
    /* above the thickest single piece: as many of those as go in, and one more */
    double whole = wanted > THICKEST ? floor(wanted / THICKEST) * THICKEST : 0.0;
    double rest = wanted - whole, nearest = whole > 0.0 ? 0.0 : common[0];
    for (size_t i = 0; i < sizeof common / sizeof common[0]; i++)
        if (fabs(common[i] - rest) < fabs(nearest - rest))
            nearest = common[i];
    return whole + nearest;
}
