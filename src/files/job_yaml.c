/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "files/job_file.h"
#include "files/mount_file.h"
#include "files/names.h"
#include "files/number.h"

#define TURNS_MOST 1000.0
#define NOTE_MOST 2000 /* bytes */

static const struct length_range shim_range = {-100.0, 100.0};

/* What the value readers need beside their node: the sweep being read and what it belongs to. */
struct sweep_reader {
    struct perpend_sweep sweep;
    const struct perpend_machine *machine;
    const struct perpend_job *job;
    size_t readings; /* in the whole job so far */
};

struct did_reader {
    struct perpend_did did;
    const struct perpend_mount *mount;
};

static const struct key reading_keys[] = {
    {"at", true, read_bearing, offsetof(struct perpend_reading, bearing), NULL},
    {"reading", true, read_length, offsetof(struct perpend_reading, value), &reading_range},
    {"x", false, read_length, offsetof(struct perpend_reading, x), &reading_range},
    {"y", false, read_length, offsetof(struct perpend_reading, y), &reading_range},
    {0},
};

static const struct mapping reading_mapping = {
    "a reading", "{at: front, reading: 0.5}", reading_keys};

/* The sweep's own place has been read before its readings. */
static bool read_readings(
    struct reader *reader, const struct key *key, const struct node *node, void *at)
{
    struct sweep_reader *state = at;
    struct perpend_sweep *sweep = &state->sweep;
    sweep->readings =
        read_entries(reader, key->name, "reading", node, 1, READINGS_MOST, sizeof *sweep->readings);
    if (sweep->readings == NULL)
        return false;
    if (node->count > READINGS_MOST - state->readings)
        return reader_fail(
            reader, node->line, "more than %d readings in all; a job holds no more", READINGS_MOST);
    state->readings += node->count;
    for (const struct node *child = node->first; child != NULL; child = child->next) {
        struct perpend_reading *reading = &sweep->readings[sweep->reading_count++];
        *reading = (struct perpend_reading){.x = sweep->x, .y = sweep->y};
        size_t mark = reader_enter(reader, "reading %zu: ", sweep->reading_count);
        bool done = read_map(reader, &reading_mapping, child, reading);
        reader_leave(reader, mark);
        if (!done)
            return false;
    }
    return true;
}

/* Which of the names stands there: the mount's joints, or a joint's bolts. */
static bool pick_name(const struct reader *reader, const struct node *node, const char *what,
    const char *owner, const char *const *names, size_t count, size_t *picked)
{
    char quoted[QUOTED], words[WORDS];
    for (size_t i = 0; i < count; i++) {
        if (same_word(names[i], node->text)) {
            *picked = i;
            return true;
        }
    }
    quote(quoted, node->text, node->length);
    const char *near = nearest_name(node->text, names, count);
    if (near != NULL)
        return reader_fail(
            reader, node->line, "unknown %s %s; did you mean \"%s\"?", what, quoted, near);
    return reader_fail(reader, node->line, "unknown %s %s; %s has %s", what, quoted, owner,
        words_and(words, names, count));
}

static bool read_did_joint(
    struct reader *reader, const struct key *key, const struct node *node, void *at)
{
    struct did_reader *state = at;
    const char *names[PERPEND_JOINTS_MOST];
    size_t count = 0;
    for (; count < state->mount->joint_count && count < PERPEND_JOINTS_MOST; count++)
        names[count] = state->mount->joints[count].name;
    return node_text(reader, key->name, node) != NULL &&
           pick_name(reader, node, "joint", "the mount", names, count, &state->did.joint);
}

/* The joint has been read before it. */
static bool read_did_bolt(
    struct reader *reader, const struct key *key, const struct node *node, void *at)
{
    struct did_reader *state = at;
    const struct perpend_joint *joint = &state->mount->joints[state->did.joint];
    const char *names[PERPEND_BOLTS_MOST];
    size_t count = 0;
    for (; count < joint->bolt_count && count < PERPEND_BOLTS_MOST; count++)
        names[count] = joint->bolts[count].name;
    return node_text(reader, key->name, node) != NULL &&
           pick_name(reader, node, "bolt", joint->name, names, count, &state->did.bolt);
}

