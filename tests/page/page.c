/* SPDX-License-Identifier: GPL-3.0-or-later */
/* page: answers what the page asks, each reply with an empty line behind it: line by line of standard input,
   "answer MACHINE JOB", "record MACHINE JOB", "ridge MACHINE LEAN", "read TEXT MACHINE" or "mount SHAPES" with tabs
   between and each text a file's name; as tests/page/page.mjs does by WebAssembly. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "files/files.h"
#include "page/page.h"

static char *text_of(const char *path)
{
    struct fault fault = {0};
    char *text = NULL;
    size_t length;
    if (path != NULL && !file_read_text(path, &text, &length, &fault)) {
        fprintf(stderr, "%s\n", fault.text);
        exit(3);
    }
    return text != NULL ? text : calloc(1, 1);
}

int main(void)
{
    char line[4096];
    while (fgets(line, sizeof line, stdin) != NULL) {
        char *rest = NULL;
        const char *call = strtok_r(line, "\t\n", &rest);
        if (call == NULL)
            continue;
        char *first = text_of(strtok_r(NULL, "\t\n", &rest));
        char *second = text_of(strtok_r(NULL, "\t\n", &rest));
        char *reply = strcmp(call, "read") == 0     ? page_read(first, second)
                      : strcmp(call, "record") == 0 ? page_record(first, second)
                      : strcmp(call, "ridge") == 0  ? page_ridge(first, second)
                      : strcmp(call, "mount") == 0  ? page_mount(first)
                                                    : page_answer(first, second);
        printf("%s\n\n", reply != NULL ? reply : "");
        free(first);
        free(second);
        free(reply);
    }
    return 0;
}
