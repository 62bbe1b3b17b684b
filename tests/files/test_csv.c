/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings as a table: columns in any order, three separators, quotes; what is refused. */
#include "support/support.h"

#include "support/machine_text.h"

static struct perpend_machine machine;

static void parse_table(const char *text, struct perpend_job *job)
{
    struct fault fault = {0};
    if (!job_file_parse(text, strlen(text), "t.csv", &machine, job, &fault))
        fail_msg("%s\n%s", fault.text, text);
}

/* The fault of a table that must not be taken, less "t.csv:". */
static const char *table_fault(const char *text)
{
    static struct fault fault;
    struct perpend_job job;
    if (job_file_parse(text, strlen(text), "t.csv", &machine, &job, &fault)) {
        perpend_job_finish(&job);
        fail_msg("taken: %s", text);
    }
    assert_int_equal(fault.status, 2);
    assert_int_equal(strncmp(fault.text, "t.csv:", 6), 0);
    return fault.text + 6;
}

/* Two readings: front 1.25, right 0.5; in a sweep of this name at this place. */
static void holds(const char *text, const char *name, double x, double y)
{
    struct perpend_job job;
    parse_table(text, &job);
    assert_int_equal(job.sweep_count, 1);
    const struct perpend_sweep *sweep = &job.sweeps[0];
    assert_string_equal(sweep->name, name);
    assert_int_equal(sweep->reading_count, 2);
    assert_int_equal(sweep->did_kind, PERPEND_DID_UNSTATED);
    assert_near(sweep->x, x, 0);
    assert_near(sweep->y, y, 0);
    const double bearing[] = {PERPEND_PI, PERPEND_PI / 2}, value[] = {1.25, 0.5};
    for (size_t i = 0; i < 2; i++) {
        assert_near(sweep->readings[i].bearing, bearing[i], 1e-15);
        assert_near(sweep->readings[i].value, value[i], 1e-16);
        assert_near(sweep->readings[i].x, x, 0);
        assert_near(sweep->readings[i].y, y, 0);
    }
    perpend_job_finish(&job);
}

static void forms_of_one_table(void **state)
{
    (void)state;
    holds("at,reading\nfront,1.25\nright,0.5\n", "sweep 1", 0, 0);
    holds("\n\n at , Reading \n\n front , 1.25 \n\nright,0.5", "sweep 1", 0, 0);
    holds("reading,sweep,at\n1.25,as found,180\n0.5,as found,E", "as found", 0, 0);
    holds("SWEEP,AT,READING,Y,X\na,S,1250 um,4,3\na,e,0.5 mm,4,3\n", "a", 3, 4);
    holds("at;reading\nfront;1,25\nright;0,5\n", "sweep 1", 0, 0);
    holds("at;reading\n\"front\";\"1,25\"\nright;0.5\n", "sweep 1", 0, 0);
    holds("at\treading\nfront\t1,25\nright\t0.5\n", "sweep 1", 0, 0);
    holds("at,reading\nfront,\"1,25\"\nright,\"0,5\"\n", "sweep 1", 0, 0);
    holds("at,reading\nfront,1 1/4\nright,1/2\n", "sweep 1", 0, 0);
    holds("\"at\",\"reading\"\n\"front\" , \"1.25\" \n\"right\",\"0.5\"\n", "sweep 1", 0, 0);
    holds("sweep,at,reading\n\"say \"\"a\"\", b\",front,1.25\n\"say \"\"a\"\", b\",right,.5\n",
        "say \"a\", b", 0, 0);
}

static void an_inch_mark_is_no_quote(void **state)
{
    (void)state;
    struct perpend_job job;
    parse_table("at,reading\nfront,1/4\"\nright,\"1/4\"\"\"\n", &job);
    assert_near(job.sweeps[0].readings[0].value, 6.35, 0);
    assert_near(job.sweeps[0].readings[1].value, 6.35, 0);
    perpend_job_finish(&job);
}

/* A comma that parts no fields is a decimal one, with three figures behind it too. */
static void thousandths(void **state)
{
    (void)state;
    struct perpend_job job;
    parse_table("at;reading\nfront;1,250\nright;\"1,250\"\nback;12,000 mm\n", &job);
    assert_near(job.sweeps[0].readings[0].value, 1.25, 0);
    assert_near(job.sweeps[0].readings[1].value, 1.25, 0);
    assert_near(job.sweeps[0].readings[2].value, 12, 0);
    perpend_job_finish(&job);
}

