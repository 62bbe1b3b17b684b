/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "files/fault.h"
#include "log/whole_file.h"

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

/* A name that must be new is held by an empty file until that is replaced. */
int whole_file_name(const char *temporary, const char *path, bool replace)
{
    int why = 0;
    int hold = replace ? -1 : open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, S_IRUSR);
    if (hold >= 0)
        close(hold);
    if ((!replace && hold < 0) || rename(temporary, path) != 0)
        why = errno;
    if (why != 0 && hold >= 0)
        unlink(path); /* whole or not at all: nothing stands in it */
    unlink(temporary);
    if (why == 0)
        sync_folder_of(path);
    return why;
}

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

bool whole_file_may_replace(const char *path, struct fault *fault)
{
    struct stat there;
    if (lstat(path, &there) != 0 || S_ISREG(there.st_mode))
        return true;
    return fault_set(fault, 2, "%s: is a %s, not a plain file; give another name", path,
        S_ISLNK(there.st_mode)    ? "link"
        : S_ISDIR(there.st_mode)  ? "directory"
        : S_ISFIFO(there.st_mode) ? "pipe"
                                  : "device");
}

enum whole_file whole_file_write(
    const char *path, const char *text, size_t length, bool replace, struct fault *fault)
{
    static const char ending[] = ".XXXXXX";
    enum whole_file result = WHOLE_FILE_FAILED;
    int file = -1;
    size_t room = strlen(path) + sizeof ending;
    if (replace && !whole_file_may_replace(path, fault))
        return WHOLE_FILE_FAILED;
    char *temporary = malloc(room);
    if (temporary == NULL) {
        fault_memory(fault, path);
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
    int why = whole_file_name(temporary, path, replace);
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
