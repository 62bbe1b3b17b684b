/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include <perpend/drift.h>
#include <perpend/status.h>

#include "text/answer.h"

static const struct perpend_sweep *first_sweep(const struct answer_about *about)
{
    return &about->job->sweeps[about->measurement->first_sweep];
}

bool answer_sweeps_of_one_name(
    const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    const struct perpend_sweep *sweeps = &job->sweeps[measurement->first_sweep];
    size_t length = strlen(sweeps[0].name);
    if (measurement->sweep_count < 2 || length == 0)
        return false;
    for (size_t i = 1; i < measurement->sweep_count; i++)
        if (strncmp(sweeps[i].name, sweeps[0].name, length) != 0 || sweeps[i].name[length] != ',')
            return false;
    return true;
}

/* "as found"; "sweep 2" of one that is called 2. */
static void add_sweep_name(struct buffer *phrase, const char *name)
{
    if (name[0] != '\0' && name[strspn(name, "0123456789")] == '\0')
        buffer_add(phrase, "sweep" WORDS_GLUE);
    words_name(phrase, name);
}

static void add_sweep_names(struct buffer *phrase, const struct answer_about *about)
{
    size_t count = about->measurement->sweep_count;
    if (answer_sweeps_of_one_name(about->job, about->measurement)) {
        add_sweep_name(phrase, first_sweep(about)->name);
        buffer_addf(phrase, " (%zu sweeps)", count);
        return;
    }
    for (size_t i = 0; i < count; i++) {
        words_list_mark(phrase, i, count);
        add_sweep_name(phrase, first_sweep(about)[i].name);
    }
}

/* One axis of the lean: which way, how far, and whether it shows at all. */
struct axis {
    const char *way;
    double size, expanded;
    bool shows;
};

static struct axis axis_of(double value, double variance, const char *plus, const char *minus)
{
    double width = words_expanded(variance);
    /* rounding leaves a lean of nothing with a sign of its own */
    bool positive = value > -1e-12;
    return (struct axis){positive ? plus : minus, fabs(value), width, fabs(value) > width};
}

static struct axis back_axis(const struct perpend_fit *fit)
{
    return axis_of(fit->lean.back, fit->lean_covariance.back_back, "back", "forward");
}

static struct axis right_axis(const struct perpend_fit *fit)
{
    return axis_of(fit->lean.right, fit->lean_covariance.right_right, "right", "left");
}

bool answer_slope_shows(
    struct perpend_slope slope, const struct perpend_slope_covariance *covariance)
{
    struct perpend_drift from_zero;
    if (perpend_drift_between((struct perpend_slope){0, 0},
            (struct perpend_slope_covariance){0, 0, 0}, slope, *covariance,
            &from_zero) != PERPEND_OK)
        return slope.right != 0.0 || slope.back != 0.0;
    return from_zero.beyond;
}

