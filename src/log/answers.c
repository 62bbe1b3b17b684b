/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Answers: worked out from the readings, kept so that nobody has to wait for them. */
#include <math.h>

#include "log/book.h"

/* The log's number of a sweep of record->job. */
static int64_t sweep_id(const struct log_record *record, size_t in_job)
{
    for (size_t i = 0; i < record->sweep_count; i++)
        if (record->sweeps[i].in_job == in_job)
            return record->sweeps[i].id;
    return 0;
}

static bool add_answer(struct log_book *book, const struct log_record *record, size_t ordinal,
    const struct perpend_measurement *measurement, struct fault *fault)
{
    const struct perpend_fit *fit = &measurement->fit;
    struct log_time now = log_time_now();
    struct log_query query = log_query_open(book,
        "INSERT INTO answer (job, ordinal, " LOG_ANSWER_COLUMNS ") VALUES (?, ?, ?, ?, ?, ?, ?, ?, "
        "?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
    size_t last = measurement->first_sweep + measurement->sweep_count - 1;
    log_bind_int(&query, record->id);
    log_bind_int(&query, (int64_t)ordinal + 1);
    log_bind_int(&query, sweep_id(record, measurement->first_sweep));
    log_bind_int(&query, sweep_id(record, last));
    log_bind_int(&query, (int64_t)measurement->reading_count);
    log_bind_real(&query, fit->lean.right);
    log_bind_real(&query, fit->lean.back);
    log_bind_real(&query, fit->lean_covariance.right_right);
    log_bind_real(&query, fit->lean_covariance.right_back);
    log_bind_real(&query, fit->lean_covariance.back_back);
    log_bind_int(&query, fit->includes_bed);
    log_bind_real(&query, fit->bed_separated ? fit->bed.right : NAN);
    log_bind_real(&query, fit->bed_separated ? fit->bed.back : NAN);
    log_bind_real(&query, measurement->ridge.height);
    log_bind_real(&query, measurement->distribution.low);
    log_bind_real(&query, measurement->distribution.high);
    log_bind_real(&query, measurement->distribution.chance);
    log_bind_text(&query, log_verdict_word(measurement->verdict));
    log_bind_time(&query, &now);
    log_bind_text(&query, PERPEND_VERSION);
    return log_query_run(&query, fault);
}

bool log_answers_store(struct log_book *book, const struct log_record *record,
    const struct perpend_solution *solution, struct fault *fault)
{
    if (!log_begin(book, fault))
        return false;
    struct log_query query = log_query_open(book, "DELETE FROM answer WHERE job = ?");
    log_bind_int(&query, record->id);
    bool ok = log_query_run(&query, fault);
    for (size_t i = 0; i < solution->measurement_count && ok; i++)
        ok = add_answer(book, record, i, &solution->measurements[i], fault);
    return log_end(book, ok, fault);
}

struct log_answer log_answer_read(struct log_query *query, int column)
{
    struct log_answer answer = {
        .first_sweep = log_column_int(query, column),
        .last_sweep = log_column_int(query, column + 1),
        .readings = (size_t)log_column_int(query, column + 2),
        .lean = {log_column_number(query, column + 3), log_column_number(query, column + 4)},
        .covariance = {log_column_number(query, column + 5), log_column_number(query, column + 6),
            log_column_number(query, column + 7)},
        .includes_bed = log_column_int(query, column + 8) != 0,
        .ridge = log_column_number(query, column + 11),
        .low = log_column_number(query, column + 12),
        .high = log_column_number(query, column + 13),
        .chance = log_column_real(query, column + 14),
        .verdict = log_column_verdict(query, column + 15),
        .at = log_column_time(query, column + 16),
        .program = log_column_text(query, column + 18),
    };
    answer.bed = (struct perpend_slope){
        log_column_real(query, column + 9), log_column_real(query, column + 10)};
    answer.bed_separated = !isnan(answer.bed.right) && !isnan(answer.bed.back);
    if (!answer.bed_separated)
        answer.bed = (struct perpend_slope){0, 0};
    return answer;
}
