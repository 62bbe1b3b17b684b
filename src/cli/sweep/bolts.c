/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was really done, bolt by bolt. */
#include "cli/sweep/session.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include <perpend/status.h>

#include "cli/prompt/amounts.h"
#include "text/answer.h"

#define ROUNDS_MOST 16 /* joints and moves told one after the other */

/* Farther off what stiff parts can do than this, mm, is told: half a leaf of 0.05 more at one of four
   is not, nor a slide measured to a few hundredths. */
#define OFF_PLANE 0.01
#define OFF_PLATE 0.03

/* ---- the moves ----------------------------------------------------------------------------- */

#define AS_PLANNED "Enter alone takes what the plan says for this bolt (0 where it says nothing). "

/* How each move is asked for; where there are two texts, that in mm and that in inches. */
static const struct telling {
    enum perpend_move move;
    const char *line; /* in the list of moves */
    const char *prompt[2];
    const char *help;
    const char *complaint[2];
} tellings[] = {
    {PERPEND_MOVE_SHIM, "shims were added or taken out", {"shim added, mm", "shim added, in"},
        AS_PLANNED "Shims may be added up: 0.1 + 2 x 0.05; with a minus when taken out.",
        {"Type the thickness added, like 0.5 or 4 x 0.05, or 0; with a minus when taken out.",
            "Type the thickness added, like 0.02 or 4 x 0.002, or 0; with a minus when taken "
            "out."}},
    {PERPEND_MOVE_SLIDE, "bolts moved in their holes", {"moved, mm", "moved, in"},
        AS_PLANNED "How far it moved in its hole and which way: 0.25 right.",
        {"Type how far and which way, like 0.25 right, or 0. The ways are right, left, back, "
         "front, "
         "up, down.",
            "Type how far and which way, like 0.01 right, or 0. The ways are right, left, back, "
            "front, up, down."}},
    {PERPEND_MOVE_SCREW, "push screws were turned", {"turns in", "turns in"},
        AS_PLANNED "In is the way that pushes the joint apart there. 1/4, 0.25 in and 90 deg are "
                   "the same; out, or a minus, for the other way.",
        {"Type the turns, like 0.25, 1/4 or 90 deg, or 0; with a minus, or out, when turned out.",
            "Type the turns, like 0.25, 1/4 or 90 deg, or 0; with a minus, or out, when turned "
            "out."}},
};
enum { TELLINGS = sizeof tellings / sizeof *tellings };
static_assert(TELLINGS == PERPEND_MOVE_COUNT, "a move has no words");

/* ---- what is told -------------------------------------------------------------------------- */

/* One kind of move at one joint. */
struct round {
    size_t joint;
    const struct telling *telling;
    struct perpend_amount amounts[PERPEND_BOLTS_MOST]; /* of every bolt */
};

/* The question that is open. */
enum ask { ASK_JOINT, ASK_MOVE, ASK_BOLT, ASK_IF_SO, ASK_MORE, ASK_NOTHING };

struct talk {
    struct session *session;
    struct round rounds[ROUNDS_MOST];
    size_t round; /* the one that is told */
    enum ask ask;
    size_t bolt;
    bool yes; /* the last answer to a question for yes or no */
};

static const struct perpend_joint *joint_of(const struct talk *talk)
{
    return &session_machine(talk->session)->mount.joints[talk->rounds[talk->round].joint];
}

/* ---- the questions ------------------------------------------------------------------------- */

static enum heard ask_joint(struct talk *talk)
{
    const struct perpend_mount *mount = &session_machine(talk->session)->mount;
    const char *names[PERPEND_JOINTS_MOST];
    struct question question = {
        .prompt = "which joint",
        .help = "Where something was done. When it was more than one, you are asked for the others "
                "afterwards.",
        .back_undoes = true,
    };
    for (size_t i = 0; i < mount->joint_count; i++)
        names[i] = mount->joints[i].name;
    return dialogue_choose(talk->session->dialogue, &question, names, NULL, mount->joint_count,
        &talk->rounds[talk->round].joint);
}

/* The moves that the joint allows. */
static size_t moves_of(const struct talk *talk, const struct telling *found[TELLINGS])
{
    size_t count = 0;
    for (size_t i = 0; i < TELLINGS; i++)
        if ((joint_of(talk)->allows & (unsigned)tellings[i].move) != 0)
            found[count++] = &tellings[i];
    return count;
}

