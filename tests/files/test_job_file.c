/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Job files: what they hold, what is refused. */
#include "support/support.h"

#include <perpend/status.h>

#include "files/moment.h"
#include "support/machine_text.h"

static struct perpend_machine tern;

static void parse_job(
    const struct perpend_machine *machine, const char *text, struct perpend_job *job)
{
    struct fault fault = {0};
    if (!job_file_parse(text, strlen(text), "job", machine, job, &fault))
        fail_msg("%s\n%s", fault.text, text);
}

/* The fault of a job file that must not be taken, less "job:". */
static const char *job_fault(const char *text)
{
    static struct fault fault;
    struct perpend_job job;
    if (job_file_parse(text, strlen(text), "job", &tern, &job, &fault)) {
        perpend_job_finish(&job);
        fail_msg("taken: %s", text);
    }
    assert_int_equal(fault.status, 2);
    assert_int_equal(strncmp(fault.text, "job:", 4), 0);
    return fault.text + 4;
}

static void a_whole_job(void **state)
{
    (void)state;
    struct perpend_job job;
    parse_job(&tern,
        "# the boat shed, a rainy evening\n"
        "perpend: 1\n"
        "date: 2026-11-28 19:12 UTC+1\n"
        "who: A. Oarsman\n"
        "measured: {x: 0.4 thou}\n"
        "sweeps:\n"
        "  - name: as found\n"
        "    note: the bed was wiped first\n"
        "    date: 2026-11-28\n"
        "    readings: [{at: front, reading: 1.00}, {at: E, reading: 0.5}, {at: 0, reading: 0},\n"
        "      {reading: \"0,5\", at: left}]\n"
        "    did:\n"
        "      - {joint: Clamp plate, bolt: top left, shim: 0.5}\n"
        "      - {joint: clamp plate, bolt: top_right, slide: [0.1, 0, -2 thou]}\n"
        "      - {turns: -1 1/4, joint: clamp plate, bolt: bottom left}\n"
        "  - x: 100\n"
        "    y: -50 mm\n"
        "    readings: [{at: 45 deg, reading: 1/8 in}, {at: SW, reading: 20 thou, x: 3, y: 4}]\n"
        "    did: plan\n"
        "  - {readings: [{at: N, reading: 0.1}], did: nothing}\n"
        "  - {readings: [{at: N, reading: 0.1}]}\n",
        &job);
    assert_int_equal(job.date.zone, 60);
    assert_string_equal(job.who, "A. Oarsman");
    assert_near(job.measured.along_x, 0.01016, 1e-17);
    assert_int_equal(job.sweep_count, 4);
    assert_int_equal(job.sweeps[0].date.day, 28);
    const struct perpend_sweep *sweep = &job.sweeps[0];
    assert_string_equal(sweep->name, "as found");
    assert_int_equal(sweep->reading_count, 4);
    assert_near(sweep->readings[0].bearing, PERPEND_PI, 1e-15);
    assert_near(sweep->readings[0].value, 1, 0);
    assert_near(sweep->readings[3].bearing, 1.5 * PERPEND_PI, 1e-15);
    assert_near(sweep->readings[3].value, 0.5, 0);
    assert_int_equal(sweep->did_kind, PERPEND_DID_LIST);
    assert_int_equal(sweep->did_count, 3);
    assert_int_equal(sweep->did[0].move, PERPEND_MOVE_SHIM);
    assert_near(sweep->did[0].amount.value, 0.5, 0);
    assert_int_equal(sweep->did[1].bolt, 1);
    assert_int_equal(sweep->did[1].move, PERPEND_MOVE_SLIDE);
    assert_near(sweep->did[1].amount.shift.right, 0.1, 0);
    assert_near(sweep->did[1].amount.shift.up, -0.0508, 1e-17);
    assert_int_equal(sweep->did[2].move, PERPEND_MOVE_SCREW);
    assert_near(sweep->did[2].amount.value, -1.25, 0);
    sweep = &job.sweeps[1];
    assert_string_equal(sweep->name, "sweep 2");
    assert_near(sweep->readings[0].x, 100, 0);
    assert_near(sweep->readings[0].y, -50, 0);
    assert_near(sweep->readings[0].value, 3.175, 1e-15);
    assert_near(sweep->readings[1].x, 3, 0);
    assert_near(sweep->readings[1].y, 4, 0);
    assert_int_equal(sweep->did_kind, PERPEND_DID_PLAN);
    assert_int_equal(job.sweeps[2].did_kind, PERPEND_DID_NOTHING);
    assert_int_equal(job.sweeps[3].did_kind, PERPEND_DID_UNSTATED);
    perpend_job_finish(&job);
    assert_int_equal(job.sweep_count, 0);
    perpend_job_finish(&job);
    perpend_job_finish(NULL);
}

