/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/sweep/sweep_moves.h"

#include <assert.h>
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "text/answer.h"
#include "cli/prompt/amounts.h"
#include "files/names.h"
#include "cli/options.h"

/* ---- one bolt ------------------------------------------------------------------------------ */

struct bolt_context {
    enum perpend_move move;
    enum perpend_unit unit;
    struct perpend_did did;
};

static bool check_bolt(const char *answer, void *opaque, char *complaint, size_t size)
{
    struct bolt_context *context = opaque;
    bool inch = context->unit == PERPEND_UNIT_INCH;
    switch (context->move) {
    case PERPEND_MOVE_SHIM:
        if (stack_parse(answer, context->unit, &context->did.shim))
            return true;
        snprintf(complaint, size,
            "Type the thickness added, like %s, or 0; with a minus when taken "
            "out.",
            inch ? "0.02 or 4 x 0.002" : "0.5 or 4 x 0.05");
        return false;
    case PERPEND_MOVE_SLIDE:
        if (slide_parse(answer, context->unit, &context->did.slide))
            return true;
        snprintf(complaint, size,
            "Type how far and which way, like %s right, or 0. The ways are right, left, back, "
            "front, up, down.",
            inch ? "0.01" : "0.25");
        return false;
    case PERPEND_MOVE_SCREW:
        break;
    }
    if (turns_parse(answer, &context->did.turns))
        return true;
    snprintf(complaint, size,
        "Type the turns, like 0.25, 1/4 or 90 deg, or 0; with a minus, or out, when turned out.");
    return false;
}

/* A number without needless zeros, in the unit people see. */
static void add_number(struct buffer *text, double value)
{
    char digits[48];
    buffer_add(text, words_trimmed(digits, sizeof digits, value, 3));
}

/* What the plan wanted of this bolt, as it would be typed. */
static void add_planned(struct buffer *text, const struct perpend_bolt_move *move,
    enum perpend_move kind, enum perpend_unit unit)
{
    double per = unit == PERPEND_UNIT_INCH ? PERPEND_MM_PER_INCH : 1;
    switch (kind) {
    case PERPEND_MOVE_SHIM:
        add_number(text, move->shim / per);
        return;
    case PERPEND_MOVE_SLIDE: {
        const double parts[3] = {move->slide.right, move->slide.back, move->slide.up};
        static const char *const ways[3][2] = {
            {"left", "right"}, {"front", "back"}, {"down", "up"}};
        bool any = false;
        for (int i = 0; i < 3; i++) {
            if (fabs(parts[i]) >= 0.005) {
                buffer_add(text, any ? " " : "");
                add_number(text, fabs(parts[i]) / per);
                buffer_addf(text, " %s", ways[i][parts[i] > 0 ? 1 : 0]);
                any = true;
            }
        }
        buffer_add(text, any ? "" : "0");
        return;
    }
    case PERPEND_MOVE_SCREW:
        add_number(text, move->turns);
        return;
    }
}

static const struct perpend_step *planned_step(
    const struct session *session, size_t joint, enum perpend_move move)
{
    const struct perpend_measurement *measurement = session_measurement(session);
    bool shown = answer_has_plan(measurement);
    for (size_t i = 0; shown && i < measurement->plan.step_count; i++) {
        const struct perpend_step *step = &measurement->plan.steps[i];
        if (step->joint == joint && step->move == move)
            return step;
    }
    return NULL;
}

static const char *bolt_help(enum perpend_move move)
{
#define AS_PLANNED "Enter alone takes what the plan says for this bolt (0 where it says nothing). "
    switch (move) {
    case PERPEND_MOVE_SHIM:
        return AS_PLANNED "Shims may be added up: 0.1 + 2 x 0.05; with a minus when taken out.";
    case PERPEND_MOVE_SLIDE:
        return AS_PLANNED "How far it moved in its hole and which way: 0.25 right.";
    case PERPEND_MOVE_SCREW:
        break;
    }
    return AS_PLANNED "In is the way that pushes the joint apart there. 1/4, 0.25 in and 90 deg "
                      "are the same; out, or a minus, for the other way.";
#undef AS_PLANNED
}

