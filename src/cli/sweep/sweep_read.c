/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One reading a line: taken, checked, into the log, and only then said to be kept. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "files/names.h"
#include "cli/sweep/sweep_session.h"

#define LARGEST 1000.0 /* mm; no reading is larger */

/* What the readings at one bearing come to. */
struct at_bearing {
    size_t count;
    double mean;
    const struct log_reading *last;
};

static struct at_bearing readings_at(const struct session *session, size_t place)
{
    const struct log_sweep *sweep = session_sweep(session);
    struct at_bearing at = {.count = 0};
    for (size_t i = 0; i < sweep->reading_count; i++) {
        const struct log_reading *reading = &sweep->readings[i];
        if (reading->counts && session_place(session, reading->reading.bearing) == place) {
            at.mean += reading->reading.value;
            at.last = reading;
            at.count++;
        }
    }
    if (at.count > 0)
        at.mean /= (double)at.count;
    return at;
}

/* The next bearing without a reading; bearing_count when all are done. */
static size_t next_place(const struct session *session)
{
    size_t place = 0;
    while (place < session->bearing_count &&
           (session->skipped[place] || readings_at(session, place).count > 0))
        place++;
    return place;
}

/* Show what has been read in the sweep at hand. */
static void show_turn(struct session *session, size_t next)
{
    struct plan_view_place places[PLAN_VIEW_PLACES] = {{.bearing = 0}};
    struct buffer text = {0};
    for (size_t i = 0; i < session->bearing_count; i++) {
        struct at_bearing at = readings_at(session, i);
        struct plan_view_place *place = &places[i];
        char *said = place->said;
        char mean[48];
        place->bearing = session->bearings[i];
        snprintf(said, sizeof place->said, "%s",
            session->skipped[i] ? "left out"
            : i == next         ? "next"
                                : "");
        if (at.count > 0) {
            session_reading(session, at.mean, false, mean, sizeof mean);
            int length = snprintf(said, sizeof place->said, "%.15s", mean);
            if (at.count > 1)
                length +=
                    snprintf(said + length, sizeof place->said - (size_t)length, " x%zu", at.count);
            if (i == next)
                snprintf(said + length, sizeof place->said - (size_t)length, " ?");
        }
    }
    plan_view_add(&text, places, session->bearing_count, next, dialogue_utf8(session->dialogue));
    dialogue_space(session->dialogue);
    dialogue_show(session->dialogue, buffer_text(&text));
    buffer_finish(&text);
}

/* ---- one line ------------------------------------------------------------------------------ */

enum line_kind {
    LINE_READING, /* value at place, instead of what is there */
    LINE_UNDO,
    LINE_AGAIN,
    LINE_SKIP,
    LINE_LIST,
    LINE_DONE,
    LINE_GO,    /* to place */
    LINE_COUNT, /* other bearings, as typed */
    LINE_ENTER  /* nothing typed, all looked over */
};

struct line {
    enum line_kind kind;
    size_t place;
    double value;
    size_t times; /* of undo */
    char typed[64];
};

struct line_context {
    struct session *session;
    size_t place; /* the one asked for; bearing_count for none */
    struct line *line;
};

static bool refuse(char *complaint, size_t size, const char *text)
{
    snprintf(complaint, size, "%s", text);
    return false;
}

static bool check_value(
    struct line_context *context, const char *text, char *complaint, size_t size)
{
    const struct perpend_machine *machine = session_machine(context->session);
    struct line *line = context->line;
    enum perpend_status status = perpend_length_parse(text, machine->unit, &line->value);
    if (status == PERPEND_ERR_UNIT)
        return refuse(complaint, size, "Not a unit known here; mm, cm, um, in, \" and thou are.");
    if (status != PERPEND_OK) {
        snprintf(complaint, size,
            "\"%.30s\" is not a reading; type it like 0.5, 0,5 or 20 thou. help lists the words.",
            text);
        return false;
    }
    if (fabs(line->value) > LARGEST)
        return refuse(complaint, size,
            machine->unit == PERPEND_UNIT_INCH
                ? "That is too much for a reading. For thousandths type thou behind it."
                : "That is too much for a reading.");
    if (machine->setup.gauge.kind == PERPEND_GAUGE_GAP && line->value < 0) {
        return refuse(
            complaint, size, "A gap cannot be less than nothing; type it without the minus.");
    }
    if (context->place == context->session->bearing_count)
        return refuse(complaint, size, "At which bearing? Type it in front, like left 0.45.");
    line->kind = LINE_READING;
    line->place = context->place;
    snprintf(line->typed, sizeof line->typed, "%s", text);
    return true;
}

