/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words on a screen: how wide they are, what they turn to without UTF-8, where lines end. */
#include <string.h>

#include "text/escape.h"
#include "text/words.h"

static size_t columns_of(const char *text, size_t length)
{
    size_t columns = 0;
    struct character c;
    for (const char *end = text + length; text < end && (c = character_at(text)).bytes > 0;
         text += c.bytes)
        columns += character_columns(c.code);
    return columns;
}

size_t words_columns(const char *text)
{
    return columns_of(text, strlen(text));
}

void words_name(struct buffer *phrase, const char *name)
{
    if (buffer_text_is_lost(name))
        buffer_add(phrase, name);
    while (name && *name) {
        struct character character = character_at(name);
        if (character.code == CHARACTER_BROKEN || turns_line(character.code))
            buffer_add(phrase, "?");
        else
            buffer_add_bytes(phrase, name, character.bytes);
        name += character.bytes;
    }
}

static const char *in_ascii(int32_t code)
{
    static const struct {
        int32_t code;
        const char *text;
    } signs[] = {{0xB0, " deg"}, {0xB1, "+/-"}, {0xB5, "u"}, {0xD7, "x"}, {0x2013, "-"},
        {0x2014, "-"}, {0x2019, "'"}, {0x2026, "..."}, {0x2212, "-"}, {0x2264, "<="},
        {0x2265, ">="}, {0x2500, "-"}, {0x2502, "|"}, {0x250C, "+"}, {0x2510, "+"}, {0x2514, "+"},
        {0x2518, "+"}};
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++)
        if (signs[i].code == code)
            return signs[i].text;
    return "?";
}

void words_encode(const struct words *words, struct buffer *out, const char *phrase)
{
    if (words->utf8 || buffer_text_is_lost(phrase)) {
        buffer_add(out, phrase);
        return;
    }
    while (*phrase) {
        struct character character = character_at(phrase);
        if (character.code >= 0 && character.code < 0x80)
            buffer_add_bytes(out, phrase, 1);
        else if (character_columns(character.code) > 0)
            buffer_add(out, in_ascii(character.code));
        phrase += character.bytes;
    }
}

/* The state of one paragraph being set. */
struct setting {
    struct buffer *out;
    size_t indent, width, column;
    bool fresh; /* nothing on the line yet but its indent */
};

static void next_line(struct setting *setting)
{
    buffer_add(setting->out, "\n");
    setting->column = 0;
    setting->fresh = true;
}

static void set_blanks(struct setting *setting, size_t count)
{
    setting->column += count;
    for (; count > 0; count--)
        buffer_add(setting->out, " ");
}

static void set_word(struct setting *setting, const char *word, size_t length, size_t blanks)
{
    size_t columns = columns_of(word, length);
    size_t whole_line = setting->width > setting->indent ? setting->width - setting->indent : 1;
    const char *glue = columns > whole_line ? memchr(word, WORDS_GLUE[0], length) : NULL;
    if (glue != NULL) { /* rather between glued parts than inside one */
        size_t first = (size_t)(glue - word);
        set_word(setting, word, first, blanks);
        set_word(setting, glue + 1, length - first - 1, 1);
        return;
    }
    if (!setting->fresh && setting->column + blanks + columns > setting->width)
        next_line(setting);
    /* the indent only when something follows, so that no line ends in blanks */
    if (setting->column == 0)
        set_blanks(setting, setting->indent);
    else if (!setting->fresh)
        set_blanks(setting, blanks);
    for (size_t i = 0; i < length;) {
        struct character character = character_at(word + i);
        size_t wide = character_columns(character.code);
        if (!setting->fresh && setting->column + wide > setting->width) {
            next_line(setting);
            set_blanks(setting, setting->indent);
        }
        bool glued = word[i] == WORDS_GLUE[0];
        buffer_add_bytes(setting->out, glued ? " " : word + i, character.bytes);
        setting->column += wide;
        setting->fresh = false;
        i += character.bytes;
    }
}

void words_wrap(const struct words *words, struct buffer *out, unsigned width, const char *lead,
    const char *text)
{
    struct buffer plain = {0}, plain_lead = {0};
    words_encode(words, &plain, text);
    words_encode(words, &plain_lead, lead);
    struct setting setting = {.out = out,
        .indent = words_columns(buffer_text(&plain_lead)),
        .width = width,
        .fresh = true};
    for (const char *c = buffer_text(&plain_lead); *c; c++)
        buffer_add_bytes(out, *c == WORDS_GLUE[0] ? " " : c, 1);
    setting.column = setting.indent;
    for (const char *at = buffer_text(&plain); *at;) {
        size_t blanks = strspn(at, " ");
        at += blanks;
        size_t length = strcspn(at, " \n");
        if (length > 0)
            set_word(&setting, at, length, blanks);
        at += length;
        if (*at == '\n') {
            next_line(&setting);
            at++;
        }
    }
    buffer_add(out, "\n");
    if (plain.failed || plain_lead.failed)
        out->failed = true;
    buffer_finish(&plain);
    buffer_finish(&plain_lead);
}

void words_paragraph(struct words *words, const char *lead, const char *text)
{
    words_wrap(words, &words->out, words->width, lead, text);
}

void words_strong(struct words *words, const char *text)
{
    buffer_add(&words->out, words->bold ? "\033[1m" : "");
    words_paragraph(words, "", text);
    buffer_add(&words->out, words->bold ? "\033[m" : "");
}

void words_gap(struct words *words)
{
    const struct buffer *out = &words->out;
    if (out->length == 0)
        return;
    if (out->length == 1 || strcmp(out->bytes + out->length - 2, "\n\n") != 0)
        buffer_add(&words->out, "\n");
}
