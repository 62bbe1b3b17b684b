/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "page/reply.h"

#include <stdlib.h>
#include <string.h>

/* The readers say "NAME:LINE: what is wrong"; beside its field that is all but the place. */
bool reply_fault(struct json *json, const char *in, const struct fault *fault)
{
    const char *text = fault->text;
    size_t name = strlen(in);
    long long line = 0;
    if (strncmp(text, in, name) == 0 && text[name] == ':') {
        char *end;
        line = strtoll(text + name + 1, &end, 10);
        text = end + strspn(end, ": ");
    }
    json_add(json, "error: {");
    json_add(json, "in: %s", in);
    json_add(json, "line: %lld", line);
    json_add(json, "text: %s", text);
    json_add(json, "}");
    return false;
}
