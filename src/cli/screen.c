/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <errno.h>
#include <fcntl.h>
#include <langinfo.h>
#include <locale.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "options.h"
#include "screen.h"

void screen_begin(void)
{
    for (int descriptor = 0; descriptor < 3; descriptor++)
        if (fcntl(descriptor, F_GETFD) == -1 && errno == EBADF)
            /* the wrong way round: reading from it, or writing to it, fails */
            (void)!open("/dev/null", descriptor == 0 ? O_WRONLY : O_RDONLY);
    signal(SIGPIPE, SIG_IGN);
    setlocale(LC_CTYPE, "");
}

static unsigned screen_width(void)
{
    unsigned long columns = 0;
    const char *stated = getenv("COLUMNS");
    if (stated && stated[0] >= '0' && stated[0] <= '9')
        columns = strtoul(stated, NULL, 10);
#ifdef TIOCGWINSZ
    struct winsize size;
    if (columns == 0 && isatty(STDOUT_FILENO) && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0)
        columns = size.ws_col;
#endif
    if (columns == 0 || columns > WORDS_USUAL_WIDTH)
        return WORDS_USUAL_WIDTH;
    return columns < WORDS_LEAST_WIDTH ? WORDS_LEAST_WIDTH : (unsigned)columns;
}

struct words screen_words(enum perpend_unit unit, bool ascii)
{
    const char *codeset = nl_langinfo(CODESET);
    bool utf8 = strcasecmp(codeset, "UTF-8") == 0 || strcasecmp(codeset, "UTF8") == 0;
    return (struct words){.unit = unit, .width = screen_width(), .utf8 = utf8 && !ascii};
}

int screen_print(struct words *words)
{
    int status = 0;
    if (words->out.failed)
        status = complain_memory();
    else
        fwrite(buffer_text(&words->out), 1, words->out.length, stdout);
    buffer_finish(&words->out);
    return status;
}

int screen_end(int status)
{
    /* a write that failed earlier may have left no error number behind */
    errno = 0;
    bool failed = ferror(stdout) != 0;
    if (fflush(stdout) != 0 || fclose(stdout) != 0)
        failed = true;
    if (!failed)
        return status;
    return complain(3, "standard output: %s; the answer is not complete",
        errno ? strerror(errno) : "a write failed");
}
