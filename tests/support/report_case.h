/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REPORT_CASE_H
#define REPORT_CASE_H

/** Whole jobs for the tests of figures and reports, made as files and solved. After support.h. */

#include <string.h>

#include <glib.h>

#include "files/files.h"
#include "report/report.h"

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
    bool inch, both_ways, two_joints;
};

/* a whole job, solved; finish with report_job_finish */
struct report_job {
    struct perpend_machine machine;
    struct perpend_job job;
    struct perpend_solution solution;
    struct past_job past[40];
    char labels[40][16];
};

static inline char *report_quoted(const char *name)
{
    GString *quoted = g_string_new("\"");
    for (const char *c = name; *c != '\0'; c++) {
        if (*c == '"' || *c == '\\')
            g_string_append_c(quoted, '\\');
        g_string_append_c(quoted, *c);
    }
    g_string_append_c(quoted, '"');
    return g_string_free(quoted, FALSE);
}

static inline void report_add_joint(
    GString *text, const char *name, int number, const char *faces, double scale)
{
    static const int at[4][2] = {{-30, 210}, {30, 210}, {-30, 130}, {30, 130}};
    char *joint = g_strdup_printf("%s %d", name, number);
    char *quoted = report_quoted(joint);
    g_string_append_printf(text,
        "  - joint: %s\n    faces: %s\n    allows: [shim, slide]\n    bolts:\n", quoted, faces);
    g_free(joint);
    g_free(quoted);
    for (int i = 0; i < 4; i++) {
        char *bolt = g_strdup_printf("%s %c", name, 'a' + i);
        quoted = report_quoted(bolt);
        g_string_append_printf(text, "      - {name: %s, at: [%d, %d, %d], thread: M5}\n", quoted,
            (int)(at[i][0] * scale), number * (int)(40 * scale), (int)(at[i][1] * scale));
        g_free(bolt);
        g_free(quoted);
    }
}

static inline char *report_machine_text(const struct report_case *wanted)
{
    const char *unit = wanted->inch ? "in" : "mm";
    char *name = report_quoted(wanted->name);
    GString *text = g_string_new("perpend: 1\n");
    if (wanted->name[0] != '\0')
        g_string_append_printf(text, "machine: %s\n", name);
    g_string_append_printf(text,
        "unit: %s\narm: 75 mm\ngauge: {kind: gap, step: 0.05 mm}\n"
        "cutter: {diameter: 22 mm}\nfacing: {stepover: 10 mm, along: %s, depth: 0.2 mm}\n"
        "goal: {ridge: 0.02 mm}\nstock:\n  - {thick: 0.05 mm, count: 30}\nmount:\n",
        unit, wanted->both_ways ? "both" : "X");
    report_add_joint(text, wanted->name, 1, "front", wanted->inch ? 0.04 * 25.4 : 1);
    if (wanted->two_joints)
        report_add_joint(text, wanted->name, 2, "left", wanted->inch ? 0.04 * 25.4 : 1);
    g_free(name);
    return g_string_free(text, FALSE);
}

/* a lean that shrinks from round to round, read to the gauge's step */
static inline char *report_job_text(const struct report_case *wanted)
{
    GString *text = g_string_new("perpend: 1\nsweeps:\n");
    const double unit = wanted->inch ? 25.4 : 1;
    struct perpend_slope lean = {0.0012, 0.0067};
    for (size_t turn = 0; turn < wanted->rounds; turn++) {
        char *name = g_strdup_printf("%s %zu", wanted->name, turn + 1);
        char *quoted = report_quoted(name);
        g_string_append_printf(text, "  - name: %s\n    readings:\n", quoted);
        g_free(name);
        g_free(quoted);
        for (size_t i = 0; i < wanted->readings; i++) {
            const double degrees = 360.0 * (double)i / (double)wanted->readings;
            const double gap = perpend_gap(
                0.6, lean, (struct perpend_slope){0, 0}, 75, perpend_radians(degrees), 0, 0);
            char at[64];
            char reading[64];
            perpend_number_format(at, sizeof at, degrees, 6);
            perpend_number_format(reading, sizeof reading, round(gap / 0.05) * 0.05 / unit, 6);
            g_string_append_printf(text, "      - {at: %s, reading: %s}\n", at, reading);
        }
        if (turn + 1 < wanted->rounds)
            g_string_append(text, "    did: plan\n");
        lean.right *= 0.6;
        lean.back *= turn % 3 == 1 ? 1.02 : 0.5;
    }
    return g_string_free(text, FALSE);
}

static inline void report_job_make(const struct report_case *wanted, struct report_job *made)
{
    struct fault fault = {0};
    struct perpend_job_fault where;
    memset(made, 0, sizeof *made);
    perpend_machine_init(&made->machine);
    char *machine = report_machine_text(wanted);
    char *job = report_job_text(wanted);
    if (!machine_file_parse(machine, strlen(machine), "machine", &made->machine, &fault) ||
        !job_file_parse(job, strlen(job), "job", &made->machine, &made->job, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(perpend_job_solve(&made->machine, &made->job, &made->solution, &where), 0);
    assert_int_equal(made->solution.measurement_count, wanted->rounds);
    for (int i = 0; i < 40; i++) {
        g_snprintf(made->labels[i], sizeof made->labels[i], "20%02d-%02d-%02d", 20 + i / 12,
            i % 12 + 1, i % 28 + 1);
        made->past[i] = (struct past_job){made->labels[i], 0.007 / (1 + i), 0.0003 * (i % 5)};
    }
    g_free(machine);
    g_free(job);
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
        .date = "2026-05-06 18:40",
        .who = wanted->name,
        .remark = wanted->name,
        .notes = note,
        .note_count = 1,
        .past = made->past,
        .past_count = 40,
        .drift = "The lean has changed since job 11.",
        .digest = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08",
        .digest_of = "the machine file, then the file of readings",
        .version = "0"};
}

#endif
