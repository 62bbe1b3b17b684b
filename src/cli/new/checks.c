/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <perpend/mount.h>
#include <perpend/ridge.h>
#include <perpend/status.h>

#include "files/files.h"
#include "files/mount_file.h"
#include "files/names.h"
#include "files/number.h"
#include "cli/new/questions.h"
#include "text/words.h"

__attribute__((format(printf, 3, 4))) static bool wrong(
    char *complaint, size_t size, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(complaint, size, format, arguments);
    va_end(arguments);
    return false;
}

bool check_name(const char *answer, void *context, char *complaint, size_t size)
{
    (void)context;
    return (int)words_columns(answer) <= 60 ||
           wrong(complaint, size, "A name of at most 60 letters, please.");
}

static bool length_of(
    const char *answer, enum perpend_unit unit, double *mm, char *complaint, size_t size)
{
    const char *like = unit == PERPEND_UNIT_INCH ? "0.05, 3/8 or 1.2 mm" : "0.5, 0,5 or 20 thou";
    enum perpend_status status = perpend_length_parse(answer, unit, mm);
    if (status == PERPEND_ERR_UNIT)
        return wrong(complaint, size,
            "Not a unit known here in \"%.40s\"; mm, cm, um, in, \" and thou are. Like %s.", answer,
            like);
    return status == PERPEND_OK ||
           wrong(complaint, size, "\"%.40s\" is not a length; type it like %s.", answer, like);
}

void print_length(char *buffer, size_t size, enum perpend_unit unit, double mm)
{
    char digits[48];
    double shown = unit == PERPEND_UNIT_INCH ? mm / PERPEND_MM_PER_INCH : mm;
    int decimals = 0;
    while (decimals < 5 && fabs(shown) < 1000 / pow(10, decimals + 1))
        decimals++;
    snprintf(buffer, size, "%s %s", words_trimmed(digits, sizeof digits, shown, decimals),
        unit == PERPEND_UNIT_INCH ? "in" : "mm");
}

bool check_length(const char *answer, void *opaque, char *complaint, size_t size)
{
    const struct check_context *context = opaque;
    const struct answer *allowed = &context->row->answer;
    enum perpend_unit unit = draft_unit(context->draft);
    char least[64], most[64];
    double mm;
    if (allowed->none && same_word(answer, "none"))
        return true;
    if (!length_of(answer, unit, &mm, complaint, size))
        return false;
    if (mm >= allowed->least && mm <= allowed->most)
        return true;
    print_length(least, sizeof least, unit, allowed->least);
    print_length(most, sizeof most, unit, allowed->most);
    if (strncmp(least, "0 ", 2) == 0 && allowed->least > 0)
        return wrong(complaint, size, "It must be more than 0, and at most %s.", most);
    return wrong(complaint, size, "It must be from %s to %s.", least, most);
}

bool check_stepover(const char *answer, void *opaque, char *complaint, size_t size)
{
    const struct check_context *context = opaque;
    const struct draft *draft = context->draft;
    struct perpend_cutter cutter = {
        draft_length(draft, DRAFT_CUTTER, 0), draft_length(draft, DRAFT_CORNER, 0)};
    double stepover, ridge;
    if (strchr(answer, '%') != NULL) {
        if (!share_parse(answer, &stepover))
            return wrong(complaint, size, "\"%.40s\" is not a share; type it like 45%%.", answer);
        stepover *= cutter.diameter;
    } else if (!length_of(answer, draft_unit(draft), &stepover, complaint, size)) {
        return false;
    }
    if (stepover <= 0)
        return wrong(complaint, size, "It must be more than 0.");
    return (stepover < cutter.diameter && perpend_ridge_height((struct perpend_slope){0}, &cutter,
                                              stepover, PERPEND_ALONG_X, &ridge) == PERPEND_OK) ||
           wrong(
               complaint, size, "That is more than the bit cuts: stripes would be left standing.");
}

bool check_angle(const char *answer, void *opaque, char *complaint, size_t size)
{
    double degrees;
    (void)opaque;
    return (perpend_number_parse(answer, &degrees) == PERPEND_OK && degrees >= 0 &&
               degrees <= LEVER_ANGLE_MOST) ||
           wrong(complaint, size, "Type degrees from 0 to %d, such as 15.", (int)LEVER_ANGLE_MOST);
}

/* "1/4-20", "#10-24": a size and the turns to the inch. */
static bool inch_thread(const char *answer)
{
    struct perpend_bolt bolt = {0};
    return thread_parse(answer, &bolt) && bolt.thread > 0 && bolt.thread <= 50 &&
           bolt.pitch >= PERPEND_MM_PER_INCH / 100 && bolt.pitch <= PERPEND_MM_PER_INCH / 4;
}

bool check_thread(const char *answer, void *opaque, char *complaint, size_t size)
{
    const struct check_context *context = opaque;
    bool screws = draft_is(context->draft, DRAFT_SHAPE, context->joint, "screws");
    struct perpend_bolt bolt = {0};
    double mm, pitch;
    if (answer[0] == 'M' || answer[0] == 'm')
        return (thread_parse(answer, &bolt) &&
                   perpend_coarse_pitch(bolt.thread, &pitch) == PERPEND_OK) ||
               wrong(complaint, size,
                   "\"%.40s\" is not a size known here; M2 to M16 are, such as M5.", answer);
    bool width = !screws &&
                 perpend_length_parse(answer, draft_unit(context->draft), &mm) == PERPEND_OK &&
                 mm >= 1 && mm <= 50;
    return width || inch_thread(answer) ||
           wrong(complaint, size, "\"%.40s\" is not a size; type it like M5 or 1/4-20%s.", answer,
               screws ? "" : ", or the width, like 5 mm");
}

bool check_hole(const char *answer, void *opaque, char *complaint, size_t size)
{
    const struct check_context *context = opaque;
    double thread = draft_thread(context->draft, context->joint), mm;
    if (same_word(answer, "usual"))
        return perpend_clearance_hole(thread, &mm) == PERPEND_OK ||
               wrong(complaint, size,
                   "There is no usual hole on record for that thread; measure it.");
    return length_of(answer, draft_unit(context->draft), &mm, complaint, size) &&
           ((mm >= thread && mm <= 2 * thread + 10) ||
               wrong(complaint, size, "The hole must be wider than the bolt, and not by much."));
}

bool check_leaf(const char *answer, void *opaque, char *complaint, size_t size)
{
    const struct check_context *context = opaque;
    enum perpend_unit unit = draft_unit(context->draft);
    struct leaves leaves;
    return answer[0] == '\0' || same_word(answer, "none") ||
           draft_leaf_parse(answer, unit, &leaves) ||
           wrong(complaint, size,
               "Type thickness, x, how many, and a name if you like: %s. Enter alone when done.",
               unit == PERPEND_UNIT_INCH ? "0.002 x 8 brass" : "0.05 x 8 brass");
}
