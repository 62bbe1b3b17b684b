/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/units.h>

#include "text/compass.h"

/* Clockwise seen from above, as bearings go. */
enum { BACK, BACK_RIGHT, RIGHT, FRONT_RIGHT, FRONT, FRONT_LEFT, LEFT, BACK_LEFT, EIGHT };
enum { CELL = 56 };

/* What stands in each of the eight places, "" for nothing. */
struct cells {
    char at[EIGHT][CELL];
    int middle; /* the column of the cross */
};

static bool sort_marks(struct cells *cells, const struct compass_mark *marks, size_t count)
{
    static const char *const names[EIGHT] = {
        [BACK] = "back ", [RIGHT] = "right ", [FRONT] = "front ", [LEFT] = "left "};
    for (size_t i = 0; i < count; i++) {
        double eighths = marks[i].bearing / (PERPEND_PI / 4);
        long place = lround(eighths) % EIGHT;
        if (fabs(eighths - round(eighths)) > 1e-6 || cells->at[place][0] != '\0')
            return false;
        snprintf(cells->at[place], CELL, "%s%s", names[place] != NULL ? names[place] : "",
            marks[i].shown);
    }
    return true;
}

static void add_middle(struct buffer *text, const struct cells *cells, const char *cell)
{
    if (cell[0] != '\0')
        buffer_addf(text, "%*s%s\n", cells->middle - (int)strlen(cell) / 2, "", cell);
}

static void add_corners(
    struct buffer *text, const struct cells *cells, const char *left, const char *right)
{
    if (right[0] != '\0')
        buffer_addf(text, "%*s%7s%s\n", cells->middle - 3, left, "", right);
    else if (left[0] != '\0')
        buffer_addf(text, "%*s\n", cells->middle - 3, left);
}

bool compass_draw(struct buffer *text, const struct compass_mark *marks, size_t count)
{
    struct cells cells = {.middle = 11}; /* where it stays while readings come in */
    if (!sort_marks(&cells, marks, count))
        return false;
    for (size_t i = 0; i < EIGHT; i++) {
        int width = (int)strlen(cells.at[i]);
        int wants = i == BACK || i == FRONT ? width / 2
                    : i == LEFT             ? width + 1
                    : i % 2 == 1            ? width + 3
                                            : 0;
        cells.middle = wants > cells.middle ? wants : cells.middle;
    }
    add_middle(text, &cells, cells.at[BACK]);
    add_corners(text, &cells, cells.at[BACK_LEFT], cells.at[BACK_RIGHT]);
    buffer_addf(text, "%*s +%s%s\n", cells.middle - 1, cells.at[LEFT],
        cells.at[RIGHT][0] != '\0' ? " " : "", cells.at[RIGHT]);
    add_corners(text, &cells, cells.at[FRONT_LEFT], cells.at[FRONT_RIGHT]);
    add_middle(text, &cells, cells.at[FRONT]);
    return true;
}
