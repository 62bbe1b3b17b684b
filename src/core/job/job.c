/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A whole job, measurement by measurement: fit, ridge, verdict, what the last adjustment showed,
   and the next plan. Each step is another module's; this one only hands results on. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/job.h>
#include <perpend/status.h>

#include "core/propagate/ridge_distribution.h"
#include "core/base/covariance.h"
#include "core/job/did.h"
#include "core/job/place.h"
#include "core/plan/on_hand.h"

/* What the job has taught so far, handed from one measurement to the next. */
struct course {
    const struct perpend_machine *machine;
    const struct perpend_job *job;
    const struct perpend_measurement *known; /* the same measurement as solved before, or NULL */
    struct perpend_response response;
    double turned
        [PERPEND_JOINTS_MOST]; /* a joint: turn already taken from its play, rad about its face direction */
    struct on_hand hand;
    struct perpend_setup setup; /* the machine's, with the bed's slope once it is known */
};

/* The sweeps from `first` on that belong to one measurement: up to and with the first one after
   which something was said to be done. */
static size_t sweeps_together(const struct perpend_job *job, size_t first)
{
    size_t next = first;
    while (next < job->sweep_count && job->sweeps[next].did_kind == PERPEND_DID_UNSTATED)
        next++;
    return next < job->sweep_count ? next - first + 1 : next - first;
}

static void add_change(struct perpend_slope *sum, struct perpend_slope change)
{
    sum->right += change.right;
    sum->back += change.back;
}

/* Slides use up the play of their joint, whatever the mount made of them. */
static void note_turn(struct course *course, size_t joint, struct perpend_slope change)
{
    struct perpend_slope to_nothing = {-change.right, -change.back};
    struct perpend_point turn = perpend_turn_for(to_nothing);
    enum perpend_face face = course->machine->mount.joints[joint].face;
    course->turned[joint] += perpend_dot(turn, perpend_face_direction(face));
}

static enum perpend_status change_of_entries(struct course *course,
    const struct perpend_sweep *sweep, size_t joint, enum perpend_move move,
    struct perpend_slope *asked)
{
    const struct perpend_joint *of = &course->machine->mount.joints[joint];
    struct perpend_amount amounts[PERPEND_BOLTS_MOST];
    struct perpend_slope change;
    if (!did_amounts(sweep->did, sweep->did_count, joint, move, amounts))
        return PERPEND_OK;
    enum perpend_status status = perpend_moves_change(of, move, amounts, &change);
    if (status != PERPEND_OK)
        return status;
    add_change(asked, change);
    if (perpend_move_find(move)->limit == PERPEND_LIMIT_PLAY)
        note_turn(course, joint, change);
    return PERPEND_OK;
}

static enum perpend_status change_of_list(
    struct course *course, const struct perpend_sweep *sweep, struct perpend_slope *asked)
{
    const struct perpend_move_row *row;
    for (size_t joint = 0; joint < course->machine->mount.joint_count; joint++)
        for (size_t m = 0; (row = perpend_move_at(m)) != NULL; m++) {
            enum perpend_status status = change_of_entries(course, sweep, joint, row->move, asked);
            if (status != PERPEND_OK)
                return status;
        }
    return PERPEND_OK;
}

static const struct perpend_sweep *last_sweep(
    const struct course *course, const struct perpend_measurement *measurement)
{
    return &course->job->sweeps[measurement->first_sweep + measurement->sweep_count - 1];
}

/* The lean change that was asked of the mount after a measurement, by the ideal geometry. */
static enum perpend_status change_asked(
    struct course *course, const struct perpend_measurement *before, struct perpend_slope *asked)
{
    const struct perpend_sweep *last = last_sweep(course, before);
    *asked = (struct perpend_slope){0, 0};
    if (last->did_kind == PERPEND_DID_LIST)
        return change_of_list(course, last, asked);
    if (last->did_kind != PERPEND_DID_PLAN || !before->has_plan)
        return PERPEND_OK;
    for (size_t i = 0; i < before->plan.step_count; i++) {
        const struct perpend_step *step = &before->plan.steps[i];
        add_change(asked, step->change);
        if (perpend_move_find(step->move)->limit == PERPEND_LIMIT_PLAY)
            note_turn(course, step->joint, step->change);
    }
    return PERPEND_OK;
}

