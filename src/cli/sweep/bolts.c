/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was really done, bolt by bolt. */
#include "cli/sweep/session.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>

#include <perpend/status.h>

#include "cli/prompt/amounts.h"
#include "text/answer.h"

/* Farther off what stiff parts can do than this, mm, is told: half a leaf of 0.05 more at one of four
   is not, nor a slide measured to a few hundredths. */
#define OFF_PLANE 0.01
#define OFF_PLATE 0.03

/* ---- the moves ----------------------------------------------------------------------------- */

/* ---- one bolt ------------------------------------------------------------------------------ */

struct bolt_answer {
    const struct session *session;
    const struct perpend_move_row *move;
    struct perpend_amount *amount;
};

static bool check_bolt(const char *answer, void *opaque, char *complaint, size_t size)
{
    const struct bolt_answer *bolt = opaque;
    enum perpend_unit unit = session_machine(bolt->session)->unit;
    struct buffer phrase = {0};
    session_fill(bolt->session, &phrase, BOLT_UNKNOWN,
        SLOTS(SLOT_CHOICE("move", perpend_move_index(bolt->move->move))));
    snprintf(complaint, size, "%s", buffer_text(&phrase));
    buffer_finish(&phrase);
    return amount_parse(answer, bolt->move->amount, unit, bolt->amount);
}

/* What the plan wants of a bolt. */
static struct perpend_amount planned(
    const struct session *session, size_t joint, enum perpend_move move, size_t bolt)
{
    const struct perpend_measurement *measurement = session_measurement(session);
    for (size_t i = 0; answer_has_plan(measurement) && i < measurement->plan.step_count; i++) {
        const struct perpend_step *step = &measurement->plan.steps[i];
        if (step->joint == joint && step->move == move)
            return step->bolts[bolt].amount;
    }
    return (struct perpend_amount){.value = 0};
}

static enum heard ask_bolt(struct session *session, size_t joint,
    const struct perpend_move_row *move, size_t bolt, struct perpend_amount *amount)
{
    const struct perpend_machine *machine = session_machine(session);
    struct bolt_answer asked = {session, move, amount};
    struct buffer standing = {0};
    char answer[ANSWER_SIZE];
    amount_add(&standing, move->amount, machine->unit, planned(session, joint, move->move, bolt));
    struct question question = {
        .standing = buffer_text(&standing), .check = check_bolt, .context = &asked};
    enum heard heard = session_ask(session, question, BOLT_PROMPT, BOLT_HELP,
        SLOTS(SLOT_NAME("bolt", machine->mount.joints[joint].bolts[bolt].name),
            SLOT_CHOICE("move", perpend_move_index(move->move))),
        answer);
    buffer_finish(&standing);
    return heard;
}

/* ---- the bolts of a joint ------------------------------------------------------------------ */

/* The farthest slide beyond the play of its bolt, and what its hole allows from one side to the
   other; 0 when none. */
static double beyond_play(
    const struct perpend_joint *joint, const struct perpend_amount *amounts, double *allowed)
{
    double farthest = 0.0;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        double size = sqrt(perpend_dot(amounts[i].shift, amounts[i].shift));
        double play = 2.0 * perpend_bolt_slack(&joint->bolts[i]);
        if (play > 0.0 && size > play + OFF_PLATE && size > farthest) {
            farthest = size;
            *allowed = play;
        }
    }
    return farthest;
}

/* What was told of the bolts of a joint that goes together with no stiff parts: the sentence, or
   nothing. */
static void add_doubt(const struct session *session, struct buffer *phrase,
    const struct perpend_joint *joint, enum perpend_move move, const struct perpend_amount *amounts)
{
    bool slides = move == PERPEND_MOVE_SLIDE;
    double off = 0.0, allowed = 0.0, far = slides ? beyond_play(joint, amounts, &allowed) : 0.0;
    enum session_sentence sentence = far > 0.0 ? BOLTS_BEYOND_PLAY
                                     : slides  ? BOLTS_NO_PLATE
                                               : BOLTS_NO_PLANE;
    if (far <= 0.0 && (perpend_moves_misfit(joint, move, amounts, &off) != PERPEND_OK ||
                          off <= (slides ? OFF_PLATE : OFF_PLANE)))
        return;
    session_fill(session, phrase, sentence,
        SLOTS(SLOT_ROUNDED("far", WORDS_SMALL, far, 0.05),
            SLOT_ROUNDED("play", WORDS_SMALL, allowed, 0.05),
            SLOT_ROUNDED("off", WORDS_SMALL, off, slides ? 0.05 : 0.005)));
}

