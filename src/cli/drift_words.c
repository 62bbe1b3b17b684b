/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>

#include "cli/drift_words.h"
#include "text/words.h"

/* More than this many notes since the last job are not read. */
#define NOTES_NAMED 4

static void say_job(struct buffer *text, int64_t job, const struct log_time *at)
{
    char day[LOG_TIME_TEXT];
    buffer_addf(text, "job %lld (%s)", (long long)job, log_day_text(day, at));
}

/* To a hundredth of a mm/m, a tenth of a thou/ft. */
static int slope_decimals(enum perpend_unit unit)
{
    return unit == PERPEND_UNIT_INCH ? 1 : 2;
}

static void say_size(struct buffer *text, double slope, enum perpend_unit unit)
{
    const struct words words = {.unit = unit};
    buffer_add_number(text, words_shown(&words, WORDS_SLOPE, slope), slope_decimals(unit));
    buffer_addf(text, " %s", words_unit_name(&words, WORDS_SLOPE));
}

static void say_slope(struct buffer *text, struct perpend_slope slope, enum perpend_unit unit)
{
    const struct words words = {.unit = unit};
    double size = perpend_slope_size(slope);
    say_size(text, size, unit);
    if (words_shown(&words, WORDS_SLOPE, size) < (slope_decimals(unit) == 1 ? 0.05 : 0.005))
        return; /* no way worth a name */
    buffer_addf(text, " toward the %s", perpend_bearing_nearest(perpend_slope_toward(slope)));
}

static const char *note_title(enum log_note_kind kind)
{
    switch (kind) {
    case LOG_CRASH:
        return "a crash";
    case LOG_NEW_BIT:
        return "a new bit";
    case LOG_MOVED:
        return "a move";
    case LOG_REPAIR:
        return "a repair";
    default:
        return "a note";
    }
}

/* On one line, and nothing in it that a terminal would act on. */
static void say_note(struct buffer *text, const char *note)
{
    struct buffer line = {0};
    for (const char *c = note; *c; c++)
        buffer_add_bytes(&line, (unsigned char)*c < ' ' ? " " : c, 1);
    words_name(text, buffer_text(&line));
    buffer_finish(&line);
}

static void say_notes(struct buffer *text, const struct log_drift *drift)
{
    size_t skip = drift->note_count > NOTES_NAMED ? drift->note_count - NOTES_NAMED : 0;
    for (size_t i = skip; i < drift->note_count; i++) {
        const struct log_note *note = &drift->notes[i];
        char day[LOG_TIME_TEXT];
        buffer_add(text, i > skip   ? "; "
                         : skip > 0 ? " The latest in the log: "
                                    : " In the log since then: ");
        buffer_addf(text, "%s (%s): ", note_title(note->kind), log_day_text(day, &note->at));
        say_note(text, note->text);
    }
    if (drift->note_count > 0)
        buffer_add(text, ".");
}

static void say_change(struct buffer *text, const struct log_drift *drift, enum perpend_unit unit)
{
    const struct perpend_drift *change = &drift->drift;
    buffer_add(text, "Left by ");
    say_job(text, drift->before, &drift->left_at);
    buffer_add(text, drift->includes_bed ? ": spindle and bed together " : ": a lean of ");
    say_slope(text, drift->left.lean, unit);
    buffer_add(text, ". Found this time: ");
    say_slope(text, drift->found.lean, unit);
    buffer_add(text, ". The change, ");
    say_slope(text, change->change, unit);
    buffer_add(text, change->beyond
                         ? ", is more than the uncertainty of the two measurements explains ("
                         : ", is no more than the uncertainty of the two measurements explains (");
    say_size(text, change->explained, unit);
    buffer_add(text, !change->beyond       ? "): no drift seen."
                     : drift->includes_bed ? "): the spindle or the bed has moved."
                                           : "): the spindle has moved.");
}

char *drift_text(const struct log_drift *drift, enum perpend_unit unit)
{
    struct buffer text = {0};
    if (drift->before == 0) {
        buffer_add(&text, "No earlier measurement of this machine is in the log to compare with.");
    } else if (drift->left_unmeasured) {
        buffer_add(&text, "The last job, ");
        say_job(&text, drift->before, &drift->left_at);
        buffer_add(&text,
            ", ended on an adjustment with no sweep after it, so what it left is not known.");
    } else if (!drift->comparable) {
        buffer_add(&text, "The last job, ");
        say_job(&text, drift->before, &drift->left_at);
        buffer_add(
            &text, drift->left.includes_bed
                       ? ", measured the spindle and the bed together, this one the spindle alone"
                       : ", measured the spindle alone, this one the spindle and the bed together");
        buffer_add(&text, ", so the two cannot be compared.");
    } else {
        say_change(&text, drift, unit);
    }
    if (drift->before != 0)
        say_notes(&text, drift);
    if (text.failed)
        buffer_finish(&text);
    return text.bytes;
}
