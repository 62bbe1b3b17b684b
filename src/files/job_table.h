/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JOB_TABLE_H
#define JOB_TABLE_H

/** Readings as a table (RFC 4180): a header that names the columns, then a reading a row. */

#include <perpend/job.h>

#include "files/keys.h"

#define SWEEPS_MOST 1000
#define READINGS_MOST 10000 /* in one job */

/** The same as read_root: the document is that of the job file that says the same, its lines the table's. */
const yaml_node_t *job_table_read(struct reader *reader, const char *text);

#endif
