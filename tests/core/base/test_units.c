/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers and lengths as people write them, under locales with other decimal signs as well. */
#include <float.h>
#include <string.h>

#include <perpend/status.h>
#include <perpend/units.h>

#include "support/support.h"

#include "support/locales.h"

#define UNTOUCHED (-1.23456789123e-7)

static const struct {
    const char *text;
    double value;
} good_numbers[] = {
    {"0", 0},
    {"1", 1},
    {"-1", -1},
    {"+1", 1},
    {"\xE2\x88\x92"
     "0.171",
        -0.171}, /* a typographic minus */
    {"0.5", 0.5},
    {"0,5", 0.5},
    {".5", 0.5},
    {",5", 0.5},
    {"5.", 5},
    {"0,234", 0.234},
    {"1,23", 1.23},
    {"1,2345", 1.2345},
    {"1234,567", 1234.567},
    {"0123,456", 123.456},
    {"  12.25\t", 12.25},
    {"1e3", 1000},
    {"1E-3", 0.001},
    {"1,5e+2", 150},
    {"000123", 123},
    {"0.1", 0.1},
    {"1e-400", 0},
    {"0e99999999999", 0},
    {"4.9e-324", 4.9e-324},
    {"1.7976931348623157e308", DBL_MAX},
    {"1/4", 0.25},
    {"-1/4", -0.25},
    {"1 1/2", 1.5},
    {"-1 1/2", -1.5},
    {"3/2", 1.5},
    {"0/7", 0},
    {"15/16", 0.9375},
    {"2   3/4", 2.75},
};

static const struct {
    const char *text;
    int status;
} bad_numbers[] = {
    {"", PERPEND_ERR_EMPTY},
    {"   \t ", PERPEND_ERR_EMPTY},
    {"1.2.3", PERPEND_ERR_NUMBER},
    {"1,2,3", PERPEND_ERR_NUMBER},
    {"1,234.5", PERPEND_ERR_NUMBER},
    {"1,234", PERPEND_ERR_COMMA},
    {"-12,000", PERPEND_ERR_COMMA},
    {"123,456", PERPEND_ERR_COMMA},
    {"1.234,5", PERPEND_ERR_NUMBER},
    {"1'234", PERPEND_ERR_NUMBER},
    {"1 234", PERPEND_ERR_NUMBER},
    {"nan", PERPEND_ERR_NUMBER},
    {"NaN", PERPEND_ERR_NUMBER},
    {"inf", PERPEND_ERR_NUMBER},
    {"-inf", PERPEND_ERR_NUMBER},
    {"infinity", PERPEND_ERR_NUMBER},
    {"0x10", PERPEND_ERR_NUMBER},
    {"0x1p-2", PERPEND_ERR_NUMBER},
    {"1p3", PERPEND_ERR_NUMBER},
    {"1e", PERPEND_ERR_NUMBER},
    {"1e+", PERPEND_ERR_NUMBER},
    {"1e5.5", PERPEND_ERR_NUMBER},
    {"e5", PERPEND_ERR_NUMBER},
    {".", PERPEND_ERR_NUMBER},
    {",", PERPEND_ERR_NUMBER},
    {"-", PERPEND_ERR_NUMBER},
    {"--1", PERPEND_ERR_NUMBER},
    {"- 1", PERPEND_ERR_NUMBER},
    {"+-1", PERPEND_ERR_NUMBER},
    {"1-", PERPEND_ERR_NUMBER},
    {"1/0", PERPEND_ERR_NUMBER},
    {"1/", PERPEND_ERR_NUMBER},
    {"/4", PERPEND_ERR_NUMBER},
    {"1/4/2", PERPEND_ERR_NUMBER},
    {"1.5/2", PERPEND_ERR_NUMBER},
    {"1/2.5", PERPEND_ERR_NUMBER},
    {"1 3/2", PERPEND_ERR_NUMBER},
    {"1 -1/2", PERPEND_ERR_NUMBER},
    {"1 /2", PERPEND_ERR_NUMBER},
    {"1234567890/2", PERPEND_ERR_NUMBER},
    {"one", PERPEND_ERR_NUMBER},
    {"5 mm", PERPEND_ERR_NUMBER},
    {"5\n", PERPEND_ERR_NUMBER},
    {"\xD9\xA5", PERPEND_ERR_NUMBER}, /* an Arabic five */
    {"\xFF", PERPEND_ERR_NUMBER},
    {"1e999", PERPEND_ERR_RANGE},
    {"-1e999", PERPEND_ERR_RANGE},
    {"1.8e308", PERPEND_ERR_RANGE},
    {"1e99999999999999999999", PERPEND_ERR_RANGE},
};