static enum heard ask_bolt(struct session *session, size_t joint, size_t bolt,
    enum perpend_move move, struct perpend_did *did)
{
    const struct perpend_machine *machine = session_machine(session);
    const struct perpend_step *step = planned_step(session, joint, move);
    struct bolt_context context = {.move = move, .unit = machine->unit};
    struct buffer standing = {0};
    struct buffer prompt = {0};
    char answer[ANSWER_SIZE];
    if (step != NULL)
        add_planned(&standing, &step->bolts[bolt], move, machine->unit);
    else
        buffer_add(&standing, "0");
    words_name(&prompt, machine->mount.joints[joint].bolts[bolt].name);
    buffer_add(&prompt, move == PERPEND_MOVE_SHIM    ? ", shim added"
                        : move == PERPEND_MOVE_SLIDE ? ", moved"
                                                     : ", turns in");
    if (move != PERPEND_MOVE_SCREW)
        buffer_add(&prompt, machine->unit == PERPEND_UNIT_INCH ? ", in" : ", mm");
    struct question question = {
        .prompt = buffer_text(&prompt),
        .help = bolt_help(move),
        .standing = buffer_text(&standing),
        .check = check_bolt,
        .context = &context,
    };
    enum heard heard = dialogue_ask(session->dialogue, &question, answer);
    *did = context.did;
    did->joint = joint;
    did->bolt = bolt;
    did->move = move;
    buffer_finish(&prompt);
    buffer_finish(&standing);
    return heard;
}

/* ---- joints and kinds ---------------------------------------------------------------------- */

static enum course choose_joint(struct session *session, size_t *joint)
{
    const struct perpend_mount *mount = &session_machine(session)->mount;
    const char **names;
    *joint = 0;
    if (mount->joint_count == 1)
        return COURSE_ON;
    names = malloc(mount->joint_count * sizeof *names);
    if (names == NULL) {
        fault_out_of_memory(&session->fault);
        return COURSE_FAIL;
    }
    for (size_t i = 0; i < mount->joint_count; i++)
        names[i] = mount->joints[i].name;
    struct question question = {
        .prompt = "which joint",
        .help = "Where something was done. When it was more than one, you are asked for the others "
                "afterwards.",
        .back_undoes = true,
    };
    enum heard heard =
        dialogue_choose(session->dialogue, &question, names, NULL, mount->joint_count, joint);
    free(names);
    return session_course(heard);
}

static enum course choose_move(struct session *session, size_t joint, enum perpend_move *move)
{
    static const enum perpend_move moves[] = PERPEND_MOVES;
    static const char *const lines[] = {
        "shims were added or taken out", "bolts moved in their holes", "push screws were turned"};
    enum { most = sizeof moves / sizeof *moves };
    static_assert(sizeof lines / sizeof *lines == most, "a move has no line");
    const char *words[most];
    const char *texts[most];
    enum perpend_move found[most] = {PERPEND_MOVE_SHIM};
    size_t count = 0;
    size_t choice = 0;
    for (size_t i = 0; i < most; i++) {
        if ((session_machine(session)->mount.joints[joint].allows & (unsigned)moves[i]) != 0) {
            words[count] = perpend_move_name(moves[i]);
            texts[count] = lines[i];
            found[count++] = moves[i];
        }
    }
    enum course course = COURSE_ON;
    if (count > 1) {
        struct question question = {
            .prompt = "which",
            .help = "What was done to this joint. When it was more than one, you are asked for the "
                    "others afterwards.",
            .standing = words[0],
            .back_undoes = true,
        };
        course = session_course(
            dialogue_choose(session->dialogue, &question, words, texts, count, &choice));
    }
    *move = found[choice < count ? choice : 0];
    return course;
}

/* ---- what was told, joint by joint --------------------------------------------------------- */

/* One kind of move at one joint. */
struct told {
    size_t joint;
    enum perpend_move move;
    struct perpend_did *did; /* bolt by bolt, those that got nothing as well; by malloc */
};

struct telling {
    struct told *told; /* by malloc */
    size_t count;
};

static void telling_finish(struct telling *telling)
{
    for (size_t i = 0; i < telling->count; i++)
        free(telling->told[i].did);
    free(telling->told);
}

static struct told *telling_grow(struct telling *telling)
{
    struct told *grown = realloc(telling->told, (telling->count + 1) * sizeof *grown);
    if (grown == NULL)
        return NULL;
    telling->told = grown;
    grown[telling->count] = (struct told){.joint = 0, .move = PERPEND_MOVE_SHIM};
    return &grown[telling->count++];
}

