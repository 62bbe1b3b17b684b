/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is in the mount from the last job, what is left of the stock: one question, and corrections. */
#include "cli/sweep/session.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/units.h>

#include "cli/complain.h"

/* "top left 0.50 mm, top right 0.50 mm" */
static void add_inside(const struct session *session, struct buffer *phrase)
{
    const struct perpend_job *head = &session->carried;
    const struct perpend_mount *mount = &session->machine.mount;
    for (size_t i = 0; i < head->inside_count; i++) {
        const struct perpend_did *is = &head->inside[i];
        session_fill(session, phrase, INSIDE_BOLT,
            SLOTS(SLOT_IF("last", i + 1 == head->inside_count),
                SLOT_NAME("bolt", mount->joints[is->joint].bolts[is->bolt].name),
                SLOT_THICKNESS("shim", is->amount.value)));
    }
}

/* "0 of 10 drink can (0.1 mm)": the kinds of which some are used. */
static void add_stock(const struct session *session, struct buffer *phrase)
{
    const struct perpend_job *head = &session->carried;
    const struct perpend_leaf *leaves = session->machine.stock.leaves;
    size_t left = 0;
    for (size_t i = 0; i < head->stock_count; i++)
        left += head->stock[i] < leaves[i].count;
    for (size_t i = 0; i < head->stock_count; i++)
        if (head->stock[i] < leaves[i].count)
            session_fill(session, phrase, STOCK_LEFT,
                SLOTS(SLOT_IF("last", --left == 0), SLOT_COUNT("count", head->stock[i]),
                    SLOT_COUNT("all", leaves[i].count), SLOT_NAME("name", leaves[i].name),
                    SLOT_TEXT("thick", SHOWN_READING(session, leaves[i].thick))));
}

/* ---- corrections ----------------------------------------------------------------------------- */

static bool check_count(const char *answer, void *opaque, char *complaint, size_t size)
{
    double *count = opaque;
    snprintf(complaint, size, "%s", session_sentences[STOCK_UNKNOWN]);
    return perpend_number_parse(answer, count) == PERPEND_OK && *count >= 0 && *count <= 1000 &&
           *count == floor(*count);
}

/* How many are left of each kind of leaf; undo goes back to the first. */
static enum heard ask_stock(struct session *session)
{
    struct perpend_job *head = &session->carried;
    enum heard heard = HEARD_ANSWER;
    for (size_t i = 0; i < head->stock_count && heard == HEARD_ANSWER; i++) {
        const struct perpend_leaf *leaf = &session->machine.stock.leaves[i];
        char standing[24], answer[ANSWER_SIZE];
        double count = 0;
        snprintf(standing, sizeof standing, "%u", head->stock[i]);
        heard = session_ask(session,
            (struct question){.standing = standing, .check = check_count, .context = &count},
            STOCK_PROMPT, STOCK_HELP,
            SLOTS(SLOT_NAME("name", leaf->name),
                SLOT_TEXT("thick", SHOWN_READING(session, leaf->thick))),
            answer);
        if (heard == HEARD_ANSWER)
            head->stock[i] = (unsigned)count;
    }
    return heard;
}

/* All that is in the mount, bolt by bolt, then the stock. */
static enum heard ask_all(struct session *session)
{
    struct perpend_job *head = &session->carried;
    struct did_list list;
    enum heard heard = session_ask_bolts(session, &list);
    if (heard != HEARD_ANSWER)
        return heard;
    head->inside_count = 0;
    for (size_t i = 0; i < list.count; i++)
        if (list.of[i].move == PERPEND_MOVE_SHIM && list.of[i].amount.value > 0)
            head->inside[head->inside_count++] = list.of[i];
    do
        heard = ask_stock(session);
    while (heard == HEARD_UNDO);
    return heard;
}

/* ---- the question ------------------------------------------------------------------------------ */

enum next session_carry(struct session *session)
{
    int64_t from = 0;
    struct buffer inside = {0}, stock = {0};
    bool so = true;
    if (!log_carry(session->book, &session->start, &session->carried, &from, &session->fault))
        return NEXT_FAIL;
    session->start.head = &session->carried;
    if (session->wishes->who) {
        session->carried.who = strdup(session->wishes->who);
        if (!session->carried.who) {
            fault_out_of_memory(&session->fault);
            return NEXT_FAIL;
        }
    }
    enum heard heard = HEARD_ANSWER;
    if (from == 0)
        return NEXT_RESUME;
    do {
        buffer_clear(&inside);
        buffer_clear(&stock);
        add_inside(session, &inside);
        add_stock(session, &stock);
        if (inside.length == 0 && stock.length == 0)
            break;
        session_say(session, INSIDE_NOW,
            SLOTS(SLOT_TEXT("inside", buffer_text(&inside)),
                SLOT_TEXT("stock", buffer_text(&stock))));
        heard = dialogue_confirm(
            session->dialogue, "still so", session_sentences[INSIDE_SO_HELP], true, &so);
        if (heard == HEARD_ANSWER && !so)
            heard = ask_all(session);
    } while (heard == HEARD_UNDO || (heard == HEARD_ANSWER && !so));
    buffer_finish(&inside);
    buffer_finish(&stock);
    return session_next(session, heard, NEXT_RESUME, NEXT_RESUME);
}
