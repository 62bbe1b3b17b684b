/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes typed at `new` or `sweep`. The first byte chooses which, and on which machine; a NUL
   ends a sitting, and what follows is typed when the job is taken up again. Whatever is typed, the
   log stays sound, its answers follow from its readings, and what `new` writes is a machine. */
#include "command.h"

#define MOUNT                                                                                      \
    "mount:\n  - joint: plate\n    faces: front\n    allows: [shim, slide, screw]\n    bolts:\n"   \
    "      - {name: a, at: [-30 mm, 40 mm, 210 mm], thread: M5}\n"                                 \
    "      - {name: b, at: [30 mm, 40 mm, 210 mm], thread: M5}\n"                                  \
    "      - {name: c, at: [0, 40 mm, 130 mm], thread: M5}\n"

static const char with_leaves[] =
    "perpend: 1\nmachine: Gap\nunit: mm\narm: 75\ngauge: {kind: gap, step: 0.05}\n"
    "cutter: {diameter: 22}\nfacing: {stepover: 10, along: X, depth: 0.2}\ngoal: {ridge: 0.02}\n"
    "stock:\n  - {thick: 0.05, count: 8, name: brass}\n" MOUNT;
static const char with_dial[] =
    "perpend: 1\nmachine: Dial\nunit: in\narm: 4\ngauge: {kind: dial, step: 0.001, rises: toward}\n"
    "cutter: {diameter: 1, corner: 0.02}\nfacing: {stepover: 45%, along: both}\n"
    "goal: {ridge: 0.001}\n" MOUNT;
static const char as_found[] =
    "perpend: 1\nmachine: Touch\nunit: mm\narm: 120\ngauge: {kind: touch, step: 0.01}\n"
    "cutter: {diameter: 30}\nfacing: {stepover: 12, along: Y}\nbed: as found\n";
static const char *const machines[] = {with_leaves, with_dial, as_found};
static const size_t machine_count = sizeof machines / sizeof machines[0];

static void ask_for_machine(const char *typed, size_t size)
{
    struct command_path made = command_file("made.yaml");
    struct perpend_machine machine;
    struct fault fault = {0};
    must(command_run_typed(typed, size, (const char *const[]){"new", made.text, NULL}) != 3);
    if (access(made.text, F_OK) != 0)
        return; /* stopped, or under another name */
    must(machine_file_read(made.text, &machine, &fault));
    perpend_machine_finish(&machine);
}

static void sweep(const char *text, const char *typed, size_t size)
{
    struct command_path machine = command_file("machine.yaml"), log = command_file("log");
    const char *const first[] = {"sweep", machine.text, "--log", log.text, NULL};
    const char *const again[] = {"sweep", machine.text, "--log", log.text, "--resume", NULL};
    const char *end = memchr(typed, '\0', size);
    size_t length = end ? (size_t)(end - typed) : size;
    command_write("machine.yaml", text, strlen(text));
    must(command_run_typed(typed, length, first) <= 1);
    if (access(log.text, F_OK) != 0)
        return;
    if (end != NULL) /* 2 when there is no job to go on with */
        must(command_run_typed(end + 1, size - length - 1, again) <= 2);
    must(command_says("log", "check", "--log", log.text) == 0);
    must(command_says("log", "list", "--log", log.text) == 0);
    /* 2 when there is no job */
    must(command_says("log", "show", "--log", log.text) <= 2);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size == 0)
        return 0;
    command_start();
    command_empty();
    size_t which = data[0] % (machine_count + 1);
    char *typed = fuzz_text(data + 1, size - 1);
    if (which == machine_count)
        ask_for_machine(typed, size - 1);
    else
        sweep(machines[which], typed, size - 1);
    free(typed);
    return 0;
}
