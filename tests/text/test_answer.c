/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer in words over random machines and jobs: what it says is what was worked out, and it
   fits the screen. What is said case by case is in tests/cli/words.py. */
#include <string.h>

#include <perpend/job.h>
#include <perpend/status.h>

#include "text/answer.h"
#include "support/support.h"

enum { JOINTS = 2, BOLTS = 4, LEAVES = 3, READINGS = 10, SWEEPS = 2 };

/* A random job in memory of its own. */
struct scene {
    struct perpend_bolt bolts[JOINTS][BOLTS];
    struct perpend_joint joints[JOINTS];
    struct perpend_leaf leaves[LEAVES];
    struct perpend_reading readings[SWEEPS][READINGS];
    struct perpend_sweep sweeps[SWEEPS];
    struct perpend_machine machine;
    struct perpend_job job;
};

static bool coin(struct test_random *random)
{
    return test_pick(random, 2) == 0;
}

static void draw_mount(struct scene *scene, struct test_random *random)
{
    static char *const names[] = {"top left", "top right", "low", "the one behind the dust hood"};
    scene->machine.mount = (struct perpend_mount){scene->joints, test_pick(random, JOINTS + 1)};
    for (size_t j = 0; j < JOINTS; j++) {
        scene->joints[j] = (struct perpend_joint){.name = j == 0 ? "clamp plate" : "foot",
            .face = (enum perpend_face)test_pick(random, 6),
            .allows = 1 + (unsigned)test_pick(random, 7),
            .bolts = scene->bolts[j],
            .bolt_count = BOLTS};
        for (size_t i = 0; i < BOLTS; i++)
            scene->bolts[j][i] = (struct perpend_bolt){.name = names[i],
                .at = {i % 2 ? 30.0 : -30.0, i < 2 ? 60.0 : 20.0,
                    120.0 + 60.0 * (double)(i / 2) + test_uniform(random, 0, 20)},
                .thread = 6};
    }
}

static void draw_machine(struct scene *scene, struct test_random *random)
{
    struct perpend_machine *machine = &scene->machine;
    perpend_machine_init(machine);
    machine->name = coin(random) ? "Tern" : NULL;
    machine->unit = coin(random) ? PERPEND_UNIT_MM : PERPEND_UNIT_INCH;
    machine->setup.arm.length = test_uniform(random, 40, 200);
    machine->setup.gauge.kind = (enum perpend_gauge_kind)test_pick(random, 4);
    machine->setup.gauge.rises_away = coin(random);
    machine->setup.gauge.angle =
        machine->setup.gauge.kind == PERPEND_GAUGE_LEVER ? perpend_radians(20) : 0.0;
    machine->setup.gauge.step = coin(random) ? 0.05 : 0.01;
    machine->setup.bed_faced = coin(random);
    machine->cutter.diameter = test_uniform(random, 10, 40);
    machine->facing.stepover = machine->cutter.diameter * test_uniform(random, 0.2, 0.8);
    machine->facing.along =
        test_pick(random, 3) == 0 ? test_uniform(random, 0, 6) : PERPEND_ALONG_X;
    machine->facing.both_ways = test_pick(random, 4) == 0;
    machine->facing.depth = coin(random) ? test_uniform(random, 0.05, 0.5) : NAN;
    machine->goal.ridge = test_pick(random, 5) == 0 ? NAN : pow(10.0, test_uniform(random, -3, -1));
    machine->cutter.corner = test_pick(random, 10) == 0 ? 1.0 : 0.0;
    draw_mount(scene, random);
    machine->stock = (struct perpend_stock){scene->leaves, test_pick(random, LEAVES + 1)};
    for (size_t i = 0; i < LEAVES; i++)
        scene->leaves[i] = (struct perpend_leaf){.name = i == 0 ? "brass" : NULL,
            .thick = test_uniform(random, 0.02, 0.5),
            .count = 1 + (unsigned)test_pick(random, 20)};
}

static void draw_job(struct scene *scene, struct test_random *random)
{
    static const struct perpend_slope level = {0, 0};
    const struct perpend_setup *setup = &scene->machine.setup;
    double size = pow(10.0, test_uniform(random, -5, -2)), toward = test_uniform(random, 0, 6.28);
    struct perpend_slope lean = {size * sin(toward), size * cos(toward)};
    scene->job =
        (struct perpend_job){.sweeps = scene->sweeps, .sweep_count = 1 + test_pick(random, SWEEPS)};
    for (size_t s = 0; s < SWEEPS; s++) {
        size_t count = 3 + test_pick(random, READINGS - 2);
        double noise = setup->gauge.step * (test_pick(random, 4) == 0 ? 2.0 : 0.3);
        scene->sweeps[s] = (struct perpend_sweep){.name = s == 0 ? "as found" : "second",
            .readings = scene->readings[s],
            .reading_count = count,
            .did_kind =
                s == 0 ? (enum perpend_did_kind)test_pick(random, 3) : PERPEND_DID_UNSTATED};
        for (size_t i = 0; i < count; i++) {
            double bearing = 2.0 * PERPEND_PI * (double)i / (double)count;
            double gap = 1.0 + perpend_gap(lean, level, setup->arm.length, bearing, 0, 0);
            double value =
                gap / perpend_gauge_gap_per_reading(&setup->gauge) + noise * test_normal(random);
            value = setup->gauge.step * round(value / setup->gauge.step);
            scene->readings[s][i] = (struct perpend_reading){bearing, value, 0, 0};
        }
        lean.right *= test_uniform(random, -0.5, 1);
        lean.back *= test_uniform(random, -0.5, 1);
    }
}

