/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MOMENTS_H
#define MOMENTS_H

/** Days and times in words. */

#include <perpend/job.h>

#include "files/buffer.h"

/** "Saturday 28 November 2026, 19:12 to 20:21, UTC+1"; the time, the zone, the end as far as they are
 *  stated; nothing when no day is. */
void words_moments(
    struct buffer *phrase, const struct perpend_moment *first, const struct perpend_moment *last);

#endif
