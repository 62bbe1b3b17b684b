/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/new/save.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "cli/complain.h"
#include "cli/prompt/shell_word.h"
#include "log/whole_file.h"
#include "files/files.h"
#include "files/names.h"

void save_name_for(const char *machine, char name[SAVE_NAME])
{
    size_t length = 0;
    for (const char *at = machine; *at != '\0' && length < SAVE_NAME - 16; at++) {
        unsigned char byte = (unsigned char)*at;
        if (byte < 0x80 && isalnum(byte))
            name[length++] = (char)tolower(byte);
        else if (length > 0 && name[length - 1] != '-')
            name[length++] = '-';
    }
    while (length > 0 && name[length - 1] == '-')
        length--;
    snprintf(name + length, SAVE_NAME - length, "%s", length > 0 ? ".yaml" : "machine.yaml");
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
    struct stat there;
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
        if (lstat(path, &there) != 0)
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

enum heard save_machine(
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