/* Blanks out the compass to the left of "The top …", so that its sentences can be run together. */
static void take_compass_out(const char *text, char *out, size_t size)
{
    snprintf(out, size, "%s", text);
    char *line = strstr(out, "The top ");
    size_t column = 0;
    for (; line != NULL && line > out && line[-1] != '\n'; column++)
        line--;
    while (line != NULL && *line != '\n' && *line != '\0') {
        size_t length = strcspn(line, "\n");
        memset(line, ' ', length < column ? length : column);
        line += length + (line[length] == '\n');
    }
}

/* Sentences without line ends, to search in. */
static void run_together(const char *text, char *out, size_t size)
{
    size_t used = 0;
    bool blank = true;
    for (; *text && used + 1 < size; text++) {
        bool space = *text == ' ' || *text == '\n';
        if (!space || !blank)
            out[used++] = space ? ' ' : *text;
        blank = space;
    }
    out[used] = '\0';
}

static const char *lines_fit(const char *text, unsigned width, bool utf8)
{
    for (const char *line = text; *line;) {
        char one[1024];
        size_t length = strcspn(line, "\n");
        if (length >= sizeof one)
            return "a line without end";
        memcpy(one, line, length);
        one[length] = '\0';
        if (words_columns(one) > width)
            return "a line is too wide";
        if (length > 0 && one[length - 1] == ' ')
            return "a line ends in a blank";
        for (size_t i = 0; i < length; i++) {
            if (!utf8 && (unsigned char)one[i] >= 0x80)
                return "not ASCII";
            if ((unsigned char)one[i] < ' ')
                return "a control character";
        }
        line += length + (line[length] == '\n');
    }
    return NULL;
}

static const char *numbers_are_numbers(const char *said)
{
    static const char *const never[] = {
        "nan", "inf", "(null)", "-0.0 ", "-0.00 ", "-0.000 ", "  ", "{", "}"};
    for (size_t i = 0; i < sizeof never / sizeof never[0]; i++)
        if (strstr(said, never[i]))
            return never[i];
    return NULL;
}

/* The number behind a phrase, NAN when it is not said. */
static double number_after(const char *said, const char *phrase)
{
    const char *at = strstr(said, phrase);
    return at ? strtod(at + strlen(phrase), NULL) : (double)NAN;
}

/* The sentence about the lean against the fit: what is said to lean does, as far as is said. */
static const char *lean_is_told(const char *said, const struct perpend_fit *fit, double factor)
{
    static const struct {
        const char *phrase[2];
        double sign;
        bool back;
    } ways[] = {{{"leans back ", "never said"}, 1, true},
        {{"leans forward ", "never said"}, -1, true}, {{"leans right ", " and right "}, 1, false},
        {{"leans left ", " and left "}, -1, false}};
    const char *sentence = strstr(said, "The top ");
    char text[256];
    if (!sentence)
        return "nothing said of the lean";
    snprintf(text, sizeof text, "%s", sentence);
    char *end = strstr(text, "/m.");
    end = end ? end : strstr(text, "/ft.");
    if (end)
        *end = '\0';
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
        double value = ways[i].back ? fit->lean.back : fit->lean.right;
        double variance =
            ways[i].back ? fit->lean_covariance.back_back : fit->lean_covariance.right_right;
        double expanded = 2.0 * sqrt(variance);
        bool shows = ways[i].sign * value > expanded;
        double told = number_after(text, ways[i].phrase[0]);
        if (isnan(told))
            told = number_after(text, ways[i].phrase[1]);
        if (shows != !isnan(told))
            return "a lean that shows is not told, or one that does not is";
        /* rounded to at most one digit of its ±: within an eighth of that (see test_words) */
        if (shows && fabs(told / factor - ways[i].sign * value) > 0.13 * expanded + 0.51 / factor)
            return "the lean told is another";
    }
    return NULL;
}

static const char *steps_are_counted(const char *text)
{
    unsigned step = 0;
    for (const char *line = text; *line;) {
        size_t length = strcspn(line, "\n");
        if (length > 3 && line[0] >= '1' && line[0] <= '9' && line[1] == '.' && line[2] == ' ')
            if ((unsigned)(line[0] - '0') != ++step)
                return "steps are counted wrongly";
        line += length + (line[length] == '\n');
    }
    return NULL;
}

