/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REPORT_CASE_H
#define REPORT_CASE_H

/** Whole jobs for the tests of figures and reports, made as files and solved. After support.h. */

#include <string.h>

#include "files/files.h"
#include "report/report.h"
#include "text/escape.h"

/* names that are hard to place */
#define LONG                                                                                       \
    "The bench router at the far end of the boat shed, behind the rack for the eights, lent out "  \
    "last winter"
#define WIDE                                                                                       \
    "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW"
#define HEBREW "כרסומת השולחן של מועדון החתירה, ליד הסככה הצפונית"
#define ARABIC "فريزة الطاولة في سقيفة قوارب نادي التجديف"
#define CHINESE "划艇俱乐部船棚里的台式雕刻机，靠近八人艇架子的那一台"
#define NASTY "<script>alert('x')</script> & \"]]> --"

/* what to make a job of */
struct report_case {
    const char *name; /* of the machine, joint, bolts, sweeps, shims, person */
    size_t rounds, readings;
    int bolts; /* of a joint; 0: four */
    bool inch, both_ways, two_joints;
};

/* a whole job, solved; finish with report_job_finish */
struct report_job {
    struct perpend_machine machine;
    struct perpend_job job;
    struct perpend_solution solution;
    struct past_job past[40];
};

static inline void report_quoted(struct buffer *out, const char *name)
{
    buffer_add(out, "\"");
    for (const char *c = name; *c != '\0'; c++) {
        if (*c == '"' || *c == '\\')
            buffer_add(out, "\\");
        buffer_add_bytes(out, c, 1);
    }
    buffer_add(out, "\"");
}

static inline void report_add_joint(
    struct buffer *text, const struct report_case *wanted, int number, const char *faces)
{
    static const int at[8][2] = {
        {-30, 210}, {30, 210}, {-30, 130}, {30, 130}, {-30, 190}, {30, 190}, {-30, 150}, {30, 150}};
    const double scale = wanted->inch ? 0.04 * 25.4 : 1;
    const char *name = wanted->name;
    char given[200];
    snprintf(given, sizeof given, "%s %d", name, number);
    buffer_add(text, "  - joint: ");
    report_quoted(text, given);
    buffer_addf(text, "\n    faces: %s\n    allows: [shim, slide]\n    bolts:\n", faces);
    for (int i = 0; i < (wanted->bolts > 0 ? wanted->bolts : 4); i++) {
        snprintf(given, sizeof given, "%s %c", name, 'a' + i);
        buffer_add(text, "      - {name: ");
        report_quoted(text, given);
        buffer_addf(text, ", at: [%d, %d, %d], thread: M5}\n", (int)(at[i][0] * scale),
            number * (int)(40 * scale), (int)(at[i][1] * scale));
    }
}

static inline void report_machine_text(const struct report_case *wanted, struct buffer *text)
{
    buffer_add(text, "perpend: 1\n");
    if (wanted->name[0] != '\0') {
        buffer_add(text, "machine: ");
        report_quoted(text, wanted->name);
        buffer_add(text, "\n");
    }
    buffer_addf(text,
        "unit: %s\narm: 75 mm\ngauge: {kind: gap, step: 0.05 mm}\n"
        "cutter: {diameter: 22 mm}\nfacing: {stepover: 10 mm, along: %s, depth: 0.2 mm}\n"
        "goal: {ridge: 0.02 mm}\nstock:\n  - {thick: 0.05 mm, count: 30}\nmount:\n",
        wanted->inch ? "in" : "mm", wanted->both_ways ? "both" : "X");
    report_add_joint(text, wanted, 1, "front");
    if (wanted->two_joints)
        report_add_joint(text, wanted, 2, "left");
}

/* a lean that shrinks from round to round, read to the gauge's step */
static inline void report_job_text(const struct report_case *wanted, struct buffer *text)
{
    const double unit = wanted->inch ? 25.4 : 1;
    struct perpend_slope lean = {0.0012, 0.0067};
    buffer_add(text, "perpend: 1\ndate: 2026-05-06 18:40 +02:00\nsweeps:\n");
    for (size_t turn = 0; turn < wanted->rounds; turn++) {
        char name[200];
        snprintf(name, sizeof name, "%s %zu", wanted->name, turn + 1);
        buffer_add(text, "  - name: ");
        report_quoted(text, name);
        buffer_add(text, "\n    readings:\n");
        for (size_t i = 0; i < wanted->readings; i++) {
            const double degrees = 360.0 * (double)i / (double)wanted->readings;
            const double gap = 0.6 + perpend_gap(lean, (struct perpend_slope){0, 0}, 75,
                                         perpend_radians(degrees), 0, 0);
            buffer_add(text, "      - {at: ");
            buffer_add_number(text, degrees, 6);
            buffer_add(text, ", reading: ");
            buffer_add_number(text, round(gap / 0.05) * 0.05 / unit, 6);
            buffer_add(text, "}\n");
        }
        if (turn + 1 < wanted->rounds)
            buffer_add(text, "    did: plan\n");
        lean.right *= 0.6;
        lean.back *= turn % 3 == 1 ? 1.02 : 0.5;
    }
}

static inline void report_job_make(const struct report_case *wanted, struct report_job *made)
{
    struct fault fault = {0};
    struct perpend_job_fault where;
    memset(made, 0, sizeof *made);
    perpend_machine_init(&made->machine);
    struct buffer machine = {0};
    struct buffer job = {0};
    report_machine_text(wanted, &machine);
    report_job_text(wanted, &job);
    if (!machine_file_parse(machine.bytes, machine.length, "machine", &made->machine, &fault) ||
        !job_file_parse(job.bytes, job.length, "job", &made->machine, &made->job, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(perpend_job_solve(&made->machine, &made->job, &made->solution, &where), 0);
    assert_int_equal(made->solution.measurement_count, wanted->rounds);
    for (int i = 0; i < 40; i++) {
        const double ridge = 0.07 / (1 + i);
        const double now = 0.003 * (i % 5);
        made->past[i] = (struct past_job){
            .date = {.year = 2020 + i / 12, .month = i % 12 + 1, .day = i % 28 + 1},
            .found = {ridge, 0.7 * ridge, 1.2 * ridge},
            .now = {now, 0.5 * now, now + 0.004},
            .goal = i < 20 ? 0.03 : 0.02};
    }
    buffer_finish(&machine);
    buffer_finish(&job);
}

static inline void report_job_finish(struct report_job *made)
{
    perpend_solution_finish(&made->solution);
    perpend_job_finish(&made->job);
    perpend_machine_finish(&made->machine);
}

static inline struct report_input report_input_of(
    const struct report_case *wanted, struct report_job *made, const struct report_note *note)
{
    return (struct report_input){.machine = &made->machine,
        .job = &made->job,
        .solution = &made->solution,
        .name = wanted->name,
        .number = "12",
        .who = wanted->name,
        .remark = wanted->name,
        .notes = note,
        .note_count = 1,
        .past = made->past,
        .past_count = 40,
        .drift = "The lean has changed since job 11.",
        .digest = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08",
        .digest_of = "the machine file, then the file of readings",
        .version = "0",
        .full = true};
}

#endif