/* Leaves that went into the mount after a measurement are no longer on hand. */
static enum perpend_status use_leaves(
    struct course *course, const struct perpend_measurement *before)
{
    const struct perpend_sweep *last = last_sweep(course, before);
    enum perpend_status status = PERPEND_OK;
    if (last->did_kind == PERPEND_DID_PLAN && before->has_plan)
        status = on_hand_did_plan(&course->hand, &before->plan);
    for (size_t i = 0; last->did_kind == PERPEND_DID_LIST && i < last->did_count; i++)
        if (status == PERPEND_OK)
            status = on_hand_did(&course->hand, &last->did[i]);
    return status;
}

/* A test cut alone on a bed as found says nothing of its slope. */
static bool lacks_bed(const struct course *course, const struct perpend_measurement *measurement)
{
    const struct perpend_fit *fit = &measurement->fit;
    return !course->machine->setup.bed_faced && !fit->includes_bed && !fit->bed_separated;
}

static enum perpend_status learn(struct course *course, const struct perpend_measurement *before,
    struct perpend_measurement *now)
{
    struct perpend_slope asked;
    enum perpend_status status = change_asked(course, before, &asked);
    if (status != PERPEND_OK)
        return status;
    const bool bare = lacks_bed(course, before) || lacks_bed(course, now);
    /* a lean by itself, and lean and bed in one figure: what was obtained cannot be told */
    if (bare && (before->fit.includes_bed || now->fit.includes_bed))
        return PERPEND_OK;
    now->adjusted = last_sweep(course, before)->did_kind != PERPEND_DID_NOTHING;
    /* by lean and bed together where both are known: the bed has not moved */
    struct perpend_slope was = bare ? before->fit.lean : perpend_fit_sum(&before->fit);
    struct perpend_slope is = bare ? now->fit.lean : perpend_fit_sum(&now->fit);
    struct perpend_slope obtained = {is.right - was.right, is.back - was.back};
    return perpend_response_learn(&course->response, asked, obtained,
        covariance_sum(before->fit.change_covariance, now->fit.change_covariance),
        last_sweep(course, before)->did_sure, &now->adjustment);
}

static enum perpend_status turn_feed(struct course *course, struct perpend_measurement *measurement)
{
    const struct perpend_machine *machine = course->machine;
    const struct perpend_fit *fit = &measurement->fit;
    const struct perpend_ridge *ridge = &measurement->ridge;
    struct perpend_turned_feed *turned = &measurement->turned_feed;
    measurement->turn_feed_meets_goal =
        ridge->height > machine->goal.ridge &&
        perpend_goal_kept(&machine->goal, ridge->best_height, fit->lean);
    if (!measurement->turn_feed_meets_goal)
        return PERPEND_OK;
    bool along_y = ridge->along_y <= ridge->along_x;
    turned->along = along_y ? PERPEND_ALONG_Y : PERPEND_ALONG_X;
    turned->height = along_y ? ridge->along_y : ridge->along_x;
    if (turned->height > machine->goal.ridge) {
        turned->along = ridge->best_along;
        turned->height = ridge->best_height;
    }
    struct perpend_facing facing = machine->facing;
    facing.both_ways = false;
    facing.along = turned->along;
    struct perpend_uncertain_lean lean = {fit->lean, fit->lean_covariance, fit->dof};
    struct perpend_distribution distribution = {.chance = NAN};
    enum perpend_status status = ridge_distribution_by(
        LATTICE_OF_1597, &lean, &machine->cutter, &facing, &machine->goal, &distribution);
    turned->chance = distribution.chance;
    return status;
}

