/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "files/job_keys.h"
#include "files/job_learned.h"
#include "files/job_table.h"
#include "files/moment.h"
#include "files/mount_file.h"
#include "files/names.h"

#define TURNS_MOST 1000.0
#define STEPS_MOST 100 /* of a test cut, in one sweep */
#define NOTE_MOST 2000 /* bytes */
#define DID_MOST 100   /* entries after one sweep; each bolt of the largest mount has 3 at most */

static const struct range thickness_range = {-100.0, 100.0};
static const struct range angle_range = {-180.0, 180.0};
static const struct range turns_range = {-TURNS_MOST, TURNS_MOST};

/* ---- readings ---- */

static const struct key reading_keys[] = {
    {"at", true, read_bearing, offsetof(struct perpend_reading, bearing), NULL, write_bearing},
    {"reading", true, read_length, offsetof(struct perpend_reading, value), &anywhere,
        write_length},
    {"x", false, read_length, offsetof(struct perpend_reading, x), &anywhere, write_length},
    {"y", false, read_length, offsetof(struct perpend_reading, y), &anywhere, write_length},
    {0},
};

static const struct mapping reading_mapping = {
    "a reading", "{at: front, reading: 0.5}", reading_keys};

/* Its place is the sweep's unless it says another; a touch of the board has no bearing. */
static bool check_reading(struct reader *reader, const yaml_node_t *node, void *owner, size_t index)
{
    const struct perpend_sweep *sweep = owner;
    struct perpend_reading *reading = &sweep->readings[index];
    bool x = key_line(reader, node, "x") != 0, y = key_line(reader, node, "y") != 0;
    reading->x = x ? reading->x : sweep->x;
    reading->y = y ? reading->y : sweep->y;
    reading->bearing = reader->survey ? (double)NAN : reading->bearing;
    return !reader->survey || (x && y) ||
           reader_fail(reader, node_line(node), "a touch needs x, y and reading; write all three");
}

static const struct list reading_list = {"reading", "reading", 1, READINGS_MOST, &reading_mapping,
    LIST_IN(struct perpend_sweep, readings, reading_count), false, check_reading};

static const struct mapping touch_mapping = {
    "a touch", "{x: 20, y: 20, reading: 0.5}", reading_keys + 1};

static bool read_readings(const struct value *value, void *at)
{
    struct list list = reading_list;
    list.mapping = value->reader->survey ? &touch_mapping : list.mapping;
    const struct value readings = value_with(value, &list);
    return read_list(&readings, at);
}

static int write_readings(struct writer *writer, const struct key *key, const void *at)
{
    const struct perpend_sweep *sweep = at;
    (void)key;
    if (sweep->reading_count == 0)
        return 0;
    int list = write_start_list(writer, false);
    for (size_t i = 0; i < sweep->reading_count; i++) {
        struct perpend_reading reading = sweep->readings[i];
        if (reading.x == sweep->x && reading.y == sweep->y && !isnan(reading.bearing))
            reading.x = reading.y = NAN;
        write_entry(writer, list, write_map(writer, &reading_mapping, &reading, true));
    }
    return list;
}

/* ---- a test cut ---- */

static bool read_side(const struct value *value, void *at)
{
    return read_bearing(value, at) &&
           (fabs(remainder(*(double *)at, PERPEND_PI / 2)) < 1e-9 ||
               value_wrong(value, "is not a side; use front, back, left or right"));
}

static const struct range step_range = {0.0, 100.0};

static const struct key step_keys[] = {
    {"higher", true, read_side, offsetof(struct perpend_cut_reading, higher), NULL, write_bearing},
    {"step", true, read_length, offsetof(struct perpend_cut_reading, step), &step_range,
        write_length},
    {0},
};

static const struct mapping step_mapping = {"a step", "{higher: back, step: 0.08}", step_keys};

static const struct list step_list = {"step", "cut", 1, STEPS_MOST, &step_mapping,
    LIST_IN(struct perpend_sweep, cuts, cut_count), true, NULL};

