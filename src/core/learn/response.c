/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The mount's 2 × 2 response, learned by the linear Gaussian (Kalman) update with noise that is
   larger the farther an adjustment is from what was expected. Gains are numbered (00, 01, 10, 11),
   row by row; 0 is right, 1 is back. */
#include <math.h>
#include <stddef.h>

#include <perpend/drift.h>
#include <perpend/response.h>
#include <perpend/status.h>

#include "core/base/covariance.h"
#include "core/learn/response_parts.h"

/* Of a gain before anything is known of it. */
#define PRIOR_DEVIATION 0.2

/* How differently one tightening answers from the next: standard deviation on each axis, as a share
   of the change expected. */
#define TIGHTENING 0.15

/* Kept from one adjustment to the next: a gain that is known for sure is then uncertain by 0.06. */
#define KEEP_ROUND 0.95

/* A change that is less likely than this was not to be expected. */
#define SURPRISE_LEVEL 0.01

/* Degrees of freedom of the weight. */
#define WEIGHT_DOF 4.0

/* A change asked that is smaller than this is none, mm/mm. */
#define NO_CHANGE 1e-9

/* A share is said when it is off by more than this and by two standard uncertainties. */
#define SHARE_MATTERS 0.1
#define SURE 2.0

static const double identity[2][2] = {{1, 0}, {0, 1}};

void perpend_response_fade(struct perpend_response *response, double keep)
{
    const double prior = PRIOR_DEVIATION * PRIOR_DEVIATION;
    for (size_t i = 0; i < 4; i++) {
        double *gain = &response->gain[i / 2][i % 2], start = identity[i / 2][i % 2];
        *gain = start + keep * (*gain - start);
        for (size_t j = 0; j < 4; j++)
            response->covariance[i][j] =
                keep * keep * response->covariance[i][j] + (i == j ? (1 - keep * keep) * prior : 0);
    }
}

struct perpend_response perpend_response_start(void)
{
    struct perpend_response response = {.gain = {{0, 0}, {0, 0}}};
    perpend_response_fade(&response, 0.0);
    return response;
}

/* z' C z */
static double variance_along(struct perpend_slope_covariance c, double right, double back)
{
    return c.right_right * right * right + 2.0 * c.right_back * right * back +
           c.back_back * back * back;
}

static enum perpend_outcome judge(double along, double u_along, double across, double u_across)
{
    double off = fabs(along - 1.0), aside = fabs(across);
    bool off_sure = off > fmax(SURE * u_along, SHARE_MATTERS);
    bool aside_sure = aside > fmax(SURE * u_across, SHARE_MATTERS);
    if (aside_sure && (!off_sure || aside > off))
        return PERPEND_OUTCOME_SIDEWAYS;
    if (!off_sure)
        return PERPEND_OUTCOME_AS_ASKED;
    return along < 1.0 ? PERPEND_OUTCOME_PART : PERPEND_OUTCOME_OVER;
}

/* What it showed in itself, whatever was expected. */
static void look_at(struct perpend_adjustment *seen)
{
    double size = perpend_slope_size(seen->asked);
    double right = seen->asked.right / size, back = seen->asked.back / size;
    const struct perpend_slope_covariance c = seen->obtained_covariance;
    seen->along = (seen->obtained.right * right + seen->obtained.back * back) / size;
    seen->across = (seen->obtained.right * back - seen->obtained.back * right) / size;
    seen->outcome = judge(seen->along, sqrt(variance_along(c, right, back)) / size, seen->across,
        sqrt(variance_along(c, back, -right)) / size);
}

/* The variance of H g, H = ((a_r, a_b, 0, 0), (0, 0, a_r, a_b)). */
static struct perpend_slope_covariance gain_variance(
    const struct perpend_response *response, struct perpend_slope asked)
{
    const double(*p)[4] = response->covariance, a[2] = {asked.right, asked.back};
    double s[2][2] = {{0, 0}, {0, 0}};
    for (size_t i = 0; i < 4; i++)
        for (size_t j = 0; j < 4; j++)
            s[i / 2][j / 2] += a[i % 2] * p[i][j] * a[j % 2];
    return (struct perpend_slope_covariance){s[0][0], s[0][1], s[1][1]};
}

