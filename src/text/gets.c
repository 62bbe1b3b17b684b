/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "text/gets.h"
#include "text/say.h"

/* Less than this shows in no word, mm, turns or degrees. */
#define SHOWS 5e-4

/* How an amount is said, by what it is made of. */
static const struct {
    enum sentence in_step, none_in_step, done, in_all;
} said[PERPEND_AMOUNT_KINDS] = {
    [PERPEND_AMOUNT_THICKNESS] = {GETS_SHIM, GETS_SNUG, DID_SHIM, WORK_SHIM},
    [PERPEND_AMOUNT_DISPLACEMENT] = {GETS_MOVED, GETS_MOVED, DID_SLIDE, WORK_SLIDE},
    [PERPEND_AMOUNT_TURNS] = {GETS_TURNS, GETS_NO_TURN, DID_SCREW, WORK_SCREW},
    [PERPEND_AMOUNT_ANGLE] = {GETS_ANGLE, GETS_SNUG, DID_TURN, WORK_TURN}};

static void add_amount(const struct words *words, struct buffer *phrase, enum sentence sentence,
    const struct perpend_amount *amount, const char *stack)
{
    double size = fabs(amount->value);
    fill(words, phrase, sentences[sentence],
        SLOTS(SLOT_IF("in", amount->value > 0.0), SLOT_THICKNESS("size", size),
            SLOT_TEXT("stack", stack), SLOT_NUMBER("turns", size, 2),
            SLOT_NUMBER("degrees", size * 360.0, 0), SLOT_NUMBER("angle", perpend_degrees(size), 2),
            SLOT_MOVED("moved", amount->shift, false), SLOT_STATED("stated", WORDS_SMALL, size),
            SLOT_NUMBER("signed_turns", amount->value, 3),
            SLOT_MOVED("slid", amount->shift, true)));
}

static void add_stack(const struct words *words, struct buffer *phrase,
    const struct perpend_bolt_move *move, const struct perpend_stock *stock)
{
    for (size_t i = 0; i < move->stack_count; i++) {
        const struct perpend_stack_part *part = &move->stack[i];
        const char *name = "";
        if (stock && part->leaf < stock->leaf_count && stock->leaves[part->leaf].name)
            name = stock->leaves[part->leaf].name;
        buffer_add(phrase, i > 0 ? " + " : "");
        fill(words, phrase, sentences[GETS_LEAVES],
            SLOTS(SLOT_COUNT("count", part->count), SLOT_STATED("thick", WORDS_SMALL, part->thick),
                SLOT_NAME("leaf", name)));
    }
}

void bolt_gets(const struct words *words, struct buffer *phrase, const struct perpend_step *step,
    size_t bolt, const struct perpend_stock *stock)
{
    const struct perpend_bolt_move *move = &step->bolts[bolt];
    enum perpend_amount_kind kind = perpend_move_find(step->move)->amount;
    struct buffer stack = {0};
    enum sentence sentence = said[kind].in_step;
    if (kind == PERPEND_AMOUNT_DISPLACEMENT && bolt == step->pivot)
        sentence = GETS_PIVOT;
    else if (perpend_amount_is_none(move->amount))
        sentence = said[kind].none_in_step;
    else
        add_stack(words, &stack, move, stock);
    add_amount(words, phrase, sentence, &move->amount, buffer_text(&stack));
    buffer_finish(&stack);
}

void bolt_did(const struct words *words, struct buffer *phrase, enum perpend_move move,
    const struct perpend_amount *amount)
{
    add_amount(words, phrase, said[perpend_move_find(move)->amount].done, amount, "");
}

bool bolt_stays(const struct perpend_step *step, size_t bolt)
{
    if (perpend_move_find(step->move)->amount == PERPEND_AMOUNT_DISPLACEMENT)
        return bolt == step->pivot;
    return perpend_amount_is_none(step->bolts[bolt].amount);
}

void mount_work_add(struct mount_work *work, const struct perpend_did *did)
{
    size_t move = perpend_move_index(did->move);
    if (did->joint >= PERPEND_JOINTS_MOST || did->bolt >= PERPEND_BOLTS_MOST ||
        move == PERPEND_MOVE_COUNT)
        return;
    struct bolt_work *at = &work->bolts[did->joint][did->bolt];
    at->amounts[move] = perpend_amount_sum(at->amounts[move], did->amount);
    if (!perpend_amount_is_none(did->amount))
        at->touched = work->joints[did->joint] = work->any = true;
}

static void add_plan(struct mount_work *work, const struct perpend_plan *plan)
{
    for (size_t i = 0; i < plan->step_count; i++) {
        const struct perpend_step *step = &plan->steps[i];
        for (size_t j = 0; j < step->bolt_count; j++)
            mount_work_add(
                work, &(struct perpend_did){step->joint, j, step->move, step->bolts[j].amount});
    }
}

struct mount_work mount_work_done(
    const struct perpend_job *job, const struct perpend_measurement *measurements, size_t count)
{
    struct mount_work work = {0};
    for (size_t i = 0; i < count; i++) {
        const struct perpend_measurement *m = &measurements[i];
        for (size_t k = 0; k < m->sweep_count; k++) {
            const struct perpend_sweep *sweep = &job->sweeps[m->first_sweep + k];
            if (sweep->did_kind == PERPEND_DID_PLAN && m->has_plan)
                add_plan(&work, &m->plan);
            for (size_t j = 0; sweep->did_kind == PERPEND_DID_LIST && j < sweep->did_count; j++)
                mount_work_add(&work, &sweep->did[j]);
        }
    }
    return work;
}

struct mount_work mount_work_planned(const struct perpend_plan *plan)
{
    struct mount_work work = {0};
    add_plan(&work, plan);
    return work;
}

struct bolt_work bolt_work_unslid(const struct bolt_work *work)
{
    struct bolt_work rest = *work;
    rest.touched = false;
    for (size_t i = 0; i < PERPEND_MOVE_COUNT; i++) {
        rest.amounts[i].shift = (struct perpend_point){0, 0, 0};
        rest.touched = rest.touched || rest.amounts[i].value != 0;
    }
    return rest;
}

char *say_work(enum perpend_unit unit, const struct bolt_work *work)
{
    const struct words words = {.unit = unit};
    struct buffer phrase = {0};
    const struct perpend_move_row *row;
    bool any = false;
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++) {
        const struct perpend_amount *amount = &work->amounts[i];
        const double value =
            row->amount == PERPEND_AMOUNT_ANGLE ? perpend_degrees(amount->value) : amount->value;
        if (fabs(value) + fabs(amount->shift.right) + fabs(amount->shift.back) +
                fabs(amount->shift.up) <=
            SHOWS)
            continue;
        buffer_add(&phrase, any ? "; " : "");
        add_amount(&words, &phrase, said[row->amount].in_all, amount, "");
        any = true;
    }
    if (!any)
        fill(&words, &phrase, sentences[WORK_NOTHING], NULL);
    return say_phrase(&phrase);
}
