/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REPORT_H
#define REPORT_H

/**
 * One job as a document for the maintenance file: one page that is whole by itself, and when asked
 * for, behind it, all that it rests on.
 */

#include <perpend/job.h>
#include <perpend/machine.h>

#include "draw/figures.h"
#include "report/document.h"

/** What somebody noted during the job. */
struct report_note {
    const char *when; /* "2026-05-06 09:08"; NULL: not known */
    const char *kind; /* "note", "crash" …; NULL */
    const char *text;
};

struct report_input {
    const struct perpend_machine *machine;
    const struct perpend_job *job; /* its date and person are the record's, as far as stated */
    const struct perpend_solution *solution; /* at least one measurement */
    const char *name;                        /* of the machine */
    const char *number;                      /* of the job in its log; NULL: made from files */
    const char *ending; /* "given up", "not ended yet"; NULL: there is nothing to say of it */
    const char *who;    /* instead of the job's; NULL: as the job says */
    const char *remark; /* free text; NULL: none */
    const struct report_note *notes;
    size_t note_count;
    const struct past_job *past; /* oldest first, this job the last; fewer than two: no history */
    size_t past_count;
    const char *drift;     /* since the job before, in words; NULL: none known */
    const char *digest;    /* SHA-256 of the data, in hexadecimal digits */
    const char *digest_of; /* what that is taken over */
    const char *version;   /* of the program */
    bool full;             /* with what the page rests on */
};

/** Into an empty document; release with document_finish. */
void report_build(const struct report_input *input, struct document *document);

/** The pictures of a job on one sheet, with what it comes to over them. Release with figure_destroy. */
struct figure *report_sheet(const struct report_input *input);

/**
 * A file name for a report: machine, date and job, in letters that every file system takes, with an
 * ending ("html").
 */
void report_file_name(const struct report_input *input, const char *ending, struct buffer *out);

#endif
