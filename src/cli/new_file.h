/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_NEW_FILE_H
#define CLI_NEW_FILE_H

/**
 * A new file, whole or not at all.
 */

#include <stdbool.h>
#include <stddef.h>

#include "files.h"

enum new_file { NEW_FILE_WRITTEN, NEW_FILE_EXISTS, NEW_FILE_FAILED };

/**
 * Write text to a temporary file beside the path, see it onto the disk, and give it its name.
 *
 * Given:    replace  whether a file that is there may go; else NEW_FILE_EXISTS, and nothing happens
 * Returned: fault    on NEW_FILE_FAILED, status 3
 */
enum new_file new_file_write(
    const char *path, const char *text, size_t length, bool replace, struct fault *fault);

#endif
