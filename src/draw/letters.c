/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include <utf8proc.h>

#include "draw/letters.h"
#include "text/escape.h"
#include "text/words.h"

#define ELLIPSIS "…"

double letter_size(enum letter letter)
{
    static const double sizes[LETTER_COUNT] = {12, 12, 13, 13, 16, 26};
    return sizes[letter];
}

bool letter_bold(enum letter letter)
{
    return letter != LETTER_SMALL && letter != LETTER_PLAIN;
}

double letter_leading(enum letter letter)
{
    return (letter == LETTER_HEAD ? 1.2 : 1.3) * letter_size(letter);
}

/* Advance widths in hundredths of the letter's size, ' ' to '~', regular and bold: the larger of
   Noto Sans and DejaVu Sans, the narrowest and the widest face that Debian sets for sans-serif. */
static const unsigned char ascii[2][95] = {
    {32, 41, 46, 84, 64, 95, 78, 28, 39, 39, 56, 84, 32, 37, 32, 38, 64, 64, 64, 64, 64, 64, 64, 64,
        64, 64, 34, 34, 84, 84, 84, 54, 100, 69, 69, 70, 77, 64, 58, 78, 76, 34, 30, 66, 56, 91, 76,
        79, 61, 79, 70, 64, 62, 74, 69, 99, 69, 62, 69, 39, 38, 39, 84, 50, 50, 62, 64, 54, 64, 57,
        36, 64, 64, 28, 28, 58, 28, 98, 64, 57, 64, 64, 42, 53, 40, 64, 60, 82, 60, 60, 53, 64, 56,
        64, 84},
    {35, 46, 53, 84, 70, 101, 88, 31, 46, 46, 55, 84, 38, 42, 38, 42, 70, 70, 70, 70, 70, 70, 70,
        70, 70, 70, 40, 40, 84, 84, 84, 58, 100, 78, 77, 74, 83, 69, 69, 83, 84, 39, 38, 78, 64,
        100, 84, 85, 74, 85, 77, 72, 69, 82, 78, 111, 78, 73, 73, 46, 42, 46, 84, 50, 50, 68, 72,
        60, 72, 68, 44, 72, 72, 35, 35, 67, 35, 105, 72, 69, 72, 72, 50, 60, 48, 72, 66, 93, 65, 66,
        59, 72, 56, 72, 84},
};

/** Of a character that the table lacks: by the widest of its kind in the same faces. */
static double other_width(int32_t code, bool bold)
{
    int32_t parts[16];
    int class = 0;
    const bool letter =
        code > 0 && utf8proc_decompose_char(code, parts, 16, UTF8PROC_DECOMPOSE, &class) > 1;
    if (code == 0xa0) /* no-break space */
        return ascii[bold][0];
    if (letter && parts[0] >= ' ' && parts[0] < 0x7f) /* é is as wide as e */
        return ascii[bold][parts[0] - ' '];
    if (character_columns(code) != 1)
        return 50.0 * (double)character_columns(code);
    switch (utf8proc_category(code)) {
    case UTF8PROC_CATEGORY_LL:
        return bold ? 112 : 98;
    case UTF8PROC_CATEGORY_LU:
    case UTF8PROC_CATEGORY_LT:
        return bold ? 133 : 112;
    case UTF8PROC_CATEGORY_LO:
    case UTF8PROC_CATEGORY_LM: /* Hebrew is narrower than Arabic and the rest */
        return code < 0x600 ? (bold ? 90 : 84) : (bold ? 140 : 125);
    case UTF8PROC_CATEGORY_SM:
        return 84;
    default:
        return code == 0xb0 ? 50 : 104; /* the sign of degrees */
    }
}

static double advance(enum letter letter, int32_t code)
{
    const bool bold = letter_bold(letter);
    const double hundredths =
        code >= ' ' && code < 0x7f ? ascii[bold][code - ' '] : other_width(code, bold);
    return hundredths / 100 * letter_size(letter);
}

double text_width(enum letter letter, const char *text)
{
    double width = 0;
    for (struct character c; (c = character_at(text)).bytes > 0; text += c.bytes)
        width += advance(letter, c.code);
    return width;
}

/** Whether a line may end between two characters that no blank parts: beside a character of a script
 *  without blanks, and behind a hyphen in a word. */
static bool may_part(int32_t earlier, int32_t before, int32_t after)
{
    const utf8proc_category_t kind = utf8proc_category(after);
    const bool wide = character_columns(before) == 2 || character_columns(after) == 2;
    if (before == '-') /* not in --full */
        return earlier != '-' && earlier != ' ' &&
               (kind == UTF8PROC_CATEGORY_LL || kind == UTF8PROC_CATEGORY_LU);
    return wide && kind != UTF8PROC_CATEGORY_PE && kind != UTF8PROC_CATEGORY_PF &&
           kind != UTF8PROC_CATEGORY_PO && utf8proc_category(before) != UTF8PROC_CATEGORY_PS;
}

