/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is accepted is on the disk when the call returns. */
#include "log/book.h"
#include "support/log_support.h"

#define PAGE 4096

static const struct perpend_slope leaning = {0.001, 0.006};
static const struct perpend_slope upright = {0.0001, -0.0002};

/* A file system that counts how often the log is put on the disk, and how often the end of an entry
   is: its journal gone, and the folder that says so on the disk. */
static int syncs, ends;
static int (*real_sync)(sqlite3_file *, int);
static int (*real_open)(sqlite3_vfs *, const char *, sqlite3_file *, int, int *);
static int (*real_delete)(sqlite3_vfs *, const char *, int);
static sqlite3_io_methods counted;

static int count_sync(sqlite3_file *file, int flags)
{
    syncs++;
    return real_sync(file, flags);
}

static int open_counted(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags, int *out)
{
    int code = real_open(vfs, name, file, flags, out);
    if (code == SQLITE_OK && flags & SQLITE_OPEN_MAIN_DB) {
        counted = *file->pMethods;
        real_sync = counted.xSync;
        counted.xSync = count_sync;
        file->pMethods = &counted;
    }
    return code;
}

static int delete_counted(sqlite3_vfs *vfs, const char *name, int sync_folder)
{
    ends += sync_folder != 0;
    return real_delete(vfs, name, sync_folder);
}

static void assert_on_the_disk(void)
{
    assert_true(syncs > 0 && ends > 0);
    syncs = ends = 0;
}

static void each_reading_is_on_the_disk_when_accepted(void **state)
{
    (void)state;
    struct fault fault;
    struct log_book *book;
    struct log_folder made = log_folder_make();
    sqlite3_vfs *usual = sqlite3_vfs_find(NULL);
    sqlite3_vfs counting = *usual;
    assert_non_null(usual);
    real_open = usual->xOpen;
    real_delete = usual->xDelete;
    counting.zName = "counting";
    counting.xOpen = open_counted;
    counting.xDelete = delete_counted;
    assert_int_equal(sqlite3_vfs_register(&counting, 1), SQLITE_OK);
    works(log_open(made.path, LOG_WRITE, &book, &fault));
    int64_t job = log_test_job(book, tern_text);
    int64_t sweep, id;
    struct perpend_reading reading = {0, 0.5, 0, 0};
    works(log_sweep_add(book, job, &(struct perpend_sweep){.name = "as found"}, &sweep, &fault));
    for (int i = 0; i < 50; i++) {
        syncs = ends = 0;
        works(log_reading_accept(book, sweep, &reading, NULL, &id, &fault));
        assert_on_the_disk();
        works(log_reading_correct(book, id, &reading, NULL, NULL, &fault));
        assert_on_the_disk();
    }
    log_close(book);
    assert_int_equal(sqlite3_vfs_unregister(&counting), SQLITE_OK);
    log_folder_remove(&made);
}

/* ---- backup -------------------------------------------------------------------------------- */

static void a_backup_is_whole_and_replaces_nothing(void **state)
{
    (void)state;
    size_t length;
    struct fault fault;
    struct log_book *book, *writer;
    struct log_folder made = log_folder_make();
    char copy[160];
    unsigned char *bytes = log_test_sound(&made, 2, &length);
    snprintf(copy, sizeof copy, "%s/copy.sqlite", made.folder);
    /* while a session has it open, with entries not yet in the main file */
    works(log_open(made.path, LOG_WRITE, &writer, &fault));
    log_test_whole_job(writer, tern_text, leaning, upright);
    works(log_open(made.path, LOG_READ, &book, &fault));
    works(log_backup(book, copy, false, &fault));
    refused(log_backup(book, copy, false, &fault), 2);
    refused(log_backup(book, made.path, true, &fault), 2);
    refused(log_backup(book, made.folder, true, &fault), 2);
    works(log_backup(book, copy, true, &fault));
    log_close(book);
    log_close(writer);
    struct log_list list;
    works(log_open(copy, LOG_READ, &book, &fault));
    works(log_list(book, &(struct log_filter){0}, &list, &fault));
    assert_int_equal(list.count, 3);
    log_list_finish(&list);
    log_close(book);
    /* a damaged log gives no backup, and the old one stays */
    free(bytes);
    bytes = log_test_bytes(made.path, &length);
    memset(bytes + 5 * PAGE, 0x5a, PAGE);
    log_test_put(made.path, bytes, length);
    size_t copy_length;
    unsigned char *copy_bytes = log_test_bytes(copy, &copy_length);
    works(log_open(made.path, LOG_READ, &book, &fault));
    refused(log_backup(book, copy, true, &fault), 3);
    log_close(book);
    size_t now_length;
    unsigned char *now = log_test_bytes(copy, &now_length);
    assert_int_equal(now_length, copy_length);
    assert_memory_equal(now, copy_bytes, copy_length);
    free(now);
    free(copy_bytes);
    free(bytes);
    log_folder_remove(&made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_reading_is_on_the_disk_when_accepted),
        cmocka_unit_test(a_backup_is_whole_and_replaces_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
