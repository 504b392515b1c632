#include "context.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "core/file.h"
#include "guard_files.h"
#include "measure/zones_file.h"
#include "say.h"

static wm_status clock_seconds(int64_t *out, const args *a, wm_error *err)
{
    const char *day = args_text(a, "date"), *epoch = getenv("SOURCE_DATE_EPOCH");
    wm_date date;
    double seconds = 0;
    if (day) {
        if (!wm_date_parse(&date, day))
            return wm_fail(err, WM_E_USAGE, "--date can't be '%s'; give a day such as 2026-03-31", day);
        *out = wm_date_to_days(date) * 86400;
        return WM_OK;
    }
    if (epoch && *epoch) {
        /* to the end of the year 9999; a long is too short for it on some machines */
        if (!wm_number_parse(epoch, &seconds) || seconds < 0 || seconds > 253402300799.0 || seconds > floor(seconds))
            return wm_fail(err, WM_E_USAGE,
                           "SOURCE_DATE_EPOCH can't be '%s'; set it to seconds since 1970, or unset it", epoch);
        *out = (int64_t)seconds;
        return WM_OK;
    }
    *out = (int64_t)time(NULL);
    return WM_OK;
}

wm_status context_today(clock_reading *out, wm_error *err)
{
    args nothing_given = { .given_count = 0 };
    return context_clock(out, &nothing_given, err);
}

wm_status context_clock(clock_reading *out, const args *a, wm_error *err)
{
    wm_status status = clock_seconds(&out->seconds, a, err);
    if (status)
        return status;
    out->date = wm_date_of_epoch(out->seconds);
    /* without an instant given it is the day at the salon, not at Greenwich */
    time_t t = (time_t)out->seconds;
    struct tm local;
    const char *epoch = getenv("SOURCE_DATE_EPOCH");
    if (!args_has(a, "date") && !(epoch && *epoch) && localtime_r(&t, &local))
        out->date = (wm_date){ local.tm_year + 1900, local.tm_mon + 1, local.tm_mday };
    wm_date_text(out->day, out->date);
    struct tm utc;
    gmtime_r(&t, &utc);
    strftime(out->made_at, sizeof out->made_at, "%Y-%m-%dT%H:%M:%SZ", &utc);
    return WM_OK;
}

wm_status context_book_path(char out[PATH_SIZE], const args *a, wm_error *err)
{
    const char *given = args_text(a, "book"), *variable = getenv("WEFTMATCH_BOOK"), *data = getenv("XDG_DATA_HOME"),
               *home = getenv("HOME");
    int n;
    if (given || (variable && *variable))
        n = snprintf(out, PATH_SIZE, "%s", given ? given : variable);
    else if (data && *data == '/') /* one that is not absolute is to be ignored (XDG Base Directory) */
        n = snprintf(out, PATH_SIZE, "%s/weftmatch/salon.book", data);
    else if (home && *home)
        n = snprintf(out, PATH_SIZE, "%s/.local/share/weftmatch/salon.book", home);
    else
        return wm_fail(err, WM_E_BOOK, "no place for the book: HOME is not set; name it with --book FILE");
    if (n <= 0 || n >= PATH_SIZE)
        return wm_fail(err, WM_E_BOOK, "the path of the book is empty or too long; name it with --book FILE");
    return WM_OK;
}

/* A book that is named lies in a folder that is there: else its drive is out, and another book would be begun. */
static wm_status check_folder(const char *path, const args *a, wm_error *err)
{
    char folder[PATH_SIZE];
    const char *variable = getenv("WEFTMATCH_BOOK");
    snprintf(folder, sizeof folder, "%s", path);
    char *slash = strrchr(folder, '/');
    if (!slash || slash == folder || !(args_has(a, "book") || (variable && *variable)))
        return WM_OK;
    *slash = '\0';
    return wm_file_exists(folder)
               ? WM_OK
               : wm_fail_at(err, WM_E_BOOK, path, 0, 0,
                            "its folder is not there; plug in the drive it is on, or make the folder first");
}

wm_status context_open_book(wm_book **out, const args *a, wm_book_mode mode, wm_error *err)
{
    char path[PATH_SIZE];
    clock_reading clock;
    wm_status status = context_clock(&clock, a, err);
    if (!status)
        status = context_book_path(path, a, err);
    if (!status)
        status = check_folder(path, a, err);
    if (!status)
        status = wm_book_open(out, path, mode, err);
    if (status)
        return status;
    wm_book_set_day(*out, clock.day);
    say_plain_warnings(wm_book_notes(*out), path);
    return WM_OK;
}

wm_status context_open_client(wm_book **book, wm_client *client, const args *a, wm_book_mode mode, wm_error *err)
{
    wm_status status = context_open_book(book, a, mode, err);
    return status ? status : wm_book_client_find(client, *book, a->operands[0], err);
}

