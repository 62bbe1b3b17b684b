/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_cdf.h>

#include <perpend/fit.h>
#include <perpend/least_squares.h>
#include <perpend/status.h>
#include <perpend/units.h>

#include "core/base/covariance.h"
#include "core/fit/repeats.h"
#include "core/fit/suspect.h"
#include "core/fit/sweep_model.h"

#define STRIDE PERPEND_LEAST_SQUARES_MOST_PARAMETERS
#define MOST_ROUNDS 60
/* The weights follow the lean for this many rounds, then stand still so that the rest settles. */
#define WEIGHT_ROUNDS 20
#define SETTLED 1e-13 /* change of a slope in one round */
#define NEARLY_SETTLED 1e-10
/* No spread counts as known worse than from this many repeats: below it the factor runs away. */
#define FEWEST_DOF 2.0
#define WIDEN_BELOW 0.05 /* chance of chi2 under which the Birge ratio widens */

/* One measurement being solved: what was given, working arrays with one entry a reading, answers.
 */
struct solving {
    const struct perpend_reading *readings;
    size_t count;
    const struct perpend_setup *setup;
    double factor; /* mm of gap per mm of reading */
    double spread; /* mm of reading, stated or pooled */
    struct sweep_model model;
    size_t *group, *members; /* of repeats; readings in each group */
    double *design, *off, *weight, *variance, *natural, *residual, *leverage;
    double parameters[SWEEP_MODEL_MOST];
    struct perpend_least_squares solved;
};

static bool at_least_zero(double value)
{
    return isfinite(value) && value >= 0.0;
}

static bool bed_is_valid(const struct perpend_setup *setup)
{
    const struct perpend_slope_covariance *c = &setup->bed_covariance;
    return isfinite(setup->bed.right) && isfinite(setup->bed.back) &&
           at_least_zero(c->right_right) && at_least_zero(c->back_back) && isfinite(c->right_back);
}

static bool setup_is_valid(const struct perpend_setup *setup)
{
    const struct perpend_gauge *gauge = &setup->gauge;
    const struct perpend_arm *arm = &setup->arm;
    return arm->length > 0.0 && isfinite(arm->length) && at_least_zero(arm->relative_uncertainty) &&
           at_least_zero(arm->bearing_uncertainty) && gauge->kind >= PERPEND_GAUGE_GAP &&
           gauge->kind < PERPEND_GAUGE_KINDS && gauge->step > 0.0 && isfinite(gauge->step) &&
           (isnan(gauge->spread) || at_least_zero(gauge->spread)) &&
           (!setup_knows_bed(setup) || bed_is_valid(setup)) &&
           (gauge->kind != PERPEND_GAUGE_LEVER ||
               (at_least_zero(gauge->angle) && gauge->angle < PERPEND_PI / 2.0));
}

static bool readings_are_valid(const struct perpend_reading *readings, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (!isfinite(readings[i].bearing) || !isfinite(readings[i].value) ||
            !isfinite(readings[i].x) || !isfinite(readings[i].y))
            return false;
    }
    return true;
}

static void solving_finish(struct solving *s)
{
    free(s->group);
    free(s->design);
}

static enum perpend_status solving_init(struct solving *s, const struct perpend_reading *readings,
    size_t count, const struct perpend_setup *setup)
{
    *s = (struct solving){.readings = readings, .count = count, .setup = setup};
    s->factor = perpend_gauge_gap_per_reading(&setup->gauge);
    if (count > SIZE_MAX / sizeof(double) / (SWEEP_MODEL_MOST + 6))
        return PERPEND_ERR_MEMORY;
    s->group = calloc(count + 1, 2 * sizeof *s->group);
    s->design = calloc(count + 1, (SWEEP_MODEL_MOST + 6) * sizeof *s->design);
    if (s->group == NULL || s->design == NULL)
        return PERPEND_ERR_MEMORY;
    s->members = s->group + count;
    s->off = s->design + SWEEP_MODEL_MOST * count;
    s->weight = s->off + count;
    s->variance = s->weight + count;
    s->natural = s->variance + count;
    s->residual = s->natural + count;
    s->leverage = s->residual + count;
    return PERPEND_OK;
}

static enum perpend_status find_spread(struct solving *s, struct perpend_fit *fit)
{
    size_t groups;
    int dof;
    enum perpend_status status = repeats_group(s->readings, s->count, s->group, &groups);
    if (status != PERPEND_OK)
        return status;
    for (size_t i = 0; i < s->count; i++)
        s->members[s->group[i]]++;
    s->spread = s->setup->gauge.spread;
    if (isnan(s->spread)) {
        status = repeats_pooled_spread(s->readings, s->count, s->group, groups, &s->spread, &dof);
        fit->quality.spread_dof = dof;
    }
    fit->quality.spread_used = s->spread;
    fit->quality.reading_uncertainty = perpend_gauge_uncertainty(&s->setup->gauge, s->spread);
    return status;
}

