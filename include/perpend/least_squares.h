/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_LEAST_SQUARES_H
#define PERPEND_LEAST_SQUARES_H

/**
 * Weighted linear least squares by QR with pivoted columns (GSL), and what follows from it.
 * The sweep fit stands on this; it is public so that it can be checked on published data.
 */

#include <stddef.h>

#include <perpend/status.h>

#ifdef __cplusplus
extern "C" {
#endif

#define PERPEND_LEAST_SQUARES_MOST_PARAMETERS 8

struct perpend_least_squares {
    size_t rank;                                         /* numerical rank of the columns */
    double value[PERPEND_LEAST_SQUARES_MOST_PARAMETERS]; /* the solution, one a parameter */
    /* (AᵀWA)⁻¹, row-major with PERPEND_LEAST_SQUARES_MOST_PARAMETERS to a row: the covariance
       when W holds inverse variances; times chi2/(n − p) when W is relative */
    double
        covariance[PERPEND_LEAST_SQUARES_MOST_PARAMETERS * PERPEND_LEAST_SQUARES_MOST_PARAMETERS];
    double chi2; /* Σ w r² */
};

/**
 * Minimise Σ w_i (y_i − Σ_j A_ij x_j)².
 *
 * Given:    design    n × p, row-major
 *           observed  n
 *           weight    n, > 0 (inverse variances), or NULL for all 1
 *           rows      n ≥ p
 *           columns   p, 1 to PERPEND_LEAST_SQUARES_MOST_PARAMETERS
 * Returned: fit       value, covariance, chi2, rank
 *           residual  n, observed − fitted; NULL when not wanted
 *           leverage  n, diagonal of the hat matrix of the weighted problem; NULL when not wanted
 * Errors:   PERPEND_ERR_VALUE, PERPEND_ERR_MEMORY, PERPEND_ERR_UNDETERMINED (rank < p; then only
 *           `rank` is set)
 * Source:   Golub and Van Loan, Matrix Computations, chapter 5 (QR with column pivoting), from
 *           memory; checked on the NIST reference data sets (docs/checks.md)
 */
enum perpend_status perpend_least_squares_solve(const double *design, const double *observed,
    const double *weight, size_t rows, size_t columns, struct perpend_least_squares *fit,
    double *residual, double *leverage);

/** What studentised residuals are made of. */
struct perpend_student {
    const double *residual, *leverage; /* n, from perpend_least_squares_solve */
    const double *weight;              /* n, or NULL for all 1 */
    size_t rows, columns;              /* n, p */
    double prior; /* degrees of freedom with which a scale of 1 was known before; 0: not at all */
};

/**
 * Externally studentised residuals: each residual over its own standard deviation, with the scale
 * of the variances estimated without that observation.
 *
 * Returned: studentised  n; a residual whose leverage is 1 gives 0
 * Errors:   PERPEND_ERR_VALUE when n ≤ p + 1
 * Source:   docs/method.md, "A wrong reading"; without a prior the same as R's rstudent
 */
enum perpend_status perpend_studentised_residuals(
    const struct perpend_student *student, double *studentised);

#ifdef __cplusplus
}
#endif

#endif