static void sweeps_by_name(void **state)
{
    (void)state;
    struct perpend_job job;
    parse_table("sweep,at,reading,x,y\n"
                "one,front,1,0,0\n"
                "two,front,2,100,0\n"
                "one,back,3,7,8\n"
                "two,back,4,100,0\n",
        &job);
    assert_int_equal(job.sweep_count, 2);
    assert_string_equal(job.sweeps[1].name, "two");
    assert_int_equal(job.sweeps[0].reading_count, 2);
    assert_near(job.sweeps[0].readings[1].value, 3, 0);
    assert_near(job.sweeps[0].readings[1].x, 7, 0);
    assert_near(job.sweeps[1].x, 100, 0);
    perpend_job_finish(&job);
}

static void faults(void **state)
{
    (void)state;
    static const char *const cases[][2] = {
        {"front,1.0\nback,0\n", "1: unknown column \"front\"; the first line must name the "
                                "columns, of sweep, at, reading, x and y"},
        {"at,reading,temperature\n", "1: unknown column \"temperature\"; the first line must name "
                                     "the columns, of sweep, at, reading, x and y"},
        {"at,reading,at\n", "1: column \"at\" stands twice; remove one"},
        {"sweep,reading\na,1\n",
            "1: column \"at\" is missing; a table of readings needs at and reading"},
        {"at\nfront\n",
            "1: column \"reading\" is missing; a table of readings needs at and reading"},
        {"at,reading,x\nfront,1,2\n",
            "1: column x goes with column y; add the other, or remove it"},
        {"at,reading\n", "2: no readings below the header; write one in each row"},
        {"at,reading\n\n\n", "4: no readings below the header; write one in each row"},
        {"at,reading\nfront\n", "2: 1 field where the header has 2; fill in the row"},
        {"at,reading\nfront,1,25\n", "2: more fields than the header's 2; put a decimal comma in "
                                     "quotes (\"0,05\"), or separate by semicolons"},
        {"at;reading\nfront;1;2\n", "2: more fields than the header's 2; check the separators"},
        {"at,reading\nfront,\n", "2: reading has no value; write a length such as 0.05 or 1/4 in"},
        {"at,reading\n,1\n", "2: at has no value; write a bearing such as front, NE or 45"},
        {"at,reading\nfront,x\n", "2: reading \"x\" is not a length; write a number such as 0.05, "
                                  "0.05 mm, 2 thou or 1/4 in"},
        {"at,reading\nfront,1e999\n", "2: reading \"1e999\" is too large; check it"},
        {"at,reading\nfront,nan\n", "2: reading \"nan\" is not a length; write a number such as "
                                    "0.05, 0.05 mm, 2 thou or 1/4 in"},
        {"at,reading\nfront,1\n\n361,1\n",
            "4: at \"361\" is beyond a full turn; use -360 to 360 degrees"},
        {"at,reading\nfront,20000\n",
            "2: reading \"20000\" is over 10000 mm; check the number and its unit"},
        {"at,reading\nfront,-20000\n",
            "2: reading \"-20000\" is under -10000 mm; check the number and its unit"},
        {"at,reading\n\"front,1\nback,2\n",
            "2: a quote is opened and never closed; add one, or remove it"},
        {"at,reading\n\"front\"x,1\n", "2: something follows a closing quote; write a quote "
                                       "within quotes twice (\"\")"},
        {"sweep,at,reading\n,front,1\n", "2: sweep must be a name on one line, of 1 to 120 bytes"},
        {"sweep,at,reading\n\"a\nb\",front,1\n",
            "2: sweep must be a name on one line, of 1 to 120 bytes"},
        {"at,reading,x,y,sweep,a,b,c,d,e,f,g,h,i,j,k,l\n",
            "1: more fields than the header's 16; put a decimal comma in quotes (\"0,05\"), or "
            "separate by semicolons"},
        {"at,reading\nfront,1\n\xB5,1\n", "3: is not UTF-8 text; save the file as UTF-8"},
        {"at,reading\nfront,1\x1B\n", "2: has a control character (code 27); remove it"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_string_equal(table_fault(cases[i][0]), cases[i][1]);
}

static void limits(void **state)
{
    (void)state;
    size_t room = 200000;
    char *text = malloc(room);
    assert_non_null(text);
    char *end = text + sprintf(text, "at,reading\n");
    for (int i = 0; i < 10000; i++)
        end += sprintf(end, "%d,1\n", i % 360);
    struct perpend_job job;
    parse_table(text, &job);
    assert_int_equal(job.sweeps[0].reading_count, 10000);
    perpend_job_finish(&job);
    sprintf(end, "0,1\n");
    assert_string_equal(table_fault(text), "10002: more than 10000 readings; a job holds no more");

    end = text + sprintf(text, "sweep,at,reading\n");
    for (int i = 0; i < 1001; i++)
        end += sprintf(end, "s%d,0,1\n", i);
    assert_string_equal(table_fault(text), "1002: more than 1000 sweeps; a job holds no more");
    free(text);
}

/* --- a table and the same table written another way are the same job --- */

static void put_field(struct test_random *random, char **end, const char *text, bool quote)
{
    static const char *const blanks[] = {"", " ", "  "};
    *end += sprintf(*end, "%s", blanks[test_pick(random, 3)]);
    if (quote || strpbrk(text, ",;\t\"\n") != NULL) {
        *(*end)++ = '"';
        for (; *text != '\0'; text++) {
            if (*text == '"')
                *(*end)++ = '"';
            *(*end)++ = *text;
        }
        *(*end)++ = '"';
    } else {
        *end += sprintf(*end, "%s", text);
    }
    *end += sprintf(*end, "%s", blanks[test_pick(random, 3)]);
}

static void random_tables(void **state)
{
    (void)state;
    static const char *const names[5] = {"sweep", "at", "reading", "x", "y"};
    static const char *const sweeps[] = {"as found", "say \"so\"", "a,b;c", "µ"};
    struct test_random random = test_random_start("tables", 20260103);
    for (int trial = 0; trial < 3000; trial++) {
        size_t rows = test_pick(&random, 12) + 1, order[5] = {0, 1, 2, 3, 4};
        char separator = ",;\t"[test_pick(&random, 3)];
        bool comma = test_pick(&random, 2) == 0;
        char text[8000], *end = text;
        struct perpend_reading expected[12];
        for (size_t i = 4; i > 0; i--) {
            size_t other = test_pick(&random, i + 1), kept = order[i];
            order[i] = order[other];
            order[other] = kept;
        }
        for (size_t c = 0; c < 5; c++) {
            put_field(&random, &end, names[order[c]], test_pick(&random, 3) == 0);
            *end++ = c < 4 ? separator : '\n';
        }
        const char *sweep = sweeps[test_pick(&random, 4)];
        for (size_t r = 0; r < rows; r++) {
            char field[5][64];
            double value[4];
            snprintf(field[0], sizeof field[0], "%s", sweep);
            for (size_t c = 1; c < 5; c++) {
                value[c - 1] =
                    c == 1 ? (double)test_pick(&random, 360) : test_uniform(&random, -500, 500);
                snprintf(field[c], sizeof field[c], "%.17g", value[c - 1]);
                char *point = strchr(field[c], '.');
                if (comma && point != NULL)
                    *point = ',';
            }
            expected[r] =
                (struct perpend_reading){perpend_radians(value[0]), value[1], value[2], value[3]};
            for (size_t c = 0; c < 5; c++) {
                put_field(&random, &end, field[order[c]], test_pick(&random, 3) == 0);
                *end++ = c < 4 ? separator : '\n';
            }
            if (test_pick(&random, 4) == 0)
                end += sprintf(end, " \n");
        }
        *end = '\0';
        struct perpend_job job;
        parse_table(text, &job);
        assert_int_equal(job.sweep_count, 1);
        assert_string_equal(job.sweeps[0].name, sweep);
        assert_int_equal(job.sweeps[0].reading_count, rows);
        for (size_t r = 0; r < rows; r++) {
            const struct perpend_reading *got = &job.sweeps[0].readings[r];
            assert_near(got->bearing, expected[r].bearing, 0);
            assert_near(got->value, expected[r].value, 0);
            assert_near(got->x, expected[r].x, 0);
            assert_near(got->y, expected[r].y, 0);
        }
        perpend_job_finish(&job);
    }
}

static int read_machine(void **state)
{
    (void)state;
    parse_machine(BARE_MACHINE, &machine);
    return 0;
}

static int finish_machine(void **state)
{
    (void)state;
    perpend_machine_finish(&machine);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(forms_of_one_table),
        cmocka_unit_test(an_inch_mark_is_no_quote),
        cmocka_unit_test(thousandths),
        cmocka_unit_test(sweeps_by_name),
        cmocka_unit_test(faults),
        cmocka_unit_test(limits),
        cmocka_unit_test(random_tables),
    };
    return cmocka_run_group_tests(tests, read_machine, finish_machine);
}
