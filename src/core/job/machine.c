/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <perpend/machine.h>

void perpend_machine_init(struct perpend_machine *machine)
{
    *machine = (struct perpend_machine){
        .unit = PERPEND_UNIT_MM,
        .setup =
            {
                .arm =
                    {
                        .length = NAN,
                        .relative_uncertainty = NAN,
                        .bearing_uncertainty =
                            perpend_radians(PERPEND_ARM_BEARING_UNCERTAINTY_DEGREES),
                        .turned_uncertainty =
                            perpend_radians(PERPEND_ARM_TURNED_UNCERTAINTY_DEGREES),
                    },
                .gauge = {.kind = PERPEND_GAUGE_GAP, .step = NAN, .spread = NAN},
                .bed_faced = true,
                .waves = NAN,
            },
        .cutter = {.diameter = NAN},
        .facing = {.stepover = NAN, .along = PERPEND_ALONG_X, .depth = NAN},
        .cut = {NAN, NAN},
        .goal = {NAN, NAN},
        .bench = {.board.thickness = NAN, .feed = NAN, .speed = NAN, .acceleration = NAN},
    };
}

void perpend_machine_finish(struct perpend_machine *machine)
{
    if (machine == NULL)
        return;
    for (size_t i = 0; i < machine->mount.joint_count; i++) {
        struct perpend_joint *joint = &machine->mount.joints[i];
        for (size_t j = 0; j < joint->bolt_count; j++) {
            free(joint->bolts[j].name);
            free(joint->bolts[j].thread_name);
        }
        free(joint->bolts);
        free(joint->name);
    }
    for (size_t i = 0; i < machine->stock.leaf_count; i++)
        free(machine->stock.leaves[i].name);
    free(machine->mount.joints);
    free(machine->stock.leaves);
    free(machine->bench.board.metal);
    free(machine->name);
    free(machine->place);
    perpend_machine_init(machine);
}
