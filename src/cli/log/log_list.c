/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The list: one job a line, and between them what happened to the machines. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "cli/log/log_command.h"
#include "cli/options.h"
#include "cli/prompt/screen.h"

#define USUAL_LAST 20

/* Widths of the columns beside the machine's name. */
#define JOB 5u
#define DATE 10u
#define FIGURE 6u
#define VERDICT 9u

struct table {
    struct words words;
    enum perpend_unit unit; /* of all ridges in it */
    unsigned name, gap;     /* columns */
    bool question, star;    /* marks used, to be explained under it */
};

/* Text in so many columns, cut to them; figures stand at the right. */
static void cell(struct table *table, const char *text, unsigned width, bool right)
{
    struct buffer cut = {0}, name = {0};
    words_name(&name, text);
    size_t columns = words_columns(buffer_text(&name));
    buffer_add(&cut, buffer_text(&name));
    while (columns > width && cut.length > 0) {
        /* take one character off, and show that something is missing */
        do
            cut.length--;
        while (cut.length > 0 && ((unsigned char)cut.bytes[cut.length] & 0xC0) == 0x80);
        cut.bytes[cut.length] = '\0';
        columns = words_columns(cut.bytes) + 2;
        if (columns <= width)
            buffer_add(&cut, "..");
    }
    columns = words_columns(buffer_text(&cut));
    for (unsigned pad = (unsigned)columns; right && pad < width; pad++)
        buffer_add(&table->words.out, " ");
    words_encode(&table->words, &table->words.out, buffer_text(&cut));
    for (unsigned pad = (unsigned)columns; !right && pad < width; pad++)
        buffer_add(&table->words.out, " ");
    buffer_finish(&cut);
    buffer_finish(&name);
}

static void gap(struct table *table)
{
    buffer_add(&table->words.out, table->gap == 2 ? "  " : " ");
}

static void figure(struct table *table, double ridge, const char *instead)
{
    char text[64];
    double shown = words_shown(&table->words, WORDS_SMALL, ridge);
    int decimals = words_ridge_decimals(&table->words, ridge);
    double least = pow(10, -decimals);
    if (isnan(ridge)) {
        cell(table, instead, FIGURE, true);
    } else if (shown > 0.0 && shown < least / 2) {
        char under[66];
        snprintf(
            under, sizeof under, "<%s", perpend_number_format(text, sizeof text, least, decimals));
        cell(table, under, FIGURE, true);
    } else {
        cell(table, perpend_number_format(text, sizeof text, shown, decimals), FIGURE, true);
    }
}

static void end_line(struct table *table)
{
    struct buffer *out = &table->words.out;
    while (out->length > 0 && out->bytes[out->length - 1] == ' ')
        out->bytes[--out->length] = '\0';
    buffer_add(out, "\n");
}

static void heading(struct table *table)
{
    static const char *const figures[] = {"Found", "Left", "Goal"};
    cell(table, "Job", JOB, true);
    gap(table);
    cell(table, "Date", DATE, false);
    gap(table);
    cell(table, "Machine", table->name, false);
    for (size_t i = 0; i < 3; i++) {
        gap(table);
        cell(table, figures[i], FIGURE, true);
    }
    gap(table);
    cell(table, "Verdict", VERDICT, false);
    end_line(table);
}

static const char *verdict_of(const struct log_line *line)
{
    if (line->ending == LOG_OPEN)
        return "open";
    if (line->ending == LOG_GIVEN_UP)
        return "given up";
    const char *verdict = perpend_verdict_text(line->verdict);
    return verdict && line->measurements > 0 ? verdict : "-";
}

static void job_line(struct table *table, const struct log_line *line)
{
    char day[LOG_TIME_TEXT];
    struct buffer number = {0};
    buffer_addf(&number, "%lld", (long long)line->id);
    cell(table, buffer_text(&number), JOB, true);
    gap(table);
    cell(table, log_day_text(day, &line->started), DATE, false);
    gap(table);
    cell(table, line->machine, table->name, false);
    gap(table);
    figure(table, line->found, "-");
    gap(table);
    figure(table, line->left, line->left_unmeasured ? "?" : "-");
    gap(table);
    figure(table, line->goal, "-");
    gap(table);
    buffer_add(&table->words.out, verdict_of(line));
    buffer_add(&table->words.out, line->notes > 0 ? "*" : "");
    end_line(table);
    table->question |= line->left_unmeasured;
    table->star |= line->notes > 0;
    buffer_finish(&number);
}

