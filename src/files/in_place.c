/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "files/in_place.h"

static void sync_folder_of(const char *path)
{
    char *folder = strdup(path);
    if (!folder)
        return;
    char *slash = strrchr(folder, '/');
    if (slash)
        slash[slash == folder] = '\0';
    int file = open(slash ? folder : ".", O_RDONLY | O_CLOEXEC);
    if (file >= 0) {
        fsync(file); /* some file systems have no such thing for folders; nothing to do then */
        close(file);
    }
    free(folder);
}

/* Where there are no hard links: hold the name with an empty file, then rename over that. */
static int rename_to_new(const char *temporary, const char *path)
{
    int hold = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, S_IRUSR | S_IWUSR);
    if (hold < 0)
        return errno;
    close(hold);
    if (rename(temporary, path) == 0)
        return 0;
    int why = errno;
    unlink(path); /* whole or not at all: nothing stands in it */
    return why;
}

int put_in_place(const char *temporary, const char *path, bool replace)
{
    int why = 0;
    if (replace) {
        if (rename(temporary, path) != 0)
            why = errno;
    } else if (link(temporary, path) != 0) {
        why = errno;
        if (why == EPERM || why == ENOSYS || why == EOPNOTSUPP)
            why = rename_to_new(temporary, path);
    }
    unlink(temporary);
    if (why == 0)
        sync_folder_of(path);
    return why;
}