static bool read_steps(const struct value *value, void *at)
{
    const struct perpend_machine *machine = value->reader->machine;
    return (!isnan(perpend_cut_lever(machine->cut, &machine->cutter)) ||
               value_fail(value, "cut: both places must be clear of what the two passes share and "
                                 "under the flat of "
                                 "the bit; change cut in the machine file, or sweep")) &&
           read_list(value, at);
}

static int write_steps(struct writer *writer, const struct key *key, const void *at)
{
    return ((const struct perpend_sweep *)at)->cut_count == 0 ? 0 : write_list(writer, key, at);
}

/* ---- what was done ---- */

/* Which of the names stands there: the mount's joints, or a joint's bolts. */
static bool pick_name(const struct value *value, const char *owner, const char *const *names,
    size_t count, size_t *picked)
{
    char quoted[QUOTED], guess[WORDS], words[WORDS];
    if (!value_is_text(value))
        return false;
    for (size_t i = 0; i < count; i++) {
        if (same_word(names[i], value->text)) {
            *picked = i;
            return true;
        }
    }
    quote(quoted, value->text, strlen(value->text));
    return value_fail(value, "unknown %s %s; %s has %s%s", value->name, quoted, owner,
        words_and(words, names, count), name_guess(guess, value->text, names, count));
}

static bool read_joint(const struct value *value, void *at)
{
    const struct perpend_mount *mount = &value->reader->machine->mount;
    const char *names[PERPEND_JOINTS_MOST];
    size_t count = 0;
    for (; count < mount->joint_count && count < PERPEND_JOINTS_MOST; count++)
        names[count] = mount->joints[count].name;
    return pick_name(value, "the mount", names, count, at);
}

static int write_joint(struct writer *writer, const struct key *key, const void *at)
{
    return write_name(writer, key, &writer->machine->mount.joints[*(const size_t *)at].name);
}

/* The joint has been read before it. */
static bool read_bolt(const struct value *value, void *at)
{
    struct perpend_did *did = at;
    const struct perpend_joint *joint = &value->reader->machine->mount.joints[did->joint];
    const char *names[PERPEND_BOLTS_MOST];
    size_t count = 0;
    for (; count < joint->bolt_count && count < PERPEND_BOLTS_MOST; count++)
        names[count] = joint->bolts[count].name;
    return pick_name(value, joint->name, names, count, &did->bolt);
}

static int write_bolt(struct writer *writer, const struct key *key, const void *at)
{
    const struct perpend_did *did = at;
    return write_name(
        writer, key, &writer->machine->mount.joints[did->joint].bolts[did->bolt].name);
}

/* How much: one key a row of the moves' table, which is the key's detail. */
static bool read_amount(const struct value *value, void *at)
{
    const struct perpend_move_row *row = value->detail;
    const struct value length = value_with(value, &thickness_range);
    const struct value turns = value_with(value, &turns_range);
    const struct value angle = value_with(value, &angle_range);
    struct perpend_did *did = at;
    did->move = row->move;
    return row->amount == PERPEND_AMOUNT_DISPLACEMENT ? read_point(value, &did->amount.shift)
           : row->amount == PERPEND_AMOUNT_THICKNESS  ? read_length(&length, &did->amount.value)
           : row->amount == PERPEND_AMOUNT_ANGLE      ? read_degrees(&angle, &did->amount.value)
                                                      : read_number(&turns, &did->amount.value);
}

static int write_amount(struct writer *writer, const struct key *key, const void *at)
{
    const struct perpend_move_row *row = key->detail;
    const struct perpend_did *did = at;
    double degrees = perpend_degrees(did->amount.value);
    if (did->move != row->move)
        return 0;
    if (row->amount == PERPEND_AMOUNT_ANGLE)
        return write_number(writer, key, &degrees);
    return row->amount == PERPEND_AMOUNT_DISPLACEMENT ? write_point(writer, key, &did->amount.shift)
           : row->amount == PERPEND_AMOUNT_THICKNESS
               ? write_length(writer, key, &did->amount.value)
               : write_number(writer, key, &did->amount.value);
}

