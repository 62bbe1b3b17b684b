/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/complain.h"
#include "cli/log/log_command.h"
#include "cli/prompt/screen.h"

/* "Kept: crash, Tern." */
static int say_kept(struct log_command *command, int64_t job, enum log_note_kind kind)
{
    log_say(&command->words, "", LOG_KEPT,
        SLOTS(SLOT_TEXT("kind", log_note_word(kind)), SLOT_NAME("machine", command->machine),
            SLOT_COUNT("job", job)));
    return screen_print(&command->words);
}

int log_note_part(struct log_command *command)
{
    const char *kinds[LOG_NOTE_KINDS];
    struct log_about about = {.machine = command->machine};
    size_t kind;
    int first = command->machine ? 0 : 1, status;
    for (int i = 0; i < LOG_NOTE_KINDS; i++)
        kinds[i] = log_note_word((enum log_note_kind)i);
    if ((status = log_command_choice(
             "note", "kind", command->kind, kinds, LOG_NOTE_KINDS, &kind)) != 0)
        return status;
    if (command->operand_count <= first)
        return complain(2,
            command->machine ? "log note: write the note after the machine's name"
                             : "log note: give the job's number (or --machine NAME) and the note");
    if (first > 0 && (status = log_command_job(command, command->operands[0], &about.job)) != 0)
        return status;
    /* all words that follow, so that quotes may be forgotten */
    struct buffer text = {0};
    for (int i = first; i < command->operand_count; i++) {
        buffer_add(&text, i > first ? " " : "");
        buffer_add(&text, command->operands[i]);
    }
    if (text.failed)
        status = complain_memory();
    else if (!log_note(command->book, &about, (enum log_note_kind)kind, buffer_text(&text),
                 &command->fault))
        status = complain_fault(&command->fault);
    else
        status = say_kept(command, about.job, (enum log_note_kind)kind);
    buffer_finish(&text);
    return status;
}
