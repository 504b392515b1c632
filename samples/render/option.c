#include "option.h"

#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct key {
    const char *name;
    size_t offset;
    bool text;
    double low, high;
    const char *choices; /* "a,b": only these words; NULL: any text */
    const char *standard, *meaning;
} key;

#define NUMBER(field, low, high, standard, meaning)                                                                    \
    {                                                                                                                  \
#field, offsetof(options, field), false, low, high, NULL, standard, meaning                                    \
    }
#define WORDS(field, standard, meaning)                                                                                \
    {                                                                                                                  \
#field, offsetof(options, field), true, 0, 0, NULL, standard, meaning                                          \
    }
#define CHOICE(field, choices, standard, meaning)                                                                      \
    {                                                                                                                  \
#field, offsetof(options, field), true, 0, 0, choices, standard, meaning                                       \
    }

static const key keys[] = {
    WORDS(out, "scene", "output name without ending; writes NAME.jpg or .png, NAME.zones.json, NAME.truth.json"),
    CHOICE(format, "jpeg,png", "jpeg", "kind of file"),
    WORDS(catalogue_file, "", "also write the catalogue (CSV) here"),
    WORDS(target_file, "",
          "also write the colour target's reference (CGATS.17) here; default with target=1: NAME.target.txt"),
    WORDS(target_reference, "", "how the zones file names that reference; default: its name without folder"),
    NUMBER(width, 200, 12000, "1600", "pixels of the upright picture"),
    NUMBER(height, 200, 12000, "1200", "pixels of the upright picture"),
    NUMBER(quality, 1, 100, "92", "JPEG quality"),
    NUMBER(orientation, 1, 8, "1", "EXIF orientation; the stored pixels are turned accordingly"),
    NUMBER(exif, 0, 1, "1", "0: no EXIF block"),
    NUMBER(flash, 0, 1, "0", "EXIF says that the flash fired"),
    NUMBER(resized, 1, 10, "1", "EXIF claims a picture larger by this factor"),
    CHOICE(profile, "srgb,p3,none", "srgb",
           "srgb or p3: colours and ICC profile; none: sRGB colours without a profile"),
    WORDS(taken, "2025:05:14 10:12:00", "EXIF date"),
    NUMBER(seed, 0, 1e9, "1", "everything of this photo: strands, light, noise"),
    NUMBER(client, 0, 1e9, "1", "the client: her strands and skin; two visits share it"),
    CHOICE(scene, "head,sheet", "head", "head, or sheet (a grid of swatches on a board)"),
    NUMBER(grid_rows, 1, 8, "3", "rows of a sheet"),
    NUMBER(grid_columns, 1, 10, "4", "columns of a sheet"),
    WORDS(zones, "crown,temple,mid,ends", "which client zones are marked"),
    WORDS(swatches, "none",
          "none; zones (one at each marked zone); two (two at each); mid (four, all at mid); or a list of zones"),
    WORDS(codes, "", "codes of the swatches in order (else near each zone's colour)"),
    WORDS(omit, "", "zones that get no swatch"),
    WORDS(mislabel, "", "zones whose first swatch bears the code of another shade"),
    CHOICE(card, "none,gray,white,three", "none",
           "none, gray (18.4 %), white (paper, 86 %), or three (white, gray, black)"),
    NUMBER(target, 0, 1, "0", "1: the colour target is in the picture"),
    NUMBER(target_turn, -180, 180, "3", "the target's rotation in degrees"),
    NUMBER(target_start, 0, 3, "0",
           "the zones file begins at the wrong corner, so many clockwise (a slip of the stylist)"),
    NUMBER(card_gradient, 0, 1, "0", "how unevenly the card is lit, (max - min) / mean"),
    NUMBER(swatch_rank, 1, 20, "4", "swatches are drawn from this many nearest ones"),
    NUMBER(catalogue, 1, 5000, "36", "36: the salon's own; else so many generated hair shades"),
    NUMBER(catalogue_seed, 0, 1e9, "1", "seed of generated shades and of the catalogue's errors"),
    NUMBER(catalogue_error, 0, 5, "0", "standard error of the catalogue's L, a and b"),
    WORDS(base, "umber", "the client's base: a code of the salon's catalogue"),
    NUMBER(eu, -1, 100, "-1", "eumelanin of the base instead (-1: as the code)"),
    NUMBER(ph, -1, 100, "-1", "pheomelanin of the base instead (-1: as the code)"),
    NUMBER(gray_eu, 0, 5, "0.05", "eumelanin left in the gray fibres"),
    NUMBER(gray_scatter, 0.1, 0.8, "0.50", "0.3 dark dull gray .. 0.7 white"),
    NUMBER(gray_yellow, 0, 1, "0.05", "yellowing of the gray fibres"),
    NUMBER(gray_root, 0, 1, "0.10", "visible-area share of gray at the crown"),
    NUMBER(gray_mid, 0, 1, "0.03", "share at mid-length"),
    NUMBER(gray_ends, 0, 1, "0.02", "share at the ends"),
    NUMBER(gray_temple, 0, 1, "0.30", "share at the temple"),
    NUMBER(fibre, 0.3, 4, "1.3", "mean width of a fibre in pixels"),
    NUMBER(variation, 0, 0.6, "0.16", "sd of ln pigment between fibres"),
    NUMBER(sheen, 0, 4, "1", "strength of the sheen bands (3: oiled)"),
    NUMBER(
        plain, 0, 1, "0",
        "1: each fibre in the light of its place alone, without sheen, shade and gaps; what is then wrong is the camera's"),
    NUMBER(wet, 0, 1, "0", "wet hair: darker, in strings, glossy; the truth is then that of the wet hair"),
    NUMBER(ends_lighten, 0, 0.9, "0.15", "pigment lost by the sun at the ends"),
    NUMBER(root_darken, 0, 0.5, "0.05", "more pigment at the root"),
    NUMBER(cct, 4000, 25000, "5600", "daylight's temperature in K"),
    NUMBER(spread, 0, 1, "0", "sd of ln light between the client zones of the rounded head"),
    NUMBER(jitter, 0, 5, "1", "factor on the small light differences of hair, swatches, cards"),
    NUMBER(camera, 0, 1e9, "1", "which camera: its sensitivities and its look"),
    NUMBER(exposure, -4, 3, "0", "over (+) or under (-) exposure, ln units"),
    NUMBER(contrast, -1, 1.5, "0", "added to the camera's own contrast, an S curve of the encoded values"),
    NUMBER(noise, 0, 20, "1", "factor on the noise"),
    NUMBER(blur, 0, 10, "0", "out of focus by about so many pixels"),
    CHOICE(look, "well,harsh,flat", "well",
           "well (behaved), harsh, or flat (no tone curve, no error: only for comparison)"),
};
enum { KEYS = sizeof keys / sizeof keys[0] };

