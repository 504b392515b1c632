#include "rechecked.h"

#include <stdio.h>
#include <stdlib.h>

char *rechecked_codes(char out[WM_STACK_TEXT_SIZE], const wm_recheck_codes *shades)
{
    char *end = out;
    *out = '\0';
    for (size_t i = 0; i < shades->count; i++)
        end += snprintf(end, (size_t)(out + WM_STACK_TEXT_SIZE - end), "%s%s", i ? "," : "", shades->codes[i]);
    return out;
}

static void json_line(wm_buf *out, const wm_rechecked *r, bool first)
{
    char codes[WM_STACK_TEXT_SIZE];
    wm_buf_format(out, "%s\n  {\"visit\":%lld,\"client\":", first ? "" : ",", (long long)r->visit_id);
    wm_buf_json_string(out, r->client);
    wm_buf_format(out, ",\"at\":\"%s\",\"against\":\"%s\",\"held\":", r->date, wm_recheck_held_name(r->held_by));
    wm_buf_json_string(out, rechecked_codes(codes, &r->held));
    wm_buf_text(out, ",\"best\":");
    wm_buf_json_string(out, rechecked_codes(codes, &r->best));
    wm_buf_json_number(out, ",\"best_de00\":", true, r->best_de00, 4);
    wm_buf_format(out, ",\"verdict\":\"%s\",\"claim\":\"%s\"", wm_verdict_name(r->verdict), wm_claim_name(r->claim));
    const bool known = r->held_by != WM_HELD_UNKNOWN;
    wm_buf_json_number(out, ",\"held_de00\":", known, r->held_de00, 4);
    wm_buf_json_number(out, ",\"gain\":", known, r->gain, 4);
    wm_buf_json_number(out, ",\"better_in\":", known, r->better_in, 4);
    wm_buf_text(out, ",\"said\":");
    wm_buf_json_string(out, r->said);
    wm_buf_format(out, ",\"earned\":%s}", r->earned ? "true" : "false");
}

void rechecked_write_gains(wm_buf *out, const wm_recheck_gain *gains, size_t count)
{
    wm_buf_text(out, "[");
    for (size_t i = 0; i < count; i++) {
        wm_buf_text(out, i ? ",\n  {\"code\":" : "\n  {\"code\":");
        wm_buf_json_string(out, gains[i].code);
        wm_buf_format(out, ",\"serves\":%zu", gains[i].clients);
        wm_buf_json_number(out, ",\"gain\":", true, gains[i].gain, 4);
        wm_buf_text(out, "}");
    }
    wm_buf_text(out, "]");
}

wm_status rechecked_write_json(wm_buf *out, const wm_rechecked *items, size_t count, wm_error *err)
{
    wm_recheck_gain *gains = NULL;
    size_t gain_count = 0;
    wm_status status = wm_recheck_gains(&gains, &gain_count, items, count, err);
    wm_buf_text(out, "{\"format\":1,\"visits\":[");
    for (size_t i = 0; i < count; i++)
        json_line(out, &items[i], i == 0);
    wm_buf_text(out, "],\"shades\":");
    rechecked_write_gains(out, gains, gain_count);
    wm_buf_text(out, "}\n");
    free(gains);
    return status;
}
