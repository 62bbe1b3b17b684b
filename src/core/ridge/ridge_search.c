/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <float.h>
#include <math.h>
#include <stdbool.h>

#include "core/ridge/ridge_search.h"

#define ROOT_STEPS 200  /* bisection alone needs fewer than 70 from any sensible bracket */
#define GOLDEN_STEPS 45 /* 0.618^45 = 4e-10 of a grid step: below the flatness of a minimum */
#define GOLDEN_RATIO 0.6180339887498949

/* Where to look next, as a share of the way from b to a: the inverse quadratic through the last
   three points where it can be trusted, else the middle. */
static double next_share(double a, double b, double c, double fa, double fb, double fc)
{
    double xi = (a - b) / (c - b);
    double phi = (fa - fb) / (fc - fb);
    if (!(phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi))
        return 0.5;
    return fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb);
}

double search_root(search_function *function, const void *context, double low, double high,
    double at_low, double at_high)
{
    if (at_low == 0.0)
        return low;
    if (at_high == 0.0)
        return high;
    if ((at_low < 0.0) == (at_high < 0.0))
        return fabs(at_low) < fabs(at_high) ? low : high;

    double a = high, b = low, fa = at_high, fb = at_low;
    double share = 0.5, finest = 1e-3 * DBL_EPSILON * fabs(high - low);
    for (int step = 0; step < ROOT_STEPS; step++) {
        double x = a + share * (b - a);
        double fx = function(x, context);
        double c, fc;
        if ((fx < 0.0) == (fa < 0.0)) {
            c = a;
            fc = fa;
        } else {
            c = b;
            fc = fb;
            b = a;
            fb = fa;
        }
        a = x;
        fa = fx;
        double best = fabs(fa) < fabs(fb) ? a : b;
        double tolerance = DBL_EPSILON * fabs(best) + finest;
        double limit = tolerance / fabs(b - a);
        if (fx == 0.0 || limit > 0.5)
            return best;
        share = next_share(a, b, c, fa, fb, fc);
        share = fmin(fmax(share, limit), 1.0 - limit);
    }
    return fabs(fa) < fabs(fb) ? a : b;
}

double search_least(search_function *function, const void *context, double low, double high,
    unsigned steps, double *where)
{
    double pitch = (high - low) / steps;
    double best = low, least = function(low, context);
    for (unsigned i = 1; i <= steps; i++) {
        double x = i == steps ? high : low + pitch * i;
        double value = function(x, context);
        if (value < least) {
            best = x;
            least = value;
        }
    }
    double left = fmax(low, best - pitch), right = fmin(high, best + pitch);
    double x1 = right - GOLDEN_RATIO * (right - left), x2 = left + GOLDEN_RATIO * (right - left);
    double f1 = function(x1, context), f2 = function(x2, context);
    for (int i = 0; i < GOLDEN_STEPS; i++) {
        if (f1 < f2) {
            right = x2;
            x2 = x1;
            f2 = f1;
            x1 = right - GOLDEN_RATIO * (right - left);
            f1 = function(x1, context);
        } else {
            left = x1;
            x1 = x2;
            f1 = f2;
            x2 = left + GOLDEN_RATIO * (right - left);
            f2 = function(x2, context);
        }
        if (fmin(f1, f2) < least) {
            best = f1 < f2 ? x1 : x2;
            least = fmin(f1, f2);
        }
    }
    if (where)
        *where = best;
    return least;
}
