/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>

#include <perpend/board.h>

#include "core/base/covariance.h"
#include "core/fit/least_squares.h"
#include "core/fit/suspect.h"

#define MOST PERPEND_TOUCHES_MOST
#define PLANE 3 /* parameters: height at the middle of the touches, slope */
#define ROUNDS 40
#define SHORTEST 40.0 /* waves, mm */
#define LONGEST 320.0
#define FIRST_REACH 80.0 /* mm, from a touch to the next */
/* Off their line by less than this share of its length, touches make a slope that is 50 times worse. */
#define IN_A_LINE 0.02
/* Of the waves' variance, into each reading's: touches that nearly coincide so stay apart in the numbers. */
#define APART 1e-6
#define ALONE 1e-9 /* mm: waves so short that no touch knows of another */

/* What is asked of a place between the touches is answered by the covariance K of the touches: its
   Cholesky factor L, the plane's columns whitened, L⁻¹A, and K⁻¹ (height − plane). */
struct perpend_surface {
    size_t count;
    double middle_x, middle_y;
    double scale;  /* of all variances */
    double waves;  /* variance, mm² */
    double length; /* of the waves, mm */
    struct least_squares plane;
    double factor[MOST * MOST], columns[MOST * PLANE];
    double x[MOST], y[MOST], height[MOST], pull[MOST], room[MOST], leverage[MOST];
};

double perpend_touch_height(const struct perpend_gauge *gauge, const struct perpend_reading *touch)
{
    return -perpend_gauge_gap_per_reading(gauge) * touch->value;
}

/* Matérn's of order 3/2: waves that are smooth, but no more than that. */
static double alike(const struct perpend_surface *s, double dx, double dy)
{
    double apart = sqrt(3.0) * hypot(dx, dy) / s->length;
    return (1.0 + apart) * exp(-apart);
}

void perpend_survey_finish(struct perpend_survey *survey)
{
    if (survey == NULL)
        return;
    free(survey->surface);
    survey->surface = NULL;
}

/* Where another touch tells most: the corner that is farthest off the line of the touches so far; a little
   inside, for a tip has to stand there. Without a board the corners lie as far off as the touches reach. */
static void need_place(
    const struct perpend_surface *s, struct perpend_slope along, struct perpend_survey *survey)
{
    struct perpend_area area = survey->area;
    double best = -1.0, reach = FIRST_REACH;
    for (size_t i = 0; i < s->count; i++)
        reach = fmax(reach, hypot(s->x[i], s->y[i]));
    if (!(area.wide > 0.0))
        area = (struct perpend_area){
            s->middle_x - reach, s->middle_y - reach, 2.0 * reach, 2.0 * reach};
    for (int corner = 0; corner < 4; corner++) {
        double x = area.x + area.wide * (corner % 2 == 0 ? 0.05 : 0.95);
        double y = area.y + area.deep * (corner / 2 == 0 ? 0.05 : 0.95);
        double dx = x - s->middle_x, dy = y - s->middle_y;
        double off = s->count < 2 ? hypot(dx, dy) : fabs(dy * along.right - dx * along.back);
        if (off > best * (1.0 + 1e-9)) {
            best = off;
            survey->need_x = x;
            survey->need_y = y;
        }
    }
}

/* The touches from their middle; whether they make a plane. */
static bool lay_out(struct perpend_surface *s, const struct perpend_reading *touches,
    const struct perpend_setup *setup, struct perpend_survey *survey)
{
    struct perpend_slope_covariance scatter = {0.0, 0.0, 0.0};
    struct perpend_point low = {INFINITY, INFINITY, 0.0}, high = {-INFINITY, -INFINITY, 0.0};
    for (size_t i = 0; i < s->count; i++) {
        s->middle_x += touches[i].x / (double)s->count;
        s->middle_y += touches[i].y / (double)s->count;
        s->height[i] = perpend_touch_height(&setup->gauge, &touches[i]);
        low = (struct perpend_point){
            fmin(low.right, touches[i].x), fmin(low.back, touches[i].y), 0.0};
        high = (struct perpend_point){
            fmax(high.right, touches[i].x), fmax(high.back, touches[i].y), 0.0};
    }
    for (size_t i = 0; i < s->count; i++) {
        s->x[i] = touches[i].x - s->middle_x;
        s->y[i] = touches[i].y - s->middle_y;
        scatter.right_right += s->x[i] * s->x[i];
        scatter.right_back += s->x[i] * s->y[i];
        scatter.back_back += s->y[i] * s->y[i];
    }
    struct principal_axes axes = principal_axes(scatter);
    if (!(s->count >= PLANE && axes.smaller > IN_A_LINE * IN_A_LINE * axes.larger)) {
        need_place(s, axes.direction, survey);
        return false;
    }
    if (!(survey->area.wide > 0.0))
        survey->area = (struct perpend_area){
            low.right, low.back, high.right - low.right, high.back - low.back};
    return true;
}

