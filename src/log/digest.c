/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A digest of all that was accepted for a job, kept with it, so that a check sees what SQLite cannot:
   a name, a time or a figure that has changed in the file and is still a name, a time or a figure.
   It finds damage; whoever forges a log can forge it as well. */
#include <string.h>

#include "log/book.h"

/* FNV-1a, 64 bits (Fowler, Noll, Vo; from memory). */
#define FNV_START 14695981039346656037u
#define FNV_PRIME 1099511628211u

static void add(uint64_t *digest, const void *bytes, size_t length)
{
    for (size_t i = 0; i < length; i++)
        *digest = (*digest ^ ((const unsigned char *)bytes)[i]) * FNV_PRIME;
}

/* A row: what is not NULL, by its column's name, so that a column may be added to a table. */
static void add_row(uint64_t *digest, sqlite3_stmt *row)
{
    for (int i = 0; i < sqlite3_column_count(row); i++) {
        const char *name = sqlite3_column_name(row, i);
        uint64_t bits = (uint64_t)sqlite3_column_int64(row, i);
        double real = sqlite3_column_double(row, i);
        if (!name || strcmp(name, "digest") == 0)
            continue;
        switch (sqlite3_column_type(row, i)) {
        case SQLITE_NULL:
            continue;
        case SQLITE_FLOAT:
            memcpy(&bits, &real, sizeof bits);
            break;
        case SQLITE_TEXT:
            add(digest, sqlite3_column_text(row, i), (size_t)sqlite3_column_bytes(row, i));
            break;
        default:
            break;
        }
        for (int shift = 0; shift < 64; shift += 8) /* on every machine in this order */
            add(digest, &(unsigned char){(unsigned char)(bits >> shift)}, 1);
        add(digest, name, strlen(name) + 1);
    }
}

static const char *const of_job[] = {
    "SELECT job.*, name, text FROM job JOIN machine ON machine.id = job.machine "
    "JOIN machine_file ON machine_file.id = machine_file WHERE job.id = ?",
    "SELECT * FROM sweep WHERE job = ? ORDER BY id",
    "SELECT * FROM reading WHERE sweep IN (SELECT id FROM sweep WHERE job = ?) ORDER BY id",
    "SELECT correction.* FROM correction JOIN reading ON reading.id = reading "
    "WHERE sweep IN (SELECT id FROM sweep WHERE job = ?) ORDER BY correction.id",
    "SELECT * FROM did WHERE sweep IN (SELECT id FROM sweep WHERE job = ?) ORDER BY id",
    "SELECT did_entry.* FROM did_entry JOIN did ON did.id = did "
    "WHERE sweep IN (SELECT id FROM sweep WHERE job = ?) ORDER BY did, ordinal",
    "SELECT * FROM note WHERE job = ? ORDER BY id",
    "SELECT * FROM measured WHERE job = ? ORDER BY id",
    "SELECT former.* FROM former JOIN job USING (machine) WHERE job.id = ? ORDER BY former.name",
};

static void job_digest(sqlite3_context *context, int count, sqlite3_value **values)
{
    sqlite3 *db = sqlite3_context_db_handle(context);
    uint64_t digest = FNV_START;
    int code = SQLITE_DONE;
    (void)count;
    for (size_t i = 0; i < sizeof of_job / sizeof of_job[0] && code == SQLITE_DONE; i++) {
        sqlite3_stmt *row = NULL;
        code = sqlite3_prepare_v2(db, of_job[i], -1, &row, NULL);
        if (code == SQLITE_OK)
            code = sqlite3_bind_value(row, 1, values[0]);
        if (code == SQLITE_OK)
            while ((code = sqlite3_step(row)) == SQLITE_ROW)
                add_row(&digest, row);
        sqlite3_finalize(row);
    }
    if (code == SQLITE_DONE)
        sqlite3_result_int64(context, (sqlite3_int64)digest);
    else
        sqlite3_result_error_code(context, code);
}

int64_t log_text_digest(const char *name, const char *text)
{
    uint64_t digest = FNV_START;
    add(&digest, name, strlen(name) + 1);
    add(&digest, text, strlen(text));
    return (int64_t)digest;
}

int log_digest_define(sqlite3 *db)
{
    return sqlite3_create_function(
        db, "job_digest", 1, SQLITE_UTF8 | SQLITE_DIRECTONLY, NULL, job_digest, NULL, NULL);
}
