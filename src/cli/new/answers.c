/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include <perpend/status.h>

#include "cli/new/questions.h"
#include "cli/prompt/amounts.h"
#include "files/names.h"
#include "files/number.h"
#include "text/sentences.h"

#define READINGS 16 /* of one place, at most */

/* ---- choices ------------------------------------------------------------------------------- */

struct choices {
    const char *words[16], *values[16], *lines[16];
    size_t count;
    char text[1024]; /* which is cut into them */
};

/* False when memory is out. */
static bool list_choices(const struct row *row, struct choices *choices)
{
    const struct words words = {.utf8 = true};
    struct buffer list = {0};
    if (row->kind == KIND_CHOICE)
        buffer_add(&list, row->choices);
    for (const struct shape *shape = shapes; row->kind == KIND_SHAPE && shape->word; shape++)
        buffer_addf(&list, "%s%s: %s", list.length > 0 ? "\n" : "", shape->word, shape->meaning);
    for (size_t i = 0; row->kind == KIND_GAUGE && i < PERPEND_GAUGE_KINDS; i++) {
        buffer_addf(&list, "%s%s: ", i > 0 ? "\n" : "", perpend_gauge_at(i)->name);
        fill(&words, &list, sentences[GAUGE_CHOICE], SLOTS(SLOT_CHOICE("kind", i)));
    }
    snprintf(choices->text, sizeof choices->text, "%s", buffer_text(&list));
    bool whole = !list.failed;
    buffer_finish(&list);
    choices->count = 0;
    if (!whole)
        return false;
    char *rest = choices->text;
    for (char *line; (line = strtok_r(rest, "\n", &rest)) != NULL; choices->count++) {
        char *colon = strstr(line, ": "), *equal = strchr(line, '=');
        bool other = equal != NULL && equal < colon;
        *colon = '\0';
        if (other)
            *equal = '\0';
        choices->words[choices->count] = line;
        choices->values[choices->count] = other ? equal + 1 : line;
        choices->lines[choices->count] = colon + 2;
    }
    return true;
}

/* What a file has that no choice says stays as it is. */
static enum heard ask_choice(struct asking *asking, struct question *question, char *answer)
{
    const char *standing = asking->standing;
    struct choices choices;
    size_t choice = 0;
    if (!list_choices(asking->row, &choices))
        return HEARD_FAIL;
    while (choice < choices.count && !same_word(choices.values[choice], standing) &&
           !same_word(choices.words[choice], standing))
        choice++;
    snprintf(answer, ANSWER_SIZE, "%s", standing);
    if (standing[0] != '\0' && choice == choices.count)
        return HEARD_ANSWER;
    question->standing = standing[0] != '\0' ? choices.words[choice] : NULL;
    enum heard heard = dialogue_choose(
        asking->dialogue, question, choices.words, choices.lines, choices.count, &choice);
    if (heard == HEARD_ANSWER)
        snprintf(answer, ANSWER_SIZE, "%s", choices.values[choice]);
    return heard;
}

/* ---- texts --------------------------------------------------------------------------------- */

/* In place of readings of one place, the scatter that they show; false when an answer is neither that
   nor a number alone. */
static bool take_spread(const struct draft *draft, char *answer)
{
    double readings[READINGS];
    size_t count = 0;
    char part[ANSWER_SIZE], digits[NUMBER_SHOWN], *rest = part;
    enum perpend_unit unit = draft_unit(draft);
    struct perpend_gauge gauge = {.spread = NAN};
    if (same_word(answer, "usual") || perpend_length_parse(answer, unit, readings) == PERPEND_OK)
        return true;
    snprintf(part, sizeof part, "%s", answer);
    for (char *word; (word = strtok_r(rest, " ;", &rest)) != NULL; count++)
        if (count == READINGS || perpend_length_parse(word, unit, &readings[count]) != PERPEND_OK)
            return false;
    while (!draft_is(draft, "gauge.kind", perpend_gauge_at(gauge.kind)->name))
        gauge.kind++;
    if (count < 3 ||
        perpend_length_parse(draft_text(draft, "gauge.step"), unit, &gauge.step) != PERPEND_OK)
        return false;
    snprintf(answer, ANSWER_SIZE, "%s mm",
        number_digits(digits, perpend_gauge_spread_of(&gauge, readings, count), 2));
    return true;
}