static bool is_something(const struct perpend_did *did)
{
    return did->shim != 0 || did->turns != 0 || did->slide.right != 0 || did->slide.back != 0 ||
           did->slide.up != 0;
}

/* All that was told in one list, without the bolts that got nothing. */
static bool gather(
    const struct telling *telling, const struct perpend_mount *mount, struct sweep_moves *moves)
{
    size_t most = 0;
    for (size_t i = 0; i < telling->count; i++)
        most += mount->joints[telling->told[i].joint].bolt_count;
    moves->did = calloc(most, sizeof *moves->did);
    if (moves->did == NULL)
        return false;
    for (size_t i = 0; i < telling->count; i++) {
        const struct told *told = &telling->told[i];
        for (size_t bolt = 0; bolt < mount->joints[told->joint].bolt_count; bolt++)
            if (is_something(&told->did[bolt]))
                moves->did[moves->count++] = told->did[bolt];
    }
    return true;
}

enum stage { STAGE_JOINT, STAGE_MOVE, STAGE_BOLTS, STAGE_TOLD };

/* The question before: STAGE_TOLD when there is none in this joint's. */
static enum stage stage_before(
    const struct perpend_mount *mount, const struct told *told, enum stage stage)
{
    unsigned allows = mount->joints[told->joint].allows;
    if (stage == STAGE_BOLTS && (allows & (allows - 1)) != 0)
        return STAGE_MOVE;
    return stage != STAGE_JOINT && mount->joint_count > 1 ? STAGE_JOINT : STAGE_TOLD;
}

/* Farther off what stiff parts can do than this, mm, is told: half a leaf of 0.05 more at one of four
   is not, nor a slide measured to a few hundredths. */
#define OFF_PLANE 0.01
#define OFF_PLATE 0.03

/* The farthest slide in play, and what its hole allows from one side to the other; 0 when none. */
static double beyond_play(
    const struct perpend_joint *joint, const struct perpend_bolt_move *moves, double *allowed)
{
    double farthest = 0.0;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        double size = sqrt(perpend_dot(moves[i].slide, moves[i].slide));
        double play = 2.0 * perpend_bolt_slack(&joint->bolts[i]);
        if (play > 0.0 && size > play + OFF_PLATE && size > farthest) {
            farthest = size;
            *allowed = play;
        }
    }
    return farthest;
}

/* What cannot be quite so: the sentence, or nothing. */
static void add_doubt(const struct words *words, struct buffer *phrase,
    const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_bolt_move *moves)
{
    double off, far, allowed = 0.0;
    bool slides = move == PERPEND_MOVE_SLIDE;
    if (slides && (far = beyond_play(joint, moves, &allowed)) > 0.0) {
        words_rounded(words, phrase, WORDS_SMALL, far, 0.05);
        buffer_add(phrase, " is more than the play of that bolt in its hole, ");
        words_rounded(words, phrase, WORDS_SMALL, allowed, 0.05);
        buffer_add(phrase, " from one side to the other.");
    } else if (perpend_moves_misfit(joint, move, moves, &off) != PERPEND_OK ||
               off <= (slides ? OFF_PLATE : OFF_PLANE)) {
        return;
    } else if (slides) {
        buffer_add(phrase, "No stiff plate moves like that: it is off a shift and a turn by ");
        words_rounded(words, phrase, WORDS_SMALL, off, 0.05);
        buffer_add(phrase, ". Tell of each bolt, sideways and up or down.");
    } else {
        buffer_add(phrase, "That lies in no plane: it is off one by ");
        words_rounded(words, phrase, WORDS_SMALL, off, 0.005);
        buffer_add(phrase, ", so that the joint rocks, or bends when it is tightened.");
    }
}

/* What was told of the bolts of a joint goes together with no stiff parts: was it really so? `again`
   asks its bolts anew. */
