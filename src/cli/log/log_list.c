/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The list: one job a line, and between them what happened to the machines. */
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "cli/complain.h"
#include "cli/log/log_command.h"
#include "cli/prompt/screen.h"
#include "files/moment.h"
#include "files/number.h"

#define USUAL_LAST 20

/* The columns; the machine's name takes the room that the others leave. */
static const struct log_look jobs_look[] = {
    {"Job", 5, true}, {"Date", 10, false}, {"Machine", 0, false}, {"Found", 6, true},
    {"After", 6, true}, {"Goal", 7, true}, {"Verdict", 10, false}, /* with the mark for notes */
};
static const struct log_look machines_look[] = {
    {"Machine", 0, false},
    {"Jobs", 5, true},
    {"Last", 10, false},
    {"After", 6, true},
    {"Goal", 7, true},
    {"Verdict", 9, false},
    {"Due", 18, false},
};
#define ROW_SAY(words, look, ...)                                                                  \
    log_row_say(words, look, sizeof look / sizeof *look, (const char *const[]){__VA_ARGS__})

const char *log_figure(
    char text[LOG_FIGURE], const struct words *words, double ridge, const char *instead)
{
    double shown = words_shown(words, WORDS_SMALL, ridge);
    int decimals = words_ridge_decimals(words, ridge);
    double least = pow(10, -decimals);
    bool under = shown > 0.0 && shown < least / 2;
    if (isnan(ridge))
        return instead;
    text[0] = '<';
    perpend_number_format(text + 1, LOG_FIGURE - 1, under ? least : shown, decimals);
    return under ? text : text + 1;
}

const char *log_goal(
    char text[LOG_FIGURE], const struct words *words, const struct perpend_goal *goal)
{
    const bool inch = words->unit == PERPEND_UNIT_INCH;
    if (!isnan(goal->ridge) || isnan(goal->lean))
        return log_figure(text, words, goal->ridge, "-");
    char number[NUMBER_SHOWN];
    snprintf(text, LOG_FIGURE, "%s/%s",
        number_digits(number, words_shown(words, WORDS_SLOPE, goal->lean), 3), inch ? "ft" : "m");
    return text;
}

const char *log_verdict(const struct log_line *line)
{
    const char *verdict = perpend_verdict_text(line->verdict);
    return line->ending == LOG_OPEN            ? "open"
           : line->ending == LOG_GIVEN_UP      ? "given up"
           : verdict && line->measurements > 0 ? verdict
                                               : "-";
}

static void job_line(struct words *words, const struct log_line *line)
{
    char number[24], day[LOG_TIME_TEXT], found[LOG_FIGURE], left[LOG_FIGURE], goal[LOG_FIGURE],
        verdict[24];
    snprintf(number, sizeof number, "%lld", (long long)line->id);
    snprintf(verdict, sizeof verdict, "%s%s", log_verdict(line), line->notes > 0 ? "*" : "");
    ROW_SAY(words, jobs_look, number, log_day_text(day, &line->started), line->machine,
        log_figure(found, words, line->found, "-"),
        log_figure(left, words, line->left, line->left_unmeasured ? "?" : "-"),
        log_goal(goal, words, &line->goal), verdict);
}

static void note_line(struct words *words, const struct log_line *of)
{
    char day[LOG_TIME_TEXT];
    bool narrow = words->width < 72;
    log_say(words, narrow ? "      " : "       ", LOG_MACHINE_NOTE,
        SLOTS(SLOT_TEXT("day", log_day_text(day, &of->note.at)), SLOT_IF("narrow", narrow),
            SLOT_NAME("machine", of->machine), SLOT_TEXT("kind", log_note_word(of->note.kind)),
            SLOT_NAME("note", of->note.text)));
}

/* ---- who is due ------------------------------------------------------------------------------ */

/* "2026-11-04", "since 2026-11-04", "10 jobs later"; "" when the machine's file does not say. */
static bool due_of(const struct log_line *line, char text[LOG_FIGURE])
{
    const struct perpend_due after = line->due;
    const struct perpend_moment last = log_moment(&line->started);
    char due[MOMENT_TEXT], today[LOG_TIME_TEXT];
    time_t now = time(NULL);
    text[0] = '\0';
    if (after.jobs > 0)
        snprintf(text, LOG_FIGURE, "after %u %s", after.jobs, after.jobs == 1 ? "job" : "jobs");
    if (after.weeks == 0 || last.year == 0)
        return false;
    const struct perpend_moment moment = moment_after(&last, 7 * after.weeks);
    moment_text(due, &moment);
    strftime(today, sizeof today, "%Y-%m-%d", localtime(&now));
    const bool over = strcmp(due, today) <= 0;
    snprintf(text, LOG_FIGURE, "%s%.10s", over ? "since " : "", due);
    return over;
}

