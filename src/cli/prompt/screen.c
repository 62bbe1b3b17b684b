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

#include "cli/complain.h"
#include "cli/prompt/screen.h"

void screen_begin(void)
{
    for (int descriptor = 0; descriptor < 3; descriptor++)
        if (fcntl(descriptor, F_GETFD) == -1 && errno == EBADF)
            /* the wrong way round: reading from it, or writing to it, fails */
            (void)!open("/dev/null", descriptor == 0 ? O_WRONLY : O_RDONLY);
    signal(SIGPIPE, SIG_IGN);
    signal(SIGXFSZ, SIG_IGN);
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
    const char *terminal = getenv("TERM"), *plain = getenv("NO_COLOR");
    bool bold = isatty(STDOUT_FILENO) && terminal != NULL && strcmp(terminal, "dumb") != 0 &&
                (plain == NULL || plain[0] == '\0');
    return (struct words){
        .unit = unit, .width = screen_width(), .utf8 = utf8 && !ascii, .bold = bold};
}

/* The error number of the first write that failed; 0 when none did. Standard output, which the
   whole program shares, keeps only that one failed. */
static int lost;

void screen_bytes(const char *bytes, size_t length)
{
    errno = 0;
    if (fwrite(bytes, 1, length, stdout) != length && lost == 0)
        lost = errno != 0 ? errno : EIO;
}

void screen_text(const char *text)
{
    screen_bytes(text, strlen(text));
}

bool screen_settle(void)
{
    errno = 0;
    if (fflush(stdout) != 0 && lost == 0)
        lost = errno != 0 ? errno : EIO;
    return lost == 0 && !ferror(stdout);
}

int screen_print(struct words *words)
{
    int status = 0;
    if (words->out.failed)
        status = complain_memory();
    else
        screen_bytes(buffer_text(&words->out), words->out.length);
    buffer_finish(&words->out);
    return status;
}

int screen_end(int status)
{
    bool whole = screen_settle();
    errno = 0;
    if (fclose(stdout) != 0) {
        whole = false;
        lost = lost != 0 ? lost : errno;
    }
    /* what has been complained of already needs no second line */
    if (whole || status > 1)
        return status;
    return complain(3, "standard output: %s; the answer is not complete",
        lost != 0 ? strerror(lost) : "a write failed");
}
