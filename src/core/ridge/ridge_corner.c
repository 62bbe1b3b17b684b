/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Where neighbouring passes of a bit with a corner radius cross: two points of one profile at the
 * same height, a stepover apart. docs/method.md, "The ridge".
 *
 * A point stands where the corner's circle rolls on the disc's edge at q = ρ x/√(1 + x²), where the
 * edge's slope is y = B x − A; it is p = q + c y/√(1 + y²) off the middle. Newton's method on the
 * two points; each takes its step in q where the edge curves less than the circle, and in the
 * circle's own offset where it curves more, so that a step is nearly straight either way. What does
 * not settle soon is left to a bracketed search.
 */
#include <math.h>
#include <stdbool.h>

#include "core/ridge/ridge_corner.h"
#include "core/ridge/ridge_search.h"

#define MOST_STEPS 16
#define SETTLED 1e-8 /* of the reach; what one more step of Newton's would leave is its square */
#define NEARLY_ALL 0.999999

struct point {
    double x, y;   /* as above */
    double p;      /* mm */
    double height; /* over the lowest point, mm */
    double edge;   /* share of a small change of p that is a change of q */
};

static struct point point_make(const struct ridge_profile *profile, double x, double y)
{
    double w = sqrt(1.0 + x * x), v = sqrt(1.0 + y * y), c = profile->corner;
    double cosine = (profile->a * x + profile->b) / w; /* times √(A² + B²), to the lowest point */
    double fall = y / w;
    double edge = profile->rho / (w * w * w), arc = c * profile->b / (v * v * v);
    double disc = cosine > 0.0 ? fall * fall / (profile->c + cosine) : profile->c - cosine;
    return (struct point){
        .x = x,
        .y = y,
        .p = profile->rho * x / w + c * y / v,
        .height = profile->rho * disc + c * y * y / (v * (1.0 + v)),
        .edge = edge / (edge + arc),
    };
}

static struct point point_on_edge(const struct ridge_profile *profile, double sine)
{
    double x = sine / sqrt((1.0 - sine) * (1.0 + sine));
    return point_make(profile, x, profile->b * x - profile->a);
}

static struct point point_on_arc(const struct ridge_profile *profile, double sine)
{
    sine = fmin(fmax(sine, -NEARLY_ALL), NEARLY_ALL);
    double y = sine / sqrt((1.0 - sine) * (1.0 + sine));
    return point_make(profile, (y + profile->a) / profile->b, y);
}

/* A first guess for the point at p. */
static struct point point_near(const struct ridge_profile *profile, double p)
{
    double flat = -profile->a / sqrt(1.0 + profile->a * profile->a); /* of the edge as a line */
    double sine = (p - profile->corner * flat) / profile->rho;
    if (fabs(sine) < NEARLY_ALL)
        return point_on_edge(profile, sine);
    return point_on_arc(profile, (p - copysign(profile->rho, p)) / profile->corner);
}

/* Newton's step toward p + change. */
static struct point point_moved(
    const struct ridge_profile *profile, const struct point *point, double change)
{
    if (point->edge > 0.5) {
        double sine = point->x / sqrt(1.0 + point->x * point->x);
        sine += change * point->edge / profile->rho;
        if (fabs(sine) < 1.0)
            return point_on_edge(profile, sine);
    } else {
        double sine = point->y / sqrt(1.0 + point->y * point->y);
        double moved = sine + change * (1.0 - point->edge) / profile->corner;
        bool same_end =
            (moved / sqrt(fmax(1.0 - moved * moved, 1e-12)) + profile->a > 0.0) == (point->x > 0.0);
        if (fabs(moved) < 1.0 && same_end)
            return point_on_arc(profile, moved);
        if (same_end)
            return point_on_arc(profile, (sine + copysign(1.0, moved)) / 2.0);
    }
    return point_near(profile, point->p + change);
}

/* Newton's method from a guess; false when it does not settle. */
static bool newton_cell(
    const struct ridge_profile *profile, double stepover, struct ridge_cell *cell)
{
    struct point left = point_near(profile, cell->left), right = point_near(profile, cell->right);
    for (int step = 0; step < MOST_STEPS; step++) {
        double apart = right.p - left.p - stepover, higher = right.height - left.height;
        double right_change = (left.y * apart - higher) / (right.y - left.y);
        double left_change = right_change + apart;
        if (!(fabs(left_change) + fabs(right_change) < 1e6 * profile->reach))
            return false;
        if (fabs(left_change) + fabs(right_change) < SETTLED * profile->reach) {
            cell->left = left.p + left_change;
            cell->right = cell->left + stepover;
            cell->height = fabs(left.y) < fabs(right.y) ? left.height + left.y * left_change
                                                        : right.height + right.y * right_change;
            return true;
        }
        left = point_moved(profile, &left, left_change);
        right = point_moved(profile, &right, right_change);
    }
    return false;
}

