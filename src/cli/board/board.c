/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/board/touches.h"
#include "cli/commands.h"
#include "cli/job_files.h"
#include "cli/options.h"
#include "cli/prompt/screen.h"
#include "cli/report_file.h"
#include "draw/figures.h"
#include "files/board_file.h"
#include "files/names.h"
#include "files/number.h"
#include "text/board.h"

const char help_board[] =
#include "cli/board/help.inc"
    ;

struct wishes {
    bool add, json, ascii;
    const char *zero, *picture;
};

static int fail(const struct board_survey *board, const char *path, enum perpend_status status)
{
    const enum perpend_unit unit = board->machine->unit;
    char x[LENGTH_SHOWN], y[LENGTH_SHOWN];
    if (status == PERPEND_ERR_MEMORY)
        return complain_memory();
    if (status != PERPEND_ERR_UNDETERMINED)
        return complain(2, "%s: these touches make no board; check their numbers", path);
    return complain(2,
        "%s: too few touches, or all in a line, do not tell how the board lies; add X %s, Y %s",
        path, length_shown(x, round(board->survey.need_x), unit),
        length_shown(y, round(board->survey.need_y), unit));
}

/* Where Z is set: the highest touch, or as --zero says. */
static bool take_zero(const char *text, struct board_survey *board, struct perpend_point *place)
{
    const struct perpend_area *area = &board->survey.area;
    const struct perpend_reading *top = &board->touches->readings[board->survey.highest];
    const enum perpend_unit unit = board->machine->unit;
    char x[64] = "";
    if (text == NULL || same_word(text, "highest")) {
        *place = (struct perpend_point){top->x, top->y, 0.0};
    } else if (same_word(text, "centre")) {
        board->zero = BOARD_ZERO_CENTRE;
        *place =
            (struct perpend_point){area->x + area->wide / 2.0, area->y + area->deep / 2.0, 0.0};
    } else {
        board->zero = BOARD_ZERO_PLACE;
        snprintf(x, sizeof x, "%.*s", (int)strcspn(text, ","), text);
        text += strcspn(text, ",");
        return perpend_length_parse(x, unit, &place->right) == PERPEND_OK && *text == ',' &&
               perpend_length_parse(text + 1, unit, &place->back) == PERPEND_OK;
    }
    return true;
}

/* As JSON, or in words. */
static int print(bool as_json, char *json, struct words *words)
{
    if (as_json && json == NULL)
        return complain_memory();
    if (as_json)
        screen_text(json);
    free(json);
    return screen_print(words);
}

static int answer(struct board_survey *board, const struct wishes *wishes, const char *path)
{
    const struct perpend_machine *machine = board->machine;
    const struct perpend_board *stated = &machine->bench.board;
    struct perpend_point zero = {0.0, 0.0, 0.0};
    enum perpend_status status = perpend_survey_fit(board->touches->readings,
        board->touches->reading_count, &machine->setup, &stated->area, &board->survey);
    if (status == PERPEND_OK && !take_zero(wishes->zero, board, &zero))
        return complain(2,
            "board: --zero '%s' is no place; write highest, centre, or X,Y such as 200,150",
            wishes->zero);
    if (status == PERPEND_OK)
        status = perpend_cleanup_find(&board->survey, stated, zero,
            perpend_gauge_uncertainty(&machine->setup.gauge), machine->facing.depth,
            &board->cleanup);
    if (status != PERPEND_OK)
        return fail(board, path, status);
    struct words words = screen_words(machine->unit, wishes->ascii);
    if (!wishes->json)
        board_survey_words(&words, board);
    int failed = print(wishes->json,
        wishes->json ? survey_json(machine, board->touches, &board->survey, &board->cleanup) : NULL,
        &words);
    if (failed == 0 && wishes->picture != NULL) {
        picture_begin();
        failed = picture_write(figure_board(board), wishes->picture);
    }
    return failed != 0 ? failed
                       : board->cleanup.hit < stated->metal_count ||
                             board->cleanup.taken >= stated->thickness;
}