/* The verdict stands in the second row, or what must be read again does; and nobody is sent to the
   bolts who is to leave them alone or to read again. */
static const char *verdict_is_told(const char *text, const char *said,
    const struct answer_about *about, const struct answer_options *options)
{
    const char *const words[] = {[PERPEND_VERDICT_NO_GOAL] = "RIDGE ",
        [PERPEND_VERDICT_MET] = "GOOD ENOUGH: ridge ",
        [PERPEND_VERDICT_NOT_MET] = "NOT YET: ridge ",
        [PERPEND_VERDICT_TOO_CLOSE] = "TOO CLOSE TO CALL: ridge ",
        [PERPEND_VERDICT_UNKNOWN] = "NOT KNOWN YET: "};
    enum perpend_verdict verdict = about->measurement->verdict;
    bool doubtful = answer_readings_doubtful(about);
    const char *want = doubtful ? "READ AGAIN: " : words[verdict], *row = strchr(text, '\n');
    if (row == NULL || strncmp(row + 1, want, strlen(want)) != 0)
        return "the verdict is not in the second row";
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (words[i] != want && strstr(said, words[i]) != NULL)
            return "another verdict is told as well";
    bool alone = verdict == PERPEND_VERDICT_MET || (doubtful && !options->more);
    return alone && strstr(said, "oosen") ? "bolts are loosened" : NULL;
}

/* No word has two meanings, and none of those is there that a tired person stumbles over. */
static const char *banned_word(const char *said)
{
    static const char *const never[] = {"foretold", "said to be done", "held against", "gave back",
        "which is wrong", "chances in 100"};
    for (size_t i = 0; i < sizeof never / sizeof *never; i++)
        if (strstr(said, never[i]))
            return never[i];
    return NULL;
}

static size_t rows_of(const char *text)
{
    size_t rows = 0;
    for (; *text; text++)
        rows += *text == '\n';
    return rows;
}

static void words_say_what_was_worked_out(void **state)
{
    (void)state;
    struct test_random random = test_random_start("answer", 35);
    const int jobs = test_cases(120, 100);
    int told = 0;
    size_t elsewhere = 0, one_joint = 0;
    for (int n = 0; n < jobs; n++) {
        static struct scene scene;
        struct perpend_solution solution;
        memset(&scene, 0, sizeof scene);
        draw_machine(&scene, &random);
        draw_job(&scene, &random);
        unsigned width = 60 + (unsigned)test_pick(&random, 21);
        bool utf8 = coin(&random);
        struct answer_options options = {.more = test_pick(&random, 3) == 0};
        if (perpend_job_solve(&scene.machine, &scene.job, &solution, NULL) != PERPEND_OK)
            continue; /* three readings at two bearings, stripes that would stand … */
        told++;
        struct words words = {.unit = scene.machine.unit, .width = width, .utf8 = utf8};
        struct answer_about about = {
            &scene.machine, &scene.job, &solution.measurements[solution.measurement_count - 1]};
        answer_job(&words, &scene.machine, &scene.job, &solution, &options);
        static char said[16384], alone[16384];
        const char *text = buffer_text(&words.out), *wrong = NULL;
        take_compass_out(text, alone, sizeof alone);
        run_together(alone, said, sizeof said);
        bool inch = scene.machine.unit == PERPEND_UNIT_INCH;
        size_t rows = rows_of(text);
        if (words.out.failed)
            wrong = "memory is out";
        wrong = wrong ? wrong : lines_fit(text, width, utf8);
        wrong = wrong ? wrong : numbers_are_numbers(said);
        wrong = wrong ? wrong : verdict_is_told(text, said, &about, &options);
        wrong = wrong ? wrong : banned_word(said);
        if (!wrong && !answer_readings_doubtful(&about))
            wrong = lean_is_told(said, &about.measurement->fit, inch ? 12000.0 : 1000.0);
        wrong = wrong ? wrong : steps_are_counted(text);
        if (!wrong && strstr(said, inch ? " mm" : " thou"))
            wrong = "the other unit";
        if (!options.more && scene.machine.mount.joint_count <= 1) {
            one_joint++;
            elsewhere += strstr(said, "takes more than this screen") != NULL;
            if (!wrong && rows > ANSWER_ROWS)
                wrong = "more than one screen";
        }
        if (wrong) {
            printf("# case %d, width %u: %s\n%s\n", n, width, wrong, text);
            fail();
        }
        buffer_finish(&words.out);
        perpend_solution_finish(&solution);
    }
    printf("# %d of %d jobs told; of %zu with one joint or none the steps of %zu do not fit\n",
        told, jobs, one_joint, elsewhere);
    assert_true(told > jobs / 6 * 5);
    assert_true(20 * elsewhere <= one_joint + 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(words_say_what_was_worked_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
