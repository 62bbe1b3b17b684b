/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_PAGE_QR_H
#define CLI_PAGE_QR_H

/** Draw an address as a QR code on a terminal, for a phone's camera; nothing where it cannot be. */
void qr_print(const char *url);

#endif
