/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The columns of each table beside the fields that they fill; reading and writing loop over them. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "log/book.h"
#include "log/schema.h"

#define MOST_REAL 1e9 /* as the file's own checks have it */

/* ---- words in the file --------------------------------------------------------------------- */

#define WORDS(...)                                                                                 \
    {                                                                                              \
        (const char *const[]){__VA_ARGS__}, sizeof(const char *[]){__VA_ARGS__} / sizeof(char *)   \
    }
const struct log_words log_verdicts = WORDS("no goal", "met", "not met", "too close", "unknown");
const struct log_words log_endings = WORDS(NULL, "done", "given up");
const struct log_words log_did_kinds = WORDS(NULL, "plan", "nothing", "list");
const struct log_words log_units = WORDS("mm", "in");
const struct log_words log_note_kinds = WORDS("note", "crash", "bit", "move", "repair");

const char *log_note_word(enum log_note_kind kind)
{
    return log_note_kinds.words[kind];
}

/* ---- columns ------------------------------------------------------------------------------- */

#define AT(field) .at = offsetof(struct LOG_STRUCT, field)

#define LOG_STRUCT log_record
const struct log_table log_jobs = {"job", sizeof(struct log_record),
    {
        {"id", HOLDS_WHOLE, AT(id), .only_read = true},
        {"started", HOLDS_TIME, AT(started)},
        {"ended", HOLDS_TIME, AT(ended), .only_read = true},
        {"ending", HOLDS_WORD, AT(ending), &log_endings, true},
        {"coalesce(verdict, 'no goal')", HOLDS_WORD, AT(verdict), &log_verdicts, true},
        {"name", HOLDS_NAME, AT(machine_name), .only_read = true},
        {"text", HOLDS_NAME, AT(machine_text), .only_read = true},
        {"length(CAST(text AS BLOB))", HOLDS_COUNT, AT(machine_length), .only_read = true},
        {"machine", HOLDS_WHOLE, AT(machine_id)},
        {"machine_file", HOLDS_WHOLE, AT(file_id)},
        {"path", HOLDS_TEXT, AT(machine_path)},
        {"unit", HOLDS_WORD, AT(unit), &log_units},
        {"goal", HOLDS_MAYBE, AT(goal.ridge)},
        {"head", HOLDS_TEXT, AT(head)},
        {"source", HOLDS_WHOLE, AT(source)},
        {"along_x", HOLDS_MAYBE, AT(measured.along_x), .only_read = true},
        {"along_y", HOLDS_MAYBE, AT(measured.along_y), .only_read = true},
        {"measured", HOLDS_FLAG, AT(measured.stated), .only_read = true},
    }};

#undef LOG_STRUCT
#define LOG_STRUCT log_sweep
const struct log_table log_sweeps = {"sweep", sizeof(struct log_sweep),
    {
        {"id", HOLDS_WHOLE, AT(id), .only_read = true},
        {"job", HOLDS_WHOLE, AT(job)},
        {"name", HOLDS_NAME, AT(name)},
        {"x", HOLDS_NUMBER, AT(x)},
        {"y", HOLDS_NUMBER, AT(y)},
        {"date", HOLDS_TEXT, AT(date)},
        {"at", HOLDS_TIME, AT(at)},
        {"sure", HOLDS_FLAG, AT(did_sure), .only_read = true},
        {"kind", HOLDS_WORD, AT(did_kind), &log_did_kinds, true},
        {"did_at", HOLDS_TIME, AT(did_at), .only_read = true},
    }};

#undef LOG_STRUCT
#define LOG_STRUCT log_reading
const struct log_table log_readings = {"reading", sizeof(struct log_reading),
    {
        {"id", HOLDS_WHOLE, AT(id), .only_read = true},
        {"sweep", HOLDS_WHOLE, AT(sweep)},
        {"bearing", HOLDS_NUMBER, AT(first.bearing)},
        {"value", HOLDS_NUMBER, AT(first.value)},
        {"x", HOLDS_NUMBER, AT(first.x)},
        {"y", HOLDS_NUMBER, AT(first.y)},
        {"cut", HOLDS_WHOLE, AT(cut)},
        {"typed", HOLDS_TEXT, AT(typed)},
        {"at", HOLDS_TIME, AT(at)},
    }};

