/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The maintenance log: which part of the command, with which options. */
#include <stdio.h>
#include <string.h>

#include "cli/commands.h"
#include "cli/log/log_command.h"
#include "cli/options.h"
#include "cli/prompt/screen.h"

const char help_log[] =
#include "cli/log/help.inc"
    ;

#define FILTER " machine since until last "
static const struct part {
    const char *name;
    int (*run)(struct log_command *command);
    enum log_access access;
    const char *takes; /* options beside --log, each between blanks */
} parts[] = {
    {"list", log_list_part, LOG_READ, FILTER "ascii "},
    {"machines", log_machines_part, LOG_READ, " ascii "},
    {"show", log_show_part, LOG_READ, " machine ascii "},
    {"note", log_note_part, LOG_ADD, " machine kind "},
    {"correct", log_correct_part, LOG_ADD, " sweep why "},
    {"measured", log_measured_part, LOG_ADD, " along "},
    {"rename", log_rename_part, LOG_ADD, ""},
    {"import", log_import_part, LOG_WRITE, ""},
    {"export", log_export_part, LOG_READ, FILTER "all format "},
    {"check", log_check_part, LOG_READ, " quick ascii "},
    {"backup", log_backup_part, LOG_READ, " force "},
};
#define PARTS (sizeof parts / sizeof parts[0])

static const struct part *find_part(const char *name, int *status)
{
    const char *names[PARTS];
    size_t which;
    for (size_t i = 0; i < PARTS; i++)
        names[i] = parts[i].name;
    *status = log_command_choice("log: there is no", name, names, PARTS, &which);
    return *status == 0 ? &parts[which] : NULL;
}

static int run_part(const struct part *part, struct log_command *command)
{
    if (!log_open(command->log, part->access, &command->book, &command->fault))
        return complain_fault(&command->fault);
    command->words = screen_words(PERPEND_UNIT_MM, command->ascii);
    int status = part->run(command);
    log_close(command->book);
    buffer_finish(&command->words.out);
    return status;
}

int command_log(int argc, char **argv)
{
    struct log_command given = {0};
    const struct option_row rows[] = {
        {"machine", NULL, &given.machine},
        {"since", NULL, &given.since},
        {"until", NULL, &given.until},
        {"last", NULL, &given.last},
        {"kind", NULL, &given.kind},
        {"format", NULL, &given.format},
        {"sweep", NULL, &given.sweep},
        {"why", NULL, &given.why},
        {"along", NULL, &given.along},
        {"all", &given.all, NULL},
        {"quick", &given.quick, NULL},
        {"force", &given.force, NULL},
        {"ascii", &given.ascii, NULL},
        {"log", NULL, &given.log},
    };
    const size_t count = sizeof rows / sizeof rows[0];
    struct options options = {"log", help_log, rows, count, NULL, 0};
    const struct part *part = &parts[0];
    int status;
    if (!options_parse(&options, argc, argv, &status))
        return status;
    given.operands = options.operands;
    given.operand_count = options.operand_count;
    if (given.operand_count > 0) {
        part = find_part(*given.operands++, &status);
        given.operand_count--;
    }
    /* an option that the part would have to ignore is a mistake */
    for (size_t i = 0; part && i + 1 < count; i++) {
        char word[32];
        snprintf(word, sizeof word, " %s ", rows[i].name);
        if ((rows[i].flag ? *rows[i].flag : *rows[i].text != NULL) && !strstr(part->takes, word))
            return complain(2,
                "log %s: --%s does not go with it; 'perpend log --help' says what does", part->name,
                rows[i].name);
    }
    return part ? run_part(part, &given) : status;
}

/* ---- what the parts share ------------------------------------------------------------------ */

int log_command_job(struct log_command *command, const char *word, int64_t *job)
{
    *job = 0;
    if (word && !job_number(word, job))
        return complain(
            2, "log: '%s' is not the number of a job; 'perpend log list' shows them", word);
    if (*job > 0)
        return 0;
    if (!log_last_job(command->book, command->machine, job, &command->fault))
        return complain_fault(&command->fault);
    return *job != 0 ? 0
                     : complain(2, "%s: no job is in the log yet; 'perpend sweep' starts one",
                           log_path(command->book));
}

int log_command_filter(struct log_command *command, struct log_filter *filter)
{
    static const struct options named = {.command = "log"};
    double last = 0;
    int status = 0;
    const struct option_value value = {"last", command->last, VALUE_COUNT, &last, 1, 1e9};
    if (command->last && strcmp(command->last, "all") != 0 &&
        !values_take(&named, &value, 1, PERPEND_UNIT_MM, &status))
        return status;
    *filter = (struct log_filter){
        .machine = command->machine,
        .since = command->since,
        .until = command->until,
        .last = (size_t)last,
    };
    return 0;
}

int log_command_choice(
    const char *lead, const char *word, const char *const *names, size_t count, size_t *which)
{
    struct buffer line = {0};
    for (*which = 0; *which < count; ++*which)
        if (!word || strcmp(word, names[*which]) == 0)
            return 0;
    buffer_addf(&line, "%s '%s'", lead, word);
    int status = complain_unknown(buffer_text(&line), word, "", names, count);
    buffer_finish(&line);
    return status;
}

const char *const log_sentences[LOG_SENTENCES] = {
#define SENTENCE(name, text) [name] = (text),
#include "cli/log/sentences.inc"
#undef SENTENCE
};

void log_say(
    struct words *words, const char *lead, enum log_sentence sentence, const struct slot *slots)
{
    say_sentence(words, lead, log_sentences[sentence], slots);
}

int log_say_last(struct log_command *command, enum log_sentence sentence, const struct slot *slots)
{
    log_say(&command->words, "", sentence, slots);
    return screen_print(&command->words);
}
