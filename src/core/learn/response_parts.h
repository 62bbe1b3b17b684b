/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef RESPONSE_PARTS_H
#define RESPONSE_PARTS_H

#include <perpend/response.h>

/* No lean change is asked that is more than 1/RESPONSE_LEAST times the one wanted. */
#define RESPONSE_LEAST 0.25

/** The gain, [right, back] per [right, back], with its singular values raised to RESPONSE_LEAST at
 * least, as planning uses it. */
struct gain {
    double at[2][2];
};

struct gain response_tamed(const struct perpend_response *response);

#endif
