/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Four gaps under a sweep arm, read with feeler leaves: how far does the spindle lean, and what
   ridge will the surfacing bit leave? Build with
       cc solve_sweep.c $(pkg-config --cflags --libs perpend)                                    */
#include <math.h>
#include <stdio.h>

#include <perpend/perpend.h>

int main(void)
{
    /* bearings in radians, clockwise from the back; gaps in mm */
    const struct perpend_reading readings[] = {
        {.bearing = perpend_radians(180), .value = 1.00}, /* front */
        {.bearing = perpend_radians(90), .value = 0.50},  /* right */
        {.bearing = perpend_radians(0), .value = 0.00},   /* back */
        {.bearing = perpend_radians(270), .value = 0.50}, /* left */
    };
    const struct perpend_setup setup = {
        .arm = {.length = 75, .relative_uncertainty = PERPEND_ARM_RELATIVE_UNCERTAINTY},
        .gauge = {.kind = PERPEND_GAUGE_GAP, .step = 0.05, .spread = NAN},
        .bed_faced = true,
    };
    const struct perpend_cutter bit = {.diameter = 22};

    struct perpend_fit fit;
    double ridge;
    int status = perpend_fit_readings(readings, 4, &setup, NULL, &fit);
    if (status == PERPEND_OK)
        status = perpend_ridge_height(fit.lean, &bit, 10, PERPEND_ALONG_X, &ridge);
    if (status != PERPEND_OK) {
        fprintf(stderr, "solve_sweep: %s\n", perpend_status_text(status));
        return 1;
    }
    printf("lean %.2f mm/m toward %.0f degrees, ridge along X %.4f mm\n",
        PERPEND_MM_PER_METRE * perpend_slope_size(fit.lean),
        perpend_degrees(perpend_slope_toward(fit.lean)), ridge);
    return 0;
}