static const struct {
    const char *text;
    enum perpend_unit bare;
    double mm;
} good_lengths[] = {
    {"75", PERPEND_UNIT_MM, 75},
    {"3", PERPEND_UNIT_INCH, 76.2},
    {"5mm", PERPEND_UNIT_INCH, 5},
    {"5 mm", PERPEND_UNIT_INCH, 5},
    {" 0,05 mm ", PERPEND_UNIT_MM, 0.05},
    {"5 MM", PERPEND_UNIT_INCH, 5},
    {"6.5cm", PERPEND_UNIT_MM, 65},
    {"0,3 cm", PERPEND_UNIT_INCH, 3},
    {"1/4 CM", PERPEND_UNIT_MM, 2.5},
    {"50 um", PERPEND_UNIT_MM, 0.05},
    {"50 \xC2\xB5m", PERPEND_UNIT_MM, 0.05},
    {"50\xCE\xBCm", PERPEND_UNIT_MM, 0.05},
    {"1in", PERPEND_UNIT_MM, 25.4},
    {"1/4 in", PERPEND_UNIT_MM, 6.35},
    {"1 1/2 in", PERPEND_UNIT_MM, 38.1},
    {"-1/4in", PERPEND_UNIT_MM, -6.35},
    {"3\"", PERPEND_UNIT_MM, 76.2},
    {"1/2 \"", PERPEND_UNIT_MM, 12.7},
    {"3\xE2\x80\xB3", PERPEND_UNIT_MM, 76.2},
    {"2 thou", PERPEND_UNIT_MM, 0.0508},
    {"1e3 thou", PERPEND_UNIT_MM, 25.4},
    {"1e-3mm", PERPEND_UNIT_MM, 0.001},
};

static const struct {
    const char *text;
    int status;
} bad_lengths[] = {
    {"", PERPEND_ERR_EMPTY},
    {"mm", PERPEND_ERR_NUMBER},
    {"in 5", PERPEND_ERR_NUMBER},
    {"nan mm", PERPEND_ERR_NUMBER},
    {"1.2.3 mm", PERPEND_ERR_NUMBER},
    {"1,234.5 mm", PERPEND_ERR_NUMBER},
    {"5 - 3 mm", PERPEND_ERR_NUMBER},
    {"5 furlongs", PERPEND_ERR_UNIT},
    {"5 m", PERPEND_ERR_UNIT},
    {"5 dm", PERPEND_ERR_UNIT},
    {"5 c m", PERPEND_ERR_UNIT},
    {"5 mmm", PERPEND_ERR_UNIT},
    {"5 mm mm", PERPEND_ERR_UNIT},
    {"5 mm 3", PERPEND_ERR_UNIT},
    {"5 i n", PERPEND_ERR_UNIT},
    {"5%", PERPEND_ERR_UNIT},
    {"5'", PERPEND_ERR_UNIT},
    {"0x10", PERPEND_ERR_UNIT},
    {"5e mm", PERPEND_ERR_UNIT},
    {"5 \xC2m", PERPEND_ERR_UNIT},
    {"1e999 mm", PERPEND_ERR_RANGE},
    {"1e308 in", PERPEND_ERR_RANGE},
};

static void check_numbers(void)
{
    for (size_t i = 0; i < COUNT(good_numbers); i++) {
        double value = UNTOUCHED;
        int status = perpend_number_parse(good_numbers[i].text, &value);
        if (status != PERPEND_OK || value != good_numbers[i].value) {
            printf("# \"%s\": status %d, value %.17g\n", good_numbers[i].text, status, value);
            fail();
        }
    }
    for (size_t i = 0; i < COUNT(bad_numbers); i++) {
        double value = UNTOUCHED;
        int status = perpend_number_parse(bad_numbers[i].text, &value);
        if (status != bad_numbers[i].status || value != UNTOUCHED) {
            printf("# \"%s\": status %d, value %.17g\n", bad_numbers[i].text, status, value);
            fail();
        }
    }
}

