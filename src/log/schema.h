/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LOG_SCHEMA_H
#define LOG_SCHEMA_H

/**
 * How the log is laid out, and how an earlier one is brought to that.
 */

#include "log/book.h"

/** "perp", in the file's header (PRAGMA application_id), and the version this program writes (PRAGMA
 *  user_version). */
#define LOG_APPLICATION 0x70657270
#define LOG_VERSION 4

/** SQL: this moment, UTC, and the minutes that the clock on the wall is ahead of it. */
#define LOG_NOW "strftime('%Y-%m-%dT%H:%M:%SZ', 'now')"
#define LOG_OFFSET "((strftime('%s', 'now', 'localtime') - strftime('%s', 'now')) / 60)"

/** Bring a log of an earlier version to this one, or lay out a new one (version 0): whole, or it stays as
 *  it is. */
bool log_bring_up_to_date(struct log_book *book, struct fault *fault);

#endif