struct crossing_search {
    const struct ridge_profile *profile;
    double stepover;
};

static double crossing_mismatch(double p, const void *context)
{
    const struct crossing_search *search = context;
    return ridge_profile_height(search->profile, p) -
           ridge_profile_height(search->profile, p - search->stepover);
}

/* The height of the end where the curve is less steep: there the offset's last digit weighs least.
 */
static double gentler_height(const struct ridge_profile *profile, double left, double right)
{
    double margin_left = left + profile->reach, margin_right = profile->reach - right;
    return ridge_profile_height(profile, margin_left > margin_right ? left : right);
}

static void bracketed_cell(
    const struct ridge_profile *profile, double stepover, struct ridge_cell *cell)
{
    struct crossing_search search = {profile, stepover};
    double low = stepover - profile->reach, high = profile->reach;
    double at_low = crossing_mismatch(low, &search), at_high = crossing_mismatch(high, &search);
    if (at_high <= 0.0) { /* this pass is the lower one as far as it goes */
        cell->right = high;
        cell->left = high - stepover;
        cell->height = ridge_profile_height(profile, cell->left);
        return;
    }
    cell->right = search_root(crossing_mismatch, &search, low, high, at_low, at_high);
    cell->left = cell->right - stepover;
    cell->height = gentler_height(profile, cell->left, cell->right);
}

/* An upright bit's disc cuts flat; only past its edge do the corners leave a cusp. */
static void upright_cell(
    const struct ridge_profile *profile, double stepover, struct ridge_cell *cell)
{
    double c = profile->corner, d = fmin(fmax(0.0, stepover / 2.0 - profile->rho), c);
    cell->left = -stepover / 2.0;
    cell->right = stepover / 2.0;
    cell->height = d * d / (c + sqrt((c - d) * (c + d)));
}

/* Height of the disc's end on the side that dips. */
static double end_height(const struct ridge_profile *profile)
{
    return profile->rho * profile->b * profile->b / (profile->c + profile->a);
}

/* A first guess: the crossing of discs as wide without a corner; when that is higher than the
   disc's end, where the corner's circle comes up to there. */
static void guess_cell(
    const struct ridge_profile *profile, double stepover, struct ridge_cell *cell)
{
    struct ridge_profile sharp = *profile;
    sharp.rho = profile->reach;
    ridge_disc_cell(&sharp, stepover, cell);
    double over = cell->height - end_height(profile), c = profile->corner;
    if (over > 0.0 && over < c) {
        double right = profile->rho + sqrt(over * (2.0 * c - over));
        cell->right = fmin(cell->right, right);
        cell->left = cell->right - stepover;
    }
}

/* Whether neighbours surely cross: the pass's end on the side that dips is higher than the other
   end of its share can be. With a stepover smaller than the corner both stand on one corner's
   circle, or the share's other end lower still; with one that reaches across to the other corner
   the two ends of the disc, 2 A ρ apart in height, must not make up for that corner's rise. */
static bool surely_crosses(const struct ridge_profile *profile, double stepover)
{
    double end =
        profile->rho * profile->b * profile->b / (profile->c + profile->a) + profile->corner;
    double q = profile->reach - stepover;
    if (q > profile->rho)
        return true;
    if (q < -profile->rho) {
        double c = profile->corner, d = -q - profile->rho, apart = 2.0 * profile->a * profile->rho;
        return d < c && (c - d) * (c + d) > apart * apart;
    }
    double y = sqrt((profile->rho - q) * (profile->rho + q));
    return end > profile->c * profile->rho - (profile->a * q + profile->b * y);
}

void ridge_corner_cell(
    const struct ridge_profile *profile, double stepover, struct ridge_cell *cell)
{
    if (!(profile->c > 0.0)) {
        upright_cell(profile, stepover, cell);
        return;
    }
    if (profile->b > 1e-9 * profile->c && profile->rho > 0.0 && surely_crosses(profile, stepover)) {
        if (stepover > 2.0 * profile->rho) { /* from corner to corner, as upright */
            upright_cell(profile, stepover, cell);
            if (newton_cell(profile, stepover, cell))
                return;
        }
        guess_cell(profile, stepover, cell);
        if (newton_cell(profile, stepover, cell))
            return;
    }
    bracketed_cell(profile, stepover, cell);
}
