/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef WHOLE_FILE_H
#define WHOLE_FILE_H

/**
 * A new file, whole or not at all.
 */

#include <stdbool.h>
#include <stddef.h>

#include "files/files.h"

enum whole_file { WHOLE_FILE_WRITTEN, WHOLE_FILE_EXISTS, WHOLE_FILE_FAILED };

/**
 * Write text to a temporary file beside the path, see it onto the disk, and give it its name.
 *
 * Given:    replace  whether a file that is there may go; else WHOLE_FILE_EXISTS, and nothing happens
 * Returned: fault    on WHOLE_FILE_FAILED, status 3; 2 where what is there is no plain file
 */
enum whole_file whole_file_write(
    const char *path, const char *text, size_t length, bool replace, struct fault *fault);

/** Whether what is there may be replaced: nothing, or a plain file; never a link, a device, a pipe or a
 *  directory, status 2. */
bool whole_file_may_replace(const char *path, struct fault *fault);

/**
 * Give a finished file its name, and see the folder onto the disk.
 *
 * Given:    temporary  the file, on its disk; gone afterwards, whatever happens
 *           path       its name
 *           replace    whether what is there may go; else EEXIST says that something is
 * Value:    0 or an errno
 */
int whole_file_name(const char *temporary, const char *path, bool replace);

#endif