/* What is typed goes on from what the file holds, if it is there. */
static int survey(char **paths, const struct wishes *wishes, struct job_files *files)
{
    struct fault fault = {0};
    const bool begun = !wishes->add || access(paths[2], F_OK) == 0;
    if (begun &&
        (!file_read_text(paths[2], &files->readings_text, &files->readings_length, &fault) ||
            !survey_file_parse(files->readings_text, files->readings_length, paths[2],
                &files->machine, &files->job, &fault)))
        return complain_fault(&fault);
    int status =
        wishes->add ? touches_ask(paths[2], &files->machine, &files->job, wishes->ascii) : 0;
    struct board_survey *board = status == 0 ? calloc(1, sizeof *board) : NULL;
    if (board == NULL)
        return status != 0 ? status : complain_memory();
    board->machine = &files->machine;
    board->touches = files->job.sweeps;
    status = answer(board, wishes, paths[2]);
    perpend_survey_finish(&board->survey);
    free(board);
    return status;
}

static int face(const struct job_files *files, const char *path, const struct wishes *wishes)
{
    const struct perpend_machine *machine = &files->machine;
    const struct perpend_solution *solution = &files->solution;
    struct perpend_facing_plan plan;
    if (perpend_facing_plan_make(&machine->bench, &machine->cutter, &machine->facing,
            &machine->goal,
            solution->measurement_count > 0
                ? &solution->measurements[solution->measurement_count - 1].fit.lean
                : NULL,
            &plan) != PERPEND_OK)
        return complain(
            2, "%s: the board lies outside the travel; check board: at and travel", path);
    struct words words = screen_words(machine->unit, wishes->ascii);
    if (!wishes->json)
        board_facing_words(&words, machine, &plan);
    return print(wishes->json, wishes->json ? facing_json(machine, &plan) : NULL, &words);
}

int command_board(int argc, char **argv)
{
    struct wishes wishes = {0};
    const struct option_row rows[] = {
        {"add", &wishes.add, NULL},
        {"zero", NULL, &wishes.zero},
        {"picture", NULL, &wishes.picture},
        {"json", &wishes.json, NULL},
        {"ascii", &wishes.ascii, NULL},
    };
    struct options options = {"board", help_board, rows, sizeof rows / sizeof rows[0], NULL, 0};
    int status;
    if (!options_parse(&options, argc, argv, &status) ||
        !picture_path_good("board", wishes.picture, &status))
        return status;
    const int count = options.operand_count;
    const bool facing = count > 0 && strcmp(options.operands[0], "face") == 0;
    if (!(facing ? count == 2 || count == 3
                 : count == 3 && strcmp(options.operands[0], "survey") == 0))
        return complain(2, "board: type 'board survey MACHINE TOUCHES' or 'board face MACHINE "
                           "[READINGS]'; 'perpend board --help' says more");
    if (facing && (wishes.add || wishes.zero != NULL || wishes.picture != NULL))
        return complain(2, "board: --add, --zero and --picture belong to board survey");
    struct job_files files = {0};
    struct perpend_machine *machine = &files.machine;
    struct fault fault = {0};
    perpend_machine_init(machine);
    if (facing && count == 3)
        status = job_files_solve(&files, options.operands[1], options.operands[2]);
    else
        status =
            machine_file_read(options.operands[1], machine, &fault) ? 0 : complain_fault(&fault);
    if (status == 0 && (facing || wishes.add) && !(machine->bench.board.area.wide > 0.0))
        status = complain(2, "%s: board is missing; say how large it is: board: {size: [400, 430]}",
            options.operands[1]);
    if (isnan(machine->facing.depth))
        machine->facing.depth = PERPEND_FACING_DEPTH;
    if (status == 0)
        status = facing ? face(&files, options.operands[1], &wishes)
                        : survey(options.operands, &wishes, &files);
    job_files_finish(&files);
    return status;
}
