/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/moves.h>
#include <perpend/status.h>

#include "files/mount_file.h"
#include "files/names.h"
#include "files/number.h"

static const struct range thread_range = {0.5, 100.0};
static const struct range hole_range = {0.5, 200.0};
static const struct range pitch_range = {0.05, 20.0};
static const struct range leaf_range = {0.0005, 100.0};
static const struct range turn_range = {0.01, 180.0};
static const struct range count_range = {0.0, LEAF_COUNT_MOST};

/* A whole number with at least so many threads to the inch is a number, not inches: 10-24. */
#define NUMBERED_THREADS 24.0

/* "M5", "M5x0.5": metric in any file; "1/4-20", "10-24", "#10-24": inch, threads per inch (ASME B1.1,
   from memory: number n is 0.060 in + n × 0.013 in). */
bool thread_parse(const char *text, struct perpend_bolt *bolt)
{
    char head[QUOTED];
    double diameter = 0.0, pitch = 0.0;
    bool metric = text[0] == 'M' || text[0] == 'm';
    const char *start = text + (metric || text[0] == '#' ? 1 : 0);
    const char *times = strstr(start, "×");
    const char *mark = metric ? (times != NULL ? times : strpbrk(start, "xX")) : strchr(start, '-');
    size_t length = mark != NULL ? (size_t)(mark - start) : strlen(start);
    if (length >= sizeof head || !isdigit((unsigned char)start[0]) || (!metric && mark == NULL))
        return false;
    memcpy(head, start, length);
    head[length] = '\0';
    if (perpend_number_parse(head, &diameter) != PERPEND_OK)
        return false;
    if (mark != NULL) {
        const char *tail = mark + (metric && times != NULL ? strlen("×") : 1);
        if (perpend_number_parse(tail, &pitch) != PERPEND_OK || !(pitch > 0.0))
            return false;
    }
    if (text[0] == '#' ||
        (!metric && strspn(head, "0123456789") == length && pitch >= NUMBERED_THREADS))
        diameter = 0.060 + 0.013 * diameter;
    bolt->thread = metric ? diameter : diameter * PERPEND_MM_PER_INCH;
    bolt->pitch = metric ? pitch : PERPEND_MM_PER_INCH / pitch;
    return true;
}

static bool read_thread(const struct value *value, void *at)
{
    struct perpend_bolt *bolt = at;
    if (!value_is_text(value))
        return false;
    if (thread_parse(value->text, bolt)) {
        bolt->thread_name = strdup(value->text);
        if (bolt->thread_name == NULL)
            return reader_memory(value->reader);
    } else if (perpend_length_parse(value->text, value->reader->unit, &bolt->thread) !=
               PERPEND_OK) {
        return value_wrong(value, "is not one; use M5, M5x0.5, 1/4-20 or the diameter as a length");
    }
    if (bolt->thread < thread_range.least || bolt->thread > thread_range.most ||
        (bolt->pitch != 0.0 && (bolt->pitch < pitch_range.least || bolt->pitch > pitch_range.most ||
                                   bolt->pitch >= bolt->thread)))
        return value_wrong(value, "is out of range; check it");
    return true;
}

static const struct key bolt_keys[] = {
    {"name", true, read_name, offsetof(struct perpend_bolt, name), NULL, NULL},
    {"at", true, read_point, offsetof(struct perpend_bolt, at), NULL, NULL},
    {"thread", false, read_thread, 0, NULL, NULL},
    {"hole", false, read_length, offsetof(struct perpend_bolt, hole), &hole_range, NULL},
    {"pitch", false, read_length, offsetof(struct perpend_bolt, pitch), &pitch_range, NULL},
    {0},
};

static const struct mapping bolt_mapping = {
    "a bolt", "{name: top left, at: [-30, 40, 210], thread: M5}", bolt_keys};

static bool needs(const struct perpend_joint *joint, enum perpend_bolt_need need)
{
    const struct perpend_move_row *row;
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++)
        if ((joint->allows & (unsigned)row->move) != 0 && row->need == need)
            return true;
    return false;
}

/* What a joint allows decides what has to be known about its bolts. */
static bool check_bolt(struct reader *reader, const struct perpend_joint *joint,
    const struct perpend_bolt *bolt, const yaml_node_t *node)
{
    const size_t hole = key_line(reader, node, "hole"), thread = key_line(reader, node, "thread");
    double table = 0.0;
    char shown[LENGTH_SHOWN];
    if (hole != 0 && thread == 0)
        return reader_fail(
            reader, hole, "hole needs the thread too; the play is the difference of both");
    if (hole != 0 && bolt->hole < bolt->thread)
        return reader_fail(reader, hole, "hole is smaller than its thread (%s); check both",
            length_shown(shown, bolt->thread, reader->unit));
    if (needs(joint, PERPEND_NEEDS_HOLE) && hole == 0) {
        if (thread == 0)
            return reader_fail(reader, node_line(node),
                "thread is missing; a joint that slides needs it, for the play in the holes");
        if (perpend_clearance_hole(bolt->thread, &table) != PERPEND_OK)
            return reader_fail(reader, thread,
                "thread has no standard hole (M2 to M16, 2-56 to 5/8-11); add hole, as measured");
    }
    if (needs(joint, PERPEND_NEEDS_PITCH) && bolt->pitch == 0.0) {
        if (thread == 0)
            return reader_fail(reader, node_line(node),
                "thread is missing; a joint with push screws needs it, or the pitch");
        if (perpend_coarse_pitch(bolt->thread, &table) != PERPEND_OK)
            return reader_fail(reader, thread,
                "thread has no standard pitch (M2 to M16, 2-56 to 5/8-11); add pitch");
    }
    return true;
}