static void note_line(struct table *table, const struct log_machine_note *of)
{
    char day[LOG_TIME_TEXT];
    struct buffer lead = {0}, text = {0};
    buffer_addf(&lead, "%*s", (int)(JOB + table->gap), "");
    buffer_add(&text, log_day_text(day, &of->note.at));
    buffer_add(&text, table->gap == 2 ? WORDS_GLUE WORDS_GLUE : WORDS_GLUE);
    words_name(&text, of->machine);
    buffer_add(&text, ", ");
    buffer_add(&text, log_note_word(of->note.kind));
    buffer_add(&text, ": ");
    words_name(&text, of->note.text);
    words_paragraph(&table->words, buffer_text(&lead), buffer_text(&text));
    buffer_finish(&lead);
    buffer_finish(&text);
}

/* One unit for the whole table: that of the machines in it when they agree, else mm. */
static enum perpend_unit unit_of(const struct log_line *lines, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (lines[i].unit != PERPEND_UNIT_INCH)
            return PERPEND_UNIT_MM;
    return count > 0 ? PERPEND_UNIT_INCH : PERPEND_UNIT_MM;
}

static void under_it(struct table *table, size_t count, size_t all)
{
    struct buffer text = {0};
    words_gap(&table->words);
    buffer_addf(&text, "Ridges in %s, as predicted from each job's first and last measurement.",
        words_unit_name(&table->words, WORDS_SMALL));
    if (table->question)
        buffer_add(&text, " A ? means adjusted after the last sweep and not measured again.");
    if (table->star)
        buffer_add(&text, " A * means that there are notes: 'perpend log show' has them.");
    if (count < all)
        buffer_addf(&text, " The last %zu of %zu jobs: '--last all' shows every one.", count, all);
    words_paragraph(&table->words, "", buffer_text(&text));
    buffer_finish(&text);
}

struct listed {
    struct log_line *lines;
    struct log_machine_note *notes;
    size_t line_count, note_count, all;
};

static int print_list(const struct log_options *options, const struct listed *listed)
{
    enum perpend_unit unit = unit_of(listed->lines, listed->line_count);
    struct table table = {.words = screen_words(unit, options->ascii), .unit = unit};
    unsigned fixed = JOB + DATE + 3 * FIGURE + VERDICT + 1;
    table.gap = table.words.width >= 72 ? 2 : 1;
    table.name = table.words.width - fixed - 6 * table.gap;
    size_t note = 0;
    if (listed->line_count > 0)
        heading(&table);
    for (size_t i = 0; i < listed->line_count; i++) {
        const struct log_line *line = &listed->lines[i];
        for (; note < listed->note_count &&
               strcmp(listed->notes[note].note.at.utc, line->started.utc) < 0;
             note++)
            note_line(&table, &listed->notes[note]);
        job_line(&table, line);
    }
    for (; note < listed->note_count; note++)
        note_line(&table, &listed->notes[note]);
    if (listed->line_count > 0)
        under_it(&table, listed->line_count, listed->all);
    else
        words_paragraph(&table.words, "", "No jobs.");
    return screen_print(&table.words);
}

int log_list_part(const struct log_options *options)
{
    struct log_filter filter;
    struct listed listed = {0};
    struct fault fault = {.status = 0};
    int status = 0;
    if (options->operand_count > 0)
        return complain(2, "log list: '%s' is one word too many; 'perpend log show %s' shows a job",
            options->operands[0], options->operands[0]);
    if (!log_command_filter(options, &filter, &status))
        return status;
    if (!options->last && !options->since && !options->until)
        filter.last = USUAL_LAST;
    struct log_book *book = log_command_open(options, LOG_READ, &status);
    if (!book)
        return status;
    bool ok = log_list(book, &filter, &listed.lines, &listed.line_count, &listed.all, &fault);
    /* earlier notes belong to jobs that are not shown */
    if (ok && listed.line_count > 0 && listed.line_count < listed.all)
        filter.from = listed.lines[0].started.utc;
    ok = ok && log_machine_notes(book, &filter, &listed.notes, &listed.note_count, &fault);
    if (ok)
        status = print_list(options, &listed);
    else
        status = complain_fault(&fault);
    log_list_finish(listed.lines, listed.line_count);
    log_machine_notes_finish(listed.notes, listed.note_count);
    log_close(book);
    return status;
}
