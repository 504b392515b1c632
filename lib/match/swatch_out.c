#include "match/swatch_out.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "core/file.h"
#include "match/csv.h"
#include "match/swatch_cell.h"

/* ---- changing ---- */

static wm_status append(wm_catalogue *catalogue, const wm_swatch *swatch, wm_error *err)
{
    size_t count = catalogue->count, extras = catalogue->extra_count;
    wm_swatch *items = realloc(catalogue->items, (count + 1) * sizeof *items);
    if (!items)
        return wm_fail_memory(err);
    catalogue->items = items;
    if (extras) {
        char **extra = realloc(catalogue->extra, (count + 1) * extras * sizeof *extra);
        if (!extra)
            return wm_fail_memory(err);
        catalogue->extra = extra;
        for (size_t i = 0; i < extras; i++)
            extra[count * extras + i] = NULL;
    }
    items[count] = *swatch;
    catalogue->count++;
    return WM_OK;
}

wm_status wm_catalogue_put(wm_catalogue *catalogue, const wm_swatch *swatch, bool replace, wm_error *err)
{
    bool found = false;
    for (size_t i = 0; i < catalogue->count; i++) {
        wm_swatch *old = &catalogue->items[i];
        if (strcmp(old->code, swatch->code) != 0)
            continue;
        if (!replace)
            return wm_fail(err, WM_E_INPUT, "'%s' is in the catalogue already; choose another code or replace it",
                           swatch->code);
        found = true;
        old->lab = swatch->lab;
        old->u = swatch->u;
        old->gray_share = swatch->gray_share;
        memcpy(old->frame, swatch->frame, sizeof old->frame);
        old->u_frame = swatch->u_frame;
        old->photos = swatch->photos;
        memcpy(old->measured, swatch->measured, sizeof old->measured);
        memcpy(old->source, swatch->source, sizeof old->source);
    }
    return found ? WM_OK : append(catalogue, swatch, err);
}

/* ---- CSV ---- */

/* Up to 9 decimals without trailing zeros: what was read with up to 9 comes back the same. */
static void write_number(wm_buf *out, double value)
{
    char text[40];
    wm_number_text(text, value, 9);
    if (strchr(text, '.')) {
        char *end = text + strlen(text);
        while (end[-1] == '0')
            end--;
        end[end[-1] == '.' ? -1 : 0] = '\0';
    }
    wm_buf_text(out, text);
}

static void write_known(wm_buf *out, double value)
{
    if (value >= 0)
        write_number(out, value);
}

/* Three decimals alone could be thousands where a digit other than 0 stands before them. */
static void write_price(wm_buf *out, int64_t milli)
{
    if (milli >= 0)
        wm_buf_format(out, "%" PRId64, milli / 1000);
    if (milli > 0 && milli % 10)
        wm_buf_format(out, milli < 1000 ? ".%03d" : ".%03d0", (int)(milli % 1000));
    else if (milli > 0 && milli % 1000)
        wm_buf_format(out, ".%02d", (int)(milli % 1000 / 10));
}

static void write_cell(wm_buf *out, const wm_swatch *swatch, wm_swatch_column column)
{
    switch (column) {
    case WM_SWATCH_CODE: wm_csv_write(out, swatch->code); break;
    case WM_SWATCH_NAME: wm_csv_write(out, swatch->name); break;
    case WM_SWATCH_KIND: wm_buf_text(out, swatch->kind == WM_SWATCH_BEAD ? "bead" : "hair"); break;
    case WM_SWATCH_L: write_number(out, swatch->lab.L); break;
    case WM_SWATCH_A: write_number(out, swatch->lab.a); break;
    case WM_SWATCH_B: write_number(out, swatch->lab.b); break;
    case WM_SWATCH_LENGTH_CM: write_known(out, swatch->length_cm); break;
    case WM_SWATCH_PIECES: write_known(out, swatch->pieces_per_pack); break;
    case WM_SWATCH_WIDTH_CM: write_known(out, swatch->piece_width_cm); break;
    case WM_SWATCH_WEIGHT: write_known(out, swatch->pack_weight_g); break;
    case WM_SWATCH_PRICE: write_price(out, swatch->pack_price_milli); break;
    case WM_SWATCH_CUTTABLE: wm_buf_text(out, swatch->cuttable ? "yes" : "no"); break;
    case WM_SWATCH_STOCK: write_known(out, swatch->stock_packs); break;
    case WM_SWATCH_U: write_known(out, swatch->u); break;
    case WM_SWATCH_GRAY: write_known(out, swatch->gray_share); break;
    case WM_SWATCH_FRAME: wm_csv_write(out, swatch->frame); break;
    case WM_SWATCH_U_FRAME: write_known(out, swatch->u_frame); break;
    case WM_SWATCH_PHOTOS: write_known(out, swatch->photos); break;
    case WM_SWATCH_MEASURED: wm_csv_write(out, swatch->measured); break;
    case WM_SWATCH_SOURCE: wm_csv_write(out, swatch->source); break;
    case WM_SWATCH_SUPPLIER: wm_csv_write(out, swatch->supplier); break;
    case WM_SWATCH_LENGTH_IN:
    case WM_SWATCH_WIDTH_IN:
    case WM_SWATCH_COLUMNS: break;
    }
}

