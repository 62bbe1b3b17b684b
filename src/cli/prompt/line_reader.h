/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LINE_READER_H
#define LINE_READER_H

/**
 * One line of typing: by readline on a terminal, by plain reading from anything else. Signals that
 * ask to end are caught from beginning to end and come out as HEARD_STOP; between two lines they
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
    HEARD_FAIL  /* memory is out; never from a line reader */
};

/** Catch the signals, and make readline ready if a person types. */
void line_reader_begin(void);

/** Give the terminal and the signals back as they were. */
void line_reader_end(void);

/** Whether a person types, rather than a pipe. */
bool line_reader_typed(void);

/**
 * Show the prompt and read one line.
 *
 * Returned: answer     ANSWER_SIZE bytes: the line, control characters gone, blanks around it gone
 *           complaint  what is wrong with a line that is too long or no text; else NULL
 * Value:    HEARD_ANSWER, HEARD_STOP or HEARD_END
 */
enum heard line_reader_read(const char *prompt, char *answer, const char **complaint);

#endif
