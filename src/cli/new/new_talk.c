/* SPDX-License-Identifier: GPL-3.0-or-later */
/* perpend new: ask about the machine, write its file. */
#include "cli/new/new_talk.h"

#include <assert.h>
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include <perpend/status.h>
#include <perpend/verdict.h>

#include "files/buffer.h"
#include "cli/prompt/dialogue.h"
#include "files/files.h"
#include "text/joint_drawing.h"
#include "text/means.h"
#include "files/names.h"
#include "cli/new/new_draft.h"
#include "cli/whole_file.h"
#include "cli/new/new_steps.h"
#include "cli/options.h"
#include "cli/prompt/screen.h"
#include "cli/prompt/shell_word.h"
#include "text/words.h"

#define PATH_NAME_MOST 40

/* Where the questions have got to, and the way back. */
struct place {
    enum draft_key key;
    size_t joint;
};

struct way {
    struct place taken[DRAFT_JOINTS * DRAFT_KEYS];
    size_t count;
};

static struct place next_place(const struct draft *draft, struct place at)
{
    do {
        if (at.key == DRAFT_ANOTHER && at.joint + 1 < DRAFT_JOINTS &&
            new_step_applies(draft, at.key, at.joint) &&
            draft_is(draft, DRAFT_ANOTHER, at.joint, "yes"))
            at = (struct place){DRAFT_SHAPE, at.joint + 1};
        else
            at.key++;
    } while (at.key < DRAFT_KEYS && !new_step_applies(draft, at.key, at.joint));
    return at;
}

/* The machine as described so far; false when it is not whole yet. */
static bool machine_so_far(const struct draft *draft, struct buffer *text,
    struct perpend_machine *machine, struct fault *fault)
{
    buffer_clear(text);
    draft_write(draft, text);
    if (text->failed)
        return fault_out_of_memory(fault);
    return machine_file_parse(buffer_text(text), text->length, "what was typed", machine, fault);
}

/* What the goal asks of arm and gauge, as soon as it is known. */
static void say_means(struct dialogue *dialogue, const struct draft *draft)
{
    struct buffer text = {0};
    struct buffer phrase = {0};
    struct perpend_machine machine = {.name = NULL};
    struct perpend_means means;
    struct fault fault;
    if (!machine_so_far(draft, &text, &machine, &fault)) {
        buffer_finish(&text);
        return;
    }
    struct words words = dialogue_words(dialogue, machine.unit);
    if (!isnan(machine.goal) && perpend_means_for(&machine.setup, 4, &machine.cutter,
                                    &machine.facing, machine.goal, &means) == PERPEND_OK) {
        words_means(&words, &phrase, &means);
        if (isnan(means.lean))
            buffer_add(&phrase, " undo goes back to them.");
        words_paragraph(&words, "", buffer_text(&phrase));
        dialogue_show(dialogue, buffer_text(&words.out));
    }
    buffer_finish(&words.out);
    buffer_finish(&phrase);
    buffer_finish(&text);
    perpend_machine_finish(&machine);
}

static enum heard ask_all(struct dialogue *dialogue, struct draft *draft, struct way *way)
{
    struct place at = {DRAFT_NAME, 0};
    if (way->count > 0)
        at = way->taken[--way->count];
    while (at.key < DRAFT_KEYS) {
        enum heard heard = new_step_ask(dialogue, draft, at.key, at.joint);
        if (heard == HEARD_UNDO) {
            if (way->count == 0)
                dialogue_say(dialogue, "This is the first question.");
            else
                at = way->taken[--way->count];
            continue;
        }
        if (heard != HEARD_ANSWER)
            return heard;
        if (at.key == DRAFT_GOAL)
            say_means(dialogue, draft);
        if (way->count < sizeof way->taken / sizeof *way->taken)
            way->taken[way->count++] = at;
        at = next_place(draft, at);
    }
    return HEARD_ANSWER;
}

/* ---- what was understood ------------------------------------------------------------------- */

static void add_gauge(
    const struct words *words, struct buffer *phrase, const struct perpend_gauge *gauge)
{
    static const char *const kinds[] = {
        [PERPEND_GAUGE_GAP] = "the gap, in steps of ",
        [PERPEND_GAUGE_TOUCH] = "Z at the touch, in steps of ",
        [PERPEND_GAUGE_DIAL] = "a dial, in steps of ",
        [PERPEND_GAUGE_LEVER] = "a lever indicator, in steps of ",
    };
    static_assert(sizeof kinds / sizeof *kinds == PERPEND_GAUGE_KINDS, "a kind has no words");
    buffer_add(phrase, kinds[gauge->kind]);
    words_stated(words, phrase, WORDS_SMALL, gauge->step);
}