#undef LOG_STRUCT
#define LOG_STRUCT log_correction
const struct log_table log_corrections = {"correction", sizeof(struct log_correction),
    {
        {"reading", HOLDS_WHOLE, AT(of)},
        {"withdraws", HOLDS_FLAG, AT(withdraws)},
        {"bearing", HOLDS_MAYBE, AT(reading.bearing)},
        {"value", HOLDS_MAYBE, AT(reading.value)},
        {"x", HOLDS_MAYBE, AT(reading.x)},
        {"y", HOLDS_MAYBE, AT(reading.y)},
        {"typed", HOLDS_TEXT, AT(typed)},
        {"why", HOLDS_TEXT, AT(why)},
        {"at", HOLDS_TIME, AT(at)},
    }};

#undef LOG_STRUCT
#define LOG_STRUCT log_did_entry
const struct log_table log_did_entries = {"did_entry", sizeof(struct log_did_entry),
    {
        {"did", HOLDS_WHOLE, AT(did)},
        {"sweep", HOLDS_WHOLE, AT(sweep), .only_read = true},
        {"ordinal", HOLDS_WHOLE, AT(ordinal)},
        {"joint", HOLDS_NAME, AT(joint)},
        {"bolt", HOLDS_NAME, AT(bolt)},
        {"move", HOLDS_MOVE, AT(move)},
        {"amount", HOLDS_NUMBER, AT(amount.value)},
        {"shift_right", HOLDS_NUMBER, AT(amount.shift.right)},
        {"shift_back", HOLDS_NUMBER, AT(amount.shift.back)},
        {"shift_up", HOLDS_NUMBER, AT(amount.shift.up)},
    }};

#undef LOG_STRUCT
#define LOG_STRUCT log_answer
const struct log_table log_answers = {"answer", sizeof(struct log_answer),
    {
        {"job", HOLDS_WHOLE, AT(job)},
        {"ordinal", HOLDS_WHOLE, AT(ordinal)},
        {"first_sweep", HOLDS_WHOLE, AT(first_sweep)},
        {"last_sweep", HOLDS_WHOLE, AT(last_sweep)},
        {"readings", HOLDS_COUNT, AT(readings)},
        {"lean_right", HOLDS_NUMBER, AT(lean.right)},
        {"lean_back", HOLDS_NUMBER, AT(lean.back)},
        {"lean_right_right", HOLDS_NUMBER, AT(covariance.right_right)},
        {"lean_right_back", HOLDS_NUMBER, AT(covariance.right_back)},
        {"lean_back_back", HOLDS_NUMBER, AT(covariance.back_back)},
        {"includes_bed", HOLDS_FLAG, AT(includes_bed)},
        {"bed_right", HOLDS_MAYBE, AT(bed.right)},
        {"bed_back", HOLDS_MAYBE, AT(bed.back)},
        {"ridge", HOLDS_NUMBER, AT(ridge)},
        {"low", HOLDS_NUMBER, AT(low)},
        {"high", HOLDS_NUMBER, AT(high)},
        {"chance", HOLDS_MAYBE, AT(chance)},
        {"verdict", HOLDS_WORD, AT(verdict), &log_verdicts},
        {"program", HOLDS_NAME, AT(program)},
        {"answered", HOLDS_TIME, AT(at)},
        {"began", HOLDS_TIME, AT(began), .only_read = true},
        {"swept", HOLDS_TIME, AT(swept), .only_read = true},
        {"unmeasured", HOLDS_FLAG, AT(unmeasured), .only_read = true},
    }};

#undef LOG_STRUCT
#define LOG_STRUCT log_note
const struct log_table log_notes = {"note", sizeof(struct log_note),
    {
        {"id", HOLDS_WHOLE, AT(id), .only_read = true},
        {"kind", HOLDS_WORD, AT(kind), &log_note_kinds},
        {"job", HOLDS_WHOLE, AT(job)},
        {"sweep", HOLDS_WHOLE, AT(sweep)},
        {"text", HOLDS_NAME, AT(text)},
        {"at", HOLDS_TIME, AT(at)},
    }};

/* ---- memory ---------------------------------------------------------------------------------- */

/* Each piece begins with the address of the one before it. */
union piece {
    void *before;
    max_align_t aligned;
};

