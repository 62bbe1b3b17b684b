/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "files/job_file.h"
#include "files/names.h"
#include "files/number.h"

/**
 * Readings as a table (RFC 4180): quotes, doubled quotes, line ends within quotes. The columns
 * stand in any order. A header with semicolons or tabs sets the separator for the file, and then a
 * decimal comma needs no quotes.
 */

#define FIELD_MOST 200 /* bytes in one field */
#define FIELDS_MOST 16 /* in one row; a header with more is told which column is unknown */

enum column { COLUMN_SWEEP, COLUMN_AT, COLUMN_READING, COLUMN_X, COLUMN_Y, COLUMNS };

static const char *const column_names[COLUMNS] = {"sweep", "at", "reading", "x", "y"};

#define NO_COLUMN ((size_t)-1)

struct table {
    struct reader *reader;
    const char *next; /* what is not read yet */
    size_t line;      /* on which it stands */
    char separator;
    size_t fields;         /* columns in the header */
    size_t place[COLUMNS]; /* which field each column is; NO_COLUMN when absent */
    size_t readings;
};

struct row {
    size_t line;
    size_t count;
    char field[FIELDS_MOST][FIELD_MOST + 1];
};

static void trim(char *text)
{
    size_t length = strlen(text), blank = strspn(text, " \t");
    memmove(text, text + blank, length - blank + 1);
    length -= blank;
    while (length > 0 && (text[length - 1] == ' ' || text[length - 1] == '\t'))
        text[--length] = '\0';
}

/* A field's end: the separator, a line end or the end of the text. */
static bool at_end(const struct table *table)
{
    return *table->next == '\0' || *table->next == '\n' || *table->next == table->separator;
}

static bool fail_long(const struct table *table)
{
    return reader_fail(table->reader, table->line,
        "a field is longer than %d bytes; a quote may be missing", FIELD_MOST);
}

/* The rest of a quoted field, its opening quote passed. */
static bool read_quoted(struct table *table, char *field)
{
    size_t length = 0, opened = table->line;
    for (;;) {
        char letter = *table->next;
        if (letter == '\0')
            return reader_fail(
                table->reader, opened, "a quote is opened and never closed; add one, or remove it");
        table->next++;
        if (letter == '"') {
            if (*table->next != '"')
                break;
            table->next++;
        }
        if (letter == '\n')
            table->line++;
        if (length == FIELD_MOST)
            return fail_long(table);
        field[length++] = letter;
    }
    field[length] = '\0';
    table->next += strspn(table->next, table->separator == '\t' ? " " : " \t");
    if (!at_end(table))
        return reader_fail(table->reader, table->line,
            "something follows a closing quote; write a quote within quotes twice (\"\")");
    return true;
}

static bool read_bare(struct table *table, char *field)
{
    size_t length = 0;
    for (; !at_end(table); table->next++) {
        if (length == FIELD_MOST)
            return fail_long(table);
        field[length++] = *table->next;
    }
    field[length] = '\0';
    trim(field);
    return true;
}

/* A quote opens a quoted field when it is the first thing in it. An inch mark comes after a number.
 */
static bool read_field(struct table *table, char *field)
{
    table->next += strspn(table->next, table->separator == '\t' ? " " : " \t");
    if (*table->next == '"') {
        table->next++;
        return read_quoted(table, field);
    }
    return read_bare(table, field);
}

static bool fail_count(const struct table *table, const struct row *row, size_t expected)
{
    if (row->count < expected)
        return reader_fail(table->reader, row->line,
            "%zu field%s where the header has %zu; fill in the row", row->count,
            row->count == 1 ? "" : "s", expected);
    return reader_fail(table->reader, row->line, "more fields than the header's %zu; %s", expected,
        table->separator == ','
            ? "put a decimal comma in quotes (\"0,05\"), or separate by semicolons"
            : "check the separators");
}

/* The next row that is not blank. `count` is 0 at the end of the table. */
static bool read_row(struct table *table, size_t most, struct row *row)
{
    row->count = 0;
    while (*table->next != '\0') {
        size_t blank = strspn(table->next, table->separator == '\t' ? " " : " \t");
        if (table->next[blank] != '\n')
            break;
        table->next += blank + 1;
        table->line++;
    }
    if (table->next[strspn(table->next, " \t")] == '\0')
        return true;
    row->line = table->line;
    for (;;) {
        if (row->count == most) {
            row->count++;
            return fail_count(table, row, most);
        }
        if (!read_field(table, row->field[row->count++]))
            return false;
        if (*table->next != table->separator)
            break;
        table->next++;
    }
    if (*table->next == '\n') {
        table->next++;
        table->line++;
    }
    return true;
}

/* What separates the header's columns; quotes do not stand in a header that is right. */
static char find_separator(const char *text)
{
    size_t length = strcspn(text, "\n");
    if (memchr(text, ';', length) != NULL)
        return ';';
    return memchr(text, '\t', length) != NULL ? '\t' : ',';
}

