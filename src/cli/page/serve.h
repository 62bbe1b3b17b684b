/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_PAGE_SERVE_H
#define CLI_PAGE_SERVE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/** Hand out one page by HTTP, to this computer or to its network, until Ctrl-C; the exit status. */
int page_serve(const char *page, size_t length, bool lan, uint16_t port);

#endif
