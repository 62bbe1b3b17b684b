/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>
#include <perpend/units.h>

#include "cli/commands.h"
#include "files/files.h"
#include "files/names.h"
#include "files/number.h"
#include "cli/options.h"
#include "cli/report_file.h"
#include "text/ridge_answer.h"
#include "cli/prompt/screen.h"
#include "draw/sheets.h"

const char help_ridge[] =
#include "cli/help/ridge.inc"
    ;

/* The options as they were typed. */
struct typed {
    const char *lean_right, *lean_back, *lean, *toward, *bit, *corner, *stepover, *along, *depth,
        *goal, *arm, *step, *readings, *machine, *unit, *picture;
    bool json, ascii;
};

/* With nothing stated. */
static struct ridge_question question_start(void)
{
    struct ridge_question question = {.readings = 4};
    struct perpend_machine unknown;
    perpend_machine_init(&unknown);
    ridge_ask_of(&unknown, &question);
    question.bed_as_found = false;
    return question;
}

static bool take_machine(const char *path, struct ridge_question *question, int *status)
{
    if (!path)
        return true;
    struct perpend_machine machine;
    struct fault fault = {0};
    perpend_machine_init(&machine);
    bool read = machine_file_read(path, &machine, &fault);
    if (read)
        ridge_ask_of(&machine, question);
    else
        *status = complain_fault(&fault);
    perpend_machine_finish(&machine);
    return read;
}

static bool take_unit(const char *text, struct ridge_question *question, int *status)
{
    if (!text)
        return true;
    if (same_word(text, "mm"))
        question->unit = PERPEND_UNIT_MM;
    else if (same_word(text, "in"))
        question->unit = PERPEND_UNIT_INCH;
    else {
        *status = complain(2, "ridge: --unit '%s' is neither mm nor in", text);
        return false;
    }
    return true;
}

static bool take_lean(const struct options *options, const struct typed *typed,
    struct ridge_question *question, int *status)
{
    bool by_parts = typed->lean_right || typed->lean_back;
    double right = 0.0, back = 0.0, size = 0.0, toward = 0.0;
    const struct option_value values[] = {
        {"lean-right", typed->lean_right, VALUE_NUMBER, &right, 0, 0},
        {"lean-back", typed->lean_back, VALUE_NUMBER, &back, 0, 0},
        {"lean", typed->lean, VALUE_NUMBER, &size, 0, 0},
        {"toward", typed->toward, VALUE_BEARING, &toward, 0, 0},
    };
    if (!values_take(options, values, sizeof values / sizeof *values, question->unit, status))
        return false;
    if (by_parts && (typed->lean || typed->toward)) {
        *status = complain(2, "ridge: give the lean either as --lean-right and --lean-back or as "
                              "--lean and --toward");
        return false;
    }
    if (typed->toward && !typed->lean) {
        *status = complain(2, "ridge: --toward wants --lean, how far it leans that way");
        return false;
    }
    question->has_lean = by_parts || typed->lean;
    if (typed->lean) {
        right = size * sin(toward);
        back = size * cos(toward);
    }
    double ratio =
        question->unit == PERPEND_UNIT_INCH ? PERPEND_THOU_PER_FOOT : PERPEND_MM_PER_METRE;
    question->lean = (struct perpend_slope){right / ratio, back / ratio};
    if (perpend_slope_size(question->lean) <= 0.5)
        return true;
    *status = complain(2, "ridge: that lean is more than 500 mm/m; give it in mm per metre, or in "
                          "thou per foot with --unit in");
    return false;
}

static bool take_options(const struct options *options, const struct typed *typed,
    struct ridge_question *question, int *status)
{
    double readings = question->readings, share;
    struct perpend_facing *facing = &question->facing;
    const char *stepover = typed->stepover;
    const bool of_bit = stepover && strchr(stepover, '%');
    if (!take_machine(typed->machine, question, status) ||
        !take_unit(typed->unit, question, status) || !take_lean(options, typed, question, status))
        return false;
    const struct option_value values[] = {
        {"bit", typed->bit, VALUE_LENGTH, &question->cutter.diameter, 0, 0},
        {"corner", typed->corner, VALUE_LENGTH, &question->cutter.corner, 0, 0},
        {"stepover", of_bit ? NULL : stepover, VALUE_LENGTH, &facing->stepover, 0, 0},
        {"depth", typed->depth, VALUE_LENGTH, &facing->depth, 0, 0},
        {"goal", typed->goal, VALUE_LENGTH, &question->goal, 0, 0},
        {"arm", typed->arm, VALUE_LENGTH, &question->setup.arm.length, 0, 0},
        {"step", typed->step, VALUE_LENGTH, &question->setup.gauge.step, 0, 0},
        {"readings", typed->readings, VALUE_COUNT, &readings, 3, 64},
    };
    if (!values_take(options, values, sizeof values / sizeof *values, question->unit, status))
        return false;
    question->readings = (unsigned)readings;
    if (typed->along && !feed_parse(typed->along, facing)) {
        *status = complain(2,
            "ridge: --along '%s' is no feed; write X, Y, both, a name such as back-right, or "
            "degrees",
            typed->along);
        return false;
    }
    if (of_bit && !share_parse(stepover, &share)) {
        *status = complain(
            2, "ridge: --stepover '%s' is not a share of the bit; write one like 45%%", stepover);
        return false;
    }
    if (of_bit)
        facing->stepover = question->cutter.diameter * share;
    return true;
}

