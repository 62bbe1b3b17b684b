/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef YAML_TEXT_H
#define YAML_TEXT_H

/**
 * A YAML text as libyaml's document, whose nodes know their lines, and the way back.
 *
 * Built on libyaml and not on libcyaml, which sits on the same library: libcyaml gives a mistyped key
 * the line of its mapping, does not say what is allowed, and has no key that is a length or a mapping
 * (`arm`), a word or a list (`did`).
 */

#include <yaml.h>

#include "files/fault.h"

/**
 * Parse a text that holds one document, a mapping. Anchors, aliases and tags are refused, so that a
 * value is what stands at its line, and nesting deeper than any key needs.
 *
 * Given:    text, length  checked by text_check
 *           name          of the file, for messages
 * Returned: document      release with yaml_document_delete; nothing to release after a fault
 */
bool yaml_text_parse(const char *text, size_t length, const char *name, yaml_document_t *document,
    struct fault *fault);

/** A document as text, by malloc; NULL when memory is out. The document is released. */
char *yaml_text_write(yaml_document_t *document);

#endif
