/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/drift_words.h"
#include "text/sentences.h"

/* More than this many notes since the last job are not read. */
#define NOTES_NAMED 4

/* To a hundredth of a mm/m, a tenth of a thou/ft; behind its way where that is worth a name. */
static void add_slope(
    const struct words *words, struct buffer *phrase, double size, const char *toward)
{
    int decimals = words->unit == PERPEND_UNIT_INCH ? 1 : 2;
    double shown = words_shown(words, WORDS_SLOPE, size);
    fill(words, phrase, sentences[DRIFT_SLOPE],
        SLOTS(SLOT_NUMBER("size", shown, decimals),
            SLOT_TEXT("unit", words_unit_name(words, WORDS_SLOPE)),
            SLOT_TEXT("toward", shown < (decimals == 1 ? 0.05 : 0.005) ? "" : toward)));
}

/* Notes on one line, with nothing in them that a terminal would act on. */
static void add_notes(const struct words *words, struct buffer *text, const struct log_drift *drift)
{
    static const int kinds[] = {
        [LOG_CRASH] = 1, [LOG_NEW_BIT] = 2, [LOG_MOVED] = 3, [LOG_REPAIR] = 4};
    size_t skip = drift->note_count > NOTES_NAMED ? drift->note_count - NOTES_NAMED : 0;
    struct buffer notes = {0}, line = {0};
    for (size_t i = skip; i < drift->note_count; i++) {
        const struct log_note *note = &drift->notes[i];
        char day[LOG_TIME_TEXT];
        buffer_clear(&line);
        for (const char *c = note->text; *c; c++)
            buffer_add_bytes(&line, (unsigned char)*c < ' ' ? " " : c, 1);
        buffer_add(&notes, i > skip ? "; " : "");
        fill(words, &notes, sentences[DRIFT_NOTE],
            SLOTS(SLOT_CHOICE("kind",
                      (size_t)note->kind < sizeof kinds / sizeof *kinds ? kinds[note->kind] : 0),
                SLOT_TEXT("day", log_day_text(day, &note->at)),
                SLOT_NAME("note", buffer_text(&line))));
    }
    if (drift->note_count > 0)
        fill_next(words, text, sentences[DRIFT_NOTES],
            SLOTS(SLOT_IF("skipped", skip > 0), SLOT_TEXT("notes", buffer_text(&notes))));
    buffer_finish(&notes);
    buffer_finish(&line);
}

static const char *toward(struct perpend_slope slope)
{
    return perpend_bearing_nearest(perpend_slope_toward(slope));
}

char *drift_text(const struct log_drift *drift, enum perpend_unit unit)
{
    const struct words words = {.unit = unit};
    struct buffer text = {0}, job = {0}, left = {0}, found = {0}, change = {0};
    char day[LOG_TIME_TEXT];
    enum sentence sentence = drift->before == 0       ? DRIFT_FIRST_JOB
                             : drift->left_unmeasured ? DRIFT_UNMEASURED
                             : !drift->comparable     ? DRIFT_NOT_ALIKE
                                                      : DRIFT_CHANGE;
    if (drift->before != 0)
        fill(&words, &job, sentences[DRIFT_JOB],
            SLOTS(SLOT_COUNT("number", drift->before),
                SLOT_TEXT("day", log_day_text(day, &drift->left_at))));
    bool bed = sentence == DRIFT_NOT_ALIKE && drift->left.includes_bed, beyond = false;
    if (sentence == DRIFT_CHANGE) {
        bed = drift->includes_bed;
        beyond = drift->drift.beyond;
        struct perpend_slope changed = drift->drift.change;
        add_slope(&words, &left, perpend_slope_size(drift->left.lean), toward(drift->left.lean));
        add_slope(&words, &found, perpend_slope_size(drift->found.lean), toward(drift->found.lean));
        add_slope(&words, &change, perpend_slope_size(changed), toward(changed));
    }
    fill(&words, &text, sentences[sentence],
        SLOTS(SLOT_TEXT("job", buffer_text(&job)), SLOT_IF("bed", bed),
            SLOT_TEXT("left", buffer_text(&left)), SLOT_TEXT("found", buffer_text(&found)),
            SLOT_TEXT("change", buffer_text(&change)), SLOT_IF("beyond", beyond)));
    if (drift->before != 0)
        add_notes(&words, &text, drift);
    buffer_finish(&job);
    buffer_finish(&left);
    buffer_finish(&found);
    buffer_finish(&change);
    return buffer_take(&text);
}
