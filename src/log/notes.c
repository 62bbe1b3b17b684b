/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "log/book.h"

static bool note_place(
    struct log_book *book, const struct log_about *about, int64_t place[3], struct fault *fault)
{
    place[0] = 0;
    place[1] = about->job;
    place[2] = about->sweep;
    if (about->sweep == 0 && about->job == 0)
        return log_machine_known(book, about->machine ? about->machine : "", &place[0], fault);
    struct log_query query = log_query_open(book,
        about->sweep
            ? "SELECT machine, job.id FROM sweep JOIN job ON job.id = sweep.job WHERE sweep.id = ?"
            : "SELECT machine, id FROM job WHERE id = ?");
    log_bind_int(&query, about->sweep ? about->sweep : about->job);
    if (log_query_row(&query)) {
        place[0] = log_column_int(&query, 0);
        place[1] = log_column_int(&query, 1);
    }
    if (!log_query_close(&query, fault))
        return false;
    return place[0] != 0 || log_missing_fault(book, about->sweep ? "sweep" : "job",
                                about->sweep ? about->sweep : about->job, fault);
}

bool log_note(struct log_book *book, const struct log_about *about, enum log_note_kind kind,
    const char *text, struct fault *fault)
{
    int64_t place[3];
    struct log_time now = log_time_now();
    if (text[strspn(text, " \t\r\n")] == '\0')
        return fault_set(fault, 2, "the note is empty; write what happened");
    if (!log_begin(book, fault))
        return false;
    bool ok = note_place(book, about, place, fault);
    if (ok) {
        struct log_query query = log_query_open(book,
            "INSERT INTO note (machine, job, sweep, kind, text, at, at_offset) "
            "VALUES (?, ?, ?, ?, ?, ?, ?)");
        log_bind_int(&query, place[0]);
        log_bind_id(&query, place[1]);
        log_bind_id(&query, place[2]);
        log_bind_text(&query, log_note_word(kind));
        log_bind_text(&query, text);
        log_bind_time(&query, &now);
        ok = log_query_run(&query, fault);
    }
    return log_end(book, ok, fault);
}

struct log_note log_note_read(struct log_query *query, int column)
{
    struct log_note note = {
        .id = log_column_int(query, column),
        .at = log_column_time(query, column + 1),
        .job = log_column_int(query, column + 4),
        .sweep = log_column_int(query, column + 5),
        .text = log_column_name(query, column + 6),
    };
    const char *word = log_column_word(query, column + 3);
    if (!word || !log_note_kind(word, &note.kind))
        log_query_damaged(query);
    return note;
}
