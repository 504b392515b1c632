/* parallel: each piece once, whoever does it; progress in steps of one. */
#include "core/parallel.h"
#include "support/near.h"

#include <stdatomic.h>

enum { PIECES = 1000 };

typedef struct tally {
    atomic_int done[PIECES];
    size_t told, wrong;
} tally;

static void do_one(void *user, size_t i)
{
    tally *t = user;
    t->done[i]++;
}

static void count_steps(void *user, size_t done, size_t all)
{
    tally *t = user;
    t->told++;
    t->wrong += done != t->told || all != PIECES;
}

static void each_piece_is_done_once_on_any_number_of_threads(void **state)
{
    (void)state;
    static const int JOBS[] = { -1, 0, 1, 2, 7, 1000 };
    for (size_t k = 0; k < sizeof JOBS / sizeof JOBS[0]; k++) {
        static tally t;
        t = (tally){ .told = 0 };
        wm_parallel_run(&(wm_parallel){ PIECES, JOBS[k], do_one, &t, count_steps, &t });
        for (size_t i = 0; i < PIECES; i++)
            assert_int_equal(t.done[i], 1);
        assert_int_equal(t.told, PIECES);
        assert_int_equal(t.wrong, 0);
    }
}

static void nothing_to_do_is_done(void **state)
{
    (void)state;
    static tally t;
    wm_parallel_run(&(wm_parallel){ 0, 4, do_one, &t, count_steps, &t });
    assert_int_equal(t.told, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_piece_is_done_once_on_any_number_of_threads),
        cmocka_unit_test(nothing_to_do_is_done),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
