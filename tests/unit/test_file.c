/* file: nothing lost, nothing half written, one clear line. */
#include "core/file.h"
#include "support/near.h"

#include <dirent.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { LIMIT = 1 << 20 };

static char folder[64];

static const char *in_folder(const char *name)
{
    static char path[4][700];
    static int turn;
    char *out = path[turn++ % 4];
    snprintf(out, sizeof path[0], "%s/%s", folder, name);
    return out;
}

static int make_folder(void **state)
{
    (void)state;
    strcpy(folder, "/tmp/weftmatch-file-XXXXXX");
    return mkdtemp(folder) ? 0 : -1;
}

/* Also proves that no neighbour file was left: every name but `expected` fails. */
static void only_file_is(const char *expected)
{
    DIR *dir = opendir(folder);
    assert_non_null(dir);
    for (struct dirent *entry; (entry = readdir(dir));) {
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0)
            continue;
        if (!expected || strcmp(entry->d_name, expected) != 0)
            fail_msg("left over: %s", entry->d_name);
    }
    closedir(dir);
}

static int remove_folder(void **state)
{
    (void)state;
    DIR *dir = opendir(folder);
    for (struct dirent *entry; dir && (entry = readdir(dir));)
        remove(in_folder(entry->d_name));
    if (dir)
        closedir(dir);
    return rmdir(folder);
}

static void content_is(const char *path, const char *want)
{
    wm_bytes bytes = { 0 };
    assert_int_equal(wm_file_read(&bytes, path, LIMIT, WM_E_INPUT, NULL), WM_OK);
    assert_int_equal(bytes.size, strlen(want));
    assert_string_equal((char *)bytes.data, want);
    wm_bytes_free(&bytes);
    assert_null(bytes.data);
}

static mode_t mode_of(const char *path)
{
    struct stat facts;
    assert_int_equal(stat(path, &facts), 0);
    return facts.st_mode & 07777;
}

static void put(const char *path, const char *text)
{
    assert_int_equal(wm_file_write(path, text, strlen(text), WM_FILE_FORCE, NULL), WM_OK);
}

static void refuse_write(const char *path, unsigned flags, const char *message)
{
    wm_error err = { 0 };
    assert_int_equal(wm_file_write(path, "new", 3, flags, &err), WM_E_OUTPUT);
    assert_string_equal(err.text, message);
    assert_string_equal(err.file, path);
    assert_int_equal(wm_file_write(path, "new", 3, flags, NULL), WM_E_OUTPUT);
}

static void refuse_read(const char *path, size_t limit, const char *message)
{
    wm_bytes bytes = { 0 };
    wm_error err = { 0 };
    assert_int_equal(wm_file_read(&bytes, path, limit, WM_E_PHOTO, &err), WM_E_PHOTO);
    assert_null(bytes.data);
    assert_string_equal(err.text, message);
    assert_string_equal(err.file, path);
}

static void writes_and_reads(void **state)
{
    (void)state;
    const char *path = in_folder("report.html");
    assert_int_equal(wm_file_write(path, "a\nb", 3, 0, NULL), WM_OK);
    content_is(path, "a\nb");
    only_file_is("report.html");
    put(path, "");
    content_is(path, "");
}

static void an_existing_file_stays_without_force(void **state)
{
    (void)state;
    const char *path = in_folder("report.html");
    put(path, "old");
    refuse_write(path, 0, "exists already; give --force to overwrite it");
    content_is(path, "old");
    put(path, "new");
    content_is(path, "new");
    only_file_is("report.html");
}

static void client_data_is_private(void **state)
{
    (void)state;
    umask(022);
    put(in_folder("plain"), "x");
    assert_int_equal(mode_of(in_folder("plain")), 0644);
    umask(027);
    put(in_folder("plain"), "x");
    assert_int_equal(mode_of(in_folder("plain")), 0640); /* the umask counts */
    umask(022);
    assert_int_equal(wm_file_write(in_folder("plain"), "y", 1, WM_FILE_FORCE | WM_FILE_PRIVATE, NULL), WM_OK);
    assert_int_equal(mode_of(in_folder("plain")), 0600); /* also over a file that was open to all */
    umask(0777);
    assert_int_equal(wm_file_write(in_folder("plain"), "x", 1, WM_FILE_PRIVATE | WM_FILE_FORCE, NULL), WM_OK);
    umask(022);
    assert_int_equal(mode_of(in_folder("plain")), 0600); /* and its owner can read it whatever the umask */
}

