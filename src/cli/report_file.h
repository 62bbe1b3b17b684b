/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REPORT_FILE_H
#define REPORT_FILE_H

/** Reports and pictures onto the disk, for the commands that make them. */

#include <stdbool.h>

#include "cli/job_files.h"
#include "report/digest.h"
#include "report/picture.h"
#include "report/report.h"

enum report_format { REPORT_HTML, REPORT_PDF, REPORT_TEXT };

/** The format of a file's ending (.html, .htm, .pdf, .txt); false when it is none of them. */
bool report_format_of(const char *path, enum report_format *format);

/** Which report is wanted, and where. */
struct report_order {
    enum report_format format;
    enum paper paper;
    const char *path; /* NULL: the report's own name, here; "-": standard output */
    bool force;       /* replace a file that is there, whatever it is */
};

/**
 * Write a report, whole or not at all. One of the same job that is there already is replaced,
 * anything else only when forced. Says which file it wrote on standard output.
 *
 * Value: the exit status, 0 when done
 */
int report_write(const struct report_input *input, const struct report_order *order);

/**
 * Write a picture in the format of the path's ending; a file that is there is replaced. The sheet
 * is destroyed.
 */
int picture_write(struct figure *sheet, const char *path);

/** Check the ending of --picture before anything is worked out; complains. */
bool picture_path_good(const char *command, const char *path, int *status);

/** A report from files: what report_input holds, with the digest over both texts. Release with
 *  report_from_files_finish. */
struct report_files {
    struct report_input input;
    char *name;
    char digest[DIGEST_TEXT];
};
bool report_from_files(const struct job_files *files, struct report_files *made);
void report_from_files_finish(struct report_files *made);

#endif
