/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include <time.h>

#include "log/log.h"
#include "log/whole_file.h"
#include "cli/options.h"
#include "cli/report_file.h"
#include "cli/prompt/screen.h"

static bool ends_in(const char *path, const char *ending)
{
    const size_t length = strlen(path);
    const size_t tail = strlen(ending);
    return length > tail && strcasecmp(path + length - tail, ending) == 0;
}

bool report_format_of(const char *path, enum report_format *format)
{
    if (ends_in(path, ".html") || ends_in(path, ".htm"))
        *format = REPORT_HTML;
    else if (ends_in(path, ".pdf"))
        *format = REPORT_PDF;
    else if (ends_in(path, ".txt"))
        *format = REPORT_TEXT;
    else
        return false;
    return true;
}

bool picture_path_good(const char *command, const char *path, int *status)
{
    enum picture_format format;
    if (path == NULL || picture_format_of(path, &format))
        return true;
    *status = complain(2, "%s: --picture '%s' ends in none of .svg, .png and .pdf", command, path);
    return false;
}

/** Now as a file's metadata want it; or the moment that SOURCE_DATE_EPOCH states, in UTC, so that a
 *  page can be made again to the byte. */
static const char *now_text(char text[48])
{
    const char *stated = getenv("SOURCE_DATE_EPOCH");
    char *end = NULL;
    const long long seconds = stated != NULL ? strtoll(stated, &end, 10) : 0;
    const bool fixed =
        end != NULL && end != stated && *end == '\0' && seconds >= 0 && seconds <= INT32_MAX;
    const time_t now = fixed ? (time_t)seconds : time(NULL);
    struct tm parts;
    char zone[16] = "";
    if ((fixed ? gmtime_r(&now, &parts) : localtime_r(&now, &parts)) == NULL)
        memset(&parts, 0, sizeof parts);
    strftime(text, 32, "%Y-%m-%dT%H:%M:%S", &parts);
    strftime(zone, sizeof zone, "%z", &parts);
    if (strlen(zone) == 5)
        snprintf(text + strlen(text), 8, "%.3s:%.2s", zone, zone + 3);
    return text;
}

static void render(const struct document *document, const struct report_order *order,
    struct buffer *out, size_t *unknown)
{
    char made[48];
    *unknown = 0;
    if (order->format == REPORT_PDF)
        document_pdf(document, order->paper, now_text(made), out, unknown);
    else if (order->format == REPORT_HTML)
        document_html(document, out);
    else
        document_plain(document, out);
}

/** Letters that no font has are told of, and are no reason to write nothing. */
static void tell_unknown(const char *path, size_t unknown)
{
    if (unknown > 0)
        complain(0,
            "%s: %zu letters show as boxes, no font here has them; install one that does, such as "
            "those of Noto",
            path, unknown);
}

/** Whether bytes, NULs among them, hold a text. */
static bool holds(const char *bytes, size_t length, const char *text)
{
    const size_t wanted = strlen(text);
    for (size_t i = 0; i + wanted <= length; i++)
        if (bytes[i] == text[0] && memcmp(bytes + i, text, wanted) == 0)
            return true;
    return false;
}

/** Whether the file there is a report of the same job. */
static bool same_job(const char *path, const char *identity)
{
    struct stat there;
    struct buffer bytes = {0};
    char part[4096];
    bool same = false;
    if (stat(path, &there) != 0 || !S_ISREG(there.st_mode))
        return false;
    FILE *file = fopen(path, "rb");
    for (size_t got; file != NULL && (got = fread(part, 1, sizeof part, file)) > 0;)
        buffer_add_bytes(&bytes, part, got);
    if (file != NULL) {
        same = !ferror(file) && holds(buffer_text(&bytes), bytes.length, identity);
        fclose(file);
    }
    buffer_finish(&bytes);
    return same;
}

static int to_file(const char *path, const struct buffer *bytes, const char *identity, bool force)
{
    struct fault fault = {0};
    const bool replace = force || same_job(path, identity);
    switch (whole_file_write(path, bytes->bytes, bytes->length, replace, &fault)) {
    case WHOLE_FILE_EXISTS:
        return complain(2,
            "%s: is there already and is not a report of this job; give another name, or --force "
            "to replace it",
            path);
    case WHOLE_FILE_FAILED:
        return complain_fault(&fault);
    case WHOLE_FILE_WRITTEN:
        break;
    }
    screen_text(path);
    screen_text("\n");
    return 0;
}

int report_write(const struct report_input *input, const struct report_order *order)
{
    static const char *const endings[] = {
        [REPORT_HTML] = "html", [REPORT_PDF] = "pdf", [REPORT_TEXT] = "txt"};
    size_t unknown;
    struct document document;
    struct buffer bytes = {0};
    struct buffer own = {0};
    report_build(input, &document);
    render(&document, order, &bytes, &unknown);
    report_file_name(input, endings[order->format], &own);
    const char *path = order->path != NULL ? order->path : buffer_text(&own);
    int status = 0;
    if (bytes.failed || own.failed)
        status = complain_memory();
    else if (strcmp(path, "-") == 0)
        screen_bytes(bytes.bytes, bytes.length);
    else
        status = to_file(path, &bytes, buffer_text(&document.identity), order->force);
    if (status == 0)
        tell_unknown(path, unknown);
    buffer_finish(&bytes);
    buffer_finish(&own);
    document_finish(&document);
    return status;
}

int picture_write(struct figure *sheet, const char *path)
{
    enum picture_format format = PICTURE_SVG;
    struct fault fault = {0};
    struct buffer bytes = {0};
    size_t unknown;
    int status = 0;
    (void)picture_format_of(path, &format);
    picture_add(sheet, format, &bytes, &unknown);
    figure_destroy(sheet);
    if (bytes.failed)
        status = complain_memory();
    else if (whole_file_write(path, bytes.bytes, bytes.length, true, &fault) != WHOLE_FILE_WRITTEN)
        status = complain_fault(&fault);
    else
        tell_unknown(path, unknown);
    buffer_finish(&bytes);
    return status;
}

bool report_from_files(const struct job_files *files, struct report_files *made)
{
    made->name = log_machine_name(&files->machine, files->machine_path);
    made->input = (struct report_input){.machine = &files->machine,
        .job = &files->job,
        .solution = &files->solution,
        .name = made->name,
        .digest = digest_text(files->machine_text, files->machine_length, files->readings_text,
            files->readings_length, made->digest),
        .digest_of = "the machine file, then the file of readings",
        .version = PERPEND_VERSION};
    return made->name != NULL;
}

void report_from_files_finish(struct report_files *made)
{
    free(made->name);
}
