/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LOG_CREATE_H
#define LOG_CREATE_H

#include "book.h"

/** Make the folders a file stands in, for its owner alone. */
bool log_make_folders(const char *file, struct fault *fault);

/**
 * Make an empty log at book->path: whole or not at all, and never over a file that is there. One
 * that another process made meanwhile will do.
 */
bool log_create(struct log_book *book, struct fault *fault);

/** Give a finished file its name: `force` replaces what is there, else EEXIST says that something
 *  is. Value: 0 or an errno; the temporary name is gone either way. */
int log_put_in_place(const char *temporary, const char *path, bool force);

/** Remove a database with the files beside it. */
void log_remove_whole(const char *path);

#endif