/* What is no value of the file as it is typed; the rest is the reader's to judge. */
static bool check_form(const struct asking *asking, char *answer, char *complaint, size_t size)
{
    const struct row *row = asking->row;
    enum perpend_unit unit = draft_unit(asking->draft);
    bool inch = unit == PERPEND_UNIT_INCH;
    struct leaves leaves;
    double mm;
    bool nothing = same_word(answer, "none") || same_word(answer, "usual");
    if (nothing && !same_word(answer, row->sample) && !same_word(answer, row->standing))
        snprintf(complaint, size, "That is needed; help tells how to find it.");
    else if (row->kind == KIND_SPREAD && !take_spread(asking->draft, answer))
        snprintf(complaint, size, "Type three readings or more, such as 0.50 0.55 0.50; or usual.");
    else if (row->kind == KIND_LEAF && !same_word(answer, "none") &&
             !leaves_parse(answer, unit, LEAVES_THICK_FIRST, &leaves))
        snprintf(complaint, size,
            "Type thickness, x, how many, and a name if you like: %s. Enter alone when done.",
            inch ? "0.002 x 8 brass" : "0.05 x 8 brass");
    else if ((row->when & OF_A_JOINT & ~(unsigned)(THREAD | PITCH | HOLE)) != 0 &&
             (perpend_length_parse(answer, unit, &mm) != PERPEND_OK || mm < 0))
        snprintf(complaint, size, "\"%.40s\" is not a length; type it like %s.", answer,
            inch ? "2.5, 3/8 or 60 mm" : "60, 60.5 or 2.5 in");
    else
        return true;
    return false;
}

static bool check_answer(const char *answer, void *opaque, char *complaint, size_t size)
{
    struct asking *asking = opaque;
    struct perpend_machine machine;
    struct buffer text = {0};
    struct fault fault = {0};
    char value[ANSWER_SIZE];
    snprintf(value, sizeof value, "%s", answer);
    if (!check_form(asking, value, complaint, size))
        return false;
    bool whole = questions_write(asking->draft, asking, value, &text);
    bool good = whole && machine_file_parse(buffer_text(&text), text.length, "", &machine, &fault);
    if (good)
        perpend_machine_finish(&machine);
    snprintf(complaint, size, "%s.", fault.text);
    buffer_finish(&text);
    asking->failed |= !whole || fault.status == 3;
    return good || asking->failed;
}

/* ---- the file ------------------------------------------------------------------------------ */

#define NAME_MADE 56 /* bytes of a file's name made of the machine's */

/* Small letters, digits and hyphens. */
static void name_for(const char *machine, char *name)
{
    size_t length = 0;
    for (const char *at = machine; *at != '\0' && length < NAME_MADE - 16; at++) {
        unsigned char byte = (unsigned char)*at;
        if (byte < 0x80 && isalnum(byte))
            name[length++] = (char)tolower(byte);
        else if (length > 0 && name[length - 1] != '-')
            name[length++] = '-';
    }
    while (length > 0 && name[length - 1] == '-')
        length--;
    snprintf(name + length, NAME_MADE - length, "%s", length > 0 ? ".yaml" : "machine.yaml");
}

static bool is_yaml(const char *path)
{
    const char *dot = strrchr(path, '.');
    return dot != NULL && (same_word(dot, ".yaml") || same_word(dot, ".yml"));
}

/* What stands in brackets is taken as it is. Another name gets its ending when it has none; "0.2 x 5"
   was meant for another question. */
