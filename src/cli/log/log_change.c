/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What can be added to the log without a session: notes, corrections, measured ridges, another name
   for a machine, jobs from files. */
#include <math.h>
#include <string.h>

#include <perpend/status.h>

#include "cli/complain.h"
#include "cli/job_files.h"
#include "cli/log/log_command.h"

/* ---- notes --------------------------------------------------------------------------------- */

int log_note_part(struct log_command *command)
{
    const char *kinds[LOG_NOTE_KINDS];
    struct log_about about = {.machine = command->machine};
    size_t kind;
    int first = command->machine ? 0 : 1, status;
    for (int i = 0; i < LOG_NOTE_KINDS; i++)
        kinds[i] = log_note_word((enum log_note_kind)i);
    if ((status = log_command_choice(
             "log note: there is no kind", command->kind, kinds, LOG_NOTE_KINDS, &kind)) != 0)
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
    bool ok = text.failed ? fault_out_of_memory(&command->fault)
                          : log_note(command->book, &about, (enum log_note_kind)kind,
                                buffer_text(&text), &command->fault);
    buffer_finish(&text);
    return !ok ? complain_fault(&command->fault)
               : log_say_last(command, LOG_KEPT,
                     SLOTS(SLOT_TEXT("kind", kinds[kind]), SLOT_NAME("machine", command->machine),
                         SLOT_COUNT("job", about.job)));
}

/* ---- a reading put right ------------------------------------------------------------------- */

/* The reading that is meant: those that count at a bearing, show a value, and stand in a sweep when
   one is named. Value: how many there are; the last of them. */
static size_t find_reading(const struct log_record *record, const char *sweep,
    const struct perpend_reading *was, const struct log_sweep **in,
    const struct log_reading **found)
{
    const double step = record->machine.setup.gauge.step;
    size_t count = 0;
    for (size_t s = 0; s < record->sweep_count; s++)
        for (size_t i = 0; i < record->sweeps[s].reading_count + record->sweeps[s].cut_count; i++) {
            const struct log_reading *reading = &record->sweeps[s].readings[i];
            if (!reading->counts || (sweep && strcmp(sweep, record->sweeps[s].name) != 0) ||
                fabs(remainder(reading->reading.bearing - was->bearing, 2 * PERPEND_PI)) > 1e-6 ||
                fabs(reading->reading.value - was->value) > 0.01 * step)
                continue;
            *in = &record->sweeps[s];
            *found = reading;
            count++;
        }
    return count;
}

static int correct(struct log_command *command, struct log_record *record)
{
    char **words = command->operands;
    const enum perpend_unit unit = record->machine.unit;
    struct perpend_reading was = {0}, is;
    const struct log_sweep *in = NULL;
    const struct log_reading *found = NULL;
    bool mine = true;
    if (!record->readable)
        return complain_fault(&record->why);
    if (perpend_bearing_parse(words[1], &was.bearing) != PERPEND_OK)
        return complain(
            2, "log correct: '%s' is no bearing; write front, back-right, NE or degrees", words[1]);
    double value = 0;
    for (int i = 2; i < 4; i++) {
        if (perpend_length_parse(words[i], unit, &value) != PERPEND_OK)
            return complain(
                2, "log correct: '%s' is no reading; write it as it was read, 0.55", words[i]);
        if (i == 2)
            was.value = value;
    }
    size_t count = find_reading(record, command->sweep, &was, &in, &found);
    if (count != 1)
        return complain(2,
            count == 0 ? "log correct: job %lld has no reading of %s at %s; 'perpend log show %s' "
                         "has them"
                       : "log correct: job %lld has more than one reading of %s at %s; add --sweep "
                         "with its name from 'perpend log show %s'",
            (long long)record->id, words[2], words[1], words[0]);
    is = found->reading;
    is.value = value;
    if ((record->ending == LOG_OPEN &&
            !log_claim(command->book, record->id, &mine, &command->fault)))
        return complain_fault(&command->fault);
    if (!mine)
        return complain(2,
            "log correct: a session is at work on job %lld; correct the reading there",
            (long long)record->id);
    if (!log_reading_correct(
            command->book, found->id, &is, words[3], command->why, &command->fault) ||
        !log_answers_renew(command->book, record->id, &command->fault))
        return complain_fault(&command->fault);
    command->words.unit = unit;
    return log_say_last(command, LOG_PUT_RIGHT,
        SLOTS(SLOT_COUNT("job", record->id), SLOT_NAME("sweep", in->name),
            SLOT_BEARING("bearing", is.bearing),
            SLOT_READING("was", was.value, record->machine.setup.gauge.step),
            SLOT_READING("is", is.value, record->machine.setup.gauge.step)));
}

