/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/sweep/compass.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/units.h>

#include "text/words.h"

#define ROWS 9
#define COLUMNS 60
#define MIDDLE_ROW 4
#define MIDDLE_COLUMN 29

/* Squares that are no letters: on a screen that has more than ASCII, and on one that has not. */
enum mark {
    ARM_UP = 1,
    ARM_RISING,
    ARM_ACROSS,
    ARM_FALLING,
    PLACE_NEXT,
    PLACE_READ,
    PLACE_BARE,
    DEGREE
};
static const char *const marks[][2] = {
    [ARM_UP] = {"│", "|"},
    [ARM_RISING] = {"╱", "/"},
    [ARM_ACROSS] = {"─", "-"},
    [ARM_FALLING] = {"╲", "\\"},
    [PLACE_NEXT] = {"○", "O"},
    [PLACE_READ] = {"●", "*"},
    [PLACE_BARE] = {"·", "."},
    [DEGREE] = {"°", "?"}, /* a label has none without UTF-8 */
};

struct sheet {
    char squares[ROWS][COLUMNS];
};

/* A point of the ring: `far` 1 is the ring itself. */
static void ring_point(double bearing, double far, int *row, int *column)
{
    *row = MIDDLE_ROW - (int)lround(3 * far * cos(bearing));
    *column = MIDDLE_COLUMN + (int)lround(10 * far * sin(bearing));
}

static void draw_arm(struct sheet *sheet, double bearing)
{
    int eighth = (int)lround(bearing / (PERPEND_PI / 4)) % 4;
    int row_before = MIDDLE_ROW;
    for (int tenth = 1; tenth < 10; tenth++) {
        int row, column;
        ring_point(bearing, tenth / 10.0, &row, &column);
        /* a slanting arm gets one mark a row, or it would look like a stair */
        if (row != row_before || (ARM_UP + eighth == ARM_ACROSS && column != MIDDLE_COLUMN))
            sheet->squares[row][column] = (char)(ARM_UP + eighth);
        row_before = row;
    }
}

/* A place's label beside the ring; false when there is no room for it. */
static bool write_label(struct sheet *sheet, const struct compass_place *place)
{
    double right = sin(place->bearing);
    int row, column, width = (int)words_columns(place->label);
    ring_point(place->bearing, 1, &row, &column);
    if (fabs(right) < 0.3) {
        row += cos(place->bearing) > 0 ? -1 : 1;
        column -= width / 2;
    } else {
        column += right > 0 ? 3 : -2 - width;
    }
    if (row < 0 || row >= ROWS || column < 0 || column + width > COLUMNS)
        return false;
    /* a blank on both sides as well */
    for (int i = column > 0 ? column - 1 : 0; i <= column + width && i < COLUMNS; i++)
        if (sheet->squares[row][i] != ' ')
            return false;
    for (const char *at = place->label; *at != '\0'; at++) {
        bool degree = (unsigned char)*at == 0xc2; /* the first of the sign's two bytes */
        sheet->squares[row][column++] = (char)(degree ? DEGREE : *at);
        at += degree ? 1 : 0;
    }
    return true;
}

/* Too many for a ring: in two columns, in order. */
static void add_list(struct buffer *text, const struct compass_place *places, size_t count)
{
    size_t rows = (count + 1) / 2;
    for (size_t row = 0; row < rows; row++) {
        const char *label = places[row].label;
        buffer_addf(text, "  %s", label);
        if (row + rows < count)
            buffer_addf(
                text, "%*s%s", 28 - (int)words_columns(label), "", places[row + rows].label);
        buffer_add(text, "\n");
    }
}

static void add_sheet(struct buffer *text, const struct sheet *sheet, bool utf8)
{
    for (int row = 0; row < ROWS; row++) {
        int end = COLUMNS;
        while (end > 0 && sheet->squares[row][end - 1] == ' ')
            end--;
        for (int column = 0; column < end; column++) {
            const char *square = &sheet->squares[row][column];
            if (*square <= DEGREE)
                buffer_add(text, marks[(int)*square][utf8 ? 0 : 1]);
            else
                buffer_add_bytes(text, square, 1);
        }
        buffer_add(text, "\n");
    }
}

void compass_add(
    struct buffer *text, const struct compass_place *places, size_t count, size_t next, bool utf8)
{
    struct sheet sheet;
    memset(&sheet, ' ', sizeof sheet);
    for (size_t i = 0; i < count; i++) {
        if (!write_label(&sheet, &places[i])) {
            add_list(text, places, count);
            return;
        }
    }
    if (next < count)
        draw_arm(&sheet, places[next].bearing);
    for (size_t i = 0; i < count; i++) {
        int row, column;
        ring_point(places[i].bearing, 1, &row, &column);
        sheet.squares[row][column] = (char)(i == next          ? PLACE_NEXT
                                            : places[i].marked ? PLACE_READ
                                                               : PLACE_BARE);
    }
    sheet.squares[MIDDLE_ROW][MIDDLE_COLUMN] = '+';
    add_sheet(text, &sheet, utf8);
}
