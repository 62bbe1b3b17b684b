/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Leaves in words: either order, every sign, with and without blanks. */
#include "support/support.h"

#include <string.h>

#include "cli/prompt/amounts.h"

#define CASES 2000

static const char *const times[] = {"x", "X", "*", "×"};
static const char *const blanks[] = {"", " "};

static void either_order_says_the_same(void **state)
{
    (void)state;
    struct test_random random = test_random_start("either order says the same", 20260811);
    for (int i = 0; i < CASES; i++) {
        unsigned count = 1 + (unsigned)(test_random_bits(&random) % 40);
        unsigned hundredths = 1 + (unsigned)(test_random_bits(&random) % 99);
        const char *sign = times[test_random_bits(&random) % 4];
        const char *left = blanks[test_random_bits(&random) % 2];
        const char *right = blanks[test_random_bits(&random) % 2];
        const char *unit = test_random_bits(&random) % 2 == 0 ? "" : " mm";
        const char *name = test_random_bits(&random) % 2 == 0 ? "" : "box of brass";
        enum leaves_first first =
            test_random_bits(&random) % 2 == 0 ? LEAVES_THICK_FIRST : LEAVES_COUNT_FIRST;
        char texts[2][80];
        char point = test_random_bits(&random) % 2 == 0 ? '.' : ',';
        snprintf(texts[0], sizeof texts[0], "%u%s%s%s0%c%02u%s%s%s", count, left, sign, right,
            point, hundredths, unit, name[0] != '\0' ? " " : "", name);
        snprintf(texts[1], sizeof texts[1], "0%c%02u%s%s%s%s%u%s%s", point, hundredths, unit, left,
            sign, right, count, name[0] != '\0' ? " " : "", name);
        for (int order = 0; order < 2; order++) {
            struct leaves leaves = {.count = 0};
            bool read = leaves_parse(texts[order], PERPEND_UNIT_MM, first, &leaves);
            if (!read || leaves.count != count || fabs(leaves.thick - hundredths / 100.0) > 1e-12 ||
                strcmp(leaves.name, name) != 0)
                print_message("# case %d: \"%s\"\n", i, texts[order]);
            assert_true(read);
            assert_int_equal(leaves.count, count);
            assert_true(fabs(leaves.thick - hundredths / 100.0) <= 1e-12);
            assert_string_equal(leaves.name, name);
        }
    }
}

static void two_whole_numbers_go_by_the_usual_order(void **state)
{
    (void)state;
    struct leaves leaves;
    assert_true(leaves_parse("2 x 3", PERPEND_UNIT_MM, LEAVES_THICK_FIRST, &leaves));
    assert_int_equal(leaves.count, 3);
    assert_true(leaves_parse("2 x 3", PERPEND_UNIT_MM, LEAVES_COUNT_FIRST, &leaves));
    assert_int_equal(leaves.count, 2);
    /* a unit says which is the thickness */
    assert_true(leaves_parse("2 x 3 thou shim", PERPEND_UNIT_MM, LEAVES_THICK_FIRST, &leaves));
    assert_int_equal(leaves.count, 2);
    assert_true(fabs(leaves.thick - 0.0762) < 1e-12);
    assert_string_equal(leaves.name, "shim");
    assert_true(leaves_parse("2 thou x 3", PERPEND_UNIT_MM, LEAVES_COUNT_FIRST, &leaves));
    assert_int_equal(leaves.count, 3);
    assert_true(leaves_parse("0.002x8", PERPEND_UNIT_INCH, LEAVES_COUNT_FIRST, &leaves));
    assert_true(fabs(leaves.thick - 0.0508) < 1e-12);
}

static void what_is_not_leaves_is_refused(void **state)
{
    (void)state;
    static const char *const wrong[] = {"", "x", "×", "0.05", "0.05 x", "x 8", "0.05 x 0.5",
        "0.05 x many", "8 x foil", "8 brass x 0.05", "0.05 mm x 8 mm", "0 x 0.05", "0.05 x 0",
        "1001 x 0.05", "2 x 26", "26 x 2 ", "0.05 x -8", "1/2 x 1/4", "99999999999999999999 x 0.1"};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        struct leaves leaves;
        bool read = leaves_parse(wrong[i], PERPEND_UNIT_MM,
            wrong[i][0] == '2' && wrong[i][1] == ' ' ? LEAVES_COUNT_FIRST : LEAVES_THICK_FIRST,
            &leaves);
        if (read)
            print_message("# \"%s\"\n", wrong[i]);
        assert_false(read);
    }
}

static void turns_as_people_say_them(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        double turns; /* NAN: none */
    } cases[] = {
        {"0.25", 0.25},
        {"1/4", 0.25},
        {"1 1/2", 1.5},
        {"1/4 turn", 0.25},
        {"0.86 turn in", 0.86},
        {"2 turns out", -2},
        {"0.25 out", -0.25},
        {"-0.25", -0.25},
        {"0,5 in", 0.5},
        {"90°", 0.25},
        {"90 deg", 0.25},
        {"180deg out", -0.5},
        {"0.86 turn in (308°)", 0.86},
        {"0.50 turn out (180 deg) ", -0.5},
        {"0.25 (1/4)", 0.25},
        {"0.86 turn in (90°)", NAN},
        {"0.86 turn in ()", NAN},
        {"0.86 turn in (308°", NAN},
        {"0.86 turn in 308°)", NAN},
        {"0.86 turn )308°(", NAN},
        {"(308°)", NAN},
        {"1 (1 (1))", NAN},
        {"0.86 (308°) in", NAN},
        {"0", 0},
        {"50", 50},
        {"51", NAN},
        {"", NAN},
        {"in", NAN},
        {"turn", NAN},
        {"a turn", NAN},
        {"0.5 mm", NAN},
        {"0.5 in mm", NAN},
        {"nan", NAN},
        {"inf turns", NAN},
        {"1e999 turns", NAN},
        {"0.25000000000000000000000000000000000000000000000000000000000000000000000 out", NAN},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double turns = NAN;
        struct perpend_amount amount;
        bool good = amount_parse(cases[i].text, PERPEND_AMOUNT_TURNS, PERPEND_UNIT_MM, &amount);
        turns = amount.value;
        if (good != !isnan(cases[i].turns) || (good && fabs(turns - cases[i].turns) > 1e-15))
            fail_msg("\"%s\": %d, %g", cases[i].text, good, turns);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(turns_as_people_say_them),
        cmocka_unit_test(either_order_says_the_same),
        cmocka_unit_test(two_whole_numbers_go_by_the_usual_order),
        cmocka_unit_test(what_is_not_leaves_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
