/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/board.h>

#define PATCH 0.5   /* of the waves' length: as much of the face goes up and down as one */
#define LEVELS 44   /* halvings of a depth */
#define DEEPEST 1e4 /* mm; no board this is for falls so far */
#define ALMOST_SURELY 0.95
#define TWO_SIDED 2.0 /* standard uncertainties */

double perpend_cell_uncut(const struct perpend_cell *cell, double depth)
{
    return 0.5 * erfc((depth - cell->fall) / (sqrt(2.0) * cell->uncertainty));
}

/* Spots on an edge stand for half of what others do, those in a corner for a quarter. */
double perpend_cleanup_share(const struct perpend_cleanup *cleanup, double depth)
{
    double sum = 0.0, all = 0.0;
    for (size_t i = 0; i < cleanup->columns * cleanup->rows; i++) {
        size_t column = i % cleanup->columns, row = i / cleanup->columns;
        double stands = (column % (cleanup->columns - 1) == 0 ? 0.5 : 1.0) *
                        (row % (cleanup->rows - 1) == 0 ? 0.5 : 1.0);
        sum += stands * perpend_cell_uncut(&cleanup->cell[i], depth);
        all += stands;
    }
    return sum / all;
}

/* Patches stand or fall by themselves, each by its worst spot. */
double perpend_cleanup_chance(const struct perpend_cleanup *cleanup, double depth)
{
    double worst[PERPEND_CELLS_MOST / PERPEND_CELLS_EACH][PERPEND_CELLS_MOST / PERPEND_CELLS_EACH] =
        {{0.0}};
    double chance = 1.0;
    for (size_t i = 0; i < cleanup->columns * cleanup->rows; i++) {
        double *patch = &worst[i / cleanup->columns / PERPEND_CELLS_EACH]
                              [i % cleanup->columns / PERPEND_CELLS_EACH];
        *patch = fmax(*patch, perpend_cell_uncut(&cleanup->cell[i], depth));
    }
    for (size_t i = 0; i < sizeof worst / sizeof **worst; i++)
        chance *= 1.0 - (&worst[0][0])[i];
    return chance;
}

/* Cells along a side, a few a patch. */
static size_t cells_along(double side, double length)
{
    const size_t most = PERPEND_CELLS_MOST / PERPEND_CELLS_EACH;
    double patches = fmin(ceil(side / (PATCH * length)), (double)most);
    return PERPEND_CELLS_EACH * (size_t)fmax(6.0, patches);
}

static double depth_for(const struct perpend_cleanup *cleanup, double chance)
{
    double from = -DEEPEST, to = DEEPEST;
    for (int i = 0; i < LEVELS; i++) {
        double middle = 0.5 * (from + to);
        *(perpend_cleanup_chance(cleanup, middle) < chance ? &from : &to) = middle;
    }
    return 0.5 * (from + to);
}

static void fill_cells(
    const struct perpend_survey *survey, double touch, struct perpend_cleanup *cleanup)
{
    const struct perpend_area *area = &survey->area;
    for (size_t i = 0; i < cleanup->columns * cleanup->rows; i++) {
        const size_t column = i % cleanup->columns, row = i / cleanup->columns;
        double across = (double)column / (double)(cleanup->columns - 1);
        double along = (double)row / (double)(cleanup->rows - 1);
        const struct perpend_point place = {
            area->x + area->wide * across, area->y + area->deep * along, 0.0};
        double variance;
        cleanup->cell[i].fall = -perpend_survey_rise(survey, cleanup->zero, place, &variance);
        cleanup->cell[i].uncertainty = sqrt(variance + touch * touch);
    }
}

enum perpend_status perpend_cleanup_find(const struct perpend_survey *survey,
    const struct perpend_board *board, struct perpend_point zero, double touch, double depth,
    struct perpend_cleanup *cleanup)
{
    const struct perpend_area *area = &survey->area;
    double high = 0.0;
    if (survey->surface == NULL || !(depth > 0.0 && isfinite(depth)) || !(touch > 0.0) ||
        !isfinite(zero.right) || !isfinite(zero.back))
        return PERPEND_ERR_VALUE;
    cleanup->zero = zero;
    cleanup->columns = cells_along(area->wide, survey->length);
    cleanup->rows = cells_along(area->deep, survey->length);
    fill_cells(survey, touch, cleanup);
    for (size_t i = 0; i < cleanup->columns * cleanup->rows; i++) {
        const struct perpend_cell *cell = &cleanup->cell[i];
        high = fmax(high, TWO_SIDED * cell->uncertainty - cell->fall);
    }
    cleanup->even = depth_for(cleanup, 0.5);
    cleanup->sure = depth_for(cleanup, ALMOST_SURELY);
    cleanup->passes = (unsigned)fmax(1.0, fmin(ceil(cleanup->sure / depth - 1e-6), 1e6));
    cleanup->first = depth + high;
    cleanup->taken = depth * cleanup->passes + high;
    for (cleanup->hit = 0; cleanup->hit < board->metal_count; cleanup->hit++) {
        const struct perpend_metal *metal = &board->metal[cleanup->hit];
        double variance, rise = perpend_survey_rise(survey, zero,
                             (struct perpend_point){metal->x, metal->y, 0.0}, &variance);
        if (rise + depth * cleanup->passes + TWO_SIDED * sqrt(variance) >
            metal->under - PERPEND_METAL_ROOM)
            break;
    }
    return PERPEND_OK;
}
