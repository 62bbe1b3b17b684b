/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/support.h"

#include <stdbool.h>
#include <string.h>

#include "files/buffer.h"
#include "text/escape.h"
#include "text/about.h"
#include "text/words.h"

static const struct words metric = {.unit = PERPEND_UNIT_MM, .width = 80, .utf8 = true};
static const struct words inches = {.unit = PERPEND_UNIT_INCH, .width = 80, .utf8 = true};

/* The phrase as it would be read, the glue as a blank. */
static const char *spoken(struct buffer *phrase)
{
    static char text[512];
    snprintf(text, sizeof text, "%s", buffer_text(phrase));
    for (char *c = text; *c; c++)
        if (*c == WORDS_GLUE[0])
            *c = ' ';
    buffer_clear(phrase);
    return text;
}

static void buffer_grows_and_keeps_every_byte(void **state)
{
    (void)state;
    struct buffer buffer = {0};
    assert_string_equal(buffer_text(&buffer), "");
    for (int i = 0; i < 5000; i++)
        buffer_addf(&buffer, "%04d", i);
    assert_int_equal(buffer.length, 20000);
    assert_false(buffer.failed);
    for (int i = 0; i < 5000; i++) {
        char digits[8];
        snprintf(digits, sizeof digits, "%04d", i);
        assert_memory_equal(buffer_text(&buffer) + 4 * i, digits, 4);
    }
    buffer_clear(&buffer);
    assert_string_equal(buffer_text(&buffer), "");
    buffer_add_number(&buffer, -1234.5678, 2);
    assert_string_equal(buffer_text(&buffer), "-1234.57");
    buffer_finish(&buffer);
    buffer_finish(&buffer);
    buffer_finish(NULL);
    buffer_add(&buffer, "one");
    buffer_add_character(&buffer, 0x2212);
    char *taken = buffer_take(&buffer);
    assert_string_equal(taken, "one−");
    free(taken);
    taken = buffer_take(&buffer);
    assert_string_equal(taken, "");
    free(taken);
    buffer_add(&buffer, NULL); /* what was lost on the way */
    assert_true(buffer.failed);
    assert_null(buffer_take(&buffer));
    assert_false(buffer.failed);
}

/* JCGM 100:2008, 7.2.6: an uncertainty is stated to at most two significant digits. */
static void an_uncertainty_has_one_or_two_digits(void **state)
{
    (void)state;
    struct test_random random = test_random_start("words_decimals", 31);
    for (int i = 0; i < 20000; i++) {
        double u = pow(10.0, test_uniform(&random, -5.0, 2.0));
        int decimals = words_decimals(u);
        char text[64];
        perpend_number_format(text, sizeof text, u, decimals);
        size_t digits = 0;
        for (const char *c = text; *c; c++)
            digits += *c >= '0' && *c <= '9' && (digits > 0 || *c != '0');
        /* without decimals there is nothing left to cut, at six the screen ends */
        bool good = decimals == 0 || decimals == 6 ? digits <= 3 : digits >= 1 && digits <= 2;
        /* one digit only where it says enough: 4 to 9, so the rounding is at most 1/8 of it */
        good = good && (decimals == 6 || fabs(strtod(text, NULL) - u) <= 0.13 * u);
        if (!good) {
            printf("# case %d: %.17g printed as %s\n", i, u, text);
            fail();
        }
    }
}

