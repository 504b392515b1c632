/* format1: reports as they were saved before rules M21 on, one stack for the whole head: turned into what text and page
 * need now, so that they still read, print and show. Only read, never written. */
#ifndef WM_REPORT_FORMAT1_H
#define WM_REPORT_FORMAT1_H

#include "report/json_fields.h"
#include "report/report.h"

/** The proposals, the ideal mix, the scenarios and the plan of a document of format 1; plan: the fields of a plan. */
bool wm_format1_read(wm_report *report, const wm_json *root, const wm_field *plan, wm_fields_trouble *bad);

#endif
