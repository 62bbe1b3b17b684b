/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The report: pages on which nothing overlaps or is cut, and three formats that say the same. */
#include "support/support.h"

#include <string.h>

#include "report/pages.h"
#include "support/report_case.h"

static const struct report_note note = {
    "2026-05-06 19:02", "crash", "ran into a clamp\nand out again, \xe2\x80\xaelisten"};

static const struct report_case cases[] = {
    {.name = "Tern", .rounds = 1, .readings = 4},
    {.name = "Tern", .rounds = 3, .readings = 64, .inch = true},
    {.name = "Tern", .rounds = 30, .readings = 8, .both_ways = true},
    {.name = LONG, .rounds = 3, .readings = 8, .two_joints = true},
    {.name = WIDE, .rounds = 3, .readings = 4},
    {.name = HEBREW, .rounds = 3, .readings = 4, .two_joints = true},
    {.name = CHINESE, .rounds = 3, .readings = 4},
    {.name = NASTY, .rounds = 1, .readings = 4},
};

static void pages_are_clear(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(cases); i++) {
        struct report_job made;
        report_job_make(&cases[i], &made);
        const struct report_input input = report_input_of(&cases[i], &made, &note);
        struct document *document = report_build(&input);
        for (int paper = PAPER_A4; paper <= PAPER_LETTER; paper++) {
            struct pages *pages = pages_create(document, (enum paper)paper);
            assert_in_range(pages->pages->len, 3, 60);
            for (guint page = 0; page < pages->pages->len; page++) {
                const struct figure *figure = g_ptr_array_index(pages->pages, page);
                size_t first;
                size_t second;
                struct box box;
                if (figure_overlap(figure, &first, &second)) {
                    const char *text = figure_text_at(figure, first, &box);
                    printf("# case %zu, paper %d, page %u: '%s' (%.1f %.1f %.1f %.1f)\n", i, paper,
                        page + 1, text, box.x, box.y, box.width, box.height);
                    text = figure_text_at(figure, second, &box);
                    printf("# '%s' (%.1f %.1f %.1f %.1f)\n", text, box.x, box.y, box.width,
                        box.height);
                    fail();
                }
                for (size_t k = 0; k < figure_text_count(figure); k++) { /* in the margins */
                    figure_text_at(figure, k, &box);
                    assert_true(box.x > 50 && box.x + box.width < pages->width - 50);
                    assert_true(box.y > 50 && box.y + box.height < pages->height - 25);
                }
            }
            pages_destroy(pages);
        }
        document_destroy(document);
        report_job_finish(&made);
    }
}

/* one text after the other without blanks, names' isolate marks or signs of wrapping */
static char *squeezed(const char *text)
{
    GString *out = g_string_new(NULL);
    for (const char *at = text; *at != '\0'; at = g_utf8_next_char(at)) {
        const gunichar c = g_utf8_get_char(at);
        if (!g_unichar_isspace(c) && c != 0x2068 && c != 0x2069)
            g_string_append_unichar(out, c);
    }
    return g_string_free(out, FALSE);
}

static void assert_said(const char *squeezed_text, const char *wanted, const char *where)
{
    char *part = squeezed(wanted);
    if (strstr(squeezed_text, part) == NULL)
        fail_msg("the %s does not say '%s'", where, wanted);
    g_free(part);
}

static char *pages_text(const struct document *document)
{
    GString *text = g_string_new(NULL);
    struct pages *pages = pages_create(document, PAPER_A4);
    for (guint i = 0; i < pages->pages->len; i++) {
        const struct figure *page = g_ptr_array_index(pages->pages, i);
        for (size_t k = 0; k + 2 < figure_text_count(page); k++) { /* the foot is the last two */
            struct box box;
            g_string_append(text, figure_text_at(page, k, &box));
        }
    }
    pages_destroy(pages);
    char *plain = squeezed(text->str);
    g_string_free(text, TRUE);
    return plain;
}

/* every heading, paragraph, item, name and value is in the pages and in the text; a figure's caption
   where the figure is, and in the text what is said in its place */
static void every_word_is_in_every_format(void **state)
{
    (void)state;
    for (size_t i = 0; i < 4; i++) {
        struct report_job made;
        report_job_make(&cases[i], &made);
        const struct report_input input = report_input_of(&cases[i], &made, &note);
        struct document *document = report_build(&input);
        GString *lines = document_text(document);
        GString *html = document_html(document);
        char *text = squeezed(lines->str);
        char *paged = pages_text(document);
        g_string_replace(html, "&#39;", "'", 0);
        g_string_replace(html, "<bdi>", "", 0);
        g_string_replace(html, "</bdi>", "", 0);
        char *page = squeezed(html->str);
        for (guint k = 0; k < document->blocks->len; k++) {
            const struct block *block = g_ptr_array_index(document->blocks, k);
            GPtrArray *wanted = g_ptr_array_new();
            if (block->figure != NULL) {
                const char *caption = figure_description(block->figure);
                char *bare = squeezed(caption);
                assert_said(text, block->text, "text");
                assert_null(strstr(text, bare));
                assert_said(paged, caption, "PDF");
                assert_said(page, caption, "HTML");
                g_free(bare);
            } else if (block->text[0] != '\0') {
                g_ptr_array_add(wanted, block->text);
            }
            /* cells of tables are wrapped side by side: looked for whole where they are short */
            for (guint j = 0; block->texts != NULL && j < block->texts->len; j++) {
                const char *item = g_ptr_array_index(block->texts, j);
                if (block->kind == BLOCK_LIST || strlen(item) < 12)
                    g_ptr_array_add(wanted, (void *)item);
            }
            for (guint j = 0; j < wanted->len; j++) {
                assert_said(text, g_ptr_array_index(wanted, j), "text");
                assert_said(paged, g_ptr_array_index(wanted, j), "PDF");
                assert_said(page, g_ptr_array_index(wanted, j), "HTML");
            }
            g_ptr_array_free(wanted, TRUE);
        }
        g_free(text);
        g_free(paged);
        g_free(page);
        g_string_free(lines, TRUE);
        g_string_free(html, TRUE);
        document_destroy(document);
        report_job_finish(&made);
    }
}