static bool read_header(struct table *table)
{
    struct row row;
    char quoted[QUOTED], words[WORDS];
    size_t blank = strspn(table->next, " \t\n");
    for (size_t i = 0; i < blank; i++)
        table->line += table->next[i] == '\n';
    table->next += blank;
    table->separator = find_separator(table->next);
    for (size_t c = 0; c < COLUMNS; c++)
        table->place[c] = NO_COLUMN;
    if (!read_row(table, FIELDS_MOST, &row))
        return false;
    for (size_t f = 0; f < row.count; f++) {
        size_t c = 0;
        while (c < COLUMNS && !same_word(column_names[c], row.field[f]))
            c++;
        quote(quoted, row.field[f], strlen(row.field[f]));
        if (c == COLUMNS)
            return reader_fail(table->reader, row.line,
                "unknown column %s; the first line must name the columns, of %s", quoted,
                words_and(words, column_names, COLUMNS));
        if (table->place[c] != NO_COLUMN)
            return reader_fail(
                table->reader, row.line, "column %s stands twice; remove one", quoted);
        table->place[c] = f;
    }
    for (size_t c = COLUMN_AT; c <= COLUMN_READING; c++) {
        if (table->place[c] == NO_COLUMN)
            return reader_fail(table->reader, row.line,
                "column \"%s\" is missing; a table of readings needs at and reading",
                column_names[c]);
    }
    if ((table->place[COLUMN_X] == NO_COLUMN) != (table->place[COLUMN_Y] == NO_COLUMN))
        return reader_fail(
            table->reader, row.line, "column x goes with column y; add the other, or remove it");
    table->fields = row.count;
    return true;
}

static const char *cell(const struct table *table, const struct row *row, enum column column)
{
    return row->field[table->place[column]];
}

/* The sweep a row belongs to: by name, in the order of first mention. NULL after a fault. */
static struct perpend_sweep *find_sweep(
    const struct table *table, const struct row *row, struct perpend_job *job)
{
    const char *name = "sweep 1";
    if (table->place[COLUMN_SWEEP] != NO_COLUMN) {
        name = cell(table, row, COLUMN_SWEEP);
        size_t length = strlen(name);
        if (length == 0 || length > NAME_MOST || !text_is_printable(name, length)) {
            reader_fail(table->reader, row->line,
                "sweep must be a name on one line, of 1 to %d bytes", NAME_MOST);
            return NULL;
        }
    }
    /* rows of one sweep mostly stand together: look from the end */
    for (size_t i = job->sweep_count; i > 0; i--) {
        if (strcmp(job->sweeps[i - 1].name, name) == 0)
            return &job->sweeps[i - 1];
    }
    if (job->sweep_count == SWEEPS_MOST) {
        reader_fail(
            table->reader, row->line, "more than %d sweeps; a job holds no more", SWEEPS_MOST);
        return NULL;
    }
    struct perpend_sweep *sweep = job_add_sweep(job, name);
    if (sweep == NULL)
        reader_memory(table->reader);
    return sweep;
}

/* Room for one more, doubled whenever the count has reached a power of two. */
static bool add_reading(struct perpend_sweep *sweep, const struct perpend_reading *reading)
{
    size_t count = sweep->reading_count;
    if ((count & (count - 1)) == 0) {
        size_t room = count == 0 ? 1 : count * 2;
        struct perpend_reading *larger = realloc(sweep->readings, room * sizeof *larger);
        if (larger == NULL)
            return false;
        sweep->readings = larger;
    }
    if (count == 0) {
        sweep->x = reading->x;
        sweep->y = reading->y;
    }
    sweep->readings[sweep->reading_count++] = *reading;
    return true;
}

static bool take_row(struct table *table, const struct row *row, struct perpend_job *job)
{
    struct reader *reader = table->reader;
    struct perpend_reading reading = {0};
    if (row->count != table->fields)
        return fail_count(table, row, table->fields);
    if (++table->readings > READINGS_MOST)
        return reader_fail(
            reader, row->line, "more than %d readings; a job holds no more", READINGS_MOST);
    if (!bearing_text(reader, row->line, "at", cell(table, row, COLUMN_AT), &reading.bearing) ||
        !length_text(reader, row->line, "reading", cell(table, row, COLUMN_READING), &reading_range,
            &reading.value))
        return false;
    if (table->place[COLUMN_X] != NO_COLUMN &&
        (!length_text(
             reader, row->line, "x", cell(table, row, COLUMN_X), &reading_range, &reading.x) ||
            !length_text(
                reader, row->line, "y", cell(table, row, COLUMN_Y), &reading_range, &reading.y)))
        return false;
    struct perpend_sweep *sweep = find_sweep(table, row, job);
    if (sweep == NULL)
        return false;
    return add_reading(sweep, &reading) || reader_memory(reader);
}

bool job_csv_read(struct reader *reader, const char *text, struct perpend_job *job)
{
    struct table table = {.reader = reader, .next = text, .line = 1};
    struct row row;
    if (!read_header(&table))
        return false;
    for (;;) {
        if (!read_row(&table, table.fields, &row))
            return false;
        if (row.count == 0)
            break;
        if (!take_row(&table, &row, job))
            return false;
    }
    if (job->sweep_count == 0)
        return reader_fail(
            reader, table.line, "no readings below the header; write one in each row");
    return true;
}
