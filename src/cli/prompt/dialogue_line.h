/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_DIALOGUE_LINE_H
#define CLI_DIALOGUE_LINE_H

/**
 * One line of typing: by readline on a terminal, by plain reading from anything else. Signals that
 * ask to end are caught while a reader lives and come out as HEARD_STOP; between two lines they
 * wait for the next one.
 */

#include <stdbool.h>
#include <stddef.h>

#include "cli/prompt/dialogue.h"

struct line_reader;

/** NULL when memory is out. One at a time. */
struct line_reader *line_reader_create(void);

/** Put the terminal and the signals back; NULL is fine. */
void line_reader_destroy(struct line_reader *reader);

bool line_reader_typed(const struct line_reader *reader);

/**
 * Show the prompt and read one line.
 *
 * Returned: answer     ANSWER_SIZE bytes: the line, control characters gone, blanks around it gone
 *           complaint  what is wrong with a line that is too long or no text; else untouched
 * Value:    HEARD_ANSWER, HEARD_STOP or HEARD_END
 */
enum heard line_reader_read(
    struct line_reader *reader, const char *prompt, char *answer, char *complaint, size_t size);

#endif
