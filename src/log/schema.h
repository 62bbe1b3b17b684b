/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LOG_SCHEMA_H
#define LOG_SCHEMA_H

/**
 * How the log is laid out, version by version. A new version is one more entry at the end of
 * log_migrations; those that have been released are never touched again.
 */

#include <stddef.h>
#include <stdint.h>

#include <sqlite3.h>

/** "perp", in the file's header (PRAGMA application_id). */
#define LOG_APPLICATION 0x70657270

/** One step to `version` from the version before it. */
struct log_migration {
    int version;
    const char *const *statements; /* NULL at the end; run inside the migration's transaction,
                                      foreign keys not enforced */
};

extern const struct log_migration log_migrations[];
extern const size_t log_migration_count;

/** The version this program writes: that of the last migration. */
int log_newest_version(void);

/** The number that a query gives first. Value: an SQLite result code. */
int log_ask_number(sqlite3 *db, const char *sql, int *number);

/**
 * Bring a database up to the last version of a list, in one transaction: all of it or none. A
 * database that another process has brought up to date meanwhile is left alone. Foreign keys are
 * checked before it is committed.
 *
 * Value: an SQLite result code; SQLITE_CONSTRAINT when a foreign key would dangle
 */
int log_migrate(sqlite3 *db, const struct log_migration *list, size_t count);

#endif