wm_status context_number(int64_t *out, const char *text, const char *of, const char *see, wm_error *err)
{
    long number = 0;
    if (!wm_whole_parse(text, 1, 2147483647L, &number))
        return wm_fail(err, WM_E_USAGE, "'%s' is no %s; give its number, see weftmatch %s", text, of, see);
    *out = number;
    return WM_OK;
}

wm_status context_settings(wm_settings *out, const args *a, wm_error *err)
{
    char path[PATH_SIZE];
    wm_book *book = NULL;
    bool asked = args_has(a, "book") || getenv("WEFTMATCH_BOOK");
    wm_status status = context_book_path(path, a, err);
    if (status && asked)
        return status;
    if (!status && wm_file_exists(path)) {
        status = context_open_book(&book, a, WM_BOOK_READ, err);
        if (status)
            return status;
    }
    status = wm_settings_load(out, book, err);
    wm_book_close(book);
    return status;
}

wm_status context_swatches_path(char out[PATH_SIZE], const args *a, wm_error *err)
{
    const char *given = args_text(a, "swatches"), *variable = getenv("WEFTMATCH_SWATCHES");
    char book[PATH_SIZE];
    if (given || (variable && *variable)) {
        if (snprintf(out, PATH_SIZE, "%s", given ? given : variable) < PATH_SIZE)
            return WM_OK;
        return wm_fail(err, WM_E_INPUT, "the path of the catalogue is too long; name a shorter one with --swatches");
    }
    wm_status status = context_book_path(book, a, err);
    if (status)
        return status;
    char *slash = strrchr(book, '/');
    if (slash)
        slash[1] = '\0';
    else
        book[0] = '\0';
    if (snprintf(out, PATH_SIZE, "%sswatches.csv", book) >= PATH_SIZE)
        return wm_fail(err, WM_E_INPUT, "the path of the catalogue is too long; name a shorter one with --swatches");
    if (!wm_file_exists(out))
        return wm_fail_at(err, WM_E_INPUT, out, 0, 0, "there is no catalogue; name one with --swatches FILE");
    return WM_OK;
}

wm_status context_catalogue(wm_catalogue *out, const args *a, wm_error *err)
{
    char path[PATH_SIZE];
    wm_warnings warnings = { 0 };
    wm_status status = context_swatches_path(path, a, err);
    if (!status)
        status = wm_catalogue_load(out, path, &warnings, err);
    say_plain_warnings(&warnings, path);
    wm_warnings_free(&warnings);
    return status;
}

wm_status context_shop_open(context_shop *out, const args *a, wm_error *err)
{
    wm_status status = context_open_book(&out->book, a, WM_BOOK_READ, err);
    if (!status)
        status = wm_settings_load(&out->settings, out->book, err);
    return status ? status : context_catalogue(&out->catalogue, a, err);
}

void context_shop_close(context_shop *shop)
{
    wm_book_close(shop->book);
    wm_catalogue_free(&shop->catalogue);
    *shop = (context_shop){ 0 };
}

static wm_status count_on_hand(wm_catalogue *catalogue, wm_book *book, wm_error *err)
{
    wm_on_hand hand = { 0 };
    const wm_status status = wm_on_hand_load(&hand, book, err);
    if (!status)
        wm_on_hand_count(catalogue, &hand);
    wm_on_hand_free(&hand);
    return status;
}

wm_status context_count_free(wm_reserved *reserved, wm_catalogue *catalogue, const args *a, int64_t client_id,
                             wm_error *err)
{
    char path[PATH_SIZE];
    clock_reading clock;
    wm_settings settings;
    wm_orders_input orders = { .catalogue = catalogue, .settings = &settings };
    wm_error none;
    if (context_book_path(path, a, &none) || !wm_file_exists(path))
        return WM_OK;
    wm_status status = context_open_book(&orders.book, a, WM_BOOK_READ, err);
    if (!status)
        status = context_clock(&clock, a, err);
    if (!status)
        status = wm_settings_load(&settings, orders.book, err);
    if (!status) {
        orders.today = clock.date;
        status = reserved ? wm_reserved_take_off(reserved, catalogue, &orders, client_id, err)
                          : count_on_hand(catalogue, orders.book, err);
    }
    wm_book_close(orders.book);
    return status;
}

wm_status context_lab(wm_lab *out, const char *option, const char *text, wm_error *err)
{
    char copy[96];
    double v[3];
    int n = 0;
    if (snprintf(copy, sizeof copy, "%s", text) < (int)sizeof copy) {
        for (char *p = copy, *next = copy; next && n < 3; p = next) {
            next = strchr(p, ',');
            if (next)
                *next++ = '\0';
            if (!wm_number_parse(p, &v[n++]))
                n = 9;
            if (n == 3 && next)
                n = 9;
        }
    }
    if (n != 3 || !wm_lab_valid((wm_lab){ v[0], v[1], v[2] }))
        return wm_fail(err, WM_E_USAGE, "--%s can't be '%s'; give L,a,b such as 50,0,0", option, text);
    *out = (wm_lab){ v[0], v[1], v[2] };
    return WM_OK;
}

