/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "files/fault.h"

#define FIRST_BUFFER ((size_t)16 << 10)

static bool fault_open(struct fault *fault, const char *shown, int error)
{
    switch (error) {
    case ENOENT:
    case ENOTDIR:
        return fault_set(
            fault, 2, "%s: there is no such file; check the name and the folder", shown);
    case ENAMETOOLONG:
    case ELOOP:
        return fault_set(
            fault, 2, "%s: cannot be a file's name (%s); check it", shown, strerror(error));
    case EACCES:
    case EPERM:
        return fault_set(fault, 3, "%s: no permission to read it; change its permissions", shown);
    default:
        return fault_set(fault, 3, "%s: cannot be opened (%s)", shown, strerror(error));
    }
}

static bool fault_large(struct fault *fault, const char *shown)
{
    return fault_set(fault, 2, "%s: is larger than 64 MiB; is it the right file?", shown);
}

static bool fault_binary(struct fault *fault, const char *shown, const char *text, size_t length)
{
    bool utf16 =
        length >= 2 && (memcmp(text, "\xFF\xFE", 2) == 0 || memcmp(text, "\xFE\xFF", 2) == 0);
    return fault_set(fault, 2,
        utf16 ? "%s: is UTF-16 text; save it as UTF-8"
              : "%s: is binary, not text; give a YAML or CSV file",
        shown);
}

/* A larger buffer, or a fault; the old one stays in *text then. */
static bool grow(char **text, size_t room, const char *shown, struct fault *fault)
{
    char *larger = realloc(*text, room);
    if (larger == NULL)
        return fault_memory(fault, shown);
    *text = larger;
    return true;
}

/* One pass over an open file into a buffer of FIRST_BUFFER bytes, which grows; what is read so far
   stays in *text whatever happens. */
static bool read_all(
    int descriptor, const char *shown, char **text, size_t *length, struct fault *fault)
{
    size_t room = FIRST_BUFFER;
    *length = 0;
    for (;;) {
        if (room - *length < 2) {
            room *= 2;
            if (!grow(text, room, shown, fault))
                return false;
        }
        ssize_t got = read(descriptor, *text + *length, room - *length - 1);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0 && errno == EISDIR)
            return fault_set(fault, 2, "%s: is a directory; give a file", shown);
        if (got < 0)
            return fault_set(fault, 3, "%s: cannot be read (%s)", shown, strerror(errno));
        if (got == 0)
            break;
        bool binary = memchr(*text + *length, '\0', (size_t)got) != NULL;
        *length += (size_t)got;
        if (binary)
            return fault_binary(fault, shown, *text, *length);
        if (*length > FILES_LARGEST)
            return fault_large(fault, shown);
    }
    (*text)[*length] = '\0';
    return true;
}

/* Drop the byte order mark; every line ends in LF, whether it was LF, CRLF or CR. */
static void tidy(char *text, size_t *length)
{
    size_t from = *length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    size_t to = 0;
    for (; from < *length; from++) {
        if (text[from] == '\r') {
            if (from + 1 < *length && text[from + 1] == '\n')
                continue;
            text[to++] = '\n';
        } else {
            text[to++] = text[from];
        }
    }
    text[to] = '\0';
    *length = to;
}

static bool is_blank(const char *text)
{
    return text[strspn(text, " \t\n")] == '\0';
}

bool file_read_text(const char *path, char **text, size_t *length, struct fault *fault)
{
    char shown[NAME_SHOWN];
    bool standard_input = strcmp(path, "-") == 0;
    char *whole = NULL;
    bool done = false;
    struct stat about;

    name_shown(shown, path);
    int descriptor = standard_input ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC);
    if (descriptor < 0)
        return fault_open(fault, shown, errno);
    if (fstat(descriptor, &about) != 0) {
        fault_open(fault, shown, errno);
        goto close_file;
    }
    if (S_ISDIR(about.st_mode)) {
        fault_set(fault, 2, "%s: is a directory; give a file", shown);
        goto close_file;
    }
    if (S_ISREG(about.st_mode) && about.st_size > (off_t)FILES_LARGEST) {
        fault_large(fault, shown);
        goto close_file;
    }
    whole = malloc(FIRST_BUFFER);
    if (whole == NULL) {
        fault_memory(fault, shown);
        goto close_file;
    }
    if (!read_all(descriptor, shown, &whole, length, fault))
        goto close_file;
    tidy(whole, length);
    if (is_blank(whole)) {
        fault_set(fault, 2, "%s: is empty; is it the right file?", shown);
        goto close_file;
    }
    *text = whole;
    whole = NULL;
    done = true;
close_file:
    free(whole);
    if (!standard_input)
        close(descriptor);
    return done;
}

bool text_check(const char *text, size_t length, const char *name, struct fault *fault)
{
    char shown[NAME_SHOWN];
    size_t line = 1;
    for (size_t i = 0; i < length;) {
        unsigned char byte = (unsigned char)text[i];
        size_t count = utf8_sequence(text + i, length - i);
        if (count == 0)
            return fault_set(fault, 2, "%s:%zu: is not UTF-8 text; save the file as UTF-8",
                name_shown(shown, name), line);
        if (byte == '\0')
            return fault_set(fault, 2, "%s:%zu: is binary, not text; give a YAML or CSV file",
                name_shown(shown, name), line);
        if (byte == 0x7F || (byte < 0x20 && byte != '\t' && byte != '\n'))
            return fault_set(fault, 2, "%s:%zu: has a control character (code %u); remove it",
                name_shown(shown, name), line, (unsigned)byte);
        if (byte == '\n')
            line++;
        i += count;
    }
    return true;
}
