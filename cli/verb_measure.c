#include "context.h"
#include "output.h"
#include "report/json_out.h"
#include "say.h"
#include "verbs.h"

int verb_measure(const args *a)
{
    wm_consult_input in = { 0 };
    wm_settings settings;
    clock_reading clock;
    wm_zones zones = { 0 };
    wm_catalogue catalogue = { 0 };
    wm_photo *photo = NULL;
    wm_report report = { 0 };
    wm_buf json = { 0 };
    wm_error err;
    wm_status status = context_consult(&in, a, &settings, &clock, &err);
    if (!status)
        status = output_check(a, &err);
    if (!status)
        status = context_zones(&zones, a, -1, &err);
    if (!status && zones_need_catalogue(&zones))
        status = context_catalogue(&catalogue, a, &err);
    if (!status)
        status = wm_consult_open_photo(&photo, a->operands[0], &zones, &settings.limits, &err);
    in.photo = photo;
    in.zones = &zones;
    in.catalogue = &catalogue;
    if (!status)
        status = wm_consult_measure(&report, NULL, &in, &err);
    if (!status)
        status = wm_report_to_json(&json, &report, &err);
    wm_bytes bytes = { (unsigned char *)json.data, json.size };
    output_input output = { .json = &bytes, .stamp = clock.seconds, .inches = settings.plan.units == WM_UNITS_IN };
    int code = status ? say_error(&err) : output_all(a, &output);
    wm_buf_free(&json);
    wm_report_free(&report);
    wm_photo_close(photo);
    wm_catalogue_free(&catalogue);
    wm_zones_free(&zones);
    return code;
}