#define DID_KEYS (2 + PERPEND_MOVE_COUNT + 1)

/* One amount, of a bolt unless the joint turns as one, and the first of its kind there. */
static bool check_entry(
    struct reader *reader, const yaml_node_t *node, const struct perpend_did *all, size_t index)
{
    const struct perpend_did *did = &all[index];
    const struct perpend_move_row *row;
    size_t said = 0;
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++)
        said += key_line(reader, node, row->key) != 0;
    if (said != 1)
        return reader_fail(reader, node_line(node),
            "%s; say one of shim, slide, turns and angle in each entry",
            said == 0 ? "says nothing about what was done" : "says more than one thing");
    if (key_line(reader, node, "bolt") == 0 && did->move != PERPEND_MOVE_TURN)
        return reader_fail(reader, node_line(node), "bolt is missing; say at which bolt");
    for (size_t i = 0; i < index; i++) {
        if (all[i].joint == did->joint && all[i].bolt == did->bolt && all[i].move == did->move)
            return reader_fail(reader, node_line(node),
                "the same bolt's %s stands in entry %zu already; write their sum once",
                perpend_move_name(did->move), i + 1);
    }
    return true;
}

static bool check_did(struct reader *reader, const yaml_node_t *node, void *owner, size_t index)
{
    return check_entry(reader, node, ((const struct perpend_sweep *)owner)->did, index);
}

static bool check_inside(struct reader *reader, const yaml_node_t *node, void *owner, size_t index)
{
    const struct perpend_job *job = owner;
    const struct perpend_did *is = &job->inside[index];
    if (is->move != PERPEND_MOVE_SHIM || !(is->amount.value > 0.0))
        return reader_fail(reader, node_line(node), "only shims are inside, of more than 0");
    return check_entry(reader, node, job->inside, index);
}

static const struct list did_list = {"entry", "did", 1, DID_MOST, NULL,
    LIST_IN(struct perpend_sweep, did, did_count), true, check_did};

static const struct list inside_list = {"shim", "inside", 0,
    (size_t)PERPEND_JOINTS_MOST *PERPEND_BOLTS_MOST, NULL,
    LIST_IN(struct perpend_job, inside, inside_count), true, check_inside};

static const struct choice did_words[] = {
    {"plan", PERPEND_DID_PLAN}, {"nothing", PERPEND_DID_NOTHING}, {0}};

static void name_moves(struct key keys[DID_KEYS], struct mapping *mapping, struct list *list)
{
    const struct perpend_move_row *row;
    keys[0] = (struct key){
        "joint", true, read_joint, offsetof(struct perpend_did, joint), NULL, write_joint};
    keys[1] = (struct key){"bolt", false, read_bolt, 0, NULL, write_bolt};
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++)
        keys[2 + i] = (struct key){row->key, false, read_amount, 0, row, write_amount};
    keys[DID_KEYS - 1] = (struct key){0};
    *mapping = (struct mapping){
        "an entry of did", "{joint: clamp plate, bolt: top left, shim: 0.5}", keys};
    list->mapping = mapping;
}

/* Such a list, its entries' keys made of the moves' table. */
static bool read_entries(const struct value *value, struct list list, void *at)
{
    struct key keys[DID_KEYS];
    struct mapping mapping;
    name_moves(keys, &mapping, &list);
    const struct value entries = value_with(value, &list);
    return read_list(&entries, at);
}

static int write_entries(struct writer *writer, struct list list, const void *at)
{
    struct key keys[DID_KEYS];
    struct mapping mapping;
    name_moves(keys, &mapping, &list);
    return write_list(writer, &(struct key){.detail = &list}, at);
}

