/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words on a screen: how wide they are, what they turn to without UTF-8, where lines end. */
#include <stdint.h>
#include <string.h>

#include "words.h"

/* One code point and the bytes it takes; broken UTF-8 gives one byte and `bad`. */
struct character {
    uint32_t code;
    size_t bytes;
    bool bad;
};

static struct character read_character(const char *text)
{
    const unsigned char *byte = (const unsigned char *)text;
    struct character bad = {'?', 1, true};
    if (byte[0] < 0x80)
        return (struct character){byte[0], 1, false};
    size_t more = byte[0] >= 0xF0 && byte[0] <= 0xF4   ? 3
                  : byte[0] >= 0xE0 && byte[0] <= 0xEF ? 2
                  : byte[0] >= 0xC2 && byte[0] <= 0xDF ? 1
                                                       : 0;
    if (more == 0)
        return bad;
    uint32_t code = byte[0] & (0x3Fu >> more);
    for (size_t i = 1; i <= more; i++) {
        if ((byte[i] & 0xC0) != 0x80)
            return bad;
        code = (code << 6) | (byte[i] & 0x3Fu);
    }
    static const uint32_t least[] = {0, 0x80, 0x800, 0x10000};
    if (code < least[more] || code > 0x10FFFF || (code >= 0xD800 && code <= 0xDFFF))
        return bad;
    return (struct character){code, more + 1, false};
}

struct span {
    uint32_t first, last;
};

static bool within(uint32_t code, const struct span *spans, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (code >= spans[i].first && code <= spans[i].last)
            return true;
    return false;
}

/* Columns of one character: marks that sit on the one before take none, the wide scripts two
   (Unicode Standard Annex 11, the blocks in common use). */
static size_t character_columns(uint32_t code)
{
    static const struct span none[] = {{0x0300, 0x036F}, {0x0483, 0x0489}, {0x0591, 0x05BD},
        {0x0610, 0x061A}, {0x064B, 0x065F}, {0x0670, 0x0670}, {0x200B, 0x200F}, {0x2060, 0x2064},
        {0x20D0, 0x20F0}, {0xFE00, 0xFE0F}, {0xFE20, 0xFE2F}};
    static const struct span wide[] = {{0x1100, 0x115F}, {0x2E80, 0x303E}, {0x3041, 0xA4CF},
        {0xA960, 0xA97C}, {0xAC00, 0xD7A3}, {0xF900, 0xFAFF}, {0xFE30, 0xFE6F}, {0xFF00, 0xFF60},
        {0xFFE0, 0xFFE6}, {0x1F300, 0x1F64F}, {0x1F680, 0x1F6FF}, {0x1F900, 0x1F9FF},
        {0x20000, 0x3FFFD}};
    if (within(code, none, sizeof none / sizeof none[0]))
        return 0;
    return within(code, wide, sizeof wide / sizeof wide[0]) ? 2 : 1;
}

size_t words_columns(const char *text)
{
    size_t columns = 0;
    while (*text) {
        struct character character = read_character(text);
        columns += character_columns(character.code);
        text += character.bytes;
    }
    return columns;
}

/* Characters that could move the cursor or turn the line round have no place in a name. */
static bool is_control(uint32_t code)
{
    static const struct span controls[] = {
        {0x00, 0x1F}, {0x7F, 0x9F}, {0x2028, 0x202E}, {0x2066, 0x2069}};
    return within(code, controls, sizeof controls / sizeof controls[0]);
}

void words_name(struct buffer *phrase, const char *name)
{
    if (buffer_text_is_lost(name))
        buffer_add(phrase, name);
    while (name && *name) {
        struct character character = read_character(name);
        if (character.bad || is_control(character.code))
            buffer_add(phrase, "?");
        else
            buffer_add_bytes(phrase, name, character.bytes);
        name += character.bytes;
    }
}

static const char *in_ascii(uint32_t code)
{
    static const struct {
        uint32_t code;
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
        struct character character = read_character(phrase);
        if (character.code < 0x80 && !character.bad)
            buffer_add_bytes(out, phrase, 1);
        else if (character_columns(character.code) > 0)
            buffer_add(out, in_ascii(character.code));
        phrase += character.bytes;
    }
}

/* Add bytes with the glue turned to blanks. */
static void add_unglued(struct buffer *out, const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++)
        buffer_add_bytes(out, text[i] == WORDS_GLUE[0] ? " " : &text[i], 1);
}

/* A word that is wider than a whole line: as much of it as fits, at least one character. */
static size_t bytes_that_fit(const char *word, size_t length, size_t room)
{
    size_t bytes = 0, columns = 0;
    while (bytes < length) {
        struct character character = read_character(word + bytes);
        columns += character_columns(character.code);
        if (columns > room && bytes > 0)
            break;
        bytes += character.bytes;
    }
    return bytes < length ? bytes : length;
}

static size_t columns_of(const char *text, size_t length)
{
    size_t columns = 0;
    for (size_t i = 0; i < length;) {
        struct character character = read_character(text + i);
        columns += character_columns(character.code);
        i += character.bytes;
    }
    return columns;
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

static void set_bytes(struct setting *setting, const char *text, size_t length)
{
    /* the indent only when something follows, so that no line ends in blanks */
    if (setting->column == 0)
        for (; setting->column < setting->indent; setting->column++)
            buffer_add(setting->out, " ");
    add_unglued(setting->out, text, length);
    setting->column += columns_of(text, length);
    setting->fresh = false;
}

static void set_word(struct setting *setting, const char *word, size_t length, size_t blanks)
{
    size_t columns = columns_of(word, length);
    if (!setting->fresh && setting->column + blanks + columns > setting->width)
        next_line(setting);
    if (!setting->fresh)
        for (size_t i = 0; i < blanks; i++)
            set_bytes(setting, " ", 1);
    size_t whole_line = setting->width > setting->indent ? setting->width - setting->indent : 1;
    while (columns_of(word, length) > whole_line) {
        size_t bytes = bytes_that_fit(word, length, whole_line);
        if (bytes == length)
            break;
        /* rather between glued parts than inside one */
        size_t cut = bytes;
        while (cut > 0 && word[cut] != WORDS_GLUE[0])
            cut--;
        set_bytes(setting, word, cut > 0 ? cut : bytes);
        next_line(setting);
        bytes = cut > 0 ? cut + 1 : bytes;
        word += bytes;
        length -= bytes;
    }
    set_bytes(setting, word, length);
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
    add_unglued(out, buffer_text(&plain_lead), plain_lead.length);
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

void words_gap(struct words *words)
{
    const struct buffer *out = &words->out;
    if (out->length == 0)
        return;
    if (out->length == 1 || strcmp(out->bytes + out->length - 2, "\n\n") != 0)
        buffer_add(&words->out, "\n");
}
