/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Joints: their circles, corners and play. */
#include "support/mount_cases.h"

#include <perpend/mount.h>
#include <perpend/status.h>

#include "core/mount/mount_parts.h"

#define CASES 2000

static void faces_and_moves_have_names(void **state)
{
    (void)state;
    assert_string_equal(perpend_face_name(PERPEND_FACE_FRONT), "front");
    assert_string_equal(perpend_face_name(PERPEND_FACE_DOWN), "down");
    assert_string_equal(perpend_face_name((enum perpend_face)(PERPEND_FACE_DOWN + 1)), "?");
    assert_string_equal(perpend_move_name((enum perpend_move)64), "?");
    assert_string_equal(perpend_move_name(PERPEND_MOVE_SLIDE), "slide");
    /* front is toward the person, right is to the person's right */
    assert_true(perpend_face_direction(PERPEND_FACE_FRONT).back == -1);
    assert_true(perpend_face_direction(PERPEND_FACE_RIGHT).right == 1);
    assert_true(perpend_face_direction(PERPEND_FACE_UP).up == 1);
}

/* A shim's lever, against the turn in space: what a small turn moves a place along the face. */
static void levers_are_what_a_turn_moves(void **state)
{
    (void)state;
    struct test_random random = test_random_start("levers are what a turn moves", 11);
    for (size_t n = 0; n < CASES; n++) {
        enum perpend_face face = (enum perpend_face)test_pick(&random, 6);
        struct perpend_point at = {test_uniform(&random, -100, 100),
            test_uniform(&random, -100, 100), test_uniform(&random, 50, 300)};
        struct perpend_slope change = {
            test_uniform(&random, -1e-6, 1e-6), test_uniform(&random, -1e-6, 1e-6)};
        /* the axis goes from upright to (change, 1): a turn about up × (change, 1) */
        struct perpend_point up = {0, 0, 1}, to = {change.right, change.back, 1};
        struct perpend_point axis = space_cross(up, to), origin = {0, 0, 0};
        double s = space_size(axis);
        struct turn turn = turn_about(space_unit(axis), s, sqrt(1 - s * s), origin);
        struct perpend_point moved = space_sum(turn_point(&turn, at), -1, at);
        struct perpend_slope lever = shim_lever(face, at);
        assert_near(change.right * lever.right + change.back * lever.back,
            space_dot(moved, case_normal(face)), 1e-9);
    }
}

/* Smallest circle: every bolt in it, and no circle on two or three bolts that is smaller holds
   them all. */
static bool holds(const struct perpend_joint *joint, struct flat middle, double radius)
{
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct flat p = flat_of(joint->face, joint->bolts[i].at);
        if (hypot(p.a - middle.a, p.b - middle.b) > radius + 1e-9)
            return false;
    }
    return true;
}

static double brute_radius(const struct perpend_joint *joint)
{
    double least = INFINITY;
    for (size_t i = 0; i < joint->bolt_count; i++)
        for (size_t j = 0; j < i; j++) {
            struct flat p = flat_of(joint->face, joint->bolts[i].at);
            struct flat q = flat_of(joint->face, joint->bolts[j].at);
            struct flat middle = {(p.a + q.a) / 2, (p.b + q.b) / 2};
            double radius = hypot(p.a - q.a, p.b - q.b) / 2;
            if (radius < least && holds(joint, middle, radius))
                least = radius;
            for (size_t k = 0; k < j; k++) {
                struct flat r = flat_of(joint->face, joint->bolts[k].at);
                /* the middle is where two perpendicular bisectors meet */
                double d = 2 * ((q.a - p.a) * (r.b - p.b) - (q.b - p.b) * (r.a - p.a));
                if (fabs(d) < 1e-9)
                    continue;
                double pp = p.a * p.a + p.b * p.b;
                double qq = q.a * q.a + q.b * q.b - pp, rr = r.a * r.a + r.b * r.b - pp;
                struct flat at = {(qq * (r.b - p.b) - rr * (q.b - p.b)) / d,
                    (rr * (q.a - p.a) - qq * (r.a - p.a)) / d};
                double far = hypot(p.a - at.a, p.b - at.b);
                if (far < least && holds(joint, at, far))
                    least = far;
            }
        }
    return least;
}

