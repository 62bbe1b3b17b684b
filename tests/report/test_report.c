/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The report: pages on which nothing overlaps or is cut, and three formats that say the same. */
#include "support/support.h"

#include <stdlib.h>
#include <string.h>

#include <pango/pangocairo.h>

#include "draw/letters.h"
#include "report/digest.h"
#include "report/pages.h"
#include "report/picture.h"
#include "support/overlap.h"
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

#define CASES (sizeof cases / sizeof *cases)

/* a job, and its document */
struct made {
    struct report_job job;
    struct document document;
};

static void make(const struct report_case *wanted, struct made *made)
{
    report_job_make(wanted, &made->job);
    const struct report_input input = report_input_of(wanted, &made->job, &note);
    report_build(&input, &made->document);
    assert_false(made->document.failed);
}

static void finish(struct made *made)
{
    document_finish(&made->document);
    report_job_finish(&made->job);
}

static void pages_are_clear(void **state)
{
    (void)state;
    for (size_t i = 0; i < CASES; i++) {
        struct made made;
        make(&cases[i], &made);
        for (int paper = PAPER_A4; paper <= PAPER_LETTER; paper++) {
            struct pages *pages = pages_create(&made.document, (enum paper)paper);
            assert_false(pages->failed);
            assert_in_range(pages->count, 3, 90);
            for (size_t page = 0; page < pages->count; page++) {
                const struct figure *figure = pages->pages[page];
                const struct mark *one;
                const struct mark *other;
                if (figure_overlap(figure, &one, &other))
                    fail_msg("case %zu, paper %d, page %zu: '%s' at %.1f %.1f, '%s' at %.1f %.1f",
                        i, paper, page + 1, one->text, one->box.x, one->box.y, other->text,
                        other->box.x, other->box.y);
                for (size_t k = 0; k < figure->mark_count; k++) { /* in the margins */
                    const struct box box = figure->marks[k].box;
                    if (figure->marks[k].kind != MARK_TEXT)
                        continue;
                    assert_true(box.x > 41 && box.x + box.width < pages->width - 41);
                    assert_true(box.y > 38 && box.y + box.height < pages->height - 20);
                }
            }
            pages_destroy(pages);
        }
        finish(&made);
    }
}

/* Whatever the job, without --full it is one page, on both papers, in letters that one can read. */
static void a_record_is_one_page(void **state)
{
    (void)state;
    for (size_t rounds = 1; rounds <= 8; rounds++)
        for (int bolts = 2; bolts <= 8; bolts += 2) {
            const struct report_case wanted = {.name = bolts == 6 ? LONG : "Tern",
                .rounds = rounds,
                .readings = rounds % 2 ? 4 : 16,
                .bolts = bolts,
                .two_joints = bolts > 4};
            struct report_job job;
            struct document document;
            report_job_make(&wanted, &job);
            struct report_input input = report_input_of(&wanted, &job, &note);
            input.full = false;
            report_build(&input, &document);
            for (int paper = PAPER_A4; paper <= PAPER_LETTER; paper++) {
                struct pages *pages = pages_create(&document, (enum paper)paper);
                const struct mark *one, *other;
                assert_int_equal(pages->count, 1);
                if (pages->scale < (bolts == 6 ? 0.66 : 0.72))
                    fail_msg("%zu rounds, %d bolts: scale %.2f", rounds, bolts, pages->scale);
                if (figure_overlap(pages->pages[0], &one, &other))
                    fail_msg(
                        "%zu rounds, %d bolts: '%s', '%s'", rounds, bolts, one->text, other->text);
                pages_destroy(pages);
            }
            document_finish(&document);
            report_job_finish(&job);
        }
}

/* one text after the other without blanks, names' isolate marks or signs of wrapping; &#39; and <bdi>
   are what HTML makes of a name */