void *log_pool_take(struct log_pool *pool, size_t size)
{
    union piece *piece = calloc(1, sizeof *piece + size);
    if (!piece)
        return NULL;
    piece->before = pool->last;
    pool->last = piece;
    return piece + 1;
}

void log_pool_finish(struct log_pool *pool)
{
    while (pool->last) {
        union piece *piece = pool->last;
        pool->last = piece->before;
        free(piece);
    }
}

/* Room for one row more; doubled at each power of two. */
static void *next_row(struct log_query *query, struct log_rows *rows, size_t size)
{
    size_t count = rows->count;
    if ((count & (count - 1)) == 0) {
        char *larger = log_pool_take(rows->pool, (count == 0 ? 1 : 2 * count) * size);
        if (!larger) {
            query->code = SQLITE_NOMEM;
            return NULL;
        }
        if (count > 0)
            memcpy(larger, rows->array, count * size);
        rows->array = larger;
    }
    rows->count++;
    return (char *)rows->array + count * size;
}

/* ---- reading --------------------------------------------------------------------------------- */

static double read_number(struct log_query *query, int at, bool maybe)
{
    if (sqlite3_column_type(query->statement, at) == SQLITE_NULL && maybe)
        return NAN;
    double value = sqlite3_column_double(query->statement, at);
    if (sqlite3_column_type(query->statement, at) == SQLITE_NULL || !(fabs(value) <= MOST_REAL))
        log_damaged(query);
    return value;
}

static char *read_text(struct log_query *query, int at, struct log_pool *pool, bool maybe)
{
    if (sqlite3_column_type(query->statement, at) == SQLITE_NULL) {
        if (!maybe)
            log_damaged(query);
        return NULL;
    }
    const unsigned char *text = sqlite3_column_text(query->statement, at);
    size_t length = (size_t)sqlite3_column_bytes(query->statement, at);
    char *copy = text ? log_pool_take(pool, length + 1) : NULL;
    if (copy)
        memcpy(copy, text, length);
    else
        query->code = SQLITE_NOMEM;
    return copy;
}

static int read_word(struct log_query *query, int at, const struct log_words *words)
{
    const char *said = (const char *)sqlite3_column_text(query->statement, at);
    for (int i = 0; i < words->count; i++)
        if (said && words->words[i] ? strcmp(said, words->words[i]) == 0 : said == words->words[i])
            return i;
    log_damaged(query);
    return 0;
}

static enum perpend_move read_move(struct log_query *query, int at)
{
    const char *said = (const char *)sqlite3_column_text(query->statement, at);
    const struct perpend_move_row *row = said ? perpend_move_named(said) : NULL;
    if (!row)
        log_damaged(query);
    return row ? row->move : PERPEND_MOVE_SHIM;
}

static struct log_time read_moment(struct log_query *query, int at)
{
    struct log_time time = {.utc = "", .wall = ""};
    const char *utc = (const char *)sqlite3_column_text(query->statement, at);
    const char *wall = (const char *)sqlite3_column_text(query->statement, at + 2);
    time.offset = sqlite3_column_int(query->statement, at + 1);
    if (utc && wall && strlen(utc) < sizeof time.utc && strlen(wall) < sizeof time.wall) {
        memcpy(time.utc, utc, strlen(utc) + 1);
        memcpy(time.wall, wall, strlen(wall) + 1);
    } else if (utc) {
        log_damaged(query);
    }
    return time;
}

/* Value: the next column of the statement. */
static int read_column(struct log_query *query, const struct log_column *column, int at,
    struct log_pool *pool, void *field)
{
    int word;
    switch (column->holds) {
    case HOLDS_WHOLE:
        *(int64_t *)field = sqlite3_column_int64(query->statement, at);
        break;
    case HOLDS_COUNT:
        *(size_t *)field = (size_t)sqlite3_column_int64(query->statement, at);
        break;
    case HOLDS_FLAG:
        *(bool *)field = sqlite3_column_int64(query->statement, at) != 0;
        break;
    case HOLDS_NUMBER:
    case HOLDS_MAYBE:
        *(double *)field = read_number(query, at, column->holds == HOLDS_MAYBE);
        break;
    case HOLDS_NAME:
    case HOLDS_TEXT:
        *(char **)field = read_text(query, at, pool, column->holds == HOLDS_TEXT);
        break;
    case HOLDS_WORD: /* an enum is as large as an int */
        word = read_word(query, at, column->words);
        memcpy(field, &word, sizeof word);
        break;
    case HOLDS_MOVE:
        *(enum perpend_move *)field = read_move(query, at);
        break;
    case HOLDS_TIME:
        *(struct log_time *)field = read_moment(query, at);
        return at + 3;
    }
    return at + 1;
}

