/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The words that work at the readings and at what was done: one table for what they do, which of them
   work now, what help says of them, and what is named when a line is none of them. */
#include "cli/sweep/session.h"

#include <stdio.h>
#include <string.h>

#include "files/names.h"

static bool has_mount(const struct session *session)
{
    return session_machine(session)->mount.joint_count > 0;
}

static bool has_no_mount(const struct session *session)
{
    return !has_mount(session);
}

static bool has_steps(const struct session *session)
{
    struct answer_about about = session_about(session);
    return answer_has_steps(session_measurement(session)) && !answer_readings_doubtful(&about);
}

static bool has_several_steps(const struct session *session)
{
    return has_steps(session) && session_measurement(session)->plan.step_count > 1;
}

static bool has_answer(const struct session *session)
{
    return session->solved;
}

/* Words that are a state of their own. */
static enum next sweep_again(struct session *session, const char *rest)
{
    (void)session;
    (void)rest;
    return NEXT_AGAIN;
}

static enum next sweep_more(struct session *session, const char *rest)
{
    (void)session;
    (void)rest;
    return NEXT_ADD;
}

static enum next end_job(struct session *session, const char *rest)
{
    (void)session;
    (void)rest;
    return NEXT_END;
}

static const struct word {
    const char *names; /* parted by blanks, the first being the one that is shown */
    enum place_of_word place;
    bool named;                                   /* with the question, not in its help alone */
    bool takes_rest;                              /* something stands behind it, or may */
    bool (*works)(const struct session *session); /* NULL: always */
    enum next (*run)(struct session *session, const char *rest);
    enum session_sentence help; /* SESSION_SENTENCES: another word's tells of it */
} words[] = {
    {"done planned yes ok y", AT_DID, true, false, has_steps, session_did_plan, HELP_DONE},
    {"skip", AT_DID, false, true, has_several_steps, session_did_without, HELP_SKIP},
    {"other", AT_DID, true, false, has_mount, session_did_other, HELP_OTHER},
    {"changed", AT_DID, true, false, has_no_mount, session_did_changed, HELP_CHANGED},
    {"nothing", AT_DID, true, false, NULL, session_did_nothing, HELP_NOTHING},
    {"add", AT_DID, true, false, NULL, sweep_more, HELP_ADD},
    {"again", AT_DID, false, false, NULL, sweep_again, HELP_AGAIN},
    {"end", AT_DID, true, false, NULL, end_job, HELP_END},
    {"again", AT_READINGS, false, true, NULL, session_repeat, HELP_AGAIN_HERE},
    {"skip", AT_READINGS, false, false, NULL, session_skip_bearing, HELP_SKIP_HERE},
    {"done", AT_READINGS, false, false, NULL, session_skip_missing, HELP_DONE_HERE},
    {"bearings", AT_READINGS, false, true, NULL, session_other_bearings, HELP_BEARINGS},
    {"cut", AT_BOTH, false, false, NULL, session_cut, HELP_CUT},
    {"undo", AT_BOTH, false, true, NULL, session_undo, HELP_UNDO},
    {"list", AT_BOTH, false, false, NULL, session_list, HELP_LIST},
    {"plan", AT_BOTH, false, false, has_answer, session_plan, HELP_PLAN},
    {"print", AT_BOTH, false, true, has_answer, session_print, SESSION_SENTENCES},
    {"more", AT_BOTH, true, false, has_answer, session_more, HELP_MORE},
    {"bit corner stepover depth goal stock", AT_BOTH, false, true, NULL, NULL, HELP_CHANGE},
};
enum { WORDS_THERE = sizeof words / sizeof *words };

static bool works(const struct session *session, const struct word *word, enum place_of_word place)
{
    return (word->place & place) != 0 && (word->works == NULL || word->works(session));
}

/* The name of a word that a line begins with, and what stands behind it; NULL for none. */
static const char *name_in(const struct word *word, const char *line, char name[32])
{
    for (const char *at = word->names; *at != '\0'; at += strspn(at, " ")) {
        size_t length = strcspn(at, " ");
        memcpy(name, at, length);
        name[length] = '\0';
        const char *rest = word_then(line, name);
        if (rest != NULL && (rest[0] == '\0' || word->takes_rest))
            return rest;
        at += length;
    }
    return NULL;
}

bool session_obey(
    struct session *session, const char *line, enum place_of_word place, enum next *next)
{
    char name[32];
    for (size_t i = 0; i < WORDS_THERE; i++) {
        const struct word *word = &words[i];
        const char *rest = works(session, word, place) ? name_in(word, line, name) : NULL;
        if (rest == NULL)
            continue;
        *next = word->run != NULL ? word->run(session, rest)
                                  : session_change(session, name, rest, place);
        return true;
    }
    return false;
}

void session_add_words(const struct session *session, struct buffer *phrase,
    enum place_of_word place, const char *standing)
{
    for (size_t i = 0; i < WORDS_THERE; i++) {
        const struct word *word = &words[i];
        if (!works(session, word, place) ||
            (standing != NULL && (!word->named || word_then(word->names, standing) != NULL)))
            continue;
        for (const char *at = word->names; *at != '\0'; at += strspn(at, " ")) {
            size_t length = strcspn(at, " ");
            buffer_add(phrase, phrase->length > 0 ? ", " : "");
            buffer_add_bytes(phrase, at, length);
            at += word->run != NULL ? strlen(at) : length; /* the others mean the same */
        }
    }
    buffer_add(phrase, standing == NULL ? ", note, help, stop" : "");
}

enum next session_refuse_line(struct session *session, const char *line, enum place_of_word place)
{
    struct buffer taken = {0};
    char start[32];
    snprintf(start, sizeof start, "%.30s", line);
    session_add_words(session, &taken, place, NULL);
    session_say(session, NO_WORD,
        SLOTS(SLOT_TEXT("typed", start), SLOT_IF("reading", place == AT_READINGS),
            SLOT_TEXT("words", buffer_text(&taken))));
    buffer_finish(&taken);
    return place == AT_READINGS ? NEXT_READ : NEXT_DID;
}

void session_add_help(const struct session *session, struct buffer *help, enum place_of_word place)
{
    enum { MOST = WORDS_THERE + 4 };
    enum session_sentence lines[MOST];
    size_t count = 0;
    lines[count++] = place == AT_READINGS ? HELP_BEARING : HELP_CORRECT;
    if (session->solved)
        lines[count++] = HELP_SWEEP;
    for (size_t i = 0; i < WORDS_THERE; i++)
        if (works(session, &words[i], place) && words[i].help != SESSION_SENTENCES)
            lines[count++] = words[i].help;
    lines[count++] = HELP_NOTE;
    lines[count++] = HELP_STOP;
    for (size_t i = 0; i < count; i++) {
        const char *line = session_sentences[lines[i]], *tab = strchr(line, '\t');
        buffer_addf(help, "\n  %-14.*s%s\t%s", (int)(tab - line), line, tab - line > 14 ? " " : "",
            tab + 1);
    }
}