/* "left" or "left 0.45"; false when the line does not begin with a bearing's name. */
static bool names_bearing(struct line_context *context, const char *answer, const char **rest)
{
    char word[32];
    double bearing;
    size_t length = strcspn(answer, " :=");
    if (length >= sizeof word || perpend_number_parse(answer, &bearing) == PERPEND_OK)
        return false;
    snprintf(word, sizeof word, "%.*s", (int)length, answer);
    /* a name, not degrees: those would look like a reading; "90deg" will do */
    if (strspn(word, "0123456789.,-+") == length ||
        perpend_bearing_parse(word, &bearing) != PERPEND_OK)
        return false;
    if (!session_add_bearing(context->session, bearing))
        return false;
    context->place = session_place(context->session, bearing);
    *rest = answer + length + strspn(answer + length, " :=");
    return true;
}

static bool check_undo(const struct session *session, const char *rest, struct line *line,
    char *complaint, size_t size)
{
    double times = 1;
    size_t there = log_sweep_counted(session_sweep(session));
    if (rest[0] != '\0' &&
        (perpend_number_parse(rest, &times) != PERPEND_OK || times < 1 || times != floor(times)))
        return refuse(complaint, size, "undo takes back one reading, undo 2 the last two.");
    if (times > (double)there) {
        snprintf(
            complaint, size, "There %s only %zu to take back.", there == 1 ? "is" : "are", there);
        return false;
    }
    line->kind = LINE_UNDO;
    line->times = (size_t)times;
    return true;
}

static bool check_again(
    struct line_context *context, const char *rest, char *complaint, size_t size)
{
    const struct session *session = context->session;
    const struct log_sweep *sweep = session_sweep(session);
    double bearing;
    context->line->kind = LINE_AGAIN;
    if (rest[0] != '\0') {
        size_t place = session->bearing_count;
        if (perpend_bearing_parse(rest, &bearing) == PERPEND_OK)
            place = session_place(session, bearing);
        if (place == session->bearing_count || readings_at(session, place).count == 0)
            return refuse(complaint, size, "There is no reading yet to repeat at that bearing.");
        context->line->place = place;
        return true;
    }
    for (size_t i = sweep->reading_count; i-- > 0;) {
        if (sweep->readings[i].counts) {
            context->line->place = session_place(session, sweep->readings[i].reading.bearing);
            return true;
        }
    }
    return refuse(complaint, size, "There is no reading yet to repeat.");
}

static bool check_line(const char *answer, void *opaque, char *complaint, size_t size)
{
    struct line_context context = *(struct line_context *)opaque;
    struct session *session = context.session;
    struct line *line = context.line;
    const char *rest;
    memset(line, 0, sizeof *line);
    line->place = context.place;
    if ((rest = word_then(answer, "undo")) != NULL)
        return check_undo(session, rest, line, complaint, size);
    if ((rest = word_then(answer, "again")) != NULL)
        return check_again(&context, rest, complaint, size);
    if (answer[0] == '\0') {
        line->kind = LINE_ENTER;
        return true;
    }
    if (same_word(answer, "skip") && context.place < session->bearing_count) {
        line->kind = LINE_SKIP;
        return true;
    }
    if (same_word(answer, "list")) {
        line->kind = LINE_LIST;
        return true;
    }
    if (same_word(answer, "done")) {
        line->kind = LINE_DONE;
        return true;
    }
    if (session_names_bearings(answer)) {
        if (log_sweep_counted(session_sweep(session)) > 0)
            return refuse(complaint, size,
                "That goes before the first reading; now skip or done leave bearings out, and a "
                "bearing in front of a reading adds one.");
        line->kind = LINE_COUNT;
        snprintf(line->typed, sizeof line->typed, "%s", answer);
        return true;
    }
    if (names_bearing(&context, answer, &rest)) {
        if (rest[0] != '\0')
            return check_value(&context, rest, complaint, size);
        line->kind = LINE_GO;
        line->place = context.place;
        return true;
    }
    return check_value(&context, answer, complaint, size);
}

/* ---- what a line does ---------------------------------------------------------------------- */

static void say_kept(struct session *session, const char *word, size_t place, double value)
{
    char name[48];
    char shown[64];
    plan_view_name(name, sizeof name, session->bearings[place], dialogue_utf8(session->dialogue));
    session_reading(session, value, true, shown, sizeof shown);
    dialogue_say(session->dialogue, "%s: %s %s", word, name, shown);
}

