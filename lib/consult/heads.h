/* heads: the zones of a report, fresh or saved, as the decision takes them. */
#ifndef WM_CONSULT_HEADS_H
#define WM_CONSULT_HEADS_H

#include "match/head.h"
#include "report/report.h"

/** Every zone that could be measured; returns how many. out has room for the report's zones. */
size_t wm_heads__of(wm_head_zone *out, const wm_report *report);

#endif
