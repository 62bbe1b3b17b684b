/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was really done, one bolt a line: "top left 0.5", "2 0.25 right", "foot 1 1/4 turn in". */
#include "cli/sweep/session.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include <perpend/status.h>

#include "cli/prompt/amounts.h"
#include "text/gets.h"

/* Farther off what stiff parts can do than this, mm, is told: half a leaf of 0.05 more at one of four
   is not, nor a slide measured to a few hundredths. */
#define OFF_PLANE 0.01
#define OFF_PLATE 0.03

void session_add_did(
    const struct session *session, struct buffer *phrase, const struct did_list *list)
{
    struct words words = session_words(session);
    for (size_t i = 0; i < list->count; i++) {
        const struct perpend_did *did = &list->of[i];
        const struct perpend_joint *joint = &session_machine(session)->mount.joints[did->joint];
        bool whole = did->move == PERPEND_MOVE_TURN; /* told of every bolt, and said once */
        if (whole && did->bolt > 0)
            continue;
        buffer_add(phrase, i > 0 ? ", " : "");
        words_name(phrase, whole ? joint->name : joint->bolts[did->bolt].name);
        buffer_add(phrase, WORDS_GLUE);
        bolt_did(&words, phrase, did->move, &did->amount);
    }
}

/* ---- one line ------------------------------------------------------------------------------ */

/* A joint that does nothing but turn as one piece is told of by its own name. */
static bool turns_whole(const struct perpend_joint *joint)
{
    return joint->allows == PERPEND_MOVE_TURN;
}

/* "1 top left, 2 top right": numbered as in the drawings, behind the joint where there are several. */
static void add_bolts(const struct session *session, struct buffer *phrase)
{
    const struct perpend_mount *mount = &session_machine(session)->mount;
    for (size_t j = 0; j < mount->joint_count; j++)
        for (size_t i = 0; i < mount->joints[j].bolt_count; i++) {
            struct words words = session_words(session);
            buffer_add(phrase, j + i > 0 ? ", " : "");
            if (turns_whole(&mount->joints[j])) {
                words_name(phrase, mount->joints[j].name);
                break;
            }
            fill(&words, phrase, session_sentences[BOLT_NAMED],
                SLOTS(SLOT_COUNT("number", i + 1),
                    SLOT_NAME("joint", mount->joint_count > 1 ? mount->joints[j].name : ""),
                    SLOT_NAME("bolt", mount->joints[j].bolts[i].name)));
        }
}

/* What is behind a name at the beginning of a line; NULL when it does not begin so. */
static const char *behind(const char *line, const char *name)
{
    size_t length = strlen(name);
    if (length == 0 || strncasecmp(line, name, length) != 0 || strchr(" :=", line[length]) == NULL)
        return NULL;
    return line + length + strspn(line + length, " :=");
}

/* The bolt of a joint that a line begins with, by name, the longest that fits, or by number. */
static const char *bolt_in(const struct perpend_joint *joint, const char *line, size_t *bolt)
{
    const char *rest = NULL;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        char number[24];
        snprintf(number, sizeof number, "%zu", i + 1);
        const char *named = behind(line, joint->bolts[i].name);
        const char *found = named != NULL ? named : behind(line, number);
        if (found != NULL && (rest == NULL || found > rest)) {
            *bolt = i;
            rest = found;
        }
    }
    return rest;
}

/* The same in a mount, behind the joint's name where there are several: only one of them may have it
   without. */
static const char *find_bolt(
    const struct perpend_mount *mount, const char *line, struct perpend_did *did)
{
    const char *rest = NULL;
    size_t found = 0;
    for (size_t j = 0; j < mount->joint_count; j++) {
        const char *inside = behind(line, mount->joints[j].name), *amount = NULL;
        size_t bolt;
        if (turns_whole(&mount->joints[j])) {
            amount = inside != NULL || mount->joint_count > 1 ? inside : line;
            bolt = 0;
        } else if (inside != NULL && (amount = bolt_in(&mount->joints[j], inside, &bolt)) != NULL)
            found = 0; /* told by its joint as well: it is this one */
        else
            amount = bolt_in(&mount->joints[j], line, &bolt);
        if (amount == NULL)
            continue;
        rest = amount;
        did->joint = j;
        did->bolt = bolt;
        found++;
        if (inside != NULL)
            break;
    }
    return found == 1 ? rest : NULL;
}

