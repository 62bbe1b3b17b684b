/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_cdf.h>

#include <perpend/least_squares.h>
#include <perpend/status.h>
#include <perpend/units.h>

#include "core/fit/suspect.h"

#define FEWEST 6
#define LEVEL 0.05
#define SQUARE_WITHIN 1e-6 /* rad: how near to a quarter turn is one */

/* Two readings of the same bearing that pull apart look alike to the test. */
static bool alike(double one, double other)
{
    if (isinf(one) || isinf(other))
        return isinf(one) && isinf(other);
    return fabs(one - other) <= 1e-6 * one;
}

/* Student's quantile with Bonferroni's correction for the largest of `count`, both signs. */
static double limit_for(size_t count, double dof)
{
    double tail = LEVEL / (2.0 * (double)count);
    /* beyond this the normal distribution is the same to 1e-6, and safe from the series' limits */
    return dof > 1e6 ? gsl_cdf_ugaussian_Qinv(tail) : gsl_cdf_tdist_Qinv(tail, dof);
}

/*
 * When the others agree to the last digit, a step of rounding stands out without being wrong. A
 * suspect must also lie farther from where the others put it than the gauge itself explains: beyond
 * the normal quantile, and by more than one step, which is what rounding can do at most.
 */
static bool unexplained(const struct suspect_rows *rows, size_t i)
{
    double free_part = 1.0 - rows->leverage[i];
    double from_others = fabs(rows->residual[i]) / free_part;
    double explained = gsl_cdf_ugaussian_Qinv(LEVEL / (2.0 * (double)rows->count)) *
                       sqrt(rows->natural[i] / free_part);
    return from_others > fmax(explained, rows->step * (1.0 + 1e-6));
}

enum perpend_status suspect_find(const struct suspect_rows *rows, struct perpend_fit *fit)
{
    size_t n = rows->count, p = rows->parameters;
    fit->suspect.index = PERPEND_FIT_NO_SUSPECT;
    if (n < FEWEST || n <= p + 1)
        return PERPEND_OK;
    double *studentised = malloc(n * sizeof *studentised);
    if (studentised == NULL)
        return PERPEND_ERR_MEMORY;
    perpend_studentised_residuals(rows->residual, rows->leverage, rows->weight, n, p, studentised);
    size_t largest = 0, twin = 0;
    bool has_twin = false;
    for (size_t i = 1; i < n; i++) {
        if (fabs(studentised[i]) > fabs(studentised[largest]))
            largest = i;
    }
    double size = fabs(studentised[largest]);
    for (size_t i = 0; i < n; i++) {
        if (i != largest && alike(size, fabs(studentised[i]))) {
            twin = i;
            has_twin = true;
        }
    }
    fit->suspect.studentised = studentised[largest];
    fit->suspect.limit = limit_for(n, (double)(n - p - 1));
    free(studentised);

    if (size > fit->suspect.limit && unexplained(rows, largest)) {
        fit->suspect.index = largest;
        fit->suspect.has_twin = has_twin;
        fit->suspect.twin = has_twin ? twin : 0;
    }
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

void suspect_closure(const struct perpend_reading *readings, size_t count, double factor,
    const double *variance, struct perpend_fit *fit)
{
    size_t order[4] = {0};
    double bearing[4] = {0}, sum = 0.0, u2 = 0.0;
    if (count != 4)
        return;
    in_turn(readings, order, bearing);
    for (size_t i = 0; i < 4; i++) {
        if (i > 0 && fabs(bearing[i] - bearing[i - 1] - PERPEND_PI / 2.0) > SQUARE_WITHIN)
            return;
        sum += (i % 2 == 0 ? 1.0 : -1.0) * readings[order[i]].value;
        u2 += variance[i];
    }
    fit->closure.checked = true;
    fit->closure.value = sum;
    fit->closure.limit = gsl_cdf_ugaussian_Pinv(0.975) * sqrt(u2) / fabs(factor);
    fit->closure.off = fabs(sum) > fit->closure.limit;
}
