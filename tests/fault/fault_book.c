/* book on a disk that fills up and in memory that runs out: each write and each allocation fails in turn. Nothing is
 * lost, the book stays sound, and what was reported as saved is there. */
#include "book/book.h"
#include "memory.h"
#include "support/near.h"

#include "support/folder.h"

#include <errno.h>
#include <sqlite3.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

/* --- a disk --- */

static long writes_left; /* 0: the disk is large enough */
static bool full, short_write;

static ssize_t limited_write(int fd, const void *data, size_t size, off_t at)
{
    if (writes_left > 0 && --writes_left == 0)
        full = true;
    if (!full)
        return pwrite(fd, data, size, at);
    if (short_write && size > 1) {
        short_write = false;
        return pwrite(fd, data, size / 2, at);
    }
    errno = ENOSPC;
    return -1;
}

static void fill_disk_at(long write, bool in_the_middle)
{
    sqlite3_vfs *vfs = sqlite3_vfs_find(NULL);
    full = false;
    short_write = in_the_middle;
    writes_left = write;
    assert_int_equal(vfs->xSetSystemCall(vfs, "pwrite64", (sqlite3_syscall_ptr)limited_write), SQLITE_OK);
}

static bool disk_was_full(void)
{
    bool was = full;
    full = false;
    writes_left = 0;
    return was;
}

/* --- the book --- */

static const char *book_path(void)
{
    return folder_file("salon.book");
}

static void save_one(wm_status *status, wm_error *err, wm_book_mode mode, const char *client)
{
    static unsigned char report[9000];
    wm_book *book = NULL;
    int64_t id = 0;
    memset(report, 'r', sizeof report);
    *status = wm_book_open(&book, book_path(), mode, err);
    if (!*status && client)
        *status = wm_book_client_add(&id, book, client, "", "2026-03-31", err);
    wm_visit visit = { .client_id = 1,
                       .date = "2026-03-31",
                       .report_json = { report, sizeof report },
                       .photo_jpeg = { report, sizeof report } };
    if (!*status)
        *status = wm_book_visit_save(&id, book, &visit, err);
    wm_book_close(book);
}

static void expect_sound(long visits)
{
    wm_book *book = NULL;
    wm_client client;
    wm_warnings findings = { 0 };
    wm_error err = { 0 };
    if (wm_book_open(&book, book_path(), WM_BOOK_READ, &err) || wm_book_client_find(&client, book, "1", &err) ||
        wm_book_check(book, &findings, &err))
        fail_msg("%s", err.text);
    wm_book_close(book);
    if (findings.count)
        fail_msg("%s", findings.items[0].text);
    wm_warnings_free(&findings);
    assert_int_equal(client.visits, visits);
}

static void each_write_meets_a_full_disk(bool in_the_middle)
{
    wm_status status;
    wm_error err = { 0 };
    long visits = 1, refused = 0, writes = 1;
    save_one(&status, &err, WM_BOOK_CREATE, "Anna Berg");
    assert_int_equal(status, WM_OK);
    for (;; writes++) {
        fill_disk_at(writes, in_the_middle);
        save_one(&status, &err, WM_BOOK_WRITE, NULL);
        bool was_full = disk_was_full();
        if (status) {
            assert_true(was_full);
            assert_int_equal(status, WM_E_BOOK);
            assert_string_equal(err.text, "the disk is full; nothing was changed; make room and try again");
            refused++;
        }
        visits += status == WM_OK;
        expect_sound(visits);
        if (!was_full)
            break;
    }
    printf("# a full disk at each of %ld writes: %ld saves refused, the others are there\n", writes - 1, refused);
    assert_true(refused > 3);
}

static void a_full_disk_loses_nothing(void **state)
{
    (void)state;
    each_write_meets_a_full_disk(false);
}

static void a_disk_that_fills_in_the_middle_of_a_write_loses_nothing(void **state)
{
    (void)state;
    each_write_meets_a_full_disk(true);
}

