/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MACHINE_TEXT_H
#define MACHINE_TEXT_H

/** Machine files for the tests of the readers. Include after support.h. */

#include <string.h>

#include "files/files.h"

/* the demo machine */
static const char tern_text[] =
    "perpend: 1\n"
    "machine: Tern\n"
    "place: boat shed\n"
    "due: 26 weeks\n"
    "unit: mm\n"
    "arm: 75\n"
    "gauge: {kind: gap, step: 0.05}\n"
    "cutter: {diameter: 22, corner: 0}\n"
    "facing: {stepover: 10, along: X, depth: 0.2}\n"
    "goal: {ridge: 0.02}\n"
    "bed: faced\n"
    "mount:\n"
    "  - joint: clamp plate\n"
    "    faces: front\n"
    "    allows: [shim, slide]\n"
    "    bolts:\n"
    "      - {name: top left,     at: [-30, 40, 210], thread: M5}\n"
    "      - {name: top right,    at: [ 30, 40, 210], thread: M5}\n"
    "      - {name: bottom left,  at: [-30, 40, 130], thread: M5}\n"
    "      - {name: bottom right, at: [ 30, 40, 130], thread: M5, hole: 5.5}\n"
    "stock:\n"
    "  - {thick: 0.05, count: 8, name: brass}\n"
    "  - {thick: 0.1, count: 10, name: drink can}\n";

/* the least that a machine file needs, less what a test adds */
#define BARE_MACHINE                                                                               \
    "perpend: 1\narm: 75\ngauge: {kind: gap, step: 0.05}\ncutter: {diameter: 22}\n"                \
    "facing: {stepover: 10, along: X}\n"

static inline void parse_machine(const char *text, struct perpend_machine *machine)
{
    struct fault fault = {0};
    if (!machine_file_parse(text, strlen(text), "tern.yaml", machine, &fault))
        fail_msg("%s\n%s", fault.text, text);
}

/* The fault of a machine file that must not be taken, less "tern.yaml:". */
static inline const char *machine_fault(const char *text)
{
    static struct fault fault;
    struct perpend_machine machine;
    if (machine_file_parse(text, strlen(text), "tern.yaml", &machine, &fault)) {
        perpend_machine_finish(&machine);
        fail_msg("taken: %s", text);
    }
    assert_int_equal(fault.status, 2);
    return strncmp(fault.text, "tern.yaml:", 10) == 0 ? fault.text + 10 : fault.text;
}

#endif