static enum heard ask_move(struct talk *talk)
{
    const struct telling *found[TELLINGS];
    const char *words[TELLINGS], *lines[TELLINGS];
    size_t count = moves_of(talk, found), choice = 0;
    for (size_t i = 0; i < count; i++) {
        words[i] = perpend_move_name(found[i]->move);
        lines[i] = found[i]->line;
    }
    struct question question = {
        .prompt = "which",
        .help = "What was done to this joint. When it was more than one, you are asked for the "
                "others afterwards.",
        .standing = words[0],
        .back_undoes = true,
    };
    enum heard heard =
        dialogue_choose(talk->session->dialogue, &question, words, lines, count, &choice);
    talk->rounds[talk->round].telling = found[choice];
    return heard;
}

static enum perpend_amount_kind kind_of(const struct round *round)
{
    return perpend_move_row(round->telling->move)->amount;
}

static bool check_bolt(const char *answer, void *opaque, char *complaint, size_t size)
{
    struct talk *talk = opaque;
    struct round *round = &talk->rounds[talk->round];
    enum perpend_unit unit = session_machine(talk->session)->unit;
    if (amount_parse(answer, kind_of(round), unit, &round->amounts[talk->bolt]))
        return true;
    snprintf(complaint, size, "%s", round->telling->complaint[unit == PERPEND_UNIT_INCH ? 1 : 0]);
    return false;
}

static const struct perpend_step *planned_step(const struct talk *talk)
{
    const struct perpend_measurement *measurement = session_measurement(talk->session);
    const struct round *round = &talk->rounds[talk->round];
    bool shown = answer_has_plan(measurement);
    for (size_t i = 0; shown && i < measurement->plan.step_count; i++) {
        const struct perpend_step *step = &measurement->plan.steps[i];
        if (step->joint == round->joint && step->move == round->telling->move)
            return step;
    }
    return NULL;
}

static enum heard ask_bolt(struct talk *talk)
{
    struct round *round = &talk->rounds[talk->round];
    enum perpend_unit unit = session_machine(talk->session)->unit;
    const struct perpend_step *step = planned_step(talk);
    struct perpend_amount planned = {.value = 0};
    struct buffer standing = {0}, prompt = {0};
    char answer[ANSWER_SIZE];
    if (step != NULL)
        planned = step->bolts[talk->bolt].amount;
    amount_add(&standing, kind_of(round), unit, planned);
    words_name(&prompt, joint_of(talk)->bolts[talk->bolt].name);
    buffer_addf(&prompt, ", %s", round->telling->prompt[unit == PERPEND_UNIT_INCH ? 1 : 0]);
    struct question question = {
        .prompt = buffer_text(&prompt),
        .help = round->telling->help,
        .standing = buffer_text(&standing),
        .check = check_bolt,
        .context = talk,
    };
    enum heard heard = dialogue_ask(talk->session->dialogue, &question, answer);
    buffer_finish(&prompt);
    buffer_finish(&standing);
    return heard;
}

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
static void add_doubt(const struct talk *talk, struct buffer *phrase)
{
    const struct round *round = &talk->rounds[talk->round];
    const struct perpend_joint *joint = joint_of(talk);
    struct words words = session_words(talk->session);
    bool slides = round->telling->move == PERPEND_MOVE_SLIDE;
    double off, allowed = 0.0;
    double far = slides ? beyond_play(joint, round->amounts, &allowed) : 0.0;
    if (far > 0.0) {
        words_rounded(&words, phrase, WORDS_SMALL, far, 0.05);
        buffer_add(phrase, " is more than the play of that bolt in its hole, ");
        words_rounded(&words, phrase, WORDS_SMALL, allowed, 0.05);
        buffer_add(phrase, " from one side to the other.");
    } else if (perpend_moves_misfit(joint, round->telling->move, round->amounts, &off) !=
                   PERPEND_OK ||
               off <= (slides ? OFF_PLATE : OFF_PLANE)) {
        return;
    } else if (slides) {
        buffer_add(phrase, "No stiff plate moves like that: it is off a shift and a turn by ");
        words_rounded(&words, phrase, WORDS_SMALL, off, 0.05);
        buffer_add(phrase, ". Tell of each bolt, sideways and up or down.");
    } else {
        buffer_add(phrase, "That lies in no plane: it is off one by ");
        words_rounded(&words, phrase, WORDS_SMALL, off, 0.005);
        buffer_add(phrase, ", so that the joint rocks, or bends when it is tightened.");
    }
}

static enum heard ask_if_so(struct talk *talk)
{
    struct buffer phrase = {0};
    enum heard heard = HEARD_ANSWER;
    talk->yes = true;
    add_doubt(talk, &phrase);
    if (phrase.length > 0) {
        dialogue_say(talk->session->dialogue, "%s", buffer_text(&phrase));
        heard = dialogue_confirm(talk->session->dialogue, "was it so",
            "yes keeps it as told; no asks the bolts of this joint once more.", false, &talk->yes);
    }
    buffer_finish(&phrase);
    return heard;
}

