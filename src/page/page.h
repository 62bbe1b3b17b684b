/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PAGE_H
#define PAGE_H

/**
 * What the page in a browser asks of perpend: texts in, one JSON text out, which depends on them alone.
 * perpend.html brings these functions along as WebAssembly; its script holds a machine and a job as
 * JSON, which is YAML, so that the readers of the files read them as they are.
 *
 * Each value is by malloc, NULL when memory is out.
 */

/**
 * All that the page shows of a job.
 *
 * Given:    machine, job  texts of a machine file and of a job file; `job` may be empty
 * Value:    an object with
 *           error     null, or {in: "machine" or "job", line, text}: what is wrong at that line
 *           needs     null, or what a job needs before it has an answer, in words
 *           solution  null, or the answer as `perpend solve --json` gives it, to the byte
 *           doubtful  whether readings are to be taken again first
 *           say       the last measurement in words: head, verdict, findings, more, steps (numbered,
 *                     each on lines of its own), worse, shortfall, next, settle (how to be sure); null where nothing is said
 *           planned   [{joint, bolt, and the move's key: its amount}], as a job file takes them
 *           moves     [{move, key, parts, whole}]: the key of a move's amount, of how many numbers it is,
 *                     and whether it is one for the whole joint
 *           expected  [{at, reading}] of the next sweep
 *           rounds    [{sweeps, ridge, verdict}] of every measurement
 *           pictures  {lean, floor, mount: []} as SVG
 *           text      the whole answer, as the command says it
 */
char *page_answer(const char *machine, const char *job);

/** The record of a job, of the same texts: {error, needs: as above, record: a page of HTML}. */
char *page_record(const char *machine, const char *job);

/** A machine or job file as JSON of texts, lists and objects: {error: as above, file: null or it}. A
 *  table of readings (CSV) wants its machine's text; else `machine` may be empty. */
char *page_read(const char *text, const char *machine);

/** A mount by its shapes and measures, {perpend, unit, joints: [{shape, allows, across, deep, high, above,
 *  behind, thread, hole}]}, of the words in mount_shapes.inc: {error: as above, mount: as a machine file
 *  has it}. */
char *page_mount(const char *text);

/** What ridge a lean leaves and what the goal asks of arm and gauge, of a machine file's text and {perpend,
 *  right, back}, which may be left out: {error: in "machine" or "lean", needs: as above, answer: as `perpend
 *  ridge --json` gives it, text: in words, chart: for the wall, as SVG}. */
char *page_ridge(const char *machine, const char *lean);

/** The style that the pictures of an answer want on the page. */
char *page_style(void);

#endif
