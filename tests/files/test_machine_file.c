/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Machine files: what each key sets, that unit and order make no difference, what is refused. */
#include "support/support.h"

#include <locale.h>

#include <perpend/machine.h>

#include "support/machine_text.h"
#include "files/names.h"

static void the_demo_machine(void **state)
{
    (void)state;
    struct perpend_machine machine;
    parse_machine(tern_text, &machine);
    assert_string_equal(machine.name, "Tern");
    assert_string_equal(machine.place, "boat shed");
    assert_int_equal(machine.due.weeks, 26);
    assert_int_equal(machine.unit, PERPEND_UNIT_MM);
    assert_near(machine.setup.arm.length, 75, 0);
    assert_true(isnan(machine.setup.arm.relative_uncertainty) && isnan(machine.setup.waves));
    assert_near(machine.setup.arm.bearing_uncertainty, perpend_radians(2), 0);
    assert_int_equal(machine.setup.gauge.kind, PERPEND_GAUGE_GAP);
    assert_near(machine.setup.gauge.step, 0.05, 0);
    assert_true(isnan(machine.setup.gauge.spread));
    assert_true(machine.setup.bed_faced);
    assert_near(machine.cutter.diameter, 22, 0);
    assert_near(machine.cutter.corner, 0, 0);
    assert_near(machine.facing.stepover, 10, 0);
    assert_false(machine.facing.both_ways);
    assert_near(machine.facing.along, PERPEND_ALONG_X, 0);
    assert_near(machine.facing.depth, 0.2, 0);
    assert_near(machine.goal.ridge, 0.02, 0);
    assert_int_equal(machine.mount.joint_count, 1);
    const struct perpend_joint *joint = &machine.mount.joints[0];
    assert_string_equal(joint->name, "clamp plate");
    assert_int_equal(joint->face, PERPEND_FACE_FRONT);
    assert_int_equal(joint->allows, PERPEND_MOVE_SHIM | PERPEND_MOVE_SLIDE);
    assert_int_equal(joint->bolt_count, 4);
    assert_string_equal(joint->bolts[3].name, "bottom right");
    assert_near(joint->bolts[3].at.right, 30, 0);
    assert_near(joint->bolts[3].at.back, 40, 0);
    assert_near(joint->bolts[3].at.up, 130, 0);
    assert_near(joint->bolts[3].thread, 5, 0);
    assert_near(joint->bolts[3].hole, 5.5, 0);
    assert_near(joint->bolts[0].hole, 0, 0);
    assert_near(joint->bolts[0].pitch, 0, 0);
    assert_int_equal(machine.stock.leaf_count, 2);
    assert_near(machine.stock.leaves[0].thick, 0.05, 0);
    assert_int_equal(machine.stock.leaves[0].count, 8);
    assert_string_equal(machine.stock.leaves[0].name, "brass");
    perpend_machine_finish(&machine);
}

static void what_is_not_stated(void **state)
{
    (void)state;
    struct perpend_machine machine;
    parse_machine(BARE_MACHINE, &machine);
    assert_null(machine.name);
    assert_null(machine.place);
    assert_int_equal(machine.due.weeks + machine.due.jobs, 0);
    assert_int_equal(machine.unit, PERPEND_UNIT_MM);
    assert_true(isnan(machine.goal.ridge));
    assert_true(isnan(machine.facing.depth));
    assert_true(machine.setup.bed_faced);
    assert_int_equal(machine.mount.joint_count, 0);
    assert_int_equal(machine.stock.leaf_count, 0);
    assert_near(machine.cutter.corner, 0, 0);
    perpend_machine_finish(&machine);
    perpend_machine_finish(NULL);
}

static void the_arm_and_how_sure_it_is(void **state)
{
    (void)state;
    static const struct {
        const char *arm;
        double length, relative, aim;
    } cases[] = {
        {"75", 75, 0.5 / 75, 2},
        {"3 in", 76.2, 0.5 / 76.2, 2},
        {"{length: 75}", 75, 0.5 / 75, 2},
        {"{length: 75, uncertainty: 0.3}", 75, 0.004, 2},
        {"{length: 75, uncertainty: 0.3 mm, aim: 5}", 75, 0.004, 5},
        {"{length: 75, uncertainty: 1%, aim: 0}", 75, 0.01, 0},
        {"{aim: \"1,5\", uncertainty: \"0,5 %\", length: \"75,5\"}", 75.5, 0.005, 1.5},
        {"{length: 75, uncertainty: 0, aim: 3°}", 75, 0, 3},
        {"{length: 75, uncertainty: 0, aim: 3 deg}", 75, 0, 3},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[400];
        struct perpend_machine machine;
        snprintf(text, sizeof text,
            "perpend: 1\narm: %s\ngauge: {kind: gap, step: 0.05}\ncutter: {diameter: 22}\n"
            "facing: {stepover: 10, along: X}\n",
            cases[i].arm);
        parse_machine(text, &machine);
        assert_relative(machine.setup.arm.length, cases[i].length, 1e-15);
        assert_near(perpend_arm_relative_uncertainty(&machine.setup.arm), cases[i].relative, 1e-17);
        assert_near(machine.setup.arm.bearing_uncertainty, perpend_radians(cases[i].aim), 1e-17);
        perpend_machine_finish(&machine);
    }
}