int log_correct_part(struct log_command *command)
{
    struct log_record record;
    int64_t job = 0;
    if (command->operand_count != 4)
        return complain(2, "log correct: give the job, the bearing, what stands there and what is "
                           "right, as in 'perpend log correct 7 front 1.05 1.00'");
    int status = log_command_job(command, command->operands[0], &job);
    if (status != 0)
        return status;
    status = log_load(command->book, job, &record, &command->fault)
                 ? correct(command, &record)
                 : complain_fault(&command->fault);
    log_record_finish(&record);
    return status;
}

/* ---- a measured ridge ---------------------------------------------------------------------- */

int log_measured_part(struct log_command *command)
{
    static const char *const ways[] = {"X", "Y"};
    struct log_record record;
    int64_t job = 0;
    double ridge = 0;
    size_t way = 0;
    if (command->operand_count != 2)
        return complain(2, "log measured: give the job and the ridge, as in 'perpend log measured "
                           "last 0.03'");
    int status = log_command_job(command, command->operands[0], &job);
    if (status == 0 && command->along)
        status = log_command_choice("log measured: there is no way", command->along, ways, 2, &way);
    if (status != 0)
        return status;
    if (!log_load(command->book, job, &record, &command->fault))
        return complain_fault(&command->fault);
    const struct perpend_measured *before = &record.job.measured;
    const bool along_y =
        command->along ? way == 1 : fabs(cos(record.machine.facing.along)) > sqrt(0.5);
    double x = before->stated ? before->along_x : NAN, y = before->stated ? before->along_y : NAN;
    command->words.unit = record.machine.unit;
    log_record_finish(&record);
    if (perpend_length_parse(command->operands[1], command->words.unit, &ridge) != PERPEND_OK ||
        ridge < 0)
        return complain(
            2, "log measured: '%s' is no ridge; write a length such as 0.03", command->operands[1]);
    if (!log_measured_add(
            command->book, job, along_y ? x : ridge, along_y ? ridge : y, &command->fault))
        return complain_fault(&command->fault);
    return log_say_last(command, LOG_MEASURED_KEPT,
        SLOTS(SLOT_COUNT("job", job), SLOT_TEXT("way", ways[along_y]), SLOT_RIDGE("ridge", ridge)));
}

/* ---- another name, another file -------------------------------------------------------------- */

int log_rename_part(struct log_command *command)
{
    if (command->operand_count != 2)
        return complain(2, "log rename: give the machine's name and the new one");
    if (!log_rename(command->book, command->operands[0], command->operands[1], &command->fault))
        return complain_fault(&command->fault);
    return log_say_last(command, LOG_RENAMED,
        SLOTS(SLOT_NAME("was", command->operands[0]), SLOT_NAME("is", command->operands[1])));
}

int log_import_part(struct log_command *command)
{
    struct job_files files;
    int64_t id = 0;
    bool known = false;
    if (command->operand_count != 2)
        return complain(2, "log import: give a machine file and a job file");
    int status = job_files_solve(&files, command->operands[0], command->operands[1]);
    if (status == 0) {
        const struct log_start start = {
            &files.machine, files.machine_path, files.machine_text, files.machine_length, NULL};
        status = log_import(command->book, &start, &files.job, &id, &known, &command->fault)
                     ? log_say_last(command, LOG_IMPORTED,
                           SLOTS(SLOT_IF("known", known), SLOT_COUNT("job", id)))
                     : complain_fault(&command->fault);
    }
    job_files_finish(&files);
    return status;
}
