/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "text/columns.h"

static double sum_under(const double *widths, size_t count, double most)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += fmin(widths[i], most);
    return sum;
}

void columns_fit(double *widths, size_t count, double room)
{
    double low = 0;
    double high = 0;
    for (size_t i = 0; i < count; i++)
        high = fmax(high, widths[i]);
    if (sum_under(widths, count, high) <= room)
        return;
    for (int i = 0; i < 60; i++) {
        const double middle = (low + high) / 2;
        if (sum_under(widths, count, middle) > room)
            high = middle;
        else
            low = middle;
    }
    for (size_t i = 0; i < count; i++)
        widths[i] = fmin(widths[i], low);
}