/* "0.4 mm anticlockwise": how far a joint turned, along its rim. */
static bool parse_rim(const struct perpend_joint *joint, enum perpend_unit unit, const char *text,
    struct perpend_amount *amount)
{
    struct perpend_point centre;
    const char *way = strstr(text, "clockwise");
    bool back = way != NULL && way - text > 4 && strncmp(way - 4, "anti", 4) == 0;
    char length[32] = "";
    double mm, rim = perpend_joint_rim(joint, &centre);
    snprintf(length, sizeof length, "%.*s",
        way == NULL ? (int)sizeof length : (int)(way - text) - (back ? 4 : 0), text);
    if (perpend_length_parse(length, unit, &mm) != PERPEND_OK || !(fabs(mm) < rim))
        return false;
    *amount = (struct perpend_amount){.value = (back ? -mm : mm) / rim};
    return true;
}

/* An amount tells by its form what was done: "0.5", "0.25 right", "1/4 turn"; a bare number is the first
   that the joint allows. */
static bool parse_did(const struct perpend_joint *joint, enum perpend_unit unit, const char *text,
    struct perpend_did *did)
{
    const struct perpend_move_row *row;
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++) {
        if ((joint->allows & (unsigned)row->move) == 0 ||
            !(amount_parse(text, row->amount, unit, &did->amount) ||
                (row->amount == PERPEND_AMOUNT_ANGLE &&
                    parse_rim(joint, unit, text, &did->amount))))
            continue;
        did->move = row->move;
        return true;
    }
    return false;
}

struct told {
    struct session *session;
    struct perpend_did now;
};

#define SLOTS_OF_MOVES(allows)                                                                     \
    SLOT_IF("shim", ((allows)&PERPEND_MOVE_SHIM) != 0),                                            \
        SLOT_IF("slide", ((allows)&PERPEND_MOVE_SLIDE) != 0),                                      \
        SLOT_IF("screw", ((allows)&PERPEND_MOVE_SCREW) != 0),                                      \
        SLOT_IF("turn", ((allows)&PERPEND_MOVE_TURN) != 0)

static bool check_bolt(const char *answer, void *opaque, char *complaint, size_t size)
{
    struct told *told = opaque;
    const struct perpend_machine *machine = session_machine(told->session);
    struct buffer phrase = {0}, bolts = {0};
    const char *amount =
        answer[0] != '\0' ? find_bolt(&machine->mount, answer, &told->now) : answer;
    bool good = answer[0] == '\0';
    if (!good && amount != NULL) {
        const struct perpend_joint *joint = &machine->mount.joints[told->now.joint];
        good = parse_did(joint, machine->unit, amount, &told->now);
        if (!good)
            session_fill(told->session, &phrase, BOLT_AMOUNT, SLOTS(SLOTS_OF_MOVES(joint->allows)));
    } else if (!good) {
        add_bolts(told->session, &bolts);
        session_fill(
            told->session, &phrase, BOLT_WHICH, SLOTS(SLOT_TEXT("bolts", buffer_text(&bolts))));
    }
    snprintf(complaint, size, "%s", buffer_text(&phrase));
    buffer_finish(&phrase);
    buffer_finish(&bolts);
    return good;
}

/* ---- whether it can be --------------------------------------------------------------------- */

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

/* What was told of the bolts of a joint by one move, where that goes together with no stiff parts: the
   sentence, or nothing. */
static void add_doubt(const struct session *session, struct buffer *phrase,
    const struct did_list *list, size_t index, enum perpend_move move)
{
    const struct perpend_joint *joint = &session_machine(session)->mount.joints[index];
    struct perpend_amount amounts[PERPEND_BOLTS_MOST] = {{0}};
    bool slides = move == PERPEND_MOVE_SLIDE;
    double off = 0.0, allowed = 0.0;
    for (size_t i = 0; i < list->count; i++)
        if (list->of[i].joint == index && list->of[i].move == move)
            amounts[list->of[i].bolt] = list->of[i].amount;
    double far = slides ? beyond_play(joint, amounts, &allowed) : 0.0;
    if (far <= 0.0 && (perpend_moves_misfit(joint, move, amounts, &off) != PERPEND_OK ||
                          off <= (slides ? OFF_PLATE : OFF_PLANE)))
        return;
    session_fill(session, phrase,
        far > 0.0 ? BOLTS_BEYOND_PLAY
        : slides  ? BOLTS_NO_PLATE
                  : BOLTS_NO_PLANE,
        SLOTS(SLOT_ROUNDED("far", WORDS_SMALL, far, 0.05),
            SLOT_ROUNDED("play", WORDS_SMALL, allowed, 0.05),
            SLOT_ROUNDED("off", WORDS_SMALL, off, slides ? 0.05 : 0.005)));
}

