/* SPDX-License-Identifier: GPL-3.0-or-later */
/* perpend page: the page for a browser, which .ci/page makes and `meson setup -Dpage=` builds in. */
#include <stdint.h>

#include "cli/commands.h"
#include "cli/options.h"
#include "cli/page/serve.h"
#include "log/whole_file.h"

const char help_page[] =
    "perpend page FILE [--force]\n"
    "perpend page --serve [--lan] [--port N]\n"
    "\n"
    "The whole of perpend as one page for any browser, on a phone or a computer: it\n"
    "needs no network and keeps its jobs in that browser.\n"
    "\n"
    "FILE is where to write it. With --serve this computer hands it out instead, for\n"
    "phones that show a file of their own without running it, until Ctrl-C. Nothing\n"
    "comes back: what is typed there stays there.\n"
    "\n"
    "  --force   write over a file that is there\n"
    "  --lan     hand it out to the whole local network; else to this computer alone\n"
    "  --port N  another port than 8757; a browser keeps jobs by address and port\n"
    "  --help    this\n"
    "\n"
    "Example: perpend page perpend.html\n";

#ifdef PERPEND_PAGE
/* What ld makes of a file named perpend.html. */
extern const char _binary_perpend_html_start[], _binary_perpend_html_end[];

static size_t page_length(void)
{
    return (size_t)((uintptr_t)_binary_perpend_html_end - (uintptr_t)_binary_perpend_html_start);
}

static int write_page(const char *path, bool force)
{
    struct fault fault = {0};
    const char *page = _binary_perpend_html_start;
    switch (whole_file_write(path, page, page_length(), force, &fault)) {
    case WHOLE_FILE_WRITTEN:
        return 0;
    case WHOLE_FILE_EXISTS:
        return complain(2, "page: %s is there already; --force writes over it", path);
    case WHOLE_FILE_FAILED:
        break;
    }
    return complain_fault(&fault);
}

static int give_page(const char *path, bool force, bool serve, bool lan, double port)
{
    const char *page = _binary_perpend_html_start;
    return serve ? page_serve(page, page_length(), lan, (uint16_t)port) : write_page(path, force);
}
#else
static int give_page(const char *path, bool force, bool serve, bool lan, double port)
{
    (void)path, (void)force, (void)serve, (void)lan, (void)port;
    return complain(2, "page: this perpend was built without it; .ci/page in its source makes it");
}
#endif

int command_page(int argc, char **argv)
{
    bool serve = false, lan = false, force = false;
    const char *port_text = NULL;
    double port = 8757;
    const struct option_row rows[] = {
        {"serve", &serve, NULL},
        {"lan", &lan, NULL},
        {"force", &force, NULL},
        {"port", NULL, &port_text},
    };
    struct options options = {"page", help_page, rows, sizeof rows / sizeof rows[0], NULL, 0};
    int status;
    if (!options_parse(&options, argc, argv, &status))
        return status;
    const struct option_value values[] = {{"port", port_text, VALUE_COUNT, &port, 1, UINT16_MAX}};
    if (!values_take(&options, values, 1, PERPEND_UNIT_MM, &status))
        return status;
    if (options.operand_count != (serve ? 0 : 1))
        return complain(2, "page: give a file to write it to, or --serve");
    if (!serve && (lan || port_text != NULL))
        return complain(2, "page: --lan and --port go with --serve");
    return give_page(serve ? NULL : options.operands[0], force, serve, lan, port);
}
