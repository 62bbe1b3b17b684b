/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/board/touches.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/board/sentences.inc"
#include "cli/complain.h"
#include "cli/prompt/dialogue.h"
#include "files/names.h"
#include "files/number.h"
#include "log/whole_file.h"

#define SIDE ((size_t)5) /* places of the grid along X and along Y */

/* What is asked for, and what was typed: a reading, or X, Y and a reading. */
struct typed {
    enum perpend_unit unit;
    struct perpend_reading touch;
};

/* The next place of the grid that is not touched, there and back, a little inside. */
static bool next_place(const struct perpend_area *area, const struct perpend_sweep *touched,
    size_t *place, struct perpend_reading *touch)
{
    for (; *place < SIDE * SIDE; ++*place) {
        size_t row = *place / SIDE, column = *place % SIDE, i = 0;
        column = row % 2 == 0 ? column : SIDE - 1 - column;
        touch->x = area->x + round(area->wide * (0.05 + 0.9 * (double)column / (SIDE - 1)));
        touch->y = area->y + round(area->deep * (0.05 + 0.9 * (double)row / (SIDE - 1)));
        while (i < touched->reading_count &&
               hypot(touched->readings[i].x - touch->x, touched->readings[i].y - touch->y) > 1.0)
            i++;
        if (i == touched->reading_count)
            return true;
    }
    return false;
}

static bool check(const char *answer, void *context, char *complaint, size_t size)
{
    struct typed *typed = context;
    char words[ANSWER_SIZE], *rest = words;
    double numbers[3] = {0.0};
    size_t count = 0;
    snprintf(words, sizeof words, "%s", answer);
    bool good = true;
    for (char *word; good && (word = strtok_r(NULL, " \t", &rest)) != NULL; count++)
        good = count < 3 &&
               perpend_length_parse(word, typed->unit, &numbers[count]) == PERPEND_OK &&
               fabs(numbers[count]) <= 10000.0;
    if (same_word(answer, "end") || same_word(answer, "skip"))
        return true;
    if (!good || !(count == 3 || count == 1)) {
        snprintf(complaint, size, "%s", TOUCHES_WRONG);
        return false;
    }
    typed->touch.value = numbers[count - 1];
    typed->touch.x = count == 3 ? numbers[0] : typed->touch.x;
    typed->touch.y = count == 3 ? numbers[1] : typed->touch.y;
    return true;
}

static int keep(
    const char *path, const struct perpend_machine *machine, const struct perpend_job *survey)
{
    struct fault fault = {0};
    char *text = job_file_write(machine, survey);
    if (text == NULL)
        return complain_memory();
    bool kept = whole_file_write(path, text, strlen(text), true, &fault) == WHOLE_FILE_WRITTEN;
    free(text);
    return kept ? 0 : complain_fault(&fault);
}

static int ask_all(struct dialogue *dialogue, const char *path,
    const struct perpend_machine *machine, struct perpend_job *survey)
{
    const struct perpend_area *area = &machine->bench.board.area;
    if (survey->sweeps == NULL)
        survey->sweeps = calloc(1, sizeof *survey->sweeps);
    struct perpend_sweep *touches = survey->sweeps;
    if (touches == NULL)
        return complain_memory();
    survey->sweep_count = 1;
    struct typed typed = {.unit = machine->unit, .touch.bearing = NAN};
    char answer[ANSWER_SIZE], prompt[160], x[LENGTH_SHOWN], y[LENGTH_SHOWN];
    const struct question question = {
        .prompt = prompt, .help = TOUCHES_HELP, .check = check, .context = &typed};
    int status = 0;
    size_t place = 0;
    struct perpend_reading *room = realloc(touches->readings, PERPEND_TOUCHES_MOST * sizeof *room);
    if (room == NULL)
        return complain_memory();
    touches->readings = room;
    dialogue_say(dialogue, TOUCHES_BEGIN, path);
    while (status == 0 && touches->reading_count < PERPEND_TOUCHES_MOST &&
           next_place(area, touches, &place, &typed.touch)) {
        snprintf(prompt, sizeof prompt, TOUCHES_PROMPT, touches->reading_count + 1,
            length_shown(x, typed.touch.x, typed.unit), length_shown(y, typed.touch.y, typed.unit));
        enum heard heard = dialogue_ask(dialogue, &question, answer);
        if (heard == HEARD_FAIL)
            return complain_memory();
        if (heard == HEARD_UNDO) {
            touches->reading_count -= touches->reading_count > 0;
            place = 0;
        } else if (heard != HEARD_ANSWER || same_word(answer, "end")) {
            break;
        } else if (same_word(answer, "skip")) {
            place++;
        } else {
            touches->readings[touches->reading_count++] = typed.touch;
        }
        if (touches->reading_count > 0)
            status = keep(path, machine, survey);
    }
    return status;
}

int touches_ask(
    const char *path, const struct perpend_machine *machine, struct perpend_job *survey, bool ascii)
{
    struct dialogue *dialogue = dialogue_create(ascii);
    int status = dialogue == NULL ? complain_memory() : ask_all(dialogue, path, machine, survey);
    dialogue_destroy(dialogue);
    return status;
}