static enum course ask_doubt(struct session *session, const struct told *told, bool *again)
{
    const struct perpend_joint *joint = &session_machine(session)->mount.joints[told->joint];
    struct perpend_bolt_move moves[PERPEND_BOLTS_MOST] = {{.shim = 0.0}};
    struct words words = session_words(session);
    struct buffer phrase = {0};
    bool so = true;
    *again = false;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        moves[i].shim = told->did[i].shim;
        moves[i].turns = told->did[i].turns;
        moves[i].slide = told->did[i].slide;
    }
    add_doubt(&words, &phrase, joint, told->move, moves);
    bool doubted = phrase.length > 0 || phrase.failed;
    if (doubted)
        dialogue_say(session->dialogue, "%s", buffer_text(&phrase));
    buffer_finish(&phrase);
    if (!doubted)
        return COURSE_ON;
    enum heard heard = dialogue_confirm(session->dialogue, "was it so",
        "yes keeps it as told; no asks the bolts of this joint once more.", false, &so);
    *again = heard == HEARD_ANSWER && !so;
    return session_course(heard);
}

/* Which joint, which move, and then its bolts; `last` asks only its last bolt anew. BACK: undo at
   the first question. */
static enum course ask_told(struct session *session, struct told *told, bool last)
{
    const struct perpend_mount *mount = &session_machine(session)->mount;
    enum stage stage = last ? STAGE_BOLTS : STAGE_JOINT;
    size_t bolt = last ? mount->joints[told->joint].bolt_count - 1 : 0;
    while (stage != STAGE_TOLD) {
        enum course course = COURSE_ON;
        if (stage == STAGE_JOINT) {
            course = choose_joint(session, &told->joint);
        } else if (stage == STAGE_MOVE) {
            course = choose_move(session, told->joint, &told->move);
        } else {
            course =
                session_course(ask_bolt(session, told->joint, bolt, told->move, &told->did[bolt]));
        }
        if (course == COURSE_BACK && stage == STAGE_BOLTS && bolt > 0) {
            bolt--;
        } else if (course == COURSE_BACK) {
            stage = stage_before(mount, told, stage);
            if (stage == STAGE_TOLD)
                return COURSE_BACK;
        } else if (course != COURSE_ON) {
            return course;
        } else if (stage == STAGE_JOINT) {
            stage = STAGE_MOVE;
        } else if (stage == STAGE_MOVE) {
            free(told->did);
            told->did = calloc(mount->joints[told->joint].bolt_count, sizeof *told->did);
            if (told->did == NULL) {
                fault_out_of_memory(&session->fault);
                return COURSE_FAIL;
            }
            bolt = 0;
            stage = STAGE_BOLTS;
        } else if (++bolt == mount->joints[told->joint].bolt_count) {
            bool again;
            course = ask_doubt(session, told, &again);
            if (course == COURSE_ON && !again)
                stage = STAGE_TOLD;
            else if (course == COURSE_BACK)
                bolt--;
            else if (course == COURSE_ON)
                bolt = 0;
            else
                return course;
        }
    }
    return COURSE_ON;
}

static bool has_one_way(const struct perpend_mount *mount)
{
    unsigned allows = mount->joints[0].allows;
    return mount->joint_count == 1 && (allows & (allows - 1)) == 0;
}

static enum course ask_more(struct session *session, bool *more)
{
    *more = false;
    if (has_one_way(&session_machine(session)->mount))
        return COURSE_ON;
    return session_course(dialogue_confirm(session->dialogue, "anything else",
        "yes asks for another joint or kind of move; no keeps what has been told.", false, more));
}

/* Joint after joint, until that was all. */
static enum course ask_all(struct session *session, struct telling *telling)
{
    bool more = true;
    bool last = false;
    while (more || last) {
        struct told *told = last ? &telling->told[telling->count - 1] : telling_grow(telling);
        if (told == NULL) {
            fault_out_of_memory(&session->fault);
            return COURSE_FAIL;
        }
        dialogue_space(session->dialogue);
        enum course course = ask_told(session, told, last);
        if (course == COURSE_BACK) {
            free(told->did);
            telling->count--;
            if (telling->count == 0)
                return COURSE_BACK;
        } else if (course != COURSE_ON) {
            return course;
        }
        course = ask_more(session, &more);
        last = course == COURSE_BACK;
        if (course != COURSE_ON && course != COURSE_BACK)
            return course;
    }
    return COURSE_ON;
}

enum course session_ask_moves(struct session *session, struct sweep_moves *moves)
{
    struct telling telling = {.count = 0};
    enum course course = ask_all(session, &telling);
    if (course == COURSE_ON && !gather(&telling, &session_machine(session)->mount, moves)) {
        fault_out_of_memory(&session->fault);
        course = COURSE_FAIL;
    }
    telling_finish(&telling);
    return course;
}