/* True when leaving the column out would lose something. */
static bool holds(const wm_swatch *swatch, wm_swatch_column column)
{
    switch (column) {
    case WM_SWATCH_NAME: return swatch->name[0] != '\0';
    case WM_SWATCH_KIND: return swatch->kind == WM_SWATCH_BEAD;
    case WM_SWATCH_LENGTH_CM: return swatch->length_cm >= 0;
    case WM_SWATCH_PIECES: return swatch->pieces_per_pack >= 0;
    case WM_SWATCH_WIDTH_CM: return swatch->piece_width_cm >= 0;
    case WM_SWATCH_WEIGHT: return swatch->pack_weight_g >= 0;
    case WM_SWATCH_PRICE: return swatch->pack_price_milli >= 0;
    case WM_SWATCH_CUTTABLE: return !swatch->cuttable;
    case WM_SWATCH_STOCK: return swatch->stock_packs >= 0;
    case WM_SWATCH_U: return swatch->u >= 0;
    case WM_SWATCH_GRAY: return swatch->gray_share >= 0;
    case WM_SWATCH_FRAME: return swatch->frame[0] != '\0';
    case WM_SWATCH_U_FRAME: return swatch->u_frame >= 0;
    case WM_SWATCH_PHOTOS: return swatch->photos >= 0;
    case WM_SWATCH_MEASURED: return swatch->measured[0] != '\0';
    case WM_SWATCH_SOURCE: return swatch->source[0] != '\0';
    case WM_SWATCH_SUPPLIER: return swatch->supplier[0] != '\0';
    case WM_SWATCH_LENGTH_IN:
    case WM_SWATCH_WIDTH_IN: return false; /* written in centimetres */
    default: return true;
    }
}

static bool any_holds(const wm_catalogue *catalogue, wm_swatch_column column)
{
    for (size_t i = 0; i < catalogue->count; i++)
        if (holds(&catalogue->items[i], column))
            return true;
    return false;
}

static void write_extra(wm_buf *out, const wm_catalogue *catalogue, char *const *texts)
{
    for (size_t i = 0; i < catalogue->extra_count; i++) {
        wm_buf_text(out, ",");
        wm_csv_write(out, texts[i] ? texts[i] : "");
    }
    wm_buf_text(out, "\r\n");
}

void wm_catalogue_write_csv(wm_buf *out, const wm_catalogue *catalogue)
{
    bool used[WM_SWATCH_COLUMNS];
    for (wm_swatch_column column = WM_SWATCH_CODE; column < WM_SWATCH_COLUMNS; column++) {
        used[column] = any_holds(catalogue, column) || wm_swatch_column_required(column);
        if (used[column])
            wm_buf_format(out, "%s%s", column == WM_SWATCH_CODE ? "" : ",", WM_SWATCH_NAMES[column]);
    }
    write_extra(out, catalogue, catalogue->extra_names);
    for (size_t row = 0; row < catalogue->count; row++) {
        for (wm_swatch_column column = WM_SWATCH_CODE; column < WM_SWATCH_COLUMNS; column++) {
            if (used[column] && column != WM_SWATCH_CODE)
                wm_buf_text(out, ",");
            if (used[column])
                write_cell(out, &catalogue->items[row], column);
        }
        write_extra(out, catalogue, catalogue->extra_count ? catalogue->extra + row * catalogue->extra_count : NULL);
    }
}

/* ---- CGATS.17 ---- */

static int compare_codes(const void *a, const void *b)
{
    const wm_swatch *x = *(const wm_swatch *const *)a, *y = *(const wm_swatch *const *)b;
    int by_code = strcmp(x->code, y->code);
    return by_code ? by_code : x < y ? -1 : x > y;
}

static int compare_places(const void *a, const void *b)
{
    const wm_swatch *x = *(const wm_swatch *const *)a, *y = *(const wm_swatch *const *)b;
    return x < y ? -1 : x > y;
}

/* The first rows of every code, in the file's order; beads are not among them, because nothing in the file could tell
 * them from hair. */
