/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as a machine file: a machine within its bounds, or one harmless line. */
#include <math.h>

#include "fuzz.h"

static bool within(double value, double least, double most)
{
    return value >= least && value <= most; /* false for what is not a number */
}

static void check_mount(const struct perpend_mount *mount)
{
    must(mount->joint_count <= PERPEND_JOINTS_MOST);
    for (size_t i = 0; i < mount->joint_count; i++) {
        const struct perpend_joint *joint = &mount->joints[i];
        must(joint->name != NULL && joint->name[0] != '\0');
        must(joint->allows >= 1 && joint->allows <= 7);
        must(joint->bolt_count >= 2 && joint->bolt_count <= PERPEND_BOLTS_MOST);
        for (size_t j = 0; j < joint->bolt_count; j++) {
            const struct perpend_bolt *bolt = &joint->bolts[j];
            must(bolt->name != NULL && text_is_printable(bolt->name, strlen(bolt->name)));
            must(within(bolt->at.right, -1e4, 1e4) && within(bolt->at.back, -1e4, 1e4) &&
                 within(bolt->at.up, -1e4, 1e4));
            must(within(bolt->thread, 0, 100) && within(bolt->pitch, 0, 20));
            must(bolt->hole == 0.0 || within(bolt->hole, bolt->thread, 200));
        }
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct perpend_machine machine;
    struct fault fault = {0};
    char *text = fuzz_text(data, size);
    if (machine_file_parse(text, size, "name", &machine, &fault)) {
        must(within(machine.setup.arm.length, 1, 2000));
        must(isnan(machine.setup.arm.relative_uncertainty) ||
             within(machine.setup.arm.relative_uncertainty, 0, 0.2));
        must(within(machine.setup.arm.bearing_uncertainty, 0, 0.53));
        must(within(machine.setup.arm.turned_uncertainty, 0, 0.53));
        must(isnan(machine.setup.waves) || within(machine.setup.waves, 0, 10));
        must(within(machine.setup.gauge.step, 1e-6, 10));
        must(within(machine.setup.gauge.angle, 0, 1.05));
        must(isnan(machine.setup.gauge.spread) || within(machine.setup.gauge.spread, 0, 10));
        must(within(machine.cutter.diameter, 1e-6, 1e4));
        must(within(machine.cutter.corner, 0, machine.cutter.diameter / 2));
        must(within(machine.facing.stepover, 1e-6, machine.cutter.diameter));
        must(within(machine.facing.along, 0, 6.2832));
        must(isnan(machine.cut.stepover) ||
             within(machine.cut.stepover, 1e-6, machine.cutter.diameter));
        must(isnan(machine.cut.apart) || within(machine.cut.apart, 1e-6, machine.cutter.diameter));
        must(isnan(machine.facing.depth) || within(machine.facing.depth, 1e-6, 1e4));
        must(isnan(machine.goal.lean) || within(machine.goal.lean, 1e-9, 1.0));
        must(isnan(machine.goal.ridge) || within(machine.goal.ridge, 1e-6, 1e4));
        must(machine.name == NULL || text_is_printable(machine.name, strlen(machine.name)));
        check_mount(&machine.mount);
        for (size_t i = 0; i < machine.stock.leaf_count; i++)
            must(within(machine.stock.leaves[i].thick, 0.0005, 100) &&
                 machine.stock.leaves[i].count <= 1000);
        perpend_machine_finish(&machine);
    } else {
        fuzz_check_fault(&fault, "name:");
    }
    free(text);
    return 0;
}