/* "Due: Tern since 2026-11-04, Gull since 2026-11-20." */
static bool say_due(struct log_command *command)
{
    struct log_list list;
    struct buffer due = {0};
    char text[LOG_FIGURE];
    const struct log_filter filter = {.each = true, .machine = command->machine};
    bool ok = log_list(command->book, &filter, &list, &command->fault);
    for (size_t i = 0; i < list.count; i++)
        if (due_of(&list.lines[i], text))
            fill(&command->words, &due, log_sentences[LOG_DUE_ONE],
                SLOTS(SLOT_IF("first", due.length == 0),
                    SLOT_NAME("machine", list.lines[i].machine), SLOT_TEXT("due", text)));
    log_say(&command->words, "", LOG_DUE, SLOTS(SLOT_TEXT("list", buffer_text(&due))));
    buffer_finish(&due);
    log_list_finish(&list);
    return ok;
}

static void say_under_it(struct words *words, const struct log_list *list)
{
    bool question = false, star = false, lean = false;
    for (size_t i = 0; i < list->count; i++) {
        question |= list->lines[i].left_unmeasured;
        star |= list->lines[i].notes > 0;
        lean |= isnan(list->lines[i].goal.ridge) && !isnan(list->lines[i].goal.lean);
    }
    words_gap(words);
    log_say(words, "", LOG_UNDER_LIST,
        SLOTS(SLOT_TEXT("unit", words_unit_name(words, WORDS_SMALL)), SLOT_IF("question", question),
            SLOT_IF("star", star),
            SLOT_TEXT("lean", lean ? words_unit_name(words, WORDS_SLOPE) : ""),
            SLOT_IF("cut", list->jobs < list->all), SLOT_COUNT("count", list->jobs),
            SLOT_COUNT("all", list->all)));
}

/* One unit for the whole table: that of the machines in it when they agree, else mm. */
static enum perpend_unit unit_of(const struct log_list *list)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->lines[i].id != 0 && list->lines[i].unit != PERPEND_UNIT_INCH)
            return PERPEND_UNIT_MM;
    return list->jobs > 0 ? PERPEND_UNIT_INCH : PERPEND_UNIT_MM;
}

static int print_list(struct log_command *command, const struct log_list *list)
{
    struct words *words = &command->words;
    words->unit = unit_of(list);
    if (list->jobs > 0)
        log_row_say(words, jobs_look, sizeof jobs_look / sizeof *jobs_look, NULL);
    for (size_t i = 0; i < list->count; i++)
        if (list->lines[i].id == 0)
            note_line(words, &list->lines[i]);
        else
            job_line(words, &list->lines[i]);
    if (list->jobs > 0)
        say_under_it(words, list);
    else
        log_say(words, "", LOG_NO_JOBS, NULL);
    return say_due(command) ? screen_print(words) : complain_fault(&command->fault);
}

int log_list_part(struct log_command *command)
{
    struct log_filter filter;
    struct log_list list;
    if (command->operand_count > 0)
        return complain(2, "log list: '%s' is one word too many; 'perpend log show %s' shows a job",
            command->operands[0], command->operands[0]);
    int status = log_command_filter(command, &filter);
    if (status != 0)
        return status;
    if (!command->last && !command->since && !command->until)
        filter.last = USUAL_LAST;
    filter.notes = true;
    status = log_list(command->book, &filter, &list, &command->fault)
                 ? print_list(command, &list)
                 : complain_fault(&command->fault);
    log_list_finish(&list);
    return status;
}

int log_machines_part(struct log_command *command)
{
    struct log_list list;
    struct words *words = &command->words;
    const struct log_filter filter = {.each = true};
    if (command->operand_count > 0)
        return complain(2,
            "log machines: '%s' is one word too many; 'perpend log list --machine "
            "%s' lists its jobs",
            command->operands[0], command->operands[0]);
    if (!log_list(command->book, &filter, &list, &command->fault))
        return complain_fault(&command->fault);
    words->unit = unit_of(&list);
    if (list.count > 0)
        log_row_say(words, machines_look, sizeof machines_look / sizeof *machines_look, NULL);
    else
        log_say(words, "", LOG_NO_JOBS, NULL);
    for (size_t i = 0; i < list.count; i++) {
        const struct log_line *line = &list.lines[i];
        char jobs[24], day[LOG_TIME_TEXT], left[LOG_FIGURE], goal[LOG_FIGURE], due[LOG_FIGURE];
        snprintf(jobs, sizeof jobs, "%zu", line->jobs);
        (void)due_of(line, due);
        ROW_SAY(words, machines_look, line->machine, jobs, log_day_text(day, &line->started),
            log_figure(left, words, line->left, line->left_unmeasured ? "?" : "-"),
            log_goal(goal, words, &line->goal), log_verdict(line), due);
    }
    log_list_finish(&list);
    return screen_print(words);
}
