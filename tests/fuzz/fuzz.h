/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef FUZZ_H
#define FUZZ_H

/**
 * What the fuzz targets share. A target takes any bytes and aborts when a law does not hold.
 */

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "files/fault.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Unlike assert it stays in a release build. */
#define must(holds)                                                                                \
    do {                                                                                           \
        if (!(holds)) {                                                                            \
            fprintf(stderr, "%s:%d: does not hold: %s\n", __FILE__, __LINE__, #holds);             \
            abort();                                                                               \
        }                                                                                          \
    } while (0)

/* The bytes as a text of its own, so that reading past its end shows; to be freed. */
static inline char *fuzz_text(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1);
    must(text != NULL);
    if (size > 0)
        memcpy(text, data, size);
    text[size] = '\0';
    return text;
}

/* One line that a terminal may show, with the file's name before it. */
static inline void fuzz_check_fault(const struct fault *fault, const char *name)
{
    size_t length = strlen(fault->text);
    must(fault->status == 2);
    must(length > strlen(name) + 10 && length < sizeof fault->text);
    must(strncmp(fault->text, name, strlen(name)) == 0);
    must(text_is_printable(fault->text, length));
}

#define FUZZ_MACHINE                                                                               \
    "perpend: 1\nunit: in\narm: 75 mm\ngauge: {kind: gap, step: 0.05 mm}\n"                        \
    "cutter: {diameter: 22 mm}\nfacing: {stepover: 45%, along: X}\n"                               \
    "mount: [{joint: plate, faces: front, allows: [shim, slide, screw], bolts: [\n"                \
    "  {name: a, at: [-30 mm, 40 mm, 210 mm], thread: M5},\n"                                      \
    "  {name: b, at: [30 mm, 40 mm, 210 mm], thread: M5},\n"                                       \
    "  {name: c, at: [0, 40 mm, 130 mm], thread: M5}]}]\n"

static inline const struct perpend_machine *fuzz_machine(void)
{
    static struct perpend_machine machine;
    static bool read = false;
    struct fault fault;
    if (!read)
        must(machine_file_parse(FUZZ_MACHINE, strlen(FUZZ_MACHINE), "fixed", &machine, &fault));
    read = true;
    return &machine;
}

#endif