/* Generalised least squares: rows whitened by L of K = L Lᵀ are plain ones. */
static enum perpend_status solve_plane(struct perpend_surface *s, double reading)
{
    const size_t n = s->count;
    gsl_matrix_view k = gsl_matrix_view_array(s->factor, n, n);
    gsl_vector_view y = gsl_vector_view_array(s->pull, n);
    gsl_matrix_view a = gsl_matrix_view_array(s->columns, n, PLANE);
    for (size_t i = 0; i < n; i++) {
        const double row[PLANE] = {1.0, s->x[i], s->y[i]};
        for (size_t j = 0; j < n; j++)
            s->factor[i * n + j] = s->waves * alike(s, s->x[i] - s->x[j], s->y[i] - s->y[j]) +
                                   (i == j ? reading + APART * s->waves : 0.0);
        for (size_t j = 0; j < PLANE; j++)
            s->columns[i * PLANE + j] = row[j];
        s->pull[i] = s->height[i];
    }
    if (gsl_linalg_cholesky_decomp1(&k.matrix) != 0)
        return PERPEND_ERR_VALUE;
    gsl_blas_dtrsm(CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, 1.0, &k.matrix, &a.matrix);
    gsl_blas_dtrsv(CblasLower, CblasNoTrans, CblasNonUnit, &k.matrix, &y.vector);
    const struct linear_problem problem = {s->columns, s->pull, NULL, n, PLANE};
    enum perpend_status status = least_squares_solve(&problem, &s->plane, s->room, s->leverage);
    for (size_t i = 0; i < n; i++)
        s->pull[i] = s->room[i];
    gsl_blas_dtrsv(CblasLower, CblasTrans, CblasNonUnit, &k.matrix, &y.vector);
    return status;
}

/* The readings' own part is known from the gauge; what they scatter more or less is the waves'. As for a
   sweep there is one scale, from the touches and, worth four degrees of freedom, from what such a board
   is like; here the waves take it all until it is 1. Value in `score`: how likely the touches are of
   waves so long, −2 ln of it. */
static enum perpend_status waves_so_long(
    struct perpend_surface *s, const struct perpend_setup *setup, double dof, double *score)
{
    const double own = perpend_gauge_uncertainty(&setup->gauge), reading = own * own;
    const double usual = perpend_bed_waves(setup), before = reading + usual * usual;
    const double least = 0.01 * reading, *c = s->plane.covariance;
    double total, next = fmax(usual * usual, least);
    for (int round = 0; round < ROUNDS; round++) {
        double change = fabs(next - s->waves);
        s->waves = next;
        total = reading + s->waves;
        enum perpend_status status = solve_plane(s, reading);
        if (status != PERPEND_OK)
            return status;
        s->scale = (PERPEND_GUESSED * before / total + s->plane.chi2) / dof;
        next = fmax(s->scale * total - reading, least);
        if (round > 0 && change <= 1e-6 * s->waves)
            break;
    }
    *score = dof * s->scale + PERPEND_GUESSED * log(total);
    for (size_t i = 0; i < s->count; i++)
        *score += 2.0 * log(s->factor[i * (s->count + 1)]);
    const size_t m = LEAST_SQUARES_MOST;
    *score -= log(c[0] * (c[m + 1] * c[2 * m + 2] - c[m + 2] * c[m + 2]) -
                  c[1] * (c[1] * c[2 * m + 2] - c[m + 2] * c[2]) +
                  c[2] * (c[1] * c[m + 2] - c[m + 1] * c[2]));
    return PERPEND_OK;
}

/* The likeliest length; solved for it at the end. */
static enum perpend_status find_waves(
    struct perpend_surface *s, const struct perpend_setup *setup, struct perpend_survey *survey)
{
    double best = INFINITY, score = INFINITY;
    enum perpend_status status = PERPEND_OK;
    survey->dof = PERPEND_GUESSED + (double)(s->count - PLANE);
    for (s->length = SHORTEST; s->length <= LONGEST && status == PERPEND_OK; s->length *= 2.0) {
        status = waves_so_long(s, setup, survey->dof, &score);
        survey->length = score < best ? s->length : survey->length;
        best = fmin(score, best);
    }
    s->length = survey->length;
    if (status == PERPEND_OK)
        status = waves_so_long(s, setup, survey->dof, &score);
    survey->waves = sqrt(s->waves);
    return status;
}

/* How far each touch is off the plane. */
static void find_off(const struct perpend_surface *s, struct perpend_survey *survey)
{
    double off[MOST] = {0.0};
    for (size_t i = 0; i < s->count; i++) {
        const double *p = s->plane.value;
        off[i] = s->height[i] - p[0] - p[1] * s->x[i] - p[2] * s->y[i];
        survey->top = off[i] > off[survey->top] ? i : survey->top;
        survey->bottom = off[i] < off[survey->bottom] ? i : survey->bottom;
        survey->highest = s->height[i] > s->height[survey->highest] ? i : survey->highest;
    }
    survey->over = off[survey->top];
    survey->under = -off[survey->bottom];
}