static void values_are_rounded_to_their_uncertainty(void **state)
{
    (void)state;
    struct buffer phrase = {0};
    words_plus_minus(&metric, &phrase, WORDS_SLOPE, 0.0066666, 0.00035);
    assert_string_equal(spoken(&phrase), "6.67 ± 0.35 mm/m");
    words_plus_minus(&metric, &phrase, WORDS_SLOPE, 0.0066666, 0.00043);
    assert_string_equal(spoken(&phrase), "6.7 ± 0.4 mm/m");
    words_plus_minus(&inches, &phrase, WORDS_SLOPE, 0.0066666, 0.00035);
    assert_string_equal(spoken(&phrase), "80 ± 4 thou/ft");
    words_ridge_range(&metric, &phrase, 0.06667, 0.0622, 0.0711);
    assert_string_equal(spoken(&phrase), "0.067 mm (0.062 to 0.071)");
    words_ridge_range(&inches, &phrase, 0.0254, 0.02286, 0.02794);
    assert_string_equal(spoken(&phrase), "1.0 thou (0.9 to 1.1)");
    words_ridge_range(&metric, &phrase, 0.0, 0.0, 0.002);
    assert_string_equal(spoken(&phrase), "under 0.001 mm (0.000 to 0.002)");
    words_ridge_range(&metric, &phrase, 0.06667, 0.0609, 0.0685);
    assert_string_equal(spoken(&phrase), "0.067 mm (0.061 to 0.069)");
    words_ridge_range(&metric, &phrase, 0.01, 0.01, 0.01);
    assert_string_equal(spoken(&phrase), "0.010 mm (0.010 to 0.010)");
    words_ridge(&metric, &phrase, 0.0081);
    assert_string_equal(spoken(&phrase), "0.008 mm");
    words_ridge(&metric, &phrase, 1e-5);
    assert_string_equal(spoken(&phrase), "under 0.001 mm");
    words_ridge(&metric, &phrase, 0.0006);
    assert_string_equal(spoken(&phrase), "0.001 mm");
    words_ridge(&inches, &phrase, 0.0081);
    assert_string_equal(spoken(&phrase), "0.32 thou");
    words_ridge(&inches, &phrase, 0.0001);
    assert_string_equal(spoken(&phrase), "under 0.01 thou");
    words_ridge(&inches, &phrase, 0.0253);
    assert_string_equal(spoken(&phrase), "1.0 thou");
    words_ridge_range(&inches, &phrase, 0.0081, 0.0078, 0.0086);
    assert_string_equal(spoken(&phrase), "0.32 thou (0.31 to 0.34)");
    words_rounded(&metric, &phrase, WORDS_SMALL, 0.53333, 0.04);
    assert_string_equal(spoken(&phrase), "0.53 mm");
    words_rounded(&metric, &phrase, WORDS_SMALL, 0.00801, 0.0);
    assert_string_equal(spoken(&phrase), "0.0080 mm");
    words_rounded(&metric, &phrase, WORDS_SMALL, 0.0, 0.0);
    assert_string_equal(spoken(&phrase), "0.00 mm");
    words_plus_minus(&metric, &phrase, WORDS_SLOPE, -1e-9, 0.0003);
    assert_string_equal(spoken(&phrase), "0.00 ± 0.30 mm/m");
    buffer_finish(&phrase);
}

static void stated_numbers_keep_their_digits(void **state)
{
    (void)state;
    struct buffer phrase = {0};
    words_stated(&metric, &phrase, WORDS_SMALL, 0.02);
    assert_string_equal(spoken(&phrase), "0.02 mm");
    words_stated(&metric, &phrase, WORDS_LARGE, 100.0);
    assert_string_equal(spoken(&phrase), "100 mm");
    words_stated(&inches, &phrase, WORDS_LARGE, 22.225);
    assert_string_equal(spoken(&phrase), "0.875 in");
    words_stated(&inches, &phrase, WORDS_SMALL, 0.0254);
    assert_string_equal(spoken(&phrase), "1 thou");
    /* stated in the other unit: three digits, and no finer than anybody measures */
    static const struct {
        const struct words *words;
        enum words_kind kind;
        double mm;
        const char *want;
    } other[] = {
        {&inches, WORDS_SMALL, 0.1, "3.94 thou"},
        {&inches, WORDS_SMALL, 0.2, "7.87 thou"},
        {&inches, WORDS_SMALL, 1.0, "39.37 thou"},
        {&inches, WORDS_LARGE, 6.0, "0.236 in"},
        {&inches, WORDS_LARGE, 0.8, "0.0315 in"},
        {&metric, WORDS_SMALL, 0.396875, "0.397 mm"},
        {&metric, WORDS_LARGE, 254.0 / 3.0, "84.67 mm"},
        {&metric, WORDS_SMALL, 0.0001, "0.0001 mm"},
    };
    for (size_t i = 0; i < sizeof other / sizeof other[0]; i++) {
        words_stated(other[i].words, &phrase, other[i].kind, other[i].mm);
        assert_string_equal(spoken(&phrase), other[i].want);
    }
    buffer_finish(&phrase);
}

