/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JOB_LEARNED_H
#define JOB_LEARNED_H

/** What earlier jobs taught, in a job file. */

#include "files/keys.h"

value_reader read_learned; /* struct perpend_job */
value_writer write_learned;

#endif
