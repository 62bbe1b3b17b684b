/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is accepted is on the disk when the call returns. */
#include "log/book.h"
#include "support/log_support.h"

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
    works(log_sweep_add(book, job, &(struct log_sweep_start){"as found", 0, 0}, &sweep, &fault));
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_reading_is_on_the_disk_when_accepted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
