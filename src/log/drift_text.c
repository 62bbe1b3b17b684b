/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Drift in plain words. */
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/units.h>

#include "book.h"

/* More than this many notes since the last job are not read. */
#define NOTES_NAMED 4

/* Text that grows; NULL once memory is out. */
struct words {
    char *text;
    size_t length;
    bool failed;
};

static void say(struct words *words, const char *text)
{
    size_t length = strlen(text);
    char *grown = words->failed ? NULL : realloc(words->text, words->length + length + 1);
    if (!grown) {
        words->failed = true;
        return;
    }
    words->text = grown;
    memcpy(grown + words->length, text, length + 1);
    words->length += length;
}

static void say_job(struct words *words, int64_t job, const struct log_time *at)
{
    char text[80];
    char when[LOG_TIME_TEXT];
    log_time_text(when, at);
    when[strcspn(when, " ")] = '\0';
    snprintf(text, sizeof text, "job %lld (%s)", (long long)job, when);
    say(words, text);
}

/* 1 mm/m is 12 thou/ft: the same ratio, 304.8 mm to the foot and 0.0254 mm to the thou. */
static void say_size(struct words *words, double slope, enum perpend_unit unit)
{
    char text[48];
    bool inch = unit == PERPEND_UNIT_INCH;
    perpend_number_format(text, sizeof text, slope * (inch ? 12000.0 : 1000.0), inch ? 1 : 2);
    say(words, text);
    say(words, inch ? " thou/ft" : " mm/m");
}

static void say_slope(struct words *words, struct perpend_slope slope, enum perpend_unit unit)
{
    double size = perpend_slope_size(slope);
    say_size(words, size, unit);
    if (size * (unit == PERPEND_UNIT_INCH ? 12000.0 : 1000.0) <
        (unit == PERPEND_UNIT_INCH ? 0.05 : 0.005))
        return; /* no way worth a name */
    say(words, " toward the ");
    say(words, perpend_bearing_nearest(perpend_slope_toward(slope)));
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

static void say_notes(struct words *words, const struct log_drift *drift)
{
    size_t skip = drift->note_count > NOTES_NAMED ? drift->note_count - NOTES_NAMED : 0;
    for (size_t i = skip; i < drift->note_count; i++) {
        char when[LOG_TIME_TEXT];
        log_time_text(when, &drift->notes[i].at);
        when[strcspn(when, " ")] = '\0';
        say(words, i > skip   ? "; "
                   : skip > 0 ? " The latest in the log: "
                              : " In the log since then: ");
        say(words, note_title(drift->notes[i].kind));
        say(words, " (");
        say(words, when);
        say(words, "): ");
        size_t from = words->length;
        say(words, drift->notes[i].text);
        for (size_t c = from; c < words->length && !words->failed; c++)
            if ((unsigned char)words->text[c] < ' ')
                words->text[c] = ' ';
    }
    if (drift->note_count > 0)
        say(words, ".");
}

static void say_change(struct words *words, const struct log_drift *drift, enum perpend_unit unit)
{
    const struct perpend_drift *change = &drift->drift;
    say(words, "Left by ");
    say_job(words, drift->before, &drift->left_at);
    say(words, drift->includes_bed ? ": spindle and bed together " : ": a lean of ");
    say_slope(words, drift->left.lean, unit);
    say(words, ". Found this time: ");
    say_slope(words, drift->found.lean, unit);
    say(words, ". The change, ");
    say_slope(words, change->change, unit);
    if (change->beyond) {
        say(words, ", is more than the uncertainty of the two measurements explains (");
        say_size(words, change->explained, unit);
        say(words, drift->includes_bed ? "): the spindle or the bed has moved."
                                       : "): the spindle has moved.");
    } else {
        say(words, ", is no more than the uncertainty of the two measurements explains (");
        say_size(words, change->explained, unit);
        say(words, "): no drift seen.");
    }
}

char *log_drift_text(const struct log_drift *drift, enum perpend_unit unit)
{
    struct words words = {NULL, 0, false};
    if (drift->before == 0) {
        say(&words, "No earlier measurement of this machine is in the log to compare with.");
    } else if (drift->left_unmeasured) {
        say(&words, "The last job, ");
        say_job(&words, drift->before, &drift->left_at);
        say(&words,
            ", ended on an adjustment with no sweep after it, so what it left is not known.");
    } else if (!drift->comparable) {
        say(&words, "The last job, ");
        say_job(&words, drift->before, &drift->left_at);
        say(&words,
            drift->left.includes_bed
                ? ", measured the spindle and the bed together, this one the spindle alone"
                : ", measured the spindle alone, this one the spindle and the bed together");
        say(&words, ", so the two cannot be compared.");
    } else {
        say_change(&words, drift, unit);
    }
    if (drift->before != 0)
        say_notes(&words, drift);
    if (words.failed) {
        free(words.text);
        return NULL;
    }
    return words.text;
}
