/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef BOARD_FILE_H
#define BOARD_FILE_H

/** The machine file's `board`, `travel` and what drives them; the bed's slope as a survey found it; a
 *  board's answers for programs. */

#include <perpend/job.h>
#include <perpend/machine.h>

#include "files/keys.h"

extern const struct mapping board_mapping;  /* of a struct perpend_board */
extern const struct mapping travel_mapping; /* of a struct perpend_area */
extern const struct range feed_range, speed_range;

value_reader read_bed_slope, read_bed_uncertainty; /* struct perpend_setup */

/** Whether how sure it is stands with the slope. */
bool bed_slope_is_sure(const struct value *value);

/** JSON (perpend-board(1)), one line end at the end; by malloc, NULL when memory is out. */
char *survey_json(const struct perpend_machine *machine, const struct perpend_sweep *touches,
    const struct perpend_survey *survey, const struct perpend_cleanup *cleanup);
char *facing_json(const struct perpend_machine *machine, const struct perpend_facing_plan *plan);

#endif
