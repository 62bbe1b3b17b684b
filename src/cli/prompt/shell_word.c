/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/prompt/shell_word.h"

#include <string.h>

#include "text/words.h"

void shell_word_add(struct buffer *command, const char *name)
{
    bool plain = name[0] != '\0' && name[strcspn(name, " \t\"'`$&|;<>()[]{}*?!~#\\")] == '\0';
    struct buffer shown = {0};
    words_name(&shown, name);
    if (name[0] == '-')
        buffer_add(command, "./"); /* else it were an option */
    buffer_add(command, plain ? "" : "'");
    for (const char *at = buffer_text(&shown); *at != '\0'; at++)
        if (*at == '\'')
            buffer_add(command, "'\\''");
        else
            buffer_add_bytes(command, *at == ' ' ? WORDS_GLUE : at, 1);
    buffer_add(command, plain ? "" : "'");
    command->failed = command->failed || shown.failed;
    buffer_finish(&shown);
}
