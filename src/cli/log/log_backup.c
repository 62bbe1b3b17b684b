/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/complain.h"
#include "cli/log/log_command.h"
#include "cli/prompt/screen.h"

int log_backup_part(struct log_command *command)
{
    if (command->operand_count != 1)
        return complain(2, "log backup: name one file to put the copy in");
    if (!log_backup(command->book, command->operands[0], command->force, &command->fault))
        return complain_fault(&command->fault);
    log_say(&command->words, "", LOG_COPIED, SLOTS(SLOT_NAME("path", command->operands[0])));
    return screen_print(&command->words);
}
