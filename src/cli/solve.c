/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "text/answer.h"
#include "cli/commands.h"
#include "files/files.h"
#include "cli/job_files.h"
#include "cli/options.h"
#include "cli/report_file.h"
#include "cli/prompt/screen.h"

const char help_solve[] =
#include "cli/help/solve.inc"
    ;

/* What was asked for beside the answer. */
struct wishes {
    bool json, ascii, more;
    const char *picture; /* file; NULL: none */
};

static int print_json(const struct job_files *files)
{
    char *json = solution_json(&files->machine, &files->job, &files->solution);
    if (!json)
        return complain_memory();
    screen_text(json);
    free(json);
    return 0;
}

static int print_words(const struct job_files *files, const struct wishes *wishes)
{
    struct words words = screen_words(files->machine.unit, wishes->ascii);
    answer_job(&words, &files->machine, &files->job, &files->solution,
        &(struct answer_options){.more = wishes->more});
    return screen_print(&words);
}

static int draw(const struct job_files *files, const char *path)
{
    struct report_files made;
    if (path == NULL)
        return 0;
    picture_begin();
    int status = report_from_files(files, &made) ? picture_write(report_sheet(&made.input), path)
                                                 : complain_memory();
    report_from_files_finish(&made);
    return status;
}

/* 0 when the floor will be good enough or nobody said what that is. */
static int status_of(const struct perpend_solution *solution)
{
    enum perpend_verdict verdict = solution->measurements[solution->measurement_count - 1].verdict;
    return verdict == PERPEND_VERDICT_MET || verdict == PERPEND_VERDICT_NO_GOAL ? 0 : 1;
}

int command_solve(int argc, char **argv)
{
    struct wishes wishes = {0};
    struct job_files files;
    const struct option_row rows[] = {
        {"json", &wishes.json, NULL},
        {"more", &wishes.more, NULL},
        {"ascii", &wishes.ascii, NULL},
        {"picture", NULL, &wishes.picture},
    };
    struct options options = {"solve", help_solve, rows, sizeof rows / sizeof rows[0], NULL, 0};
    int status;
    if (!options_parse(&options, argc, argv, &status) ||
        !picture_path_good("solve", wishes.picture, &status))
        return status;
    if (options.operand_count != 2)
        return complain(2, "solve: give a machine file and a file of readings; "
                           "'perpend solve --help' says more");
    const char *machine = options.operands[0], *readings = options.operands[1];
    if (strcmp(machine, "-") == 0 && strcmp(readings, "-") == 0)
        return complain(2, "solve: only one of the two files can be - for standard input");
    status = job_files_solve(&files, machine, readings);
    if (status == 0)
        status = wishes.json ? print_json(&files) : print_words(&files, &wishes);
    if (status == 0)
        status = draw(&files, wishes.picture);
    if (status == 0)
        status = status_of(&files.solution);
    job_files_finish(&files);
    return status;
}