static void add_line(struct words *words, const char *lead, struct buffer *phrase)
{
    words_paragraph(words, lead, buffer_text(phrase));
    buffer_clear(phrase);
}

/* How far apart the bolts of a joint are, and how high. */
static void add_spans(
    const struct words *words, struct buffer *phrase, const struct perpend_joint *joint)
{
    static const char *const ways[3] = {" left to right", " front to back", " up and down"};
    struct perpend_point least = joint->bolts[0].at;
    struct perpend_point most = least;
    for (size_t i = 1; i < joint->bolt_count; i++) {
        struct perpend_point at = joint->bolts[i].at;
        least = (struct perpend_point){
            fmin(least.right, at.right), fmin(least.back, at.back), fmin(least.up, at.up)};
        most = (struct perpend_point){
            fmax(most.right, at.right), fmax(most.back, at.back), fmax(most.up, at.up)};
    }
    const double spans[3] = {most.right - least.right, most.back - least.back, most.up - least.up};
    bool any = false;
    for (int i = 0; i < 3; i++) {
        if (spans[i] > 0) {
            buffer_add(phrase, any ? ", " : "");
            words_stated(words, phrase, WORDS_LARGE, spans[i]);
            buffer_add(phrase, ways[i]);
            any = true;
        }
    }
    buffer_add(phrase, "; the lowest bolts ");
    words_stated(words, phrase, WORDS_LARGE, least.up);
    buffer_add(phrase, " above the tip");
}

/* The way that no joint can turn the spindle, before somebody finds out with a spanner in hand. */
static void add_unserved(
    struct words *words, struct buffer *phrase, const struct perpend_machine *machine)
{
    static const char *const axes[2] = {"to the left or right", "back or forward"};
    /* what a plan falls short of for a lean of a tenth of a mm/m both ways */
    struct perpend_plan_input input = {
        .lean = {1e-4, 1e-4},
        .mount = &machine->mount,
        .cutter = &machine->cutter,
        .facing = &machine->facing,
        .goal = NAN,
    };
    struct perpend_plan plan;
    if (machine->mount.joint_count == 0 || perpend_plan_make(&input, &plan) != PERPEND_OK)
        return;
    for (size_t axis = 0; axis < 2; axis++) {
        const struct perpend_shortfall *shortfall = &plan.short_of[axis];
        if (!shortfall->present || shortfall->joint < machine->mount.joint_count)
            continue;
        buffer_addf(phrase,
            "This mount cannot turn the spindle %s: a lean that way can be seen, not taken out. "
            "If something else on the machine can, add it as one more joint.",
            axes[axis]);
        add_line(words, "  ", phrase);
    }
    perpend_plan_finish(&plan);
}

static void show_machine(struct words *words, const struct perpend_machine *machine)
{
    struct buffer phrase = {0};
    words_name(&phrase, machine->name);
    add_line(words, "", &phrase);
    buffer_add(&phrase, "an arm of ");
    words_stated(words, &phrase, WORDS_LARGE, machine->setup.arm.length);
    buffer_add(&phrase, "; you read ");
    add_gauge(words, &phrase, &machine->setup.gauge);
    add_line(words, "  sweep:  ", &phrase);
    buffer_add(&phrase, "a bit of ");
    words_stated(words, &phrase, WORDS_LARGE, machine->cutter.diameter);
    buffer_add(&phrase, ", ");
    words_rounded(words, &phrase, WORDS_LARGE, machine->facing.stepover, 0);
    buffer_add(&phrase, " from pass to pass, along ");
    buffer_add(&phrase, machine->facing.both_ways                  ? "X and Y"
                        : machine->facing.along == PERPEND_ALONG_Y ? "Y"
                                                                   : "X");
    add_line(words, "  facing: ", &phrase);
    if (isnan(machine->goal)) {
        buffer_add(&phrase, "none");
    } else {
        buffer_add(&phrase, "a ridge of ");
        words_stated(words, &phrase, WORDS_SMALL, machine->goal);
        buffer_add(&phrase, " or less");
    }
    add_line(words, "  goal:   ", &phrase);
    buffer_add(&phrase, machine->setup.bed_faced ? "faced by this machine" : "as found");
    add_line(words, "  bed:    ", &phrase);
    for (size_t i = 0; i < machine->mount.joint_count; i++) {
        const struct perpend_joint *joint = &machine->mount.joints[i];
        words_name(&phrase, joint->name);
        buffer_addf(&phrase, ", %s:", joint_drawing_view(joint->face));
        add_line(words, "  ", &phrase);
        joint_drawing_add(words, joint, NULL, NULL, 4);
        add_spans(words, &phrase, joint);
        add_line(words, "    ", &phrase);
    }
    add_unserved(words, &phrase, machine);
    for (size_t i = 0; i < machine->stock.leaf_count; i++) {
        const struct perpend_leaf *leaf = &machine->stock.leaves[i];
        buffer_addf(&phrase, "%u × ", leaf->count);
        words_stated(words, &phrase, WORDS_SMALL, leaf->thick);
        buffer_add(&phrase, leaf->name != NULL ? " " : "");
        words_name(&phrase, leaf->name);
        add_line(words, i == 0 ? "  shims:  " : "          ", &phrase);
    }
    buffer_finish(&phrase);
}

