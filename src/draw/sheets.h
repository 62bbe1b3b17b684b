/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SHEETS_H
#define SHEETS_H

/** What the commands draw: one sheet an answer. Release with figure_destroy. */

#include <perpend/job.h>
#include <perpend/machine.h>

#include "draw/figure.h"

/** The floor for a lean (NULL: none was stated) and the ridge over lean and stepover. Of the
 *  machine only bit, facing, goal and unit count. */
struct figure *sheet_of_ridge(
    const struct perpend_machine *machine, const struct perpend_slope *lean);

#endif