static bool read_turns(
    struct reader *reader, const struct key *key, const struct node *node, void *at)
{
    return read_number(reader, key->name, node, -TURNS_MOST, TURNS_MOST, at);
}

static const struct key did_keys[] = {
    {"joint", true, read_did_joint, 0, NULL},
    {"bolt", true, read_did_bolt, 0, NULL},
    {"shim", false, read_length, offsetof(struct did_reader, did.amount.value), &shim_range},
    {"slide", false, read_point, offsetof(struct did_reader, did.amount.shift), NULL},
    {"turns", false, read_turns, offsetof(struct did_reader, did.amount.value), NULL},
    {0},
};

static const struct mapping did_mapping = {
    "an entry of did", "{joint: clamp plate, bolt: top left, shim: 0.5}", did_keys};

static bool read_did_entry(struct reader *reader, const struct perpend_mount *mount,
    const struct node *node, struct perpend_did *did)
{
    struct did_reader state = {.mount = mount};
    if (!read_map(reader, &did_mapping, node, &state))
        return false;
    const struct perpend_move_row *row;
    size_t said = 0;
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++)
        if (node_find(node, row->key) != NULL) {
            state.did.move = row->move;
            said++;
        }
    if (said != 1)
        return reader_fail(reader, node->line, "%s; say one of shim, slide and turns in each entry",
            said == 0 ? "says nothing about what was done" : "says more than one thing");
    *did = state.did;
    return true;
}

static bool check_did_twice(
    const struct reader *reader, const struct perpend_sweep *sweep, const struct node *node)
{
    const struct perpend_did *did = &sweep->did[sweep->did_count - 1];
    for (size_t i = 0; i + 1 < sweep->did_count; i++) {
        if (sweep->did[i].joint == did->joint && sweep->did[i].bolt == did->bolt &&
            sweep->did[i].move == did->move)
            return reader_fail(reader, node->line,
                "the same bolt's %s stands in entry %zu already; write their sum once",
                perpend_move_name(did->move), i + 1);
    }
    return true;
}

static bool read_did_list(
    struct reader *reader, struct sweep_reader *state, const struct node *node)
{
    struct perpend_sweep *sweep = &state->sweep;
    sweep->did_kind = PERPEND_DID_LIST;
    sweep->did = read_entries(reader, "did", "entry", node, 1, DID_MOST, sizeof *sweep->did);
    if (sweep->did == NULL)
        return false;
    for (const struct node *child = node->first; child != NULL; child = child->next) {
        struct perpend_did *did = &sweep->did[sweep->did_count++];
        size_t mark = reader_enter(reader, "did %zu: ", sweep->did_count);
        bool done = read_did_entry(reader, &state->machine->mount, child, did) &&
                    check_did_twice(reader, sweep, child);
        reader_leave(reader, mark);
        if (!done)
            return false;
    }
    return true;
}

static bool read_did(
    struct reader *reader, const struct key *key, const struct node *node, void *at)
{
    static const struct choice words[] = {
        {"plan", PERPEND_DID_PLAN}, {"nothing", PERPEND_DID_NOTHING}, {0}};
    const struct key choice = {.name = key->name, .detail = words};
    struct sweep_reader *state = at;
    int kind = PERPEND_DID_LIST;
    if (node->kind == NODE_MAP)
        return reader_fail(reader, node->line,
            "did must be plan, nothing, or a list of entries, each behind a dash");
    if (node->kind == NODE_SCALAR && !read_choice(reader, &choice, node, &kind))
        return false;
    if (kind != PERPEND_DID_NOTHING && state->machine->mount.joint_count == 0)
        return reader_fail(reader, node->line,
            "did needs a mount in the machine file; describe it there, or write \"nothing\"");
    if (node->kind == NODE_LIST)
        return read_did_list(reader, state, node);
    state->sweep.did_kind = (enum perpend_did_kind)kind;
    return true;
}

