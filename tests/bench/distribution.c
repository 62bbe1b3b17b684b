/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The ridge's distribution by the lattice against random draws, over random cases: by hand, not a
 * test.
 *
 *     meson compile -C build bench_distribution && build/tests/bench/bench_distribution [CASES [DRAWS]]
 *
 * Prints how far the mean, the interval's ends (in standard uncertainties) and the chance are from
 * those of the draws, and what one lattice costs. 200 cases of 4,000,000 draws without arguments.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>

#include <perpend/distribution.h>
#include <perpend/units.h>

struct random_case {
    struct perpend_uncertain_lean lean;
    struct perpend_cutter cutter;
    struct perpend_facing facing;
    struct perpend_goal goal;
};

/* Leans to 12 mm/m, uncertainties from a tenth of that on down, any correlation; every fifth bit has
   a corner radius; half the leans are normal, half have 4 to 40 degrees of freedom. */
static struct random_case draw_case(gsl_rng *rng, int number)
{
    struct random_case c = {.goal = {NAN, NAN}};
    double size = gsl_ran_flat(rng, 0.0, 0.012), toward = gsl_ran_flat(rng, 0.0, 2.0 * PERPEND_PI);
    double one = 2e-4 * exp(gsl_ran_flat(rng, 0.0, 2.0)), two = one * gsl_ran_flat(rng, 0.2, 1.0);
    double turned = gsl_ran_flat(rng, 0.0, PERPEND_PI), cosine = cos(turned), sine = sin(turned);
    c.lean.lean = (struct perpend_slope){size * sin(toward), size * cos(toward)};
    c.lean.covariance = (struct perpend_slope_covariance){
        one * one * cosine * cosine + two * two * sine * sine,
        (one * one - two * two) * cosine * sine,
        one * one * sine * sine + two * two * cosine * cosine,
    };
    c.lean.dof = number % 2 == 0 ? INFINITY : 4.0 * exp(gsl_ran_flat(rng, 0.0, 2.3));
    c.cutter.diameter = gsl_ran_flat(rng, 6.0, 50.0);
    c.cutter.corner = number % 5 == 0 ? 0.1 * c.cutter.diameter : 0.0;
    c.facing.stepover = c.cutter.diameter * gsl_ran_flat(rng, 0.1, 0.9);
    c.facing.both_ways = number % 7 == 0;
    c.facing.along = gsl_ran_flat(rng, 0.0, PERPEND_PI);
    c.facing.depth = NAN;
    return c;
}

static double ridge_at(const struct random_case *c, struct perpend_slope lean)
{
    double height = INFINITY;
    (void)perpend_ridge_facing(lean, &c->cutter, &c->facing, &height);
    return height;
}

/* The same figures from random draws: normal ones, divided by the root of χ²/ν for a t. */
static void draws(gsl_rng *rng, const struct random_case *c, double *ridge, size_t count,
    struct perpend_distribution *d)
{
    const struct perpend_slope_covariance *v = &c->lean.covariance;
    double root = sqrt(v->right_right), shared = v->right_back / root;
    double rest = sqrt(fmax(0.0, v->back_back - shared * shared)), squares = 0.0;
    size_t under = 0, span = (size_t)(0.95 * (double)count + 0.5), shortest = 0;
    *d = (struct perpend_distribution){.mean = 0.0};
    for (size_t i = 0; i < count; i++) {
        double one = gsl_ran_gaussian_ziggurat(rng, 1.0), two = gsl_ran_gaussian_ziggurat(rng, 1.0);
        double wider =
            isinf(c->lean.dof) ? 1.0 : sqrt((c->lean.dof - 2.0) / gsl_ran_chisq(rng, c->lean.dof));
        struct perpend_slope lean = {c->lean.lean.right + wider * root * one,
            c->lean.lean.back + wider * (shared * one + rest * two)};
        ridge[i] = ridge_at(c, lean);
        under += ridge[i] <= c->goal.ridge;
        double off = ridge[i] - d->mean;
        d->mean += off / (double)(i + 1);
        squares += off * (ridge[i] - d->mean);
    }
    gsl_sort(ridge, 1, count);
    for (size_t i = 0; i + span < count; i++) {
        if (ridge[i + span] - ridge[i] < ridge[shortest + span] - ridge[shortest])
            shortest = i;
    }
    d->low = ridge[shortest];
    d->high = ridge[shortest + span];
    d->deviation = sqrt(squares / (double)count);
    d->chance = (double)under / (double)count;
}

struct off {
    const char *what;
    double sum, worst;
};

static void add(struct off *off, double by)
{
    off->sum += fabs(by);
    off->worst = fmax(off->worst, fabs(by));
}

int main(int argc, char **argv)
{
    int cases = argc > 1 ? atoi(argv[1]) : 200;
    size_t count = argc > 2 ? (size_t)atol(argv[2]) : 4000000;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double *ridge = malloc(count * sizeof *ridge), seconds = 0.0;
    struct off off[] = {{"mean / u", 0, 0}, {"u / u", 0, 0}, {"low / u", 0, 0}, {"high / u", 0, 0},
        {"length / u", 0, 0}, {"chance", 0, 0}};
    if (rng == NULL || ridge == NULL)
        return 1;
    for (int number = 0; number < cases; number++) {
        struct random_case c = draw_case(rng, number);
        struct perpend_distribution by_lattice, by_draws;
        c.goal.ridge = ridge_at(&c, c.lean.lean) * gsl_ran_flat(rng, 0.7, 1.4);
        clock_t start = clock();
        if (perpend_ridge_distribution(&c.lean, &c.cutter, &c.facing, &c.goal, &by_lattice) != 0)
            return 1;
        seconds += (double)(clock() - start) / CLOCKS_PER_SEC;
        draws(rng, &c, ridge, count, &by_draws);
        double u = by_draws.deviation;
        add(&off[0], (by_lattice.mean - by_draws.mean) / u);
        add(&off[1], (by_lattice.deviation - by_draws.deviation) / u);
        add(&off[2], (by_lattice.low - by_draws.low) / u);
        add(&off[3], (by_lattice.high - by_draws.high) / u);
        add(&off[4], (by_lattice.high - by_lattice.low - by_draws.high + by_draws.low) / u);
        add(&off[5], by_lattice.chance - by_draws.chance);
    }
    for (size_t i = 0; i < sizeof off / sizeof *off; i++)
        printf("%-10s off by %.5f on average, %.5f at worst\n", off[i].what, off[i].sum / cases,
            off[i].worst);
    printf("one lattice: %.2f ms\n", 1e3 * seconds / cases);
    free(ridge);
    gsl_rng_free(rng);
    return 0;
}
