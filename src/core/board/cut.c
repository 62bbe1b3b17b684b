/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <gsl/gsl_cdf.h>

#include <perpend/cut.h>
#include <perpend/units.h>

#include "core/base/covariance.h"
#include "core/fit/expected_fit.h"
#include "core/fit/sweep_model.h"
#include "core/ridge/ridge_profile.h"

#define OVER 0.05  /* of the bit's width: what both passes cut */
#define APART 0.25 /* of it, between the places touched */
#define FLAT 0.95  /* of the flat bottom: past that a pass rises steeply */
#define MOST_ROUNDS 60
#define SETTLED 1e-14 /* change of a slope in one round */
#define DOUBTED 0.01  /* less likely than this, cut and arm do not agree */

struct perpend_cut perpend_cut_usual(struct perpend_cut cut, const struct perpend_cutter *cutter)
{
    const double wide = cutter->diameter;
    if (isnan(cut.stepover))
        cut.stepover = (1.0 - OVER) * wide;
    if (isnan(cut.apart))
        cut.apart = fmax(APART * wide, wide - cut.stepover) + 2.0 * cutter->corner;
    return cut;
}

double perpend_cut_lever(struct perpend_cut cut, const struct perpend_cutter *cutter)
{
    cut = perpend_cut_usual(cut, cutter);
    const double lever = cut.stepover - cut.apart, wide = cutter->diameter;
    const double flat = FLAT * (wide - 2.0 * cutter->corner);
    const bool clear = cut.stepover <= wide && cut.apart >= (wide - cut.stepover) * (1.0 - 1e-9);
    return ridge_cutter_valid(cutter) && clear && lever > 0.0 && lever <= flat ? lever
                                                                               : (double)NAN;
}

enum perpend_status perpend_cut_step(struct perpend_slope lean, const struct perpend_cutter *cutter,
    struct perpend_cut cut, double higher, double *step)
{
    struct ridge_profile pass;
    const double half = perpend_cut_lever(cut, cutter) / 2.0;
    /* the feed for which l = f × Z points to that side */
    if (isnan(half) || !ridge_profile_make(lean, cutter, higher - PERPEND_PI / 2.0, &pass))
        return PERPEND_ERR_VALUE;
    const double rise = ridge_profile_height(&pass, -half) - ridge_profile_height(&pass, half);
    *step = pass.mirrored ? -rise : rise;
    return PERPEND_OK;
}

/* ---- what steps know of the lean ------------------------------------------------------------- */

struct knowledge { /* of a lean: its information, and where it is most likely */
    struct perpend_slope_covariance information;
    struct perpend_slope lean;
};

static const struct knowledge nothing = {{0.0, 0.0, 0.0}, {0.0, 0.0}};

/* Of a matrix that is positive definite, as a covariance and an information are; false for others. */
static bool inverse(struct perpend_slope_covariance m, struct perpend_slope_covariance *inverse)
{
    const double det = m.right_right * m.back_back - m.right_back * m.right_back;
    *inverse = (struct perpend_slope_covariance){
        m.back_back / det, -m.right_back / det, m.right_right / det};
    return det > 1e-12 * m.right_right * m.back_back;
}

static struct perpend_slope times(struct perpend_slope_covariance m, struct perpend_slope v)
{
    return (struct perpend_slope){m.right_right * v.right + m.right_back * v.back,
        m.right_back * v.right + m.back_back * v.back};
}

static struct perpend_slope less(struct perpend_slope a, struct perpend_slope b)
{
    return (struct perpend_slope){a.right - b.right, a.back - b.back};
}

/* One step under a lean: what it is less what it should be, its variance, its derivative (of a bit
   without corners; with them it is off by the square of the lean). */
struct row {
    double off, variance, shared; /* mm, mm², mm²; shared: what repeating does not average */
    struct perpend_slope by_lean;
};