void answer_brief(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    struct axis axes[] = {back_axis(&measurement->fit), right_axis(&measurement->fit)};
    struct buffer phrase = {0};
    add_sweep_names(&phrase, about);
    buffer_add(&phrase, ": ");
    for (size_t i = 0; i < 2; i++) {
        buffer_addf(&phrase, i == 0 ? "%s" WORDS_GLUE : ", %s" WORDS_GLUE, axes[i].way);
        words_plus_minus_bare(words, &phrase, WORDS_SLOPE, axes[i].size, axes[i].expanded);
    }
    buffer_addf(&phrase, WORDS_GLUE "%s; ridge ", words_unit_name(words, WORDS_SLOPE));
    words_ridge(words, &phrase, measurement->ridge.height);
    const char *verdict = perpend_verdict_text(measurement->verdict);
    if (verdict)
        buffer_addf(&phrase, "; %s", verdict);
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

static double depth_of_cost(const struct words *words)
{
    return words->unit == PERPEND_UNIT_INCH ? PERPEND_MM_PER_INCH : 10.0;
}

/* How far a hole runs off in so much depth. */
static void add_cost_of_lean(const struct words *words, struct buffer *phrase, double lean)
{
    bool inch = words->unit == PERPEND_UNIT_INCH;
    double depth = depth_of_cost(words);
    buffer_add(phrase, " the lean still shows in deep cuts and drilled holes, ");
    words_rounded(words, phrase, WORDS_SMALL, lean * depth, inch ? 0.015 : 0.01);
    buffer_add(phrase, inch ? " per inch" : " per" WORDS_GLUE "10" WORDS_GLUE "mm");
    buffer_add(phrase, " of depth.");
}

void answer_turn_feed(struct words *words, const struct answer_about *about)
{
    const struct perpend_facing *facing = &about->machine->facing;
    if (!about->measurement->turn_feed_meets_goal)
        return;
    const struct perpend_turned_feed *turned = &about->measurement->turned_feed;
    struct buffer phrase = {0};
    buffer_add(&phrase, "Before a bolt is touched: feed along" WORDS_GLUE);
    words_feed(&phrase, turned->along);
    if (facing->both_ways)
        buffer_add(&phrase, " only");
    else {
        buffer_add(&phrase, ", not along" WORDS_GLUE);
        words_feed(&phrase, facing->along);
    }
    if (perpend_verdict_for(turned->chance) == PERPEND_VERDICT_MET)
        buffer_add(&phrase, ". That alone meets the goal: the ridge is then ");
    else {
        buffer_add(&phrase, ". That alone may meet the goal (");
        words_chance(&phrase, turned->chance);
        buffer_add(&phrase, "): the ridge is then ");
    }
    words_ridge(words, &phrase, turned->height);
    buffer_add(&phrase, ". What it costs:");
    add_cost_of_lean(words, &phrase, perpend_slope_size(about->measurement->fit.lean));
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

void answer_verdict(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    static const char *const said[] = {
        [PERPEND_VERDICT_NO_GOAL] = "No goal is set in the machine file. Ridge ",
        [PERPEND_VERDICT_MET] = "GOOD ENOUGH: stop here and leave the bolts alone. Ridge ",
        [PERPEND_VERDICT_NOT_MET] = "NOT GOOD ENOUGH as it is: ridge ",
        [PERPEND_VERDICT_TOO_CLOSE] = "TOO CLOSE TO CALL: ridge ",
    };
    /* how sure that is says nothing of a slope of the bed that no sweep has told apart */
    static const char *const bed_said[] = {
        [PERPEND_VERDICT_MET] =
            "GOOD ENOUGH, if the bed is true to the travel: stop here and leave "
            "the bolts alone. Ridge ",
        [PERPEND_VERDICT_NOT_MET] =
            "NOT GOOD ENOUGH as it is, if the bed is true to the travel: ridge ",
        [PERPEND_VERDICT_TOO_CLOSE] = NULL,
    };
    const char *if_true = measurement->fit.includes_bed ? bed_said[measurement->verdict] : NULL;
    struct buffer phrase = {0};
    buffer_add(&phrase, if_true != NULL ? if_true : said[measurement->verdict]);
    words_ridge_range(words, &phrase, measurement->ridge.height, measurement->distribution.low,
        measurement->distribution.high);
    buffer_add(&phrase, " ");
    words_facing(&phrase, &about->machine->facing);
    if (measurement->verdict != PERPEND_VERDICT_NO_GOAL) {
        buffer_add(&phrase, ", goal ");
        words_stated(words, &phrase, WORDS_SMALL, about->machine->goal);
        buffer_add(&phrase, "; ");
        words_chance(&phrase, measurement->distribution.chance);
        buffer_add(&phrase, " that it is met");
    }
    buffer_add(&phrase, ".");
    double lean = perpend_slope_size(measurement->fit.lean);
    if (measurement->verdict == PERPEND_VERDICT_MET &&
        lean * depth_of_cost(words) > about->machine->goal) {
        buffer_add(&phrase, " What stays:");
        add_cost_of_lean(words, &phrase, lean);
    }
    if (measurement->verdict == PERPEND_VERDICT_NOT_MET && isnan(measurement->limits.lean))
        buffer_add(&phrase,
            " With this bit's round corners and this stepover even an upright spindle "
            "does not keep it: take a smaller stepover.");
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

static void add_axis(const struct words *words, struct buffer *phrase, const struct axis *axis)
{
    buffer_addf(phrase, "%s by ", axis->way);
    words_plus_minus(words, phrase, WORDS_SLOPE, axis->size, axis->expanded);
}

/* An axis along which nothing shows: "sideways 0.0 ± 0.4, as good as none". */
static void add_none(const struct words *words, struct buffer *phrase, const struct axis *axis,
    const char *both_ways)
{
    buffer_addf(phrase, "; %s ", both_ways);
    words_plus_minus_bare(words, phrase, WORDS_SLOPE, axis->size, axis->expanded);
    buffer_add(phrase, ", as good as none");
}

static void add_bed(
    struct words *words, struct buffer *phrase, const struct perpend_measurement *measurement)
{
    const struct perpend_fit *fit = &measurement->fit;
    if (fit->includes_bed)
        buffer_add(phrase,
            " This is lean and bed together, as the bed was not faced here. To tell them "
            "apart face it (eye protection, dust extraction, a rated mask), or sweep "
            "at three places not in a line.");
    if (!fit->bed_separated)
        return;
    struct axis back = axis_of(fit->bed.back, fit->bed_covariance.back_back, "back", "front");
    struct axis right = axis_of(fit->bed.right, fit->bed_covariance.right_right, "right", "left");
    buffer_addf(phrase, " Apart from that the bed rises%s to the %s by ",
        measurement->bed_from_before ? ", as found before," : "", back.way);
    words_plus_minus(words, phrase, WORDS_SLOPE, back.size, back.expanded);
    buffer_addf(phrase, " and to the %s by ", right.way);
    words_plus_minus(words, phrase, WORDS_SLOPE, right.size, right.expanded);
    buffer_add(phrase, ".");
}

void answer_lean(struct words *words, const struct answer_about *about)
{
    const struct perpend_fit *fit = &about->measurement->fit;
    struct axis back = back_axis(fit), right = right_axis(fit);
    struct buffer phrase = {0};
    if (back.shows || right.shows) {
        buffer_add(&phrase, "The top leans ");
        add_axis(words, &phrase, back.shows ? &back : &right);
        if (back.shows && right.shows) {
            buffer_add(&phrase, " and ");
            add_axis(words, &phrase, &right);
        } else {
            add_none(words, &phrase, back.shows ? &right : &back,
                back.shows ? "sideways" : "back or forward");
        }
    } else {
        buffer_addf(&phrase, "The top leans no way that this sweep can tell: %s by ", back.way);
        words_plus_minus_bare(words, &phrase, WORDS_SLOPE, back.size, back.expanded);
        buffer_add(&phrase, ", ");
        add_axis(words, &phrase, &right);
    }
    buffer_add(&phrase, ".");
    add_bed(words, &phrase, about->measurement);
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

/* Is the best feed neither X nor Y, and worth the trouble of an oblique cut? */
static bool oblique_is_better(const struct perpend_ridge *ridge)
{
    double plain = fmin(ridge->along_x, ridge->along_y);
    return ridge->best_height < 0.8 * plain && plain - ridge->best_height > 0.001;
}

/* The bit's drop over the depth of cut, up to which nobody would know. */
#define NEARLY_CUT 1.05

bool ridge_cut_too_shallow(const struct perpend_ridge *ridge, double depth)
{
    /* a rounded corner that stands out of a shallow cut is as it should be, and a hair that stays
       uncut is neither seen nor felt */
    return ridge->depth_short && ridge->drop > NEARLY_CUT * depth;
}

void words_shallow_cut(const struct words *words, struct buffer *phrase,
    const struct perpend_ridge *ridge, double depth)
{
    buffer_add(phrase, "A cut of ");
    words_stated(words, phrase, WORDS_SMALL, depth);
    /* without what a rounded corner adds to it */
    double rise = fmin(ridge->rise, ridge->drop);
    buffer_add(phrase, " is too shallow for this lean: the bit's far side rises ");
    words_rounded(words, phrase, WORDS_SMALL, rise, rise / 10.0);
    buffer_add(phrase, ", so it cuts only ");
    words_rounded(words, phrase, WORDS_LARGE, ridge->width, 0.0);
    buffer_add(phrase, " wide.");
}

void answer_ridge(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_ridge *ridge = &measurement->ridge;
    const struct perpend_machine *machine = about->machine;
    struct buffer phrase = {0};
    buffer_add(&phrase, "Ridge with the ");
    words_stated(words, &phrase, WORDS_LARGE, machine->cutter.diameter);
    buffer_add(&phrase, " bit, ");
    words_stated(words, &phrase, WORDS_LARGE, machine->facing.stepover);
    buffer_add(&phrase, " stepover: ");
    words_ridge(words, &phrase, ridge->along_x);
    buffer_add(&phrase, " along" WORDS_GLUE "X, ");
    words_ridge(words, &phrase, ridge->along_y);
    buffer_add(&phrase, " along" WORDS_GLUE "Y");
    if (oblique_is_better(ridge)) {
        buffer_add(&phrase, ", least ");
        words_ridge(words, &phrase, ridge->best_height);
        buffer_add(&phrase, " along" WORDS_GLUE);
        words_feed(&phrase, ridge->best_along);
    }
    buffer_add(&phrase, ".");
    if (!measurement->turn_feed_meets_goal && measurement->verdict != PERPEND_VERDICT_MET &&
        ridge->best_height < ridge->height / 3.0) {
        buffer_add(&phrase, " Turning the feed alone cuts it to ");
        words_ridge(words, &phrase, ridge->best_height);
        buffer_add(&phrase, ".");
    }
    if (ridge_cut_too_shallow(ridge, machine->facing.depth)) {
        buffer_add(&phrase, " ");
        words_shallow_cut(words, &phrase, ridge, machine->facing.depth);
    }
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

bool answer_any_stepover(
    const struct perpend_ridge_limits *limits, const struct perpend_cutter *cutter)
{
    /* a disc that leans cuts a hair less than its diameter */
    return limits->stepover >= 0.999 * cutter->diameter;
}

void answer_remedy(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_remedy *remedy = &measurement->remedy;
    /* readings that do not agree are taken again before anything is bought */
    if (measurement->verdict != PERPEND_VERDICT_TOO_CLOSE || answer_readings_doubtful(about))
        return;
    size_t count = (size_t)remedy->by_repeats + remedy->by_step + remedy->by_arm, place = 0;
    struct buffer phrase = {0};
    if (count == 0) {
        buffer_add(&phrase, "No number of sweeps up to 64, finer gauge or longer arm would settle "
                            "it: the ridge sits on the goal. Adjust, or take it as it is.");
    } else {
        buffer_add(&phrase, count > 1 ? "Any one of these would settle it: " : "To settle it: ");
        if (remedy->by_repeats) {
            buffer_addf(&phrase, "sweep again without touching the mount, %u sweeps in all",
                remedy->repeats);
            place++;
        }
        if (remedy->by_step) {
            buffer_add(&phrase, place == 0 ? "" : place + 1 == count ? "; or " : "; ");
            buffer_add(&phrase, "a gauge that reads to ");
            if (words->unit == PERPEND_UNIT_INCH)
                words_rounded(words, &phrase, WORDS_SMALL, remedy->step, remedy->step / 5.0);
            else
                words_stated(words, &phrase, WORDS_SMALL, remedy->step);
            place++;
        }
        if (remedy->by_arm) {
            buffer_add(&phrase, place == 0 ? "" : "; or ");
            buffer_add(&phrase, "an arm of ");
            words_rounded(words, &phrase, WORDS_LARGE, remedy->arm, 0.0);
        }
        buffer_add(&phrase, ".");
    }
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

static void add_heading(struct words *words, const struct answer_about *about)
{
    struct buffer phrase = {0};
    if (about->machine->name && about->machine->name[0]) {
        words_name(&phrase, about->machine->name);
        buffer_add(&phrase, ", ");
    }
    add_sweep_names(&phrase, about);
    buffer_addf(&phrase, ": %zu readings. ± and brackets hold 95 times in 100.",
        about->measurement->reading_count);
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

void answer_measurement(
    struct words *words, const struct answer_about *about, const struct answer_options *options)
{
    answer_turn_feed(words, about);
    answer_verdict(words, about);
    answer_remedy(words, about);
    answer_lean(words, about);
    answer_doubts(words, about);
    answer_ridge(words, about);
    answer_response(words, about);
    if (answer_plan_worsens(about->measurement)) {
        answer_worse(words, about);
        answer_shortfall(words, about);
    }
    if (!answer_has_plan(about->measurement))
        return;
    words_gap(words);
    answer_plan(words, about, options);
    answer_shortfall(words, about);
    answer_next_sweep(words, about);
}

void answer_job(struct words *words, const struct perpend_machine *machine,
    const struct perpend_job *job, const struct perpend_solution *solution,
    const struct answer_options *options)
{
    for (size_t i = 0; i < solution->measurement_count; i++) {
        struct answer_about about = {machine, job, &solution->measurements[i]};
        if (i + 1 < solution->measurement_count) {
            answer_brief(words, &about);
            continue;
        }
        words_gap(words);
        add_heading(words, &about);
        answer_measurement(words, &about, options);
    }
}
