/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tables, and jobs side by side in one. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "cli/complain.h"
#include "cli/log/log_command.h"
#include "cli/prompt/screen.h"

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

void log_row_say(
    struct words *words, const struct log_look *looks, size_t count, const char *const *cells)
{
    const unsigned gap = words->width >= 72 ? 2 : 1;
    unsigned room = words->width - (unsigned)(count - 1) * gap;
    for (size_t i = 0; i < count; i++)
        room -= looks[i].width;
    for (size_t i = 0; i < count; i++) {
        buffer_addf(&words->out, "%*s", i > 0 ? (int)gap : 0, "");
        add_cell(words, cells ? cells[i] : looks[i].heading, looks[i].width ? looks[i].width : room,
            looks[i].right, i + 1 == count);
    }
    buffer_add(&words->out, "\n");
}

/* ---- side by side ------------------------------------------------------------------------------ */

#define ABREAST 4 /* jobs beside one another */
#define CELL 80   /* bytes of a cell */
#define LABEL 8   /* columns of what a row is */
#define CELL_WIDEST 24
enum row { JOB, MACHINE, DATE, WHO, SWEEPS, FOUND, LEFT, MEASURED, GOAL, VERDICT, ROWS };

/* A ridge as a record has it: "0.021 x" of a cut fed along X. */
static void add_measured(
    char cell[CELL], const struct words *words, const struct perpend_measured *measured)
{
    char x[LOG_FIGURE], y[LOG_FIGURE];
    snprintf(cell, CELL, "-");
    if (measured->stated && isnan(measured->along_y))
        snprintf(cell, CELL, "%s X", log_figure(x, words, measured->along_x, "-"));
    else if (measured->stated)
        snprintf(cell, CELL, "%s X %s Y", log_figure(x, words, measured->along_x, "-"),
            log_figure(y, words, measured->along_y, "-"));
}

static void fill_column(
    char cells[ROWS][CELL], const struct words *words, const struct log_record *record)
{
    char text[LOG_FIGURE];
    const size_t count = record->answer_count;
    const struct log_answer *last = count > 0 ? &record->answers[count - 1] : NULL;
    const struct log_line line = {.ending = record->ending,
        .measurements = count,
        .verdict = last ? last->verdict : PERPEND_VERDICT_NO_GOAL};
    size_t sweeps = 0;
    for (size_t i = 0; i < record->sweep_count; i++)
        sweeps += log_sweep_counted(&record->sweeps[i]) > 0;
    snprintf(cells[JOB], CELL, "%lld", (long long)record->id);
    snprintf(cells[MACHINE], CELL, "%s", record->machine_name);
    log_time_text(text, &record->started);
    snprintf(cells[DATE], CELL, "%s", text);
    snprintf(cells[WHO], CELL, "%s", record->job.who ? record->job.who : "-");
    snprintf(cells[SWEEPS], CELL, "%zu", sweeps);
    snprintf(cells[FOUND], CELL, "%s",
        log_figure(text, words, last ? record->answers[0].ridge : NAN, "-"));
    snprintf(cells[LEFT], CELL, "%s",
        last && last->unmeasured ? "?" : log_figure(text, words, last ? last->ridge : NAN, "-"));
    add_measured(cells[MEASURED], words, &record->job.measured);
    snprintf(cells[GOAL], CELL, "%s", log_goal(text, words, &record->goal));
    snprintf(cells[VERDICT], CELL, "%s", log_verdict(&line));
}

static void say_rows(struct words *words, char cells[ABREAST][ROWS][CELL], size_t count)
{
    static const char *const names[ROWS] = {
        "Job", "Machine", "Date", "Who", "Sweeps", "Found", "After", "Measured", "Goal", "Verdict"};
    struct log_look looks[ABREAST + 1] = {{"", LABEL, false}};
    const unsigned each = (words->width - LABEL) / (unsigned)count - 2;
    for (size_t i = 1; i <= count; i++)
        looks[i].width = each < CELL_WIDEST ? each : CELL_WIDEST;
    for (size_t row = 0; row < ROWS; row++) {
        const char *line[ABREAST + 1] = {names[row]};
        for (size_t i = 0; i < count; i++)
            line[i + 1] = cells[i][row];
        log_row_say(words, looks, count + 1, line);
    }
}

/* All in the unit of the first. */
int log_compare(struct log_command *command, const int64_t *jobs, size_t count)
{
    struct words *words = &command->words;
    const size_t most = words->width >= 80 ? ABREAST : ABREAST - 1;
    char cells[ABREAST][ROWS][CELL];
    for (size_t i = 0; i < count; i++) {
        struct log_record record;
        if (!log_load(command->book, jobs[i], &record, &command->fault))
            return complain_fault(&command->fault);
        words->unit = i == 0 ? record.unit : words->unit;
        fill_column(cells[i % most], words, &record);
        log_record_finish(&record);
        if (i % most + 1 < most && i + 1 < count)
            continue;
        say_rows(words, cells, i % most + 1);
        words_gap(words);
    }
    log_say(
        words, "", LOG_UNDER_ROWS, SLOTS(SLOT_TEXT("unit", words_unit_name(words, WORDS_SMALL))));
    return screen_print(words);
}
