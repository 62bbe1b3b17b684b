/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The mount's 2 × 2 response, learned by the linear Gaussian (Kalman) update. Gains are numbered
   (00, 01, 10, 11), row by row; 0 is right, 1 is back. */
#include <math.h>
#include <stddef.h>

#include <perpend/response.h>
#include <perpend/status.h>

#include "core/base/covariance.h"
#include "core/learn/response_parts.h"

/* A change asked that is smaller than this is none, mm/mm. */
#define NO_CHANGE 1e-9

/* Below this share in every direction nothing moved; deviations smaller than this do not matter. */
#define SHARE_NOTHING 0.1
#define SHARE_MATTERS 0.1

/* Where the sweeps cannot tell what moved from nothing: it moved only if it may be this share. */
#define SHARE_UNSEEN 0.5

/* Standard uncertainties that a statement in words must bear. */
#define SURE 2.0

struct perpend_response perpend_response_start(void)
{
    struct perpend_response response = {.gain = {{1, 0}, {0, 1}}};
    for (size_t i = 0; i < 4; i++)
        response.covariance[i][i] =
            PERPEND_RESPONSE_PRIOR_DEVIATION * PERPEND_RESPONSE_PRIOR_DEVIATION;
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
    double sure_along = SURE * u_along, sure_across = SURE * u_across;
    if (fabs(along) + sure_along < SHARE_NOTHING && fabs(across) + sure_across < SHARE_NOTHING)
        return PERPEND_OUTCOME_NOTHING;
    if (fabs(along) <= sure_along && fabs(along) + sure_along < SHARE_UNSEEN &&
        fabs(across) <= sure_across && fabs(across) + sure_across < SHARE_UNSEEN)
        return PERPEND_OUTCOME_NOTHING;
    if (along + sure_along < 0.0)
        return PERPEND_OUTCOME_WRONG_WAY;
    double off = fabs(along - 1.0), aside = fabs(across);
    bool off_sure = off > fmax(sure_along, SHARE_MATTERS);
    bool aside_sure = aside > fmax(sure_across, SHARE_MATTERS);
    if (aside_sure && (!off_sure || aside > off))
        return PERPEND_OUTCOME_SIDEWAYS;
    if (!off_sure)
        return PERPEND_OUTCOME_AS_ASKED;
    return along < 1.0 ? PERPEND_OUTCOME_PART : PERPEND_OUTCOME_OVER;
}

static struct perpend_adjustment look_at(struct perpend_slope asked, struct perpend_slope obtained,
    struct perpend_slope_covariance covariance)
{
    struct perpend_adjustment seen = {
        .asked = asked,
        .obtained = obtained,
        .obtained_covariance = covariance,
        .outcome = PERPEND_OUTCOME_AS_ASKED,
    };
    double size = perpend_slope_size(asked);
    if (size < NO_CHANGE)
        return seen;
    double right = asked.right / size, back = asked.back / size;
    seen.along = (obtained.right * right + obtained.back * back) / size;
    seen.across = (obtained.right * back - obtained.back * right) / size;
    seen.outcome = judge(seen.along, sqrt(variance_along(covariance, right, back)) / size,
        seen.across, sqrt(variance_along(covariance, back, -right)) / size);
    return seen;
}

/* P and g after seeing y = H g + noise, H = ((a_r, a_b, 0, 0), (0, 0, a_r, a_b)). */
static void update(struct perpend_response *response, struct perpend_slope asked,
    struct perpend_slope obtained, struct perpend_slope_covariance noise)
{
    const double h[2][4] = {{asked.right, asked.back, 0, 0}, {0, 0, asked.right, asked.back}};
    double ph[4][2],
        s[2][2] = {{noise.right_right, noise.right_back}, {noise.right_back, noise.back_back}};
    for (size_t i = 0; i < 4; i++)
        for (size_t j = 0; j < 2; j++) {
            ph[i][j] = 0.0;
            for (size_t k = 0; k < 4; k++)
                ph[i][j] += response->covariance[i][k] * h[j][k];
        }
    for (size_t i = 0; i < 2; i++)
        for (size_t j = 0; j < 2; j++)
            for (size_t k = 0; k < 4; k++)
                s[i][j] += h[i][k] * ph[k][j];
    double determinant = s[0][0] * s[1][1] - s[0][1] * s[1][0];
    const double inverse[2][2] = {{s[1][1] / determinant, -s[0][1] / determinant},
        {-s[1][0] / determinant, s[0][0] / determinant}};
    struct perpend_slope expected = perpend_response_expect(response, asked);
    const double surprise[2] = {obtained.right - expected.right, obtained.back - expected.back};
    double kalman[4][2];
    for (size_t i = 0; i < 4; i++) {
        for (size_t j = 0; j < 2; j++)
            kalman[i][j] = ph[i][0] * inverse[0][j] + ph[i][1] * inverse[1][j];
        response->gain[i / 2][i % 2] += kalman[i][0] * surprise[0] + kalman[i][1] * surprise[1];
    }
    for (size_t i = 0; i < 4; i++)
        for (size_t j = i; j < 4; j++) {
            double less = kalman[i][0] * ph[j][0] + kalman[i][1] * ph[j][1];
            response->covariance[i][j] -= less;
            response->covariance[j][i] = response->covariance[i][j];
        }
}

static bool covariance_good(struct perpend_slope_covariance c)
{
    return c.right_right >= 0.0 && c.back_back >= 0.0 && isfinite(c.right_right) &&
           isfinite(c.back_back) && isfinite(c.right_back);
}

static bool slope_good(struct perpend_slope slope)
{
    return isfinite(slope.right) && isfinite(slope.back);
}

enum perpend_status perpend_response_learn(struct perpend_response *response,
    struct perpend_slope asked, struct perpend_slope obtained,
    struct perpend_slope_covariance covariance, struct perpend_adjustment *adjustment)
{
    const double settling = PERPEND_RESPONSE_SETTLING * PERPEND_RESPONSE_SETTLING;
    if (!slope_good(asked) || !slope_good(obtained) || !covariance_good(covariance))
        return PERPEND_ERR_VALUE;
    covariance =
        covariance_sum(covariance, (struct perpend_slope_covariance){settling, 0.0, settling});
    struct perpend_adjustment seen = look_at(asked, obtained, covariance);
    if (adjustment)
        *adjustment = seen;
    /* a bolt that held or a shim at the wrong end is a slip of the hands, not the mount's way */
    bool slip =
        seen.outcome == PERPEND_OUTCOME_NOTHING || seen.outcome == PERPEND_OUTCOME_WRONG_WAY;
    if (perpend_slope_size(asked) >= NO_CHANGE && !slip)
        update(response, asked, obtained, covariance);
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
    if (least >= RESPONSE_LEAST)
        return (struct gain){{{g[0][0], g[0][1]}, {g[1][0], g[1][1]}}};
    double sum = atan2(q, e), difference = atan2(p, f);
    double u = (sum + difference) / 2, v = (difference - sum) / 2;
    most = fmax(most, RESPONSE_LEAST);
    least = RESPONSE_LEAST;
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