static enum heard ask_more(struct talk *talk)
{
    return dialogue_confirm(talk->session->dialogue, "anything else",
        "yes asks for another joint or kind of move; no keeps what has been told.", false,
        &talk->yes);
}

static enum heard (*const questions[])(struct talk *talk) = {
    [ASK_JOINT] = ask_joint,
    [ASK_MOVE] = ask_move,
    [ASK_BOLT] = ask_bolt,
    [ASK_IF_SO] = ask_if_so,
    [ASK_MORE] = ask_more,
};

/* ---- one after the other ------------------------------------------------------------------- */

/* Whether the open question has but one answer, which is taken. */
static bool takes_only_answer(struct talk *talk)
{
    const struct telling *found[TELLINGS];
    size_t joints = session_machine(talk->session)->mount.joint_count;
    if (talk->ask == ASK_JOINT)
        return joints == 1;
    if (talk->ask != ASK_MOVE && talk->ask != ASK_MORE)
        return false;
    size_t moves = moves_of(talk, found);
    if (talk->ask == ASK_MOVE) {
        talk->rounds[talk->round].telling = found[0];
        return moves == 1;
    }
    talk->yes = false;
    return (joints == 1 && moves == 1) || talk->round + 1 == ROUNDS_MOST;
}

static void step_on(struct talk *talk)
{
    switch (talk->ask) {
    case ASK_JOINT:
        talk->ask = ASK_MOVE;
        break;
    case ASK_MOVE:
        talk->ask = ASK_BOLT;
        talk->bolt = 0;
        break;
    case ASK_BOLT:
        if (++talk->bolt == joint_of(talk)->bolt_count)
            talk->ask = ASK_IF_SO;
        break;
    case ASK_IF_SO:
        talk->ask = talk->yes ? ASK_MORE : ASK_BOLT;
        talk->bolt = 0;
        break;
    case ASK_MORE:
        talk->ask = talk->yes ? ASK_JOINT : ASK_NOTHING;
        talk->round += talk->yes ? 1 : 0;
        break;
    case ASK_NOTHING:
        break;
    }
}

/* To the question before; false when there is none. */
static bool step_back(struct talk *talk)
{
    if (talk->ask == ASK_MORE || talk->ask == ASK_IF_SO) {
        talk->ask = ASK_BOLT;
        talk->bolt = joint_of(talk)->bolt_count - 1;
    } else if (talk->ask == ASK_BOLT && talk->bolt > 0) {
        talk->bolt--;
    } else if (talk->ask != ASK_JOINT) {
        talk->ask = talk->ask == ASK_BOLT ? ASK_MOVE : ASK_JOINT;
    } else if (talk->round > 0) {
        talk->round--;
        talk->ask = ASK_MORE;
    } else {
        return false;
    }
    return !takes_only_answer(talk) || step_back(talk);
}

/* All that was told in one list, without the bolts that got nothing. */
static bool gather(const struct talk *talk, struct perpend_did **did, size_t *count)
{
    const struct perpend_mount *mount = &session_machine(talk->session)->mount;
    *did = calloc((talk->round + 1) * PERPEND_BOLTS_MOST, sizeof **did);
    *count = 0;
    for (size_t i = 0; *did != NULL && i <= talk->round; i++) {
        const struct round *round = &talk->rounds[i];
        for (size_t bolt = 0; bolt < mount->joints[round->joint].bolt_count; bolt++)
            if (!perpend_amount_is_none(round->amounts[bolt]))
                (*did)[(*count)++] = (struct perpend_did){
                    round->joint, bolt, round->telling->move, round->amounts[bolt]};
    }
    return *did != NULL;
}

enum heard session_ask_bolts(struct session *session, struct perpend_did **did, size_t *count)
{
    struct talk talk = {.session = session, .ask = ASK_JOINT};
    bool fresh = true; /* a joint is begun */
    while (talk.ask != ASK_NOTHING) {
        if (talk.ask == ASK_JOINT && fresh)
            dialogue_space(session->dialogue);
        enum heard heard = takes_only_answer(&talk) ? HEARD_ANSWER : questions[talk.ask](&talk);
        fresh = heard == HEARD_ANSWER;
        if (heard == HEARD_ANSWER)
            step_on(&talk);
        else if (heard != HEARD_UNDO || !step_back(&talk))
            return heard;
    }
    return gather(&talk, did, count) ? HEARD_ANSWER : HEARD_FAIL;
}