static bool read_did(const struct value *value, void *at)
{
    const struct value word = value_with(value, did_words);
    struct perpend_sweep *sweep = at;
    int kind = PERPEND_DID_LIST;
    if (value->node->type == YAML_MAPPING_NODE)
        return value_fail(
            value, "did must be plan, nothing, or a list of entries, each behind a dash");
    if (value->text != NULL && !read_choice(&word, &kind))
        return false;
    if (kind != PERPEND_DID_NOTHING && value->reader->machine->mount.joint_count == 0)
        return value_fail(value,
            "did needs a mount in the machine file; describe it there, or write \"nothing\"");
    sweep->did_kind = (enum perpend_did_kind)kind;
    return kind != PERPEND_DID_LIST || read_entries(value, did_list, sweep);
}

static int write_did(struct writer *writer, const struct key *key, const void *at)
{
    const struct perpend_sweep *sweep = at;
    (void)key;
    for (const struct choice *word = did_words; word->word != NULL; word++)
        if (word->value == (int)sweep->did_kind)
            return write_word(writer, word->word);
    return sweep->did_kind == PERPEND_DID_UNSTATED ? 0 : write_entries(writer, did_list, sweep);
}

/* ---- what a job begins with ---- */

static bool read_inside(const struct value *value, void *at)
{
    if (value->reader->machine->mount.joint_count == 0)
        return value_fail(value, "inside needs a mount in the machine file; describe it there");
    return read_entries(value, inside_list, at);
}

static int write_inside(struct writer *writer, const struct key *key, const void *at)
{
    (void)key;
    return write_entries(writer, inside_list, at);
}

static const struct range leaves_range = {0.0, LEAF_COUNT_MOST};

static bool read_stock(const struct value *value, void *at)
{
    struct perpend_job *job = at;
    size_t kinds = value->reader->machine->stock.leaf_count, count = entry_count(value);
    if (count != kinds || kinds == 0)
        return value_fail(value,
            "stock has %zu numbers, the machine's stock %zu kinds; write one number for each, "
            "such as [8, 10]",
            count, kinds);
    job->stock = calloc(kinds, sizeof *job->stock);
    if (job->stock == NULL)
        return reader_memory(value->reader);
    job->stock_count = kinds;
    for (size_t i = 0; i < kinds; i++) {
        const struct value entry = entry_of(value, i);
        const struct value number = value_with(&entry, &leaves_range);
        if (!read_count(&number, &job->stock[i]))
            return false;
    }
    return true;
}

static int write_stock(struct writer *writer, const struct key *key, const void *at)
{
    const struct perpend_job *job = at;
    if (job->stock == NULL)
        return 0;
    int list = write_start_list(writer, true);
    for (size_t i = 0; i < job->stock_count; i++) {
        double count = job->stock[i];
        write_entry(writer, list, write_number(writer, key, &count));
    }
    return list;
}

static const struct choice sure_words[] = {{"yes", true}, {"no", false}, {0}};

static int write_sure(struct writer *writer, const struct key *key, const void *at)
{
    (void)key;
    return *(const bool *)at ? write_word(writer, "yes") : 0;
}

/* ---- sweeps ---- */

/* Checked and not kept. */
static bool read_note(const struct value *value, void *at)
{
    (void)at;
    if (!value_is_text(value))
        return false;
    return strlen(value->text) <= NOTE_MOST ||
           value_fail(value, "note is %zu bytes long; at most %d are taken", strlen(value->text),
               NOTE_MOST);
}

static bool read_date(const struct value *value, void *at)
{
    return value_is_text(value) &&
           (moment_parse(value->text, at) ||
               value_wrong(value, "must be a day, or a day and a time with its zone, such as "
                                  "2026-11-28 19:12 +01:00"));
}

static int write_date(struct writer *writer, const struct key *key, const void *at)
{
    char text[MOMENT_TEXT];
    (void)key;
    return moment_text(text, at)[0] == '\0' ? 0 : write_word(writer, text);
}

