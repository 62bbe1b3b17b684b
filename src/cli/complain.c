/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/complain.h"

#include <stdarg.h>
#include <stdio.h>

#include "files/buffer.h"
#include "text/words.h"

#define NO_MEMORY "out of memory; close other programs and try again"

int complain(int status, const char *format, ...)
{
    /* a path can be as long as it likes; what is cut off is the end of an odd line */
    char text[4096];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    struct buffer line = {0};
    buffer_add(&line, "perpend: ");
    words_name(&line, text);
    buffer_add(&line, "\n");
    fputs(line.failed ? "perpend: " NO_MEMORY "\n" : buffer_text(&line), stderr);
    buffer_finish(&line);
    return status;
}

int complain_fault(const struct fault *fault)
{
    return complain(fault->status, "%s", fault->text);
}

int complain_memory(void)
{
    return complain(3, NO_MEMORY);
}

bool fault_out_of_memory(struct fault *fault)
{
    return fault_set(fault, 3, NO_MEMORY);
}
