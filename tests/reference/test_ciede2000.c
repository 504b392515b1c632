/* CIEDE2000 against the published pairs and a table computed at 50 digits (reference/README.md has the sources). */
#include "colour/difference.h"
#include "support/near.h"
#include "support/table.h"

#include <stdio.h>

static wm_lab lab_of(const table *t, size_t row, const char *L, const char *a, const char *b)
{
    return (wm_lab){ table_number(t, row, L), table_number(t, row, a), table_number(t, row, b) };
}

static void both_orders(const char *file, double tolerance)
{
    table *t = table_open(file);
    worst_reset();
    for (size_t i = 0; i < table_rows(t); i++) {
        char name[80];
        wm_lab first = lab_of(t, i, "L1", "a1", "b1"), second = lab_of(t, i, "L2", "a2", "b2");
        snprintf(name, sizeof name, "pair %s", table_text(t, i, "pair"));
        near(name, wm_de00(first, second), table_number(t, i, "dE00"), tolerance);
        snprintf(name, sizeof name, "pair %s swapped", table_text(t, i, "pair"));
        near(name, wm_de00(second, first), table_number(t, i, "dE00"), tolerance);
    }
    worst_print(file);
    table_free(t);
}

/* Sharma, Wu & Dalal 2005, table 1, printed to 4 decimals: half a unit of the last one. */
static void sharma_34_pairs_both_orders(void **state)
{
    (void)state;
    both_orders("ciede2000_sharma2005.csv", 5.0001e-5);
}

/* Ours, 50 digits, printed to 8 decimals. */
static void oracle_200_pairs_both_orders(void **state)
{
    (void)state;
    both_orders("ciede2000_oracle.csv", 1e-7);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(sharma_34_pairs_both_orders),
                                        cmocka_unit_test(oracle_200_pairs_both_orders) };
    return cmocka_run_group_tests_name("ciede2000", tests, NULL, NULL);
}
