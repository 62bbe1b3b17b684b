/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/prompt/move_words.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "cli/prompt/leaves.h"
#include "files/names.h"

#define MOST_MM 50.0
#define MOST_TURNS 50.0

/* "0.5", "4 x 0.05", "-4 × 0.05 mm brass": the last as the plan says it. */
static bool part_parse(const char *part, enum perpend_unit unit, double *mm)
{
    struct leaves leaves;
    part += strspn(part, " ");
    if (!leaves_has_times(part))
        return perpend_length_parse(part, unit, mm) == PERPEND_OK;
    double sign = part[0] == '-' ? -1 : 1;
    if (!leaves_parse(part + (sign < 0 ? 1 : 0), unit, LEAVES_COUNT_FIRST, &leaves))
        return false;
    *mm = sign * leaves.count * leaves.thick;
    return true;
}

bool stack_parse(const char *text, enum perpend_unit unit, double *mm)
{
    char copy[128];
    double sum = 0;
    if (strlen(text) >= sizeof copy)
        return false;
    snprintf(copy, sizeof copy, "%s", text);
    char *part = copy;
    while (part != NULL) {
        double one;
        char *next = strchr(part + 1, '+');
        if (next != NULL)
            *next++ = '\0';
        if (part[0] == '\0' || !part_parse(part, unit, &one))
            return false;
        sum += one;
        part = next;
    }
    *mm = round(sum * 1e9) / 1e9; /* 7 x 0.05 is 0.35 */
    return fabs(sum) <= MOST_MM;
}

bool slide_parse(const char *text, enum perpend_unit unit, struct perpend_point *slide)
{
    static const char *const words[] = {"right", "left", "back", "front", "forward", "up", "down"};
    struct perpend_point sum = {0, 0, 0};
    const char *at = text;
    double mm;
    if (perpend_length_parse(text, unit, &mm) == PERPEND_OK && mm == 0) {
        *slide = sum;
        return true;
    }
    while (*at != '\0') {
        char length[64];
        char word[16];
        size_t digits = strcspn(at, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ\"");
        size_t end = digits;
        size_t found = sizeof words / sizeof *words;
        /* the unit, if any, up to the word that tells the way */
        while (at[end] != '\0' && found == sizeof words / sizeof *words) {
            size_t letters = 0;
            while (isalpha((unsigned char)at[end + letters]))
                letters++;
            snprintf(word, sizeof word, "%.*s", (int)letters, at + end);
            for (size_t i = 0; i < sizeof words / sizeof *words; i++)
                found = letters < sizeof word && same_word(word, words[i]) ? i : found;
            if (found == sizeof words / sizeof *words) {
                end += letters > 0 ? letters : 1;
            } else if (end >= sizeof length) {
                return false;
            } else {
                snprintf(length, sizeof length, "%.*s", (int)end, at);
                at += end + letters;
                at += strspn(at, " ,");
                break;
            }
        }
        if (found == sizeof words / sizeof *words ||
            perpend_length_parse(length, unit, &mm) != PERPEND_OK || fabs(mm) > MOST_MM)
            return false;
        double signs[] = {1, -1, 1, -1, -1, 1, -1};
        double *axis = found < 2 ? &sum.right : found < 5 ? &sum.back : &sum.up;
        *axis += signs[found] * mm;
    }
    *slide = sum;
    return text[0] != '\0';
}

/* The last word of a text is cut off and told; "" when there is none behind a number. */
static void cut_word(char *text, char *word, size_t size)
{
    size_t end = strlen(text);
    while (end > 0 && text[end - 1] == ' ')
        end--;
    size_t start = end;
    while (start > 0 && !isdigit((unsigned char)text[start - 1]) && text[start - 1] != ' ' &&
           text[start - 1] != '.')
        start--;
    snprintf(word, size, "%.*s", (int)(end - start), text + start);
    text[start] = '\0';
}

/* "0.86 turn in (308°)", as the plan says it: what is in brackets is cut off and told; false when they
   do not match. */
static bool cut_bracket(char *text, char *inside, size_t size)
{
    char *open = strchr(text, '(');
    char *close = strchr(text, ')');
    inside[0] = '\0';
    if (open == NULL && close == NULL)
        return true;
    if (open == NULL || close == NULL || close < open ||
        close[1 + strspn(close + 1, " ")] != '\0' || strchr(open + 1, '(') != NULL)
        return false;
    snprintf(inside, size, "%.*s", (int)(close - open - 1), open + 1);
    *open = '\0';
    return inside[0] != '\0';
}

bool turns_parse(const char *text, double *turns)
{
    char copy[64], word[16], inside[64];
    double sign = 1, per = 1, number, again;
    if (strlen(text) >= sizeof copy)
        return false;
    snprintf(copy, sizeof copy, "%s", text);
    if (!cut_bracket(copy, inside, sizeof inside))
        return false;
    for (;;) {
        cut_word(copy, word, sizeof word);
        if (same_word(word, "out"))
            sign = -sign;
        else if (same_word(word, "deg") || same_word(word, "degrees") || strcmp(word, "°") == 0)
            per = 360;
        else if (!same_word(word, "in") && !same_word(word, "turn") && !same_word(word, "turns"))
            break;
    }
    if (word[0] != '\0' || perpend_number_parse(copy, &number) != PERPEND_OK)
        return false;
    *turns = sign * number / per;
    /* one figure put right and the other forgotten is no answer */
    if (inside[0] != '\0' &&
        (!turns_parse(inside, &again) || fabs(fabs(again) - fabs(*turns)) > 0.01))
        return false;
    return fabs(*turns) <= MOST_TURNS;
}