static void faults(void **state)
{
    (void)state;
#define HEAD "perpend: 1\nsweeps:\n- readings: [{at: front, reading: 1}]\n  "
    static const char *const cases[][2] = {
        {"perpend: 1\n", "1: sweeps is missing; a job file needs perpend and sweeps"},
        {"perpend: 1\ndate: yesterday\nsweeps: []\n",
            "2: date \"yesterday\" must be a day, or a day and a time with its zone, such as "
            "2026-11-28 19:12 +01:00"},
        {"perpend: 1\nmeasured: {z: 1}\nsweeps: []\n",
            "2: measured: unknown key \"z\"; measured takes x and y"},
        {"perpend: 1\ninside: [{joint: clamp plate, bolt: top left, turns: 1}]\nsweeps: []\n",
            "2: inside 1: only shims are inside, of more than 0"},
        {"perpend: 1\ninside: [{joint: clamp plate, bolt: top left, shim: -1}]\nsweeps: []\n",
            "2: inside 1: only shims are inside, of more than 0"},
        {"perpend: 1\nstock: [1]\nsweeps: []\n",
            "2: stock has 1 numbers, the machine's stock 2 kinds; write one number for each, "
            "such as [8, 10]"},
        {"perpend: 1\nlearned: {gain: [1, 0, 0], uncertainty: [1, 1, 1, 1]}\nsweeps: []\n",
            "2: learned: gain must be four numbers, as [1, 0, 0, 1]"},
        {"perpend: 1\nlearned: {gain: [1, 0, 0, 5], uncertainty: [1, 1, 1, 1]}\nsweeps: []\n",
            "2: learned: gain \"5\" is out of range; use -4 to 4"},
        {"perpend: 1\nlearned: nothing\nsweeps: []\n",
            "2: learned must be keys and values, such as {gain: [0.7, 0, 0, 0.8], uncertainty: "
            "[0.1, 0.2, 0.2, 0.1]}"},
        {"perpend: 1\nstock: [1, 0.5]\nsweeps: []\n",
            "2: stock \"0.5\" must be a whole number of leaves"},
        {"sweeps: []\n",
            "1: perpend is missing; begin the file with \"perpend: 1\", the format it is written "
            "in"},
        {"perpend: 1\nsweeps: []\n",
            "2: sweeps needs 1 or more and has 0; write one sweep behind each dash"},
        {"perpend: 1\nsweeps: {readings: 1}\n",
            "2: sweeps must be a list, one sweep behind each dash"},
        {"perpend: 1\nsweeps: [as found]\n",
            "2: sweep 1: a sweep must be keys and values, such as \"name: as found\""},
        {"perpend: 1\nsweeps:\n- name: a\n",
            "3: sweep 1: readings is missing; a sweep needs readings, a cut, or both"},
        {"perpend: 1\nsweeps:\n- reading: [{at: front, reading: 1}]\n",
            "3: sweep 1: unknown key \"reading\"; a sweep takes name, date, x, y, readings, cut, "
            "did, sure and note; did you mean readings?"},
        {"perpend: 1\nsweeps:\n- readings: [{at: front, reading: 1,00}]\n",
            "3: sweep 1: reading 1: reading 1,00 is split in two at its comma here; write a "
            "point, or quotes: \"1,00\""},
        {"perpend: 1\nsweeps:\n- readings: [{at: up, reading: 1}]\n",
            "3: sweep 1: reading 1: at \"up\" is not a bearing; use front, back, left, right, "
            "back-right …, N, NE … or degrees"},
        {HEAD "did: [{joint: clamp plate, bolt: top left}]\n",
            "4: sweep 1: did 1: says nothing about what was done; say one of shim, slide, "
            "turns and angle in each entry"},
        {HEAD "did: [{joint: clamp plate, bolt: top left, shim: 1, turns: 2}]\n",
            "4: sweep 1: did 1: says more than one thing; say one of shim, slide, turns and angle "
            "in "
            "each entry"},
        {HEAD "did: [{joint: clampplate, bolt: top left, shim: 1}]\n",
            "4: sweep 1: did 1: unknown joint \"clampplate\"; the mount has clamp plate; did you "
            "mean clamp plate?"},
        {HEAD "did: [{joint: arm, bolt: top left, shim: 1}]\n",
            "4: sweep 1: did 1: unknown joint \"arm\"; the mount has clamp plate"},
        {HEAD "did: [{joint: clamp plate, bolt: middle, shim: 1}]\n",
            "4: sweep 1: did 1: unknown bolt \"middle\"; clamp plate has top left, top right, "
            "bottom left and bottom right"},
        {HEAD "did: [{joint: clamp plate, bolt: top left, shim: 1},\n"
              "        {joint: clamp plate, bolt: top left, shim: 2}]\n",
            "5: sweep 1: did 2: the same bolt's shim stands in entry 1 already; write their sum "
            "once"},
        {HEAD "did: {joint: clamp plate, bolt: top left, shim: 1}\n",
            "4: sweep 1: did must be plan, nothing, or a list of entries, each behind a dash"},
        {HEAD "did: []\n",
            "4: sweep 1: did needs 1 or more and has 0; write one entry behind each dash"},
        {HEAD "did: planned\n", "4: sweep 1: did \"planned\" is unknown; use plan or nothing"},
        {HEAD "did: [{joint: clamp plate, bolt: top left, turns: 1001}]\n",
            "4: sweep 1: did 1: turns \"1001\" is out of range; use -1000 to 1000"},
        {HEAD "name: a\n- {name: a, readings: [{at: N, reading: 1}]}\n",
            "5: sweep 2: name \"a\" is the name of sweep 1 already; give each its own"},
        {HEAD "name: \"a\\tb\"\n",
            "4: sweep 1: name has a line break or a control character; write it on one line, in "
            "plain letters"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_string_equal(job_fault(cases[i][0]), cases[i][1]);
    /* the machine's own file in the readings' place */
    assert_string_equal(job_fault(tern_text),
        "1: this is a machine file (it has a gauge); give the readings second");
}

static void a_mount_is_needed_for_what_was_done(void **state)
{
    (void)state;
    struct perpend_machine bare;
    struct perpend_job job;
    struct fault fault;
    parse_machine(BARE_MACHINE, &bare);
    static const char *const done[] = {"plan", "[{joint: a, bolt: b, shim: 1}]"};
    for (size_t i = 0; i < 2; i++) {
        char text[200];
        snprintf(text, sizeof text, HEAD "did: %s\n", done[i]);
        assert_false(job_file_parse(text, strlen(text), "job", &bare, &job, &fault));
        assert_string_equal(fault.text,
            "job:4: sweep 1: did needs a mount in the machine file; describe it there, or write "
            "\"nothing\"");
    }
    parse_job(&bare, HEAD "did: nothing\n", &job);
    perpend_job_finish(&job);
    perpend_machine_finish(&bare);
}

static void more_readings_than_a_job_holds(void **state)
{
    (void)state;
    size_t room = 400000;
    char *text = malloc(room);
    assert_non_null(text);
    char *end = text + sprintf(text,
                           "perpend: 1\nsweeps:\n- readings: [{at: 0, reading: 0}]\n- readings:\n");
    for (int i = 0; i < 9999; i++)
        end += sprintf(end, "  - {at: %d, reading: 1}\n", i % 360);
    struct perpend_job job;
    parse_job(&tern, text, &job);
    assert_int_equal(job.sweeps[1].reading_count, 9999);
    perpend_job_finish(&job);
    sprintf(end, "  - {at: 0, reading: 1}\n");
    assert_string_equal(
        job_fault(text), "4: sweep 2: more than 10000 readings in all; a job holds no more");
    free(text);
}

static void a_job_that_cannot_be_solved(void **state)
{
    (void)state;
    struct perpend_sweep sweep = {.name = "as found"};
    struct perpend_job job = {.sweeps = &sweep, .sweep_count = 1};
    struct perpend_job_fault where = {.fit = {.quality.readings = 1}};
    static const struct {
        int status;
        enum perpend_need_kind need;
        int exit_status;
        const char *line;
    } cases[] = {
        {PERPEND_ERR_MEMORY, PERPEND_NEED_NOTHING, 3,
            "job: out of memory; close other programs and try again"},
        {PERPEND_ERR_UNDETERMINED, PERPEND_NEED_BEARING, 2,
            "job: sweep \"as found\": 1 reading cannot tell the lean; add one at right (90 "
            "degrees)"},
        {PERPEND_ERR_UNDETERMINED, PERPEND_NEED_NOTHING, 2,
            "job: sweep \"as found\": the readings do not determine the lean; read at four "
            "bearings "
            "or more"},
        {PERPEND_ERR_STEPOVER, PERPEND_NEED_NOTHING, 2,
            "job: sweep \"as found\": leaning so, the bit cuts less than a stepover and leaves "
            "stripes; take a smaller stepover, or check the readings"},
        {PERPEND_ERR_CONVERGE, PERPEND_NEED_NOTHING, 2,
            "job: sweep \"as found\": no lean fits these readings; check them, their unit and the "
            "arm's length"},
        {PERPEND_ERR_VALUE, PERPEND_NEED_NOTHING, 2,
            "job: sweep \"as found\": a value is out of range; check the readings, their unit and "
            "the arm's length"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct fault fault = {0};
        where.fit.need.kind = cases[i].need;
        where.fit.need.bearing = PERPEND_PI / 2;
        where.fit.need.x = 100;
        where.fit.need.y = 50;
        job_fault_text(cases[i].status, &where, "job", &job, &fault);
        assert_int_equal(fault.status, cases[i].exit_status);
        assert_string_equal(fault.text, cases[i].line);
        if (cases[i].exit_status == 3)
            continue;
        job_fault_text(cases[i].status, &where, NULL, &job, &fault);
        assert_string_equal(fault.text, cases[i].line + strlen("job: "));
    }
}

/* --- what is written reads back --- */

static void the_written_form_is_for_people_too(void **state)
{
    (void)state;
    struct perpend_job job;
    struct perpend_machine machine = tern;
    machine.unit = PERPEND_UNIT_INCH;
    const char *expected = "perpend: 1\n"
                           "sweeps:\n"
                           "- name: as found\n"
                           "  x: 0\n"
                           "  y: 1.5\n"
                           "  readings:\n"
                           "  - {at: front, reading: 0.039}\n"
                           "  - {at: 12.5, reading: 0.02, x: 4, y: 5}\n"
                           "  did:\n"
                           "  - {joint: clamp plate, bolt: top left, shim: 0.005}\n";
    parse_job(&machine, expected, &job);
    char *text = job_file_write(&machine, &job);
    assert_string_equal(text, expected);
    free(text);
    perpend_job_finish(&job);
}

static int read_tern(void **state)
{
    (void)state;
    parse_machine(tern_text, &tern);
    return 0;
}

static int finish_tern(void **state)
{
    (void)state;
    perpend_machine_finish(&tern);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_whole_job),
        cmocka_unit_test(faults),
        cmocka_unit_test(a_mount_is_needed_for_what_was_done),
        cmocka_unit_test(more_readings_than_a_job_holds),
        cmocka_unit_test(a_job_that_cannot_be_solved),
        cmocka_unit_test(the_written_form_is_for_people_too),
    };
    return cmocka_run_group_tests(tests, read_tern, finish_tern);
}