static bool same_lean(const struct perpend_fit *one, const struct perpend_fit *other)
{
    const struct perpend_slope_covariance *a = &one->lean_covariance, *b = &other->lean_covariance;
    return one->lean.right == other->lean.right && one->lean.back == other->lean.back &&
           a->right_right == b->right_right && a->right_back == b->right_back &&
           a->back_back == b->back_back;
}

/* What was judged before of the same lean, as sure as now, from as many readings. */
static bool judged_before(const struct perpend_measurement *known, struct perpend_measurement *now)
{
    if (known == NULL || known->reading_count != now->reading_count ||
        memcmp(known->readings, now->readings, now->reading_count * sizeof *now->readings) != 0 ||
        known->cut_count != now->cut_count ||
        memcmp(known->cuts, now->cuts, now->cut_count * sizeof *now->cuts) != 0 ||
        !same_lean(&known->fit, &now->fit) || known->fit.dof != now->fit.dof ||
        known->fit.includes_bed != now->fit.includes_bed)
        return false;
    now->ridge = known->ridge;
    now->distribution = known->distribution;
    now->verdict = known->verdict;
    memcpy(now->remedies, known->remedies, sizeof now->remedies);
    now->remedy_count = known->remedy_count;
    now->limits = known->limits;
    now->turn_feed_meets_goal = known->turn_feed_meets_goal;
    now->turned_feed = known->turned_feed;
    return true;
}

static enum perpend_status judge(struct course *course, struct perpend_measurement *measurement)
{
    const struct perpend_machine *machine = course->machine;
    const struct perpend_fit *fit = &measurement->fit;
    if (judged_before(course->known, measurement))
        return PERPEND_OK;
    enum perpend_status status =
        perpend_ridge_describe(fit->lean, &machine->cutter, &machine->facing, &measurement->ridge);
    if (status != PERPEND_OK)
        return status;
    struct perpend_uncertain_lean lean = {fit->lean, fit->lean_covariance, fit->dof};
    status = perpend_ridge_distribution(
        &lean, &machine->cutter, &machine->facing, &machine->goal, &measurement->distribution);
    if (status != PERPEND_OK)
        return status;
    measurement->verdict = perpend_verdict_for(measurement->distribution.chance);
    if (measurement->verdict != PERPEND_VERDICT_NO_GOAL &&
        (fit->includes_bed || measurement->doubt.kind != PERPEND_DOUBT_NONE))
        measurement->verdict = PERPEND_VERDICT_UNKNOWN;
    if (!isnan(machine->goal.ridge)) {
        if ((status = turn_feed(course, measurement)) != PERPEND_OK)
            return status;
        status = perpend_ridge_limits_for(fit->lean, &machine->cutter, &machine->facing,
            machine->goal.ridge, machine->setup.arm.length, &measurement->limits);
    }
    if (status == PERPEND_OK && measurement->verdict == PERPEND_VERDICT_TOO_CLOSE &&
        measurement->reading_count > 0)
        status = perpend_remedies_find(
            &(struct perpend_remedy_question){measurement->readings, measurement->reading_count,
                &course->setup, fit, &machine->cutter, &machine->facing, machine->goal},
            measurement->remedies, &measurement->remedy_count);
    return status;
}

/* The planner weighs a lean by how far the stepover rises with it. */
static double goal_as_ridge(const struct perpend_machine *machine)
{
    return fmin(machine->goal.ridge, machine->goal.lean * machine->facing.stepover);
}

struct perpend_outlook perpend_measurement_outlook(
    const struct perpend_machine *machine, const struct perpend_measurement *measurement)
{
    return (struct perpend_outlook){&machine->mount, &measurement->response, &machine->setup,
        &measurement->fit, measurement->readings, measurement->reading_count};
}