/* Every bolt, and all of them once more until what was told can be, or is said to be so. */
static enum heard ask_bolts(struct session *session, size_t index,
    const struct perpend_move_row *move, struct perpend_amount *amounts)
{
    const struct perpend_joint *joint = &session_machine(session)->mount.joints[index];
    enum heard heard = HEARD_ANSWER;
    bool so = false;
    while (heard == HEARD_ANSWER && !so) {
        struct buffer doubt = {0};
        for (size_t i = 0; heard == HEARD_ANSWER && i < joint->bolt_count; i++)
            heard = ask_bolt(session, index, move, i, &amounts[i]);
        if (heard == HEARD_ANSWER)
            add_doubt(session, &doubt, joint, move->move, amounts);
        so = doubt.length == 0;
        if (!so) {
            dialogue_say(session->dialogue, "%s", buffer_text(&doubt));
            heard = dialogue_confirm(
                session->dialogue, "was it so", session_sentences[SO_HELP], false, &so);
        }
        buffer_finish(&doubt);
    }
    return heard;
}

/* ---- joint after joint --------------------------------------------------------------------- */

static enum heard choose_joint(struct session *session, size_t *joint)
{
    const struct perpend_mount *mount = &session_machine(session)->mount;
    const char *names[PERPEND_JOINTS_MOST];
    struct question question = {
        .prompt = "which joint",
        .help = session_sentences[JOINT_HELP],
        .back_undoes = true,
    };
    for (size_t i = 0; i < mount->joint_count; i++)
        names[i] = mount->joints[i].name;
    *joint = 0;
    return mount->joint_count == 1 ? HEARD_ANSWER
                                   : dialogue_choose(session->dialogue, &question, names, NULL,
                                         mount->joint_count, joint);
}

/* Which of the moves that a joint allows. */
static enum heard choose_move(
    struct session *session, unsigned allows, const struct perpend_move_row **move)
{
    const struct perpend_move_row *found[PERPEND_MOVE_COUNT] = {NULL};
    const char *words[PERPEND_MOVE_COUNT] = {NULL}, *lines[PERPEND_MOVE_COUNT] = {NULL};
    struct buffer said[PERPEND_MOVE_COUNT] = {0};
    size_t count = 0, choice = 0;
    for (size_t i = 0; i < PERPEND_MOVE_COUNT; i++) {
        const struct perpend_move_row *row = perpend_move_at(i);
        if ((allows & (unsigned)row->move) == 0)
            continue;
        words[count] = row->name;
        session_fill(session, &said[count], MOVED, SLOTS(SLOT_CHOICE("move", i)));
        lines[count] = buffer_text(&said[count]);
        found[count++] = row;
    }
    struct question question = {
        .prompt = "which",
        .help = session_sentences[MOVE_HELP],
        .standing = words[0],
        .back_undoes = true,
    };
    enum heard heard = HEARD_ANSWER;
    if (count > 1)
        heard = dialogue_choose(session->dialogue, &question, words, lines, count, &choice);
    for (size_t i = 0; i < count; i++)
        buffer_finish(&said[i]);
    *move = found[choice];
    assert(*move != NULL); /* a joint allows one at least */
    return heard;
}

void session_add_did(struct did_list *list, size_t joint, size_t bolt, enum perpend_move move,
    struct perpend_amount amount)
{
    if (!perpend_amount_is_none(amount))
        list->of[list->count++] = (struct perpend_did){joint, bolt, move, amount};
}

struct told {
    struct session *session;
    struct did_list *did;
};

/* All questions in order; undo runs them anew. */
static enum heard ask_all(void *context)
{
    struct told *told = context;
    struct session *session = told->session;
    const struct perpend_mount *mount = &session_machine(session)->mount;
    enum heard heard = HEARD_ANSWER;
    bool more = true;
    told->did->count = 0;
    while (heard == HEARD_ANSWER && more) {
        struct perpend_amount amounts[PERPEND_BOLTS_MOST] = {0};
        const struct perpend_move_row *move = NULL;
        size_t joint;
        dialogue_space(session->dialogue);
        if ((heard = choose_joint(session, &joint)) != HEARD_ANSWER)
            return heard;
        unsigned allows = mount->joints[joint].allows;
        if ((heard = choose_move(session, allows, &move)) != HEARD_ANSWER ||
            (heard = ask_bolts(session, joint, move, amounts)) != HEARD_ANSWER)
            return heard;
        for (size_t i = 0; i < mount->joints[joint].bolt_count; i++)
            session_add_did(told->did, joint, i, move->move, amounts[i]);
        more = (mount->joint_count > 1 || (allows & (allows - 1)) != 0) &&
               told->did->count + PERPEND_BOLTS_MOST <= DID_MOST;
        if (more)
            heard = dialogue_confirm(
                session->dialogue, "anything else", session_sentences[ELSE_HELP], false, &more);
    }
    return heard;
}

enum heard session_ask_bolts(struct session *session, struct did_list *did)
{
    struct told told = {session, did};
    return dialogue_form(session->dialogue, ask_all, &told);
}