static bool check_against_earlier(
    struct reader *reader, const struct perpend_joint *joint, size_t index, const yaml_node_t *node)
{
    const struct perpend_bolt *bolt = &joint->bolts[index];
    char quoted[QUOTED];
    for (size_t i = 0; i < index; i++) {
        const struct perpend_bolt *other = &joint->bolts[i];
        if (same_word(other->name, bolt->name))
            return reader_fail(reader, key_line(reader, node, "name"),
                "name %s is bolt %zu's already; give each its own",
                quote(quoted, bolt->name, strlen(bolt->name)), i + 1);
        if (other->at.right == bolt->at.right && other->at.back == bolt->at.back &&
            other->at.up == bolt->at.up)
            return reader_fail(reader, key_line(reader, node, "at"),
                "this and bolt %zu are at one spot; measure both again", i + 1);
    }
    return true;
}

static bool check_entry(struct reader *reader, const yaml_node_t *node, void *owner, size_t index)
{
    const struct perpend_joint *joint = owner;
    return check_bolt(reader, joint, &joint->bolts[index], node) &&
           check_against_earlier(reader, joint, index, node);
}

static const struct list bolt_list = {"bolt", "bolt", 2, PERPEND_BOLTS_MOST, &bolt_mapping,
    LIST_IN(struct perpend_joint, bolts, bolt_count), false, check_entry};

static const struct choice faces[] = {
    {"front", PERPEND_FACE_FRONT},
    {"back", PERPEND_FACE_BACK},
    {"left", PERPEND_FACE_LEFT},
    {"right", PERPEND_FACE_RIGHT},
    {"up", PERPEND_FACE_UP},
    {"down", PERPEND_FACE_DOWN},
    {0},
};

/* A list of words; one word alone may stand without brackets. */
static bool read_allows(const struct value *value, void *at)
{
    struct choice moves[PERPEND_MOVE_COUNT + 1] = {{0}};
    const struct perpend_move_row *row;
    unsigned *allows = at;
    size_t count = value->text != NULL ? 1 : entry_count(value);
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++)
        moves[i] = (struct choice){row->name, (int)row->move};
    if (value->text == NULL && count == 0)
        return value_fail(
            value, "allows is empty; use [shim], [slide], [screw], [turn] or several of them");
    for (size_t i = 0; i < count; i++) {
        const struct value entry = value->text != NULL ? *value : entry_of(value, i);
        const struct value word = value_with(&entry, moves);
        int move = 0;
        if (!read_choice(&word, &move))
            return false;
        if ((*allows & (unsigned)move) != 0)
            return value_fail(&word, "allows names %s twice; once will do", word.text);
        *allows |= (unsigned)move;
    }
    return true;
}

static const struct key joint_keys[] = {
    {"joint", true, read_name, offsetof(struct perpend_joint, name), NULL, NULL},
    {"faces", true, read_choice, offsetof(struct perpend_joint, face), faces, NULL},
    {"allows", true, read_allows, offsetof(struct perpend_joint, allows), NULL, NULL},
    {"centre", false, read_point, offsetof(struct perpend_joint, centre), NULL, NULL},
    {"range", false, read_degrees, offsetof(struct perpend_joint, range), &turn_range, NULL},
    {"bolts", true, read_list, 0, &bolt_list, NULL},
    {0},
};

static const struct mapping joint_mapping = {"a joint", "\"joint: clamp plate\"", joint_keys};

static bool check_joint(struct reader *reader, const yaml_node_t *node, void *owner, size_t index)
{
    const struct perpend_mount *mount = owner;
    struct perpend_joint *joint = &mount->joints[index];
    const char *name = joint->name;
    const size_t centre = key_line(reader, node, "centre"), range = key_line(reader, node, "range");
    char quoted[QUOTED];
    joint->centred = centre != 0;
    if ((joint->allows & PERPEND_MOVE_TURN) == 0 && centre + range != 0)
        return reader_fail(reader, centre != 0 ? centre : range,
            "%s is for a joint that turns; write allows: [turn] or leave it out",
            centre != 0 ? "centre" : "range");
    if ((joint->allows & PERPEND_MOVE_TURN) != 0 && (joint->allows & PERPEND_MOVE_SLIDE) != 0)
        return reader_fail(reader, key_line(reader, node, "allows"),
            "allows names turn and slide, which are one move; keep turn for a spigot or curved "
            "slots");
    for (size_t i = 0; i < index; i++) {
        if (same_word(mount->joints[i].name, name))
            return reader_fail(reader, key_line(reader, node, "joint"),
                "joint %s is the name of joint %zu already; give each its own",
                quote(quoted, name, strlen(name)), i + 1);
    }
    return true;
}

const struct list joint_list = {"joint", "mount: joint", 1, PERPEND_JOINTS_MOST, &joint_mapping,
    LIST_IN(struct perpend_mount, joints, joint_count), false, check_joint};

bool read_count(const struct value *value, void *at)
{
    double count = 0.0;
    if (!read_number(value, &count))
        return false;
    *(unsigned *)at = (unsigned)count;
    return count == floor(count) || value_wrong(value, "must be a whole number of leaves");
}

static const struct key leaf_keys[] = {
    {"thick", true, read_length, offsetof(struct perpend_leaf, thick), &leaf_range, NULL},
    {"count", true, read_count, offsetof(struct perpend_leaf, count), &count_range, NULL},
    {"name", false, read_name, offsetof(struct perpend_leaf, name), NULL, NULL},
    {0},
};

static const struct mapping leaf_mapping = {"a leaf", "{thick: 0.05, count: 8}", leaf_keys};

const struct list leaf_list = {"kind", "stock: leaf", 1, PERPEND_LEAVES_MOST, &leaf_mapping,
    LIST_IN(struct perpend_stock, leaves, leaf_count), false, NULL};
