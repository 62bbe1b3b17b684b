/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is in the mount from the last job, what is left of the stock: one question, and corrections. */
#include "cli/sweep/session.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/units.h>

#include "cli/complain.h"
#include "cli/prompt/amounts.h"

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

struct carried_answer {
    const struct session *session;
    double value;
};

static bool check_shim(const char *answer, void *opaque, char *complaint, size_t size)
{
    struct carried_answer *asked = opaque;
    struct perpend_amount amount = {.value = 0};
    snprintf(complaint, size, "%s", session_sentences[INSIDE_UNKNOWN]);
    bool good =
        amount_parse(answer, PERPEND_AMOUNT_THICKNESS, asked->session->machine.unit, &amount) &&
        amount.value >= 0;
    asked->value = amount.value;
    return good;
}

static bool check_count(const char *answer, void *opaque, char *complaint, size_t size)
{
    struct carried_answer *asked = opaque;
    snprintf(complaint, size, "%s", session_sentences[STOCK_UNKNOWN]);
    return perpend_number_parse(answer, &asked->value) == PERPEND_OK && asked->value >= 0 &&
           asked->value <= 1000 && asked->value == floor(asked->value);
}

static double inside_now(const struct perpend_job *head, size_t joint, size_t bolt)
{
    for (size_t i = 0; i < head->inside_count; i++)
        if (head->inside[i].joint == joint && head->inside[i].bolt == bolt)
            return head->inside[i].amount.value;
    return 0;
}

/* Every bolt that takes shims, then every kind of leaf; the answers that stand are the log's. */
static enum heard ask_all(void *context)
{
    struct session *session = context;
    const struct perpend_mount *mount = &session->machine.mount;
    struct perpend_job *head = &session->carried;
    struct perpend_did inside[PERPEND_JOINTS_MOST * PERPEND_BOLTS_MOST];
    struct carried_answer asked = {session, 0};
    char answer[ANSWER_SIZE];
    size_t count = 0;
    for (size_t j = 0; j < mount->joint_count; j++)
        for (size_t b = 0; b < mount->joints[j].bolt_count; b++) {
            char standing[READING_TEXT];
            if ((mount->joints[j].allows & PERPEND_MOVE_SHIM) == 0)
                continue;
            session_reading(session, inside_now(head, j, b), false, standing);
            enum heard heard = session_ask(session,
                (struct question){.standing = standing, .check = check_shim, .context = &asked},
                INSIDE_PROMPT, INSIDE_HELP,
                SLOTS(SLOT_NAME("bolt", mount->joints[j].bolts[b].name)), answer);
            if (heard != HEARD_ANSWER)
                return heard;
            if (asked.value > 0)
                inside[count++] =
                    (struct perpend_did){j, b, PERPEND_MOVE_SHIM, {.value = asked.value}};
        }
    for (size_t i = 0; i < head->stock_count; i++) {
        const struct perpend_leaf *leaf = &session->machine.stock.leaves[i];
        char standing[24];
        snprintf(standing, sizeof standing, "%u", head->stock[i]);
        enum heard heard = session_ask(session,
            (struct question){.standing = standing, .check = check_count, .context = &asked},
            STOCK_PROMPT, STOCK_HELP,
            SLOTS(SLOT_NAME("name", leaf->name),
                SLOT_TEXT("thick", SHOWN_READING(session, leaf->thick))),
            answer);
        if (heard != HEARD_ANSWER)
            return heard;
        head->stock[i] = (unsigned)asked.value;
    }
    for (size_t i = 0; i < count; i++)
        head->inside[i] = inside[i];
    head->inside_count = count;
    return HEARD_ANSWER;
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
    add_inside(session, &inside);
    add_stock(session, &stock);
    if (inside.length > 0 || stock.length > 0) {
        session_say(session, INSIDE_NOW,
            SLOTS(SLOT_TEXT("inside", buffer_text(&inside)),
                SLOT_TEXT("stock", buffer_text(&stock))));
        heard = dialogue_confirm(
            session->dialogue, "still so", session_sentences[INSIDE_SO_HELP], true, &so);
        if (heard == HEARD_ANSWER && !so)
            heard = dialogue_form(session->dialogue, ask_all, session);
    }
    buffer_finish(&inside);
    buffer_finish(&stock);
    return session_next(session, heard, NEXT_RESUME, NEXT_RESUME);
}
