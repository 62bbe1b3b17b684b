/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading a file once, whatever lies under the name. */
#include "support/support.h"

#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "files/files.h"

static char folder[64];

static const char *path_of(const char *name)
{
    static char path[128];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static const char *file_of(const char *name, const char *bytes, size_t length)
{
    const char *path = path_of(name);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, length, file), length);
    assert_int_equal(fclose(file), 0);
    return path;
}

static void reads(const char *path, const char *expected)
{
    char *text = NULL;
    size_t length = 0;
    struct fault fault = {0};
    if (!file_read_text(path, &text, &length, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(length, strlen(expected));
    assert_string_equal(text, expected);
    free(text);
}

/* The message less the folder. */
static void refuses(const char *path, int status, const char *expected)
{
    char *text = NULL;
    size_t length = 0;
    struct fault fault = {0};
    assert_false(file_read_text(path, &text, &length, &fault));
    assert_null(text);
    assert_int_equal(fault.status, status);
    const char *colon = strstr(fault.text, ": ");
    assert_non_null(colon);
    assert_string_equal(colon + 2, expected);
}

static void line_ends_and_marks(void **state)
{
    (void)state;
    reads(file_of("plain", "a\nb\n", 4), "a\nb\n");
    reads(file_of("crlf", "a\r\nb\r\n", 6), "a\nb\n");
    reads(file_of("cr", "a\rb\r", 4), "a\nb\n");
    reads(file_of("mixed", "a\r\r\nb\n\rc", 8), "a\n\nb\n\nc");
    reads(file_of("mark",
              "\xEF\xBB\xBF"
              "a: 1\r\n",
              9),
        "a: 1\n");
    reads(file_of("mark within", "a\xEF\xBB\xBF", 4), "a\xEF\xBB\xBF");
    reads(file_of("no end", "a", 1), "a");
}

static void what_is_no_text(void **state)
{
    (void)state;
    refuses(file_of("empty", "", 0), 2, "is empty; is it the right file?");
    refuses(file_of("blank", " \r\n\t\n", 5), 2, "is empty; is it the right file?");
    refuses(file_of("only mark", "\xEF\xBB\xBF", 3), 2, "is empty; is it the right file?");
    refuses(file_of("binary", "a: 1\n\0b", 7), 2, "is binary, not text; give a YAML or CSV file");
    refuses(file_of("utf16",
                "\xFF\xFE"
                "a\0\n\0",
                6),
        2, "is UTF-16 text; save it as UTF-8");
    refuses(file_of("utf16 big", "\xFE\xFF\0a\0\n", 6), 2, "is UTF-16 text; save it as UTF-8");
    refuses(folder, 2, "is a directory; give a file");
    refuses(path_of("nowhere"), 2, "there is no such file; check the name and the folder");
    refuses(path_of("plain/nowhere"), 2, "there is no such file; check the name and the folder");
    refuses("", 2, "there is no such file; check the name and the folder");
}

static void a_name_too_long(void **state)
{
    (void)state;
    char name[5000];
    memset(name, 'n', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    struct fault fault;
    char *text;
    size_t length;
    assert_false(file_read_text(name, &text, &length, &fault));
    assert_int_equal(fault.status, 2);
    /* the end of the name is shown, and the message whole */
    assert_non_null(strstr(fault.text, "…nnn"));
    assert_non_null(strstr(fault.text, "; check it"));
}

static void the_machine_fails(void **state)
{
    (void)state;
    struct fault fault;
    char *text;
    size_t length;
    /* reading a process's memory at address 0 is an I/O error on Linux */
    if (access("/proc/self/mem", R_OK) == 0) {
        assert_false(file_read_text("/proc/self/mem", &text, &length, &fault));
        assert_int_equal(fault.status, 3);
    }
    const char *path = file_of("secret", "a: 1\n", 5);
    assert_int_equal(chmod(path, 0), 0);
    if (access(path, R_OK) != 0)
        refuses(path, 3, "no permission to read it; change its permissions");
}

/* A writer at the other end of a FIFO: `count` bytes, in pieces. */
static pid_t write_fifo(const char *path, size_t count)
{
    pid_t child = fork();
    if (child != 0)
        return child;
    static char piece[7777];
    memset(piece, 'x', sizeof piece);
    int descriptor = open(path, O_WRONLY);
    while (count > 0) {
        ssize_t put = write(descriptor, piece, count < sizeof piece ? count : sizeof piece);
        if (put <= 0)
            break;
        count -= (size_t)put;
    }
    _exit(0);
}

static void a_fifo(void **state)
{
    (void)state;
    const char *path = path_of("fifo");
    char *text = NULL;
    size_t length = 0;
    struct fault fault;
    assert_int_equal(mkfifo(path, 0600), 0);
    pid_t writer = write_fifo(path, 100000);
    assert_true(file_read_text(path, &text, &length, &fault));
    assert_int_equal(length, 100000);
    assert_int_equal(text[99999], 'x');
    free(text);
    waitpid(writer, NULL, 0);
    /* one byte too many, and no size to tell beforehand */
    writer = write_fifo(path, FILES_LARGEST + 1);
    assert_false(file_read_text(path, &text, &length, &fault));
    assert_int_equal(fault.status, 2);
    assert_non_null(strstr(fault.text, "larger than 1 MiB"));
    waitpid(writer, NULL, 0);
    writer = write_fifo(path, FILES_LARGEST);
    assert_true(file_read_text(path, &text, &length, &fault));
    assert_int_equal(length, FILES_LARGEST);
    free(text);
    waitpid(writer, NULL, 0);
}

static void standard_input(void **state)
{
    (void)state;
    const char *path = file_of("input", "b: 2\n", 5);
    int kept = dup(STDIN_FILENO), descriptor = open(path, O_RDONLY);
    assert_true(dup2(descriptor, STDIN_FILENO) >= 0);
    reads("-", "b: 2\n");
    struct fault fault;
    char *text;
    size_t length;
    /* it has been read to its end */
    assert_false(file_read_text("-", &text, &length, &fault));
    assert_string_equal(fault.text, "standard input: is empty; is it the right file?");
    dup2(kept, STDIN_FILENO);
    close(kept);
    close(descriptor);
}

static void faults_are_harmless(void **state)
{
    (void)state;
    struct fault fault;
    fault_set(&fault, 2, "%s",
        "\033[31mred\n\x7F\xC2\x9B"
        "31m \xFF\xE2\x80\xAE"
        "x µ … \"");
    assert_string_equal(fault.text, "?[31mred???31m ??x µ … \"");
    char many[2000];
    memset(many, 'a', sizeof many - 1);
    many[sizeof many - 1] = '\0';
    fault_set(&fault, 3, "%s", many);
    assert_int_equal(strlen(fault.text), sizeof fault.text - 1);
    assert_int_equal(fault.status, 3);
}

static int make_folder(void **state)
{
    (void)state;
    snprintf(folder, sizeof folder, "/tmp/perpend-test-XXXXXX");
    return mkdtemp(folder) == NULL ? -1 : 0;
}

static int remove_folder(void **state)
{
    (void)state;
    static const char *const names[] = {"plain", "crlf", "cr", "mixed", "mark", "mark within",
        "no end", "empty", "blank", "only mark", "binary", "utf16", "utf16 big", "secret", "fifo",
        "input"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        unlink(path_of(names[i]));
    return rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(line_ends_and_marks),
        cmocka_unit_test(what_is_no_text),
        cmocka_unit_test(a_name_too_long),
        cmocka_unit_test(the_machine_fails),
        cmocka_unit_test(a_fifo),
        cmocka_unit_test(standard_input),
        cmocka_unit_test(faults_are_harmless),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
