/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sweep_moves.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "names.h"
#include "options.h"

#define MOST_MM 50.0
#define MOST_TURNS 50.0

static bool part_parse(char *part, enum perpend_unit unit, double *mm)
{
    double times = 1;
    char *mark = strpbrk(part, "xX*");
    if (mark != NULL) {
        *mark = '\0';
        if (perpend_number_parse(part, &times) != PERPEND_OK)
            return false;
        part = mark + 1;
    }
    if (perpend_length_parse(part, unit, mm) != PERPEND_OK)
        return false;
    *mm *= times;
    return true;
}

/* A stack as people say it: "0.5", "4 x 0.05", "0.1 + 2 x 0.05", "-0.05"; mm. */
static bool stack_parse(const char *text, enum perpend_unit unit, double *mm)
{
    char copy[128];
    double sum = 0;
    if (strlen(text) >= sizeof copy)
        return false;
    snprintf(copy, sizeof copy, "%s", text);
    char *part = copy;
    while (part != NULL) {
        double one;
        char *next = strchr(part + 1, '+');
        if (next != NULL)
            *next++ = '\0';
        if (part[0] == '\0' || !part_parse(part, unit, &one))
            return false;
        sum += one;
        part = next;
    }
    *mm = sum;
    return fabs(sum) <= MOST_MM;
}

/* A displacement as people say it: "0.25 right", "0.2 left 0.1 up", "0"; mm. */
static bool slide_parse(const char *text, enum perpend_unit unit, struct perpend_point *slide)
{
    static const char *const words[] = {"right", "left", "back", "front", "forward", "up", "down"};
    struct perpend_point sum = {0, 0, 0};
    const char *at = text;
    double mm;
    if (perpend_length_parse(text, unit, &mm) == PERPEND_OK && mm == 0) {
        *slide = sum;
        return true;
    }
    while (*at != '\0') {
        char length[64];
        char word[16];
        size_t digits = strcspn(at, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ\"");
        size_t end = digits;
        size_t found = sizeof words / sizeof *words;
        /* the unit, if any, up to the word that tells the way */
        while (at[end] != '\0' && found == sizeof words / sizeof *words) {
            size_t letters = 0;
            while (isalpha((unsigned char)at[end + letters]))
                letters++;
            snprintf(word, sizeof word, "%.*s", (int)letters, at + end);
            for (size_t i = 0; i < sizeof words / sizeof *words; i++)
                found = letters < sizeof word && same_word(word, words[i]) ? i : found;
            if (found == sizeof words / sizeof *words) {
                end += letters > 0 ? letters : 1;
            } else if (end >= sizeof length) {
                return false;
            } else {
                snprintf(length, sizeof length, "%.*s", (int)end, at);
                at += end + letters;
                at += strspn(at, " ,");
                break;
            }
        }
        if (found == sizeof words / sizeof *words ||
            perpend_length_parse(length, unit, &mm) != PERPEND_OK || fabs(mm) > MOST_MM)
            return false;
        double signs[] = {1, -1, 1, -1, -1, 1, -1};
        double *axis = found < 2 ? &sum.right : found < 5 ? &sum.back : &sum.up;
        *axis += signs[found] * mm;
    }
    *slide = sum;
    return text[0] != '\0';
}

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
    if (perpend_number_parse(answer, &context->did.turns) == PERPEND_OK &&
        fabs(context->did.turns) <= MOST_TURNS)
        return true;
    snprintf(
        complaint, size, "Type the turns, like 0.25 or 1/4, or 0; with a minus when turned out.");
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
    for (size_t i = 0; measurement->has_plan && i < measurement->plan.step_count; i++) {
        const struct perpend_step *step = &measurement->plan.steps[i];
        if (step->joint == joint && step->move == move)
            return step;
    }
    return NULL;
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
        .help =
            "Enter alone takes what the plan says for this bolt (0 where it says nothing). Shims "
            "may be added up: 0.1 + 2 x 0.05; with a minus when taken out. For a bolt that moved "
            "in its hole, how far and which way: 0.25 right.",
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
    static const enum perpend_move moves[] = {
        PERPEND_MOVE_SHIM, PERPEND_MOVE_SLIDE, PERPEND_MOVE_SCREW};
    static const char *const lines[] = {
        "shims were added or taken out", "bolts moved in their holes", "push screws were turned"};
    const char *words[3];
    const char *texts[3];
    enum perpend_move found[3] = {PERPEND_MOVE_SHIM};
    size_t count = 0;
    size_t choice = 0;
    for (size_t i = 0; i < 3; i++) {
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

static bool keep_move(struct sweep_moves *moves, const struct perpend_did *did)
{
    bool nothing = did->shim == 0 && did->turns == 0 && did->slide.right == 0 &&
                   did->slide.back == 0 && did->slide.up == 0;
    if (nothing)
        return true;
    struct perpend_did *grown = realloc(moves->did, (moves->count + 1) * sizeof *grown);
    if (grown == NULL)
        return false;
    moves->did = grown;
    moves->did[moves->count++] = *did;
    return true;
}

/* All bolts of a joint for one kind of move. */
static enum course ask_joint(
    struct session *session, size_t joint, enum perpend_move move, struct sweep_moves *moves)
{
    size_t bolts = session_machine(session)->mount.joints[joint].bolt_count;
    struct perpend_did *did = calloc(bolts, sizeof *did);
    enum course course = COURSE_ON;
    size_t bolt = 0;
    while (did != NULL && course == COURSE_ON && bolt < bolts) {
        enum heard heard = ask_bolt(session, joint, bolt, move, &did[bolt]);
        if (heard == HEARD_ANSWER)
            bolt++;
        else if (heard == HEARD_UNDO && bolt > 0)
            bolt--;
        else
            course = session_course(heard);
    }
    bool kept = did != NULL;
    for (size_t i = 0; course == COURSE_ON && kept && i < bolts; i++)
        kept = keep_move(moves, &did[i]);
    free(did);
    if (!kept) {
        fault_out_of_memory(&session->fault);
        return COURSE_FAIL;
    }
    return course;
}

static bool has_one_way(const struct perpend_mount *mount)
{
    unsigned allows = mount->joints[0].allows;
    return mount->joint_count == 1 && (allows & (allows - 1)) == 0;
}

enum course session_ask_moves(struct session *session, struct sweep_moves *moves)
{
    const struct perpend_mount *mount = &session_machine(session)->mount;
    bool more = true;
    while (more) {
        size_t joint;
        enum perpend_move move;
        dialogue_space(session->dialogue);
        enum course course = choose_joint(session, &joint);
        if (course == COURSE_ON)
            course = choose_move(session, joint, &move);
        if (course == COURSE_ON)
            course = ask_joint(session, joint, move, moves);
        if (course != COURSE_ON)
            return course;
        more = false;
        if (!has_one_way(mount)) {
            course = session_course(dialogue_confirm(session->dialogue, "anything else",
                "yes asks for another joint or kind of move; no keeps what has been told.", false,
                &more));
            if (course != COURSE_ON)
                return course;
        }
    }
    return COURSE_ON;
}