/* Of the floor, of the spindle, or of both; a lean as mm per metre or as one length over another. */
static void the_goals(void **state)
{
    (void)state;
    static const struct {
        const char *goal;
        double ridge, lean;
    } cases[] = {
        {"{ridge: 0.02}", 0.02, NAN},
        {"{lean: 0.07}", NAN, 7e-5},
        {"{lean: 0.01 over 150, ridge: 0.5}", 0.5, 0.01 / 150},
        {"{lean: 0.0005 in over 6 in}", NAN, 0.0005 / 6},
        {"{lean: 1 thou over 25.4 mm}", NAN, 1e-3},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[400];
        struct perpend_machine machine;
        snprintf(text, sizeof text, "%sgoal: %s\n", BARE_MACHINE, cases[i].goal);
        parse_machine(text, &machine);
        assert_true(isnan(cases[i].ridge) ? isnan(machine.goal.ridge)
                                          : machine.goal.ridge == cases[i].ridge);
        assert_true(isnan(cases[i].lean) == isnan(machine.goal.lean));
        if (!isnan(cases[i].lean))
            assert_relative(machine.goal.lean, cases[i].lean, 1e-14);
        perpend_machine_finish(&machine);
    }
}

/* What lies under the tip, and all bearings turned together. */
static void the_bed_and_a_turn(void **state)
{
    (void)state;
    static const struct {
        const char *bed, *arm;
        bool faced;
        double waves, turned;
    } cases[] = {
        {"faced", "75", true, 0.02, 2},
        {"as found", "{length: 75, turned: 5}", false, 0.05, 5},
        {"plate", "75", true, 0.005, 2},
        {"{kind: faced, flat: 0.04}", "75", true, 0.04, 2},
        {"{flat: 0.1, kind: as found}", "{length: 75, turned: 0}", false, 0.1, 0},
        {"{kind: plate, flat: 0}", "75", true, 0.0, 2},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[400];
        struct perpend_machine machine;
        snprintf(text, sizeof text,
            "perpend: 1\narm: %s\ngauge: {kind: gap, step: 0.05}\ncutter: {diameter: 22}\n"
            "facing: {stepover: 10, along: X}\nbed: %s\n",
            cases[i].arm, cases[i].bed);
        parse_machine(text, &machine);
        assert_int_equal(machine.setup.bed_faced, cases[i].faced);
        assert_near(perpend_bed_waves(&machine.setup), cases[i].waves, 1e-17);
        assert_near(machine.setup.arm.turned_uncertainty, perpend_radians(cases[i].turned), 1e-17);
        perpend_machine_finish(&machine);
    }
}

static void gauges(void **state)
{
    (void)state;
    static const struct {
        const char *gauge;
        struct perpend_gauge expected;
    } cases[] = {
        {"{kind: gap, step: 0.05}", {PERPEND_GAUGE_GAP, false, 0, 0.05, NAN}},
        {"{kind: Touch, step: 10 um, spread: 0.02}", {PERPEND_GAUGE_TOUCH, false, 0, 0.01, 0.02}},
        {"{kind: dial, step: 1/2 thou}", {PERPEND_GAUGE_DIAL, false, 0, 0.0127, NAN}},
        {"{kind: dial, step: 0.01, rises: toward}", {PERPEND_GAUGE_DIAL, false, 0, 0.01, NAN}},
        {"{rises: away, step: 0.01, kind: dial}", {PERPEND_GAUGE_DIAL, true, 0, 0.01, NAN}},
        {"{kind: lever, step: 0.01}", {PERPEND_GAUGE_LEVER, false, 0, 0.01, NAN}},
        {"{kind: lever, step: 0.01, angle: 30, rises: away, spread: 0}",
            {PERPEND_GAUGE_LEVER, true, PERPEND_PI / 6, 0.01, 0}},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[400];
        struct perpend_machine machine;
        const struct perpend_gauge *expected = &cases[i].expected;
        snprintf(text, sizeof text,
            "perpend: 1\narm: 75\ngauge: %s\ncutter: {diameter: 22}\n"
            "facing: {stepover: 10, along: X}\n",
            cases[i].gauge);
        parse_machine(text, &machine);
        assert_int_equal(machine.setup.gauge.kind, expected->kind);
        assert_int_equal(machine.setup.gauge.rises_away, expected->rises_away);
        assert_near(machine.setup.gauge.angle, expected->angle, 1e-15);
        assert_near(machine.setup.gauge.step, expected->step, 1e-15);
        if (isnan(expected->spread))
            assert_true(isnan(machine.setup.gauge.spread));
        else
            assert_near(machine.setup.gauge.spread, expected->spread, 1e-15);
        perpend_machine_finish(&machine);
    }
}

