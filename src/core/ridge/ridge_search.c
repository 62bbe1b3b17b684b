/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <assert.h>
#include <float.h>
#include <math.h>

#include <gsl/gsl_roots.h>

#include "core/ridge/ridge_search.h"

#define MOST_STEPS 200   /* bisection alone needs fewer than 70 from any sensible bracket */
#define STATE_DOUBLES 32 /* four times what Brent's method keeps today */

struct bracket {
    search_function *function;
    const void *context;
    double from, to;
};

static double between_signs(double x, void *context)
{
    const struct bracket *bracket = context;
    double value = bracket->function(x, bracket->context);
    if (!isfinite(value))
        return 0.0;
    if (x == bracket->from)
        return fmin(value, 0.0);
    return x == bracket->to ? fmax(value, 0.0) : value;
}

double search_root(
    search_function *function, const void *context, double from, double to, double share)
{
    struct bracket bracket = {function, context, from, to};
    gsl_function signs = {between_signs, &bracket};
    double state[STATE_DOUBLES];
    gsl_root_fsolver solver = {.type = gsl_root_fsolver_brent, .state = state};
    assert(gsl_root_fsolver_brent->size <= sizeof state);
    if (from == to)
        return to;
    gsl_root_fsolver_set(&solver, &signs, fmin(from, to), fmax(from, to));
    double finest = share * fabs(to - from);
    for (int step = 0; step < MOST_STEPS; step++) {
        gsl_root_fsolver_iterate(&solver);
        if (solver.x_upper - solver.x_lower <= DBL_EPSILON * fabs(solver.root) + finest)
            break;
    }
    return solver.root;
}
