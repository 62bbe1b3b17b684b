/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/whole_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "files/in_place.h"
#include "cli/options.h"

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
    int why = put_in_place(temporary, path, replace);
    result = why == 0 ? WHOLE_FILE_WRITTEN : why == EEXIST ? WHOLE_FILE_EXISTS : WHOLE_FILE_FAILED;
    if (result == WHOLE_FILE_FAILED)
        fault_set(fault, 3, "%s: cannot be named (%s); choose another name", path, strerror(why));
done:
    if (file >= 0) {
        close(file);
        if (result != WHOLE_FILE_WRITTEN)
            unlink(temporary);
    }
    free(temporary);
    return result;
}