static enum heard make_sure(struct session *session, const struct did_list *list, bool *so)
{
    const struct perpend_mount *mount = &session_machine(session)->mount;
    const struct perpend_move_row *row;
    struct buffer doubt = {0};
    enum heard heard = HEARD_ANSWER;
    for (size_t j = 0; j < mount->joint_count; j++)
        for (size_t m = 0; (row = perpend_move_at(m)) != NULL; m++)
            add_doubt(session, &doubt, list, j, row->move);
    *so = doubt.length == 0;
    if (!*so) {
        dialogue_say(session->dialogue, "%s", buffer_text(&doubt));
        heard = session_confirm(session, SO_PROMPT, SO_HELP, NULL, false, so);
    }
    buffer_finish(&doubt);
    return heard;
}

/* ---- line after line ----------------------------------------------------------------------- */

/* What was told of a bolt last is what counts; nothing is nothing. */
static void settle(struct did_list *list)
{
    size_t kept = 0;
    for (size_t i = 0; i < list->count; i++) {
        const struct perpend_did *did = &list->of[i];
        bool counts = !perpend_amount_is_none(did->amount);
        for (size_t k = i + 1; k < list->count; k++)
            counts = counts && !(list->of[k].joint == did->joint && list->of[k].bolt == did->bolt &&
                                   list->of[k].move == did->move);
        if (counts)
            list->of[kept++] = *did;
    }
    list->count = kept;
}

/* A joint turns as one piece: what was told of one bolt is so of all. */
static void spread_turns(const struct perpend_mount *mount, struct did_list *list)
{
    struct did_list told = *list;
    list->count = 0;
    for (size_t i = 0; i < told.count; i++) {
        const struct perpend_did *did = &told.of[i];
        bool whole = perpend_move_find(did->move)->amount == PERPEND_AMOUNT_ANGLE;
        size_t bolts = whole ? mount->joints[did->joint].bolt_count : 1;
        for (size_t k = 0; k < bolts && list->count < DID_MOST; k++) {
            list->of[list->count] = *did;
            list->of[list->count++].bolt = whole ? k : did->bolt;
        }
    }
}

static enum heard ask_line(struct told *told, char *answer)
{
    const struct perpend_mount *mount = &session_machine(told->session)->mount;
    unsigned allows = 0;
    for (size_t j = 0; j < mount->joint_count; j++)
        allows |= mount->joints[j].allows;
    struct question question = {
        .may_be_empty = true, .back_undoes = true, .check = check_bolt, .context = told};
    return session_ask(
        told->session, question, BOLT_PROMPT, BOLT_HELP, SLOTS(SLOTS_OF_MOVES(allows)), answer);
}

enum heard session_ask_bolts(struct session *session, struct did_list *did)
{
    struct told told = {.session = session};
    struct buffer bolts = {0};
    add_bolts(session, &bolts);
    session_say(session, BOLTS_BEGIN, SLOTS(SLOT_TEXT("bolts", buffer_text(&bolts))));
    buffer_finish(&bolts);
    did->count = 0;
    for (bool so = false; !so;) {
        char answer[ANSWER_SIZE];
        enum heard heard = ask_line(&told, answer);
        if (heard == HEARD_UNDO && did->count > 0) {
            did->count--;
            continue;
        }
        if (heard != HEARD_ANSWER)
            return heard;
        bool all = answer[0] == '\0';
        if (!all)
            did->of[did->count++] = told.now;
        if (all)
            spread_turns(&session_machine(session)->mount, did);
        if (all || did->count == DID_MOST)
            settle(did); /* which leaves room, as there are fewer bolts */
        if (all && (heard = make_sure(session, did, &so)) != HEARD_ANSWER && heard != HEARD_UNDO)
            return heard;
    }
    return HEARD_ANSWER;
}
