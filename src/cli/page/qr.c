/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/page/qr.h"

#ifdef PERPEND_QR
#include <stdbool.h>
#include <unistd.h>

#include <qrencode.h>

#include "cli/prompt/screen.h"
#include "files/buffer.h"

#define QUIET 4 /* modules of white round it: ISO/IEC 18004 */

static bool dark(const QRcode *code, int x, int y)
{
    x -= QUIET;
    y -= QUIET;
    return x >= 0 && y >= 0 && x < code->width && y < code->width &&
           (code->data[y * code->width + x] & 1) != 0;
}

void qr_print(const char *url)
{
    static const char *const halves[] = {" ", "▄", "▀", "█"}; /* two modules in one character */
    QRcode *code = isatty(STDOUT_FILENO) && screen_words(PERPEND_UNIT_MM, false).utf8
                       ? QRcode_encodeString(url, 0, QR_ECLEVEL_L, QR_MODE_8, 1)
                       : NULL;
    struct buffer out = {0};
    if (code == NULL)
        return;
    for (int y = 0; y < code->width + 2 * QUIET; y += 2) {
        buffer_add(&out, "\033[30;107m"); /* black on white, whatever the terminal's colours */
        for (int x = 0; x < code->width + 2 * QUIET; x++)
            buffer_add(&out, halves[2 * dark(code, x, y) + dark(code, x, y + 1)]);
        buffer_add(&out, "\033[m\n");
    }
    screen_text(buffer_text(&out));
    buffer_finish(&out);
    QRcode_free(code);
}
#else
void qr_print(const char *url)
{
    (void)url;
}
#endif
