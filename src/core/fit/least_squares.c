/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multifit_nlin.h>

#include "core/fit/least_squares.h"
#include <perpend/status.h>

#define MOST LEAST_SQUARES_MOST

/* The problem with its rows weighted. */
struct weighted {
    size_t rows, columns;
    const double *design;
    double *matrix;   /* rows × columns; becomes QR */
    double *observed; /* rows; each as many */
    double *rest;     /* observed − fitted, weighted */
    double *root;     /* of the weights */
};

static double root_weight(const double *weight, size_t row)
{
    return weight != NULL ? sqrt(weight[row]) : 1.0;
}

static bool all_finite(const double *value, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (!isfinite(value[i]))
            return false;
    }
    return true;
}

/* Leverage of each row of A = Q R Pᵀ: |R⁻ᵀ Pᵀ a|². */
static void find_leverage(const struct weighted *w, const gsl_matrix *triangle,
    const gsl_permutation *order, double *leverage)
{
    gsl_matrix_const_view r = gsl_matrix_const_submatrix(triangle, 0, 0, w->columns, w->columns);
    for (size_t i = 0; i < w->rows; i++) {
        double part[MOST];
        gsl_vector_view z = gsl_vector_view_array(part, w->columns);
        for (size_t j = 0; j < w->columns; j++)
            part[j] = w->root[i] * w->design[i * w->columns + order->data[j]];
        gsl_blas_dtrsv(CblasUpper, CblasTrans, CblasNonUnit, &r.matrix, &z.vector);
        gsl_blas_ddot(&z.vector, &z.vector, &leverage[i]);
        leverage[i] = fmin(leverage[i], 1.0);
    }
}

/* QR with pivoted columns of the weighted problem, in place; solution and covariance from it. GSL's
   own functions for this ask for memory and end the program when there is none; these do not. */
static enum perpend_status solve_weighted(
    const struct weighted *w, struct least_squares *fit, double *leverage)
{
    const size_t rows = w->rows, columns = w->columns;
    double reflector[MOST], norm[MOST];
    size_t order[MOST];
    int sign;
    gsl_matrix_view a = gsl_matrix_view_array(w->matrix, rows, columns);
    gsl_vector_view y = gsl_vector_view_array(w->observed, rows);
    gsl_vector_view r = gsl_vector_view_array(w->rest, rows);
    gsl_vector_view tau = gsl_vector_view_array(reflector, columns);
    gsl_vector_view work = gsl_vector_view_array(norm, columns);
    gsl_vector_view x = gsl_vector_view_array(fit->value, columns);
    gsl_matrix_view c = gsl_matrix_view_array_with_tda(fit->covariance, columns, columns, MOST);
    gsl_permutation permutation = {columns, order};
    memset(fit->value, 0, sizeof fit->value);
    memset(fit->covariance, 0, sizeof fit->covariance);
    if (gsl_linalg_QRPT_decomp(&a.matrix, &tau.vector, &permutation, &sign, &work.vector) != 0)
        return PERPEND_ERR_VALUE;
    fit->rank = gsl_linalg_QRPT_rank(&a.matrix, -1.0); /* what rounding may make of nothing */
    if (fit->rank < columns)
        return PERPEND_ERR_UNDETERMINED;
    if (gsl_linalg_QRPT_lssolve(
            &a.matrix, &tau.vector, &permutation, &y.vector, &x.vector, &r.vector) != 0)
        return PERPEND_ERR_VALUE;
    if (leverage != NULL)
        find_leverage(w, &a.matrix, &permutation, leverage);
    return gsl_multifit_covar_QRPT(&a.matrix, &permutation, 0.0, &c.matrix) == 0
               ? PERPEND_OK
               : PERPEND_ERR_VALUE;
}

enum perpend_status least_squares_solve(const struct linear_problem *problem,
    struct least_squares *fit, double *residual, double *leverage)
{
    const size_t rows = problem->rows, columns = problem->columns;
    if (columns < 1 || columns > MOST || rows < columns ||
        rows > SIZE_MAX / sizeof(double) / (MOST + 3))
        return PERPEND_ERR_VALUE;
    double *matrix = calloc(rows * (columns + 3), sizeof *matrix);
    if (matrix == NULL)
        return PERPEND_ERR_MEMORY;
    double *after = matrix + rows * columns;
    struct weighted w = {
        rows, columns, problem->design, matrix, after, after + rows, after + 2 * rows};
    bool good = true;
    for (size_t i = 0; i < rows; i++) {
        w.root[i] = root_weight(problem->weight, i);
        good = good && w.root[i] > 0.0;
        w.observed[i] = w.root[i] * problem->observed[i];
        for (size_t j = 0; j < columns; j++)
            matrix[i * columns + j] = w.root[i] * problem->design[i * columns + j];
    }
    enum perpend_status status = good && all_finite(matrix, rows * (columns + 1))
                                     ? solve_weighted(&w, fit, leverage)
                                     : PERPEND_ERR_VALUE;
    if (status == PERPEND_OK)
        fit->chi2 = 0.0;
    for (size_t i = 0; status == PERPEND_OK && i < rows; i++) {
        fit->chi2 += w.rest[i] * w.rest[i];
        if (residual != NULL)
            residual[i] = w.rest[i] / w.root[i];
    }
    free(matrix);
    return status;
}

enum perpend_status studentised_residuals(const struct student *student, double *studentised)
{
    double chi2 = student->prior, dof = student->prior + (double)student->rows;
    if (student->rows <= student->columns + 1)
        return PERPEND_ERR_VALUE;
    dof -= (double)student->columns + 1.0;
    for (size_t i = 0; i < student->rows; i++) {
        studentised[i] = student->residual[i] * root_weight(student->weight, i);
        chi2 += studentised[i] * studentised[i];
    }
    for (size_t i = 0; i < student->rows; i++) {
        double free_part = 1.0 - student->leverage[i], own = studentised[i];
        if (free_part < 1e-10 || own == 0.0) {
            studentised[i] = 0.0;
            continue;
        }
        /* what is left of chi2 when this observation is taken out */
        double without = fmax(chi2 - own * own / free_part, 0.0);
        studentised[i] = own / sqrt(free_part * without / dof);
    }
    return PERPEND_OK;
}
