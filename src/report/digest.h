/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DIGEST_H
#define DIGEST_H

#include <stddef.h>

#define DIGEST_TEXT 65 /* bytes */

/**
 * SHA-256 of a text and a second one behind it, in hexadecimal digits. Value: digits
 *
 * Source: FIPS 180-4, sections 4.1.2, 5.1.1, 6.2, from memory; its examples are in
 *         tests/report/test_report.c
 */
const char *digest_text(const char *first, size_t first_length, const char *second,
    size_t second_length, char digits[DIGEST_TEXT]);

#endif
