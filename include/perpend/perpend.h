/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_PERPEND_H
#define PERPEND_PERPEND_H

/**
 * The whole library: a spindle tram calculator and adjustment advisor.
 *
 * Read a machine and a job (files.h), solve it (job.h), word the answer (text.h).
 * GSL's error handler, which ends the program, is left as it is and never called: GSL allocates
 * nothing here and gets only what it can work with.
 */

#include <perpend/board.h>
#include <perpend/cut.h>
#include <perpend/distribution.h>
#include <perpend/drift.h>
#include <perpend/files.h>
#include <perpend/fit.h>
#include <perpend/geometry.h>
#include <perpend/job.h>
#include <perpend/machine.h>
#include <perpend/mount.h>
#include <perpend/moves.h>
#include <perpend/plan.h>
#include <perpend/response.h>
#include <perpend/ridge.h>
#include <perpend/shims.h>
#include <perpend/status.h>
#include <perpend/sweep.h>
#include <perpend/text.h>
#include <perpend/units.h>
#include <perpend/verdict.h>

#endif
