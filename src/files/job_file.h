/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JOB_FILE_H
#define JOB_FILE_H

/** The two forms that readings come in, and what they share. */

#include "files/reader.h"

#define SWEEPS_MOST 1000
#define READINGS_MOST 100000 /* in one job */
#define DID_MOST 1024        /* entries after one sweep */

/** Readings and places: any length either way. */
extern const struct length_range reading_range;

/** Both fill a zeroed job; what is filled on a fault is for the caller to release. */
bool job_yaml_read(struct reader *reader, const char *text, size_t length, const char *name,
    const struct perpend_machine *machine, struct perpend_job *job);
bool job_csv_read(struct reader *reader, const char *text, struct perpend_job *job);

/** A new sweep at the end of the job's list, its name copied; NULL when memory is out. */
struct perpend_sweep *job_add_sweep(struct perpend_job *job, const char *name);

#endif
