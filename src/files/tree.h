/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef TREE_H
#define TREE_H

/**
 * A YAML document as a tree that remembers its lines.
 *
 * Built on libyaml's events and not on libcyaml, which sits on the same library: libcyaml's places
 * are those of the last event (a mistyped key is given the line of its mapping, a missing one the
 * line of some other key), its messages do not say what is allowed, a loaded value no longer knows
 * its line for the checks that need two values, and it has no key that is a length or a mapping
 * (`arm`), a word or a list (`did`).
 *
 * Refused with a line: anchors and aliases, tags, a second document, keys that are not plain text
 * or stand twice, and what exceeds the limits below.
 */

#include "files/fault.h"

#define TREE_DEPTH_MOST 12
#define TREE_KEYS_MOST 32        /* in one mapping */
#define TREE_NODES_MOST 1500000u /* in one file */
#define TREE_SCALAR_MOST 4096    /* bytes in one value */

enum node_kind { NODE_SCALAR, NODE_MAP, NODE_LIST };

struct node {
    enum node_kind kind;
    bool flow;       /* written with braces or brackets, or a scalar inside them */
    size_t line;     /* of the value, from 1 */
    const char *key; /* in a mapping; else NULL */
    size_t key_line;
    const char *text; /* of a scalar, NUL-terminated; else NULL */
    size_t length;
    size_t count;       /* children */
    struct node *first; /* child */
    struct node *next;  /* sibling */
};

struct tree {
    struct node *root;
    struct tree_block *blocks; /* all memory of the tree */
};

/**
 * Parse one document whose root is a mapping.
 *
 * Given:    text, length  checked by text_check
 *           name          of the file, for messages
 * Returned: tree          release with tree_finish, also after a fault
 */
bool tree_parse(
    const char *text, size_t length, const char *name, struct tree *tree, struct fault *fault);

void tree_finish(struct tree *tree);

/** The child of a mapping with this key, or NULL. */
const struct node *node_find(const struct node *map, const char *key);

#endif
