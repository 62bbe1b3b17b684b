/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A sound log, damaged: bytes of the file overwritten (an even first byte), or what stands in its
   tables (an odd one). Whatever stands in the file: an answer, or one line that says what is wrong;
   nothing that a terminal acts upon; and the file is left as it was by those that only read. */
#include <math.h>
#include <sqlite3.h>

#include "command.h"

#define CELLS_MOST 256
#define LOG_MOST (4 << 20)

static const char machine[] =
    "perpend: 1\nmachine: Bench\nunit: mm\narm: 75\ngauge: {kind: gap, step: 0.05}\n"
    "cutter: {diameter: 22}\nfacing: {stepover: 10, along: X, depth: 0.2}\ngoal: {ridge: 0.02}\n"
    "mount:\n  - joint: plate\n    faces: front\n    allows: [shim, slide]\n    bolts:\n"
    "      - {name: a, at: [-30, 40, 210], thread: M5}\n"
    "      - {name: b, at: [30, 40, 210], thread: M5}\n"
    "      - {name: c, at: [0, 40, 130], thread: M5}\n";

/* A finished job with a list of what was done, a correction and a note; and one that goes on. */
static const char first_job[] = "4\n1.05\nfront 1.00\n0.50\n0\n0.50\nnote all well\nother\nshim\n"
                                "0.5\n0.5\n0\n\n0.5\n0.5\n0.45\n0.5\nend\n";
static const char second_job[] = "4\n0.8\n0.5\n0.2\n0.5\nplanned\n0.5\n0.5\n";

struct cell {
    char *table, *column;
};

struct image {
    unsigned char bytes[LOG_MOST];
    size_t size;
};

static struct image sound;
static struct image unfenced; /* the same without the triggers that fence it off */
static struct cell cells[CELLS_MOST];
static size_t cell_count;

static void sql(sqlite3 *book, const char *text)
{
    must(sqlite3_exec(book, text, NULL, NULL, NULL) == SQLITE_OK);
}

/* The first row's first column, to be freed; NULL when there is no row. */
static char *first_text(sqlite3 *book, const char *query)
{
    sqlite3_stmt *row;
    must(sqlite3_prepare_v2(book, query, -1, &row, NULL) == SQLITE_OK);
    bool any = sqlite3_step(row) == SQLITE_ROW;
    char *text = any ? strdup((const char *)sqlite3_column_text(row, 0)) : NULL;
    sqlite3_finalize(row);
    return text;
}

static void drop_triggers(sqlite3 *book)
{
    char *line;
    while ((line = first_text(book, "SELECT 'DROP TRIGGER ' || name FROM sqlite_schema "
                                    "WHERE type = 'trigger'")) != NULL) {
        sql(book, line);
        free(line);
    }
}

static void list_cells(sqlite3 *book)
{
    sqlite3_stmt *row;
    must(sqlite3_prepare_v2(book,
             "SELECT t.name, c.name FROM sqlite_schema t, pragma_table_info(t.name) c "
             "WHERE t.type = 'table' AND t.name NOT LIKE 'sqlite%' ORDER BY t.name, c.cid",
             -1, &row, NULL) == SQLITE_OK);
    for (; sqlite3_step(row) == SQLITE_ROW && cell_count < CELLS_MOST; cell_count++) {
        struct cell *cell = &cells[cell_count];
        must((cell->table = strdup((const char *)sqlite3_column_text(row, 0))) != NULL);
        must((cell->column = strdup((const char *)sqlite3_column_text(row, 1))) != NULL);
    }
    sqlite3_finalize(row);
}

static void read_image(struct image *image)
{
    FILE *file = fopen(command_file("log").text, "rb");
    must(file != NULL);
    image->size = fread(image->bytes, 1, sizeof image->bytes, file);
    fclose(file);
    must(image->size > 4096 && image->size < sizeof image->bytes);
}

static void make_images(void)
{
    struct command_path file = command_file("machine.yaml"), log = command_file("log");
    const char *const words[] = {"sweep", file.text, "--log", log.text, "--fresh", NULL};
    sqlite3 *book;
    command_write("machine.yaml", machine, sizeof machine - 1);
    must(command_run_typed(first_job, sizeof first_job - 1, words) == 0);
    must(command_run_typed(second_job, sizeof second_job - 1, words) == 1);
    must(command_says("log", "check", "--log", log.text) == 0);
    must(sqlite3_open(log.text, &book) == SQLITE_OK);
    sql(book, "PRAGMA journal_mode = DELETE"); /* all in one file */
    list_cells(book);
    must(cell_count > 40);
    read_image(&sound);
    drop_triggers(book);
    must(sqlite3_close(book) == SQLITE_OK);
    read_image(&unfenced);
}

