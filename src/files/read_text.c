/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "files/buffer.h"
#include "files/fault.h"

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

static bool fault_read(struct fault *fault, const char *shown, int error)
{
    if (error == EISDIR)
        return fault_set(fault, 2, "%s: is a directory; give a file", shown);
    return fault_set(fault, 3, "%s: cannot be read (%s)", shown, strerror(error));
}

static bool fault_binary(struct fault *fault, const char *shown, const char *text)
{
    bool utf16 = memcmp(text, "\xFF\xFE", 2) == 0 || memcmp(text, "\xFE\xFF", 2) == 0;
    return fault_set(fault, 2,
        utf16 ? "%s: is UTF-16 text; save it as UTF-8"
              : "%s: is binary, not text; give a YAML or CSV file",
        shown);
}

/* One pass over an open file; one without end is left as soon as it shows what it is. */
static bool read_all(FILE *file, const char *shown, struct buffer *text, struct fault *fault)
{
    char chunk[16384];
    for (;;) {
        size_t got = fread(chunk, 1, sizeof chunk, file);
        if (got == 0 && ferror(file) && errno == EINTR) {
            clearerr(file);
            continue;
        }
        if (got == 0)
            return !ferror(file) || fault_read(fault, shown, errno);
        buffer_add_bytes(text, chunk, got);
        if (text->failed)
            return fault_memory(fault, shown);
        if (memchr(chunk, '\0', got) != NULL)
            return fault_binary(fault, shown, text->bytes);
        if (text->length > FILES_LARGEST)
            return fault_set(fault, 2, "%s: is larger than 1 MiB; is it the right file?", shown);
    }
}

/* Drop the byte order mark; every line ends in LF, whether it was LF, CRLF or CR. */
static size_t tidy(char *text, size_t length)
{
    size_t from = length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    size_t to = 0;
    for (; from < length; from++) {
        if (text[from] == '\r' && text[from + 1] == '\n')
            continue;
        text[to++] = text[from];
        if (text[from] == '\r')
            text[to - 1] = '\n';
    }
    text[to] = '\0';
    return to;
}

bool file_read_text(const char *path, char **text, size_t *length, struct fault *fault)
{
    char shown[NAME_SHOWN];
    bool standard_input = strcmp(path, "-") == 0;
    struct buffer whole = {0};
    FILE *file = standard_input ? stdin : fopen(path, "rb");

    name_shown(shown, path);
    if (file == NULL)
        return fault_open(fault, shown, errno);
    bool read = read_all(file, shown, &whole, fault);
    if (!standard_input)
        fclose(file);
    if (read) {
        size_t got = whole.length;
        *text = buffer_take(&whole);
        if (*text == NULL)
            return fault_memory(fault, shown);
        *length = tidy(*text, got);
        if ((*text)[strspn(*text, " \t\n")] != '\0')
            return true;
        free(*text);
        *text = NULL;
        fault_set(fault, 2, "%s: is empty; is it the right file?", shown);
    }
    buffer_finish(&whole);
    return false;
}
