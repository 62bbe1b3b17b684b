/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LOG_RECORD_H
#define LOG_RECORD_H

#include "log/log.h"

/** From what was recorded to what can be solved: the machine read, the sweeps that count. A machine
 *  file that cannot be read is no error here (`readable` is false then); no memory is. */
bool log_record_make(struct log_record *record, struct fault *fault);

#endif