/* As in a sweep, touch by touch, with the waves as so much scatter: a misread touch stands alone. The
   plane is solved anew for it, and then as it was. */
static enum perpend_status find_suspect(struct perpend_surface *s,
    const struct perpend_reading *touches, const struct perpend_setup *setup,
    struct perpend_survey *survey)
{
    const size_t n = s->count;
    double own = perpend_gauge_uncertainty(&setup->gauge), length = s->length;
    double factor = -perpend_gauge_gap_per_reading(&setup->gauge);
    double variance = own * own + (1.0 + APART) * s->waves;
    struct perpend_fit fit = {.suspect.index = PERPEND_FIT_NO_SUSPECT};
    s->length = ALONE;
    enum perpend_status status = solve_plane(s, own * own);
    for (size_t i = 0; i < n; i++) {
        s->room[i] *= sqrt(variance);
        s->pull[i] = 1.0 / variance;
    }
    const struct suspect_rows rows = {touches,
        {s->room, s->leverage, s->pull, n, PLANE, PERPEND_GUESSED}, factor,
        fabs(factor) * setup->gauge.step};
    if (status == PERPEND_OK)
        status = suspect_find(&rows, &fit);
    survey->suspect = fit.suspect;
    s->length = length;
    return status == PERPEND_OK ? solve_plane(s, own * own) : status;
}

static bool all_valid(
    const struct perpend_reading *touches, size_t count, const struct perpend_setup *setup)
{
    double sum = perpend_gauge_uncertainty(&setup->gauge) + perpend_bed_waves(setup);
    for (size_t i = 0; i < count && count <= MOST; i++)
        sum += fabs(touches[i].x) + fabs(touches[i].y) + fabs(touches[i].value);
    return isfinite(sum) && setup->gauge.step > 0.0 && count <= MOST;
}

enum perpend_status perpend_survey_fit(const struct perpend_reading *touches, size_t count,
    const struct perpend_setup *setup, const struct perpend_area *area,
    struct perpend_survey *survey)
{
    *survey = (struct perpend_survey){.touch_count = count, .area = *area};
    if (!all_valid(touches, count, setup))
        return PERPEND_ERR_VALUE;
    struct perpend_surface *s = survey->surface = calloc(1, sizeof *s);
    if (s == NULL)
        return PERPEND_ERR_MEMORY;
    s->count = count;
    enum perpend_status status = lay_out(s, touches, setup, survey) ? find_waves(s, setup, survey)
                                                                    : PERPEND_ERR_UNDETERMINED;
    if (status == PERPEND_OK) {
        const double *c = s->plane.covariance;
        survey->slope = (struct perpend_slope){s->plane.value[1], s->plane.value[2]};
        s->scale *= survey->dof / (survey->dof - 2.0); /* from a t's scale to its variance */
        survey->covariance = (struct perpend_slope_covariance){s->scale * c[LEAST_SQUARES_MOST + 1],
            s->scale * c[LEAST_SQUARES_MOST + 2], s->scale * c[2 * LEAST_SQUARES_MOST + 2]};
        find_off(s, survey);
        status = find_suspect(s, touches, setup, survey);
    }
    if (status != PERPEND_OK)
        perpend_survey_finish(survey);
    return status;
}

double perpend_survey_rise(const struct perpend_survey *survey, struct perpend_point from,
    struct perpend_point to, double *variance)
{
    const struct perpend_surface *s = survey->surface;
    const size_t n = s->count;
    const double dx = to.right - from.right, dy = to.back - from.back;
    double room[MOST], lever[PLANE] = {0.0, dx, dy};
    double rise = s->plane.value[1] * dx + s->plane.value[2] * dy;
    gsl_matrix_const_view l = gsl_matrix_const_view_array(s->factor, n, n);
    gsl_vector_view v = gsl_vector_view_array(room, n);
    for (size_t i = 0; i < n; i++) {
        double x = s->x[i] + s->middle_x, y = s->y[i] + s->middle_y;
        room[i] = s->waves *
                  (alike(s, to.right - x, to.back - y) - alike(s, from.right - x, from.back - y));
        rise += room[i] * s->pull[i];
    }
    if (variance == NULL)
        return rise;
    gsl_blas_dtrsv(CblasLower, CblasNoTrans, CblasNonUnit, &l.matrix, &v.vector);
    double sum = 2.0 * s->waves * (1.0 - alike(s, dx, dy));
    for (size_t i = 0; i < n; i++) {
        sum -= room[i] * room[i];
        for (size_t j = 0; j < PLANE; j++)
            lever[j] -= s->columns[i * PLANE + j] * room[i];
    }
    for (size_t i = 0; i < PLANE; i++)
        for (size_t j = 0; j < PLANE; j++)
            sum += lever[i] * s->plane.covariance[i * LEAST_SQUARES_MOST + j] * lever[j];
    *variance = s->scale * fmax(sum, 0.0);
    return rise;
}
