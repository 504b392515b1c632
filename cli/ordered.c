#include "ordered.h"

#include "rechecked.h"

#include <inttypes.h>

static void date(wm_buf *out, const char *before, wm_date value)
{
    char day[WM_DATE_SIZE];
    if (value.year)
        wm_buf_format(out, "%s\"%s\"", before, wm_date_text(day, value));
    else
        wm_buf_format(out, "%snull", before);
}

static const char *truth(bool value)
{
    return value ? "true" : "false";
}

static void json_order(wm_buf *out, const wm_order *line)
{
    wm_buf_json_text(out, "\n  {\"code\":", line->code);
    wm_buf_json_text(out, ",\"name\":", line->name);
    wm_buf_json_text(out, ",\"supplier\":", line->supplier);
    wm_buf_json_number(out, ",\"length_cm\":", line->length_cm >= 0, line->length_cm, 1);
    wm_buf_json_number(out, ",\"needed\":", line->needed >= 0, line->needed, 0);
    wm_buf_json_number(out, ",\"stock\":", line->stock >= 0, line->stock, 0);
    wm_buf_json_number(out, ",\"order\":", line->order >= 0, line->order, 0);
    date(out, ",\"by\":", line->by);
    wm_buf_format(out, ",\"late\":%s,\"pack_price_milli\":", truth(line->late));
    if (line->pack_price_milli < 0)
        wm_buf_text(out, "null");
    else
        wm_buf_format(out, "%" PRId64, line->pack_price_milli);
    wm_buf_json_text(out, ",\"for\":", line->whose);
    wm_buf_text(out, "}");
}

static void json_weft(wm_buf *out, const wm_coming_weft *weft)
{
    wm_buf_json_text(out, "{\"code\":", weft->code);
    wm_buf_json_number(out, ",\"length_cm\":", weft->length_cm >= 0, weft->length_cm, 1);
    wm_buf_json_number(out, ",\"width_cm\":", weft->width_cm >= 0, weft->width_cm, 1);
    wm_buf_format(out, ",\"again\":%s,\"worn\":%d", truth(weft->again), weft->worn);
    wm_buf_json_number(out, ",\"from_cut_lengths_cm\":", weft->cut_cm >= 0, weft->cut_cm, 1);
    wm_buf_json_number(out, ",\"packs\":", weft->packs >= 0, weft->packs, 0);
    wm_buf_json_number(out, ",\"order\":", weft->order >= 0, weft->order, 0);
    wm_buf_text(out, "}");
}

static void json_visit(wm_buf *out, const wm_coming_visit *visit)
{
    wm_buf_format(out, "\n  {\"client\":%lld,\"visit\":%lld", (long long)visit->client_id, (long long)visit->visit_id);
    wm_buf_json_text(out, ",\"name\":", visit->client);
    wm_buf_format(out, ",\"kind\":\"%s\"", wm_visit_kind_name(visit->kind));
    date(out, ",\"due\":", visit->due);
    wm_buf_format(out, ",\"agreed\":%s,\"late\":%s,\"wefts\":[", truth(visit->agreed), truth(visit->late));
    for (size_t i = 0; i < visit->weft_count; i++) {
        wm_buf_text(out, i ? "," : "");
        json_weft(out, &visit->wefts[i]);
    }
    wm_buf_json_text(out, "],\"why\":", visit->why);
    wm_buf_text(out, "}");
}

void ordered_write_json(wm_buf *out, const wm_orders *orders, const ordered_new *new_shades, const char *currency)
{
    const char *between = "";
    wm_buf_json_text(out, "{\"format\":1,\"currency\":", currency);
    wm_buf_text(out, ",\"orders\":[");
    for (size_t i = 0; i < orders->line_count; i++) {
        if (orders->lines[i].order == 0)
            continue;
        wm_buf_text(out, between);
        json_order(out, &orders->lines[i]);
        between = ",";
    }
    wm_buf_text(out, "],\"visits\":[");
    for (size_t i = 0; i < orders->visit_count; i++) {
        wm_buf_text(out, i ? "," : "");
        json_visit(out, &orders->visits[i]);
    }
    wm_buf_format(out, "],\"lapsed\":%zu", orders->lapsed);
    if (new_shades) {
        wm_buf_text(out, ",\"new_shades\":");
        rechecked_write_gains(out, new_shades->gains, new_shades->count);
    }
    wm_buf_text(out, "}\n");
}