static struct row row_of(const struct perpend_cut_question *asked,
    const struct perpend_cut_reading *read, struct perpend_slope lean)
{
    const struct perpend_gauge *gauge = &asked->setup->gauge;
    const double lever = perpend_cut_lever(asked->cut, asked->cutter), half = lever / 2.0;
    const double radius = asked->cutter->diameter / 2.0 - asked->cutter->corner;
    const double factor = fabs(perpend_gauge_gap_per_reading(gauge));
    const double right = sin(read->higher), back = cos(read->higher);
    const double across = lean.right * right + lean.back * back;
    const double along = lean.right * back - lean.back * right;
    const double m = 1.0 + along * along, twist = -2.0 * lever * across * along / (m * m);
    /* each place stands on a slope, the lean's and that of the hollow */
    const double hollow = along * half / sqrt(radius * radius - half * half);
    const double place = PERPEND_CUT_PLACE * hypot(across, hollow);
    const double reading = perpend_gauge_uncertainty(gauge);
    double step = NAN, same = 0.0;
    perpend_cut_step(lean, asked->cutter, asked->cut, read->higher, &step);
    for (size_t i = 0; i < asked->step_count; i++)
        same += fabs(cos(asked->steps[i].higher - read->higher)) > 0.5;
    return (struct row){
        .off = factor * read->step - step,
        .variance = 2.0 * (reading * reading + place * place),
        .shared = 2.0 * factor * factor * perpend_gauge_stays(gauge) * (same - 1.0),
        .by_lean = {lever * right / m + twist * back, lever * back / m - twist * right},
    };
}

/* Adds what the steps know, their variances multiplied by `scale`: with the covariance of it all, and how
   far the steps are off it. */
static enum perpend_status add_steps(const struct perpend_cut_question *asked, double scale,
    struct knowledge *of, struct perpend_slope_covariance *covariance, double *chi2)
{
    const struct knowledge before = *of;
    struct perpend_slope change = {INFINITY, INFINITY};
    for (int round = 0; perpend_slope_size(change) > SETTLED; round++) {
        struct perpend_slope pull = times(before.information, less(before.lean, of->lean));
        if (round == MOST_ROUNDS)
            return PERPEND_ERR_CONVERGE;
        of->information = before.information;
        *chi2 = 0.0;
        for (size_t i = 0; i < asked->step_count; i++) {
            const struct row row = row_of(asked, &asked->steps[i], of->lean);
            const double weight = 1.0 / (scale * (row.variance + row.shared));
            const struct perpend_slope d = row.by_lean;
            of->information = covariance_sum(
                of->information, (struct perpend_slope_covariance){weight * d.right * d.right,
                                     weight * d.right * d.back, weight * d.back * d.back});
            pull.right += weight * d.right * row.off;
            pull.back += weight * d.back * row.off;
            *chi2 += row.off * row.off / (scale * row.variance);
        }
        if (!inverse(of->information, covariance))
            return PERPEND_ERR_UNDETERMINED;
        change = times(*covariance, pull);
        of->lean.right += change.right;
        of->lean.back += change.back;
    }
    return isfinite(perpend_slope_size(of->lean)) ? PERPEND_OK : PERPEND_ERR_CONVERGE;
}

/* ---- both together --------------------------------------------------------------------------- */

/* The bed's slope, where it is not faced, as lean and slope together less the lean. Where they were one
   figure the arm's own geometry is exact with it, unless places in a line tell some of it. */
static enum perpend_status find_bed(const struct perpend_cut_question *asked,
    struct perpend_slope_covariance of_lean, struct perpend_slope lean, struct perpend_fit *fit)
{
    struct perpend_setup known = *asked->setup;
    struct perpend_fit then;
    struct perpend_slope sum = perpend_fit_sum(fit);
    const bool one_place = fit->includes_bed && perpend_slope_size(fit->travel) == 0.0;
    known.bed_known = true;
    for (int round = 0; one_place && round < 3; round++) {
        known.bed = less(sum, lean);
        const enum perpend_status status =
            fit_expected(asked->readings, asked->count, &known, fit->quality.scale, &then);
        if (status != PERPEND_OK)
            return status;
        sum = perpend_fit_sum(&then);
    }
    if (fit->includes_bed)
        fit->bed_covariance = covariance_sum(fit->lean_covariance, of_lean);
    fit->bed = fit->travel = less(sum, lean);
    fit->bed_separated = true;
    fit->includes_bed = false;
    return PERPEND_OK;
}

/* Residuals about the lean of both, and the height that fits them best. */
static void put_residuals_right(const struct perpend_cut_question *asked, struct perpend_fit *fit)
{
    double mean = 0.0;
    for (size_t i = 0; i < asked->count; i++) {
        const struct perpend_reading *read = &asked->readings[i];
        asked->residual[i] =
            read->value - perpend_fit_predict(fit, asked->setup, read->bearing, read->x, read->y);
        mean += asked->residual[i] / (double)asked->count;
    }
    for (size_t i = 0; i < asked->count; i++)
        asked->residual[i] -= mean;
    fit->centre += mean * perpend_gauge_gap_per_reading(&asked->setup->gauge);
}

