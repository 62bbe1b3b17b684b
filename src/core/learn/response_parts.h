/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef RESPONSE_PARTS_H
#define RESPONSE_PARTS_H

#include <perpend/response.h>

/** The gain, [right, back] per [right, back], with its singular values raised to
 * 1/PERPEND_RESPONSE_ASK_MOST at least, as planning uses it. */
struct gain {
    double at[2][2];
};

struct gain response_tamed(const struct perpend_response *response);

#endif
