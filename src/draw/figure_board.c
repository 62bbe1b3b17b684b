/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "draw/figures.h"
#include "draw/plot.h"

#define MOST 210.0 /* px, the board's longer side */
#define TOP 24.0
#define CELLS 13 /* shown along a side */
#define LEAST 1.2

/** The board seen from above, to scale. */
struct map {
    const struct board_survey *board;
    double scale; /* px per mm */
    struct box box;
    double deepest; /* fall that fills a cell, mm */
};

static struct spot map_spot(const struct map *map, double x, double y)
{
    const struct perpend_area *area = &map->board->survey.area;
    return at(map->box.x + map->scale * (x - area->x),
        map->box.y + map->box.height - map->scale * (y - area->y));
}

static const struct perpend_cell *cell_of(const struct map *map, int column, int row)
{
    const struct perpend_cleanup *cleanup = &map->board->cleanup;
    const size_t x = (size_t)column * (cleanup->columns - 1) / (CELLS - 1);
    const size_t y = (size_t)row * (cleanup->rows - 1) / (CELLS - 1);
    return &cleanup->cell[y * cleanup->columns + x];
}

/** A square a place: the lower it lies, the larger; open where the first pass hardly reaches. */
static void draw_cells(struct figure *figure, const struct map *map)
{
    const double depth = map->board->machine->facing.depth;
    const double wide = map->box.width / CELLS, high = map->box.height / CELLS;
    for (int i = 0; i < CELLS * CELLS; i++) {
        const int column = i % CELLS, row = i / CELLS;
        const double fall = cell_of(map, column, row)->fall;
        const double side = fmax(LEAST, 0.9 * fmin(wide, high) * fall / map->deepest);
        const struct box box = {map->box.x + wide * (column + 0.5) - side / 2,
            map->box.y + map->box.height - high * (row + 0.5) - side / 2, side, side};
        figure_box(figure, fall > depth ? pen(INK_OVER, 1.2) : surface(INK_WITHIN), box);
    }
}

struct figure *figure_board(const struct board_survey *board)
{
    const struct perpend_survey *survey = &board->survey;
    const struct perpend_area *area = &survey->area;
    const double scale = MOST / fmax(area->wide, area->deep);
    const double wide = scale * area->wide, deep = scale * area->deep;
    const struct words words = {.unit = board->machine->unit};
    struct map map = {board, scale, {(FIGURE_WIDTH - wide) / 2, TOP, wide, deep}, 1e-6};
    struct figure *figure = figure_create(FIGURE_WIDTH, 0);
    for (int i = 0; i < CELLS * CELLS; i++)
        map.deepest = fmax(map.deepest, cell_of(&map, i % CELLS, i / CELLS)->fall);
    figure_box(figure, pen(INK_TEXT, 1.6), map.box);
    figure_clip(figure, map.box);
    draw_cells(figure, &map);
    for (size_t i = 0; i < survey->touch_count; i++)
        figure_circle(figure, outlined(INK_PAPER, INK_TEXT, 1),
            map_spot(&map, board->touches->readings[i].x, board->touches->readings[i].y), 2.6);
    figure_marker(figure, MARKER_DIAMOND, INK_TEXT,
        map_spot(&map, board->cleanup.zero.right, board->cleanup.zero.back), 5.5);
    figure_unclip(figure);
    const struct spot middle = at(FIGURE_WIDTH / 2, TOP + deep / 2);
    plot_sides(figure, middle, deep / 2 + 8, deep / 2 + 18, wide / 2 + 8);
    const struct key keys[] = {
        {"cut by the first pass", .style = surface(INK_WITHIN)},
        {"hardly reached", .style = pen(INK_OVER, 1.2)},
        {"touched", .marker = MARKER_DOT, .ink = INK_TEXT},
        {"Z set", .marker = MARKER_DIAMOND, .ink = INK_TEXT},
    };
    plot_key(figure, at(1, TOP + deep + 40), FIGURE_WIDTH - 2, keys, sizeof keys / sizeof *keys);
    figure->height = TOP + deep + 100;
    plot_describe(figure, &words, PICTURE_BOARD_TITLE, PICTURE_BOARD,
        SLOTS(SLOT_ROUNDED("deepest", WORDS_SMALL, map.deepest, 0.04),
            SLOT_STATED("depth", WORDS_SMALL, board->machine->facing.depth),
            SLOT_COUNT("count", survey->touch_count)));
    return figure;
}