static void check_lengths(void)
{
    for (size_t i = 0; i < COUNT(good_lengths); i++) {
        double mm = UNTOUCHED;
        int status = perpend_length_parse(good_lengths[i].text, good_lengths[i].bare, &mm);
        if (status != PERPEND_OK || fabs(mm - good_lengths[i].mm) > 2.0 * DBL_EPSILON * fabs(mm)) {
            printf("# \"%s\": status %d, %.17g mm\n", good_lengths[i].text, status, mm);
            fail();
        }
    }
    for (size_t i = 0; i < COUNT(bad_lengths); i++) {
        double mm = UNTOUCHED;
        int status = perpend_length_parse(bad_lengths[i].text, PERPEND_UNIT_MM, &mm);
        if (status != bad_lengths[i].status || mm != UNTOUCHED) {
            printf("# \"%s\": status %d, %.17g mm\n", bad_lengths[i].text, status, mm);
            fail();
        }
    }
}

static void numbers_are_read_strictly(void **state)
{
    (void)state;
    under_every_locale(check_numbers);
}

static void lengths_are_read_strictly(void **state)
{
    (void)state;
    under_every_locale(check_lengths);
}

/* Digits at random are read as the C library reads them, to the last bit. */
static void decimals_round_correctly(void **state)
{
    (void)state;
    struct test_random random = test_random_start("decimals round correctly", 1);
    for (int trial = 0; trial < 20000; trial++) {
        char text[160];
        size_t length = 0, digits = 1 + test_pick(&random, 60), point = test_pick(&random, digits);
        for (size_t i = 0; i < digits; i++) {
            if (i == point)
                text[length++] = '.';
            text[length++] = (char)('0' + test_pick(&random, 10));
        }
        snprintf(text + length, sizeof text - length, "e%d", (int)test_pick(&random, 640) - 330);
        double want = strtod(text, NULL), got = UNTOUCHED;
        int status = perpend_number_parse(text, &got);
        if (isfinite(want) ? status != PERPEND_OK || got != want : status != PERPEND_ERR_RANGE) {
            printf(
                "# case %d \"%s\": status %d, %.17g, want %.17g\n", trial, text, status, got, want);
            fail();
        }
    }
}

static void fractions_are_exact(void **state)
{
    (void)state;
    struct test_random random = test_random_start("fractions are exact", 2);
    for (int trial = 0; trial < 5000; trial++) {
        int whole = (int)test_pick(&random, 100), under = 2 + (int)test_pick(&random, 127);
        int over = 1 + (int)test_pick(&random, (size_t)under - 1);
        char text[40];
        double got;
        snprintf(text, sizeof text, "%d %d/%d", whole, over, under);
        assert_int_equal(perpend_number_parse(text, &got), PERPEND_OK);
        assert_true(got == (double)(whole * under + over) / under);
    }
}

static double random_double(struct test_random *random)
{
    double mantissa = test_uniform(random, -10.0, 10.0);
    return mantissa * pow(10.0, test_uniform(random, -8.0, 8.0));
}

static void check_formats(void)
{
    struct test_random random = {3};
    for (int trial = 0; trial < 5000; trial++) {
        double value = random_double(&random), back = UNTOUCHED;
        int decimals = (int)test_pick(&random, 18);
        char text[400];
        perpend_number_format(text, sizeof text, value, decimals);
        size_t plain = strspn(text, "-0123456789.");
        int status = perpend_number_parse(text, &back);
        double slack = 0.5000001 * pow(10.0, -decimals) + DBL_EPSILON * fabs(value);
        if (text[plain] != '\0' || status != PERPEND_OK || fabs(back - value) > slack) {
            printf("# case %d: %.17g with %d decimals is \"%s\"\n", trial, value, decimals, text);
            fail();
        }
        const char *point = strchr(text, '.');
        assert_int_equal(point == NULL ? 0 : (int)strlen(point + 1), decimals);
    }
}

static void numbers_print_and_read_back(void **state)
{
    (void)state;
    printf("# numbers print and read back: seed 3\n");
    under_every_locale(check_formats);
}

static void check_printed_text(void)
{
    static const struct {
        double value;
        int decimals;
        const char *text;
    } cases[] = {
        {0.0, 2, "0.00"},
        {-0.0, 2, "0.00"},
        {-0.004, 2, "0.00"},
        {-0.006, 2, "-0.01"},
        {0.125, 2, "0.12"}, /* a tie in binary goes to even */
        {-0.4, 0, "0"},
        {2.0 / 3.0, 3, "0.667"},
        {1234567.5, 1, "1234567.5"},
        {1.5, -3, "2"},
        {1.0, 17, "1.00000000000000000"},
        {0.1, 40, "0.10000000000000001"},
    };
    char text[400];
    for (size_t i = 0; i < COUNT(cases); i++)
        assert_string_equal(
            perpend_number_format(text, sizeof text, cases[i].value, cases[i].decimals),
            cases[i].text);
    perpend_number_format(text, sizeof text, -DBL_MAX, 17);
    assert_int_equal(strlen(text), 1 + 309 + 1 + 17);
}

