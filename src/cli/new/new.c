/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stddef.h>

#include <perpend/status.h>
#include <perpend/verdict.h>

#include "cli/commands.h"
#include "cli/new/questions.h"
#include "cli/new/save.h"
#include "cli/new/summary.h"
#include "cli/options.h"
#include "cli/prompt/screen.h"
#include "files/files.h"
#include "text/means.h"

const char help_new[] =
    "perpend new [FILE] [options]\n"
    "\n"
    "Asks about the machine, one question at a time, each with how to find the\n"
    "answer with a ruler, and writes a machine file: FILE, or the name it asks for\n"
    "at the end. At each question: help explains it, undo goes back to the one\n"
    "before, stop ends, Enter alone takes the answer in [brackets]. Nothing is\n"
    "written before the end, and no file is replaced without asking.\n"
    "\n"
    "  --ascii  no characters beyond ASCII\n"
    "  --help   this\n"
    "\n"
    "Exit status: 0 written; 1 stopped, nothing written; 2 the command line is\n"
    "wrong, or the answers ended early; 3 the computer failed (disk, permissions).\n"
    "\n"
    "Example: perpend new tern.yaml\n";

/* The machine as described so far; false when it is not whole yet. */
static bool machine_so_far(const struct draft *draft, struct buffer *text,
    struct perpend_machine *machine, struct fault *fault)
{
    buffer_clear(text);
    draft_write(draft, text);
    if (text->failed)
        return fault_out_of_memory(fault);
    return machine_file_parse(buffer_text(text), text->length, "what was typed", machine, fault);
}

/* What the goal asks of arm and gauge, as soon as it is known. */
static void say_means(struct dialogue *dialogue, const struct draft *draft, enum draft_key key)
{
    if (key != DRAFT_GOAL)
        return;
    struct buffer text = {0};
    struct buffer phrase = {0};
    struct perpend_machine machine = {.name = NULL};
    struct perpend_means means;
    struct fault fault;
    if (!machine_so_far(draft, &text, &machine, &fault)) {
        buffer_finish(&text);
        return;
    }
    struct words words = dialogue_words(dialogue, machine.unit);
    if (!isnan(machine.goal.ridge) &&
        perpend_means_for(&machine.setup, 4, &machine.cutter, &machine.facing, machine.goal.ridge,
            &means) == PERPEND_OK) {
        words_means(&words, &phrase, &means);
        if (isnan(means.lean))
            buffer_add(&phrase, " undo goes back to them.");
        words_paragraph(&words, "", buffer_text(&phrase));
        dialogue_show(dialogue, buffer_text(&words.out));
    }
    buffer_finish(&words.out);
    buffer_finish(&phrase);
    buffer_finish(&text);
    perpend_machine_finish(&machine);
}

static int ended(struct dialogue *dialogue, enum heard heard)
{
    if (heard == HEARD_FAIL)
        return complain(3, "memory is out, nothing is written; close something and try again");
    if (heard == HEARD_END && !dialogue_typed(dialogue))
        return complain(2,
            "standard input ended before the last question; nothing is written, give "
            "the answers that are missing");
    if (!screen_settle())
        return 1; /* the end of the program says why */
    dialogue_say(dialogue, "Stopped. Nothing is written.");
    return 1;
}

/* From the first question to the file. */
static int converse(struct dialogue *dialogue, struct draft *draft, const char *wished)
{
    struct buffer text = {0};
    struct way way = {.count = 0};
    int status = 0;
    enum heard heard;
    do {
        char name[SAVE_NAME];
        struct perpend_machine machine = {.name = NULL};
        struct fault fault;
        heard = questions_ask(dialogue, draft, &way, say_means);
        if (heard != HEARD_ANSWER)
            break;
        if (!machine_so_far(draft, &text, &machine, &fault)) {
            status = complain_fault(&fault);
            break;
        }
        struct words words = dialogue_words(dialogue, machine.unit);
        summary_show(&words, &machine);
        dialogue_space(dialogue);
        dialogue_show(dialogue, buffer_text(&words.out));
        bool whole = !words.out.failed;
        buffer_finish(&words.out);
        perpend_machine_finish(&machine);
        save_name_for(draft_answer(draft, DRAFT_NAME, 0), name);
        heard = whole ? save_machine(dialogue, &text, wished != NULL ? wished : name, &status)
                      : HEARD_FAIL;
    } while (heard == HEARD_UNDO);
    buffer_finish(&text);
    return heard == HEARD_ANSWER ? status : ended(dialogue, heard);
}

static int new_machine(const char *path, bool ascii)
{
    struct draft draft = {0};
    struct dialogue *dialogue = dialogue_create(ascii);
    if (dialogue == NULL)
        return complain_memory();
    dialogue_say(dialogue, "A machine file tells perpend about your router or mill. One question "
                           "at a time; Enter alone takes the answer in [brackets]. At any of them: "
                           "help, undo, stop. Nothing is written before the end.");
    dialogue_say(dialogue, "Unplug the spindle before you measure near it.");
    int status = converse(dialogue, &draft, path);
    dialogue_destroy(dialogue);
    draft_finish(&draft);
    return status;
}

int command_new(int argc, char **argv)
{
    bool ascii = false;
    const struct option_row rows[] = {{"ascii", &ascii, NULL}};
    struct options options = {"new", help_new, rows, sizeof rows / sizeof rows[0], NULL, 0};
    int status;
    if (!options_parse(&options, argc, argv, &status))
        return status;
    if (options.operand_count > 1)
        return complain(2, "new: one file at most; 'perpend new --help' says more");
    return new_machine(options.operand_count > 0 ? options.operands[0] : NULL, ascii);
}