/* A fit of steps alone, its scale from them and what was known before. */
static void fit_steps(const struct perpend_cut_question *asked, double chi2,
    struct perpend_slope_covariance *covariance, struct perpend_fit *fit)
{
    const struct perpend_setup *setup = asked->setup;
    const double prior = isnan(setup->gauge.spread) ? PERPEND_GUESSED : PERPEND_STATED;
    fit->quality = (struct perpend_fit_quality){.readings = asked->step_count,
        .parameters = 2,
        .dof = (int)asked->step_count - 2,
        .reading_uncertainty = perpend_gauge_uncertainty(&setup->gauge),
        .chi2 = chi2};
    fit->dof = prior + fit->quality.dof;
    fit->quality.p = fit->quality.dof > 0 ? gsl_cdf_chisq_Q(chi2, fit->quality.dof) : 1.0;
    fit->quality.scale = (prior + chi2) / fit->dof;
    const double factor = fit->quality.scale * fit->dof / (fit->dof - 2.0);
    *covariance = (struct perpend_slope_covariance){covariance->right_right * factor,
        covariance->right_back * factor, covariance->back_back * factor};
    fit->change_covariance = *covariance;
    fit->bed_separated = setup_knows_bed(setup);
    if (fit->bed_separated) {
        fit->bed = fit->travel = setup->bed;
        fit->bed_covariance = setup->bed_covariance;
    }
}

static bool question_is_valid(const struct perpend_cut_question *asked)
{
    const struct perpend_gauge *gauge = &asked->setup->gauge;
    bool valid = asked->step_count > 0 && gauge->step > 0.0 && isfinite(gauge->step) &&
                 perpend_gauge_gap_per_reading(gauge) != 0.0;
    for (size_t i = 0; i < asked->step_count; i++)
        valid = valid && isfinite(asked->steps[i].higher) && isfinite(asked->steps[i].step);
    return valid && !isnan(perpend_cut_lever(asked->cut, asked->cutter));
}

enum perpend_status perpend_cut_join(
    const struct perpend_cut_question *asked, struct perpend_fit *fit, struct perpend_cut_fit *cut)
{
    const bool armed = asked->count > 0, by_arm = armed && !fit->includes_bed;
    struct knowledge both = nothing, alone = nothing;
    struct perpend_slope_covariance covariance = nothing.information, of_alone;
    double chi2 = 0.0, of_steps = 0.0;
    *cut = (struct perpend_cut_fit){.steps = asked->step_count, .by_arm = by_arm};
    if (!question_is_valid(asked))
        return PERPEND_ERR_VALUE;
    if (!armed)
        *fit = (struct perpend_fit){.suspect.index = PERPEND_FIT_NO_SUSPECT};
    if (by_arm) {
        cut->arm = both.lean = fit->lean;
        if (!inverse(fit->lean_covariance, &both.information))
            return PERPEND_ERR_VALUE;
    }
    const struct knowledge arm = both;
    const double scale = armed ? fit->quality.scale * fit->dof / (fit->dof - 2.0) : 1.0;
    enum perpend_status status = add_steps(asked, scale, &both, &covariance, &chi2);
    if (status == PERPEND_ERR_UNDETERMINED && armed) /* what the arm says stays as it is */
        return PERPEND_OK;
    if (status == PERPEND_ERR_UNDETERMINED) {
        fit->quality.readings = asked->step_count;
        fit->need.kind = PERPEND_NEED_CUT;
        fit->need.bearing = fabs(cos(asked->steps[0].higher)) > 0.5 ? PERPEND_PI / 2.0 : 0.0;
    }
    if (status != PERPEND_OK)
        return status;
    cut->joined = true;
    cut->both_ways = add_steps(asked, scale, &alone, &of_alone, &of_steps) == PERPEND_OK;
    cut->alone = alone.lean;
    const struct perpend_slope moved = less(arm.lean, both.lean),
                               pull = times(arm.information, moved);
    cut->chi2 = chi2 + moved.right * pull.right + moved.back * pull.back;
    cut->dof = (int)asked->step_count - (by_arm ? 0 : 2);
    cut->off = cut->dof > 0 && gsl_cdf_chisq_Q(cut->chi2, (double)cut->dof) < DOUBTED;
    if (!armed)
        fit_steps(asked, chi2, &covariance, fit);
    else if (!asked->setup->bed_faced)
        status = find_bed(asked, covariance, both.lean, fit);
    fit->lean = both.lean;
    fit->lean_covariance = covariance;
    if (armed)
        put_residuals_right(asked, fit);
    return status;
}
