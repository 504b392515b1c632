#include "support/near.h"

#include <math.h>
#include <stdio.h>

static double worst;
static char worst_name[160];

void worst_reset(void)
{
    worst = 0;
    worst_name[0] = '\0';
}

double worst_error(void)
{
    return worst;
}

const char *worst_case(void)
{
    return worst_name;
}

void worst_print(const char *what)
{
    printf("# %s: worst %.3g at %s\n", what, worst, worst_name[0] ? worst_name : "(none)");
}

void near(const char *name, double got, double want, double tolerance)
{
    double error = fabs(got - want);
    if (error > worst || isnan(error)) {
        worst = error;
        snprintf(worst_name, sizeof worst_name, "%s", name);
    }
    if (!(error <= tolerance))
        fail_msg("%s: want %.10g, got %.10g, off by %.3g, tolerance %.3g", name, want, got, error, tolerance);
}
