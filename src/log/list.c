/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Jobs in a line each, and notes on machines. */
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "log/book.h"

/* What a filter leaves of `job` or `note`: days from the first to the last that begin as the dates do. */
#define FILTER                                                                                     \
    "(?1 IS NULL OR machine = ?1) AND day BETWEEN coalesce(?2, '') AND coalesce(?3, '') || '~'"
#define FILTER_VALUES(filter, machine)                                                             \
    (machine) ? log_whole(machine) : log_text(NULL), log_text((filter)->since),                    \
        log_text((filter)->until)
#define JOBS                                                                                       \
    "FROM job WHERE " FILTER                                                                       \
    " AND (?4 = 0 OR (started, id) <= (SELECT started, id FROM job WHERE id = ?4))"

/* A machine that is not in the log, or a date that is none, is a fault. */
static bool check_filter(
    struct log_book *book, const struct log_filter *filter, int64_t *machine, struct fault *fault)
{
    const char *dates[] = {filter->since, filter->until};
    int64_t is_date = 1;
    for (int i = 0; i < 2; i++) {
        /* the days of a month, and the months of a year, begin with it; there is no 30 February */
        if (dates[i] &&
            !log_get(book,
                "SELECT length(?1) IN (4, 7, 10) AND ?1 GLOB '[0-9]*' AND substr(date("
                "?1 || substr('0000-01-01', length(?1) + 1), '+0 days'), 1, length(?1)) IS ?1",
                LOG_WITH(log_text(dates[i])), &is_date, fault))
            return false;
        if (!is_date)
            return fault_set(
                fault, 2, "%s: not a date; write it as 2026-05-06, 2026-05 or 2026", dates[i]);
    }
    *machine = 0;
    return !filter->machine || (log_get(book, "SELECT " LOG_MACHINE("?1"),
                                    LOG_WITH(log_text(filter->machine)), machine, fault) &&
                                   (*machine != 0 || log_no_machine(book, filter->machine, fault)));
}

#define LINES(jobs)                                                                                \
    "FROM line WHERE id IN (" jobs                                                                 \
    ") ORDER BY iif(?6, machine_name, NULL) COLLATE NOCASE, started, id"
#define PICKED "SELECT id " JOBS " ORDER BY started DESC, id DESC LIMIT ?5"
#define EACH "SELECT job FROM last_job WHERE ?1 IS NULL OR machine = ?1"
#define MACHINE_NOTES                                                                              \
    "FROM note WHERE job IS NULL AND " FILTER " AND (?4 IS NULL OR at >= ?4) ORDER BY at, id"

#define AT(field) .at = offsetof(struct log_line, field)
static const struct log_table lines = {"job", sizeof(struct log_line),
    {
        {"id", HOLDS_WHOLE, AT(id)},
        {"started", HOLDS_TIME, AT(started)},
        {"ended", HOLDS_TIME, AT(ended)},
        {"ending", HOLDS_WORD, AT(ending), &log_endings},
        {"machine_name", HOLDS_NAME, AT(machine)},
        {"unit", HOLDS_WORD, AT(unit), &log_units},
        {"goal", HOLDS_MAYBE, AT(goal.ridge)},
        {"measured", HOLDS_COUNT, AT(measurements)},
        {"found", HOLDS_MAYBE, AT(found)},
        {"found_right", HOLDS_MAYBE, AT(lean_found.right)},
        {"found_back", HOLDS_MAYBE, AT(lean_found.back)},
        {"iif(unmeasured, NULL, left)", HOLDS_MAYBE, AT(left)},
        {"found_low", HOLDS_MAYBE, AT(found_low)},
        {"found_high", HOLDS_MAYBE, AT(found_high)},
        {"left_low", HOLDS_MAYBE, AT(left_low)},
        {"left_high", HOLDS_MAYBE, AT(left_high)},
        {"left_right", HOLDS_MAYBE, AT(lean_left.right)},
        {"left_back", HOLDS_MAYBE, AT(lean_left.back)},
        {"unmeasured", HOLDS_FLAG, AT(left_unmeasured)},
        {"coalesce(judged, 'no goal')", HOLDS_WORD, AT(verdict), &log_verdicts},
        {"(SELECT count(*) FROM note WHERE note.job = line.id)", HOLDS_COUNT, AT(notes)},
        {"iif(?6, (SELECT count(*) FROM job WHERE job.machine = line.machine), 1)", HOLDS_COUNT,
            AT(jobs)},
        {"(SELECT text FROM machine_file WHERE machine_file.id = machine_file)", HOLDS_NAME,
            AT(machine_text)},
    }};
static const struct log_table machine_notes = {"note", sizeof(struct log_line),
    {
        {"(SELECT name FROM machine WHERE id = note.machine)", HOLDS_NAME, AT(machine)},
        {"kind", HOLDS_WORD, AT(note.kind), &log_note_kinds},
        {"text", HOLDS_NAME, AT(note.text)},
        {"at", HOLDS_TIME, AT(note.at)},
    }};