static void readings_have_the_decimals_of_the_gauge(void **state)
{
    (void)state;
    struct buffer phrase = {0};
    words_reading(&metric, &phrase, 1.0, 0.05);
    assert_string_equal(spoken(&phrase), "1.00");
    words_reading(&metric, &phrase, -0.0004, 0.001);
    assert_string_equal(spoken(&phrase), "0.000");
    words_reading(&metric, &phrase, 12.3, 1.0);
    assert_string_equal(spoken(&phrase), "12");
    words_reading(&metric, &phrase, 0.5, 0.016);
    assert_string_equal(spoken(&phrase), "0.500");
    words_reading(&inches, &phrase, 0.0127, 0.0127);
    assert_string_equal(spoken(&phrase), "0.0005");
    buffer_finish(&phrase);
}

/* The angle between two bearings, degrees. */
static double apart(double one, double other)
{
    return fabs(remainder(one - other, 360.0));
}

/* All round and beyond: a name within a quarter of a degree, or degrees from 0 to under 360 beside the
   nearest name. */
static void every_bearing_is_said_as_what_it_is_nearest(void **state)
{
    (void)state;
    struct buffer phrase = {0};
    for (int tenths = -3600; tenths <= 7200; tenths++) {
        char label[WORDS_LABEL];
        double degrees = tenths / 10.0, named, said = -1.0;
        words_bearing(&phrase, perpend_radians(degrees));
        const char *text = spoken(&phrase), *name = strstr(text, "the ");
        assert_non_null(name);
        snprintf(label, sizeof label, "%.*s", (int)strcspn(name + 4, ")"), name + 4);
        assert_int_equal(perpend_bearing_parse(label, &named), PERPEND_OK);
        bool by_name = name == text;
        if (!by_name)
            assert_int_equal(sscanf(text, "%lf", &said), 1);
        assert_true(by_name || (said >= 0.0 && said < 360.0));
        assert_true(apart(degrees, by_name ? perpend_degrees(named) : said) <= 0.2500001);
        assert_true(apart(degrees, perpend_degrees(named)) <= 22.7500001);
        assert_null(
            strstr(words_bearing_label(label, sizeof label, perpend_radians(degrees)), "360"));
    }
    buffer_finish(&phrase);
}

static void chances_bearings_and_feeds_are_in_plain_words(void **state)
{
    (void)state;
    struct buffer phrase = {0};
    words_chance(&phrase, 0.0);
    assert_string_equal(spoken(&phrase), "less than 1 chance in 100");
    words_chance(&phrase, 0.011);
    assert_string_equal(spoken(&phrase), "about 1 chance in 100");
    words_chance(&phrase, 0.796);
    assert_string_equal(spoken(&phrase), "about 80 chances in 100");
    words_chance(&phrase, 1.0);
    assert_string_equal(spoken(&phrase), "more than 99 chances in 100");
    words_bearing(&phrase, PERPEND_PI);
    assert_string_equal(spoken(&phrase), "the front");
    words_bearing(&phrase, perpend_radians(37.2));
    assert_string_equal(spoken(&phrase), "37° (near the back-right)");
    char label[WORDS_LABEL];
    const char *const labels[] = {"front", "37.2°", "11.25°", "300°"};
    const double labelled[] = {180.0, 37.2, 11.25, 300.0};
    for (size_t i = 0; i < 4; i++)
        assert_string_equal(
            words_bearing_label(label, sizeof label, perpend_radians(labelled[i])), labels[i]);
    words_feed(&phrase, perpend_radians(270.0));
    assert_string_equal(spoken(&phrase), "X");
    words_feed(&phrase, perpend_radians(179.9));
    assert_string_equal(spoken(&phrase), "Y");
    words_feed(&phrase, perpend_radians(22.6));
    assert_string_equal(spoken(&phrase), "bearing 23°");
    for (size_t i = 0; i < 3; i++) {
        words_list_mark(&phrase, i, 3);
        buffer_add(&phrase, "x");
    }
    assert_string_equal(spoken(&phrase), "x, x and x");
    buffer_finish(&phrase);
}