static void facings(void **state)
{
    (void)state;
    static const struct {
        const char *facing;
        double stepover, along;
        bool both;
    } cases[] = {
        {"{stepover: 45%, along: X}", 9.9, 90, false},
        {"{stepover: \"45 %\", along: y}", 9.9, 0, false},
        {"{stepover: 1/4 in, along: both}", 6.35, 90, true},
        {"{stepover: 10, along: Both}", 10, 90, true},
        {"{stepover: 10, along: 45}", 10, 45, false},
        {"{stepover: 10, along: back-right}", 10, 45, false},
        {"{stepover: 10, along: -90}", 10, 270, false},
        {"{stepover: 10, along: N, depth: 0.3}", 10, 0, false},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[400];
        struct perpend_machine machine;
        snprintf(text, sizeof text,
            "perpend: 1\narm: 75\ngauge: {kind: gap, step: 0.05}\nfacing: %s\n"
            "cutter: {diameter: 22}\n",
            cases[i].facing);
        parse_machine(text, &machine);
        assert_near(machine.facing.stepover, cases[i].stepover, 1e-14);
        assert_near(machine.facing.along, perpend_radians(cases[i].along), 1e-14);
        assert_int_equal(machine.facing.both_ways, cases[i].both);
        perpend_machine_finish(&machine);
    }
}