static const key *find(const char *name, size_t length)
{
    for (size_t i = 0; i < KEYS; i++)
        if (strlen(keys[i].name) == length && strncmp(keys[i].name, name, length) == 0)
            return &keys[i];
    return NULL;
}

static bool assign(options *o, const key *k, const char *value)
{
    char *field = (char *)o + k->offset;
    if (k->text) {
        if (strlen(value) >= TEXT || (k->choices && !list_has(k->choices, value)))
            return false;
        memcpy(field, value, strlen(value) + 1);
        return true;
    }
    char *end;
    double number = strtod(value, &end);
    if (end == value || *end || !(number >= k->low && number <= k->high))
        return false;
    memcpy(field, &number, sizeof number);
    return true;
}

options options_default(void)
{
    options o;
    memset(&o, 0, sizeof o);
    for (size_t i = 0; i < KEYS; i++)
        assign(&o, &keys[i], keys[i].standard);
    return o;
}

static void say_possible(char *message, size_t size, const char *assignment, const key *k)
{
    if (k->choices)
        snprintf(message, size, "%s: not possible; %s is one of %s", assignment, k->name, k->choices);
    else if (k->text)
        snprintf(message, size, "%s is too long; use at most %d bytes", k->name, TEXT - 1);
    else
        snprintf(message, size, "%s: not possible; %s takes a number from %g to %g", assignment, k->name, k->low,
                 k->high);
}

bool options_set(options *o, const char *assignment, char *message, size_t size)
{
    size_t length = strcspn(assignment, "= \t");
    const key *k = find(assignment, length);
    const char *value = assignment + length;
    value += strspn(value, " \t");
    value += *value == '=';
    value += strspn(value, " \t");
    if (!k)
        snprintf(message, size, "no such key: %s; `wm_render --help` lists them", assignment);
    else if (!assign(o, k, value))
        say_possible(message, size, assignment, k);
    else
        return true;
    return false;
}

bool options_read(options *o, const char *path, char *message, size_t size)
{
    char line[600];
    FILE *f = fopen(path, "r");
    if (!f) {
        snprintf(message, size, "%s: can't be opened", path);
        return false;
    }
    bool good = true;
    while (good && fgets(line, sizeof line, f)) {
        line[strcspn(line, "#\r\n")] = '\0';
        size_t n = strlen(line);
        while (n && (line[n - 1] == ' ' || line[n - 1] == '\t'))
            line[--n] = '\0';
        if (n)
            good = options_set(o, line, message, size);
    }
    fclose(f);
    return good;
}

void options_list(void)
{
    for (size_t i = 0; i < KEYS; i++)
        printf("  %-16s %-22s %s\n", keys[i].name, keys[i].standard[0] ? keys[i].standard : "-", keys[i].meaning);
}

bool list_has(const char *list, const char *word)
{
    size_t n = strlen(word);
    for (const char *p = list; *p; p += *p == ',') {
        size_t length = strcspn(p, ",");
        if (length == n && strncmp(p, word, n) == 0)
            return true;
        p += length;
    }
    return false;
}