/* The zones file that the marking page saves for a photo, where it lies beside it. */
static bool zones_beside(char out[PATH_SIZE], const char *photo)
{
    const char *name = strrchr(photo, '/'), *dot = strrchr(name ? name : photo, '.');
    const int stem = dot ? (int)(dot - photo) : (int)strlen(photo);
    return snprintf(out, PATH_SIZE, "%.*s.zones.json", stem, photo) < PATH_SIZE && wm_file_exists(out);
}

/* The marking page saves where the browser keeps downloads: a bare name that is not here is looked for there. */
static const char *zones_path(char out[PATH_SIZE], const args *a, const char *given)
{
    const char *home = getenv("HOME");
    if (wm_file_exists(given) || strchr(given, '/') || strcmp(given, "-") == 0 || !home ||
        snprintf(out, PATH_SIZE, "%s/Downloads/%s", home, given) >= PATH_SIZE || !wm_file_exists(out))
        return given;
    say_hint(a, "%s is taken from your downloads", given);
    return out;
}

wm_status context_zones(wm_zones *out, const args *a, long n, wm_error *err)
{
    wm_warnings warnings = { 0 };
    char path[PATH_SIZE];
    wm_lab card;
    bool has_card = args_has(a, "card");
    const bool named = has_card && wm_card_named(&card, args_text(a, "card"));
    wm_status status = has_card && !named ? context_lab(&card, "card", args_text(a, "card"), err) : WM_OK;
    for (size_t i = 0; !status && i < args_count(a, "zone"); i++)
        status = wm_zones_add_option(out, args_nth(a, "zone", i), has_card ? &card : NULL, err);
    for (size_t i = 0; !status && i < args_count(a, "zones"); i++)
        if (n < 0 || (size_t)n == i)
            status = wm_zones_add_file(out, zones_path(path, a, args_nth(a, "zones", i)), &warnings, err);
    say_plain_warnings(&warnings, NULL);
    wm_warnings_free(&warnings);
    if (!status && out->count == 0 && a->operand_count && !wm_file_exists(a->operands[0]))
        status = wm_fail_at(err, WM_E_PHOTO, a->operands[0], 0, 0, "no such file; check the name and the folder");
    else if (!status && out->count == 0 && a->operand_count && zones_beside(path, a->operands[0]))
        status = wm_fail(err, WM_E_INPUT, "no zone is given, but its zones file lies beside it; add --zones %s", path);
    else if (!status && out->count == 0)
        status = wm_fail(err, WM_E_INPUT,
                         "no zone is given; mark the photo (weftmatch mark PHOTO) and name the file with --zones, "
                         "or give --zone mid=X,Y,W,H");
    return status ? status : guard_references(a, out, err);
}

wm_status context_zones_beside(wm_zones *out, const args *a, const char *photo, wm_error *err)
{
    wm_warnings warnings = { 0 };
    char path[PATH_SIZE];
    if (!zones_beside(path, photo))
        return wm_fail_at(err, WM_E_INPUT, photo, 0, 0,
                          "no zones file is beside it; mark it (weftmatch mark PHOTO) and save the file there, or give "
                          "--zones for each photo");
    const wm_status status = wm_zones_add_file(out, path, &warnings, err);
    say_plain_warnings(&warnings, NULL);
    wm_warnings_free(&warnings);
    return status ? status : guard_references(a, out, err);
}

bool zones_need_catalogue(const wm_zones *zones)
{
    for (size_t i = 0; i < zones->count; i++)
        if (zones->items[i].kind == WM_ZONE_SWATCH)
            return true;
    return false;
}

static wm_status read_length(double *cm, const args *a, const char *option, const wm_settings *settings, wm_error *err)
{
    const char *text = args_text(a, option);
    return text ? wm_length_parse(cm, text, settings->plan.units, err) : WM_OK;
}

static wm_status read_row(wm_wished_row *out, const char *length, const wm_settings *settings, wm_error *err)
{
    wm_row row; /* asked now, since the plan comes after the long work */
    wm_status status = wm_length_parse(&out->arc_cm, length, settings->plan.units, err);
    return status ? status : wm_row_of(&row, out->arc_cm, 1, &settings->plan.row, err);
}

