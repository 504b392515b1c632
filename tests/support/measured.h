/* Measured colours in tests. */
#ifndef TESTS_MEASURED_H
#define TESTS_MEASURED_H

#include "measure/measured.h"

static inline wm_measured measured(wm_lab lab, wm_lab sigma, double u_de00)
{
    return (wm_measured){ .lab = lab, .sigma = sigma, .u_de00 = u_de00, .claim = wm_claim_of(u_de00) };
}

#endif
