/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/mount.h>
#include <perpend/ridge.h>
#include <perpend/status.h>

#include "files/files.h"
#include "files/mount_file.h"
#include "files/names.h"
#include "cli/new/new_table.h"
#include "files/number.h"
#include "text/words.h"

bool check_name(const char *answer, void *context, char *complaint, size_t size)
{
    (void)context;
    if ((int)words_columns(answer) <= 60)
        return true;
    snprintf(complaint, size, "A name of at most 60 letters, please.");
    return false;
}

/* What is wrong with a length that could not be read. */
static void complain_of_length(enum perpend_status status, const char *answer,
    enum perpend_unit unit, char *complaint, size_t size)
{
    const char *like = unit == PERPEND_UNIT_INCH ? "0.05, 3/8 or 1.2 mm" : "0.5, 0,5 or 20 thou";
    if (status == PERPEND_ERR_UNIT) {
        snprintf(complaint, size,
            "Not a unit known here in \"%.40s\"; mm, cm, um, in, \" and thou are. Like %s.", answer,
            like);
    } else {
        snprintf(complaint, size, "\"%.40s\" is not a length; type it like %s.", answer, like);
    }
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
    const struct step *step = context->step;
    enum perpend_unit unit = draft_unit(context->draft);
    double mm;
    if (step->none && same_word(answer, "none"))
        return true;
    enum perpend_status status = perpend_length_parse(answer, unit, &mm);
    if (status != PERPEND_OK) {
        complain_of_length(status, answer, unit, complaint, size);
        return false;
    }
    if (mm < step->least || mm > step->most) {
        char least[64];
        char most[64];
        print_length(least, sizeof least, unit, step->least);
        print_length(most, sizeof most, unit, step->most);
        if (strncmp(least, "0 ", 2) == 0 && step->least > 0)
            snprintf(complaint, size, "It must be more than 0, and at most %s.", most);
        else
            snprintf(complaint, size, "It must be from %s to %s.", least, most);
        return false;
    }
    return true;
}

bool check_stepover(const char *answer, void *opaque, char *complaint, size_t size)
{
    const struct check_context *context = opaque;
    enum perpend_unit unit = draft_unit(context->draft);
    struct perpend_cutter cutter = {0};
    double stepover;
    double ridge;
    perpend_length_parse(draft_answer(context->draft, DRAFT_CUTTER, 0), unit, &cutter.diameter);
    perpend_length_parse(draft_answer(context->draft, DRAFT_CORNER, 0), unit, &cutter.corner);
    if (strchr(answer, '%') != NULL) {
        if (!share_parse(answer, &stepover)) {
            snprintf(complaint, size, "\"%.40s\" is not a share; type it like 45%%.", answer);
            return false;
        }
        stepover *= cutter.diameter;
    } else {
        enum perpend_status status = perpend_length_parse(answer, unit, &stepover);
        if (status != PERPEND_OK) {
            complain_of_length(status, answer, unit, complaint, size);
            return false;
        }
    }
    if (stepover <= 0) {
        snprintf(complaint, size, "It must be more than 0.");
        return false;
    }
    if (stepover >= cutter.diameter || perpend_ridge_height((struct perpend_slope){0}, &cutter,
                                           stepover, PERPEND_ALONG_X, &ridge) != PERPEND_OK) {
        snprintf(
            complaint, size, "That is more than the bit cuts: stripes would be left standing.");
        return false;
    }
    return true;
}

bool check_angle(const char *answer, void *opaque, char *complaint, size_t size)
{
    double degrees;
    (void)opaque;
    if (perpend_number_parse(answer, &degrees) != PERPEND_OK || degrees < 0 ||
        degrees > LEVER_ANGLE_MOST) {
        snprintf(complaint, size, "Type degrees from 0 to %d, such as 15.", (int)LEVER_ANGLE_MOST);
        return false;
    }
    return true;
}

/* "1/4-20", "#10-24": a size and the turns to the inch. */
static bool inch_thread(const char *answer, struct perpend_bolt *bolt)
{
    return thread_parse(answer, bolt) && bolt->thread > 0 && bolt->thread <= 50 &&
           bolt->pitch >= PERPEND_MM_PER_INCH / 100 && bolt->pitch <= PERPEND_MM_PER_INCH / 4;
}

bool check_thread(const char *answer, void *opaque, char *complaint, size_t size)
{
    const struct check_context *context = opaque;
    bool screws = draft_is(context->draft, DRAFT_SHAPE, context->joint, "screws");
    struct perpend_bolt bolt = {0};
    double mm;
    double pitch;
    if (answer[0] == 'M' || answer[0] == 'm') {
        if (thread_parse(answer, &bolt) && perpend_coarse_pitch(bolt.thread, &pitch) == PERPEND_OK)
            return true;
        snprintf(complaint, size, "\"%.40s\" is not a size known here; M2 to M16 are, such as M5.",
            answer);
        return false;
    }
    if (inch_thread(answer, &bolt))
        return true;
    if (screws || perpend_length_parse(answer, draft_unit(context->draft), &mm) != PERPEND_OK ||
        mm < 1 || mm > 50) {
        snprintf(complaint, size, "\"%.40s\" is not a size; type it like M5 or 1/4-20%s.", answer,
            screws ? "" : ", or the width, like 5 mm");
        return false;
    }
    return true;
}

double thread_width(const struct draft *draft, size_t joint)
{
    const char *answer = draft_answer(draft, DRAFT_THREAD, joint);
    struct perpend_bolt bolt = {0};
    if (!thread_parse(answer, &bolt))
        perpend_length_parse(answer, draft_unit(draft), &bolt.thread);
    return bolt.thread;
}

bool check_hole(const char *answer, void *opaque, char *complaint, size_t size)
{
    const struct check_context *context = opaque;
    double thread = thread_width(context->draft, context->joint);
    double mm;
    if (same_word(answer, "usual")) {
        if (perpend_clearance_hole(thread, &mm) == PERPEND_OK)
            return true;
        snprintf(complaint, size, "There is no usual hole on record for that thread; measure it.");
        return false;
    }
    enum perpend_status status = perpend_length_parse(answer, draft_unit(context->draft), &mm);
    if (status != PERPEND_OK) {
        complain_of_length(status, answer, draft_unit(context->draft), complaint, size);
        return false;
    }
    if (mm < thread || mm > 2 * thread + 10) {
        snprintf(complaint, size, "The hole must be wider than the bolt, and not by much.");
        return false;
    }
    return true;
}

bool check_leaf(const char *answer, void *opaque, char *complaint, size_t size)
{
    const struct check_context *context = opaque;
    struct leaves leaves;
    if (answer[0] == '\0' || same_word(answer, "none") ||
        draft_leaf_parse(answer, draft_unit(context->draft), &leaves))
        return true;
    snprintf(complaint, size,
        "Type thickness, x, how many, and a name if you like: %s. Enter alone when done.",
        draft_unit(context->draft) == PERPEND_UNIT_INCH ? "0.002 x 8 brass" : "0.05 x 8 brass");
    return false;
}
