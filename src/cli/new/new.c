/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "cli/commands.h"
#include "cli/new/questions.h"
#include "cli/options.h"
#include "cli/prompt/screen.h"
#include "cli/prompt/shell_word.h"
#include "log/whole_file.h"

const char help_new[] =
#include "cli/new/help.inc"
    ;

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

struct talk {
    struct dialogue *dialogue;
    struct draft draft;
    struct path path;
    int status;
};

/* What cannot be written to one file may go to another: that question is asked again. */
static enum heard save(struct talk *talk, const struct buffer *text)
{
    struct fault fault = {0};
    struct buffer command = {0};
    const char *path = draft_text(&talk->draft, "file"), *changed = talk->draft.changed;
    enum whole_file written = whole_file_write(path, buffer_text(text), text->length,
        changed != NULL && strcmp(path, changed) == 0, &fault);
    if (written == WHOLE_FILE_EXISTS)
        fault_set(&fault, 2, "%s: is there already; give another name", path);
    if (written != WHOLE_FILE_WRITTEN && dialogue_typed(talk->dialogue)) {
        dialogue_say(talk->dialogue, "%s", fault.text);
        /* Enter must not try the same name again */
        return draft_keep(&talk->draft, "file", changed != NULL ? changed : "", false) ? HEARD_UNDO
                                                                                       : HEARD_FAIL;
    }
    if (written != WHOLE_FILE_WRITTEN) {
        talk->status = complain_fault(&fault);
        return HEARD_ANSWER;
    }
    shell_word_add(&command, path);
    dialogue_space(talk->dialogue);
    dialogue_say(talk->dialogue, "Written: %s\nNext, at the machine: perpend sweep %s", path,
        buffer_text(&command));
    buffer_finish(&command);
    return HEARD_ANSWER;
}

/* From the first question to the file. */
static enum heard converse(struct talk *talk)
{
    enum heard heard;
    for (;;) {
        struct buffer text = {0};
        heard = questions_ask(talk->dialogue, &talk->draft, &talk->path);
        if (heard == HEARD_UNDO) {
            dialogue_say(talk->dialogue, "This is the first question.");
            continue;
        }
        if (heard == HEARD_ANSWER)
            heard =
                questions_write(&talk->draft, NULL, NULL, &text) ? save(talk, &text) : HEARD_FAIL;
        buffer_finish(&text);
        if (heard != HEARD_UNDO)
            return heard;
        talk->path.count--; /* the file's name is asked again */
    }
}

/* A file that is there already is where the answers start. */
static bool start_from(struct draft *draft, const char *path, struct fault *fault)
{
    struct perpend_machine machine;
    struct stat there;
    char *text = NULL;
    size_t length;
    if (stat(path, &there) != 0 || !S_ISREG(there.st_mode))
        return true;
    bool good = file_read_text(path, &text, &length, fault) &&
                machine_file_parse(text, length, path, &machine, fault);
    if (good)
        perpend_machine_finish(&machine);
    good = good && draft_read(draft, text, length, fault);
    draft->changed = path;
    free(text);
    return good;
}

static int new_machine(const char *path, bool ascii)
{
    struct talk talk = {.status = 0};
    struct fault fault;
    enum heard heard;
    if (path != NULL && !start_from(&talk.draft, path, &fault))
        talk.status = complain_fault(&fault);
    else if ((path != NULL && !draft_keep(&talk.draft, "file", path, false)) ||
             (talk.dialogue = dialogue_create(ascii)) == NULL)
        talk.status = complain_memory();
    else {
        dialogue_say(talk.dialogue,
            "A machine file tells perpend about your router or mill. Enter alone takes the answer "
            "in [brackets]; help, undo and stop work at every question. Nothing is written before "
            "the end. Unplug the spindle before you measure near it.");
        heard = converse(&talk);
        if (heard != HEARD_ANSWER)
            talk.status = ended(talk.dialogue, heard);
        dialogue_destroy(talk.dialogue);
    }
    draft_finish(&talk.draft);
    return talk.status;
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