static void arms_and_gauges_are_ones_that_people_have(void **state)
{
    (void)state;
    struct buffer phrase = {0};
    words_gauge_step(&metric, &phrase, 0.0371);
    assert_string_equal(spoken(&phrase), "0.02 mm");
    words_gauge_step(&inches, &phrase, 0.0371); /* 1.46 thou */
    assert_string_equal(spoken(&phrase), "1 thou");
    words_arm(&metric, &phrase, 111.2);
    assert_string_equal(spoken(&phrase), "115 mm");
    words_arm(&inches, &phrase, 111.2); /* 4.38 in */
    assert_string_equal(spoken(&phrase), "4.5 in");
    buffer_finish(&phrase);
}

static void a_difference_is_one_that_the_gauge_shows(void **state)
{
    (void)state;
    assert_true(fabs(agree_shown(0.244, 0.05) - 0.2) < 1e-12);
    assert_true(fabs(agree_shown(0.3, 0.05) - 0.3) < 1e-12); /* which 0.3 / 0.05 falls short of */
    assert_true(fabs(agree_shown(0.04, 0.05) - 0.04) < 1e-12);
}

static void names_cannot_move_the_cursor(void **state)
{
    (void)state;
    struct buffer name = {0};
    words_name(&name, "a\x1b[2Jb\nc\x7f\xc2\x9b"
                      "d\xe2\x80\xae"
                      "e");
    assert_string_equal(spoken(&name), "a?[2Jb?c??d?e");
    words_name(&name, "caf\xc3\xa9 \xe8\x88\xb9");
    assert_string_equal(spoken(&name), "caf\xc3\xa9 \xe8\x88\xb9");
    words_name(&name, "\xff\xc3(\xe2\x82");
    assert_string_equal(spoken(&name), "?"
                                       "?(?"
                                       "?");
    words_name(&name, NULL);
    assert_string_equal(spoken(&name), "");
    buffer_finish(&name);
    char *clean = clean_text("\n a\x1b\nb\xff\xe2\x80\xae\xe2\x80\xa8 ");
    assert_string_equal(clean, "a \nb\xef\xbf\xbd");
    free(clean);
    clean = isolated_name(" a\nb ");
    assert_string_equal(clean, ISOLATE_FIRST "a b" ISOLATE_END);
    free(clean);
}

static void columns_count_wide_and_combining_characters(void **state)
{
    (void)state;
    assert_int_equal(words_columns("0.05 mm"), 7);
    assert_int_equal(words_columns("±0.3°"), 5);
    assert_int_equal(words_columns("e\xcc\x81"), 1);                /* e with a combining acute */
    assert_int_equal(words_columns("\xe8\x88\xb9\xe5\xba\xab"), 4); /* two ideographs */
    assert_int_equal(
        words_columns("\xe0\xa4\x95\xe0\xa4\xbe"), 2); /* a mark with room of its own */
    assert_int_equal(words_columns("\xe1\x84\x92\xe1\x85\xa1\xe1\x86\xab"), 2); /* one syllable */
    assert_int_equal(words_columns("a\xff\xe2\x80\x8b"), 2); /* broken; a space of no width */
}

static void ascii_screens_get_ascii(void **state)
{
    (void)state;
    struct words plain = metric;
    plain.utf8 = false;
    struct buffer out = {0};
    words_encode(&plain, &out, "6.7 ± 0.4, 4 × 0.05, 37°, ┌─┐│└┘, caf\xc3\xa9, e\xcc\x81");
    assert_string_equal(buffer_text(&out), "6.7 +/- 0.4, 4 x 0.05, 37 deg, +-+|++, caf?, e");
    struct test_random random = test_random_start("words_encode", 32);
    for (int i = 0; i < 2000; i++) {
        char bytes[41];
        size_t length = test_pick(&random, 40);
        for (size_t k = 0; k < length; k++)
            bytes[k] = (char)(1 + test_pick(&random, 255));
        bytes[length] = '\0';
        buffer_clear(&out);
        words_encode(&plain, &out, bytes);
        for (size_t k = 0; k < out.length; k++)
            assert_true((unsigned char)out.bytes[k] < 0x80);
    }
    buffer_finish(&out);
}

