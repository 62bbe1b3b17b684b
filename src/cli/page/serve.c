/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One page, and nothing else: whoever asks for another thing, slowly or not at all, holds nothing up. */
#include "cli/page/serve.h"

#include "cli/complain.h"

#if defined PERPEND_PAGE && defined PERPEND_SERVE
#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include <microhttpd.h>

#include "cli/page/qr.h"
#include "cli/prompt/screen.h"

#define CONNECTIONS 256u
#define CONNECTIONS_FROM_ONE 64u
#define SECONDS_OF_SILENCE 10u

/* What may be answered. */
struct replies {
    struct MHD_Response *page, *no_page, *no_method;
};

static enum MHD_Result answer(void *context, struct MHD_Connection *connection, const char *url,
    const char *method, const char *version, const char *upload, size_t *upload_size, void **state)
{
    const struct replies *replies = context;
    bool gets = strcmp(method, "GET") == 0 || strcmp(method, "HEAD") == 0;
    bool named = strcmp(url, "/") == 0 || strcmp(url, "/perpend.html") == 0;
    (void)version, (void)upload, (void)upload_size, (void)state;
    if (!gets)
        return MHD_queue_response(connection, MHD_HTTP_METHOD_NOT_ALLOWED, replies->no_method);
    return MHD_queue_response(connection, named ? MHD_HTTP_OK : MHD_HTTP_NOT_FOUND,
        named ? replies->page : replies->no_page);
}

static struct MHD_Response *reply(const char *text, size_t length, const char *type)
{
    /* libmicrohttpd takes what it only reads by a pointer that is not const */
    struct MHD_Response *made =
        MHD_create_response_from_buffer(length, (void *)(uintptr_t)text, MHD_RESPMEM_PERSISTENT);
    if (made == NULL)
        return NULL;
    MHD_add_response_header(made, "Content-Type", type);
    MHD_add_response_header(made, "X-Content-Type-Options", "nosniff");
    MHD_add_response_header(made, "Cache-Control", "no-cache");
    return made;
}

/* The address that this computer has in its network: the one from which it would send, though nothing
   is sent. False when it is in none. */
static bool own_address(char *text, size_t size)
{
    struct sockaddr_in there = {.sin_family = AF_INET, .sin_port = htons(9)}, here;
    socklen_t length = sizeof here;
    int probe = socket(AF_INET, SOCK_DGRAM, 0);
    inet_pton(AF_INET, "192.0.2.1", &there.sin_addr); /* RFC 5737: nobody's */
    bool found = probe >= 0 && connect(probe, (struct sockaddr *)&there, sizeof there) == 0 &&
                 getsockname(probe, (struct sockaddr *)&here, &length) == 0 &&
                 inet_ntop(AF_INET, &here.sin_addr, text, (socklen_t)size) != NULL;
    if (probe >= 0)
        close(probe);
    return found;
}

static void say_where(bool lan, uint16_t port)
{
    char address[INET_ADDRSTRLEN] = "127.0.0.1", url[64], line[160];
    if (lan && !own_address(address, sizeof address))
        snprintf(address, sizeof address, "127.0.0.1");
    snprintf(url, sizeof url, "http://%s:%u/", address, (unsigned)port);
    snprintf(line, sizeof line, "%s\n%s Ctrl-C ends it.\n", url,
        lan ? "Open it on a phone in the same network." : "Open it on this computer.");
    qr_print(url);
    screen_text(line);
    fflush(stdout);
}

static struct MHD_Daemon *start(struct replies *replies, bool lan, uint16_t port)
{
    struct sockaddr_in here = {.sin_family = AF_INET, .sin_port = htons(port)};
    here.sin_addr.s_addr = htonl(lan ? INADDR_ANY : INADDR_LOOPBACK);
    return MHD_start_daemon(MHD_USE_AUTO | MHD_USE_INTERNAL_POLLING_THREAD, port, NULL, NULL,
        answer, replies, MHD_OPTION_SOCK_ADDR, &here, MHD_OPTION_CONNECTION_LIMIT, CONNECTIONS,
        MHD_OPTION_PER_IP_CONNECTION_LIMIT, CONNECTIONS_FROM_ONE, MHD_OPTION_CONNECTION_TIMEOUT,
        SECONDS_OF_SILENCE, MHD_OPTION_END);
}

int page_serve(const char *page, size_t length, bool lan, uint16_t port)
{
    static const char no_page[] = "There is nothing here but /\n", no_method[] = "GET only\n";
    struct replies replies = {reply(page, length, "text/html; charset=utf-8"),
        reply(no_page, sizeof no_page - 1, "text/plain"),
        reply(no_method, sizeof no_method - 1, "text/plain")};
    sigset_t ends;
    int which;
    if (replies.page == NULL || replies.no_page == NULL || replies.no_method == NULL)
        return complain_memory();
    MHD_add_response_header(replies.no_method, "Allow", "GET, HEAD");
    /* the server's thread inherits this: Ctrl-C is waited for here */
    sigemptyset(&ends);
    sigaddset(&ends, SIGINT);
    sigaddset(&ends, SIGTERM);
    sigprocmask(SIG_BLOCK, &ends, NULL);
    struct MHD_Daemon *daemon = start(&replies, lan, port);
    if (daemon == NULL) {
        int error = errno;
        return complain(3, "page: port %u cannot be had: %s; --port N takes another",
            (unsigned)port, strerror(error));
    }
    say_where(lan, port);
    sigwait(&ends, &which);
    MHD_stop_daemon(daemon);
    MHD_destroy_response(replies.page);
    MHD_destroy_response(replies.no_page);
    MHD_destroy_response(replies.no_method);
    return 0;
}
#else
int page_serve(const char *page, size_t length, bool lan, uint16_t port)
{
    (void)page, (void)length, (void)lan, (void)port;
    return complain(
        2, "page: this perpend was built without libmicrohttpd; write the page to a file");
}
#endif