static void the_circle_is_the_smallest(void **state)
{
    (void)state;
    struct test_random random = test_random_start("the circle is the smallest", 12);
    for (size_t n = 0; n < CASES; n++) {
        struct mount_case it;
        case_mount(&it, &random, 0.25, false);
        const struct perpend_joint *joint = &it.joints[0];
        struct perpend_point centre;
        double radius;
        perpend_joint_circle(joint, &centre, &radius);
        if (fabs(radius - brute_radius(joint)) > 1e-9 ||
            !holds(joint, flat_of(joint->face, centre), radius)) {
            printf("# case %zu: %.17g, %.17g by brute force\n", n, radius, brute_radius(joint));
            case_print(&it, (struct perpend_slope){0, 0});
            fail();
        }
        assert_near(perpend_joint_turn_slack(joint), 0.25 / radius, 1e-12);
    }
}

/* Corners: every bolt lies in their polygon, to the half mm that counts as between. */
static void the_corners_hold_all_bolts(void **state)
{
    (void)state;
    struct test_random random = test_random_start("the corners hold all bolts", 13);
    for (size_t n = 0; n < CASES; n++) {
        struct mount_case it;
        case_mount(&it, &random, 0.25, false);
        const struct perpend_joint *joint = &it.joints[0];
        size_t corner[PERPEND_BOLTS_MOST];
        size_t count = corner_bolts(joint, corner);
        assert_true(count >= 2 && count <= joint->bolt_count);
        for (size_t k = 0; k < count; k++) {
            struct flat p = flat_of(joint->face, joint->bolts[corner[k]].at);
            struct flat q = flat_of(joint->face, joint->bolts[corner[(k + 1) % count]].at);
            double length = hypot(q.a - p.a, q.b - p.b);
            assert_true(length > 0.0);
            for (size_t i = 0; i < joint->bolt_count; i++) {
                struct flat r = flat_of(joint->face, joint->bolts[i].at);
                double left = ((q.a - p.a) * (r.b - p.b) - (q.b - p.b) * (r.a - p.a)) / length;
                if (left < -0.5) {
                    printf("# case %zu: bolt %zu lies %.3g mm outside\n", n, i, -left);
                    case_print(&it, (struct perpend_slope){0, 0});
                    fail();
                }
            }
        }
    }
}

static void play_follows_the_hole(void **state)
{
    (void)state;
    struct perpend_bolt bolt = {.thread = 5};
    assert_near(perpend_bolt_slack(&bolt), 0.25, 1e-12); /* ISO 273 medium: 5.5 */
    bolt.hole = 5.3;
    assert_near(perpend_bolt_slack(&bolt), 0.15, 1e-12);
    bolt.hole = 4.9;
    assert_true(perpend_bolt_slack(&bolt) == 0.0);
    bolt = (struct perpend_bolt){.thread = 5.1}; /* no such thread, no hole stated */
    assert_true(perpend_bolt_slack(&bolt) == 0.0);
    bolt = (struct perpend_bolt){.hole = 5.5};
    assert_true(perpend_bolt_slack(&bolt) == 0.0);
    /* one tight bolt holds the joint: it can turn as far as that one lets it */
    struct perpend_bolt bolts[] = {
        {.at = {-30, 0, 100}, .thread = 5}, {.at = {30, 0, 100}, .thread = 5, .hole = 5.3}};
    struct perpend_joint joint = {.face = PERPEND_FACE_FRONT, .bolts = bolts, .bolt_count = 2};
    assert_near(perpend_joint_turn_slack(&joint), 0.15 / 30, 1e-12);
}

static void same_bolts_twice_make_no_circle(void **state)
{
    (void)state;
    struct perpend_bolt bolts[] = {{.at = {1, 2, 3}, .thread = 5}, {.at = {1, 2, 3}, .thread = 5}};
    struct perpend_joint joint = {.face = PERPEND_FACE_FRONT, .bolts = bolts, .bolt_count = 2};
    struct perpend_point centre;
    double radius;
    perpend_joint_circle(&joint, &centre, &radius);
    assert_true(radius == 0.0);
    assert_true(perpend_joint_turn_slack(&joint) == 0.0);
    size_t corner[2];
    assert_int_equal(corner_bolts(&joint, corner), 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(faces_and_moves_have_names),
        cmocka_unit_test(levers_are_what_a_turn_moves),
        cmocka_unit_test(the_circle_is_the_smallest),
        cmocka_unit_test(the_corners_hold_all_bolts),
        cmocka_unit_test(play_follows_the_hole),
        cmocka_unit_test(same_bolts_twice_make_no_circle),
    };
    return cmocka_run_group_tests_name("mount", tests, NULL, NULL);
}
