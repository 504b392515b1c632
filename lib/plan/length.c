#include "plan/length.h"

#include <stdio.h>
#include <string.h>

#include "core/buf.h"
#include "core/words.h"

#define CM_PER_IN 2.54 /* exact by definition */

const char *const WM_UNITS_WORDS[] = { "cm", "in", NULL };

bool wm_units_parse(const char *text, wm_units *out)
{
    unsigned value = 0;
    bool found = wm_word_find(WM_UNITS_WORDS, text, &value);
    if (found)
        *out = (wm_units)value;
    return found;
}

const char *wm_units_name(wm_units units)
{
    return wm_word_of(WM_UNITS_WORDS, units);
}

/* Units as they are written behind a number, and what one is in centimetres. */
static const struct {
    const char *text;
    double cm;
} UNITS[] = { { "cm", 1 }, { "mm", 0.1 }, { "in", CM_PER_IN }, { "\"", CM_PER_IN }, { "\xe2\x80\xb3", CM_PER_IN } };

/* The number's bytes in front of an optional unit; *cm becomes that unit's when there is one. */
static size_t without_unit(const char *text, double *cm)
{
    size_t size = strlen(text);
    for (size_t i = 0; i < sizeof UNITS / sizeof UNITS[0]; i++) {
        size_t length = strlen(UNITS[i].text);
        if (size <= length || strcmp(text + size - length, UNITS[i].text) != 0)
            continue;
        *cm = UNITS[i].cm;
        size -= length;
        while (size > 0 && text[size - 1] == ' ')
            size--;
        break;
    }
    return size;
}

/* "29,5" can only be 29.5: no head has thousands of anything. */
wm_status wm_length_parse(double *cm, const char *text, wm_units units, wm_error *err)
{
    char number[40];
    double value, unit_cm = units == WM_UNITS_IN ? CM_PER_IN : 1;
    size_t size = text ? without_unit(text, &unit_cm) : 0;
    if (size > 0 && size < sizeof number) {
        memcpy(number, text, size);
        number[size] = '\0';
        char *comma = strchr(number, ',');
        if (comma && !strchr(number, '.') && comma > number && comma[1])
            *comma = '.';
        if (wm_number_parse(number, &value)) {
            value *= unit_cm;
            if (value > 0.0 && value <= WM_LENGTH_MAX_CM) {
                *cm = value;
                return WM_OK;
            }
            return wm_fail(err, WM_E_USAGE,
                           "the length '%s' is not possible; give one above 0 and up to 200 cm (78.7 in)", text);
        }
    }
    return wm_fail(err, WM_E_USAGE,
                   "'%s' is not a length; give a number with or without its unit, such as 29, 29cm or 11.5in",
                   text ? text : "");
}

static double shown(double cm, wm_units units)
{
    return units == WM_UNITS_IN ? cm / CM_PER_IN : cm;
}

const char *wm_length_text(char out[WM_LENGTH_SIZE], double cm, wm_units units, int decimals)
{
    char number[40];
    snprintf(out, WM_LENGTH_SIZE, "%s %s", wm_number_text(number, shown(cm, units), decimals), wm_units_name(units));
    return out;
}

const char *wm_length_range(char out[WM_LENGTH_SIZE], const double cm[2], wm_units units, int decimals)
{
    char low[40], high[40];
    snprintf(out, WM_LENGTH_SIZE, "%s to %s %s", wm_number_text(low, shown(cm[0], units), decimals),
             wm_number_text(high, shown(cm[1], units), decimals), wm_units_name(units));
    return out;
}
