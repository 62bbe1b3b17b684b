/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LEAST_SQUARES_H
#define LEAST_SQUARES_H

/**
 * Weighted linear least squares by QR with pivoted columns (GSL), and what follows from it.
 * The sweep fit stands on this.
 */

#include <stddef.h>

#include <perpend/status.h>

#define LEAST_SQUARES_MOST 8

struct least_squares {
    size_t rank;                      /* numerical rank of the columns */
    double value[LEAST_SQUARES_MOST]; /* the solution, one a parameter */
    /* (AᵀWA)⁻¹, row-major with LEAST_SQUARES_MOST to a row: the covariance
       when W holds inverse variances; times chi2/(n − p) when W is relative */
    double covariance[LEAST_SQUARES_MOST * LEAST_SQUARES_MOST];
    double chi2; /* Σ w r² */
};

/** What is asked. */
struct linear_problem {
    const double *design;   /* n × p, row-major */
    const double *observed; /* n */
    const double *weight;   /* n, > 0 (inverse variances), or NULL for all 1 */
    size_t rows, columns;   /* n ≥ p; p, 1 to LEAST_SQUARES_MOST */
};

/**
 * Minimise Σ w_i (y_i − Σ_j A_ij x_j)².
 *
 * Returned: fit       value, covariance, chi2, rank
 *           residual  n, observed − fitted; NULL when not wanted
 *           leverage  n, diagonal of the hat matrix of the weighted problem; NULL when not wanted
 * Errors:   PERPEND_ERR_VALUE, PERPEND_ERR_MEMORY, PERPEND_ERR_UNDETERMINED (rank < p; then only
 *           `rank` is set)
 * Source:   Golub and Van Loan, Matrix Computations, chapter 5 (QR with column pivoting), from
 *           memory; checked on the NIST reference data sets (docs/checks.md)
 */
enum perpend_status least_squares_solve(const struct linear_problem *problem,
    struct least_squares *fit, double *residual, double *leverage);

/** What studentised residuals are made of. */
struct student {
    const double *residual, *leverage; /* n, from least_squares_solve */
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
enum perpend_status studentised_residuals(const struct student *student, double *studentised);

#endif
