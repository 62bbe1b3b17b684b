/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_FIT_H
#define PERPEND_FIT_H

/**
 * From the readings of one measurement to the lean, the bed's slope where it can be told apart,
 * and how sure both are.
 *
 * One measurement is one or more sweeps with Z locked and the spindle's mount untouched between
 * them: a single constant c, one lean t, one bed slope b.
 *   bed faced on this machine:       b = 0 by construction; parameters c, t.
 *   bed as found, one position or positions in a line:  only t + b is known (includes_bed).
 *   bed as found, three or more positions not in a line: c, t and b in one fit (bed_separated).
 *   bed as found, its slope known from before: c, t (bed_separated, by that).
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/geometry.h>
#include <perpend/status.h>
#include <perpend/sweep.h>

#ifdef __cplusplus
extern "C" {
#endif

/** What a fit needs to know beside the readings. */
struct perpend_setup {
    struct perpend_arm arm;
    struct perpend_gauge gauge;
    bool bed_faced; /* on this machine, or a plate lies on such a bed */
    double waves;   /* of the board under the tip, standard deviation, mm; NAN when not stated */
    /* the bed's slope as an earlier measurement found it, mm/mm: it stays while the spindle is
       adjusted, so that one place is enough from then on. Not looked at when bed_faced */
    bool bed_known;
    struct perpend_slope bed;
    struct perpend_slope_covariance bed_covariance;
};

/** What would determine a lean that could not be. */
enum perpend_need_kind {
    PERPEND_NEED_NOTHING,
    PERPEND_NEED_BEARING, /* another reading at that bearing, with the carriage at x, y (a place
                             swept already; anywhere on a faced bed) */
    PERPEND_NEED_CUT /* a test cut whose step is at that bearing, or four readings of a sweep */
};

struct perpend_need {
    enum perpend_need_kind kind;
    double bearing; /* rad */
    double x, y;    /* mm; where to take that reading */
};

/** How well a fit fits. */
struct perpend_fit_quality {
    size_t readings;
    size_t parameters;
    int dof;                    /* readings − parameters; 0: nothing checks the answer */
    double reading_uncertainty; /* mm of gap, step and scatter, without waves and aim */
    double rms;                 /* √(Σ residual² / n), mm of reading */
    double chi2;                /* Σ (residual / its standard uncertainty)² */
    double p;                   /* chance of a larger chi2; 1 when dof is 0 */
    double scale; /* φ: the variances of the readings turned out to be so many times those stated or
                     guessed, as far as the readings and what was known before tell together */
};

#define PERPEND_FIT_NO_SUSPECT ((size_t)-1)

/** The suspect reading: of six and more, externally studentised, Bonferroni at 5 %. */
struct perpend_suspect {
    size_t index; /* into readings, or PERPEND_FIT_NO_SUSPECT */
    /* a second reading exactly as suspect as that one: two of one bearing that pull apart with
       nothing to decide between them */
    bool has_twin;
    size_t twin;
    double studentised; /* the largest, suspect or not; infinite when the others agree exactly; 0
                           when not tested */
    double limit;
    double expected;       /* what the others would have it read, mm of reading */
    bool has_lean_without; /* there is a suspect, and the rest still determine the lean */
    struct perpend_slope lean_without; /* the answer without it (and its twin) */
    struct perpend_slope_covariance lean_without_covariance;
};

/** Four readings a quarter turn apart: opposite pairs must sum alike. */
struct perpend_closure {
    bool checked;
    bool off; /* |value| > limit */
    double
        value; /* first + third less second + fourth, from the lowest bearing on, mm of reading */
    double limit; /* what the same scale explains, mm of reading */
};

struct perpend_fit {
    struct perpend_slope lean;                       /* t, or t + b when includes_bed */
    struct perpend_slope_covariance lean_covariance; /* all parts of docs/method.md, "How sure" */
    double
        dof; /* the lean is t-distributed with so many degrees of freedom: 95 % within 2.0 √variance
                   on an axis (to 2 %, for the 4 and more that there are) */
    bool includes_bed;
    bool bed_separated;
    struct perpend_slope bed; /* b when bed_separated (or known), else 0 */
    struct perpend_slope_covariance bed_covariance;
    /* of t + b, for a change of it from one sweep to the next: bed, waves, the arm's length and how it
       is turned stay as they are, so that a change is known better than the lean */
    struct perpend_slope_covariance change_covariance;
    /* how much the bed rises per mm of carriage travel, as far as the places tell: b when
       bed_separated, its part along their line when they lie in one, else 0 */
    struct perpend_slope travel;
    double centre; /* c, gap at the axis over X = Y = 0 (one place only: there), mm */
    struct perpend_fit_quality quality;
    struct perpend_suspect suspect;
    struct perpend_closure closure;
    struct perpend_need need; /* what was missing, on PERPEND_ERR_UNDETERMINED */
};

/**
 * Fit one measurement: weighted least squares by QR, the exact geometry brought in by
 * Gauss–Newton, weights from the reading uncertainty, the waves and the aim (R |(t + b)·u′(β)| u_aim
 * and its second order). The covariance has one scale, found from the readings' own scatter and what
 * was known before; waves and the part of the rounding that stays count as at four bearings a place.
 *
 * Readings that cannot determine the lean are refused: too few, too few bearings, or bearings or
 * places so near each other that the lean would be 50 times less certain than from as many
 * readings evenly spaced. Places that nearly coincide count as one, or as a line.
 *
 * Given:    readings  count, from at least three distinct bearings (fewer: undetermined)
 *           setup     arm, gauge, bed
 * Returned: residual  count, reading less the reading the fit predicts, mm of reading; NULL when
 *                     not wanted
 *           fit       everything above; on PERPEND_ERR_UNDETERMINED quality.readings and need only;
 *                     on any other error nothing in it holds
 * Errors:   PERPEND_ERR_VALUE, PERPEND_ERR_MEMORY, PERPEND_ERR_UNDETERMINED, PERPEND_ERR_CONVERGE
 * Source:   docs/method.md, "The sweep"; JCGM 100:2008, 5.1.2, G.4.2, H.3; Gelman and others,
 *           Bayesian Data Analysis, chapter 3 (conjugate prior of a normal variance), from memory.
 */
enum perpend_status perpend_fit_readings(const struct perpend_reading *readings, size_t count,
    const struct perpend_setup *setup, double *residual, struct perpend_fit *fit);

/** The waves under the tip: as stated, or by kind of bed (common practice, no source). Standard
 *  deviation, mm. */
double perpend_bed_waves(const struct perpend_setup *setup);

/** Whether the reading of that index is the suspect or its twin. */
bool perpend_fit_suspects(const struct perpend_fit *fit, size_t index);

/** Lean and bed together, t + b, of which change_covariance is. */
struct perpend_slope perpend_fit_sum(const struct perpend_fit *fit);

/** The reading the fit predicts at a bearing and place, mm, as the gauge shows it. */
double perpend_fit_predict(const struct perpend_fit *fit, const struct perpend_setup *setup,
    double bearing, double x, double y);

#ifdef __cplusplus
}
#endif

#endif