/*
 * Variance of the gap by the arm's bearing, mm²: first and second order (JCGM 100, 5.1.2, note), so
 * that a coarse aim counts on top of the wave as well, where the slope vanishes.
 */
static double aim_variance(const struct solving *s, double bearing)
{
    const struct perpend_arm *arm = &s->setup->arm;
    double right = sin(bearing), back = cos(bearing), u = arm->bearing_uncertainty;
    double first = arm->length * (s->parameters[1] * back - s->parameters[2] * right) * u;
    double second = arm->length * (s->parameters[1] * right + s->parameters[2] * back) * u * u;
    return first * first + 0.5 * second * second;
}

/*
 * Variance of each reading, mm² of gap: step, spread, and the arm's bearing, which the lean turns
 * into gap. Repeats share part of their rounding, so that their mean does not shed it; carried as
 * so much more variance on each of them that the mean's comes out right.
 */
static void find_variance(struct solving *s)
{
    const struct perpend_gauge *gauge = &s->setup->gauge;
    double scale = fabs(s->factor);
    double step = scale * gauge->step, spread = scale * s->spread;
    double stated = isnan(gauge->spread) ? 0.0 : spread, rounding = step * step / 12.0;
    for (size_t i = 0; i < s->count; i++) {
        double aim = aim_variance(s, s->readings[i].bearing);
        double motion = spread * spread + aim;
        double repeats = (double)(s->members[s->group[i]] - 1);
        double shared = repeats > 0.0 ? repeats_shared_rounding(sqrt(motion) / step) : 0.0;
        s->variance[i] = motion + rounding * (1.0 + repeats * shared);
        s->natural[i] = stated * stated + aim + rounding;
        s->weight[i] = 1.0 / s->variance[i];
    }
}

/* One round of Gauss–Newton; `change` is the largest change of a slope. */
static enum perpend_status one_round(struct solving *s, bool follow_lean, double *change)
{
    size_t p = s->model.parameters;
    if (follow_lean)
        find_variance(s);
    for (size_t i = 0; i < s->count; i++)
        s->off[i] = s->factor * s->readings[i].value -
                    sweep_model_gap(&s->model, s->parameters, &s->readings[i], s->design + i * p);
    enum perpend_status status = perpend_least_squares_solve(
        s->design, s->off, s->weight, s->count, p, &s->solved, s->residual, s->leverage);
    /* the readings do determine the form, level: here the numbers have run away */
    if (status == PERPEND_ERR_VALUE || status == PERPEND_ERR_UNDETERMINED)
        return PERPEND_ERR_CONVERGE;
    if (status != PERPEND_OK)
        return status;
    *change = fabs(s->solved.value[0]) / s->model.radius;
    for (size_t j = 0; j < p; j++) {
        s->parameters[j] += s->solved.value[j];
        if (j > 0)
            *change = fmax(*change, fabs(s->solved.value[j]));
    }
    return isfinite(*change) && isfinite(s->solved.chi2) ? PERPEND_OK : PERPEND_ERR_CONVERGE;
}

static enum perpend_status iterate(struct solving *s)
{
    double change = INFINITY, largest = 0.0;
    for (size_t i = 0; i < s->count; i++)
        largest = fmax(largest, fabs(s->factor * s->readings[i].value));
    /* rounding of readings far from zero (a Z of hundreds of mm) sets a floor of its own */
    double settled = SETTLED * (1.0 + largest / s->model.radius);
    for (int round = 0; round < MOST_ROUNDS && change > settled; round++) {
        enum perpend_status status = one_round(s, round < WEIGHT_ROUNDS, &change);
        if (status != PERPEND_OK)
            return status;
    }
    return change <= NEARLY_SETTLED * (1.0 + largest / s->model.radius) ? PERPEND_OK
                                                                        : PERPEND_ERR_CONVERGE;
}

static struct perpend_slope_covariance scaled(struct perpend_slope_covariance c, double factor)
{
    return (struct perpend_slope_covariance){
        c.right_right * factor, c.right_back * factor, c.back_back * factor};
}

/*
 * A spread pooled from few repeats is itself uncertain. The root of the factor by which a
 * covariance must grow so that the region that holds 95 % when the spread is known still does: JCGM
 * 100, G.3 and G.4, with F's quantile in the place of Student's for the two components of the lean.
 * With two degrees of freedom above, F and chi-square have closed quantiles, whose quotient is
 * this.
 */