/* ---- the file ------------------------------------------------------------------------------ */

/* A file name made of the machine's: small letters, digits and hyphens. */
static void file_name_for(const char *machine, char *name, size_t size)
{
    size_t length = 0;
    for (const char *at = machine; *at != '\0' && length < PATH_NAME_MOST; at++) {
        unsigned char byte = (unsigned char)*at;
        if (byte < 0x80 && isalnum(byte))
            name[length++] = (char)tolower(byte);
        else if (length > 0 && name[length - 1] != '-')
            name[length++] = '-';
    }
    while (length > 0 && name[length - 1] == '-')
        length--;
    snprintf(name + length, size - length, "%s", length > 0 ? ".yaml" : "machine.yaml");
}

static bool is_there(const char *path)
{
    struct stat there;
    return lstat(path, &there) == 0;
}

static bool check_path(const char *answer, void *context, char *complaint, size_t size)
{
    struct stat there;
    (void)context;
    if (same_word(answer, "no") || same_word(answer, "n")) {
        snprintf(complaint, size,
            "Type undo to go back to the questions, stop to leave without a file.");
        return false;
    }
    if (stat(answer, &there) == 0 && !S_ISREG(there.st_mode)) {
        snprintf(complaint, size, "%.200s is not a plain file; type another name.", answer);
        return false;
    }
    return true;
}

/* `perpend sweep` finds machine files by their ending. */
static void end_in_yaml(char *path, size_t size)
{
    static const char ending[] = ".yaml";
    const char *slash = strrchr(path, '/');
    const char *name = slash != NULL ? slash + 1 : path;
    const char *dot = strrchr(name, '.');
    size_t length = strlen(path);
    /* "tern.txt" is somebody's wish, "0.2 x 5" was meant for another question */
    bool ends = dot != NULL && (dot == name || strpbrk(dot, " \t") == NULL);
    if (name[0] != '\0' && !ends && length + sizeof ending <= size)
        memcpy(path + length, ending, sizeof ending);
}

static bool is_yaml(const char *path)
{
    const char *dot = strrchr(path, '.');
    return dot != NULL && (same_word(dot, ".yaml") || same_word(dot, ".yml"));
}

/* A name that was hardly meant for a machine file, such as "0.2 x 5" or "tern.txt", is asked about;
   what was `typed` has got its ending in `path`. `sure` is false to ask for a name again. */
static enum heard make_sure_of_name(
    struct dialogue *dialogue, const char *typed, const char *path, bool *sure)
{
    const char *slash = strrchr(typed, '/');
    *sure = is_yaml(typed) || strpbrk(slash != NULL ? slash : typed, " .") == NULL;
    if (*sure)
        return HEARD_ANSWER;
    dialogue_say(dialogue, "The file would be called %s%s.", path,
        is_yaml(path) ? "" : ", but perpend sweep finds only .yaml of itself");
    enum heard heard = dialogue_make_sure(dialogue, "is it right", sure);
    if (heard == HEARD_UNDO)
        *sure = false;
    return heard == HEARD_UNDO ? HEARD_ANSWER : heard;
}

/* Ask where to until there is a name that may be written; HEARD_UNDO goes back to the questions. */
static enum heard ask_path(struct dialogue *dialogue, const char *wished, char *path, bool *replace)
{
    char standing[ANSWER_SIZE];
    struct question question = {
        .prompt = "file name",
        .help =
            "Where the machine file goes; a name that ends in .yaml, in this folder, is found by "
            "perpend sweep of itself. undo goes back to the questions.",
        .standing = standing,
        .back_undoes = true,
        .check = check_path,
    };
    snprintf(standing, sizeof standing, "%s", wished);
    for (;;) {
        dialogue_space(dialogue);
        dialogue_say(dialogue,
            "Nothing is written yet. If this is right, Enter writes it, or type another name for "
            "the file; undo goes back.");
        enum heard heard = dialogue_ask(dialogue, &question, path);
        if (heard != HEARD_ANSWER)
            return heard;
        if (same_word(path, "yes") || same_word(path, "y")) {
            snprintf(path, ANSWER_SIZE, "%s", wished);
        } else if (strcmp(path, wished) != 0) {
            bool sure;
            char typed[ANSWER_SIZE];
            snprintf(typed, sizeof typed, "%s", path);
            end_in_yaml(path, ANSWER_SIZE);
            heard = make_sure_of_name(dialogue, typed, path, &sure);
            if (heard != HEARD_ANSWER)
                return heard;
            if (!sure)
                continue;
        }
        *replace = false;
        if (!is_there(path))
            return HEARD_ANSWER;
        dialogue_say(dialogue, "There is a file %s already.", path);
        heard = dialogue_confirm(dialogue, "write over it",
            "yes replaces it, no asks for another name.", false, replace);
        if (heard == HEARD_UNDO)
            continue;
        if (heard != HEARD_ANSWER || *replace)
            return heard;
    }
}

