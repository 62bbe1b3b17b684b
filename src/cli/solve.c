/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/job.h>
#include <perpend/status.h>

#include "answer.h"
#include "commands.h"
#include "files.h"
#include "options.h"
#include "report_file.h"
#include "screen.h"
#include "sheets.h"

const char help_solve[] =
    "perpend solve MACHINE READINGS [options]\n"
    "\n"
    "MACHINE is a machine file, READINGS a job file or a CSV table of the sweeps; one\n"
    "of them may be - for standard input. Says whether the floor will be good enough,\n"
    "which way the spindle leans, the ridge to expect, what to do, what to read then.\n"
    "\n"
    "  --json        the answer for programs, always in mm, mm/m and degrees\n"
    "  --no-drawing  steps without the drawing of the joint\n"
    "  --ascii       no characters beyond ASCII\n"
    "  --seed N      begin the random trials elsewhere (default 1)\n"
    "  --picture FILE.svg|.png|.pdf   draw it as well\n"
    "  --report FILE.html|.pdf|.txt   write it up as well (perpend-report(1))\n"
    "  --help        this\n"
    "\n"
    "Exit status: 0 goal met, or none set; 1 not met, or too close to call; 2 the\n"
    "command line or a file is wrong; 3 the computer failed (disk, memory).\n"
    "\n"
    "Example: perpend solve tern.yaml tern-as-found.yaml\n";

/* Everything one run owns. */
struct run {
    struct perpend_machine machine;
    struct perpend_job job;
    struct perpend_solution solution;
    bool json, ascii, no_drawing;
    const char *picture, *report; /* files; NULL: none */
    char *machine_text, *readings_text;
    size_t machine_length, readings_length;
};

static int solve_files(struct run *run, const char *machine_path, const char *readings_path,
    const struct perpend_trials_options *trials)
{
    struct fault fault = {0};
    if (!file_read_text(machine_path, &run->machine_text, &run->machine_length, &fault) ||
        !machine_file_parse(
            run->machine_text, run->machine_length, machine_path, &run->machine, &fault) ||
        !file_read_text(readings_path, &run->readings_text, &run->readings_length, &fault) ||
        !job_file_parse(run->readings_text, run->readings_length, readings_path, &run->machine,
            &run->job, &fault))
        return complain(fault.status, "%s", fault.text);
    struct perpend_job_fault where;
    int status = perpend_job_solve(&run->machine, &run->job, trials, &run->solution, &where);
    if (status == PERPEND_OK)
        return 0;
    job_fault_text(status, &where, readings_path, &run->machine, &run->job, &fault);
    return complain(fault.status, "%s", fault.text);
}

static int print_json(const struct run *run)
{
    char *json = solution_json(&run->machine, &run->job, &run->solution);
    if (!json)
        return complain(3, "out of memory; close something and try again");
    fputs(json, stdout);
    free(json);
    return 0;
}

static int print_words(const struct run *run)
{
    struct words words = screen_words(run->machine.unit, run->ascii);
    struct answer_options options = {.no_drawing = run->no_drawing};
    answer_job(&words, &run->machine, &run->job, &run->solution, &options);
    return screen_print(&words);
}

/* The picture and the report that were asked for beside the answer. */
static int write_files(const struct run *run, const char *machine_path)
{
    int status = 0;
    if (run->picture)
        status = picture_write(
            sheet_of_solution(&run->machine, &run->job, &run->solution), run->picture);
    if (status != 0 || !run->report)
        return status;
    struct report_order order = {.path = run->report};
    struct report_input input;
    const struct report_files files = {&run->machine, machine_path, run->machine_text,
        run->machine_length, &run->job, run->readings_text, run->readings_length, &run->solution};
    (void)report_format_of(run->report, &order.format);
    if (!report_from_files(&files, &input))
        return complain(3, "out of memory; close something and try again");
    status = report_write(&input, &order, false);
    report_from_files_finish(&input);
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
    struct run run = {0};
    const char *seed = NULL;
    const struct option_row rows[] = {
        {"json", &run.json, NULL},
        {"no-drawing", &run.no_drawing, NULL},
        {"ascii", &run.ascii, NULL},
        {"seed", NULL, &seed},
        {"picture", NULL, &run.picture},
        {"report", NULL, &run.report},
    };
    struct options options = {"solve", help_solve, rows, sizeof rows / sizeof rows[0], NULL, 0};
    struct perpend_trials_options trials = perpend_trials_defaults();
    int status;
    if (!options_parse(&options, argc, argv, &status) ||
        !value_count(&options, "seed", seed, 0, UINT64_MAX, &trials.seed, &status) ||
        !picture_path_good("solve", run.picture, &status) ||
        !report_path_good("solve", run.report, &status))
        return status;
    if (options.operand_count != 2)
        return complain(2, "solve: give a machine file and a file of readings; "
                           "'perpend solve --help' says more");
    const char *machine = options.operands[0], *readings = options.operands[1];
    if (strcmp(machine, "-") == 0 && strcmp(readings, "-") == 0)
        return complain(2, "solve: only one of the two files can be - for standard input");
    perpend_machine_init(&run.machine);
    status = solve_files(&run, machine, readings, &trials);
    if (status == 0)
        status = run.json ? print_json(&run) : print_words(&run);
    if (status == 0)
        status = write_files(&run, machine);
    if (status == 0)
        status = status_of(&run.solution);
    perpend_solution_finish(&run.solution);
    perpend_job_finish(&run.job);
    perpend_machine_finish(&run.machine);
    free(run.machine_text);
    free(run.readings_text);
    return status;
}
