/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/sweep/plan_view.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/units.h>

#include "cli/prompt/dialogue.h"
#include "text/words.h"

#define ROWS 9
#define MIDDLE_ROW 4
#define MIDDLE_COLUMN 29

/* A sheet of squares, each with room for one UTF-8 character. */
struct sheet {
    char squares[ROWS][PLAN_VIEW_COLUMNS][5];
};

static void sheet_clear(struct sheet *sheet)
{
    for (int row = 0; row < ROWS; row++)
        for (int column = 0; column < PLAN_VIEW_COLUMNS; column++)
            snprintf(sheet->squares[row][column], sizeof sheet->squares[row][column], " ");
}

static void sheet_mark(struct sheet *sheet, int row, int column, const char *mark)
{
    if (row >= 0 && row < ROWS && column >= 0 && column < PLAN_VIEW_COLUMNS) {
        char *square = sheet->squares[row][column];
        snprintf(square, sizeof sheet->squares[row][column], "%s", mark);
    }
}

static bool sheet_is_free(const struct sheet *sheet, int row, int column, int width)
{
    if (row < 0 || row >= ROWS || column < 0 || column + width > PLAN_VIEW_COLUMNS)
        return false;
    /* a blank on both sides as well */
    int from = column > 0 ? column - 1 : 0;
    int to = column + width < PLAN_VIEW_COLUMNS ? column + width : PLAN_VIEW_COLUMNS - 1;
    for (int i = from; i <= to; i++)
        if (strcmp(sheet->squares[row][i], " ") != 0)
            return false;
    return true;
}

static void sheet_write(struct sheet *sheet, int row, int column, const char *text)
{
    while (*text != '\0') {
        char glyph[5];
        size_t length = 1;
        while (length < 4 && ((unsigned char)text[length] & 0xc0) == 0x80)
            length++;
        memcpy(glyph, text, length);
        glyph[length] = '\0';
        sheet_mark(sheet, row, column++, glyph);
        text += length;
    }
}

static void sheet_add(const struct sheet *sheet, struct buffer *text)
{
    for (int row = 0; row < ROWS; row++) {
        int end = PLAN_VIEW_COLUMNS;
        while (end > 0 && strcmp(sheet->squares[row][end - 1], " ") == 0)
            end--;
        for (int column = 0; column < end; column++)
            buffer_add(text, sheet->squares[row][column]);
        buffer_add(text, "\n");
    }
}

void plan_view_name(char *buffer, size_t size, double bearing, bool utf8)
{
    char label[WORDS_LABEL];
    words_bearing_label(label, sizeof label, bearing);
    size_t digits = strcspn(label, "\xc2"); /* the degree sign, if any, ends it */
    if (utf8 || label[digits] == '\0')
        snprintf(buffer, size, "%s", label);
    else
        snprintf(buffer, size, "%.*s deg", (int)digits, label);
}

/* A point of the ring: `far` 1 is the ring itself. */
static void ring_point(double bearing, double far, int *row, int *column)
{
    *row = MIDDLE_ROW - (int)lround(3 * far * cos(bearing));
    *column = MIDDLE_COLUMN + (int)lround(10 * far * sin(bearing));
}

static void draw_arm(struct sheet *sheet, double bearing, bool utf8)
{
    static const char *const plain[4] = {"|", "/", "-", "\\"};
    static const char *const drawn[4] = {"│", "╱", "─", "╲"};
    int eighth = (int)lround(bearing / (PERPEND_PI / 4)) % 8;
    const char *mark = (utf8 ? drawn : plain)[eighth % 4];
    int row_before = MIDDLE_ROW;
    for (int tenth = 1; tenth < 10; tenth++) {
        int row;
        int column;
        ring_point(bearing, tenth / 10.0, &row, &column);
        /* a slanting arm gets one mark a row, or it would look like a stair */
        if (row != row_before || (eighth % 4 == 2 && column != MIDDLE_COLUMN))
            sheet_mark(sheet, row, column, mark);
        row_before = row;
    }
}

#define LABEL_SIZE 96 /* bytes: a bearing's name and what is said of it */

static void label_of(char *label, size_t size, const struct plan_view_place *place, bool utf8)
{
    char name[32];
    plan_view_name(name, sizeof name, place->bearing, utf8);
    snprintf(label, size, "%s%s%s", name, place->said[0] != '\0' ? "  " : "", place->said);
}

/* A place's label beside the ring; false when there is no room for it. */
static bool write_label(struct sheet *sheet, const struct plan_view_place *place, bool utf8)
{
    char label[LABEL_SIZE];
    double right = sin(place->bearing);
    int row;
    int column;
    label_of(label, sizeof label, place, utf8);
    int width = (int)words_columns(label);
    ring_point(place->bearing, 1, &row, &column);
    if (fabs(right) < 0.3) {
        row += cos(place->bearing) > 0 ? -1 : 1;
        column -= width / 2;
    } else {
        column += right > 0 ? 3 : -2 - width;
    }
    if (!sheet_is_free(sheet, row, column, width))
        return false;
    sheet_write(sheet, row, column, label);
    return true;
}

/* Too many for a ring: in two columns, in order. */
static void add_list(
    struct buffer *text, const struct plan_view_place *places, size_t count, bool utf8)
{
    size_t rows = (count + 1) / 2;
    for (size_t row = 0; row < rows; row++) {
        char label[LABEL_SIZE];
        label_of(label, sizeof label, &places[row], utf8);
        buffer_addf(text, "  %s", label);
        if (row + rows < count) {
            buffer_addf(text, "%*s", 28 - (int)words_columns(label), "");
            label_of(label, sizeof label, &places[row + rows], utf8);
            buffer_add(text, label);
        }
        buffer_add(text, "\n");
    }
}

void plan_view_add(
    struct buffer *text, const struct plan_view_place *places, size_t count, size_t next, bool utf8)
{
    struct sheet sheet;
    sheet_clear(&sheet);
    for (size_t i = 0; i < count; i++) {
        if (!write_label(&sheet, &places[i], utf8)) {
            add_list(text, places, count, utf8);
            return;
        }
    }
    if (next < count)
        draw_arm(&sheet, places[next].bearing, utf8);
    for (size_t i = 0; i < count; i++) {
        int row;
        int column;
        bool read = places[i].said[0] != '\0' && i != next;
        ring_point(places[i].bearing, 1, &row, &column);
        sheet_mark(&sheet, row, column,
            utf8 ? (i == next ? "○"
                       : read ? "●"
                              : "·")
                 : (i == next ? "O"
                       : read ? "*"
                              : "."));
    }
    sheet_mark(&sheet, MIDDLE_ROW, MIDDLE_COLUMN, "+");
    sheet_add(&sheet, text);
}