static void bad_places_to_write(void **state)
{
    (void)state;
    refuse_write(folder, WM_FILE_FORCE, "this is a folder; name a file in it");
    refuse_write(in_folder("none/report.html"), 0, "the folder does not exist; make it first");
    refuse_write("", 0, "the output has an empty name; name a file");
    put(in_folder("file"), "x");
    refuse_write(in_folder("file/report.html"), 0, "part of the path is not a folder; check the name");
    char long_name[600];
    memset(long_name, 'n', sizeof long_name);
    long_name[299] = '\0';
    refuse_write(in_folder(long_name), 0, "the name is too long; use a shorter one");
    only_file_is("file");
}

static void longest_allowed_name(void **state)
{
    (void)state;
    char name[256];
    memset(name, 'n', sizeof name);
    name[255] = '\0'; /* the neighbour file's own name must not be longer */
    put(in_folder(name), "x");
    content_is(in_folder(name), "x");
}

static void a_full_device(void **state)
{
    (void)state;
    if (access("/dev/full", W_OK) != 0)
        skip();
    refuse_write("/dev/full", 0, "no space left for it; make room or choose another disk");
}

/* A disk that fills up in the middle: the old file stays, no neighbour is left. */
static void a_disk_that_fills_up(void **state)
{
    (void)state;
    const char *path = in_folder("report.html");
    put(path, "old");
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        static char large[100000];
        struct rlimit limit = { 4096, 4096 };
        signal(SIGXFSZ, SIG_IGN);
        setrlimit(RLIMIT_FSIZE, &limit);
        wm_error err = { 0 };
        wm_status status = wm_file_write(path, large, sizeof large, WM_FILE_FORCE, &err);
        _exit(status == WM_E_OUTPUT && strcmp(err.text, "no space left for it; make room or choose another disk") == 0
                  ? 0
                  : 1);
    }
    int result = -1;
    assert_int_equal(waitpid(child, &result, 0), child);
    assert_int_equal(result, 0);
    content_is(path, "old");
    only_file_is("report.html");
}

static void a_device_is_written_into_not_replaced(void **state)
{
    (void)state;
    assert_int_equal(wm_file_write("/dev/null", "x", 1, 0, NULL), WM_OK);
    assert_int_equal(wm_file_write("/dev/null", "x", 1, WM_FILE_FORCE, NULL), WM_OK);
    struct stat facts;
    assert_int_equal(stat("/dev/null", &facts), 0);
    assert_true(S_ISCHR(facts.st_mode));
}

/* A dangling link must not make the program write somewhere else, nor be replaced unasked. */
static void a_dangling_link_counts_as_existing(void **state)
{
    (void)state;
    assert_int_equal(symlink("nowhere", in_folder("link")), 0);
    refuse_write(in_folder("link"), 0, "exists already; give --force to overwrite it");
    only_file_is("link");
}

static void through_a_link_the_target_is_replaced(void **state)
{
    (void)state;
    put(in_folder("target"), "old");
    assert_int_equal(symlink("target", in_folder("link")), 0);
    put(in_folder("link"), "new");
    content_is(in_folder("target"), "new");
    struct stat facts;
    assert_int_equal(lstat(in_folder("link"), &facts), 0);
    assert_true(S_ISLNK(facts.st_mode));
}

static void asked_before_long_work(void **state)
{
    (void)state;
    wm_error err = { 0 };
    put(in_folder("old"), "x");
    assert_int_equal(wm_file_check_new(in_folder("new"), false, &err), WM_OK);
    assert_int_equal(wm_file_check_new(in_folder("old"), true, &err), WM_OK);
    assert_int_equal(wm_file_check_new("-", false, &err), WM_OK);
    assert_int_equal(wm_file_check_new(in_folder("old"), false, &err), WM_E_OUTPUT);
    assert_string_equal(err.text, "exists already; give --force to overwrite it");
    assert_int_equal(wm_file_check_new(in_folder("none/new"), false, &err), WM_E_OUTPUT);
    assert_string_equal(err.text, "the folder does not exist; make it first");
    assert_int_equal(symlink("nowhere", in_folder("link")), 0);
    assert_int_equal(wm_file_check_new(in_folder("link"), false, &err), WM_E_OUTPUT);
    assert_int_equal(wm_file_check_new("/dev/null", false, &err), WM_OK);
    assert_int_equal(wm_file_check_new(folder, true, &err), WM_E_OUTPUT);
    assert_string_equal(err.text, "this is a folder; name a file in it");
}

