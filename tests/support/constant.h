/* constant: a value of reference/constants.csv by group and name. */
#ifndef SUPPORT_CONSTANT_H
#define SUPPORT_CONSTANT_H

#include "support/near.h"
#include "support/table.h"

#include <stdio.h>
#include <string.h>

static inline double constant(const table *constants, const char *group, const char *name)
{
    for (size_t i = 0; i < table_rows(constants); i++)
        if (strcmp(table_text(constants, i, "group"), group) == 0 &&
            strcmp(table_text(constants, i, "name"), name) == 0)
            return table_number(constants, i, "value");
    fail_msg("constants.csv has no %s %s", group, name);
    return 0;
}

/* Element of a 3 x 3 matrix, names NAME_11 to NAME_33. */
static inline double constant_element(const table *constants, const char *group, const char *name, int row, int column)
{
    char full[80];
    snprintf(full, sizeof full, "%s_%d%d", name, row + 1, column + 1);
    return constant(constants, group, full);
}

#endif
