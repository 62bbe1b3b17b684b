/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/support.h"

#include <string.h>

#include "files/files.h"
#include "files/machine_change.h"

/* One value of a machine file changed, wherever it stands, and nothing else. */
static void one_value_changes(void **state)
{
    (void)state;
    static const char text[] =
        "perpend: 1\nunit: in\narm: 3 # to the tip\ngauge: {kind: dial, step: 0.001}\n"
        "cutter: {diameter: 1}\nfacing: {stepover: 0.4, along: X}\n";
    struct perpend_leaf leaf = {.thick = 0.0508, .count = 8, .name = "brass: thin"};
    struct perpend_stock stock = {.leaves = &leaf, .leaf_count = 1};
    static const struct {
        const char *section, *key, *value;
    } cases[] = {{"cutter", "diameter", "20 mm"}, {"cutter", "corner", "0.1"},
        {"facing", "stepover", "30%"}, {"goal", "ridge", "0.001"}, {"stock", NULL, NULL}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct fault fault;
        struct perpend_machine machine;
        char *changed = machine_text_changed(
            text, sizeof text - 1, cases[i].section, cases[i].key, cases[i].value, &stock, &fault);
        assert_non_null(changed);
        assert_true(machine_file_parse(changed, strlen(changed), "changed", &machine, &fault));
        assert_true(fabs(machine.cutter.diameter - (i == 0 ? 20 : 25.4)) < 1e-9);
        assert_true(fabs(machine.cutter.corner - (i == 1 ? 2.54 : 0)) < 1e-9);
        assert_true(fabs(machine.facing.stepover - (i == 2 ? 7.62 : 10.16)) < 1e-9);
        assert_int_equal(isnan(machine.goal.ridge), i != 3);
        assert_int_equal(machine.stock.leaf_count, i == 4);
        if (i == 4) {
            assert_true(fabs(machine.stock.leaves[0].thick - (leaf.thick)) < 1e-9);
            assert_string_equal(machine.stock.leaves[0].name, leaf.name);
        }
        perpend_machine_finish(&machine);
        free(changed);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_value_changes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