static bool check_path(const char *answer, void *opaque, char *complaint, size_t size)
{
    const struct asking *asking = opaque;
    const char *slash = strrchr(answer, '/'), *changed = asking->draft->changed;
    struct stat there;
    if (same_word(answer, "no") || same_word(answer, "yes") || same_word(answer, "y") ||
        same_word(answer, "n"))
        snprintf(complaint, size, "Enter alone writes it; undo goes back, stop ends.");
    else if (strcmp(answer, asking->standing) != 0 && !is_yaml(answer) &&
             strpbrk(slash != NULL ? slash : answer, " .") != NULL)
        snprintf(complaint, size, "Let the name end in .yaml: perpend sweep finds such files.");
    else if ((changed == NULL || strcmp(answer, changed) != 0) && lstat(answer, &there) == 0)
        snprintf(complaint, size,
            S_ISREG(there.st_mode) ? "There is a file %.200s already; type another name."
                                   : "%.200s is not a plain file; type another name.",
            answer);
    else
        return true;
    return false;
}

static enum heard ask_file(struct asking *asking, struct question *question, char *answer)
{
    char made[NAME_MADE];
    name_for(draft_text(asking->draft, "machine"), made);
    if (asking->standing[0] == '\0')
        asking->standing = made;
    question->standing = asking->standing;
    question->check = check_path;
    enum heard heard = dialogue_ask(asking->dialogue, question, answer);
    if (heard == HEARD_ANSWER && strcmp(answer, asking->standing) != 0 && !is_yaml(answer))
        snprintf(answer + strlen(answer), ANSWER_SIZE - strlen(answer), ".yaml");
    return heard;
}

/* ---- a row --------------------------------------------------------------------------------- */

/* An unlikely length is asked about once more, what is none (45%) never. */
static enum heard make_sure(const struct asking *asking, const char *answer, bool *sure)
{
    const struct row *row = asking->row;
    enum perpend_unit unit = draft_unit(asking->draft);
    char shown[LENGTH_SHOWN], least[LENGTH_SHOWN], most[LENGTH_SHOWN];
    double mm;
    *sure = true;
    if (row->likely_most <= 0 || perpend_length_parse(answer, unit, &mm) != PERPEND_OK ||
        (mm >= row->likely_least && mm <= row->likely_most))
        return HEARD_ANSWER;
    dialogue_say(asking->dialogue, "%s is unusual here; most are from %s to %s.",
        length_shown(shown, mm, unit), length_shown(least, row->likely_least, unit),
        length_shown(most, row->likely_most, unit));
    return dialogue_make_sure(asking->dialogue, "is it right", sure);
}

enum heard answer_ask(struct asking *asking, struct question *question, char *answer)
{
    const enum kind kind = asking->row->kind;
    const char *standing = asking->standing;
    enum heard heard;
    bool sure;
    if (kind == KIND_CHOICE || kind == KIND_GAUGE || kind == KIND_SHAPE)
        return ask_choice(asking, question, answer);
    if (kind == KIND_FILE)
        return ask_file(asking, question, answer);
    if (kind == KIND_YES_NO) {
        heard = dialogue_confirm(asking->dialogue, question->prompt, question->help,
            strcmp(standing, "yes") == 0, &sure);
        snprintf(answer, ANSWER_SIZE, "%s", sure ? "yes" : "no");
        return heard;
    }
    question->standing = standing[0] != '\0' ? standing : NULL;
    question->check = check_answer;
    do {
        sure = true;
        heard = dialogue_ask(asking->dialogue, question, answer);
        if (heard == HEARD_ANSWER)
            heard = make_sure(asking, answer, &sure);
        if (heard == HEARD_UNDO && !sure) /* of that: the answer anew */
            heard = HEARD_ANSWER;
    } while (heard == HEARD_ANSWER && !asking->failed && !sure);
    if (heard == HEARD_ANSWER && kind == KIND_SPREAD)
        take_spread(asking->draft, answer);
    return asking->failed ? HEARD_FAIL : heard;
}
