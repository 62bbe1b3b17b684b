/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LINE_READER_H
#define LINE_READER_H

/**
 * One line of typing: by readline on a terminal, by plain reading from anything else. Signals that
 * ask to end are caught while a reader lives and come out as HEARD_STOP; between two lines they
 * wait for the next one.
 */

#include <stdbool.h>

#define ANSWER_SIZE 4096 /* bytes of the longest line, its NUL included */

/** How a question ended. */
enum heard {
    HEARD_ANSWER,
    HEARD_UNDO, /* `undo` and nothing else; never from a line reader */
    HEARD_STOP, /* `stop`, Ctrl-C, a closed terminal, a request to end */
    HEARD_END,  /* the input ended; Ctrl-D */
    HEARD_FAIL  /* memory is out; only from those who keep answers */
};

struct line_reader;

/** NULL when memory is out. One at a time. */
struct line_reader *line_reader_create(void);

/** Put the terminal and the signals back; NULL is fine. */
void line_reader_destroy(struct line_reader *reader);

/** Whether a person types, rather than a pipe. */
bool line_reader_typed(const struct line_reader *reader);

/**
 * Show the prompt and read one line.
 *
 * Returned: answer     ANSWER_SIZE bytes: the line, control characters gone, blanks around it gone
 *           complaint  what is wrong with a line that is too long or no text; else NULL
 * Value:    HEARD_ANSWER, HEARD_STOP or HEARD_END
 */
enum heard line_reader_read(
    struct line_reader *reader, const char *prompt, char *answer, const char **complaint);

#endif
