/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The list: one job a line, and between them what happened to the machines. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "cli/complain.h"
#include "cli/log/log_command.h"
#include "cli/prompt/screen.h"

#define USUAL_LAST 20

/* The columns; the machine's name takes the room that the others leave. */
enum column { JOB, DATE, MACHINE, FOUND, LEFT, GOAL, VERDICT, COLUMNS };
static const struct {
    const char *heading;
    unsigned width;
    bool right; /* figures stand at the right */
} columns[COLUMNS] = {
    {"Job", 5, true}, {"Date", 10, false}, {"Machine", 0, false}, {"Found", 6, true},
    {"Left", 6, true}, {"Goal", 6, true}, {"Verdict", 10, false}, /* with the mark for notes */
};

/* A text in so many columns, cut to them. */
static void add_cell(struct words *words, const char *text, unsigned width, bool right, bool last)
{
    struct buffer cut = {0};
    words_name(&cut, text);
    size_t length = cut.length, taken = words_columns(buffer_text(&cut));
    while (taken > width && length > 0) {
        /* take one character off, and show that something is missing */
        do
            length--;
        while (length > 0 && ((unsigned char)cut.bytes[length] & 0xC0) == 0x80);
        cut.bytes[length] = '\0';
        taken = words_columns(cut.bytes) + 2;
        cut.length = length;
        if (taken <= width)
            buffer_add(&cut, "..");
    }
    int pad = (int)(width > taken ? width - taken : 0);
    buffer_addf(&words->out, "%*s", right ? pad : 0, "");
    words_encode(words, &words->out, buffer_text(&cut));
    buffer_addf(&words->out, "%*s", right || last ? 0 : pad, "");
    buffer_finish(&cut);
}

static void add_row(struct words *words, unsigned gap, const char *const cells[COLUMNS])
{
    unsigned room = words->width - (COLUMNS - 1) * gap;
    for (int i = 0; i < COLUMNS; i++)
        room -= columns[i].width;
    for (int i = 0; i < COLUMNS; i++) {
        buffer_addf(&words->out, "%*s", i > 0 ? (int)gap : 0, "");
        add_cell(words, cells[i], i == MACHINE ? room : columns[i].width, columns[i].right,
            i + 1 == COLUMNS);
    }
    buffer_add(&words->out, "\n");
}

#define FIGURE 32
static const char *figure(
    char text[FIGURE], const struct words *words, double ridge, const char *instead)
{
    double shown = words_shown(words, WORDS_SMALL, ridge);
    int decimals = words_ridge_decimals(words, ridge);
    double least = pow(10, -decimals);
    bool under = shown > 0.0 && shown < least / 2;
    if (isnan(ridge))
        return instead;
    text[0] = '<';
    perpend_number_format(text + 1, FIGURE - 1, under ? least : shown, decimals);
    return under ? text : text + 1;
}

static const char *verdict_of(const struct log_line *line)
{
    const char *verdict = perpend_verdict_text(line->verdict);
    return line->ending == LOG_OPEN            ? "open"
           : line->ending == LOG_GIVEN_UP      ? "given up"
           : verdict && line->measurements > 0 ? verdict
                                               : "-";
}

static void job_line(struct words *words, unsigned gap, const struct log_line *line)
{
    char number[24], day[LOG_TIME_TEXT], found[FIGURE], left[FIGURE], goal[FIGURE], verdict[24];
    snprintf(number, sizeof number, "%lld", (long long)line->id);
    snprintf(verdict, sizeof verdict, "%s%s", verdict_of(line), line->notes > 0 ? "*" : "");
    add_row(words, gap,
        (const char *const[]){number, log_day_text(day, &line->started), line->machine,
            figure(found, words, line->found, "-"),
            figure(left, words, line->left, line->left_unmeasured ? "?" : "-"),
            figure(goal, words, line->goal, "-"), verdict});
}

static void note_line(struct words *words, unsigned gap, const struct log_line *of)
{
    char day[LOG_TIME_TEXT], lead[24];
    snprintf(lead, sizeof lead, "%*s", (int)(columns[JOB].width + gap), "");
    log_say(words, lead, LOG_MACHINE_NOTE,
        SLOTS(SLOT_TEXT("day", log_day_text(day, &of->note.at)), SLOT_IF("narrow", gap == 1),
            SLOT_NAME("machine", of->machine), SLOT_TEXT("kind", log_note_word(of->note.kind)),
            SLOT_NAME("note", of->note.text)));
}

static void say_under_it(struct words *words, const struct log_list *list)
{
    bool question = false, star = false;
    for (size_t i = 0; i < list->count; i++) {
        question |= list->lines[i].left_unmeasured;
        star |= list->lines[i].notes > 0;
    }
    words_gap(words);
    log_say(words, "", LOG_UNDER_LIST,
        SLOTS(SLOT_TEXT("unit", words_unit_name(words, WORDS_SMALL)), SLOT_IF("question", question),
            SLOT_IF("star", star), SLOT_IF("cut", list->jobs < list->all),
            SLOT_COUNT("count", list->jobs), SLOT_COUNT("all", list->all)));
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
    const char *headings[COLUMNS];
    struct words *words = &command->words;
    unsigned gap = words->width >= 72 ? 2 : 1;
    words->unit = unit_of(list);
    for (int i = 0; i < COLUMNS; i++)
        headings[i] = columns[i].heading;
    if (list->jobs > 0)
        add_row(words, gap, headings);
    for (size_t i = 0; i < list->count; i++)
        if (list->lines[i].id == 0)
            note_line(words, gap, &list->lines[i]);
        else
            job_line(words, gap, &list->lines[i]);
    if (list->jobs > 0)
        say_under_it(words, list);
    else
        log_say(words, "", LOG_NO_JOBS, NULL);
    return screen_print(words);
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
