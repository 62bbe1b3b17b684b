/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "files/board_file.h"

const struct range feed_range = {0.1, 100000.0}; /* mm a minute; mm/s² */
const struct range speed_range = {1.0, 200000.0};
static const struct range side_range = {1.0, LENGTH_MOST};
static const struct range under_range = {0.0, 1000.0};
static const struct range slope_range = {-100.0, 100.0}; /* mm/m */
static const struct range sure_range = {0.0, 100.0};

/* Two numbers in brackets, along X and along Y. */
static bool read_two(const struct value *value, value_reader *read, double *first, double *second)
{
    if (entry_count(value) != 2)
        return value_fail(value,
            "%s must be two numbers in brackets, along X and along Y, such as [400, 430]",
            value->name);
    struct value one = entry_of(value, 0), two = entry_of(value, 1);
    one.detail = two.detail = value->detail;
    return read(&one, first) && read(&two, second);
}

/* double [2] */
static bool read_pair(const struct value *value, void *at)
{
    return read_two(value, read_length, at, (double *)at + 1);
}

static const struct key metal_keys[] = {
    {"x", true, read_length, offsetof(struct perpend_metal, x), &anywhere, NULL},
    {"y", true, read_length, offsetof(struct perpend_metal, y), &anywhere, NULL},
    {"under", true, read_length, offsetof(struct perpend_metal, under), &under_range, NULL},
    {0},
};

static const struct mapping metal_mapping = {"metal", "{x: 30, y: 30, under: 6}", metal_keys};

static const struct list metal_list = {"screw or insert", "metal", 1, 100, &metal_mapping,
    LIST_IN(struct perpend_board, metal, metal_count), false, NULL};

static const struct key board_keys[] = {
    {"size", true, read_pair, offsetof(struct perpend_area, wide), &side_range, NULL},
    {"at", false, read_pair, offsetof(struct perpend_area, x), &anywhere, NULL},
    {"thickness", false, read_length, offsetof(struct perpend_board, thickness), &under_range,
        NULL},
    {"metal", false, read_list, 0, &metal_list, NULL},
    {0},
};

static const struct key travel_keys[] = {
    {"size", true, read_pair, offsetof(struct perpend_area, wide), &side_range, NULL},
    {"at", false, read_pair, offsetof(struct perpend_area, x), &anywhere, NULL},
    {0},
};

const struct mapping board_mapping = {"board", "{size: [400, 430], thickness: 18}", board_keys};
const struct mapping travel_mapping = {"travel", "{size: [380, 400]}", travel_keys};

/* ---- the bed's slope ---- */

bool read_bed_slope(const struct value *value, void *at)
{
    struct perpend_setup *setup = at;
    const struct value number = value_with(value, &slope_range);
    if (!read_two(&number, read_number, &setup->bed.right, &setup->bed.back))
        return false;
    setup->bed.right /= PERPEND_MM_PER_METRE;
    setup->bed.back /= PERPEND_MM_PER_METRE;
    setup->bed_known = true;
    return true;
}

bool read_bed_uncertainty(const struct value *value, void *at)
{
    struct perpend_setup *setup = at;
    const struct value number = value_with(value, &sure_range);
    double sure = 0.0;
    if (!read_number(&number, &sure))
        return false;
    sure /= PERPEND_MM_PER_METRE;
    setup->bed_covariance = (struct perpend_slope_covariance){sure * sure, 0.0, sure * sure};
    return true;
}

bool bed_slope_is_sure(const struct value *value)
{
    size_t slope = key_line(value->reader, value->node, "slope");
    size_t sure = key_line(value->reader, value->node, "uncertainty");
    return (slope == 0) == (sure == 0) ||
           reader_fail(value->reader, slope + sure,
               "bed: slope goes with uncertainty; write both, as perpend board survey gives them");
}