static char *squeezed(const char *text)
{
    static const char *const gone[] = {"<bdi>", "</bdi>"};
    struct buffer out = {0};
    while (*text != '\0') {
        const struct character c = character_at(text);
        size_t skip = c.bytes;
        bool kept = c.code > ' ' && c.code != 0xa0 && c.code != 0x2068 && c.code != 0x2069;
        for (size_t i = 0; i < 2; i++)
            if (strncmp(text, gone[i], strlen(gone[i])) == 0) {
                skip = strlen(gone[i]);
                kept = false;
            }
        if (strncmp(text, "&#39;", 5) == 0) {
            buffer_add(&out, "'");
            skip = 5;
            kept = false;
        }
        if (kept)
            buffer_add_bytes(&out, text, c.bytes);
        text += skip;
    }
    buffer_add(&out, "");
    char *taken = buffer_take(&out);
    return taken;
}

static void assert_said(const char *squeezed_text, const char *wanted, const char *where)
{
    char *part = squeezed(wanted);
    if (strstr(squeezed_text, part) == NULL)
        fail_msg("the %s does not say '%s'", where, wanted);
    free(part);
}

static char *pages_text(const struct document *document)
{
    struct buffer text = {0};
    struct pages *pages = pages_create(document, PAPER_A4);
    for (size_t i = 0; i < pages->count; i++) {
        const struct figure *page = pages->pages[i];
        for (size_t k = 0; k + (i == 0 ? 0 : 2) < page->mark_count;
             k++) /* the foot is the last two */
            if (page->marks[k].kind == MARK_TEXT)
                buffer_add(&text, page->marks[k].text);
    }
    pages_destroy(pages);
    char *plain = squeezed(buffer_text(&text));
    buffer_finish(&text);
    return plain;
}

/* the three writers' texts, squeezed */
struct said {
    char *text, *pages, *html;
};

static void assert_all_say(const struct said *said, const char *wanted)
{
    assert_said(said->text, wanted, "text");
    assert_said(said->pages, wanted, "PDF");
    assert_said(said->html, wanted, "HTML");
}

static void assert_block_said(const struct said *said, const struct block *block)
{
    if (block->figure != NULL) {
        if (block->figure->height > 90) {
            assert_said(said->pages, buffer_text(&block->figure->title), "PDF");
            assert_said(said->html, buffer_text(&block->figure->title), "HTML");
        }
        assert_said(said->html, buffer_text(&block->figure->description), "HTML");
        assert_said(said->text, block->text, "text");
    } else {
        assert_all_say(said, block->text);
    }
    /* cells of tables are wrapped side by side: looked for whole where they are short */
    for (size_t j = 0; j < block->text_count; j++)
        if (block->kind == BLOCK_LIST || block->kind == BLOCK_STEPS || strlen(block->texts[j]) < 12)
            assert_all_say(said, block->texts[j]);
}

/* every heading, paragraph, item, name and value is in the pages and in the text; a figure's caption
   where the figure is, and in the text what is said in its place */
static void every_word_is_in_every_format(void **state)
{
    (void)state;
    for (size_t i = 0; i < 4; i++) {
        struct made made;
        struct buffer lines = {0};
        struct buffer html = {0};
        make(&cases[i], &made);
        document_plain(&made.document, &lines);
        document_html(&made.document, &html);
        const struct said said = {squeezed(buffer_text(&lines)), pages_text(&made.document),
            squeezed(buffer_text(&html))};
        for (size_t k = 0; k < made.document.block_count; k++)
            assert_block_said(&said, &made.document.blocks[k]);
        free(said.text);
        free(said.pages);
        free(said.html);
        buffer_finish(&lines);
        buffer_finish(&html);
        finish(&made);
    }
}

