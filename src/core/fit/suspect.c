/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_cdf.h>

#include <perpend/status.h>
#include <perpend/units.h>

#include "core/fit/suspect.h"

#define FEWEST 6
/* How often honest readings may be questioned, by the normal distribution's quantile: by Student's, which
   is wider, a misreading would pass too often. A question costs one reading, a misreading a wrong shim.
   The level for one reading among many is the lower, so that with the wider scatter of a few readings and
   the board's waves it still comes to 3 sweeps in 100. */
#define SUSPECT_LEVEL 0.007
/* Standard deviations of the closure. Leaves close in whole leaves: on an upright spindle three apart are
   3.5 in 100 honest sweeps, four 0.3, with nothing between. This questions three of 0.05 mm there, where they
   would spoil a verdict, and four as soon as a lean adds the aim to them: 2.4 in 100 up to 2 mm/m. */
#define CLOSURE_LIMIT 2.355
#define SQUARE_WITHIN 1e-6 /* rad: how near to a quarter turn is one */

/* Two readings of the same bearing that pull apart look alike to the test. */
static bool alike(double one, double other)
{
    if (isinf(one) || isinf(other))
        return isinf(one) && isinf(other);
    return fabs(one - other) <= 1e-6 * one;
}

enum perpend_status suspect_find(const struct suspect_rows *rows, struct perpend_fit *fit)
{
    const struct student *student = &rows->student;
    size_t n = student->rows, largest = 0;
    if (n < FEWEST || n <= student->columns + 1)
        return PERPEND_OK;
    double *studentised = malloc(n * sizeof *studentised);
    if (studentised == NULL)
        return PERPEND_ERR_MEMORY;
    studentised_residuals(student, studentised);
    for (size_t i = 1; i < n; i++) {
        if (fabs(studentised[i]) > fabs(studentised[largest]))
            largest = i;
    }
    struct perpend_suspect found = {.index = PERPEND_FIT_NO_SUSPECT,
        .studentised = studentised[largest],
        .limit = gsl_cdf_ugaussian_Qinv(SUSPECT_LEVEL / (2.0 * (double)n))};
    /* one step is what rounding can do, even where all others agree to the last digit */
    double from_others = student->residual[largest] / (1.0 - student->leverage[largest]);
    if (fabs(found.studentised) > found.limit && fabs(from_others) > rows->step * (1.0 + 1e-6)) {
        found.index = largest;
        found.expected = rows->readings[largest].value - from_others / rows->factor;
        for (size_t i = 0; i < n; i++) {
            if (i != largest && alike(fabs(found.studentised), fabs(studentised[i]))) {
                found.twin = i;
                found.has_twin = true;
            }
        }
    }
    fit->suspect = found;
    free(studentised);
    return PERPEND_OK;
}

/* Bearings in [0, 2π), lowest first. */
static void in_turn(const struct perpend_reading *readings, size_t order[4], double bearing[4])
{
    for (size_t i = 0; i < 4; i++) {
        double b = fmod(readings[i].bearing, 2.0 * PERPEND_PI);
        b = b < 0.0 ? b + 2.0 * PERPEND_PI : b;
        size_t j = i;
        for (; j > 0 && bearing[j - 1] > b; j--) {
            bearing[j] = bearing[j - 1];
            order[j] = order[j - 1];
        }
        bearing[j] = b;
        order[j] = i;
    }
}

void suspect_closure(const struct suspect_rows *rows, struct perpend_fit *fit)
{
    size_t order[4] = {0};
    double bearing[4] = {0}, sum = 0.0, u2 = 0.0;
    if (rows->student.rows != 4)
        return;
    in_turn(rows->readings, order, bearing);
    for (size_t i = 0; i < 4; i++) {
        if (i > 0 && fabs(bearing[i] - bearing[i - 1] - PERPEND_PI / 2.0) > SQUARE_WITHIN)
            return;
        sum += (i % 2 == 0 ? 1.0 : -1.0) * rows->readings[order[i]].value;
        u2 += 1.0 / rows->student.weight[i];
    }
    fit->closure.checked = true;
    fit->closure.value = sum;
    fit->closure.limit = CLOSURE_LIMIT * sqrt(u2) / fabs(rows->factor);
    fit->closure.off = fabs(sum) > fit->closure.limit;
}
