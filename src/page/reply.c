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

bool reply_read(const char *text, const struct mapping *mapping, void *into, struct json *json)
{
    struct fault fault = {0};
    struct reader reader;
    reader_start(&reader, mapping->what, &fault);
    const yaml_node_t *root = text_check(text, strlen(text), mapping->what, &fault)
                                  ? read_root(&reader, text, strlen(text))
                                  : NULL;
    const bool read = root != NULL && read_map(&reader, mapping, root, into);
    if (root != NULL)
        yaml_document_delete(&reader.document);
    return read || reply_fault(json, mapping->what, &fault);
}

/* One line, however long: the browser breaks it. */
struct words reply_wording(enum perpend_unit unit)
{
    return (struct words){.unit = unit, .width = 100000u, .utf8 = true};
}

void reply_words(struct json *json, const char *key, struct words *words)
{
    const char *text = buffer_text(&words->out);
    size_t length = strlen(text);
    while (length > 0 && text[length - 1] == '\n')
        length--;
    if (length > 0)
        words->out.bytes[length] = '\0';
    json_add(json, "%s: %s", key, length > 0 ? text : NULL);
    buffer_finish(&words->out);
}

void reply_figure(struct json *json, const char *key, const char *id, struct figure *figure)
{
    struct buffer svg = {0};
    if (figure != NULL)
        figure_svg(figure, id, false, &svg);
    json_add(json, "%s: %s", key, figure != NULL && !svg.failed ? buffer_text(&svg) : NULL);
    json->text.failed = json->text.failed || svg.failed;
    buffer_finish(&svg);
    figure_destroy(figure);
}