static wm_status first_rows(const wm_swatch ***out, size_t *count, const wm_catalogue *catalogue, wm_error *err)
{
    const wm_swatch **rows = malloc((catalogue->count + 1) * sizeof *rows);
    if (!rows)
        return wm_fail_memory(err);
    size_t hair = 0, kept = 0;
    for (size_t i = 0; i < catalogue->count; i++)
        if (catalogue->items[i].kind == WM_SWATCH_HAIR)
            rows[hair++] = &catalogue->items[i];
    qsort(rows, hair, sizeof *rows, compare_codes);
    for (size_t i = 0; i < hair; i++)
        if (kept == 0 || strcmp(rows[i]->code, rows[kept - 1]->code) != 0)
            rows[kept++] = rows[i];
    qsort(rows, kept, sizeof *rows, compare_places);
    *out = rows;
    *count = kept;
    return WM_OK;
}

static wm_status check_lossless(const wm_catalogue *catalogue, size_t rows, wm_error *err)
{
    static const char advice[] = "write a .csv, or allow the loss with --lossy";
    for (wm_swatch_column column = WM_SWATCH_KIND; column < WM_SWATCH_COLUMNS; column++)
        if (column != WM_SWATCH_L && column != WM_SWATCH_A && column != WM_SWATCH_B && any_holds(catalogue, column))
            return wm_fail(err, WM_E_INPUT, "CGATS.17 can't carry the column %s; %s", WM_SWATCH_NAMES[column], advice);
    if (catalogue->extra_count)
        return wm_fail(err, WM_E_INPUT, "CGATS.17 can't carry the column '%.60s'; %s", catalogue->extra_names[0],
                       advice);
    return rows == catalogue->count
               ? WM_OK
               : wm_fail(err, WM_E_INPUT, "CGATS.17 can't carry several rows of one code; %s", advice);
}

static void write_string(wm_buf *out, const char *text)
{
    wm_buf_text(out, "\"");
    for (; *text; text++)
        wm_buf_bytes(out, *text == '"' ? "\"\"" : text, *text == '"' ? 2 : 1);
    wm_buf_text(out, "\"");
}

static void write_set(wm_buf *out, const wm_swatch *swatch, bool names)
{
    write_string(out, swatch->code);
    if (names) {
        wm_buf_text(out, "\t");
        write_string(out, swatch->name);
    }
    const double numbers[] = { swatch->lab.L, swatch->lab.a, swatch->lab.b };
    for (int i = 0; i < 3; i++) {
        wm_buf_text(out, "\t");
        write_number(out, numbers[i]);
    }
    wm_buf_text(out, "\n");
}

wm_status wm_catalogue_write_cgats(wm_buf *out, const wm_catalogue *catalogue, bool lossy, wm_error *err)
{
    const wm_swatch **rows = NULL;
    size_t count = 0;
    wm_status status = first_rows(&rows, &count, catalogue, err);
    if (status)
        return status;
    if (!lossy)
        status = check_lossless(catalogue, count, err);
    if (!status && count == 0)
        status = wm_fail(err, WM_E_INPUT, "no hair swatches to write as CGATS.17; write a .csv");
    if (status)
        goto done;
    bool names = any_holds(catalogue, WM_SWATCH_NAME);
    const bool framed = any_holds(catalogue, WM_SWATCH_FRAME); /* C36 */
    wm_buf_format(
        out,
        "CGATS.17\nORIGINATOR\t\"weftmatch\"\nDESCRIPTOR\t\"hair swatches, CIELAB, D50, 2 degree%s\"\nNUMBER_OF_FIELDS\t%d\n",
        framed ? ", measured among themselves: no absolute colours" : "", names ? 5 : 4);
    wm_buf_format(out, "BEGIN_DATA_FORMAT\nSAMPLE_ID\t%sLAB_L\tLAB_A\tLAB_B\nEND_DATA_FORMAT\n",
                  names ? "SAMPLE_NAME\t" : "");
    wm_buf_format(out, "NUMBER_OF_SETS\t%zu\nBEGIN_DATA\n", count);
    for (size_t i = 0; i < count; i++)
        write_set(out, rows[i], names);
    wm_buf_text(out, "END_DATA\n");
done:
    free(rows);
    return status;
}

wm_status wm_catalogue_write(wm_buf *out, const wm_catalogue *catalogue, const char *path, bool lossy, wm_error *err)
{
    if (wm_file_ends_in(path, ".txt"))
        return wm_catalogue_write_cgats(out, catalogue, lossy, err);
    if (!wm_file_ends_in(path, ".csv"))
        return wm_fail_at(err, WM_E_USAGE, path, 0, 0,
                          "a catalogue's name ends in .csv or .txt (CGATS.17); choose one of them");
    wm_catalogue_write_csv(out, catalogue);
    return WM_OK;
}
