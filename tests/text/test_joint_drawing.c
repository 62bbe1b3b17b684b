/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "text/joint_drawing.h"
#include "support/support.h"

static struct perpend_bolt plate_bolts[] = {
    {.name = "top left", .at = {-30, 40, 210}},
    {.name = "top right", .at = {30, 40, 210}},
    {.name = "bottom left", .at = {-30, 40, 130}},
    {.name = "bottom right", .at = {30, 40, 130}},
};

static struct perpend_joint plate(enum perpend_face face)
{
    return (struct perpend_joint){
        .name = "clamp plate", .face = face, .bolts = plate_bolts, .bolt_count = 4};
}

static struct words screen(unsigned width, bool utf8)
{
    return (struct words){.unit = PERPEND_UNIT_MM, .width = width, .utf8 = utf8};
}

/* The plate drawn with a step's moves of its four bolts. */
static void assert_drawn(enum perpend_move move, struct perpend_bolt_move *moves, size_t pivot,
    const struct perpend_stock *stock, bool utf8, unsigned indent, const char *want)
{
    struct perpend_step step = {.move = move, .bolts = moves, .bolt_count = 4, .pivot = pivot};
    struct perpend_joint joint = plate(PERPEND_FACE_FRONT);
    struct words words = screen(80, utf8);
    joint_drawing_add(&words, &joint, &step, stock, indent);
    assert_string_equal(buffer_text(&words.out), want);
    buffer_finish(&words.out);
}

static void the_plate_and_its_shims(void **state)
{
    (void)state;
    struct perpend_leaf leaf = {.name = "brass", .thick = 0.05, .count = 30};
    struct perpend_stock stock = {&leaf, 1};
    struct perpend_bolt_move moves[4] = {{.amount.value = 0.55, .wanted = 0.533, .stack_count = 1},
        {.amount.value = 0.55, .wanted = 0.533, .stack_count = 1}};
    moves[0].stack[0] = moves[1].stack[0] = (struct perpend_stack_part){0, 0.05, 11};
    assert_drawn(PERPEND_MOVE_SHIM, moves, 2, &stock, true, 3,
        "   ┌──────────────┐  1 top left      0.55 mm: 11 × 0.05 mm brass\n"
        "   │[1]        [2]│  2 top right     0.55 mm: 11 × 0.05 mm brass\n"
        "   │ 3          4 │  3 bottom left   keep snug\n"
        "   └──────────────┘  4 bottom right  keep snug\n");
    assert_drawn(PERPEND_MOVE_SHIM, moves, 2, &stock, false, 0,
        "+--------------+  1 top left      0.55 mm: 11 x 0.05 mm brass\n"
        "|[1]        [2]|  2 top right     0.55 mm: 11 x 0.05 mm brass\n"
        "| 3          4 |  3 bottom left   keep snug\n"
        "+--------------+  4 bottom right  keep snug\n");
}

static void a_slide_and_its_pivot(void **state)
{
    (void)state;
    struct perpend_bolt_move moves[4] = {{.amount.shift = {0.25, 0, 0.01}},
        {.amount.shift = {0.25, 0, -0.2}}, {.amount.value = 0}, {.amount.shift = {0, 0, 0}}};
    assert_drawn(PERPEND_MOVE_SLIDE, moves, 2, NULL, true, 0,
        "┌──────────────┐  1 top left      moves 0.25 mm right\n"
        "│[1]        [2]│  2 top right     moves 0.25 mm right and 0.20 down\n"
        "│ 3          4 │  3 bottom left   keep snug: the pivot\n"
        "└──────────────┘  4 bottom right  moves not at all\n");
}

static void push_screws(void **state)
{
    (void)state;
    struct perpend_bolt_move moves[4] = {{.amount.value = 0.5}, {.amount.value = -0.25}};
    assert_drawn(PERPEND_MOVE_SCREW, moves, PERPEND_NO_BOLT, NULL, true, 0,
        "┌──────────────┐  1 top left      0.50 turn in, clockwise (180°)\n"
        "│[1]        [2]│  2 top right     0.25 turn out, anticlockwise (90°)\n"
        "│ 3          4 │  3 bottom left   stays as it is\n"
        "└──────────────┘  4 bottom right  stays as it is\n");
}

