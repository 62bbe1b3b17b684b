/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef TEXT_BOARD_H
#define TEXT_BOARD_H

/** A board's survey and its facing in words. */

#include <perpend/job.h>
#include <perpend/machine.h>

#include "text/words.h"

/** Where Z is set. */
enum board_zero { BOARD_ZERO_HIGHEST, BOARD_ZERO_CENTRE, BOARD_ZERO_PLACE };

struct board_survey {
    const struct perpend_machine *machine;
    const struct perpend_sweep *touches;
    struct perpend_survey survey;
    struct perpend_cleanup cleanup;
    enum board_zero zero;
};

void board_survey_words(struct words *words, const struct board_survey *board);
void board_facing_words(struct words *words, const struct perpend_machine *machine,
    const struct perpend_facing_plan *plan);

#endif