static void reading_refuses(void **state)
{
    (void)state;
    refuse_read(in_folder("none"), LIMIT, "no such file; check the name and the folder");
    refuse_read(folder, LIMIT, "this is a folder; name a file in it");
    put(in_folder("file"), "12345");
    refuse_read(in_folder("file/x"), LIMIT, "part of the path is not a folder; check the name");
    refuse_read(in_folder("file"), 4, "larger than the limit of 4 bytes; use a smaller file");
    refuse_read("/dev/zero", 3 << 20,
                "larger than the limit of 3 MiB; use a smaller file"); /* a size that nobody knows beforehand */
    refuse_read("", LIMIT, "the name is empty; name a file");
}

static void reading_up_to_the_limit(void **state)
{
    (void)state;
    put(in_folder("file"), "12345");
    wm_bytes bytes = { 0 };
    assert_int_equal(wm_file_read(&bytes, in_folder("file"), 5, WM_E_INPUT, NULL), WM_OK);
    assert_int_equal(bytes.size, 5);
    assert_int_equal(bytes.data[5], 0);
    wm_bytes_free(&bytes);
    assert_int_equal(wm_file_read(&bytes, "/dev/null", 0, WM_E_INPUT, NULL), WM_OK);
    assert_int_equal(bytes.size, 0);
    wm_bytes_free(&bytes);
    wm_bytes_free(NULL);
}

/* It must not hang; five seconds. */
static void reading_a_pipe_without_a_writer(void **state)
{
    (void)state;
    wm_bytes bytes = { 0 };
    wm_error err = { 0 };
    assert_int_equal(mkfifo(in_folder("silent"), 0600), 0);
    assert_int_equal(wm_file_read(&bytes, in_folder("silent"), LIMIT, WM_E_INPUT, &err), WM_E_INPUT);
    assert_string_equal(err.text, "nothing comes out of this pipe; name a file");
}

/* A device may keep silent for ever: unlike a pipe, it is not waited for. A new terminal's other side says nothing. */
static void reading_a_silent_device(void **state)
{
    (void)state;
    wm_bytes bytes = { 0 };
    wm_error err = { 0 };
    int there = open("/dev/ptmx", O_RDONLY | O_NOCTTY); /* a chroot may name it and have none */
    if (there < 0)
        skip();
    close(there);
    assert_int_equal(wm_file_read(&bytes, "/dev/ptmx", LIMIT, WM_E_INPUT, &err), WM_E_INPUT);
    assert_string_equal(err.text, "nothing comes out of this device; name a file");
}

/* A process hands over its output: no size beforehand, many small parts. */
static void reading_a_pipe(void **state)
{
    (void)state;
    assert_int_equal(mkfifo(in_folder("pipe"), 0600), 0);
    enum { PARTS = 3000, PART = 100 };
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        int fd = open(in_folder("pipe"), O_WRONLY);
        char part[PART];
        memset(part, 'p', sizeof part);
        for (int i = 0; i < PARTS; i++)
            if (write(fd, part, sizeof part) != PART)
                _exit(1);
        _exit(0);
    }
    wm_bytes bytes = { 0 };
    assert_int_equal(wm_file_read(&bytes, in_folder("pipe"), LIMIT, WM_E_INPUT, NULL), WM_OK);
    assert_int_equal(bytes.size, PARTS * PART);
    assert_int_equal(bytes.data[PARTS * PART - 1], 'p');
    wm_bytes_free(&bytes);
    int result = -1;
    assert_int_equal(waitpid(child, &result, 0), child);
    assert_int_equal(result, 0);
}