/* One bolt to the right, one to the back, one up from the first: where does an onlooker see them
   who stands where the face looks? Row and column by hand. */
static void seen_from_where_the_face_looks(void **state)
{
    (void)state;
    struct perpend_bolt bolts[] = {
        {.name = "origin", .at = {0, 0, 0}},
        {.name = "right", .at = {50, 0, 0}},
        {.name = "back", .at = {0, 50, 0}},
        {.name = "up", .at = {0, 0, 50}},
    };
    static const struct {
        enum perpend_face face;
        const char *view, *rows[2];
    } cases[] = {
        {PERPEND_FACE_FRONT, "seen from the front", {"│ 4            │", "│ 1  3       2 │"}},
        {PERPEND_FACE_BACK, "seen from the back", {"│            4 │", "│ 2          1  3 │"}},
        {PERPEND_FACE_LEFT, "seen from the left", {"│            4 │", "│ 3          1  2 │"}},
        {PERPEND_FACE_RIGHT, "seen from the right", {"│ 4            │", "│ 1  2       3 │"}},
        {PERPEND_FACE_UP, "seen from above, the back at the top",
            {"│ 3            │", "│ 1  4       2 │"}},
        {PERPEND_FACE_DOWN, "seen from below, the front at the top",
            {"│ 1  4       2 │", "│ 3            │"}},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct perpend_joint joint = {
            .name = "j", .face = cases[i].face, .bolts = bolts, .bolt_count = 4};
        struct words words = screen(80, true);
        joint_drawing_add(&words, &joint, NULL, NULL, 0);
        const char *second = strchr(buffer_text(&words.out), '\n') + 1;
        const char *third = strchr(second, '\n') + 1;
        /* the row with fewer bolts may be padded when the other makes the frame wider */
        char want[64];
        for (int row = 0; row < 2; row++) {
            const char *got = row == 0 ? second : third;
            size_t marks = strlen(cases[i].rows[row]) - strlen("│");
            snprintf(want, sizeof want, "%.*s", (int)marks, cases[i].rows[row]);
            if (strncmp(got, want, marks) != 0) {
                printf("# %s:\n%s\n# want %s\n", cases[i].view, buffer_text(&words.out), want);
                fail();
            }
        }
        assert_string_equal(joint_drawing_view(cases[i].face), cases[i].view);
        buffer_finish(&words.out);
    }
}

/* Column of a bolt's number inside the frame of a line in ASCII, or -1. */
static int column_of(const char *line, size_t length, size_t bolt)
{
    char mark[16];
    const char *end = memchr(line + 1, '|', length - 1);
    for (int brackets = 0; brackets < 2; brackets++) {
        snprintf(mark, sizeof mark, brackets ? "[%zu]" : " %zu ", bolt + 1);
        for (const char *at = line + 1; end && at + strlen(mark) <= end; at++)
            if (strncmp(at, mark, strlen(mark)) == 0)
                return (int)(at - line);
    }
    return -1;
}

/* What the drawing said: a row and a column for every bolt. */
struct found {
    int row, column;
};

static bool read_drawing(const char *text, unsigned width, size_t count, struct found *found)
{
    size_t frame = 0;
    int row = 0;
    for (size_t i = 0; i < count; i++)
        found[i] = (struct found){-1, -1};
    for (const char *line = text; *line;) {
        size_t length = strcspn(line, "\n");
        if (length > width)
            return false;
        if (line[0] == '+') {
            size_t edge = strspn(line + 1, "-") + 2;
            if (frame != 0 && edge != frame)
                return false;
            frame = edge;
        } else if (line[0] == '|') {
            if (frame == 0 || length < frame || line[frame - 1] != '|')
                return false;
            for (size_t i = 0; i < count; i++) {
                int column = column_of(line, length, i);
                if (column >= 0 && found[i].row >= 0)
                    return false; /* twice */
                if (column >= 0)
                    found[i] = (struct found){row, column};
            }
            row++;
        }
        line += length + (line[length] == '\n');
    }
    return true;
}