static void parts_stand_in_the_order_of_reading(void **state)
{
    (void)state;
    static const char *const parts[] = {"As found, as left", "The rounds", "Next time",
        "The machine as it was", "Method and standards", "Cautions", "This record"};
    struct report_job made;
    report_job_make(&cases[3], &made);
    const struct report_input input = report_input_of(&cases[3], &made, &note);
    struct document *document = report_build(&input);
    size_t found = 0;
    bool verdict = false;
    for (guint i = 0; i < document->blocks->len; i++) {
        const struct block *block = g_ptr_array_index(document->blocks, i);
        verdict = verdict || block->kind == BLOCK_VERDICT;
        if (block->kind != BLOCK_HEADING || block->level != 1)
            continue;
        assert_true(verdict); /* before the first of them */
        assert_true(found < G_N_ELEMENTS(parts));
        assert_string_equal(block->text, parts[found++]);
    }
    assert_int_equal(found, G_N_ELEMENTS(parts));
    document_destroy(document);
    report_job_finish(&made);
}

static void text_keeps_to_80_columns(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(cases); i++) {
        struct report_job made;
        report_job_make(&cases[i], &made);
        const struct report_input input = report_input_of(&cases[i], &made, &note);
        struct document *document = report_build(&input);
        GString *text = document_text(document);
        char **lines = g_strsplit(text->str, "\n", -1);
        for (char **line = lines; *line != NULL; line++) {
            size_t columns = 0;
            for (const char *at = *line; *at != '\0'; at = g_utf8_next_char(at)) {
                const gunichar c = g_utf8_get_char(at);
                columns += g_unichar_iszerowidth(c) ? 0 : g_unichar_iswide(c) ? 2 : 1;
            }
            if (columns > 80)
                fail_msg("%zu columns: %s", columns, *line);
            assert_false(g_str_has_suffix(*line, " "));
        }
        g_strfreev(lines);
        g_string_free(text, TRUE);
        document_destroy(document);
        report_job_finish(&made);
    }
}

static void a_name_stays_a_name(void **state)
{
    (void)state;
    struct report_job made;
    report_job_make(&cases[7], &made);
    const struct report_input input = report_input_of(&cases[7], &made, &note);
    struct document *document = report_build(&input);
    GString *html = document_html(document);
    assert_null(strstr(html->str, "<script"));
    assert_null(strstr(html->str, "\xe2\x80\xae")); /* right-to-left override */
    assert_non_null(strstr(html->str, "&lt;script&gt;"));
    assert_null(strstr(html->str, "http"));
    g_string_free(html, TRUE);
    document_destroy(document);
    report_job_finish(&made);
}

static void file_names_are_plain(void **state)
{
    (void)state;
    static const struct {
        const char *name, *number, *wanted;
    } rows[] = {
        {"Tern", "12", "Tern-2026-05-06-job-12.html"},
        {"Tern", NULL, "Tern-2026-05-06.html"},
        {"", "3", "machine-2026-05-06-job-3.html"},
        {NULL, "3", "machine-2026-05-06-job-3.html"},
        {"../../etc/passwd", "3", "etc-passwd-2026-05-06-job-3.html"},
        {"-rf  /*", "3", "rf-2026-05-06-job-3.html"},
        {"a\nb\tc", "3", "a-b-c-2026-05-06-job-3.html"},
        {"雕刻机", "3", "雕刻机-2026-05-06-job-3.html"},
        {"...", "3", "machine-2026-05-06-job-3.html"},
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        const struct report_input input = {
            .name = rows[i].name, .number = rows[i].number, .date = "2026-05-06 18:40"};
        char *name = report_file_name(&input, "html");
        assert_string_equal(name, rows[i].wanted);
        g_free(name);
    }
    const struct report_input input = {.name = LONG CHINESE LONG, .date = "2026-05-06 18:40"};
    char *name = report_file_name(&input, "html");
    assert_true(strlen(name) < 200);
    g_free(name);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pages_are_clear),
        cmocka_unit_test(every_word_is_in_every_format),
        cmocka_unit_test(parts_stand_in_the_order_of_reading),
        cmocka_unit_test(text_keeps_to_80_columns),
        cmocka_unit_test(a_name_stays_a_name),
        cmocka_unit_test(file_names_are_plain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