bool log_read(struct log_book *book, const struct log_table *table, const char *from,
    const struct log_value *values, struct log_rows *rows, struct fault *fault)
{
    struct buffer sql = {0};
    buffer_add(&sql, "SELECT ");
    for (const struct log_column *column = table->columns; column->name; column++) {
        const char *name = column->name;
        buffer_addf(&sql, column == table->columns ? "%s" : ", %s", name);
        if (column->holds == HOLDS_TIME)
            buffer_addf(
                &sql, ", %s_offset, datetime(%s, %s_offset || ' minutes')", name, name, name);
    }
    buffer_addf(&sql, " %s", from);
    rows->array = NULL;
    rows->count = 0;
    struct log_query query = log_ask(book, buffer_text(&sql), values);
    while (log_row(&query)) {
        char *row = next_row(&query, rows, table->size);
        int at = 0;
        for (const struct log_column *column = table->columns; row && column->name; column++)
            at = read_column(&query, column, at, rows->pool, row + column->at);
    }
    bool ok = !sql.failed || log_memory_fault(fault);
    buffer_finish(&sql);
    return log_done(&query, fault) && ok;
}

/* ---- writing --------------------------------------------------------------------------------- */

static struct log_value value_of(const struct log_column *column, const void *field)
{
    int which;
    switch (column->holds) {
    case HOLDS_WHOLE:
        return *(const int64_t *)field ? log_whole(*(const int64_t *)field) : log_text(NULL);
    case HOLDS_COUNT:
        return log_whole((int64_t) * (const size_t *)field);
    case HOLDS_FLAG:
        return log_whole(*(const bool *)field);
    case HOLDS_NUMBER:
    case HOLDS_MAYBE:
        return log_real(*(const double *)field);
    case HOLDS_WORD:
        memcpy(&which, field, sizeof which);
        return log_text(column->words->words[which]);
    case HOLDS_MOVE:
        return log_text(perpend_move_name(*(const enum perpend_move *)field));
    case HOLDS_TIME:
        return log_text(*(const char *)field ? field : NULL); /* utc stands first in it */
    default:
        return log_text(*(char *const *)field);
    }
}

bool log_add(struct log_book *book, const struct log_table *table, const void *row, int64_t *id,
    struct fault *fault)
{
    struct log_value values[2 * LOG_COLUMNS + 1] = {{0}};
    struct buffer sql = {0}, marks = {0};
    size_t count = 0;
    buffer_addf(&sql, "INSERT INTO %s (", table->name);
    for (const struct log_column *column = table->columns; column->name; column++) {
        const struct log_time *time = (const void *)((const char *)row + column->at);
        const char *comma = count > 0 ? ", " : "";
        if (column->only_read)
            continue;
        buffer_addf(&sql, "%s%s", comma, column->name);
        values[count++] = value_of(column, (const char *)row + column->at);
        if (column->holds == HOLDS_TIME) {
            buffer_addf(&sql, ", %s_offset", column->name);
            buffer_addf(&marks, "%scoalesce(?, %s), coalesce(?, %s)", comma, LOG_NOW, LOG_OFFSET);
            values[count++] = time->utc[0] ? log_whole(time->offset) : log_text(NULL);
        } else {
            buffer_addf(&marks, "%s?", comma);
        }
    }
    buffer_add(&sql, ") VALUES (");
    buffer_add(&sql, buffer_text(&marks));
    buffer_add(&sql, ")");
    bool ok =
        sql.failed ? log_memory_fault(fault) : log_run(book, buffer_text(&sql), values, fault);
    buffer_finish(&sql);
    buffer_finish(&marks);
    if (id)
        *id = sqlite3_last_insert_rowid(book->db);
    return ok;
}