/* What the machine files say; jobs that follow one another often have one in common. */
static bool read_files(struct log_rows *jobs, struct fault *fault)
{
    struct log_line *line = jobs->array;
    for (size_t i = 0; i < jobs->count; i++, line++) {
        struct perpend_machine machine;
        struct fault why;
        line->goal.lean = NAN;
        if (i > 0 && strcmp(line->machine_text, line[-1].machine_text) == 0) {
            line->goal.lean = line[-1].goal.lean;
            line->due = line[-1].due;
        } else if (machine_file_parse(
                       line->machine_text, strlen(line->machine_text), "", &machine, &why)) {
            line->goal.lean = machine.goal.lean;
            line->due = machine.due;
            perpend_machine_finish(&machine);
        } else if (why.status == 3) {
            return log_memory_fault(fault);
        }
    }
    return true;
}

/* Notes between the jobs: each before the first that was started after it. */
static bool merge(struct log_list *list, const struct log_rows *jobs, const struct log_rows *notes)
{
    const struct log_line *job = jobs->array, *note = notes->array;
    size_t n = 0;
    list->lines = log_pool_take(&list->pool, (jobs->count + notes->count + 1) * sizeof *job);
    if (!list->lines)
        return false;
    for (size_t i = 0; i <= jobs->count; i++) {
        while (n < notes->count &&
               (i == jobs->count || strcmp(note[n].note.at.utc, job[i].started.utc) < 0))
            list->lines[list->count++] = note[n++];
        if (i < jobs->count)
            list->lines[list->count++] = job[i];
    }
    list->jobs = jobs->count;
    return true;
}

static bool read_lines(struct log_book *book, const struct log_filter *filter,
    struct log_list *list, struct fault *fault)
{
    struct log_rows jobs = {.pool = &list->pool}, notes = {.pool = &list->pool};
    int64_t machine = 0, all = 0;
    const struct log_value upto = log_whole(filter->upto);
    if (!check_filter(book, filter, &machine, fault))
        return false;
    const bool any = machine || filter->since || filter->until || filter->upto;
    const struct log_value last = log_whole(filter->last ? (int64_t)filter->last : -1);
    if (!log_read(book, &lines, filter->each ? LINES(EACH) : LINES(PICKED),
            LOG_WITH(FILTER_VALUES(filter, machine), upto, last, log_whole(filter->each)), &jobs,
            fault) ||
        !read_files(&jobs, fault) ||
        /* without a filter SQLite counts them by an index, without a look at any */
        !log_get(book, any ? "SELECT count(*) " JOBS : "SELECT count(*) FROM job",
            any ? LOG_WITH(FILTER_VALUES(filter, machine), upto) : NULL, &all, fault))
        return false;
    list->all = (size_t)all;
    /* earlier notes belong to jobs that are left out */
    const bool cut = jobs.count > 0 && jobs.count < list->all;
    const char *from = cut ? ((const struct log_line *)jobs.array)->started.utc : NULL;
    if (filter->notes &&
        !log_read(book, &machine_notes, MACHINE_NOTES,
            LOG_WITH(FILTER_VALUES(filter, machine), log_text(from)), &notes, fault))
        return false;
    return merge(list, &jobs, &notes) || log_memory_fault(fault);
}

bool log_list(struct log_book *book, const struct log_filter *filter, struct log_list *list,
    struct fault *fault)
{
    *list = (struct log_list){0};
    return log_begin_read(book, fault) &&
           log_end(book, read_lines(book, filter, list, fault), fault);
}

void log_list_finish(struct log_list *list)
{
    log_pool_finish(&list->pool);
    *list = (struct log_list){0};
}

bool log_last_job(struct log_book *book, const char *machine, int64_t *job, struct fault *fault)
{
    int64_t id = 0;
    return check_filter(book, &(struct log_filter){.machine = machine}, &id, fault) &&
           log_get(book,
               id ? "SELECT id FROM job WHERE machine = ? ORDER BY started DESC, id DESC LIMIT 1"
                  : "SELECT id FROM job ORDER BY started DESC, id DESC LIMIT 1",
               id ? LOG_WITH(log_whole(id)) : NULL, job, fault);
}

bool log_last_machine(struct log_book *book, char **path, struct fault *fault)
{
    struct log_query query =
        log_ask(book, "SELECT path FROM job WHERE path IS NOT NULL ORDER BY id DESC", NULL);
    const bool any = log_row(&query);
    *path = any ? strdup((const char *)sqlite3_column_text(query.statement, 0)) : NULL;
    return log_done(&query, fault) && (*path || !any || log_memory_fault(fault));
}