/* Whether a plan's ridge is surely higher than now, where the ridge is what counts and is not good enough. */
static bool plan_worsens(
    const struct perpend_goal *goal, const struct perpend_measurement *measurement)
{
    const struct perpend_plan *plan = &measurement->plan;
    bool ridge_counts = isnan(goal->lean) || plan->ridge > goal->ridge;
    return ridge_counts && measurement->verdict != PERPEND_VERDICT_MET && plan->step_count > 0 &&
           plan->ridge > measurement->distribution.high;
}

static enum perpend_status plan(struct course *course, struct perpend_measurement *measurement)
{
    const struct perpend_machine *machine = course->machine;
    if (machine->mount.joint_count == 0)
        return PERPEND_OK;
    struct perpend_plan_input input = {
        .lean = measurement->fit.lean,
        .mount = &machine->mount,
        .stock = &course->hand.stock,
        .response = &course->response,
        .cutter = &machine->cutter,
        .facing = &machine->facing,
        .goal = goal_as_ridge(machine),
        .upright = isfinite(machine->goal.lean),
        .turned = course->turned,
        .inside = course->hand.inside,
    };
    enum perpend_status status = perpend_plan_make(&input, &measurement->plan);
    if (status != PERPEND_OK)
        return status;
    measurement->has_plan = true;
    measurement->plan_worsens = plan_worsens(&machine->goal, measurement);
    struct perpend_outlook outlook = perpend_measurement_outlook(machine, measurement);
    return perpend_plan_watch(&measurement->plan, &outlook);
}

/* On its own, or where that leaves lean and bed in one, with the bed as it was found before. */
static enum perpend_status fit_arm(struct course *course, struct perpend_measurement *now)
{
    struct perpend_setup alone = course->machine->setup;
    alone.bed_known = false;
    enum perpend_status status =
        perpend_fit_readings(now->readings, now->reading_count, &alone, now->residual, &now->fit);
    bool in_one = status == PERPEND_OK && now->fit.includes_bed;
    if (!course->setup.bed_known || (!in_one && status != PERPEND_ERR_UNDETERMINED))
        return status;
    now->bed_from_before = true;
    return perpend_fit_readings(
        now->readings, now->reading_count, &course->setup, now->residual, &now->fit);
}

/* The arm and the test cut; what they tell of the bed is known from then on. */
static enum perpend_status fit(struct course *course, struct perpend_measurement *now)
{
    const struct perpend_machine *machine = course->machine;
    enum perpend_status status = PERPEND_OK;
    if (now->reading_count > 0 || now->cut_count == 0)
        status = fit_arm(course, now);
    if (status == PERPEND_OK && now->cut_count > 0)
        status = perpend_cut_join(
            &(struct perpend_cut_question){now->readings, now->reading_count, now->residual,
                now->cuts, now->cut_count,
                now->bed_from_before || now->reading_count == 0 ? &course->setup : &machine->setup,
                &machine->cutter, machine->cut},
            &now->fit, &now->cut);
    if (status == PERPEND_OK && now->fit.bed_separated && !now->bed_from_before &&
        now->reading_count > 0) {
        course->setup.bed_known = true;
        course->setup.bed = now->fit.bed;
        course->setup.bed_covariance = now->fit.bed_covariance;
    }
    return status;
}

static enum perpend_status measure(struct course *course, const struct perpend_measurement *before,
    struct perpend_measurement *now, struct perpend_job_fault *fault)
{
    enum perpend_status status = measurement_gather(course->job, now);
    if (status != PERPEND_OK)
        return status;
    status = fit(course, now);
    if (status != PERPEND_OK) {
        if (fault)
            fault->fit = now->fit;
        return status;
    }
    status = measurement_doubt(&course->setup, course->job, now);
    if (status != PERPEND_OK)
        return status;
    if (before && (status = learn(course, before, now)) != PERPEND_OK)
        return status;
    now->response = course->response;
    if ((status = judge(course, now)) != PERPEND_OK)
        return status;
    return plan(course, now);
}

