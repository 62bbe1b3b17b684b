/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_SWEEP_H
#define PERPEND_SWEEP_H

/**
 * What an operator reads: the arm, the gauge, and one reading at one bearing.
 */

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum perpend_gauge_kind {
    PERPEND_GAUGE_GAP,   /* feeler leaves, paper, a wedge: the gap itself */
    PERPEND_GAUGE_TOUCH, /* the machine's own Z at which the tip just scrapes */
    PERPEND_GAUGE_DIAL,  /* plunger indicator */
    PERPEND_GAUGE_LEVER  /* lever test indicator: as dial, times cos(angle of stylus to bed) */
};
/** How many kinds there are, for tables and bounds. */
#define PERPEND_GAUGE_KINDS (PERPEND_GAUGE_LEVER + 1)

/** What sets a kind of gauge apart: files, questions and words go by this table. */
struct perpend_gauge_row {
    const char *name; /* "gap": in machine files */
    double sign;   /* of gap per reading; of an indicator while its reading rises toward the bed */
    bool rises;    /* an indicator: its reading may rise away from the bed instead */
    bool angled;   /* its stylus stands at an angle to the bed */
    bool no_minus; /* a reading cannot be less than nothing */
    double large[2]; /* mm: as large a reading is doubted, where people see mm, inches */
    bool by_z;       /* Z is what is read: it moves at every bearing */
    /* a hand's scatter where none is stated: a share of the step, but no less than so many mm
       (common practice, no source) */
    double spread_share, spread_least;
};

/** The row of a kind; NULL for what is none. A static table, in the order of the kinds. */
const struct perpend_gauge_row *perpend_gauge_at(size_t kind);

struct perpend_gauge {
    enum perpend_gauge_kind kind;
    bool rises_away; /* where its kind may: the reading grows as the bed gets farther */
    double angle;    /* of an angled one: stylus to the bed, rad, 0 ≤ angle < π/2; else 0 */
    double step;     /* smallest step, mm, > 0 */
    double spread;   /* the hand's scatter, standard deviation, mm; NAN when not stated */
};

/* Standard uncertainties where none are stated (common practice, no source). */
#define PERPEND_ARM_LENGTH_UNCERTAINTY 0.5          /* mm: a ruler */
#define PERPEND_ARM_BEARING_UNCERTAINTY_DEGREES 2.0 /* each reading's aim, by eye */
#define PERPEND_ARM_TURNED_UNCERTAINTY_DEGREES 2.0  /* all bearings together */
#define PERPEND_WAVES_FACED 0.02                    /* mm, of a board faced on this machine */
#define PERPEND_WAVES_AS_FOUND 0.05                 /* mm */
#define PERPEND_WAVES_PLATE 0.005 /* mm, of float glass or a ground plate on a faced board */

struct perpend_arm {
    double length;               /* R, axis to contact tip, mm, > 0 */
    double relative_uncertainty; /* standard, of the length, ratio, ≥ 0; NAN: of a ruler's 0.5 mm */
    double bearing_uncertainty; /* standard, of aiming the arm by eye, rad, ≥ 0 */
    double turned_uncertainty;  /* standard, of all bearings turned together, rad, ≥ 0 */
};

struct perpend_reading {
    double bearing; /* rad */
    double value;   /* as the gauge shows it, mm */
    double x, y;    /* where the carriage stood, mm */
};

/**
 * Factor from a reading to a gap (up to a constant): +1 for gap, −1 for touch and for a dial that
 * rises toward the bed, +1 for one that rises away, times cos(angle) for a lever.
 *
 * Value:    mm of gap per mm of reading
 * Source:   docs/method.md, "The gap"; the cosine correction of lever indicators is tabulated by machine builders.
 */
double perpend_gauge_gap_per_reading(const struct perpend_gauge *gauge);

/** How well the arm's length is known: as stated, or of a ruler's 0.5 mm. Standard, ratio. */
double perpend_arm_relative_uncertainty(const struct perpend_arm *arm);

/**
 * The hand's scatter: as stated, or as the gauge's row has it: a share of the step, at least so much.
 *
 * Value:    standard deviation, mm of reading
 */
double perpend_gauge_spread(const struct perpend_gauge *gauge);

/**
 * The hand's scatter as readings of one place show it, mixed with the guess for the gauge: the guess is
 * worth so many degrees of freedom, the readings one less than there are. Leaves that are all alike
 * so do not show a hand without scatter.
 *
 * Given:    readings  mm, at one bearing and place; at least one
 * Value:    standard deviation, mm of reading
 * Source:   conjugate prior of a normal variance, as for the fit (docs/method.md, "How sure")
 */
#define PERPEND_GUESSED 4.0 /* good to 35 %: ν = ½ (Δu/u)⁻² (JCGM 100, G.4.2) */
#define PERPEND_STATED 50.0 /* what is stated is good to 10 % */
double perpend_gauge_spread_of(
    const struct perpend_gauge *gauge, const double *readings, size_t count);

/**
 * Standard uncertainty of one reading, in mm of gap: step/√12 (rectangular, JCGM 100 4.3.7)
 * combined with the scatter, both times |gap per reading|.
 */
double perpend_gauge_uncertainty(const struct perpend_gauge *gauge);

/**
 * The part of a gauge's rounding that stays however many readings are taken, since each bearing has
 * its own true gap: the first term of the rounding error's Fourier series has the amplitude
 * (g/π) exp(−2π²σ²/g²) once a scatter σ is averaged over, and a variance of half its square; never
 * more than g²/12.
 *
 * Value:    variance, mm² of reading
 * Source:   docs/method.md, "How sure"
 */
double perpend_gauge_stays(const struct perpend_gauge *gauge);

#ifdef __cplusplus
}
#endif

#endif