static void numbers_print_with_a_point(void **state)
{
    (void)state;
    under_every_locale(check_printed_text);
}

static void printing_stays_inside_the_buffer(void **state)
{
    (void)state;
    char text[8] = "#######";
    perpend_number_format(text, 4, 123456.0, 2);
    assert_string_equal(text, "123");
    assert_int_equal(text[4], '#');
    perpend_number_format(text, 1, 5.0, 2);
    assert_string_equal(text, "");
    text[0] = '#';
    perpend_number_format(text, 0, 5.0, 2);
    assert_int_equal(text[0], '#');
}

static void endless_text_is_refused(void **state)
{
    (void)state;
    const size_t length = 1000000;
    char *text = malloc(length + 1);
    double value = UNTOUCHED;
    assert_non_null(text);
    for (const char *fill = "01.,/ -e\"mnN"; *fill != '\0'; fill++) {
        memset(text, *fill, length);
        text[length] = '\0';
        assert_true(perpend_number_parse(text, &value) != PERPEND_OK);
        assert_true(perpend_length_parse(text, PERPEND_UNIT_MM, &value) != PERPEND_OK);
        assert_true(perpend_bearing_parse(text, &value) != PERPEND_OK);
    }
    assert_true(value == UNTOUCHED);
    memset(text, ' ', length); /* a number with a long way to it is still one */
    text[length - 1] = '7';
    assert_int_equal(perpend_number_parse(text, &value), PERPEND_OK);
    assert_true(value == 7.0);
    free(text);
}

/* Text at random, biased to what numbers are made of: no crash, a known status, and a value only
   with PERPEND_OK. */
static void any_text_is_safe(void **state)
{
    (void)state;
    static const char alphabet[] =
        "0123456789..,,//  --+eEmMuintho\"\xC2\xB5\xB0\xE2\x88\x92\xFFNSEWx";
    struct test_random random = test_random_start("any text is safe", 4);
    for (int trial = 0; trial < 200000; trial++) {
        char text[24];
        size_t length = test_pick(&random, sizeof text);
        for (size_t i = 0; i < length; i++)
            text[i] = alphabet[test_pick(&random, sizeof alphabet - 1)];
        text[length] = '\0';
        double value[3] = {UNTOUCHED, UNTOUCHED, UNTOUCHED};
        int status[3] = {perpend_number_parse(text, &value[0]),
            perpend_length_parse(text, PERPEND_UNIT_INCH, &value[1]),
            perpend_bearing_parse(text, &value[2])};
        for (int i = 0; i < 3; i++) {
            bool ok = status[i] == PERPEND_OK
                          ? isfinite(value[i]) && value[i] != UNTOUCHED
                          : ((status[i] <= PERPEND_ERR_EMPTY && status[i] >= PERPEND_ERR_NAME) ||
                                status[i] == PERPEND_ERR_COMMA) &&
                                value[i] == UNTOUCHED;
            if (!ok) {
                printf(
                    "# case %d \"%s\": status %d, value %.17g\n", trial, text, status[i], value[i]);
                fail();
            }
        }
        if (status[0] == PERPEND_OK) /* a bare number is a length as well, in its unit */
            assert_relative(value[1], value[0] * PERPEND_MM_PER_INCH, 4.0 * DBL_EPSILON);
    }
}

/* Every status has words of its own, and any number is safe. */
static void every_status_has_words(void **state)
{
    (void)state;
    for (int one = PERPEND_OK; one >= PERPEND_ERR_COMMA; one--) {
        const char *words = perpend_status_text(one);
        assert_true(words[0] != '\0');
        assert_string_not_equal(words, perpend_status_text(1));
        for (int other = PERPEND_OK; other > one; other--)
            assert_string_not_equal(words, perpend_status_text(other));
    }
    assert_string_equal(perpend_status_text(PERPEND_ERR_COMMA - 1), perpend_status_text(1));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_are_read_strictly),
        cmocka_unit_test(lengths_are_read_strictly),
        cmocka_unit_test(decimals_round_correctly),
        cmocka_unit_test(fractions_are_exact),
        cmocka_unit_test(numbers_print_and_read_back),
        cmocka_unit_test(numbers_print_with_a_point),
        cmocka_unit_test(printing_stays_inside_the_buffer),
        cmocka_unit_test(endless_text_is_refused),
        cmocka_unit_test(any_text_is_safe),
        cmocka_unit_test(every_status_has_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