static void parts_stand_in_the_order_of_reading(void **state)
{
    (void)state;
    static const char *const parts[] = {"What the page rests on", "Earlier jobs",
        "The machine as it was", "Method and standards", "Cautions"};
    struct made made;
    size_t found = 0;
    bool verdict = false;
    make(&cases[3], &made);
    for (size_t i = 0; i < made.document.block_count; i++) {
        const struct block *block = &made.document.blocks[i];
        verdict = verdict || block->kind == BLOCK_VERDICT;
        if (block->kind != BLOCK_PART)
            continue;
        assert_true(verdict); /* before the first of them */
        assert_true(found < sizeof parts / sizeof *parts);
        assert_string_equal(block->text, parts[found++]);
    }
    assert_int_equal(found, sizeof parts / sizeof *parts);
    finish(&made);
}

/* what a line of a template begins with says what it is; a name that begins so says nothing */
static void signs_in_names_make_no_blocks(void **state)
{
    (void)state;
    static const char *const names[] = {
        "# Tern", "- 1", "= a", "^ b", ": c", "! d", "+ 2. e", "> f", "|3", "_ g"};
    struct report_case wanted = {.name = "Tern", .rounds = 3, .readings = 4, .two_joints = true};
    struct made plain;
    make(&wanted, &plain);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        struct made made;
        wanted.name = names[i];
        make(&wanted, &made);
        assert_int_equal(made.document.block_count, plain.document.block_count);
        for (size_t k = 0; k < plain.document.block_count; k++) {
            assert_int_equal(made.document.blocks[k].kind, plain.document.blocks[k].kind);
            assert_int_equal(
                made.document.blocks[k].text_count, plain.document.blocks[k].text_count);
        }
        finish(&made);
    }
    finish(&plain);
}

static void text_keeps_to_80_columns(void **state)
{
    (void)state;
    for (size_t i = 0; i < CASES; i++) {
        struct made made;
        struct buffer text = {0};
        size_t columns = 0;
        make(&cases[i], &made);
        document_plain(&made.document, &text);
        const char *line = buffer_text(&text);
        for (const char *at = line; *at != '\0';) {
            const struct character c = character_at(at);
            if (c.code == '\n') {
                if (columns > 80)
                    fail_msg("%zu columns: %.*s", columns, (int)(at - line), line);
                assert_true(at == line || at[-1] != ' ');
                columns = 0;
                line = at + 1;
            } else {
                columns += character_columns(c.code);
            }
            at += c.bytes;
        }
        buffer_finish(&text);
        finish(&made);
    }
}

static void a_name_stays_a_name(void **state)
{
    (void)state;
    struct made made;
    struct buffer html = {0};
    make(&cases[7], &made);
    document_html(&made.document, &html);
    assert_null(strstr(buffer_text(&html), "<script"));
    assert_null(strstr(buffer_text(&html), "\xe2\x80\xae")); /* right-to-left override */
    assert_non_null(strstr(buffer_text(&html), "&lt;script&gt;"));
    assert_null(strstr(buffer_text(&html), "http"));
    buffer_finish(&html);
    finish(&made);
}

static void file_names_are_plain(void **state)
{
    (void)state;
    const struct perpend_job job = {.date = {.year = 2026, .month = 5, .day = 6}};
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
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct report_input input = {
            .name = rows[i].name, .number = rows[i].number, .job = &job};
        struct buffer name = {0};
        report_file_name(&input, "html", &name);
        assert_string_equal(buffer_text(&name), rows[i].wanted);
        buffer_finish(&name);
    }
    const struct report_input input = {.name = LONG CHINESE LONG, .job = &job};
    struct buffer name = {0};
    report_file_name(&input, "html", &name);
    assert_true(name.length < 200);
    buffer_finish(&name);
}

