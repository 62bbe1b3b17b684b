/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JOB_TABLE_H
#define JOB_TABLE_H

/** Readings as a table (RFC 4180): a header that names the columns, then a reading a row. */

#include <perpend/job.h>

#include "files/keys.h"

#define SWEEPS_MOST 1000
#define READINGS_MOST 10000 /* in one job */

/** Fill a zeroed job; what is filled on a fault is for the caller to release. */
bool job_table_read(struct reader *reader, const char *text, struct perpend_job *job);

#endif