enum perpend_status perpend_job_solve(const struct perpend_machine *machine,
    const struct perpend_job *job, struct perpend_solution *solution,
    struct perpend_job_fault *fault)
{
    return perpend_job_solve_again(machine, job, NULL, solution, fault);
}

enum perpend_status perpend_job_solve_again(const struct perpend_machine *machine,
    const struct perpend_job *job, const struct perpend_solution *known,
    struct perpend_solution *solution, struct perpend_job_fault *fault)
{
    struct perpend_solution answer = {0};
    struct course course = {
        .machine = machine,
        .job = job,
        .response = job->has_learned ? job->learned : perpend_response_start(),
        .setup = machine->setup,
    };
    enum perpend_status status = on_hand_init(&course.hand, machine, job);
    answer.measurements = calloc(job->sweep_count + 1, sizeof *answer.measurements);
    answer.leaves_left = calloc(machine->stock.leaf_count + 1, sizeof *answer.leaves_left);
    answer.inside = calloc(1, sizeof course.hand.inside);
    if (fault)
        memset(fault, 0, sizeof *fault);
    if (!answer.measurements || !answer.leaves_left || !answer.inside)
        status = PERPEND_ERR_MEMORY;
    if (status != PERPEND_OK)
        goto out;
    status = job->sweep_count > 0 ? PERPEND_OK : PERPEND_ERR_VALUE;
    for (size_t first = 0; first < job->sweep_count && status == PERPEND_OK;) {
        struct perpend_measurement *now = &answer.measurements[answer.measurement_count++];
        const struct perpend_measurement *before = answer.measurement_count > 1 ? now - 1 : NULL;
        now->first_sweep = first;
        now->sweep_count = sweeps_together(job, first);
        if (fault)
            fault->sweep = first;
        size_t index = answer.measurement_count - 1;
        course.known =
            known != NULL && index < known->measurement_count ? &known->measurements[index] : NULL;
        status = measure(&course, before, now, fault);
        if (status == PERPEND_OK)
            status = use_leaves(&course, now);
        first += now->sweep_count;
    }
    for (size_t i = 0; i < machine->stock.leaf_count; i++)
        answer.leaves_left[i] = course.hand.stock.leaves[i].count;
    memcpy(answer.inside, course.hand.inside, sizeof course.hand.inside);
out:
    if (status == PERPEND_OK)
        *solution = answer;
    else
        perpend_solution_finish(&answer);
    return status;
}

bool perpend_solution_learned(
    const struct perpend_solution *solution, struct perpend_response *learned)
{
    const struct perpend_response start = perpend_response_start();
    *learned = start;
    if (solution->measurement_count > 0)
        *learned = solution->measurements[solution->measurement_count - 1].response;
    bool any = false;
    for (size_t i = 0; i < 4; i++)
        any = any || learned->gain[i / 2][i % 2] != start.gain[i / 2][i % 2] ||
              learned->covariance[i][i] != start.covariance[i][i];
    perpend_response_fade(learned, PERPEND_RESPONSE_KEEP_JOB);
    return any;
}

void perpend_job_finish(struct perpend_job *job)
{
    if (job == NULL)
        return;
    for (size_t i = 0; i < job->sweep_count; i++) {
        free(job->sweeps[i].name);
        free(job->sweeps[i].readings);
        free(job->sweeps[i].cuts);
        free(job->sweeps[i].did);
    }
    free(job->sweeps);
    free(job->inside);
    free(job->stock);
    free(job->who);
    free(job->temperature);
    *job = (struct perpend_job){0};
}

void perpend_solution_finish(struct perpend_solution *solution)
{
    if (!solution)
        return;
    for (size_t i = 0; i < solution->measurement_count; i++) {
        struct perpend_measurement *measurement = &solution->measurements[i];
        measurement_finish(measurement);
        perpend_plan_finish(&measurement->plan);
    }
    free(solution->measurements);
    free(solution->leaves_left);
    free(solution->inside);
    *solution = (struct perpend_solution){NULL, 0, NULL, NULL};
}