static const struct key sweep_keys[] = {
    {"name", false, read_name, offsetof(struct perpend_sweep, name), NULL, write_name},
    {"date", false, read_date, offsetof(struct perpend_sweep, date), NULL, write_date},
    {"x", false, read_length, offsetof(struct perpend_sweep, x), &anywhere, write_length},
    {"y", false, read_length, offsetof(struct perpend_sweep, y), &anywhere, write_length},
    {"readings", false, read_readings, 0, NULL, write_readings},
    {"cut", false, read_steps, 0, &step_list, write_steps},
    {"did", false, read_did, 0, NULL, write_did},
    {"sure", false, read_flag, offsetof(struct perpend_sweep, did_sure), sure_words, write_sure},
    {"note", false, read_note, 0, NULL, NULL},
    {0},
};

static const struct mapping sweep_mapping = {"a sweep", "\"name: as found\"", sweep_keys};

/* A sweep without a name takes its number; no two may be called the same. */
static bool check_sweep(struct reader *reader, const yaml_node_t *node, void *owner, size_t index)
{
    const struct perpend_job *job = owner;
    struct perpend_sweep *sweep = &job->sweeps[index];
    char quoted[QUOTED], name[32];
    size_t readings = sweep->reading_count;
    if (readings + sweep->cut_count == 0)
        return reader_fail(
            reader, node_line(node), "readings is missing; a sweep needs readings, a cut, or both");
    if (reader->survey && (index > 0 || readings > PERPEND_TOUCHES_MOST))
        return reader_fail(reader, node_line(node), "a survey is one sweep of at most %d touches",
            PERPEND_TOUCHES_MOST);
    snprintf(name, sizeof name, "sweep %zu", index + 1);
    if (sweep->name == NULL)
        sweep->name = strdup(name);
    if (sweep->name == NULL)
        return reader_memory(reader);
    for (size_t i = 0; i < index; i++) {
        readings += job->sweeps[i].reading_count;
        if (strcmp(job->sweeps[i].name, sweep->name) == 0)
            return reader_fail(reader, node_line(node),
                "name %s is the name of sweep %zu already; give each its own",
                quote(quoted, sweep->name, strlen(sweep->name)), i + 1);
    }
    return readings <= READINGS_MOST ||
           reader_fail(reader, key_line(reader, node, "readings"),
               "more than %d readings in all; a job holds no more", READINGS_MOST);
}

static const struct list sweep_list = {"sweep", "sweep", 1, SWEEPS_MOST, &sweep_mapping,
    LIST_IN(struct perpend_job, sweeps, sweep_count), false, check_sweep};

/* ---- the job ---- */

static const struct key measured_keys[] = {
    {"x", false, read_length, offsetof(struct perpend_measured, along_x), &step_range,
        write_length},
    {"y", false, read_length, offsetof(struct perpend_measured, along_y), &step_range,
        write_length},
    {0},
};

static const struct mapping measured_mapping = {"measured", "{x: 0.01, y: 0.005}", measured_keys};

static bool read_measured(const struct value *value, void *at)
{
    struct perpend_measured *measured = at;
    const struct value section = value_with(value, &measured_mapping);
    *measured = (struct perpend_measured){.stated = true, .along_x = NAN, .along_y = NAN};
    return read_section(&section, measured);
}

static int write_measured(struct writer *writer, const struct key *key, const void *at)
{
    const struct perpend_measured *measured = at;
    (void)key;
    return measured->stated ? write_map(writer, &measured_mapping, measured, true) : 0;
}

static int write_version(struct writer *writer, const struct key *key, const void *at)
{
    (void)key, (void)at;
    return write_word(writer, "1");
}

const struct key job_keys[] = {
    {"perpend", true, read_nothing, 0, NULL, write_version},
    {"date", false, read_date, offsetof(struct perpend_job, date), NULL, write_date},
    {"who", false, read_name, offsetof(struct perpend_job, who), NULL, write_name},
    {"temperature", false, read_name, offsetof(struct perpend_job, temperature), NULL, write_name},
    {"measured", false, read_measured, offsetof(struct perpend_job, measured), NULL,
        write_measured},
    {"inside", false, read_inside, 0, NULL, write_inside},
    {"stock", false, read_stock, 0, NULL, write_stock},
    {"learned", false, read_learned, 0, NULL, write_learned},
    {"sweeps", false, read_list, 0, &sweep_list, write_list},
    {0},
};
