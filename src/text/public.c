/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What include/perpend/text.h promises, by what this folder does. */
#include <perpend/text.h>

#include "text/answer.h"

char *perpend_answer_text(const struct perpend_machine *machine, const struct perpend_job *job,
    const struct perpend_solution *solution, const struct perpend_text_options *options)
{
    const struct perpend_text_options usual = {0};
    const struct perpend_text_options *asked = options != NULL ? options : &usual;
    struct words words = {
        .unit = machine->unit,
        .width = asked->width == 0                  ? WORDS_USUAL_WIDTH
                 : asked->width < WORDS_LEAST_WIDTH ? WORDS_LEAST_WIDTH
                                                    : asked->width,
        .utf8 = !asked->ascii,
    };
    answer_job(&words, machine, job, solution, &(struct answer_options){.more = asked->more});
    return buffer_take(&words.out);
}