/* PLACE=LENGTH */
static wm_status read_placed_row(wm_wished_row *out, const char *text, const wm_settings *settings, wm_error *err)
{
    char place[16];
    const char *equals = strchr(text, '=');
    size_t length = equals ? (size_t)(equals - text) : 0;
    if (length > 0 && length < sizeof place) {
        memcpy(place, text, length);
        place[length] = '\0';
        if (wm_place_parse(place, &out->place))
            return read_row(out, equals + 1, settings, err);
    }
    return wm_fail(err, WM_E_USAGE, "--row can't be '%.80s'; give PLACE=LENGTH, the place back, crown, nape or side",
                   text);
}

/* --arc is a row round the back of the head. */
static wm_status read_rows(wm_wishes *out, const args *a, const wm_settings *settings, wm_error *err)
{
    wm_status status = WM_OK;
    size_t arcs = args_count(a, "arc"), count = arcs + args_count(a, "row");
    if (count > WM_MAX_ROWS)
        return wm_fail(err, WM_E_USAGE, "at most %d rows fit one plan, %zu are given; plan the others apart",
                       WM_MAX_ROWS, count);
    for (size_t i = 0; i < count && !status; i++) {
        wm_wished_row *row = &out->rows[i];
        row->place = WM_PLACE_BACK;
        status = i < arcs ? read_row(row, args_nth(a, "arc", i), settings, err)
                          : read_placed_row(row, args_nth(a, "row", i - arcs), settings, err);
    }
    out->row_count = count;
    return status;
}

static wm_status read_price(int64_t *milli, const args *a, const char *currency, wm_error *err)
{
    const char *text = args_text(a, "max-price");
    return text ? wm_price_parse(milli, text, currency, "--max-price", err) : WM_OK;
}

wm_status context_wishes(wm_wishes *out, const args *a, const wm_settings *settings, wm_error *err)
{
    wm_wishes wishes = WM_WISHES_INIT;
    wm_worn_parse(args_text(a, "worn"), &wishes.worn);
    wishes.target_zone = args_text(a, "target-zone");
    wishes.gray_inside = args_has(a, "gray-inside");
    wishes.filter.in_stock = args_has(a, "in-stock");
    wishes.head.shedding = args_has(a, "shedding");
    wishes.hair_given = wm_hair_parse(args_text(a, "hair"), &wishes.head.hair);
    wishes.amount_given = wm_amount_parse(args_text(a, "amount"), &wishes.head.amount);
    wishes.goal_given = wm_goal_parse(args_text(a, "goal"), &wishes.goal);
    wm_status status = read_rows(&wishes, a, settings, err);
    if (!status)
        status = read_length(&wishes.to_length_cm, a, "to-length", settings, err);
    if (!status)
        status = read_length(&wishes.head.natural_length_cm, a, "natural-length", settings, err);
    if (!status)
        status = read_length(&wishes.line_cm, a, "color-line", settings, err);
    if (!status)
        status = read_length(&wishes.cover_cm, a, "cover", settings, err);
    if (!status)
        status = read_price(&wishes.filter.max_price_milli, a, settings->plan.currency, err);
    if (status)
        return status;
    wm_wishes_settle(&wishes);
    *out = wishes;
    return WM_OK;
}

static wm_status read_whole(int *out, const args *a, const char *option, long high, wm_error *err)
{
    long value = 0;
    const char *text = args_text(a, option);
    if (!wm_whole_parse(text, 1, high, &value))
        return wm_fail(err, WM_E_USAGE, "--%s can't be '%s'; give a whole number from 1 to %ld", option, text, high);
    *out = (int)value;
    return WM_OK;
}

wm_status context_jobs(int *out, const args *a, wm_error *err)
{
    if (args_has(a, "jobs"))
        return read_whole(out, a, "jobs", 256, err);
    long processors = sysconf(_SC_NPROCESSORS_ONLN);
    *out = processors < 1 ? 1 : processors > 256 ? 256 : (int)processors;
    return WM_OK;
}

wm_status context_lines(int *out, const args *a, wm_error *err)
{
    return args_has(a, "lines") ? read_whole(out, a, "lines", 100000, err) : WM_OK;
}

int context_write(const args *a, const char *path, const wm_buf *out, bool private_data)
{
    wm_error err;
    wm_status status = wm_buf_status(out, &err);
    if (!path)
        return say_result(out);
    unsigned flags =
        (args_has(a, "force") ? (unsigned)WM_FILE_FORCE : 0) | (private_data ? (unsigned)WM_FILE_PRIVATE : 0);
    if (!status)
        status = wm_file_write(path, out->data ? out->data : "", out->size, flags, &err);
    return status ? say_error(&err) : 0;
}

wm_status context_consult(wm_consult_input *in, const args *a, wm_settings *settings, clock_reading *clock,
                          wm_error *err)
{
    wm_status status = context_clock(clock, a, err);
    if (!status)
        status = context_settings(settings, a, err);
    if (!status)
        status = context_jobs(&in->jobs, a, err);
    in->settings = settings;
    in->made_at = clock->made_at;
    in->date = clock->date;
    return status;
}
