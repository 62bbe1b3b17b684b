/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sentences with slots: what is chosen and filled in. That every sentence is well formed, and what
   they all look like, is in tests/cli/sentences.py. */
#include <string.h>

#include "support/support.h"
#include "text/sentences.h"

static const struct words metric = {.unit = PERPEND_UNIT_MM, .width = 80, .utf8 = true};

static void assert_filled(const char *sentence, const struct slot *slots, const char *want)
{
    struct buffer phrase = {0};
    fill(&metric, &phrase, sentence, slots);
    assert_string_equal(buffer_text(&phrase), want);
    buffer_finish(&phrase);
}

static void slots_say_what_they_hold(void **state)
{
    (void)state;
    const struct perpend_facing facing = {.along = PERPEND_ALONG_X};
    assert_filled("No slot at~all.", NULL, "No slot at" WORDS_GLUE "all.");
    assert_filled("{ridge} {facing}; {name}: {count}, {share}, {text}",
        SLOTS(SLOT_RIDGE("ridge", 0.067), SLOT_FACING("facing", &facing),
            SLOT_NAME("name", "a\x1b"), SLOT_COUNT("count", 3), SLOT_NUMBER("share", 2.25, 1),
            SLOT_TEXT("text", "as it is")),
        "0.067" WORDS_GLUE "mm along" WORDS_GLUE "X; a?: 3, 2.2, as it is");
    assert_filled("{a}{b}{a}", SLOTS(SLOT_TEXT("b", "2"), SLOT_TEXT("a", "1")), "121");
    assert_filled("{ab} {a}", SLOTS(SLOT_TEXT("a", "1")), "{ab?} 1");
}

static void one_of_several_things_is_said(void **state)
{
    (void)state;
    static const char sentence[] = "<{it|one {n}|two {n|leaf|leaves}|three}>";
    static const char *const want[] = {"<one 1>", "<two leaf>", "<three>", "<>"};
    for (size_t i = 0; i < 4; i++)
        assert_filled(sentence, SLOTS(SLOT_CHOICE("it", i), SLOT_COUNT("n", 1)), want[i]);
    assert_filled(sentence, SLOTS(SLOT_IF("it", false), SLOT_COUNT("n", 0)), "<two leaves>");
    /* what is known or says something comes first */
    assert_filled("{x|yes|no}", SLOTS(SLOT_RIDGE("x", 0.0)), "yes");
    assert_filled("{x|yes|no}", SLOTS(SLOT_RIDGE("x", (double)NAN)), "no");
    assert_filled("{x|yes|no}", SLOTS(SLOT_TEXT("x", "")), "no");
    assert_filled("{x|yes|no}", SLOTS(SLOT_NAME("x", NULL)), "no");
    assert_filled("{x|{x}!}", SLOTS(SLOT_NAME("x", "Tern")), "Tern!");
    assert_filled("a{x|, {y|b|c} d}.", SLOTS(SLOT_IF("x", false), SLOT_IF("y", true)), "a.");
}

static void a_text_that_was_lost_is_noticed(void **state)
{
    (void)state;
    struct buffer lost = {.failed = true}, phrase = {0};
    fill(&metric, &phrase, "{x|{x}}", SLOTS(SLOT_TEXT("x", buffer_text(&lost))));
    assert_true(phrase.failed);
    buffer_finish(&phrase);
    fill(&metric, &phrase, "{x|{x}}", SLOTS(SLOT_TEXT("x", NULL)));
    assert_true(phrase.failed);
    buffer_finish(&phrase);
    struct words words = metric;
    say_and_finish(&words, "", &lost);
    assert_true(words.out.failed);
    buffer_finish(&words.out);
}

static void sentences_follow_one_another(void **state)
{
    (void)state;
    struct words words = metric;
    struct buffer phrase = {0};
    say_and_finish(&words, "", &phrase);
    assert_string_equal(buffer_text(&words.out), "");
    fill_next(&metric, &phrase, "One.", NULL);
    fill_next(&metric, &phrase, "Two.", NULL);
    say_and_finish(&words, "1. ", &phrase);
    assert_string_equal(buffer_text(&words.out), "1. One. Two.\n");
    buffer_finish(&words.out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(slots_say_what_they_hold),
        cmocka_unit_test(one_of_several_things_is_said),
        cmocka_unit_test(a_text_that_was_lost_is_noticed),
        cmocka_unit_test(sentences_follow_one_another),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
