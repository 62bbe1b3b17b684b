/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_linalg.h>

#include <perpend/least_squares.h>
#include <perpend/status.h>

#define MOST PERPEND_LEAST_SQUARES_MOST_PARAMETERS

/* The weighted problem with columns of unit length, R of its QR decomposition taken apart into
   singular values: A D = Q U S Vᵀ with D the column scales. */
struct decomposition {
    size_t rows, columns;
    double *matrix;   /* rows × columns, scaled; becomes QR */
    double *observed; /* rows, weighted; becomes Qᵀ y */
    double scale[MOST];
    double reflector[MOST * MOST];
    double left[MOST * MOST];  /* U, columns × columns */
    double right[MOST * MOST]; /* V */
    double singular[MOST];
    double inverse[MOST * MOST]; /* D V S⁻¹: rows by parameter, columns by singular value */
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

static enum perpend_status check(
    const double *design, const double *observed, const double *weight, size_t rows, size_t columns)
{
    if (columns < 1 || columns > MOST || rows < columns ||
        rows > SIZE_MAX / sizeof(double) / (MOST + 1))
        return PERPEND_ERR_VALUE;
    if (!all_finite(design, rows * columns) || !all_finite(observed, rows))
        return PERPEND_ERR_VALUE;
    for (size_t i = 0; weight != NULL && i < rows; i++) {
        if (!(weight[i] > 0.0 && isfinite(weight[i])))
            return PERPEND_ERR_VALUE;
    }
    return PERPEND_OK;
}

/* Weight the rows, then bring the columns to lengths of 1, 1/2, 1/3 … (a column of zeros stays):
   near enough to equal for the rank, and far enough apart for the Jacobi iteration, which may swap
   two columns of one length for ever. */
static void scale_problem(
    const double *design, const double *observed, const double *weight, struct decomposition *d)
{
    for (size_t j = 0; j < d->columns; j++) {
        double largest = 0.0, sum = 0.0;
        for (size_t i = 0; i < d->rows; i++)
            largest = fmax(largest, fabs(root_weight(weight, i) * design[i * d->columns + j]));
        for (size_t i = 0; largest > 0.0 && i < d->rows; i++) {
            double part = root_weight(weight, i) * design[i * d->columns + j] / largest;
            sum += part * part;
        }
        d->scale[j] = largest > 0.0 ? 1.0 / ((double)(j + 1) * largest * sqrt(sum)) : 1.0;
    }
    for (size_t i = 0; i < d->rows; i++) {
        double w = root_weight(weight, i);
        d->observed[i] = w * observed[i];
        for (size_t j = 0; j < d->columns; j++)
            d->matrix[i * d->columns + j] = w * design[i * d->columns + j] * d->scale[j];
    }
}

static void copy_triangle(struct decomposition *d)
{
    size_t p = d->columns;
    for (size_t i = 0; i < p; i++)
        for (size_t j = 0; j < p; j++)
            d->left[i * p + j] = j >= i ? d->matrix[i * p + j] : 0.0;
}

/* QR first, so that the iterative part works on a few numbers whatever the count of rows. */
static enum perpend_status decompose(struct decomposition *d)
{
    size_t p = d->columns;
    double work[MOST];
    gsl_matrix_view a = gsl_matrix_view_array(d->matrix, d->rows, p);
    gsl_vector_view y = gsl_vector_view_array(d->observed, d->rows);
    gsl_matrix_view t = gsl_matrix_view_array(d->reflector, p, p);
    gsl_vector_view w = gsl_vector_view_array(work, p);
    gsl_matrix_view u = gsl_matrix_view_array(d->left, p, p);
    gsl_matrix_view v = gsl_matrix_view_array(d->right, p, p);
    gsl_vector_view s = gsl_vector_view_array(d->singular, p);
    if (gsl_linalg_QR_decomp_r(&a.matrix, &t.matrix) != 0 ||
        gsl_linalg_QR_QTvec_r(&a.matrix, &t.matrix, &y.vector, &w.vector) != 0)
        return PERPEND_ERR_VALUE;
    copy_triangle(d);
    /* this one needs no memory of its own; the other one, which does, settles on every matrix */
    if (gsl_linalg_SV_decomp_jacobi(&u.matrix, &v.matrix, &s.vector) == 0)
        return PERPEND_OK;
    copy_triangle(d);
    return gsl_linalg_SV_decomp(&u.matrix, &v.matrix, &s.vector, &w.vector) == 0
               ? PERPEND_OK
               : PERPEND_ERR_CONVERGE;
}

static size_t numerical_rank(const struct decomposition *d)
{
    /* what rounding in that many rows can make of a singular value of zero */
    double noise = 16.0 * DBL_EPSILON * sqrt((double)d->rows) * d->singular[0];
    size_t rank = 0;
    for (size_t j = 0; j < d->columns; j++)
        rank += d->singular[j] > noise;
    return rank;
}

static void invert(struct decomposition *d)
{
    size_t p = d->columns;
    for (size_t j = 0; j < p; j++) {
        for (size_t k = 0; k < p; k++)
            d->inverse[j * p + k] = d->scale[j] * d->right[j * p + k] / d->singular[k];
    }
}

static void solution(const struct decomposition *d, struct perpend_least_squares *fit)
{
    size_t p = d->columns;
    double along[MOST];
    memset(fit->value, 0, sizeof fit->value);
    memset(fit->covariance, 0, sizeof fit->covariance);
    for (size_t k = 0; k < p; k++) {
        along[k] = 0.0;
        for (size_t i = 0; i < p; i++)
            along[k] += d->left[i * p + k] * d->observed[i];
    }
    for (size_t j = 0; j < p; j++) {
        for (size_t k = 0; k < p; k++)
            fit->value[j] += d->inverse[j * p + k] * along[k];
        for (size_t l = 0; l < p; l++) {
            for (size_t k = 0; k < p; k++)
                fit->covariance[j * MOST + l] += d->inverse[j * p + k] * d->inverse[l * p + k];
        }
    }
}

/* Leverage of one row: w |aᵀ D V S⁻¹|². */
static double row_leverage(const struct decomposition *d, const double *row, double weight)
{
    double sum = 0.0;
    for (size_t k = 0; k < d->columns; k++) {
        double part = 0.0;
        for (size_t j = 0; j < d->columns; j++)
            part += row[j] * d->inverse[j * d->columns + k];
        sum += part * part;
    }
    return fmin(sum * weight, 1.0);
}

static void rows_of_fit(const double *design, const double *observed, const double *weight,
    const struct decomposition *d, struct perpend_least_squares *fit, double *residual,
    double *leverage)
{
    fit->chi2 = 0.0;
    for (size_t i = 0; i < d->rows; i++) {
        const double *row = design + i * d->columns;
        double w = weight != NULL ? weight[i] : 1.0;
        double r = observed[i];
        for (size_t j = 0; j < d->columns; j++)
            r -= row[j] * fit->value[j];
        fit->chi2 += w * r * r;
        if (residual != NULL)
            residual[i] = r;
        if (leverage != NULL)
            leverage[i] = row_leverage(d, row, w);
    }
}

enum perpend_status perpend_least_squares_solve(const double *design, const double *observed,
    const double *weight, size_t rows, size_t columns, struct perpend_least_squares *fit,
    double *residual, double *leverage)
{
    enum perpend_status status = check(design, observed, weight, rows, columns);
    if (status != PERPEND_OK)
        return status;

    struct decomposition d = {.rows = rows, .columns = columns};
    d.matrix = malloc(rows * (columns + 1) * sizeof *d.matrix);
    if (d.matrix == NULL)
        return PERPEND_ERR_MEMORY;
    d.observed = d.matrix + rows * columns;
    scale_problem(design, observed, weight, &d);
    if (!all_finite(d.matrix, rows * (columns + 1))) {
        status = PERPEND_ERR_VALUE;
        goto done;
    }
    status = decompose(&d);
    if (status != PERPEND_OK)
        goto done;
    fit->rank = numerical_rank(&d);
    if (fit->rank < columns) {
        status = PERPEND_ERR_UNDETERMINED;
        goto done;
    }
    invert(&d);
    solution(&d, fit);
    rows_of_fit(design, observed, weight, &d, fit, residual, leverage);
done:
    free(d.matrix);
    return status;
}

enum perpend_status perpend_studentised_residuals(const double *residual, const double *leverage,
    const double *weight, size_t rows, size_t columns, double *studentised)
{
    if (rows <= columns + 1)
        return PERPEND_ERR_VALUE;
    double chi2 = 0.0;
    for (size_t i = 0; i < rows; i++)
        chi2 += (weight != NULL ? weight[i] : 1.0) * residual[i] * residual[i];
    for (size_t i = 0; i < rows; i++) {
        double free_part = 1.0 - leverage[i];
        double weighted = root_weight(weight, i) * residual[i];
        if (free_part < 1e-10 || weighted == 0.0) {
            studentised[i] = 0.0;
            continue;
        }
        /* what is left of chi2 when this observation is taken out */
        double without = fmax(chi2 - weighted * weighted / free_part, 0.0);
        studentised[i] = weighted / sqrt(free_part * without / (double)(rows - columns - 1));
    }
    return PERPEND_OK;
}