static double few_repeats(const struct solving *s, const struct perpend_fit *fit)
{
    if (fit->quality.spread_dof == 0 || s->spread == 0.0)
        return 1.0;
    double pooled = s->factor * s->spread, variance = 0.0;
    for (size_t i = 0; i < s->count; i++)
        variance += s->variance[i] / (double)s->count;
    double ratio = variance / (pooled * pooled);
    double dof =
        fmax(fit->quality.spread_dof * ratio * ratio, FEWEST_DOF); /* Welch and Satterthwaite */
    double x = -2.0 * log(0.05) / dof;
    return x > 0.0 ? sqrt(expm1(x) / x) : 1.0;
}

static void judge(const struct solving *s, struct perpend_fit *fit)
{
    double squares = 0.0;
    fit->quality.readings = s->count;
    fit->quality.parameters = s->model.parameters;
    fit->quality.dof = (int)(s->count - s->model.parameters);
    for (size_t i = 0; i < s->count; i++) {
        double reading = s->residual[i] / s->factor;
        squares += reading * reading;
    }
    fit->quality.rms = sqrt(squares / (double)s->count);
    fit->quality.chi2 = s->solved.chi2;
    fit->quality.p =
        fit->quality.dof > 0 ? gsl_cdf_chisq_Q(fit->quality.chi2, fit->quality.dof) : 1.0;
    fit->quality.birge =
        fit->quality.p < WIDEN_BELOW ? fmax(sqrt(fit->quality.chi2 / fit->quality.dof), 1.0) : 1.0;
    fit->quality.few_repeats = few_repeats(s, fit);
}

/* c as the gap at the axis over X = Y = 0, and its variance. */
static void answer_centre(const struct solving *s, struct perpend_fit *fit)
{
    const struct sweep_model *m = &s->model;
    const double *p = s->parameters;
    double lever[SWEEP_MODEL_MOST] = {1.0}, variance = 0.0;
    fit->centre = p[0];
    fit->travel = sweep_model_bed(m, p);
    if (m->bed == SWEEP_MODEL_LINE) {
        fit->travel = (struct perpend_slope){p[3] * m->along.right, p[3] * m->along.back};
        lever[3] = m->x * m->along.right + m->y * m->along.back;
    } else if (m->bed == SWEEP_MODEL_PLANE) {
        lever[3] = m->x;
        lever[4] = m->y;
    }
    fit->centre += fit->travel.right * m->x + fit->travel.back * m->y;
    for (size_t i = 0; i < m->parameters; i++) {
        for (size_t j = 0; j < m->parameters; j++)
            variance += lever[i] * lever[j] * s->solved.covariance[i * STRIDE + j];
    }
    fit->centre_uncertainty = fmax(fit->quality.birge, fit->quality.few_repeats) * sqrt(variance);
}

static void answer(const struct solving *s, struct perpend_fit *fit)
{
    const double *p = s->parameters, *c = s->solved.covariance;
    double widen = fmax(fit->quality.birge, fit->quality.few_repeats);
    widen *= widen;
    double arm = s->setup->arm.relative_uncertainty * s->setup->arm.relative_uncertainty;
    bool known = setup_knows_bed(s->setup);
    fit->bed_separated = s->model.bed == SWEEP_MODEL_PLANE || known;
    fit->includes_bed = !s->setup->bed_faced && !fit->bed_separated;
    fit->lean = sweep_model_lean(&s->model, p);
    /* the arm's length scales t + b as a whole; b itself comes from the carriage's travel */
    struct perpend_slope_covariance of_arm = {
        arm * p[1] * p[1], arm * p[1] * p[2], arm * p[2] * p[2]};
    fit->lean_covariance =
        covariance_sum(scaled(sweep_model_lean_covariance(&s->model, c), widen), of_arm);
    fit->sum_covariance = covariance_sum(scaled((struct perpend_slope_covariance){c[1 * STRIDE + 1],
                                                    c[1 * STRIDE + 2], c[2 * STRIDE + 2]},
                                             widen),
        of_arm);
    if (known) {
        fit->bed = s->model.known;
        fit->bed_covariance = s->setup->bed_covariance;
        fit->lean_covariance = covariance_sum(fit->lean_covariance, fit->bed_covariance);
    } else if (fit->bed_separated) {
        fit->bed = sweep_model_bed(&s->model, p);
        fit->bed_covariance = scaled((struct perpend_slope_covariance){c[3 * STRIDE + 3],
                                         c[3 * STRIDE + 4], c[4 * STRIDE + 4]},
            widen);
    }
    answer_centre(s, fit);
}