size_t text_line(enum letter letter, const char *text, double most, size_t *next)
{
    size_t words = 0; /* bytes up to the last blank */
    size_t part = 0;  /* up to where the line may end, and where the next would begin */
    size_t begin = 0;
    size_t whole = 0; /* up to the last whole character with its marks */
    double width = 0;
    int32_t earlier = ' ', before = ' ';
    int32_t state = 0;
    size_t at = 0;
    for (struct character c; (c = character_at(text + at)).bytes > 0; at += c.bytes) {
        const bool apart = utf8proc_grapheme_break_stateful(before, c.code, &state);
        if (c.code == '\n') {
            *next = at + 1;
            return before == ' ' ? words : at;
        }
        if (c.code == ' ' && before != ' ')
            words = at;
        if (at > 0 && before == ' ' && c.code != ' ') {
            part = words;
            begin = at;
        } else if (at > 0 && c.code != ' ' && apart && may_part(earlier, before, c.code)) {
            part = begin = at;
        }
        if (apart)
            whole = at;
        width += advance(letter, c.code);
        if (c.code != ' ' && width > most && whole > 0) {
            *next = begin > 0 ? begin : whole;
            return begin > 0 ? part : whole;
        }
        earlier = before;
        before = c.code;
    }
    *next = at;
    return before == ' ' ? words : at;
}

void text_cut(enum letter letter, const char *text, double most, struct buffer *out)
{
    const double room = most - text_width(letter, ELLIPSIS);
    size_t kept = 0;
    size_t at = 0;
    double width = 0;
    int32_t before = 0;
    int32_t state = 0;
    if (text_width(letter, text) <= most) {
        buffer_add(out, text);
        return;
    }
    for (struct character c; (c = character_at(text + at)).bytes > 0; at += c.bytes) {
        if (width <= room && utf8proc_grapheme_break_stateful(before, c.code, &state) &&
            before != ' ')
            kept = at;
        width += advance(letter, c.code);
        before = c.code;
    }
    buffer_add_bytes(out, text, kept);
    buffer_add(out, ELLIPSIS);
}

bool text_is_rtl(const char *text)
{
    int isolated = 0;
    for (struct character c; (c = character_at(text)).bytes > 0; text += c.bytes) {
        const int class = utf8proc_get_property(c.code)->bidi_class;
        isolated += c.code == 0x2068;
        isolated -= c.code == 0x2069 && isolated > 0;
        if (isolated == 0 && (class == UTF8PROC_BIDI_CLASS_R || class == UTF8PROC_BIDI_CLASS_AL))
            return true;
        if (isolated == 0 && class == UTF8PROC_BIDI_CLASS_L)
            return false;
    }
    return false;
}

void text_print(const char *text, bool lines, struct buffer *out)
{
    int32_t before = ' ';
    if (text == NULL || buffer_text_is_lost(text)) {
        out->failed = true;
        return;
    }
    for (struct character c; (c = character_at(text)).bytes > 0; text += c.bytes) {
        const bool first = before == ' ' || before == '(' || before == WORDS_GLUE[0];
        if (c.code == WORDS_GLUE[0])
            buffer_add(out, "\xc2\xa0");
        else if (c.code == '-' && first && text[1] >= '0' && text[1] <= '9')
            buffer_add(out, "−");
        else if (c.code == CHARACTER_BROKEN)
            buffer_add(out, "\xef\xbf\xbd");
        else if (utf8proc_category(c.code) == UTF8PROC_CATEGORY_CC && !(lines && c.code == '\n'))
            buffer_add(out, " ");
        else
            buffer_add_bytes(out, text, c.bytes);
        before = c.code;
    }
}

/* Over and within differ in lightness as well as in hue, so grey print and most colour-blind eyes
   keep them apart; open and filled shapes differ besides. */
void ink_colour(enum ink ink, bool dark, char colour[8])
{
    static const char colours[INK_COUNT][2][8] = {
        [INK_NONE] = {"#000000", "#000000"},
        [INK_TEXT] = {"#17202a", "#e9e7e2"},
        [INK_SOFT] = {"#4d5661", "#abb0b6"},
        [INK_GRID] = {"#c3c8ce", "#3a3f46"},
        [INK_OVER] = {"#a3420a", "#e8913f"},
        [INK_WITHIN] = {"#0b4a7a", "#b5dff7"},
        [INK_MEETS] = {"#e3edf5", "#1d3140"},
        [INK_BAND] = {"#eceae5", "#2b2d31"},
        [INK_PAPER] = {"#ffffff", "#16181b"},
    };
    memcpy(colour, colours[ink][dark], 8);
}
