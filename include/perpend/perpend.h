/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_PERPEND_H
#define PERPEND_PERPEND_H

/**
 * The whole library: a spindle tram calculator and adjustment advisor.
 */

#include <perpend/drift.h>
#include <perpend/fit.h>
#include <perpend/geometry.h>
#include <perpend/job.h>
#include <perpend/least_squares.h>
#include <perpend/machine.h>
#include <perpend/mount.h>
#include <perpend/moves.h>
#include <perpend/plan.h>
#include <perpend/response.h>
#include <perpend/ridge.h>
#include <perpend/shims.h>
#include <perpend/status.h>
#include <perpend/sweep.h>
#include <perpend/distribution.h>
#include <perpend/units.h>
#include <perpend/verdict.h>

#endif
