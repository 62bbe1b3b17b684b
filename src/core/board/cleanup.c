/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <gsl/gsl_cdf.h>

#include <perpend/board.h>

#define PATCH 0.5 /* of the waves' length: as much of the face goes up and down as one */
#define LEVELS 24 /* halvings of a depth */
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

/* Patches stand or fall by themselves, each by its worst spot; `scale` times as uncertain as it says. */
static double all_cut(const struct perpend_cleanup *cleanup, double depth, double scale)
{
    double chance = 1.0;
    for (size_t row = 0; row < cleanup->rows; row += PERPEND_CELLS_EACH)
        for (size_t column = 0; column < cleanup->columns; column += PERPEND_CELLS_EACH) {
            double worst = 0.0;
            for (size_t i = 0; i < PERPEND_CELLS_EACH * PERPEND_CELLS_EACH; i++) {
                struct perpend_cell cell =
                    cleanup->cell[(row + i / PERPEND_CELLS_EACH) * cleanup->columns + column +
                                  i % PERPEND_CELLS_EACH];
                cell.uncertainty *= scale;
                worst = fmax(worst, perpend_cell_uncut(&cell, depth));
            }
            chance *= 1.0 - worst;
        }
    return chance;
}

double perpend_cleanup_chance(const struct perpend_cleanup *cleanup, double depth)
{
    double chance = 0.0;
    for (size_t i = 0; i < PERPEND_SCALES; i++)
        chance += all_cut(cleanup, depth, cleanup->scale[i]) / PERPEND_SCALES;
    return chance;
}

/* Cells along a side, a few a patch. */
static size_t cells_along(double side, double length)
{
    double patches = ceil(side / (PATCH * length)), most = PERPEND_CELLS_MOST / PERPEND_CELLS_EACH;
    return PERPEND_CELLS_EACH * (size_t)fmax(6.0, fmin(patches, most));
}

static double depth_for(
    const struct perpend_cleanup *cleanup, double chance, double from, double to)
{
    for (int i = 0; i < LEVELS; i++) {
        double middle = 0.5 * (from + to);
        *(perpend_cleanup_chance(cleanup, middle) < chance ? &from : &to) = middle;
    }
    return 0.5 * (from + to);
}

/* Metal whose place is not known may lie where most is taken. */
static double taken_at(const struct perpend_survey *survey, const struct perpend_cleanup *cleanup,
    const struct perpend_metal *metal, double depth)
{
    const struct perpend_point place = {metal->x, metal->y, 0.0};
    double variance;
    if (isnan(metal->x) || isnan(metal->y))
        return cleanup->taken;
    double rise = perpend_survey_rise(survey, cleanup->zero, place, &variance);
    return rise + depth + TWO_SIDED * sqrt(variance);
}

static void fill_cells(
    const struct perpend_survey *survey, double touch, struct perpend_cleanup *cleanup)
{
    const struct perpend_area *area = &cleanup->area;
    for (size_t i = 0; i < cleanup->columns * cleanup->rows; i++) {
        double across = (double)(i % cleanup->columns) / (double)(cleanup->columns - 1);
        double along = (double)(i / cleanup->columns) / (double)(cleanup->rows - 1);
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
    const struct perpend_area *area = &board->area;
    double lowest = INFINITY, deepest = -INFINITY, high = 0.0;
    if (survey->surface == NULL || !(depth > 0.0 && isfinite(depth)) || !(touch > 0.0) ||
        !(area->wide > 0.0 && area->deep > 0.0) || !isfinite(zero.right) || !isfinite(zero.back))
        return PERPEND_ERR_VALUE;
    cleanup->area = *area;
    cleanup->zero = zero;
    cleanup->columns = cells_along(area->wide, survey->length);
    cleanup->rows = cells_along(area->deep, survey->length);
    for (size_t i = 0; i < PERPEND_SCALES; i++)
        cleanup->scale[i] =
            sqrt((survey->dof - 2.0) /
                 gsl_cdf_chisq_Qinv(((double)i + 0.5) / PERPEND_SCALES, survey->dof));
    fill_cells(survey, touch, cleanup);
    for (size_t i = 0; i < cleanup->columns * cleanup->rows; i++) {
        const struct perpend_cell *cell = &cleanup->cell[i];
        lowest = fmin(lowest, cell->fall - 9.0 * cell->uncertainty);
        deepest = fmax(deepest, cell->fall + 9.0 * cell->uncertainty);
        high = fmax(high, TWO_SIDED * cell->uncertainty - cell->fall);
    }
    cleanup->even = depth_for(cleanup, 0.5, lowest, deepest);
    cleanup->sure = depth_for(cleanup, ALMOST_SURELY, lowest, deepest);
    cleanup->passes = (unsigned)fmax(1.0, fmin(ceil(cleanup->sure / depth - 1e-6), 1e6));
    cleanup->first = depth + high;
    cleanup->taken = depth * cleanup->passes + high;
    for (cleanup->hit = 0; cleanup->hit < board->metal_count; cleanup->hit++) {
        const struct perpend_metal *metal = &board->metal[cleanup->hit];
        if (taken_at(survey, cleanup, metal, depth * cleanup->passes) >
            metal->under - PERPEND_METAL_ROOM)
            break;
    }
    return PERPEND_OK;
}
