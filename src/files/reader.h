/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef READER_H
#define READER_H

/**
 * From a tree to values: a table says which keys a mapping has, what each holds and where it goes.
 */

#include <stddef.h>

#include <perpend/geometry.h>
#include <perpend/units.h>

#include "files/tree.h"

#define LENGTH_MOST 10000.0   /* mm; no machine this is for is larger */
#define LENGTH_LEAST 0.000001 /* mm; what has to be more than nothing */
#define NAME_MOST 120         /* bytes in a name */

struct reader {
    char name[NAME_SHOWN]; /* of the file */
    char path[96];         /* what the values being read belong to, "mount: joint 1: "; may be "" */
    enum perpend_unit unit;
    struct fault *fault;
};

struct key;

/** Read one value. `at` is where the table says it goes. */
typedef bool value_reader(
    struct reader *reader, const struct key *key, const struct node *node, void *at);

struct key {
    const char *name;
    bool required;
    value_reader *read;
    size_t offset;      /* into the struct that the mapping fills */
    const void *detail; /* of the value reader: a struct length_range, a list of choices … */
};

/** For read_length. */
struct length_range {
    double least, most; /* mm */
};

/** For read_choice; a list ends with a NULL word. */
struct choice {
    const char *word;
    int value;
};

void reader_start(struct reader *reader, const char *name, struct fault *fault);

/** One line, "FILE:LINE: PATH…message". Always returns false. */
bool reader_fail(const struct reader *reader, size_t line, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

bool reader_memory(const struct reader *reader);

/** Add to the path, and take away again what was added. */
size_t reader_enter(struct reader *reader, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
void reader_leave(struct reader *reader, size_t mark);

/** What a mapping holds; for read_section this is the key's detail. */
struct mapping {
    const char *what;       /* in messages: "gauge", "a bolt" */
    const char *example;    /* of how it is written */
    const struct key *keys; /* ends with a NULL name */
};

/**
 * Read a mapping: unknown keys (with a guess at what was meant) and missing ones first, then the
 * values in the table's order.
 */
bool read_map(
    struct reader *reader, const struct mapping *mapping, const struct node *node, void *into);

/** A list's entries as an array of zeroed elements, one a child of the node; NULL after a fault, as
 *  when they are not a list or their count is not from `least` to `most`. */
void *read_entries(struct reader *reader, const char *what, const char *one,
    const struct node *node, size_t least, size_t most, size_t size);

/* value readers; the type that `at` points to stands beside each */
bool read_nothing(struct reader *, const struct key *, const struct node *, void *);
bool read_length(struct reader *, const struct key *, const struct node *, void *); /* double */
bool read_point(
    struct reader *, const struct key *, const struct node *, void *); /* perpend_point */
bool read_name(
    struct reader *, const struct key *, const struct node *, void *); /* char *, malloc */
bool read_choice(struct reader *, const struct key *, const struct node *, void *);  /* int */
bool read_bearing(struct reader *, const struct key *, const struct node *, void *); /* double */
bool read_section(
    struct reader *, const struct key *, const struct node *, void *); /* the struct */

/** A plain number or an angle in degrees ("15", "15°", "15 deg") within bounds. */
bool read_number(struct reader *reader, const char *name, const struct node *node, double least,
    double most, double *value);
bool read_degrees(struct reader *reader, const char *name, const struct node *node, double least,
    double most, double *degrees);

/** The text of a scalar that is not empty, or NULL after a fault. */
const char *node_text(struct reader *reader, const char *name, const struct node *node);

/** A length and a bearing from text, for CSV as well; `line` stands in messages. */
bool length_text(struct reader *reader, size_t line, const char *name, const char *text,
    const struct length_range *range, double *mm);
bool bearing_text(
    struct reader *reader, size_t line, const char *name, const char *text, double *bearing);

/** `perpend: 1` stands in the file, before anything else is looked at. */
bool read_version(struct reader *reader, const struct node *root);

#endif
