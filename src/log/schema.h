/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LOG_SCHEMA_H
#define LOG_SCHEMA_H

/**
 * How the log is laid out: lists of SQL statements, NULL at the end.
 */

/** "perp", in the file's header (PRAGMA application_id), and the version this program writes (PRAGMA
 *  user_version). */
#define LOG_APPLICATION 0x70657270
#define LOG_VERSION 2

/** SQL: this moment, UTC, and the minutes that the clock on the wall is ahead of it. */
#define LOG_NOW "strftime('%Y-%m-%dT%H:%M:%SZ', 'now')"
#define LOG_OFFSET "((strftime('%s', 'now', 'localtime') - strftime('%s', 'now')) / 60)"

extern const char *const log_tables[];
extern const char *const log_fences[];
extern const char *const log_from_1[];
extern const char log_drop_fences[], log_set_aside[], log_refill[];

#endif