static enum perpend_status solve(struct solving *s, struct perpend_fit *fit)
{
    enum perpend_status status = sweep_model_choose(s->readings, s->count, s->setup, &s->model);
    if (status == PERPEND_OK)
        status = find_spread(s, fit);
    if (status == PERPEND_OK)
        status = iterate(s);
    if (status != PERPEND_OK)
        return status;
    judge(s, fit);
    answer(s, fit);
    return PERPEND_OK;
}

/* The answer with the suspect, and its twin if it has one, left out. */
static enum perpend_status answer_without(const struct solving *s, struct perpend_fit *fit)
{
    struct solving rest = {.count = 0};
    struct perpend_fit without = {.quality.readings = 0};
    struct perpend_reading *kept = malloc(s->count * sizeof *kept);
    size_t count = 0;
    if (kept == NULL)
        return PERPEND_ERR_MEMORY;
    for (size_t i = 0; i < s->count; i++) {
        if (!perpend_fit_suspects(fit, i))
            kept[count++] = s->readings[i];
    }
    enum perpend_status status = solving_init(&rest, kept, count, s->setup);
    if (status == PERPEND_OK)
        status = solve(&rest, &without);
    fit->suspect.has_lean_without =
        status == PERPEND_OK && without.includes_bed == fit->includes_bed;
    if (fit->suspect.has_lean_without) {
        fit->suspect.lean_without = without.lean;
        fit->suspect.lean_without_covariance = without.lean_covariance;
    }
    solving_finish(&rest);
    free(kept);
    return status == PERPEND_ERR_MEMORY ? status : PERPEND_OK;
}

enum perpend_status perpend_fit_readings(const struct perpend_reading *readings, size_t count,
    const struct perpend_setup *setup, double *residual, struct perpend_fit *fit)
{
    struct solving s;
    *fit = (struct perpend_fit){.quality.readings = count, .suspect.index = PERPEND_FIT_NO_SUSPECT};
    if (!setup_is_valid(setup) || !readings_are_valid(readings, count))
        return PERPEND_ERR_VALUE;
    enum perpend_status status = solving_init(&s, readings, count, setup);
    if (status != PERPEND_OK)
        goto done;
    status = solve(&s, fit);
    if (status == PERPEND_ERR_UNDETERMINED) {
        *fit = (struct perpend_fit){
            .quality.readings = count, .suspect.index = PERPEND_FIT_NO_SUSPECT};
        if (sweep_model_need(readings, count, setup, &s.model, true, fit) == PERPEND_ERR_MEMORY)
            status = PERPEND_ERR_MEMORY;
    }
    if (status != PERPEND_OK)
        goto done;

    const struct suspect_rows rows = {count, s.model.parameters, s.residual, s.leverage, s.weight,
        s.natural, fabs(s.factor) * setup->gauge.step};
    status = suspect_find(&rows, fit);
    if (status == PERPEND_OK && fit->suspect.index != PERPEND_FIT_NO_SUSPECT)
        status = answer_without(&s, fit);
    if (status == PERPEND_OK)
        status = sweep_model_need(readings, count, setup, &s.model, false, fit);
    if (status != PERPEND_OK)
        goto done;
    suspect_closure(readings, count, s.factor, s.variance, fit);
    for (size_t i = 0; residual != NULL && i < count; i++)
        residual[i] = s.residual[i] / s.factor;
done:
    solving_finish(&s);
    return status;
}

bool perpend_fit_suspects(const struct perpend_fit *fit, size_t index)
{
    return index == fit->suspect.index || (fit->suspect.has_twin && index == fit->suspect.twin);
}

struct perpend_slope perpend_fit_sum(const struct perpend_fit *fit)
{
    return (struct perpend_slope){fit->lean.right + fit->bed.right, fit->lean.back + fit->bed.back};
}

double perpend_fit_predict(const struct perpend_fit *fit, const struct perpend_setup *setup,
    double bearing, double x, double y)
{
    const struct perpend_slope none = {0.0, 0.0};
    double gap;
    if (fit->bed_separated)
        gap = fit->centre + perpend_gap(fit->lean, fit->bed, setup->arm.length, bearing, x, y);
    else
        gap = fit->centre + perpend_gap(fit->lean, none, setup->arm.length, bearing, x, y) -
              (fit->travel.right * x + fit->travel.back * y);
    return gap / perpend_gauge_gap_per_reading(&setup->gauge);
}