/* Into the log first, then onto the screen. */
static enum course keep_reading(struct session *session, const struct line *line, bool repeat)
{
    struct at_bearing at = readings_at(session, line->place);
    bool correct = at.count > 0 && !repeat;
    bool keep;
    enum course course =
        session_make_sure(session, line->place, line->value, correct, line->typed, &keep);
    if (course != COURSE_ON || !keep)
        return course;
    if (!session_open(session))
        return COURSE_FAIL;
    const struct log_sweep *sweep = session_sweep(session);
    struct perpend_reading reading = {
        .bearing = session->bearings[line->place],
        .value = line->value,
        .x = sweep->x,
        .y = sweep->y,
    };
    bool done = correct ? log_reading_correct(session->book, at.last->id, &reading, line->typed,
                              NULL, &session->fault)
                        : log_reading_accept(session->book, sweep->id, &reading, line->typed, NULL,
                              &session->fault);
    if (!done || !session_load(session))
        return COURSE_FAIL;
    session->skipped[line->place] = false;
    say_kept(session, correct ? "corrected" : "kept", line->place, line->value);
    return COURSE_ON;
}

static enum course take_back(struct session *session, size_t times)
{
    for (; times > 0; times--) {
        const struct log_sweep *sweep = session_sweep(session);
        size_t last = sweep->reading_count;
        while (last > 0 && !sweep->readings[last - 1].counts)
            last--;
        if (last == 0)
            break;
        if (sweep->did_kind != PERPEND_DID_UNSTATED && log_sweep_counted(sweep) == 1) {
            dialogue_say(session->dialogue,
                "The last one stays, as something was done after this sweep; correct it instead.");
            break;
        }
        struct log_reading reading = sweep->readings[last - 1];
        size_t place = session_place(session, reading.reading.bearing);
        double value = reading.reading.value;
        if (!log_reading_withdraw(session->book, reading.id, NULL, &session->fault) ||
            !session_load(session))
            return COURSE_FAIL;
        for (size_t i = place; i < session->bearing_count; i++)
            session->skipped[i] = false;
        say_kept(session, "taken back", place, value);
    }
    return COURSE_ON;
}

static void list_readings(struct session *session)
{
    const struct log_sweep *sweep = session_sweep(session);
    dialogue_space(session->dialogue);
    if (log_sweep_counted(sweep) == 0)
        dialogue_say(session->dialogue, "No readings in this sweep yet.");
    for (size_t i = 0; i < sweep->reading_count; i++) {
        const struct log_reading *reading = &sweep->readings[i];
        char name[48];
        char shown[64];
        plan_view_name(
            name, sizeof name, reading->reading.bearing, dialogue_utf8(session->dialogue));
        session_reading(session, reading->reading.value, true, shown, sizeof shown);
        dialogue_say(session->dialogue, "  %-11s  \t%s%s", name, shown,
            !reading->counts                ? " (taken back)"
            : reading->correction_count > 0 ? " (corrected)"
                                            : "");
    }
    dialogue_space(session->dialogue);
}

/* The question for one bearing. */
static enum heard ask_line(struct session *session, size_t place, bool again, struct line *line)
{
    struct line_context context = {.session = session, .place = place, .line = line};
    char prompt[96];
    char name[48];
    char answer[ANSWER_SIZE];
    struct question question = {
        .prompt = prompt,
        .help =
            "Type what the gauge shows with the arm at this bearing, and press Enter: 0.5, 0,5, "
            "20 thou. Turn the spindle by hand.\n"
            "  left 0.45    \tanother bearing: takes or corrects its reading\n"
            "  undo         \ttakes the last reading back; undo 2 the last two\n"
            "  again        \trepeats the last bearing, for its scatter; again left another\n"
            "  skip         \tleaves this bearing out\n"
            "  four         \tor eight, own: how many, before the first reading\n"
            "  done         \tleaves out all that are missing\n"
            "  list         \tshows what has been read\n"
            "  note ...     \tkeeps a remark in the log\n"
            "  stop         \tstops here; perpend sweep goes on from here",
        .help_is_whole = true,
        .check = check_line,
        .context = &context,
    };
    if (place == session->bearing_count) {
        snprintf(prompt, sizeof prompt, "all read; Enter for the answer, or correct one");
        question.may_be_empty = true;
    } else {
        plan_view_name(
            name, sizeof name, session->bearings[place], dialogue_utf8(session->dialogue));
        snprintf(prompt, sizeof prompt, "%zu of %zu, %s%s", place + 1, session->bearing_count, name,
            again ? ", again" : "");
    }
    return dialogue_ask(session->dialogue, &question, answer);
}

