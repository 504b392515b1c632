/* The wall round a photo's bytes, from inside: a helper that the photo has taken over (hostile.c) tries files, network,
 * descriptors, other processes, memory, endless loops and lies. Each is stopped, and told in one line within its time.
 * argv[1] is the hostile program. */
#include "photo/photo.h"
#include "support/near.h"

#include <fcntl.h>
#include <pthread.h>
#include <string.h>
#include <time.h>

static const char *hostile;

/* What a photo that "is" the attempt is refused with. */
static void refusal(wm_error *err, const char *attempt)
{
    wm_photo *photo = NULL;
    wm_bytes bytes = { (unsigned char *)(uintptr_t)attempt, strlen(attempt) };
    wm_photo_limits limits = { .max_megapixels = 200, .max_file_mib = 256, .helper = hostile };
    wm_status status = wm_photo_open_bytes(&photo, &bytes, "client.jpg", &limits, err);
    if (status != WM_E_PHOTO || photo || strstr(err->text, "BROKE OUT"))
        fail_msg("%s: ends with %d \"%s\"", attempt, (int)status, err->text);
    if (strpbrk(err->text, "\r\n\x1B"))
        fail_msg("%s: \"%s\" is not one line for a terminal", attempt, err->text);
}

static void refused(const char *attempt, const char *text)
{
    wm_error err = { 0 };
    refusal(&err, attempt);
    if (strcmp(err.text, text) != 0)
        fail_msg("%s: want \"%s\", got \"%s\"", attempt, text, err.text);
}

#define BROKE_DOWN "damaged photo: reading it failed; send or copy the photo again"
#define BROKE_DOWN_DECODING "damaged JPEG: the decoder failed on it; send or copy the photo again"

static void nothing_but_computing(void **state)
{
    (void)state;
    static const char *const forbidden[] = { "read_file",     "write_file",   "memory_of_parent",  "own_proc",
                                             "network",       "local_socket", "map_descriptor",    "read_descriptor",
                                             "signal_parent", "new_process",  "other_program",     "trace_parent",
                                             "more_memory",   "much_memory",  "executable_memory", "terminal",
                                             "crash",         "say_nothing" };
    int left_open = open("/etc/hostname", O_RDONLY); /* not close-on-exec: the helper may not see it all the same */
    assert_true(left_open >= 0);
    for (size_t i = 0; i < sizeof forbidden / sizeof *forbidden; i++)
        refused(forbidden[i], BROKE_DOWN);
}

static void lies_are_found_out(void **state)
{
    (void)state;
    static const char *const facts[] = { "huge_picture", "negative_picture", "picture_at_once", "unheard_of_stage" };
    static const char *const pictures[] = { "pixels_elsewhere",  "larger_than_its_room", "unended_name",
                                            "table_of_nan",      "nan_in_grid",          "other_facts",
                                            "unheard_of_planes", "facts_again",          "speaks_without_end",
                                            "dies_after_facts" };
    for (size_t i = 0; i < sizeof facts / sizeof *facts; i++)
        refused(facts[i], BROKE_DOWN);
    for (size_t i = 0; i < sizeof pictures / sizeof *pictures; i++)
        refused(pictures[i], BROKE_DOWN_DECODING);
    refused("unheard_of_kind", "damaged photo: the decoder failed on it; send or copy the photo again");
    refused("refused_without_a_word", "it can't be read; send or copy the photo again");
    wm_error err = { 0 };
    refusal(&err, "terminal_codes");
    refused("no_lock", "this system can't lock the photo decoder in, so nothing was decoded; use a kernel with seccomp "
                       "filters, or build with -Dsandbox=disabled to decode without");
}

static void *waits_in_vain(void *attempt)
{
    refused(attempt, "reading it takes longer than 10 seconds; use a smaller photo or save it again");
    return NULL;
}

static void endless_work_ends(void **state)
{
    (void)state;
    static const char *const attempts[] = { "endless", "endless_and_deaf", "nap" };
    struct timespec begin, end;
    pthread_t threads[3];
    clock_gettime(CLOCK_MONOTONIC, &begin);
    for (size_t i = 0; i < 3; i++)
        assert_int_equal(pthread_create(&threads[i], NULL, waits_in_vain, (void *)(uintptr_t)attempts[i]), 0);
    for (size_t i = 0; i < 3; i++)
        pthread_join(threads[i], NULL);
    clock_gettime(CLOCK_MONOTONIC, &end);
    assert_in_range(end.tv_sec - begin.tv_sec, 9, 30); /* ten; more where much else runs */
}

static void missing_helper(void **state)
{
    (void)state;
    wm_photo *photo = NULL;
    wm_error err = { 0 };
    unsigned char byte = 0xFF;
    wm_photo_limits limits = { .max_megapixels = 200, .max_file_mib = 256, .helper = "/nowhere/weftmatch-photo" };
    assert_int_equal(wm_photo_open_bytes(&photo, &(wm_bytes){ &byte, 1 }, "p.jpg", &limits, &err), WM_E_PHOTO);
    assert_string_equal(err.text, "the program that reads photos, /nowhere/weftmatch-photo, can't be started (No such "
                                  "file or directory); install weftmatch again");
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(nothing_but_computing), cmocka_unit_test(lies_are_found_out),
                                        cmocka_unit_test(endless_work_ends), cmocka_unit_test(missing_helper) };
    if (argc != 2)
        return 2;
    hostile = argv[1];
    return cmocka_run_group_tests_name("helper", tests, NULL, NULL);
}
