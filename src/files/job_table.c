/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>

#include "files/job_table.h"
#include "files/names.h"

/**
 * The columns stand in any order. A header with semicolons or tabs sets the separator for the file,
 * and then a decimal comma needs no quotes. A field in quotes may hold separators, line ends and
 * doubled quotes.
 */

#define FIELDS_MOST 16 /* in one row; a header with more is told which column is unknown */

enum column { COLUMN_SWEEP, COLUMN_AT, COLUMN_READING, COLUMN_X, COLUMN_Y, COLUMNS };

static const char *const column_names[COLUMNS] = {"sweep", "at", "reading", "x", "y"};

#define NO_COLUMN ((size_t)-1)

struct table {
    struct reader *reader;
    struct writer writer; /* of the job file that says the same */
    char *next;  /* what is not read yet; fields are cut out of the text where they stand */
    size_t line; /* on which that is */
    char separator;
    size_t fields;         /* columns in the header */
    size_t place[COLUMNS]; /* which field each column is; NO_COLUMN when absent */
    size_t readings, sweeps;
    const char *sweep[SWEEPS_MOST]; /* its name; the list of its readings */
    int list[SWEEPS_MOST];
};

struct row {
    size_t line;
    size_t count;
    char *field[FIELDS_MOST];
};

static void skip_blanks(struct table *table)
{
    table->next += strspn(table->next, table->separator == '\t' ? " " : " \t");
}

/* A field's end: the separator, a line end or the end of the text. */
static bool at_end(const struct table *table)
{
    return *table->next == '\0' || *table->next == '\n' || *table->next == table->separator;
}

/* The rest of a quoted field, its opening quote passed; `end` is where its text ends. */
static bool read_quoted(struct table *table, char **end)
{
    size_t opened = table->line;
    char *out = table->next;
    for (; table->next[0] != '"' || table->next[1] == '"'; *out++ = *table->next++) {
        if (*table->next == '\0')
            return reader_fail(
                table->reader, opened, "a quote is opened and never closed; add one, or remove it");
        table->line += *table->next == '\n';
        table->next += *table->next == '"'; /* the first of two */
    }
    table->next++;
    skip_blanks(table);
    *end = out;
    return at_end(table) ||
           reader_fail(table->reader, table->line,
               "something follows a closing quote; write a quote within quotes twice (\"\")");
}

/* One field, and in *ended what stands behind it. A quote opens a quoted field when it is the first
   thing in it: an inch mark comes after a number. */
