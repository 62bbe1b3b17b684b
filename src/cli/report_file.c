/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

#include "log/log.h"
#include "cli/whole_file.h"
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

bool report_path_good(const char *command, const char *path, int *status)
{
    enum report_format format;
    if (path == NULL || report_format_of(path, &format))
        return true;
    *status = complain(2, "%s: --report '%s' ends in none of .html, .pdf and .txt", command, path);
    return false;
}

/* GLib, and pango with it, ends the program when memory or threads cannot be had. Their lesser
   complaints are about fonts; letters that no font has are told of otherwise. */
static GLogWriterOutput last_words(
    GLogLevelFlags level, const GLogField *fields, gsize count, void *context)
{
    static const char line[] =
        "perpend: not enough memory to draw with; close other programs and try again\n";
    (void)fields;
    (void)count;
    (void)context;
    if (level & G_LOG_LEVEL_ERROR) {
        (void)!write(STDERR_FILENO, line, sizeof line - 1);
        _exit(3);
    }
    return G_LOG_WRITER_HANDLED;
}

void drawing_begin(void)
{
    static bool begun = false;
    if (!begun)
        g_log_set_writer_func(last_words, NULL, NULL);
    begun = true;
}

char *report_digest(
    const char *first, size_t first_length, const char *second, size_t second_length)
{
    GChecksum *sum = g_checksum_new(G_CHECKSUM_SHA256);
    g_checksum_update(sum, (const guchar *)first, (gssize)first_length);
    g_checksum_update(sum, (const guchar *)second, (gssize)second_length);
    char *text = g_strdup(g_checksum_get_string(sum));
    g_checksum_free(sum);
    return text;
}

/** Now, or the moment that SOURCE_DATE_EPOCH states. */
static GDateTime *moment(void)
{
    const char *stated = g_getenv("SOURCE_DATE_EPOCH");
    gint64 seconds;
    if (stated != NULL && g_ascii_string_to_signed(stated, 10, 0, G_MAXINT32, &seconds, NULL))
        return g_date_time_new_from_unix_utc(seconds);
    return g_date_time_new_now_local();
}

/** The date and time as a page shows it ("2026-05-06 09:08"); in UTC when it is stated, so that a
 * page can be made again to the byte. By g_malloc. */
static char *report_date(void)
{
    GDateTime *now = moment();
    char *text = g_date_time_format(now, "%Y-%m-%d %H:%M");
    g_date_time_unref(now);
    return text;
}

static GByteArray *render(
    const struct document *document, const struct report_order *order, size_t *unknown)
{
    *unknown = 0;
    if (order->format == REPORT_PDF) {
        GDateTime *now = moment();
        char *made = g_date_time_format(now, "%Y-%m-%dT%H:%M:%S%:z");
        GByteArray *pdf = document_pdf(document, order->paper, made, unknown);
        g_free(made);
        g_date_time_unref(now);
        return pdf;
    }
    GString *text =
        order->format == REPORT_HTML ? document_html(document) : document_text(document);
    GByteArray *bytes = g_byte_array_new();
    g_byte_array_append(bytes, (const guint8 *)text->str, (guint)text->len);
    g_string_free(text, TRUE);
    return bytes;
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
    char *bytes = NULL;
    gsize length = 0;
    bool same = false;
    if (g_file_test(path, G_FILE_TEST_IS_REGULAR) &&
        g_file_get_contents(path, &bytes, &length, NULL))
        same = holds(bytes, length, identity);
    g_free(bytes);
    return same;
}

static int to_file(
    const char *path, const GByteArray *bytes, const char *identity, bool force, bool tell)
{
    struct fault fault = {0};
    const bool replace = force || same_job(path, identity);
    switch (whole_file_write(path, (const char *)bytes->data, bytes->len, replace, &fault)) {
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
    if (tell) {
        screen_text(path);
        screen_text("\n");
    }
    return 0;
}

int report_write(const struct report_input *input, const struct report_order *order, bool tell)
{
    static const char *const endings[] = {
        [REPORT_HTML] = "html", [REPORT_PDF] = "pdf", [REPORT_TEXT] = "txt"};
    size_t unknown;
    struct document *document = report_build(input);
    GByteArray *bytes = render(document, order, &unknown);
    char *own = report_file_name(input, endings[order->format]);
    const char *path = order->path != NULL ? order->path : own;
    int status;
    if (bytes == NULL)
        status = complain(3, "%s: cannot be drawn", path);
    else if (strcmp(path, "-") == 0) {
        screen_bytes((const char *)bytes->data, bytes->len);
        status = 0;
    } else
        status = to_file(path, bytes, document->identity, order->force, tell);
    if (status == 0)
        tell_unknown(path, unknown);
    if (bytes != NULL)
        g_byte_array_free(bytes, TRUE);
    document_destroy(document);
    g_free(own);
    return status;
}

int picture_write(struct figure *sheet, const char *path)
{
    enum picture_format format = PICTURE_SVG;
    struct fault fault = {0};
    int status = 0;
    (void)picture_format_of(path, &format);
    const size_t unknown = format == PICTURE_SVG ? 0 : figure_unknown(sheet);
    GByteArray *bytes = picture_bytes(sheet, format);
    figure_destroy(sheet);
    if (bytes == NULL)
        return complain(3, "%s: cannot be drawn", path);
    if (whole_file_write(path, (const char *)bytes->data, bytes->len, true, &fault) !=
        WHOLE_FILE_WRITTEN)
        status = complain_fault(&fault);
    else
        tell_unknown(path, unknown);
    g_byte_array_free(bytes, TRUE);
    return status;
}

bool report_from_files(const struct job_files *files, struct report_input *input)
{
    char *name = log_machine_name(&files->machine, files->machine_path);
    if (name == NULL)
        return false;
    *input = (struct report_input){.machine = &files->machine,
        .job = &files->job,
        .solution = &files->solution,
        .name = g_strdup(name),
        .date = report_date(),
        .digest = report_digest(files->machine_text, files->machine_length, files->readings_text,
            files->readings_length),
        .digest_of = "the machine file, then the file of readings",
        .version = PERPEND_VERSION};
    free(name);
    return true;
}

void report_from_files_finish(struct report_input *input)
{
    g_free((char *)input->name);
    g_free((char *)input->date);
    g_free((char *)input->digest);
}
