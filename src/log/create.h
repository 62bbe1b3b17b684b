/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LOG_CREATE_H
#define LOG_CREATE_H

#include "log/book.h"

/** Make the folders a file stands in, for its owner alone. */
bool log_make_folders(const char *file, struct fault *fault);

/**
 * Make an empty log at book->path: whole or not at all, and never over a file that is there. One
 * that another process made meanwhile will do.
 */
bool log_create(struct log_book *book, struct fault *fault);

/** Remove a database with the files beside it. */
void log_remove_whole(const char *path);

#endif