static bool read_field(struct table *table, char **field, char *ended)
{
    char *end = table->next;
    skip_blanks(table);
    if (*table->next == '"') {
        *field = ++table->next;
        if (!read_quoted(table, &end))
            return false;
    } else {
        *field = table->next;
        while (!at_end(table))
            table->next++;
        end = table->next;
        while (end > *field && (end[-1] == ' ' || end[-1] == '\t'))
            end--;
    }
    *ended = *table->next;
    *end = '\0';
    table->next += *ended != '\0';
    table->line += *ended == '\n';
    return true;
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
    char ended = table->separator;
    row->count = 0;
    for (;;) {
        skip_blanks(table);
        if (*table->next != '\n')
            break;
        table->next++;
        table->line++;
    }
    row->line = table->line;
    if (table->next[strspn(table->next, " \t")] == '\0')
        return true;
    while (ended == table->separator) {
        if (row->count == most) {
            row->count++;
            return fail_count(table, row, most);
        }
        if (!read_field(table, &row->field[row->count++], &ended))
            return false;
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

/* Which column each field of the header names. */
static bool place_columns(struct table *table, const struct row *row)
{
    char quoted[QUOTED], words[WORDS];
    const size_t first = table->reader->survey ? COLUMN_READING : COLUMN_SWEEP;
    for (size_t c = 0; c < COLUMNS; c++)
        table->place[c] = NO_COLUMN;
    for (size_t f = 0; f < row->count; f++) {
        size_t c = first;
        while (c < COLUMNS && !same_word(column_names[c], row->field[f]))
            c++;
        quote(quoted, row->field[f], strlen(row->field[f]));
        if (c == COLUMNS)
            return reader_fail(table->reader, row->line,
                "unknown column %s; the first line must name the columns, of %s", quoted,
                words_and(words, column_names + first, COLUMNS - first));
        if (table->place[c] != NO_COLUMN)
            return reader_fail(
                table->reader, row->line, "column %s stands twice; remove one", quoted);
        table->place[c] = f;
    }
    table->fields = row->count;
    return true;
}

static bool read_header(struct table *table)
{
    struct row row;
    while (*table->next == '\n' || *table->next == ' ' || *table->next == '\t')
        table->line += *table->next++ == '\n';
    table->separator = find_separator(table->next);
    if (!read_row(table, FIELDS_MOST, &row) || !place_columns(table, &row))
        return false;
    const bool survey = table->reader->survey;
    for (size_t c = survey ? COLUMN_READING : COLUMN_AT; c <= (survey ? COLUMN_Y : COLUMN_READING);
         c++) {
        if (table->place[c] == NO_COLUMN)
            return reader_fail(table->reader, row.line, "column \"%s\" is missing; a table of %s",
                column_names[c],
                survey ? "touches needs x, y and reading" : "readings needs at and reading");
    }
    if ((table->place[COLUMN_X] == NO_COLUMN) != (table->place[COLUMN_Y] == NO_COLUMN))
        return reader_fail(
            table->reader, row.line, "column x goes with column y; add the other, or remove it");
    return true;
}

/* What stands in a column; where commas do not part fields they are decimal ones, "1,250" as well. */
static void add_cell(struct table *table, const struct row *row, enum column column, int map)
{
    if (table->place[column] == NO_COLUMN)
        return;
    char *text = row->field[table->place[column]];
    char *comma = column != COLUMN_SWEEP && table->separator != ',' ? strchr(text, ',') : NULL;
    if (comma != NULL && strchr(comma + 1, ',') == NULL)
        *comma = '.';
    write_pair(&table->writer, map, column == COLUMN_SWEEP ? "name" : column_names[column],
        write_word(&table->writer, text));
}

/* The sweep a row belongs to: by name, in the order of first mention; one that is new stands where its
   first reading does. */
static bool find_sweep(struct table *table, const struct row *row, int sweeps, size_t *found)
{
    const size_t place = table->place[COLUMN_SWEEP];
    const char *name = place != NO_COLUMN ? row->field[place] : "sweep 1";
    const size_t length = strlen(name);
    if (length > NAME_MOST || !text_is_printable(name, length) || text_is_blank(name))
        return reader_fail(table->reader, row->line,
            "sweep must be a name on one line, of 1 to %d bytes", NAME_MOST);
    for (*found = 0; *found < table->sweeps; ++*found)
        if (strcmp(table->sweep[*found], name) == 0)
            return true;
    if (table->sweeps == SWEEPS_MOST)
        return reader_fail(
            table->reader, row->line, "more than %d sweeps; a job holds no more", SWEEPS_MOST);
    const int sweep = write_start_map(&table->writer, false);
    add_cell(table, row, COLUMN_SWEEP, sweep);
    add_cell(table, row, COLUMN_X, sweep);
    add_cell(table, row, COLUMN_Y, sweep);
    table->list[table->sweeps] = write_start_list(&table->writer, false);
    write_pair(&table->writer, sweep, "readings", table->list[table->sweeps]);
    write_entry(&table->writer, sweeps, sweep);
    table->sweep[table->sweeps++] = name;
    return true;
}

static bool take_row(struct table *table, const struct row *row, int sweeps)
{
    size_t sweep = 0;
    if (row->count != table->fields)
        return fail_count(table, row, table->fields);
    if (++table->readings > READINGS_MOST)
        return reader_fail(
            table->reader, row->line, "more than %d readings; a job holds no more", READINGS_MOST);
    table->writer.line = row->line;
    if (!find_sweep(table, row, sweeps, &sweep))
        return false;
    const int reading = write_start_map(&table->writer, false);
    for (enum column column = COLUMN_AT; column < COLUMNS; column++)
        add_cell(table, row, column, reading);
    write_entry(&table->writer, table->list[sweep], reading);
    return !table->writer.failed || reader_memory(table->reader);
}

static bool read_rows(struct table *table)
{
    struct row row;
    const int root = write_start_map(&table->writer, false);
    const int sweeps = write_start_list(&table->writer, false);
    write_pair(&table->writer, root, "perpend", write_word(&table->writer, "1"));
    write_pair(&table->writer, root, "sweeps", sweeps);
    if (!read_header(table))
        return false;
    for (;;) {
        if (!read_row(table, table->fields, &row))
            return false;
        if (row.count == 0)
            break;
        if (!take_row(table, &row, sweeps))
            return false;
    }
    return table->sweeps > 0 || reader_fail(table->reader, table->line,
                                    "no readings below the header; write one in each row");
}

const yaml_node_t *job_table_read(struct reader *reader, const char *text)
{
    char *copy = strdup(text);
    struct table table = {.reader = reader, .next = copy, .line = 1};
    if (copy == NULL || !yaml_document_initialize(&table.writer.document, NULL, NULL, NULL, 1, 1)) {
        free(copy);
        reader_memory(reader);
        return NULL;
    }
    const bool done = read_rows(&table);
    free(copy);
    if (!done) {
        yaml_document_delete(&table.writer.document);
        return NULL;
    }
    reader->document = table.writer.document;
    reader->plain = true;
    return yaml_document_get_root_node(&reader->document);
}