/* The words of a text without its blanks, to compare what went in with what came out. */
static void squeeze(const char *text, char *out)
{
    for (; *text; text++)
        if (*text != ' ' && *text != '\n' && *text != WORDS_GLUE[0])
            *out++ = *text;
    *out = '\0';
}

static void wrapped_lines_fit_and_lose_nothing(void **state)
{
    (void)state;
    static const char *const bits[] = {"lean",
        "6.7" WORDS_GLUE "±" WORDS_GLUE "0.4" WORDS_GLUE "mm/m", "\xe8\x88\xb9\xe5\xba\xab", "a",
        "unreasonably-long-name-of-a-bolt", "ridge,", "°"};
    struct test_random random = test_random_start("words_wrap", 33);
    for (int i = 0; i < 3000; i++) {
        struct buffer text = {0}, out = {0};
        size_t count = test_pick(&random, 60);
        unsigned width = 12 + (unsigned)test_pick(&random, 69);
        static const char *const leads[] = {"", "1. ", "   "};
        const char *lead = leads[test_pick(&random, 3)];
        for (size_t k = 0; k < count; k++) {
            buffer_add(&text, k == 0 ? "" : test_pick(&random, 20) == 0 ? "\n" : " ");
            buffer_add(&text, bits[test_pick(&random, sizeof bits / sizeof bits[0])]);
        }
        words_wrap(&metric, &out, width, lead, buffer_text(&text));
        char went_in[4096], came_out[4096];
        struct buffer whole = {0};
        buffer_add(&whole, lead);
        buffer_add(&whole, buffer_text(&text));
        squeeze(buffer_text(&whole), went_in);
        squeeze(buffer_text(&out), came_out);
        bool good = strcmp(went_in, came_out) == 0;
        for (const char *line = buffer_text(&out); *line && good;) {
            char one[512];
            size_t length = strcspn(line, "\n");
            snprintf(one, sizeof one, "%.*s", (int)length, line);
            good = words_columns(one) <= width &&
                   (length == 0 || line[length - 1] != ' ' || strcmp(one, lead) == 0);
            line += length + 1;
        }
        if (!good) {
            printf("# case %d, width %u, lead '%s':\n%s\n", i, width, lead, buffer_text(&out));
            fail();
        }
        buffer_finish(&whole);
        buffer_finish(&text);
        buffer_finish(&out);
    }
}

static void glue_holds_a_number_to_its_unit(void **state)
{
    (void)state;
    struct buffer out = {0};
    words_wrap(&metric, &out, 20, "- ", "the top leans 6.67" WORDS_GLUE "mm/m back");
    assert_string_equal(buffer_text(&out), "- the top leans\n  6.67 mm/m back\n");
    buffer_finish(&out);
}

static void gaps_are_single(void **state)
{
    (void)state;
    struct words words = metric;
    words_gap(&words);
    words_paragraph(&words, "", "one");
    words_gap(&words);
    words_gap(&words);
    words_paragraph(&words, "", "two");
    assert_string_equal(buffer_text(&words.out), "one\n\ntwo\n");
    buffer_finish(&words.out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(buffer_grows_and_keeps_every_byte),
        cmocka_unit_test(an_uncertainty_has_one_or_two_digits),
        cmocka_unit_test(values_are_rounded_to_their_uncertainty),
        cmocka_unit_test(stated_numbers_keep_their_digits),
        cmocka_unit_test(readings_have_the_decimals_of_the_gauge),
        cmocka_unit_test(every_bearing_is_said_as_what_it_is_nearest),
        cmocka_unit_test(chances_bearings_and_feeds_are_in_plain_words),
        cmocka_unit_test(arms_and_gauges_are_ones_that_people_have),
        cmocka_unit_test(a_difference_is_one_that_the_gauge_shows),
        cmocka_unit_test(names_cannot_move_the_cursor),
        cmocka_unit_test(columns_count_wide_and_combining_characters),
        cmocka_unit_test(ascii_screens_get_ascii),
        cmocka_unit_test(wrapped_lines_fit_and_lose_nothing),
        cmocka_unit_test(glue_holds_a_number_to_its_unit),
        cmocka_unit_test(gaps_are_single),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
