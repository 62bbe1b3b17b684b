/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "whole_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "options.h"

static bool write_all(int file, const char *text, size_t length)
{
    while (length > 0) {
        ssize_t done = write(file, text, length);
        if (done < 0 && errno == EINTR)
            continue;
        if (done <= 0)
            return false;
        text += done;
        length -= (size_t)done;
    }
    return true;
}

/* What any other new file would be allowed. */
static mode_t usual_mode(void)
{
    mode_t mask = umask(0);
    umask(mask);
    return (S_IRUSR | S_IWUSR | S_IRGRP | S_IWGRP | S_IROTH | S_IWOTH) & ~mask;
}

/* Give the temporary file its name. */
static enum whole_file name_file(const char *temporary, const char *path, bool replace)
{
    struct stat there;
    if (!replace) {
        if (link(temporary, path) == 0) {
            unlink(temporary);
            return WHOLE_FILE_WRITTEN;
        }
        if (errno == EEXIST)
            return WHOLE_FILE_EXISTS;
        /* a file system without links: look, then rename */
        if (lstat(path, &there) == 0)
            return WHOLE_FILE_EXISTS;
    }
    return rename(temporary, path) == 0 ? WHOLE_FILE_WRITTEN : WHOLE_FILE_FAILED;
}

enum whole_file whole_file_write(
    const char *path, const char *text, size_t length, bool replace, struct fault *fault)
{
    static const char ending[] = ".XXXXXX";
    enum whole_file result = WHOLE_FILE_FAILED;
    int file = -1;
    size_t room = strlen(path) + sizeof ending;
    char *temporary = malloc(room);
    if (temporary == NULL) {
        fault_out_of_memory(fault);
        return WHOLE_FILE_FAILED;
    }
    snprintf(temporary, room, "%s%s", path, ending);
    file = mkstemp(temporary);
    if (file < 0) {
        fault_set(
            fault, 3, "%s: cannot be written (%s); choose another folder", path, strerror(errno));
        goto done;
    }
    if (!write_all(file, text, length) || fchmod(file, usual_mode()) != 0 || fsync(file) != 0) {
        fault_set(fault, 3, "%s: cannot be written (%s); make room or choose another folder", path,
            strerror(errno));
        goto done;
    }
    result = name_file(temporary, path, replace);
    if (result == WHOLE_FILE_FAILED)
        fault_set(fault, 3, "%s: cannot be named (%s); choose another name", path, strerror(errno));
done:
    if (file >= 0) {
        close(file);
        if (result != WHOLE_FILE_WRITTEN)
            unlink(temporary);
    }
    free(temporary);
    return result;
}