/* Four bytes a change: where (three), and what. */
static void overwrite_bytes(const uint8_t *data, size_t size)
{
    static unsigned char bytes[LOG_MOST];
    memcpy(bytes, sound.bytes, sound.size);
    for (; size >= 4; data += 4, size -= 4)
        bytes[((size_t)data[0] << 16 | (size_t)data[1] << 8 | data[2]) % sound.size] = data[3];
    command_write("log", bytes, sound.size);
}

static void bind_odd_value(sqlite3_stmt *change, unsigned kind, unsigned value)
{
    static const char *const texts[] = {"", "x", "\x1b[2J", "list", "2026-11-25T25:61:00Z", "\xff",
        "9999999-01-01T00:00:00Z", "perpend: 1\n", "- - -", "mm", "met"};
    static const double numbers[] = {0, -1, 0.5, 1e-320, 1e308, -1e308, 3.2, 1e15};
    static char longest[9000];
    switch (kind % 5) {
    case 0:
        must(sqlite3_bind_null(change, 1) == SQLITE_OK);
        break;
    case 1:
        must(sqlite3_bind_int64(change, 1, (int64_t)value - 128) == SQLITE_OK);
        break;
    case 2:
        must(sqlite3_bind_int64(change, 1, value & 1 ? INT64_MAX : INT64_MIN) == SQLITE_OK);
        break;
    case 3:
        must(sqlite3_bind_double(change, 1,
                 value == 255 ? HUGE_VAL : numbers[value % (sizeof numbers / sizeof *numbers)]) ==
             SQLITE_OK);
        break;
    default:
        memset(longest, 'x', sizeof longest - 1);
        must(sqlite3_bind_text(change, 1,
                 value == 255 ? longest : texts[value % (sizeof texts / sizeof *texts)], -1,
                 SQLITE_STATIC) == SQLITE_OK);
    }
}

/* Four bytes a change: which column, which row, and what of which kind. What the tables do not take
   at all does not get in. */
static void overwrite_cells(const uint8_t *data, size_t size)
{
    sqlite3 *book;
    command_write("log", unfenced.bytes, unfenced.size);
    must(sqlite3_open(command_file("log").text, &book) == SQLITE_OK);
    sql(book, "PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF; "
              "PRAGMA ignore_check_constraints = ON; PRAGMA foreign_keys = OFF; BEGIN");
    for (; size >= 4; data += 4, size -= 4) {
        const struct cell *cell = &cells[data[0] % cell_count];
        char line[256];
        sqlite3_stmt *change;
        snprintf(line, sizeof line,
            "WITH row AS (SELECT %s AS old FROM %s LIMIT 1 OFFSET %u) "
            "UPDATE %s SET %s = ?1 WHERE %s IN (SELECT old FROM row)",
            cell->column, cell->table, data[1] % 8u, cell->table, cell->column, cell->column);
        must(sqlite3_prepare_v2(book, line, -1, &change, NULL) == SQLITE_OK);
        bind_odd_value(change, data[2], data[3]);
        sqlite3_step(change);
        sqlite3_finalize(change);
    }
    sql(book, "COMMIT");
    must(sqlite3_close(book) == SQLITE_OK);
}

static void check_unchanged(const struct image *before)
{
    static struct image now;
    read_image(&now);
    must(now.size == before->size && memcmp(now.bytes, before->bytes, now.size) == 0);
}

static void read_all(void)
{
    static struct image before;
    struct command_path log = command_file("log");
    read_image(&before);
    command_says("log", "list", "--log", log.text);
    command_says("log", "show", "1", "--log", log.text);
    command_says("log", "show", "2", "--log", log.text);
    command_says("log", "export", "--all", "--log", log.text);
    command_says("log", "export", "1", "--format", "job", "--log", log.text);
    command_says("log", "check", "--log", log.text);
    check_unchanged(&before);
    struct command_path file = command_file("machine.yaml");
    command_run_typed("0.5\n0.5\n", 8,
        (const char *const[]){"sweep", file.text, "--log", log.text, "--resume", NULL});
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size == 0)
        return 0;
    command_start();
    if (sound.size == 0)
        make_images();
    command_empty();
    command_write("machine.yaml", machine, sizeof machine - 1);
    if (data[0] % 2 == 0)
        overwrite_bytes(data + 1, size - 1);
    else
        overwrite_cells(data + 1, size - 1);
    read_all();
    return 0;
}
