/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What one job leaves to the next: shims in the mount, leaves on hand, what the mount was seen to do. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "log/book.h"

#define NOTHING 1e-4 /* mm of shim that is none */

static bool carry_shims(const struct perpend_mount *old, const double *inside,
    const struct perpend_mount *mount, struct perpend_job *head)
{
    head->inside_count = 0;
    head->inside = calloc((size_t)PERPEND_JOINTS_MOST * PERPEND_BOLTS_MOST, sizeof *head->inside);
    if (!head->inside)
        return false;
    for (size_t j = 0; j < old->joint_count; j++)
        for (size_t b = 0; b < old->joints[j].bolt_count; b++, inside++) {
            struct perpend_did is = {.move = PERPEND_MOVE_SHIM, .amount.value = *inside};
            if (*inside > NOTHING &&
                log_find_bolt(mount, old->joints[j].name, old->joints[j].bolts[b].name, &is))
                head->inside[head->inside_count++] = is;
        }
    return true;
}

static bool same_leaf(const struct perpend_leaf *a, const struct perpend_leaf *b)
{
    return a->thick == b->thick && a->count == b->count &&
           strcmp(a->name ? a->name : "", b->name ? b->name : "") == 0;
}

/* What is left of each kind; where the file now says another count, somebody has counted. */
static bool carry_stock(const struct perpend_stock *old, const unsigned *left,
    const struct perpend_stock *stock, struct perpend_job *head)
{
    head->stock_count = stock->leaf_count;
    head->stock = stock->leaf_count > 0 ? calloc(stock->leaf_count, sizeof *head->stock) : NULL;
    if (stock->leaf_count > 0 && !head->stock)
        return false;
    for (size_t i = 0; i < stock->leaf_count; i++) {
        head->stock[i] = stock->leaves[i].count;
        for (size_t k = 0; k < old->leaf_count; k++)
            if (same_leaf(&stock->leaves[i], &old->leaves[k]))
                head->stock[i] = left[k];
    }
    return true;
}

/* Of the head only the stock can be otherwise. */
bool log_head_for(struct log_book *book, int64_t job, const struct perpend_machine *machine,
    char **text, struct fault *fault)
{
    struct log_record record;
    *text = NULL;
    if (!log_load(book, job, &record, fault))
        return false;
    bool ok = true;
    if (record.head && record.readable) {
        struct perpend_job head = record.job;
        ok = !head.stock ||
             carry_stock(&record.machine.stock, record.job.stock, &machine->stock, &head);
        *text = ok ? job_head_write(machine, &head) : NULL;
        ok = *text != NULL || log_memory_fault(fault);
        if (head.stock != record.job.stock)
            free(head.stock);
    }
    log_record_finish(&record);
    return ok;
}

bool log_carry(struct log_book *book, const struct log_start *start, struct perpend_job *head,
    int64_t *from, struct fault *fault)
{
    struct log_solved last;
    char *name = log_machine_name(start->machine, start->path);
    *from = 0;
    bool ok =
        name ? log_get(book,
                   "SELECT id FROM job WHERE machine = " LOG_MACHINE(
                       "?1") " AND EXISTS (SELECT 1 FROM answer WHERE answer.job = job.id) ORDER "
                             "BY started DESC, id DESC LIMIT 1",
                   LOG_WITH(log_text(name)), from, fault)
             : log_memory_fault(fault);
    free(name);
    if (!ok || *from == 0)
        return ok;
    if (!log_solve(book, *from, &last, fault))
        return false;
    if (last.solution.measurement_count > 0) {
        head->has_learned = perpend_solution_learned(&last.solution, &head->learned);
        ok = carry_shims(
                 &last.record.machine.mount, last.solution.inside, &start->machine->mount, head) &&
             carry_stock(&last.record.machine.stock, last.solution.leaves_left,
                 &start->machine->stock, head);
    } else {
        *from = 0; /* what cannot be worked out leaves nothing */
    }
    log_solved_finish(&last);
    return ok || log_memory_fault(fault);
}
