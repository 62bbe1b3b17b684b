/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef KEYS_H
#define KEYS_H

/**
 * Between a YAML mapping and a struct: one table says which keys the mapping has, what each holds,
 * where it goes and how it is written back.
 */

#include <stddef.h>

#include <perpend/machine.h>
#include <perpend/units.h>

#include "files/yaml_text.h"

#define LENGTH_MOST 10000.0   /* mm; no machine this is for is larger */
#define LENGTH_LEAST 0.000001 /* mm; what has to be more than nothing */
#define NAME_MOST 120         /* bytes in a name */
#define KEYS_MOST 24          /* in one table, or choices for one value */

struct reader {
    char name[NAME_SHOWN]; /* of the file */
    char path[96];         /* what the values being read belong to, "mount: joint 1: "; may be "" */
    bool plain;            /* a table's row says enough: no path */
    enum perpend_unit unit;
    const struct perpend_machine
        *machine; /* of what was done to its mount; NULL in a machine file */
    bool survey;  /* readings are touches of a board: they have places and no bearings */
    struct fault *fault;
    yaml_document_t document;
};

/** A document that grows. `failed` sticks, so that the calls need no checks of their own. */
struct writer {
    yaml_document_t document;
    enum perpend_unit unit;
    const struct perpend_machine *machine;
    size_t line; /* of a text that is turned into a document, which its nodes get; else 0 */
    bool failed;
};

/** What stands behind a key, and where. */
struct value {
    struct reader *reader;
    const char *name; /* of the key or column, in messages */
    const yaml_node_t *node;
    const char *text; /* of a scalar; else NULL */
    size_t line;
    const void *detail; /* what the reader has to know: a struct range, a list of choices … */
};

/** Read one value. `at` is where the table says it goes. */
typedef bool value_reader(const struct value *value, void *at);

struct key;

/** Write one value. Value: its node; 0 when it is not stated, or after a failure. */
typedef int value_writer(struct writer *writer, const struct key *key, const void *at);

struct key {
    const char *name;
    bool required;
    value_reader *read;
    size_t offset;       /* into the struct that the mapping fills */
    const void *detail;  /* of the value reader */
    value_writer *write; /* NULL where nothing is written back */
};

/** For read_length (mm), read_number and read_degrees. */
struct range {
    double least, most;
};
extern const struct range anywhere; /* of a place or a reading */

/** For read_choice; a list ends with a NULL word. */
struct choice {
    const char *word;
    int value;
};

/** What a mapping holds; for read_section this is the key's detail. */
struct mapping {
    const char *what;       /* in messages: "gauge", "a bolt" */
    const char *example;    /* of how it is written */
    const struct key *keys; /* ends with a NULL name */
};

/** Where a struct keeps a list: the size of an entry, the pointer to them and their number. */
#define LIST_IN(owner, entries, count)                                                             \
    sizeof *((owner *)NULL)->entries, offsetof(owner, entries), offsetof(owner, count)

/** A list of like entries; for read_list and write_list this is the key's detail. */
struct list {
    const char *one;  /* in messages: "bolt" */
    const char *path; /* of an entry, its number follows: "mount: joint" */
    size_t least, most;
    const struct mapping *mapping; /* of an entry */
    size_t size, entries, count;   /* LIST_IN the struct that the mapping fills */
    bool braces;                   /* each is written in braces, on a line */
    /** What depends on the owner and on the entries before this one, which has been read; or NULL. */
    bool (*check)(struct reader *reader, const yaml_node_t *node, void *owner, size_t index);
};

void reader_start(struct reader *reader, const char *name, struct fault *fault);

/** One line, "FILE:LINE: PATH…message". Always returns false. */
bool reader_fail(const struct reader *reader, size_t line, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

bool reader_memory(const struct reader *reader);

/** The same of a value: the message alone, or "stepover "0" must be …". Always false. */
#define value_fail(value, ...) reader_fail((value)->reader, (value)->line, __VA_ARGS__)
bool value_wrong(const struct value *value, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/** Whether it is a scalar with something in it; else it says so. A table's field may be empty. */
bool value_is_text(const struct value *value);

/** The same value, to be read by what another detail says. */
struct value value_with(const struct value *value, const void *detail);

/** The line a node begins on, from 1; that of a key of a mapping, 0 when it is not there. */
size_t node_line(const yaml_node_t *node);
size_t key_line(struct reader *reader, const yaml_node_t *map, const char *key);

/** How many entries a list has, and one of them; nothing that is no list has any. */
size_t entry_count(const struct value *value);
struct value entry_of(const struct value *value, size_t index);

/**
 * Read a mapping: unknown keys (with a guess at what was meant), doubled and missing ones first, then
 * the values in the table's order.
 */
bool read_map(
    struct reader *reader, const struct mapping *mapping, const yaml_node_t *node, void *into);

/** Parse a text into the reader's document, whose key `perpend` must say format 1. Value: its mapping;
 *  NULL after a fault, with nothing to release. */
const yaml_node_t *read_root(struct reader *reader, const char *text, size_t length);

/* value readers; the type that `at` points to stands beside each, and what the detail is */
value_reader read_nothing;
value_reader read_length;  /* double, mm; a range of mm */
value_reader read_number;  /* double; a range */
value_reader read_degrees; /* double, rad; a range of degrees */
value_reader read_bearing; /* double, rad */
value_reader read_point;   /* struct perpend_point */
value_reader read_name;    /* char *, by malloc */
value_reader read_choice;  /* an enum; choices */
value_reader read_unit;    /* enum perpend_unit, and that of the bare numbers behind it */
value_reader read_flag;    /* bool; choices */
value_reader read_section; /* the struct; its mapping */
value_reader read_list;    /* the struct that owns the entries; its list */

/** A mapping or list to add to, and what it takes: the first is the document's root. */
int write_start_map(struct writer *writer, bool braces);
int write_start_list(struct writer *writer, bool brackets);
void write_pair(struct writer *writer, int map, const char *key, int value);
void write_entry(struct writer *writer, int list, int value);

/** A word as it stands; any text, in quotes where it needs them; what a mapping's table says of a
 *  struct. */
int write_word(struct writer *writer, const char *word);
int write_text(struct writer *writer, const char *text);
int write_map(struct writer *writer, const struct mapping *mapping, const void *from, bool braces);

/* value writers; numbers that are NAN and names that are NULL are not stated */
value_writer write_length, write_number, write_bearing, write_point, write_name, write_list;

#endif