/* FIPS 180-4's examples, from memory */
static void a_digest_is_the_published_one(void **state)
{
    (void)state;
    char digits[DIGEST_TEXT];
    const char *longer = "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq";
    assert_string_equal(digest_text("a", 1, "bc", 2, digits),
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assert_string_equal(digest_text("", 0, longer, strlen(longer), digits),
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
}

static void each_format_begins_as_it_should(void **state)
{
    (void)state;
    struct perpend_machine machine;
    perpend_machine_init(&machine);
    machine.cutter.diameter = 22;
    machine.facing.stepover = 10;
    static const struct {
        const char *path;
        enum picture_format format;
        const char *first;
    } formats[] = {{"a.svg", PICTURE_SVG, "<?xml version=\"1.0\""},
        {"b.PNG", PICTURE_PNG, "\x89PNG\r\n"}, {"c.Pdf", PICTURE_PDF, "%PDF-1."}};
    struct figure *figure = figure_chart(&machine, 0, NULL);
    enum picture_format format;
    for (size_t i = 0; i < 3; i++) {
        struct buffer bytes = {0};
        size_t unknown;
        assert_true(picture_format_of(formats[i].path, &format));
        assert_int_equal(format, formats[i].format);
        picture_add(figure, format, &bytes, &unknown);
        assert_false(bytes.failed);
        assert_true(bytes.length > 2000);
        assert_int_equal(unknown, 0);
        assert_memory_equal(bytes.bytes, formats[i].first, strlen(formats[i].first));
        buffer_finish(&bytes);
    }
    assert_false(picture_format_of("picture", &format));
    assert_false(picture_format_of(".svg", &format));
    assert_false(picture_format_of("a.jpg", &format));
    figure_destroy(figure);
}

/* Whatever the letters, a text takes no more room in print than was measured for it. */
static void no_text_is_wider_than_measured(void **state)
{
    (void)state;
    static const char *const faces[] = {"Noto Sans", "DejaVu Sans"};
    static const char *const texts[] = {LONG, WIDE, HEBREW, ARABIC, CHINESE, NASTY,
        "0.067 mm (0.061 to 0.069); 95 % ± 0.2°, −1 × 2", "Щека ЖЮШ объём Жёлудь",
        "Ångström Œuvre ÆØ", "Ωμέγα Ψυχή", "कर्कश", "ไทย", "“M5” – ‘½ in’ … №"};
    PangoContext *context = pango_font_map_create_context(pango_cairo_font_map_get_default());
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF); /* as on paper */
    pango_cairo_context_set_font_options(context, options);
    cairo_font_options_destroy(options);
    pango_context_set_round_glyph_positions(context, FALSE);
    for (size_t face = 0; face < 2; face++)
        for (int letter = 0; letter < LETTER_COUNT; letter++)
            for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
                PangoLayout *layout = pango_layout_new(context);
                PangoFontDescription *font = pango_font_description_from_string(faces[face]);
                PangoRectangle extent;
                pango_font_description_set_absolute_size(
                    font, letter_size((enum letter)letter) * PANGO_SCALE);
                if (letter_bold((enum letter)letter))
                    pango_font_description_set_weight(font, PANGO_WEIGHT_BOLD);
                pango_layout_set_font_description(layout, font);
                pango_layout_set_text(layout, texts[i], -1);
                pango_layout_get_extents(layout, NULL, &extent);
                const double width = (double)extent.width / PANGO_SCALE;
                if (width > 1.01 * text_width((enum letter)letter, texts[i]) + 1)
                    fail_msg("%s in %s: %.1f, measured %.1f", texts[i], faces[face], width,
                        text_width((enum letter)letter, texts[i]));
                pango_font_description_free(font);
                g_object_unref(layout);
            }
    g_object_unref(context);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pages_are_clear),
        cmocka_unit_test(a_record_is_one_page),
        cmocka_unit_test(every_word_is_in_every_format),
        cmocka_unit_test(parts_stand_in_the_order_of_reading),
        cmocka_unit_test(signs_in_names_make_no_blocks),
        cmocka_unit_test(text_keeps_to_80_columns),
        cmocka_unit_test(a_name_stays_a_name),
        cmocka_unit_test(file_names_are_plain),
        cmocka_unit_test(a_digest_is_the_published_one),
        cmocka_unit_test(each_format_begins_as_it_should),
        cmocka_unit_test(no_text_is_wider_than_measured),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