/* Whether what is there can be answered. */
static bool enough(const struct session *session)
{
    size_t places = 0;
    for (size_t i = 0; i < session->bearing_count; i++)
        places += readings_at(session, i).count > 0 ? 1 : 0;
    return places >= 3;
}

/* Do what the line says; `place` and `again` are what comes next. */
static enum course obey(
    struct session *session, const struct line *line, size_t *place, bool *again)
{
    bool was_again = *again;
    enum course course = COURSE_ON;
    *again = false;
    switch (line->kind) {
    case LINE_READING:
        course = keep_reading(session, line, was_again && line->place == *place);
        break;
    case LINE_UNDO:
        course = take_back(session, line->times);
        break;
    case LINE_AGAIN:
        *again = true;
        *place = line->place;
        return COURSE_ON;
    case LINE_GO:
        *place = line->place;
        return COURSE_ON;
    case LINE_SKIP:
        session->skipped[line->place] = readings_at(session, line->place).count == 0;
        break;
    case LINE_DONE:
        for (size_t i = 0; i < session->bearing_count; i++)
            session->skipped[i] = session->skipped[i] || readings_at(session, i).count == 0;
        break;
    case LINE_COUNT:
        course = session_change_bearings(session, line->typed);
        course = course == COURSE_BACK ? COURSE_ON : course;
        break;
    case LINE_ENTER:
        break;
    case LINE_LIST:
        list_readings(session);
        *again = was_again;
        return COURSE_ON;
    }
    if (course != COURSE_ON)
        return course;
    *place = next_place(session);
    if (*place == session->bearing_count && !enough(session)) {
        dialogue_say(session->dialogue,
            "Readings at three bearings are needed at least; those left out are asked again.");
        memset(session->skipped, 0, sizeof session->skipped);
        *place = next_place(session);
    }
    return course;
}

/* Somebody comes back to a sweep that was begun: what was read and what will be read must be of
   the same spindle at the same height. */
static void say_resumed(struct session *session)
{
    size_t counted = log_sweep_counted(session_sweep(session));
    bool touch = session_machine(session)->setup.gauge.kind == PERPEND_GAUGE_TOUCH;
    char undo[32] = "undo";
    if (counted > 1)
        snprintf(undo, sizeof undo, "undo %zu", counted);
    if (counted > 0) {
        dialogue_space(session->dialogue);
        dialogue_say(session->dialogue,
            "If %s or a bolt has moved since, type %s to take this sweep anew.",
            touch ? "the zero of Z" : "Z", undo);
    }
}

enum course session_read(struct session *session, bool review)
{
    size_t place = next_place(session);
    size_t viewed = PLAN_VIEW_PLACES + 1;
    bool again = false;
    struct line line = {.kind = LINE_LIST};
    if (session->resumed && place < session->bearing_count)
        say_resumed(session);
    session->resumed = false;
    while (place < session->bearing_count || (review && line.kind != LINE_ENTER)) {
        if (place != viewed)
            show_turn(session, place);
        viewed = place;
        enum heard heard = ask_line(session, place, again, &line);
        if (heard == HEARD_UNDO && (again || place != next_place(session))) {
            /* back from a bearing that was gone to */
            again = false;
            place = next_place(session);
            continue;
        }
        if (heard == HEARD_UNDO) {
            if (log_sweep_counted(session_sweep(session)) == 0) {
                /* to the bearings of the first sweep, or to what was done before this one */
                session->drafted = false;
                session->ask_again = session_read_sweep(session) != NULL;
                if (session->ask_again)
                    session_bearings_back(session);
                return COURSE_BACK;
            }
            line = (struct line){.kind = LINE_UNDO, .times = 1};
        } else if (heard != HEARD_ANSWER) {
            return COURSE_STOP;
        }
        enum course course = obey(session, &line, &place, &again);
        if (line.kind != LINE_LIST && line.kind != LINE_ENTER)
            viewed = PLAN_VIEW_PLACES + 1; /* there is something new to see */
        if (course != COURSE_ON)
            return course;
    }
    if (viewed != session->bearing_count)
        show_turn(session, session->bearing_count);
    return COURSE_ON;
}
