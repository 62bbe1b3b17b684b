/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_cdf.h>

#include <perpend/fit.h>
#include "core/fit/least_squares.h"
#include <perpend/status.h>
#include <perpend/units.h>

#include "core/base/covariance.h"
#include "core/fit/expected_fit.h"
#include "core/fit/suspect.h"
#include "core/fit/sweep_model.h"

#define STRIDE LEAST_SQUARES_MOST
#define MOST_ROUNDS 60
/* The weights follow the lean for this many rounds, then stand still so that the rest settles. */
#define WEIGHT_ROUNDS 20
#define SETTLED 1e-13 /* change of a slope in one round */
#define NEARLY_SETTLED 1e-10
/* Waves are as long as the arm, and each bearing has its own rounding: both average out over this
   many bearings at a place, and no further however many there are. */
#define BEARINGS_OF_WAVES 4.0
#define NEAR 0.9   /* of the arm: places nearer than this share their waves */
#define PAIRED 500 /* readings that are looked at for it, at most twice as many */

/* One measurement being solved: what was given, working arrays with one entry a reading, answers.
 */
struct solving {
    const struct perpend_reading *readings;
    size_t count;
    const struct perpend_setup *setup;
    double factor; /* mm of gap per mm of reading */
    double known;  /* the scale, when it is given; NAN when the readings are to tell it */
    struct sweep_model model;
    double *design, *off, *weight, *variance, *residual, *leverage;
    double parameters[SWEEP_MODEL_MOST];
    struct least_squares solved;
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
    return arm->length > 0.0 && isfinite(arm->length) &&
           (isnan(arm->relative_uncertainty) || at_least_zero(arm->relative_uncertainty)) &&
           at_least_zero(arm->bearing_uncertainty) && at_least_zero(arm->turned_uncertainty) &&
           (isnan(setup->waves) || at_least_zero(setup->waves)) &&
           gauge->kind >= PERPEND_GAUGE_GAP && gauge->kind < PERPEND_GAUGE_KINDS &&
           gauge->step > 0.0 && isfinite(gauge->step) &&
           (isnan(gauge->spread) || at_least_zero(gauge->spread)) &&
           (!setup_knows_bed(setup) || bed_is_valid(setup)) &&
           (!perpend_gauge_at((size_t)gauge->kind)->angled ||
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
    free(s->design);
}

static enum perpend_status solving_init(struct solving *s, const struct perpend_reading *readings,
    size_t count, const struct perpend_setup *setup)
{
    *s = (struct solving){.readings = readings, .count = count, .setup = setup, .known = NAN};
    s->factor = perpend_gauge_gap_per_reading(&setup->gauge);
    if (count > SIZE_MAX / sizeof(double) / (SWEEP_MODEL_MOST + 5))
        return PERPEND_ERR_MEMORY;
    s->design = calloc(count + 1, (SWEEP_MODEL_MOST + 5) * sizeof *s->design);
    if (s->design == NULL)
        return PERPEND_ERR_MEMORY;
    s->off = s->design + SWEEP_MODEL_MOST * count;
    s->weight = s->off + count;
    s->variance = s->weight + count;
    s->residual = s->variance + count;
    s->leverage = s->residual + count;
    return PERPEND_OK;
}

double perpend_bed_waves(const struct perpend_setup *setup)
{
    if (!isnan(setup->waves))
        return setup->waves;
    return setup->bed_faced ? PERPEND_WAVES_FACED : PERPEND_WAVES_AS_FOUND;
}

/*
 * Variance of the gap by the arm's bearing, mm²: first and second order (JCGM 100, 5.1.2, note), so
 * that a coarse aim also counts where the gap is least or most and its slope vanishes.
 */
static double aim_variance(const struct solving *s, double bearing)
{
    const struct perpend_arm *arm = &s->setup->arm;
    double right = sin(bearing), back = cos(bearing), u = arm->bearing_uncertainty;
    double first = arm->length * (s->parameters[1] * back - s->parameters[2] * right) * u;
    double second = arm->length * (s->parameters[1] * right + s->parameters[2] * back) * u * u;
    return first * first + 0.5 * second * second;
}

/* Variance of each reading, mm² of gap: step, scatter, the board's waves, and the arm's bearing, which
   the lean turns into gap. */
static void find_variance(struct solving *s)
{
    double reading = perpend_gauge_uncertainty(&s->setup->gauge);
    double waves = perpend_bed_waves(s->setup);
    for (size_t i = 0; i < s->count; i++) {
        s->variance[i] =
            reading * reading + waves * waves + aim_variance(s, s->readings[i].bearing);
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
    enum perpend_status status =
        least_squares_solve(&(struct linear_problem){s->design, s->off, s->weight, s->count, p},
            &s->solved, s->residual, s->leverage);
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

/* What was known of the readings' variances before they were taken. */
static double known_before(const struct perpend_setup *setup)
{
    return isnan(setup->gauge.spread) ? PERPEND_GUESSED : PERPEND_STATED;
}

/* A normal variance's conjugate prior (scaled inverse χ²) brought together with the residuals. */
static void judge(const struct solving *s, struct perpend_fit *fit)
{
    struct perpend_fit_quality *quality = &fit->quality;
    double squares = 0.0, prior = known_before(s->setup);
    for (size_t i = 0; i < s->count; i++) {
        double reading = s->residual[i] / s->factor;
        squares += reading * reading;
    }
    quality->readings = s->count;
    quality->parameters = s->model.parameters;
    quality->dof = (int)(s->count - s->model.parameters);
    quality->reading_uncertainty = perpend_gauge_uncertainty(&s->setup->gauge);
    quality->rms = sqrt(squares / (double)s->count);
    quality->chi2 = s->solved.chi2;
    quality->p = quality->dof > 0 ? gsl_cdf_chisq_Q(quality->chi2, quality->dof) : 1.0;
    quality->scale = (prior + quality->chi2) / (prior + quality->dof);
    if (!isnan(s->known))
        quality->scale = s->known;
    fit->dof = prior + quality->dof;
}

/* How many places were swept, as far as waves go: readings nearer than an arm's length share theirs. n
   readings at each of m places have m n² pairs that are near; of very many, every so-manieth. */
static double count_places(const struct solving *s)
{
    double near = NEAR * s->model.radius * NEAR * s->model.radius, readings = 0.0, pairs = 0.0;
    size_t stride = 1 + s->count / PAIRED;
    for (size_t i = 0; i < s->count; i += stride) {
        readings += 1.0;
        for (size_t j = 0; j < s->count; j += stride) {
            double x = s->readings[i].x - s->readings[j].x, y = s->readings[i].y - s->readings[j].y;
            pairs += x * x + y * y < near;
        }
    }
    return readings * readings / pairs;
}

/* Variances, mm² of gap, that more than four bearings at a place do not average out: waves of the board
   and the part of the rounding that stays. Among the scatter they are counted `more` times too little. */
struct lasting {
    double waves, stays, more;
};

static struct lasting lasting_of(const struct perpend_setup *setup, double bearings)
{
    double waves = perpend_bed_waves(setup), factor = perpend_gauge_gap_per_reading(&setup->gauge);
    return (struct lasting){waves * waves, factor * factor * perpend_gauge_stays(&setup->gauge),
        fmax(bearings / BEARINGS_OF_WAVES - 1.0, 0.0)};
}

/* From a t distribution's scale to its variance. */
static double widened(double dof)
{
    return dof / (dof - 2.0);
}

double fit_upright_dof(const struct perpend_setup *setup, unsigned bearings)
{
    return known_before(setup) + bearings - 3.0;
}

double fit_upright_variance(const struct perpend_setup *setup, unsigned bearings)
{
    double reading = perpend_gauge_uncertainty(&setup->gauge), arm = setup->arm.length;
    double step = setup->gauge.step * perpend_gauge_gap_per_reading(&setup->gauge);
    struct lasting lasting = lasting_of(setup, bearings);
    if (isnan(setup->gauge.spread)) /* a steady hand may let all of the rounding stay */
        lasting.stays = fmax(lasting.stays, step * step / 12.0);
    return (reading * reading + lasting.waves + (lasting.waves + lasting.stays) * lasting.more) *
           widened(fit_upright_dof(setup, bearings)) * 2.0 / (bearings * arm * arm);
}

/* What the covariance of the bare least squares is multiplied by, twice: for the lean and for a change
   of it, which knows no waves beyond the scatter found, since the board stays as it is. */
struct factors {
    double lean, change;
};

static struct factors covariance_factors(const struct solving *s, const struct perpend_fit *fit)
{
    double mean = 0.0;
    for (size_t i = 0; i < s->count; i++)
        mean += s->variance[i] / (double)s->count;
    struct lasting lasting = lasting_of(s->setup, (double)s->count / count_places(s));
    double found = fit->quality.scale, more = lasting.more / mean, wider = widened(fit->dof);
    return (struct factors){(found + (lasting.waves + lasting.stays) * more) * wider,
        (found + lasting.stays * more) * wider};
}

/* c as the gap at the axis over X = Y = 0. */
static void answer_centre(const struct solving *s, struct perpend_fit *fit)
{
    const struct sweep_model *m = &s->model;
    const double *p = s->parameters;
    fit->travel = sweep_model_bed(m, p);
    if (m->bed == SWEEP_MODEL_LINE)
        fit->travel = (struct perpend_slope){p[3] * m->along.right, p[3] * m->along.back};
    fit->centre = p[0] + fit->travel.right * m->x + fit->travel.back * m->y;
}

/* The arm's length scales t + b as a whole, and bearings that are all turned turn it; b itself comes
   from the carriage's travel. */
static struct perpend_slope_covariance of_arm(const struct solving *s)
{
    const struct perpend_arm *arm = &s->setup->arm;
    const double *p = s->parameters;
    double length = perpend_arm_relative_uncertainty(arm);
    double along = length * length, across = arm->turned_uncertainty * arm->turned_uncertainty;
    return (struct perpend_slope_covariance){along * p[1] * p[1] + across * p[2] * p[2],
        (along - across) * p[1] * p[2], along * p[2] * p[2] + across * p[1] * p[1]};
}

static void answer(const struct solving *s, struct perpend_fit *fit)
{
    const double *p = s->parameters, *c = s->solved.covariance;
    struct factors factors = covariance_factors(s, fit);
    bool known = setup_knows_bed(s->setup);
    fit->bed_separated = s->model.bed == SWEEP_MODEL_PLANE || known;
    fit->includes_bed = !s->setup->bed_faced && !fit->bed_separated;
    fit->lean = sweep_model_lean(&s->model, p);
    fit->lean_covariance =
        covariance_sum(scaled(sweep_model_lean_covariance(&s->model, c), factors.lean), of_arm(s));
    fit->change_covariance = scaled(
        (struct perpend_slope_covariance){c[1 * STRIDE + 1], c[1 * STRIDE + 2], c[2 * STRIDE + 2]},
        factors.change);
    if (known) {
        fit->bed = s->model.known;
        fit->bed_covariance = s->setup->bed_covariance;
        fit->lean_covariance = covariance_sum(fit->lean_covariance, fit->bed_covariance);
    } else if (fit->bed_separated) {
        fit->bed = sweep_model_bed(&s->model, p);
        fit->bed_covariance = scaled((struct perpend_slope_covariance){c[3 * STRIDE + 3],
                                         c[3 * STRIDE + 4], c[4 * STRIDE + 4]},
            factors.lean);
    }
    answer_centre(s, fit);
}

static enum perpend_status solve(struct solving *s, struct perpend_fit *fit)
{
    enum perpend_status status = sweep_model_choose(s->readings, s->count, s->setup, &s->model);
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

enum perpend_status fit_expected(const struct perpend_reading *readings, size_t count,
    const struct perpend_setup *setup, double scale, struct perpend_fit *fit)
{
    struct solving s;
    *fit = (struct perpend_fit){.quality.readings = count, .suspect.index = PERPEND_FIT_NO_SUSPECT};
    enum perpend_status status = solving_init(&s, readings, count, setup);
    s.known = scale;
    if (status == PERPEND_OK)
        status = solve(&s, fit);
    solving_finish(&s);
    return status;
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
        if (sweep_model_need(readings, count, &s.model, fit) == PERPEND_ERR_MEMORY)
            status = PERPEND_ERR_MEMORY;
    }
    if (status != PERPEND_OK)
        goto done;

    const struct suspect_rows rows = {.readings = readings,
        .student = {s.residual, s.leverage, s.weight, count, s.model.parameters,
            fit->dof - fit->quality.dof},
        .factor = s.factor,
        .step = fabs(s.factor) * setup->gauge.step};
    status = suspect_find(&rows, fit);
    if (status == PERPEND_OK && fit->suspect.index != PERPEND_FIT_NO_SUSPECT)
        status = answer_without(&s, fit);
    if (status != PERPEND_OK)
        goto done;
    suspect_closure(&rows, fit);
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