/* Nobody reads: refused after five seconds. Somebody who comes a little later gets all of it. */
static void writing_into_a_pipe(void **state)
{
    (void)state;
    wm_error err = { 0 };
    enum { ALL = 200000 };
    static char text[ALL], got[ALL];
    memset(text, 'p', sizeof text);
    assert_int_equal(mkfifo(in_folder("out"), 0600), 0);
    assert_int_equal(wm_file_write(in_folder("out"), text, ALL, WM_FILE_FORCE, &err), WM_E_OUTPUT);
    assert_string_equal(err.text, "nobody reads from this pipe; name a file");
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        (void)nanosleep(&(struct timespec){ 0, 200000000 }, NULL);
        FILE *f = fopen(in_folder("out"), "rb");
        _exit(f && fread(got, 1, ALL, f) == ALL && memcmp(got, text, ALL) == 0 ? 0 : 1);
    }
    assert_int_equal(wm_file_write(in_folder("out"), text, ALL, WM_FILE_FORCE, &err), WM_OK);
    int result = -1;
    assert_int_equal(waitpid(child, &result, 0), child);
    assert_int_equal(result, 0);
}

static void names(void **state)
{
    (void)state;
    assert_string_equal(wm_file_base_name("a/b/c.jpg"), "c.jpg");
    assert_string_equal(wm_file_base_name("c.jpg"), "c.jpg");
    assert_string_equal(wm_file_base_name("a/"), "");
    assert_true(wm_file_ends_in("a/b.CSV", ".csv") && wm_file_ends_in(".csv", ".csv"));
    assert_false(wm_file_ends_in("csv", ".csv") || wm_file_ends_in("a.csv.txt", ".csv"));
    const struct {
        const char *beside, *name, *want;
    } cases[] = { { "zones.json", "a.jpg", "a.jpg" },
                  { "d/zones.json", "a.jpg", "d/a.jpg" },
                  { "/zones.json", "a.jpg", "/a.jpg" },
                  { "d/zones.json", "/x/a.jpg", "/x/a.jpg" },
                  { "../d/zones.json", "../a.jpg", "../d/../a.jpg" } };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char *got = wm_file_relative_to(cases[i].beside, cases[i].name);
        assert_string_equal(got, cases[i].want);
        free(got);
    }
    assert_true(wm_file_exists("/dev/null"));
    assert_false(wm_file_exists(in_folder("none")));
}

/* The examples published with FIPS 180-4 (one block, two blocks, a million letters) and the empty message; then every
 * length around the block size against a digest of digests that coreutils' sha256sum gave. */
static void sha256(void **state)
{
    (void)state;
    char hex[65];
    wm_sha256_hex(hex, "abc", 3);
    assert_string_equal(hex, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    const char *two = "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq";
    wm_sha256_hex(hex, two, strlen(two));
    assert_string_equal(hex, "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    wm_sha256_hex(hex, NULL, 0);
    assert_string_equal(hex, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    char *million = malloc(1000000);
    assert_non_null(million);
    memset(million, 'a', 1000000);
    wm_sha256_hex(hex, million, 1000000);
    assert_string_equal(hex, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
    static char all[200 * 64 + 1];
    for (size_t n = 0; n < 200; n++) {
        wm_sha256_hex(hex, million, n);
        memcpy(all + 64 * n, hex, 64);
    }
    wm_sha256_hex(hex, all, 200 * 64);
    assert_string_equal(hex, "019f2b9f1af27a53a1f046da7e98af2c179f431e4b5bebb000e74040917a4123");
    free(million);
}

#define IN_FOLDER(f) cmocka_unit_test_setup_teardown(f, make_folder, remove_folder)

int main(void)
{
    const struct CMUnitTest tests[] = { IN_FOLDER(writes_and_reads),
                                        IN_FOLDER(an_existing_file_stays_without_force),
                                        IN_FOLDER(client_data_is_private),
                                        IN_FOLDER(bad_places_to_write),
                                        IN_FOLDER(longest_allowed_name),
                                        IN_FOLDER(a_full_device),
                                        IN_FOLDER(a_disk_that_fills_up),
                                        IN_FOLDER(a_device_is_written_into_not_replaced),
                                        IN_FOLDER(a_dangling_link_counts_as_existing),
                                        IN_FOLDER(through_a_link_the_target_is_replaced),
                                        IN_FOLDER(asked_before_long_work),
                                        IN_FOLDER(reading_refuses),
                                        IN_FOLDER(reading_up_to_the_limit),
                                        IN_FOLDER(reading_a_pipe),
                                        IN_FOLDER(reading_a_pipe_without_a_writer),
                                        cmocka_unit_test(reading_a_silent_device),
                                        IN_FOLDER(writing_into_a_pipe),
                                        IN_FOLDER(names),
                                        cmocka_unit_test(sha256) };
    return cmocka_run_group_tests_name("file", tests, NULL, NULL);
}