/* Ask for a name until the file is there; somebody who types does not lose the answers to a bad
   name. HEARD_ANSWER: `status` is the exit status. */
static enum heard save(
    struct dialogue *dialogue, const struct buffer *text, const char *wished, int *status)
{
    for (;;) {
        char path[ANSWER_SIZE];
        bool replace;
        struct fault fault;
        struct buffer command = {0};
        enum heard heard = ask_path(dialogue, wished, path, &replace);
        if (heard != HEARD_ANSWER)
            return heard;
        switch (whole_file_write(path, buffer_text(text), text->length, replace, &fault)) {
        case WHOLE_FILE_EXISTS:
            break;
        case WHOLE_FILE_FAILED:
            if (!dialogue_typed(dialogue)) {
                *status = complain(fault.status, "%s", fault.text);
                return HEARD_ANSWER;
            }
            dialogue_say(dialogue, "%s", fault.text);
            break;
        case WHOLE_FILE_WRITTEN:
            dialogue_space(dialogue);
            dialogue_say(dialogue, "Written: %s", path);
            buffer_add(&command, "perpend sweep ");
            shell_word_add(&command, path);
            dialogue_say(dialogue, "Next, at the machine: %s", buffer_text(&command));
            buffer_finish(&command);
            *status = 0;
            return HEARD_ANSWER;
        }
    }
}

static int ended(struct dialogue *dialogue, enum heard heard)
{
    if (heard == HEARD_FAIL)
        return complain(3, "memory is out, nothing is written; close something and try again");
    if (heard == HEARD_END && !dialogue_typed(dialogue))
        return complain(2,
            "standard input ended before the last question; nothing is written, give "
            "the answers that are missing");
    if (!screen_settle())
        return 1; /* the end of the program says why */
    dialogue_say(dialogue, "Stopped. Nothing is written.");
    return 1;
}

/* From the first question to the file. */
static int converse(struct dialogue *dialogue, struct draft *draft, const char *wished)
{
    struct buffer text = {0};
    struct way way = {.count = 0};
    int status = 0;
    bool again;
    do {
        char name[PATH_NAME_MOST + 16];
        struct perpend_machine machine = {.name = NULL};
        struct fault fault;
        enum heard heard = ask_all(dialogue, draft, &way);
        if (heard != HEARD_ANSWER) {
            status = ended(dialogue, heard);
            break;
        }
        if (!machine_so_far(draft, &text, &machine, &fault)) {
            status = complain_fault(&fault);
            break;
        }
        struct words words = dialogue_words(dialogue, machine.unit);
        show_machine(&words, &machine);
        dialogue_space(dialogue);
        dialogue_show(dialogue, buffer_text(&words.out));
        bool whole = !words.out.failed;
        buffer_finish(&words.out);
        perpend_machine_finish(&machine);
        if (!whole) {
            status = ended(dialogue, HEARD_FAIL);
            break;
        }
        file_name_for(draft_answer(draft, DRAFT_NAME, 0), name, sizeof name);
        heard = save(dialogue, &text, wished != NULL ? wished : name, &status);
        again = heard == HEARD_UNDO;
        if (!again && heard != HEARD_ANSWER)
            status = ended(dialogue, heard);
    } while (again);
    buffer_finish(&text);
    return status;
}

int new_machine(const char *path, bool ascii)
{
    struct draft draft = {0};
    struct dialogue *dialogue = dialogue_create(ascii);
    if (dialogue == NULL)
        return complain_memory();
    dialogue_say(dialogue, "A machine file tells perpend about your router or mill. One question "
                           "at a time; Enter alone takes the answer in [brackets]. At any of them: "
                           "help, undo, stop. Nothing is written before the end.");
    dialogue_say(dialogue, "Unplug the spindle before you measure near it.");
    int status = converse(dialogue, &draft, path);
    dialogue_destroy(dialogue);
    draft_finish(&draft);
    return status;
}
