/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The library's numbers for other programs to check: cases on standard input, one JSON object a
   line on standard output, 17 digits. Blank-separated words:

       lsq ROWS COLUMNS   then ROWS times: the design's entries, observed, weight
       fit COUNT KIND AWAY ANGLE STEP SPREAD ARM RELATIVE AIM FACED
                          then COUNT times: bearing, value, x, y
       survey COUNT KIND AWAY ANGLE STEP SPREAD WAVES   then COUNT times: x, y, value
   Angles in radians, SPREAD nan when not stated. */
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/board.h>
#include <perpend/fit.h>
#include "core/fit/least_squares.h"
#include <perpend/status.h>

#define MOST 256
#define STRIDE LEAST_SQUARES_MOST

static double word(void)
{
    double value;
    if (scanf("%lf", &value) != 1) {
        fprintf(stderr, "numbers: a number was expected\n");
        exit(2);
    }
    return value;
}

static void print_number(const char *name, double value)
{
    if (isfinite(value))
        printf("\"%s\": %.17g, ", name, value);
    else
        printf("\"%s\": %s, ", name, isnan(value) ? "NaN" : value > 0 ? "Infinity" : "-Infinity");
}

static void print_list(const char *name, const double *value, size_t count)
{
    printf("\"%s\": [", name);
    for (size_t i = 0; i < count; i++)
        printf("%s%.17g", i > 0 ? ", " : "", value[i]);
    printf("], ");
}

static void print_slope(const char *name, struct perpend_slope slope)
{
    print_list(name, (const double[]){slope.right, slope.back}, 2);
}

static void print_covariance(const char *name, struct perpend_slope_covariance c)
{
    print_list(name, (const double[]){c.right_right, c.right_back, c.back_back}, 3);
}

static void solve_least_squares(void)
{
    static double design[MOST * STRIDE], observed[MOST], weight[MOST], residual[MOST],
        leverage[MOST], studentised[MOST], covariance[STRIDE * STRIDE];
    size_t rows = (size_t)word(), columns = (size_t)word();
    struct least_squares fit;
    for (size_t i = 0; i < rows; i++) {
        for (size_t j = 0; j < columns; j++)
            design[i * columns + j] = word();
        observed[i] = word();
        weight[i] = word();
    }
    int status =
        least_squares_solve(&(struct linear_problem){design, observed, weight, rows, columns}, &fit,
            residual, leverage);
    printf("{\"status\": %d, ", status);
    if (status == PERPEND_OK) {
        studentised_residuals(
            &(struct student){residual, leverage, weight, rows, columns, 0.0}, studentised);
        for (size_t i = 0; i < columns * columns; i++)
            covariance[i] = fit.covariance[i / columns * STRIDE + i % columns];
        print_list("value", fit.value, columns);
        print_list("covariance", covariance, columns * columns);
        print_list("residual", residual, rows);
        print_list("leverage", leverage, rows);
        print_list("studentised", studentised, rows);
        print_number("chi2", fit.chi2);
    }
    printf("\"rank\": %zu}\n", fit.rank);
}

static void print_fit(const struct perpend_fit *fit)
{
    print_slope("lean", fit->lean);
    print_covariance("lean_covariance", fit->lean_covariance);
    print_slope("bed", fit->bed);
    print_covariance("bed_covariance", fit->bed_covariance);
    print_slope("travel", fit->travel);
    print_number("centre", fit->centre);
    print_number("parameters", (double)fit->quality.parameters);
    print_number("dof", fit->quality.dof);
    print_number("reading_uncertainty", fit->quality.reading_uncertainty);
    print_number("rms", fit->quality.rms);
    print_number("chi2", fit->quality.chi2);
    print_number("p", fit->quality.p);
    print_number("scale", fit->quality.scale);
    print_number("t_dof", fit->dof);
    print_number("studentised", fit->suspect.studentised);
    print_number("limit", fit->suspect.limit);
    print_number("closure", fit->closure.checked ? fit->closure.value : NAN);
    print_number("closure_limit", fit->closure.limit);
}

static struct perpend_gauge gauge_words(void)
{
    struct perpend_gauge gauge = {.kind = (enum perpend_gauge_kind)word()};
    gauge.rises_away = word() != 0.0;
    gauge.angle = word();
    gauge.step = word();
    gauge.spread = word();
    return gauge;
}

static void fit_readings(void)
{
    static struct perpend_reading readings[MOST];
    static double residual[MOST];
    struct perpend_setup setup = {.bed_known = false};
    struct perpend_fit fit;
    size_t count = (size_t)word();
    setup.gauge = gauge_words();
    setup.arm.length = word();
    setup.arm.relative_uncertainty = word();
    setup.arm.bearing_uncertainty = word();
    setup.arm.turned_uncertainty = word();
    setup.waves = word();
    setup.bed_faced = word() != 0.0;
    for (size_t i = 0; i < count; i++) {
        readings[i].bearing = word();
        readings[i].value = word();
        readings[i].x = word();
        readings[i].y = word();
    }
    int status = perpend_fit_readings(readings, count, &setup, residual, &fit);
    printf("{");
    if (status == PERPEND_OK) {
        print_fit(&fit);
        print_list("residual", residual, count);
    }
    printf("\"status\": %d}\n", status);
}

static void survey_board(void)
{
    static struct perpend_reading touches[MOST];
    const struct perpend_area area = {0.0, 0.0, 0.0, 0.0};
    struct perpend_survey survey;
    size_t count = (size_t)word();
    struct perpend_setup setup = {.gauge = gauge_words()};
    setup.waves = word();
    for (size_t i = 0; i < count; i++) {
        touches[i].x = word();
        touches[i].y = word();
        touches[i].value = word();
    }
    int status = perpend_survey_fit(touches, count, &setup, &area, &survey);
    printf("{");
    if (status == PERPEND_OK) {
        print_slope("slope", survey.slope);
        print_covariance("slope_covariance", survey.covariance);
        print_number("waves", survey.waves);
        print_number("length", survey.length);
    }
    printf("\"status\": %d}\n", status);
    perpend_survey_finish(&survey);
}

int main(void)
{
    char what[8];
    while (scanf("%7s", what) == 1) {
        if (strcmp(what, "lsq") == 0) {
            solve_least_squares();
        } else if (strcmp(what, "fit") == 0) {
            fit_readings();
        } else if (strcmp(what, "survey") == 0) {
            survey_board();
        } else {
            fprintf(stderr, "numbers: lsq, fit or survey was expected\n");
            return 2;
        }
    }
    return 0;
}