static void random_joints_are_drawn_whole_and_in_order(void **state)
{
    (void)state;
    struct test_random random = test_random_start("joint drawing", 34);
    static char *names[] = {
        "a", "top left", "the one behind the dust hood, by the cable", "\xe8\x88\xb9", "x\x1b[2J"};
    for (int n = 0; n < 3000; n++) {
        struct perpend_bolt bolts[PERPEND_BOLTS_MOST];
        struct perpend_bolt_move moves[PERPEND_BOLTS_MOST] = {{.wanted = 0}};
        struct found found[PERPEND_BOLTS_MOST];
        size_t count = 2 + test_pick(&random, PERPEND_BOLTS_MOST - 1);
        bool on_grid = test_pick(&random, 2) == 0;
        for (size_t i = 0; i < count; i++) {
            double right = test_uniform(&random, -80, 80), up = test_uniform(&random, 0, 300);
            if (on_grid) {
                right = 20.0 * (double)test_pick(&random, 6);
                up = 50.0 * (double)test_pick(&random, 4);
            }
            bolts[i] =
                (struct perpend_bolt){.name = names[test_pick(&random, 5)], .at = {right, 40, up}};
            moves[i].amount.value = test_pick(&random, 2) == 0 ? 0.0 : 0.25;
        }
        struct perpend_joint joint = {
            .name = "j", .face = PERPEND_FACE_FRONT, .bolts = bolts, .bolt_count = count};
        struct perpend_step step = {.move = PERPEND_MOVE_SHIM,
            .bolts = moves,
            .bolt_count = count,
            .pivot = PERPEND_NO_BOLT};
        unsigned width = 60 + (unsigned)test_pick(&random, 21);
        struct words words = screen(width, false);
        joint_drawing_add(&words, &joint, &step, NULL, 0);
        const char *text = buffer_text(&words.out);
        bool good = !words.out.failed && read_drawing(text, width, count, found);
        for (size_t i = 0; i < count && good; i++) {
            good = found[i].row >= 0;
            for (size_t k = 0; k < count && good; k++) {
                if (found[k].row < 0)
                    good = false;
                else if (found[i].row < found[k].row) /* higher on the page is higher up */
                    good = bolts[i].at.up > bolts[k].at.up;
                else if (found[i].row == found[k].row && found[i].column < found[k].column)
                    good = bolts[i].at.right <= bolts[k].at.right;
            }
        }
        for (const char *c = text; *c && good; c++)
            good = (*c >= ' ' && *c < 0x7f) || *c == '\n';
        if (!good) {
            printf("# case %d, %zu bolts, width %u:\n%s\n", n, count, width, text);
            for (size_t i = 0; i < count; i++)
                printf("# %zu at %g, %g\n", i + 1, bolts[i].at.right, bolts[i].at.up);
            fail();
        }
        buffer_finish(&words.out);
    }
}

static void displacements_leave_out_what_does_not_matter(void **state)
{
    (void)state;
    static const struct {
        struct perpend_point moved;
        const char *said;
    } cases[] = {
        {{0, 0, 0}, "not at all"},
        {{0.87, 0, 0}, "0.87 mm right"},
        {{-0.87, 0.01, 0}, "0.87 mm left"},
        {{-0.87, -0.27, 0.5}, "0.87 mm left, 0.27 forward and 0.50 up"},
        {{0, 0.1, -0.2}, "0.10 mm back and 0.20 down"},
    };
    struct words words = screen(80, true);
    struct buffer phrase = {0};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct buffer out = {0};
        buffer_clear(&phrase);
        words_displacement(&words, &phrase, cases[i].moved, false);
        words_wrap(&words, &out, 80, "", buffer_text(&phrase));
        char want[128];
        snprintf(want, sizeof want, "%s\n", cases[i].said);
        assert_string_equal(buffer_text(&out), want);
        buffer_finish(&out);
    }
    buffer_finish(&phrase);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_plate_and_its_shims),
        cmocka_unit_test(a_slide_and_its_pivot),
        cmocka_unit_test(push_screws),
        cmocka_unit_test(seen_from_where_the_face_looks),
        cmocka_unit_test(random_joints_are_drawn_whole_and_in_order),
        cmocka_unit_test(displacements_leave_out_what_does_not_matter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