/* Not a byte is free: what was saved can be read, and copied to another disk. */
static void a_full_disk_can_be_read(void **state)
{
    (void)state;
    wm_status status;
    wm_book *book = NULL;
    wm_client client;
    wm_error err = { 0 };
    save_one(&status, &err, WM_BOOK_CREATE, "Anna Berg");
    assert_int_equal(status, WM_OK);
    fill_disk_at(1, false);
    if (wm_book_open(&book, book_path(), WM_BOOK_READ, &err) || wm_book_client_find(&client, book, "anna", &err))
        fail_msg("%s", err.text);
    assert_true(disk_was_full());
    assert_int_equal(client.visits, 1);
    assert_int_equal(wm_book_backup(book, folder_file("other.disk"), &err), WM_OK);
    wm_book_close(book);
    fill_disk_at(1, false);
    save_one(&status, &err, WM_BOOK_WRITE, NULL);
    assert_true(disk_was_full());
    assert_string_equal(err.text, "the disk is full; nothing was changed; make room and try again");
}

/* The very first book: either it is there and whole, or another attempt makes it. */
static void a_full_disk_while_the_book_is_made(void **state)
{
    (void)state;
    for (long writes = 1;; writes++) {
        wm_status status;
        wm_error err = { 0 };
        fill_disk_at(writes, false);
        save_one(&status, &err, WM_BOOK_CREATE, "Anna Berg");
        bool was_full = disk_was_full();
        if (status) {
            assert_string_equal(err.text, "the disk is full; nothing was changed; make room and try again");
            save_one(&status, &err, WM_BOOK_CREATE, "Anna Berg");
            if (status && !strstr(err.text, "is there already"))
                fail_msg("after write %ld: %s", writes, err.text);
        }
        expect_sound(status ? 0 : 1);
        folder_remove(state);
        folder_make(state);
        if (!was_full)
            break;
    }
}

/* --- memory: SQLite is given the same allocator as our own objects --- */

enum { HEAD = 16 }; /* keeps the size, and the alignment */

static void *take(int size)
{
    char *block = memory_take((size_t)size + HEAD);
    if (!block)
        return NULL;
    memcpy(block, &size, sizeof size);
    return block + HEAD;
}

static int size_of(void *block)
{
    int size = 0;
    if (block)
        memcpy(&size, (char *)block - HEAD, sizeof size);
    return size;
}

static void give(void *block)
{
    if (block)
        memory_give((char *)block - HEAD);
}

static void *retake(void *block, int size)
{
    void *more = take(size);
    int old = size_of(block);
    if (more && block) {
        memcpy(more, block, (size_t)(old < size ? old : size));
        give(block);
    }
    return more;
}

static int round_up(int size)
{
    return (size + 7) & ~7;
}

static int start(void *nothing)
{
    (void)nothing;
    return SQLITE_OK;
}

static void stop(void *nothing)
{
    (void)nothing;
}

static void memory_that_runs_out_loses_nothing(void **state)
{
    (void)state;
    wm_status status;
    wm_error err = { 0 };
    long visits = 1, allocations = 1, refused = 0;
    save_one(&status, &err, WM_BOOK_CREATE, "Anna Berg");
    for (;; allocations++) {
        sqlite3_shutdown();
        memory_fail_at(allocations);
        save_one(&status, &err, WM_BOOK_WRITE, NULL);
        bool failed = memory_failed();
        sqlite3_shutdown();
        long live = memory_live();
        memory_fail_at(0);
        if (live)
            fail_msg("%ld blocks are left when allocation %ld fails", live, allocations);
        if (status && (!failed || status != WM_E_MEMORY))
            fail_msg("allocation %ld: status %d, %s", allocations, (int)status, err.text);
        visits += status == WM_OK; /* SQLite does without some allocations */
        refused += status != WM_OK;
        if (allocations % 16 == 0 || !failed)
            expect_sound(visits);
        if (!failed)
            break;
    }
    printf("# memory runs out at each of %ld allocations: %ld saves refused, the others are there\n", allocations - 1,
           refused);
    assert_true(refused > 100);
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, folder_make, folder_remove)

int main(void)
{
    static const sqlite3_mem_methods methods = { take, give, retake, size_of, round_up, start, stop, NULL };
    sqlite3_config(SQLITE_CONFIG_MALLOC, &methods);
    const struct CMUnitTest tests[] = { IN_FOLDER(a_full_disk_loses_nothing),
                                        IN_FOLDER(a_disk_that_fills_in_the_middle_of_a_write_loses_nothing),
                                        IN_FOLDER(a_full_disk_can_be_read),
                                        IN_FOLDER(a_full_disk_while_the_book_is_made),
                                        IN_FOLDER(memory_that_runs_out_loses_nothing) };
    return cmocka_run_group_tests_name("book", tests, NULL, NULL);
}