static void threads(void **state)
{
    (void)state;
    static const struct {
        const char *thread;
        double diameter, pitch;
    } cases[] = {
        {"M5", 5, 0},
        {"m5", 5, 0},
        {"M5x0.5", 5, 0.5},
        {"M5×0.5", 5, 0.5},
        {"M6 x 0.75", 6, 0.75},
        {"\"M2,5\"", 2.5, 0},
        {"1/4-20", 6.35, 1.27},
        {"\"#10-24\"", 4.826, 25.4 / 24},
        {"5 mm", 5, 0},
        {"0.25", 6.35, 0},
        {"1/4 in", 6.35, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[600];
        struct perpend_machine machine;
        /* in an inch file: a metric name stays metric */
        snprintf(text, sizeof text,
            "unit: in\n" BARE_MACHINE "mount: [{joint: plate, faces: left, allows: shim, bolts: [\n"
            "  {name: a, at: [0, 0, 1], thread: %s}, {name: b, at: [0, 0, 2]}]}]\n",
            cases[i].thread);
        parse_machine(text, &machine);
        assert_near(machine.mount.joints[0].bolts[0].thread, cases[i].diameter, 1e-14);
        assert_near(machine.mount.joints[0].bolts[0].pitch, cases[i].pitch, 1e-14);
        const char *said = machine.mount.joints[0].bolts[0].thread_name;
        const char *given = cases[i].thread + (*cases[i].thread == '"');
        assert_int_equal(said != NULL, i < 8); /* the last three are lengths */
        assert_true(said == NULL || strncmp(given, said, strlen(said)) == 0);
        perpend_machine_finish(&machine);
    }
}

/* --- the unit and the order of the keys make no difference --- */

/* Lengths in mm, in the order in which the text below states them. */
#define LENGTHS 16

static const double low[LENGTHS] = {
    20, 0.001, 0.001, 0, 10, 0, 1, 0.1, 0.001, -99, -99, -99, 3, 5, 0.2, 0.01};
static const double high[LENGTHS] = {
    200, 0.1, 0.05, 0.2, 60, 5, 9, 1, 0.1, 99, 99, 99, 5, 9, 1.0, 1};

/* The machine's sections, shuffled by `order`; each length divided by `unit` mm. */
static void shuffled_machine(char *text, size_t room, const double *length, double unit,
    const char *unit_name, const size_t order[8])
{
    char part[8][400];
    double v[LENGTHS];
    for (size_t i = 0; i < LENGTHS; i++)
        v[i] = length[i] / unit;
    snprintf(part[0], sizeof part[0], "arm: {uncertainty: %.17g, length: %.17g}\n", v[3], v[0]);
    snprintf(
        part[1], sizeof part[1], "gauge: {step: %.17g, kind: dial, spread: %.17g}\n", v[1], v[2]);
    snprintf(part[2], sizeof part[2], "cutter: {corner: %.17g, diameter: %.17g}\n", v[5], v[4]);
    snprintf(part[3], sizeof part[3], "facing: {depth: %.17g, along: both, stepover: %.17g}\n",
        v[7], v[6]);
    snprintf(part[4], sizeof part[4], "goal: {ridge: %.17g}\n", v[8]);
    snprintf(part[5], sizeof part[5],
        "mount:\n- bolts:\n  - {at: [%.17g, %.17g, %.17g], name: one, thread: %.17g, hole: %.17g,\n"
        "     pitch: %.17g}\n  - {name: two, at: [0, 0, 0], thread: M4}\n"
        "  joint: plate\n  allows: [slide, screw]\n  faces: up\n",
        v[9], v[10], v[11], v[12], v[13], v[14]);
    snprintf(part[6], sizeof part[6], "stock: [{count: 3, thick: %.17g}]\n", v[15]);
    snprintf(part[7], sizeof part[7], "perpend: 1\nunit: %s\n", unit_name);
    size_t used = 0;
    for (size_t i = 0; i < 8; i++)
        used += (size_t)snprintf(text + used, room - used, "%s", part[order[i]]);
}

static void same_machine(const struct perpend_machine *got, const double *length)
{
    const struct perpend_bolt *bolt = &got->mount.joints[0].bolts[0];
    const double read[LENGTHS] = {got->setup.arm.length, got->setup.gauge.step,
        got->setup.gauge.spread, got->setup.arm.relative_uncertainty * length[0],
        got->cutter.diameter, got->cutter.corner, got->facing.stepover, got->facing.depth,
        got->goal.ridge, bolt->at.right, bolt->at.back, bolt->at.up, bolt->thread, bolt->hole,
        bolt->pitch, got->stock.leaves[0].thick};
    for (size_t i = 0; i < LENGTHS; i++)
        assert_relative(read[i], length[i], 1e-14);
    assert_near(got->mount.joints[0].bolts[1].thread, 4, 0);
}

static void unit_and_order_make_no_difference(void **state)
{
    (void)state;
    struct test_random random = test_random_start("unit and order", 20260101);
    for (int trial = 0; trial < 2000; trial++) {
        double length[LENGTHS];
        size_t order[8] = {0, 1, 2, 3, 4, 5, 6, 7};
        for (size_t i = 0; i < LENGTHS; i++)
            length[i] = test_uniform(&random, low[i], high[i]);
        for (size_t i = 7; i > 0; i--) {
            size_t other = test_pick(&random, i + 1), kept = order[i];
            order[i] = order[other];
            order[other] = kept;
        }
        for (int inch = 0; inch < 2; inch++) {
            char text[2400];
            struct perpend_machine machine;
            shuffled_machine(text, sizeof text, length, inch ? 25.4 : 1, inch ? "in" : "mm", order);
            parse_machine(text, &machine);
            same_machine(&machine, length);
            perpend_machine_finish(&machine);
        }
    }
}

/* --- faults --- */

static void every_cut_of_a_file_is_refused_or_read(void **state)
{
    (void)state;
    size_t taken = 0;
    for (size_t length = 0; length < sizeof tern_text; length++) {
        char *cut = malloc(length + 1); /* of its own, so that reading past it shows */
        struct perpend_machine machine;
        struct fault fault = {0};
        assert_non_null(cut);
        memcpy(cut, tern_text, length);
        cut[length] = '\0';
        if (machine_file_parse(cut, length, "cut", &machine, &fault)) {
            perpend_machine_finish(&machine);
            taken++;
        } else {
            assert_int_equal(fault.status, 2);
            assert_true(strlen(fault.text) > 10);
            assert_int_equal(strncmp(fault.text, "cut:", 4), 0);
        }
        free(cut);
    }
    /* whole sections at the end may go, nothing else */
    assert_true(taken > 0 && taken < 120);
}

static void limits(void **state)
{
    (void)state;
    char *text = malloc(FILES_LARGEST);
    assert_non_null(text);
    char *end = text + sprintf(text, "%s",
                           BARE_MACHINE "mount: [{joint: a, faces: up, allows: shim, bolts: [");
    for (int i = 0; i < 9; i++)
        end += sprintf(end, "{name: b%d, at: [%d, 0, 0]},", i, i);
    sprintf(end, "]}]\n");
    assert_string_equal(machine_fault(text), "6: mount: joint 1: bolts has 9; at most 8 are taken");

    end = text + sprintf(text, "%s", BARE_MACHINE "mount: [");
    for (int i = 0; i < 5; i++)
        end += sprintf(end,
            "{joint: j%d, faces: up, allows: shim, bolts: [{name: a, at: [0, 0, 0]}, {name: b, at: "
            "[1, 0, 0]}]},",
            i);
    sprintf(end, "]\n");
    assert_string_equal(machine_fault(text), "6: mount has 5; at most 4 are taken");

    end = text + sprintf(text, "%s", BARE_MACHINE "stock: ");
    memset(end, '[', 100000);
    end[100000] = '\0';
    assert_string_equal(machine_fault(text), "6: nested too deeply; no key needs so many levels");

    end = text + sprintf(text, "%s", BARE_MACHINE "machine: ");
    memset(end, 'n', 1000000);
    end[1000000] = '\0';
    assert_string_equal(
        machine_fault(text), "6: machine is 1000000 bytes long; at most 120 are taken");

    end = text + sprintf(text, "%s", BARE_MACHINE "stock: [");
    for (int i = 0; i < 500000; i++, end += 2)
        memcpy(end, "a,", 2);
    sprintf(end, "]\n");
    assert_string_equal(machine_fault(text), "6: stock has 500000; at most 24 are taken");
    free(text);
}

static void names_are_guessed(void **state)
{
    (void)state;
    static const char *const names[] = {"stepover", "along", "depth", "x"};
    assert_string_equal(nearest_name("stepovr", names, 4), "stepover");
    assert_string_equal(nearest_name("step_over", names, 4), "stepover");
    assert_string_equal(nearest_name("StepOver", names, 4), "stepover");
    assert_string_equal(nearest_name("setpover", names, 4), "stepover");
    assert_string_equal(nearest_name("alnog", names, 4), "along");
    assert_string_equal(nearest_name("dept", names, 4), "depth");
    assert_null(nearest_name("diameter", names, 4));
    assert_null(nearest_name("y", names, 4));
    assert_null(nearest_name("", names, 4));
    assert_null(nearest_name("a name that is far too long to guess at, really", names, 4));
}

/* In Turkish the small letter of I is not i. */
static void letter_case_knows_no_locale(void **state)
{
    (void)state;
    static const char *const names[] = {"dial", "gap"};
    if (setlocale(LC_ALL, "tr_TR.utf8") == NULL) {
        printf("# locale tr_TR.utf8: not in LOCPATH; Debian's package locales has what it is made "
               "of\n");
        fail();
    }
    assert_true(same_word("DIAL", "dial"));
    assert_true(same_word("AS-FOUND in", "as found_IN"));
    assert_false(same_word("dial", "dual"));
    assert_string_equal(nearest_name("DIIAL", names, 2), "dial");
    setlocale(LC_ALL, "C");
}

static void lists_of_names(void **state)
{
    (void)state;
    static const char *const names[] = {"a", "b", "c"};
    const char *many[60];
    char words[WORDS];
    assert_string_equal(words_and(words, names, 0), "");
    assert_string_equal(words_or(words, names, 1), "a");
    assert_string_equal(words_or(words, names, 2), "a or b");
    assert_string_equal(words_and(words, names, 3), "a, b and c");
    for (size_t i = 0; i < 60; i++)
        many[i] = "a bolt";
    words_and(words, many, 60);
    assert_true(strlen(words) < WORDS && strlen(words) > WORDS / 2);
    assert_string_equal(words + strlen(words) - strlen("a bolt …"), "a bolt …");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_demo_machine),
        cmocka_unit_test(what_is_not_stated),
        cmocka_unit_test(the_arm_and_how_sure_it_is),
        cmocka_unit_test(the_goals),
        cmocka_unit_test(the_bed_and_a_turn),
        cmocka_unit_test(gauges),
        cmocka_unit_test(facings),
        cmocka_unit_test(threads),
        cmocka_unit_test(unit_and_order_make_no_difference),
        cmocka_unit_test(every_cut_of_a_file_is_refused_or_read),
        cmocka_unit_test(limits),
        cmocka_unit_test(names_are_guessed),
        cmocka_unit_test(letter_case_knows_no_locale),
        cmocka_unit_test(lists_of_names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
