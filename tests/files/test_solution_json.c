/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The machine-readable answer: its keys and their order, its units, null where nothing applies, and
   the same numbers from a file in mm and one in inches. */
#include "support/support.h"

#include <jansson.h>

#include <perpend/perpend.h>

#include "support/locales.h"
#include "support/machine_text.h"

/* The answer's text, to be freed. */
static char *answer_text(const char *machine_text, const char *job_text)
{
    struct perpend_machine machine;
    struct perpend_job job;
    struct perpend_solution solution;
    struct fault fault = {0};
    parse_machine(machine_text, &machine);
    if (!job_file_parse(job_text, strlen(job_text), "job", &machine, &job, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(perpend_job_solve(&machine, &job, &solution, NULL), PERPEND_OK);
    char *text = solution_json(&machine, &job, &solution);
    assert_non_null(text);
    assert_int_equal(text[strlen(text) - 1], '\n');
    perpend_solution_finish(&solution);
    perpend_job_finish(&job);
    perpend_machine_finish(&machine);
    return text;
}

static json_t *answer(const char *machine_text, const char *job_text)
{
    json_error_t error;
    char *text = answer_text(machine_text, job_text);
    json_t *root = json_loads(text, 0, &error);
    if (root == NULL)
        fail_msg("%s\n%s", error.text, text);
    free(text);
    return root;
}

static json_t *measurement_of(json_t *root)
{
    return json_array_get(json_object_get(root, "measurements"), 0);
}

static double number_of(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    assert_true(json_is_number(value));
    return json_number_value(value);
}

/* The keys of an object, in order, with blanks between. */
static void has_keys(json_t *object, const char *expected)
{
    char keys[400] = "";
    const char *key;
    json_t *value;
    assert_true(json_is_object(object));
    json_object_foreach(object, key, value)
    {
        (void)value;
        if (keys[0] != '\0')
            strcat(keys, " ");
        strcat(keys, key);
    }
    assert_string_equal(keys, expected);
}

#define TERN_READINGS "at,reading\nfront,1.00\nright,0.50\nback,0\nleft,0.50\n"

static void the_keys_stand_in_their_order(void **state)
{
    (void)state;
    json_t *root = answer(tern_text, TERN_READINGS), *measurement = measurement_of(root);
    has_keys(root, "perpend machine place date who temperature measured measurements");
    has_keys(measurement, "sweeps readings lean uncertainty bed includes_bed fit cut ridge ridge_x "
                          "ridge_y best adjustment response plan");
    has_keys(json_object_get(measurement, "lean"), "right back size toward goal");
    has_keys(json_object_get(measurement, "uncertainty"), "right back correlation");
    json_t *fit = json_object_get(measurement, "fit");
    has_keys(fit, "centre rms dof chi2 p residuals");
    has_keys(
        json_array_get(json_object_get(fit, "residuals"), 0), "sweep at reading residual suspect");
    has_keys(json_object_get(measurement, "ridge"), "along height low high ra goal chance verdict");
    has_keys(json_object_get(measurement, "best"), "along height");
    json_t *plan = json_object_get(measurement, "plan");
    has_keys(plan, "steps leaves ridge tip");
    json_t *step = json_array_get(json_object_get(plan, "steps"), 0);
    has_keys(step, "joint move bolts");
    has_keys(
        json_array_get(json_object_get(step, "bolts"), 0), "name shim stack slide turns angle");
    has_keys(json_object_get(plan, "leaves"), "right back");
    assert_int_equal(json_array_size(json_object_get(plan, "tip")), 3);
    json_decref(root);
}

static void the_worked_figures(void **state)
{
    (void)state;
    json_t *root = answer(tern_text, TERN_READINGS), *measurement = measurement_of(root);
    assert_int_equal(json_integer_value(json_object_get(root, "perpend")), 1);
    assert_string_equal(json_string_value(json_object_get(root, "machine")), "Tern");
    assert_int_equal(json_integer_value(json_object_get(measurement, "readings")), 4);
    json_t *lean = json_object_get(measurement, "lean");
    assert_near(number_of(lean, "back"), 6.667, 5e-4);
    assert_near(number_of(lean, "right"), 0, 1e-9);
    json_t *ridge = json_object_get(measurement, "ridge");
    assert_near(number_of(ridge, "along"), 90, 1e-12);
    assert_near(number_of(ridge, "goal"), 0.02, 0);
    assert_near(number_of(measurement, "ridge_x"), 0.0667, 5e-5);
    assert_near(number_of(measurement, "ridge_y"), 0.0080, 5e-5);
    assert_string_equal(json_string_value(json_object_get(ridge, "verdict")), "not met");
    json_t *step =
        json_array_get(json_object_get(json_object_get(measurement, "plan"), "steps"), 0);
    assert_string_equal(json_string_value(json_object_get(step, "move")), "shim");
    json_t *bolts = json_object_get(step, "bolts");
    assert_near(number_of(json_array_get(bolts, 0), "shim"), 0.533, 5e-4);
    assert_near(number_of(json_array_get(bolts, 2), "shim"), 0, 1e-9);
    assert_true(json_is_null(json_object_get(json_array_get(bolts, 0), "slide")));
    assert_true(json_is_null(json_object_get(json_array_get(bolts, 0), "turns")));
    json_t *residuals = json_object_get(json_object_get(measurement, "fit"), "residuals");
    assert_int_equal(json_array_size(residuals), 4);
    json_t *first = json_array_get(residuals, 0);
    assert_string_equal(json_string_value(json_object_get(first, "sweep")), "sweep 1");
    assert_near(number_of(first, "at"), 180, 1e-12);
    assert_near(number_of(first, "reading"), 1, 0);
    assert_true(json_is_false(json_object_get(first, "suspect")));
    json_decref(root);
}

static void is_null(json_t *object, const char *key)
{
    json_t *value = json_object_get(object, key);
    assert_non_null(value);
    if (!json_is_null(value))
        fail_msg("%s is not null", key);
}

static void null_where_nothing_applies(void **state)
{
    (void)state;
    json_t *root = answer("perpend: 1\narm: 75\ngauge: {kind: gap, step: 0.05}\n"
                          "cutter: {diameter: 22}\nfacing: {stepover: 10, along: both}\n",
        "at,reading\n0,0.1\n120,0.2\n240,0.3\n");
    json_t *measurement = measurement_of(root);
    is_null(root, "machine");
    is_null(measurement, "bed");
    is_null(measurement, "plan");
    json_t *fit = json_object_get(measurement, "fit");
    assert_int_equal(json_integer_value(json_object_get(fit, "dof")), 0);
    is_null(fit, "chi2");
    is_null(fit, "p");
    json_t *ridge = json_object_get(measurement, "ridge");
    is_null(ridge, "along");
    is_null(ridge, "goal");
    is_null(ridge, "chance");
    is_null(ridge, "verdict");
    assert_true(number_of(ridge, "low") <= number_of(ridge, "high"));
    json_decref(root);

    root = answer("perpend: 1\narm: 75\ngauge: {kind: gap, step: 0.05}\n"
                  "cutter: {diameter: 22}\nfacing: {stepover: 10, along: X}\n"
                  "mount: [{joint: plate, faces: front, allows: shim, bolts: [\n"
                  "  {name: a, at: [-30, 40, 210]}, {name: b, at: [30, 40, 210]},\n"
                  "  {name: c, at: [0, 40, 130]}]}]\n",
        "at,reading\n0,0.1\n90,0.2\n180,0.3\n270,0.2\n");
    json_t *step =
        json_array_get(json_object_get(json_object_get(measurement_of(root), "plan"), "steps"), 0);
    json_t *bolt = json_array_get(json_object_get(step, "bolts"), 0);
    assert_true(json_is_number(json_object_get(bolt, "shim")));
    is_null(bolt, "stack"); /* without a stock */
    json_decref(root);
}

static void what_is_not_a_number_is_null(void **state)
{
    (void)state;
    struct perpend_machine machine;
    parse_machine(tern_text, &machine);
    struct perpend_reading readings[3] = {{-1e-17, -0.0, 0, 0}, {2, 0, 0, 0}, {4, 0, 0, 0}};
    struct perpend_sweep sweep = {.name = "a \"b\" \\ µ", .readings = readings, .reading_count = 3};
    struct perpend_job job = {.sweeps = &sweep, .sweep_count = 1};
    double residual[3] = {NAN, INFINITY, -0.0};
    size_t of_sweep[3] = {0, 0, 0};
    struct perpend_measurement measurement = {
        .sweep_count = 1,
        .reading_count = 3,
        .readings = readings,
        .reading_sweep = of_sweep,
        .residual = residual,
        .fit = {.lean_covariance = {NAN, NAN, 0.0},
            .quality = {.rms = INFINITY, .dof = 1},
            .suspect.index = 2},
        .distribution = {.low = NAN, .high = NAN, .chance = NAN},
    };
    struct perpend_solution solution = {.measurements = &measurement, .measurement_count = 1};
    char *text = solution_json(&machine, &job, &solution);
    assert_non_null(text);
    assert_null(strstr(text, "nan"));
    assert_null(strstr(text, "inf"));
    assert_null(strstr(text, "-0.0"));
    json_t *root = json_loads(text, 0, NULL), *found = measurement_of(root);
    is_null(json_object_get(found, "uncertainty"), "right");
    is_null(json_object_get(found, "uncertainty"), "correlation");
    is_null(json_object_get(found, "fit"), "rms");
    is_null(json_object_get(found, "ridge"), "low");
    is_null(json_object_get(found, "ridge"), "chance");
    json_t *residuals = json_object_get(json_object_get(found, "fit"), "residuals");
    is_null(json_array_get(residuals, 0), "residual");
    is_null(json_array_get(residuals, 1), "residual");
    assert_true(json_is_true(json_object_get(json_array_get(residuals, 2), "suspect")));
    assert_string_equal(
        json_string_value(json_array_get(json_object_get(found, "sweeps"), 0)), sweep.name);
    json_decref(root);
    free(text);
    perpend_machine_finish(&machine);
}

static void the_locale_makes_no_difference(void **state)
{
    (void)state;
    char *plain = answer_text(tern_text, TERN_READINGS);
    for (size_t i = 1; i < COUNT(locales); i++) {
        take_locale(i);
        char *foreign = answer_text(tern_text, TERN_READINGS);
        setlocale(LC_ALL, "C");
        assert_string_equal(foreign, plain);
        free(foreign);
    }
    free(plain);
}

/* --- a file in mm and one in inches --- */

/* Numbers equal to 1e-12 of themselves; rounding noise where the answer is nothing at all is told
   from a number by a floor of 1e-12 in mm, mm/m, degrees. */
static void same_json(const json_t *a, const json_t *b, const char *where)
{
    if (json_is_number(a) && json_is_number(b)) {
        double x = json_number_value(a), y = json_number_value(b);
        double scale = fmax(fabs(x), fabs(y));
        if (fabs(x - y) > 1e-12 * fmax(scale, 1.0))
            fail_msg("%s: %.17g in mm, %.17g in inches", where, x, y);
        return;
    }
    assert_int_equal(json_typeof(a), json_typeof(b));
    if (json_is_object(a)) {
        const char *key;
        json_t *value;
        assert_int_equal(json_object_size(a), json_object_size(b));
        json_object_foreach((json_t *)(uintptr_t)a, key, value)
            same_json(value, json_object_get(b, key), key);
    } else if (json_is_array(a)) {
        assert_int_equal(json_array_size(a), json_array_size(b));
        for (size_t i = 0; i < json_array_size(a); i++)
            same_json(json_array_get(a, i), json_array_get(b, i), where);
    } else {
        assert_true(json_equal(a, b));
    }
}

/* The same lengths, mm, stated in a unit of so many mm. */
struct case_texts {
    char machine[2000];
    char table[600];
};

static void write_case(
    struct case_texts *texts, const double v[21], double unit, const char *unit_name)
{
    double u[21];
    for (size_t i = 0; i < 21; i++)
        u[i] = v[i] / unit;
    snprintf(texts->machine, sizeof texts->machine,
        "perpend: 1\nunit: %s\narm: %.17g\ngauge: {kind: dial, step: %.17g, rises: away}\n"
        "cutter: {diameter: %.17g}\nfacing: {stepover: %.17g, along: 30}\ngoal: {ridge: %.17g}\n"
        "mount: [{joint: plate, faces: front, allows: [shim, slide], bolts: [\n"
        "  {name: a, at: [-%.17g, %.17g, %.17g], thread: %.17g, hole: %.17g},\n"
        "  {name: b, at: [%.17g, %.17g, %.17g], thread: %.17g, hole: %.17g},\n"
        "  {name: c, at: [-%.17g, %.17g, %.17g], thread: M4},\n"
        "  {name: d, at: [%.17g, %.17g, %.17g], thread: M4}]}]\n"
        "stock: [{thick: %.17g, count: 20}]\n",
        unit_name, u[0], u[1], u[2], u[3], u[4], u[5], u[6], u[7], u[8], u[9], u[5], u[6], u[7],
        u[8], u[9], u[5], u[6], u[10], u[5], u[6], u[10], u[11]);
    char *end = texts->table + sprintf(texts->table, "at,reading\n");
    for (int i = 0; i < 8; i++)
        end += sprintf(end, "%d,%.17g\n", 45 * i, u[12 + i]);
}

static void mm_and_inch_give_one_answer(void **state)
{
    (void)state;
    /* arm, step, diameter, stepover, goal; bolts' side, back, up, thread, hole, lower up; leaf */
    static const double low[12] = {40, 0.005, 12, 2, 0.005, 15, 20, 150, 3, 4.2, 80, 0.02};
    static const double high[12] = {150, 0.05, 40, 8, 0.1, 60, 60, 250, 4, 6, 120, 0.3};
    struct test_random random = test_random_start("mm and inch", 20260104);
    for (int trial = 0; trial < 60; trial++) {
        struct case_texts mm, inch;
        double v[21] = {0}, right, back;
        for (size_t i = 0; i < 12; i++)
            v[i] = test_uniform(&random, low[i], high[i]);
        right = test_uniform(&random, -0.02, 0.02);
        back = test_uniform(&random, -0.02, 0.02);
        for (int i = 0; i < 8; i++)
            v[12 + i] = 5 -
                        v[0] * (right * sin(i * PERPEND_PI / 4) + back * cos(i * PERPEND_PI / 4)) +
                        v[1] * test_uniform(&random, -0.5, 0.5);
        write_case(&mm, v, 1.0, "mm");
        write_case(&inch, v, PERPEND_MM_PER_INCH, "in");
        json_t *in_mm = answer(mm.machine, mm.table), *in_inch = answer(inch.machine, inch.table);
        printf("# case %d\n", trial);
        same_json(in_mm, in_inch, "root");
        json_decref(in_mm);
        json_decref(in_inch);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_keys_stand_in_their_order),
        cmocka_unit_test(the_worked_figures),
        cmocka_unit_test(null_where_nothing_applies),
        cmocka_unit_test(what_is_not_a_number_is_null),
        cmocka_unit_test(the_locale_makes_no_difference),
        cmocka_unit_test(mm_and_inch_give_one_answer),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
