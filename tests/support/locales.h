/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LOCALES_H
#define LOCALES_H

/** Tests that must not notice the locale. Include after support.h. */

#include <locale.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* A point, a comma, and one of several bytes. */
static const char *const locales[] = {"C", "de_DE.utf8", "ps_AF.utf8"};

static inline void take_locale(size_t i)
{
    if (setlocale(LC_ALL, locales[i]) == NULL) {
        printf("# locale %s: not in LOCPATH; Debian's package locales has what it is made of\n",
            locales[i]);
        fail();
    }
    char half[16];
    snprintf(half, sizeof half, "%.1f", 0.5);
    assert_int_equal(strcmp(half, "0.5") == 0, i == 0); /* the locale took hold */
}

static inline void under_every_locale(void (*check)(void))
{
    for (size_t i = 0; i < COUNT(locales); i++) {
        take_locale(i);
        check();
    }
    setlocale(LC_ALL, "C");
}

#endif