/* g and P after seeing y = H g + noise, where y is off by `surprise` and S = H P H' + noise. */
static void update(struct perpend_response *response, struct perpend_slope asked,
    struct perpend_slope surprise, struct perpend_slope_covariance s)
{
    double determinant = s.right_right * s.back_back - s.right_back * s.right_back;
    const double inverse[2][2] = {{s.back_back / determinant, -s.right_back / determinant},
        {-s.right_back / determinant, s.right_right / determinant}};
    double ph[4][2], kalman[4][2];
    for (size_t i = 0; i < 4; i++) {
        const double *p = response->covariance[i];
        for (size_t j = 0; j < 2; j++)
            ph[i][j] = p[2 * j] * asked.right + p[2 * j + 1] * asked.back;
        for (size_t j = 0; j < 2; j++)
            kalman[i][j] = ph[i][0] * inverse[0][j] + ph[i][1] * inverse[1][j];
        response->gain[i / 2][i % 2] +=
            kalman[i][0] * surprise.right + kalman[i][1] * surprise.back;
    }
    for (size_t i = 0; i < 4; i++)
        for (size_t j = 0; j < 4; j++)
            response->covariance[i][j] -= kalman[i][0] * ph[j][0] + kalman[i][1] * ph[j][1];
}

enum perpend_status perpend_response_learn(struct perpend_response *response,
    struct perpend_slope asked, struct perpend_slope obtained,
    struct perpend_slope_covariance covariance, bool sure, struct perpend_adjustment *adjustment)
{
    const struct perpend_slope none = {0, 0}, expected = perpend_response_expect(response, asked);
    struct perpend_slope surprise = {
        obtained.right - expected.right, obtained.back - expected.back};
    double tightening = pow(TIGHTENING * perpend_slope_size(expected), 2);
    struct perpend_slope_covariance gain = gain_variance(response, asked),
                                    noise = {covariance.right_right + tightening,
                                        covariance.right_back, covariance.back_back + tightening};
    struct perpend_drift off;
    enum perpend_status status = perpend_drift_between(none, gain, surprise, noise, &off);
    if (status != PERPEND_OK)
        return status;
    struct perpend_adjustment seen = {asked, expected, obtained, covariance, .chance = off.p};
    if (perpend_slope_size(asked) >= NO_CHANGE) {
        look_at(&seen);
        if (off.p < SURPRISE_LEVEL && !sure) {
            seen.outcome = PERPEND_OUTCOME_SURPRISE;
        } else {
            double wider = (WEIGHT_DOF + off.chi2) / (WEIGHT_DOF + 2.0);
            noise.right_right *= wider;
            noise.right_back *= wider;
            noise.back_back *= wider;
            update(response, asked, surprise, covariance_sum(gain, noise));
            perpend_response_fade(response, KEEP_ROUND);
        }
    }
    if (adjustment)
        *adjustment = seen;
    return PERPEND_OK;
}

struct gain response_tamed(const struct perpend_response *response)
{
    /* G = U diag(σ) Vᵀ by the two-angle form of a 2 × 2 matrix */
    const double(*g)[2] = response->gain;
    double e = (g[0][0] + g[1][1]) / 2, f = (g[0][0] - g[1][1]) / 2;
    double p = (g[1][0] + g[0][1]) / 2, q = (g[1][0] - g[0][1]) / 2;
    double turn = hypot(e, q), mirror = hypot(f, p);
    double most = turn + mirror, least = turn - mirror; /* least < 0: the matrix mirrors */
    const double lowest = 1.0 / PERPEND_RESPONSE_ASK_MOST;
    if (least >= lowest)
        return (struct gain){{{g[0][0], g[0][1]}, {g[1][0], g[1][1]}}};
    double sum = atan2(q, e), difference = atan2(p, f);
    double u = (sum + difference) / 2, v = (difference - sum) / 2;
    most = fmax(most, lowest);
    least = lowest;
    return (struct gain){{
        {most * cos(u) * cos(v) + least * sin(u) * sin(v),
            most * cos(u) * sin(v) - least * sin(u) * cos(v)},
        {most * sin(u) * cos(v) - least * cos(u) * sin(v),
            most * sin(u) * sin(v) + least * cos(u) * cos(v)},
    }};
}

struct perpend_slope perpend_response_ask(
    const struct perpend_response *response, struct perpend_slope lean)
{
    struct gain tamed = response_tamed(response);
    double determinant = tamed.at[0][0] * tamed.at[1][1] - tamed.at[0][1] * tamed.at[1][0];
    return (struct perpend_slope){
        -(tamed.at[1][1] * lean.right - tamed.at[0][1] * lean.back) / determinant,
        -(tamed.at[0][0] * lean.back - tamed.at[1][0] * lean.right) / determinant,
    };
}

struct perpend_slope perpend_response_expect(
    const struct perpend_response *response, struct perpend_slope asked)
{
    const double(*g)[2] = response->gain;
    return (struct perpend_slope){
        g[0][0] * asked.right + g[0][1] * asked.back,
        g[1][0] * asked.right + g[1][1] * asked.back,
    };
}