static bool read_note(
    struct reader *reader, const struct key *key, const struct node *node, void *at)
{
    (void)at;
    const char *text = node_text(reader, key->name, node);
    if (text != NULL && node->length > NOTE_MOST)
        return reader_fail(reader, node->line, "note is %zu bytes long; at most %d are taken",
            node->length, NOTE_MOST);
    return text != NULL;
}

static const struct key sweep_keys[] = {
    {"name", false, read_name, offsetof(struct sweep_reader, sweep.name), NULL},
    {"x", false, read_length, offsetof(struct sweep_reader, sweep.x), &reading_range},
    {"y", false, read_length, offsetof(struct sweep_reader, sweep.y), &reading_range},
    {"readings", true, read_readings, 0, NULL},
    {"did", false, read_did, 0, NULL},
    {"note", false, read_note, 0, NULL},
    {0},
};

static const struct mapping sweep_mapping = {"a sweep", "\"name: as found\"", sweep_keys};

/* A sweep without a name takes its number; no two may be called the same. */
static bool settle_name(
    const struct reader *reader, struct sweep_reader *state, const struct node *node)
{
    char quoted[QUOTED];
    if (state->sweep.name == NULL) {
        char name[32];
        snprintf(name, sizeof name, "sweep %zu", state->job->sweep_count + 1);
        state->sweep.name = strdup(name);
        if (state->sweep.name == NULL)
            return reader_memory(reader);
    }
    for (size_t i = 0; i < state->job->sweep_count; i++) {
        const char *earlier = state->job->sweeps[i].name;
        if (strcmp(earlier, state->sweep.name) == 0)
            return reader_fail(reader, node->line,
                "name %s is the name of sweep %zu already; give each its own",
                quote(quoted, earlier, strlen(earlier)), i + 1);
    }
    return true;
}

static bool read_sweep(struct reader *reader, struct sweep_reader *state, const struct node *node)
{
    size_t mark = reader_enter(reader, "sweep %zu: ", state->job->sweep_count + 1);
    bool done = read_map(reader, &sweep_mapping, node, state) && settle_name(reader, state, node);
    reader_leave(reader, mark);
    return done;
}

struct job_place {
    struct perpend_job *job;
    const struct perpend_machine *machine;
};

static bool read_sweeps(
    struct reader *reader, const struct key *key, const struct node *node, void *at)
{
    const struct job_place *place = at;
    struct perpend_job *job = place->job;
    size_t readings = 0;
    job->sweeps =
        read_entries(reader, key->name, "sweep", node, 1, SWEEPS_MOST, sizeof *job->sweeps);
    if (job->sweeps == NULL)
        return false;
    for (const struct node *child = node->first; child != NULL; child = child->next) {
        struct sweep_reader state = {.machine = place->machine, .job = job, .readings = readings};
        bool done = read_sweep(reader, &state, child);
        job->sweeps[job->sweep_count++] = state.sweep; /* on a fault too: it is the job's to free */
        readings = state.readings;
        if (!done)
            return false;
    }
    return true;
}

static const struct key job_keys[] = {
    {"perpend", true, read_nothing, 0, NULL},
    {"sweeps", true, read_sweeps, 0, NULL},
    {0},
};

static const struct mapping job_mapping = {"a job file", "\"sweeps:\"", job_keys};

bool job_yaml_read(struct reader *reader, const char *text, size_t length, const char *name,
    const struct perpend_machine *machine, struct perpend_job *job)
{
    struct job_place place = {.job = job, .machine = machine};
    struct tree tree = {0};
    bool done =
        tree_parse(text, length, name, &tree, reader->fault) && read_version(reader, tree.root);
    if (done && node_find(tree.root, "gauge") != NULL)
        done = reader_fail(reader, tree.root->line,
            "this is a machine file (it has a gauge); give the readings second");
    done = done && read_map(reader, &job_mapping, tree.root, &place);
    tree_finish(&tree);
    return done;
}