/* A length that was stated must be more than nothing; NAN was not stated. */
static bool check_lengths(const struct ridge_question *question, int *status)
{
    const struct {
        const char *name;
        double value;
    } lengths[] = {
        {"bit", question->cutter.diameter},
        {"stepover", question->facing.stepover},
        {"depth", question->facing.depth},
        {"goal", question->goal},
        {"arm", question->setup.arm.length},
        {"step", question->setup.gauge.step},
    };
    for (size_t i = 0; i < sizeof lengths / sizeof lengths[0]; i++)
        if (!isnan(lengths[i].value) && !(lengths[i].value > 0.0 && lengths[i].value <= 1e5)) {
            *status =
                complain(2, "ridge: --%s must be more than 0, and at most 100 m", lengths[i].name);
            return false;
        }
    return true;
}

static bool check(const struct ridge_question *question, int *status)
{
    const char *wrong = NULL;
    if (!check_lengths(question, status))
        return false;
    if (isnan(question->cutter.diameter))
        wrong = "say which bit: --bit D, or --machine FILE";
    else if (isnan(question->facing.stepover))
        wrong = "say how far apart the passes are: --stepover S, or --machine FILE";
    else if (!question->has_lean && isnan(question->goal))
        wrong = "say what to work out: a lean (--lean-back, --lean-right) or a --goal";
    else if (!(question->cutter.corner >= 0.0) ||
             question->cutter.corner > question->cutter.diameter / 2.0)
        wrong = "--corner must be from 0 to half the bit's diameter";
    if (wrong)
        *status = complain(2, "ridge: %s", wrong);
    return !wrong;
}

static int fail(enum perpend_status status)
{
    if (status == PERPEND_ERR_STEPOVER)
        return complain(2, "ridge: the stepover is wider than the bit cuts, stripes would stand; "
                           "make --stepover smaller than the bit");
    return complain(status == PERPEND_ERR_MEMORY ? 3 : 2, "ridge: %s", perpend_status_text(status));
}

static int print_answer(const struct typed *typed, const struct ridge_question *question,
    const struct ridge_answer *answer)
{
    if (typed->json) {
        char *json = ridge_answer_json(question, answer);
        if (!json)
            return complain_memory();
        screen_text(json);
        free(json);
        return 0;
    }
    struct words words = screen_words(question->unit, typed->ascii);
    ridge_answer_words(&words, question, answer);
    return screen_print(&words);
}

static int draw(const char *path, const struct ridge_question *question)
{
    if (!path)
        return 0;
    const struct perpend_machine machine = {.unit = question->unit,
        .setup = question->setup,
        .cutter = question->cutter,
        .facing = question->facing,
        .goal = {question->goal, NAN}};
    picture_begin();
    return picture_write(
        sheet_of_ridge(&machine, question->has_lean ? &question->lean : NULL), path);
}

int command_ridge(int argc, char **argv)
{
    struct typed typed = {0};
    const struct option_row rows[] = {
        {"lean-right", NULL, &typed.lean_right},
        {"lean-back", NULL, &typed.lean_back},
        {"lean", NULL, &typed.lean},
        {"toward", NULL, &typed.toward},
        {"bit", NULL, &typed.bit},
        {"corner", NULL, &typed.corner},
        {"stepover", NULL, &typed.stepover},
        {"along", NULL, &typed.along},
        {"depth", NULL, &typed.depth},
        {"goal", NULL, &typed.goal},
        {"arm", NULL, &typed.arm},
        {"step", NULL, &typed.step},
        {"readings", NULL, &typed.readings},
        {"machine", NULL, &typed.machine},
        {"unit", NULL, &typed.unit},
        {"picture", NULL, &typed.picture},
        {"json", &typed.json, NULL},
        {"ascii", &typed.ascii, NULL},
    };
    struct options options = {"ridge", help_ridge, rows, sizeof rows / sizeof rows[0], NULL, 0};
    struct ridge_question question = question_start();
    struct ridge_answer answer;
    int status;
    if (!options_parse(&options, argc, argv, &status) ||
        !picture_path_good("ridge", typed.picture, &status))
        return status;
    if (options.operand_count > 0)
        return complain(2,
            "ridge: '%s' has no option before it; a machine file goes with "
            "--machine",
            options.operands[0]);
    if (!take_options(&options, &typed, &question, &status) || !check(&question, &status))
        return status;
    status = ridge_answer_make(&question, &answer);
    if (status != PERPEND_OK)
        return fail(status);
    status = print_answer(&typed, &question, &answer);
    if (status == 0)
        status = draw(typed.picture, &question);
    bool over = question.has_lean && answer.ridge.height > question.goal; /* false without a goal */
    return status == 0 && over ? 1 : status;
}
