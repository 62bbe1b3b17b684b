/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The maintenance log: which part of the command, with which options. */
#include <stdio.h>
#include <string.h>

#include "cli/commands.h"
#include "cli/log/log_command.h"
#include "cli/options.h"

const char help_log[] =
    "perpend log [list] [--machine NAME] [--since DATE] [--until DATE] [--last N]\n"
    "perpend log show [N]                     one job, whole; the latest without N\n"
    "perpend log note N TEXT [--kind KIND]    add a note to a job\n"
    "perpend log note --machine NAME TEXT     or to a machine\n"
    "perpend log export N | --all [--format jsonl | csv | job | machine]\n"
    "perpend log check [N] [--quick]          is it sound, do the answers follow\n"
    "perpend log backup FILE [--force]        copy it, also while it is in use\n"
    "\n"
    "Every job that 'perpend sweep' has led: readings, answers, what was done, notes.\n"
    "\n"
    "  --log FILE      another log than that of this user\n"
    "  --machine NAME  only this machine's\n"
    "  --since DATE    from this day on: 2026-05-06, 2026-05 or 2026\n"
    "  --until DATE    up to and with this day, month or year\n"
    "  --last N        only the last N jobs; 20 without it, or all\n"
    "  --kind KIND     note, crash, bit (a new one), move or repair\n"
    "  --all           export every job, or those that the filters leave\n"
    "  --format NAME   jsonl: all there is, one job a line; csv: the readings; job,\n"
    "                  machine: the two files from which solve gives the same answer\n"
    "  --quick         check the file, and do not work the answers out anew\n"
    "  --force         replace a backup that is there\n"
    "  --ascii         no characters beyond ASCII\n"
    "  --help          this\n"
    "\n"
    "Exit status: 0 done, nothing found; 1 the check found something; 2 the command\n"
    "line is wrong, or the file is no log; 3 the log or the disk failed.\n";

enum { no_option, log_o = 1, machine_o = 2, since_o = 4, until_o = 8, last_o = 16, kind_o = 32 };
enum { all_o = 64, format_o = 128, quick_o = 256, force_o = 512, ascii_o = 1024 };
enum { filter_o = machine_o | since_o | until_o | last_o };

static const struct part {
    const char *name;
    int (*run)(const struct log_options *options);
    unsigned takes; /* beside --log */
} parts[] = {
    {"list", log_list_part, filter_o | ascii_o},
    {"show", log_show_part, machine_o | ascii_o},
    {"note", log_note_part, machine_o | kind_o},
    {"export", log_export_part, filter_o | all_o | format_o},
    {"check", log_check_part, quick_o | ascii_o},
    {"backup", log_backup_part, force_o},
};
static const size_t part_count = sizeof parts / sizeof parts[0];

static int no_such_part(const char *name)
{
    const char *names[sizeof parts / sizeof parts[0]];
    for (size_t i = 0; i < part_count; i++)
        names[i] = parts[i].name;
    const char *meant = name_meant(name, names, part_count);
    if (meant)
        return complain(2, "log: there is no '%s'; did you mean 'perpend log %s'?", name, meant);
    return complain(2, "log: there is no '%s'; 'perpend log --help' lists what there is", name);
}

/* An option that the part would have to ignore is a mistake. */
static bool fits(const struct part *part, const struct log_options *given, int *status)
{
    const struct {
        const char *name;
        unsigned bit;
        bool there;
    } options[] = {
        {"machine", machine_o, given->machine != NULL},
        {"since", since_o, given->since != NULL},
        {"until", until_o, given->until != NULL},
        {"last", last_o, given->last != NULL},
        {"kind", kind_o, given->kind != NULL},
        {"all", all_o, given->all},
        {"format", format_o, given->format != NULL},
        {"quick", quick_o, given->quick},
        {"force", force_o, given->force},
        {"ascii", ascii_o, given->ascii},
    };
    for (size_t i = 0; i < sizeof options / sizeof options[0]; i++)
        if (options[i].there && !(part->takes & options[i].bit)) {
            *status =
                complain(2, "log %s: --%s does not go with it; 'perpend log --help' says what does",
                    part->name, options[i].name);
            return false;
        }
    return true;
}

int command_log(int argc, char **argv)
{
    struct log_options given = {0};
    const struct option_row rows[] = {
        {"log", NULL, &given.log},
        {"machine", NULL, &given.machine},
        {"since", NULL, &given.since},
        {"until", NULL, &given.until},
        {"last", NULL, &given.last},
        {"kind", NULL, &given.kind},
        {"format", NULL, &given.format},
        {"all", &given.all, NULL},
        {"quick", &given.quick, NULL},
        {"force", &given.force, NULL},
        {"ascii", &given.ascii, NULL},
    };
    struct options options = {"log", help_log, rows, sizeof rows / sizeof rows[0], NULL, 0};
    const struct part *part = &parts[0];
    int status;
    if (!options_parse(&options, argc, argv, &status))
        return status;
    given.operands = options.operands;
    given.operand_count = options.operand_count;
    if (given.operand_count > 0) {
        const char *name = *given.operands++;
        given.operand_count--;
        while (part < parts + part_count && strcmp(name, part->name) != 0)
            part++;
        if (part == parts + part_count)
            return no_such_part(name);
    }
    return fits(part, &given, &status) ? part->run(&given) : status;
}

/* ---- what the parts share ------------------------------------------------------------------ */

struct log_book *log_command_open(
    const struct log_options *options, enum log_access access, int *status)
{
    struct log_book *book = NULL;
    struct fault fault = {.status = 0};
    if (log_open(options->log, access, &book, &fault))
        return book;
    *status = complain_fault(&fault);
    return NULL;
}

bool log_command_job(struct log_book *book, const struct log_options *options, const char *text,
    int64_t *job, int *status)
{
    struct fault fault = {.status = 0};
    if (text && !job_number(text, job)) {
        *status = complain(
            2, "log: '%s' is not the number of a job; 'perpend log list' shows them", text);
        return false;
    }
    if (text && *job > 0)
        return true;
    if (!log_last_job(book, options->machine, job, &fault)) {
        *status = complain_fault(&fault);
        return false;
    }
    if (*job == 0)
        *status = complain(
            2, "%s: there is no job in the log yet; 'perpend sweep' starts one", log_path(book));
    return *job != 0;
}

bool log_command_filter(const struct log_options *options, struct log_filter *filter, int *status)
{
    static const struct options named = {.command = "log"};
    uint64_t last = 0;
    if (options->last && strcmp(options->last, "all") != 0 &&
        !value_count(&named, "last", options->last, 1, SIZE_MAX / 2, &last, status))
        return false;
    *filter = (struct log_filter){
        .machine = options->machine,
        .since = options->since,
        .until = options->until,
        .last = (size_t)last,
    };
    return true;
}
