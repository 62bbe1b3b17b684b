/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JOB_KEYS_H
#define JOB_KEYS_H

/** The keys of a job file, the sweeps last; up to one without a name. */

#include "files/keys.h"

extern const struct key job_keys[];

#endif
