/* analyse: read first by analysers (tests/analyse.sh), which look at one file at a time: what refuses never returns 0.
 */
#ifndef SUPPORT_ANALYSE_H
#define SUPPORT_ANALYSE_H

#include "core/status.h"

#define wm_fail(err, code, ...) ((void)wm_fail(err, code, __VA_ARGS__), (code))
#define wm_fail_at(err, code, ...) ((void)wm_fail_at(err, code, __VA_ARGS__), (code))
#define wm_fail_memory(err) ((void)wm_fail_memory(err), WM_E_MEMORY)

#endif
