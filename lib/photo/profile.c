/* profile: which profile a photo has, and the transforms. XYZ of ICC's profile connection space (D50, media-relative)
 * by LittleCMS in floating point, relative colorimetric, no black point compensation, neither optimisation nor cache:
 * exact, and safe from many threads. */
#include "photo/profile.h"

#include <lcms2.h>
#include <stdlib.h>
#include <string.h>

/* FINE steps between 0 and 1: every 8-bit code is one of them. */
enum { BLOCK = 256, FINE = 4080, ENTRIES = FINE + 1 };

struct wm_profile {
    cmsContext context;
    cmsHTRANSFORM transform, sketch; /* sketch: only for table-based profiles */
    bool gray, assumed;
    char name[128];
    char trouble[128];     /* LittleCMS's first complaint */
    wm_rgb *table;         /* [3][ENTRIES] that add up to the colour; NULL for table-based profiles */
    double *sketch_decode; /* [ENTRIES] from sRGB codes to light, with sketch */
};

static void keep_trouble(cmsContext context, cmsUInt32Number code, const char *text)
{
    wm_profile *profile = cmsGetContextUserData(context);
    (void)code;
    if (profile->trouble[0] != '\0')
        return;
    size_t length = strnlen(text, sizeof profile->trouble - 1);
    memcpy(profile->trouble, text, length);
    profile->trouble[length] = '\0';
}

static void set_name(wm_profile *profile, const char *name)
{
    size_t used = 0;
    for (; *name != '\0' && used + 1 < sizeof profile->name; name++)
        profile->name[used++] = *name >= 32 && *name < 127 ? *name : '?';
    profile->name[used] = '\0';
}

/* ---- Profiles made from codes ---- */

typedef struct primaries {
    int code;
    double white[2], red[2], green[2], blue[2];
} primaries;

/* ITU-T H.273 table 2; white D65 in all of them. */
static const primaries known_primaries[] = {
    { 1, { 0.3127, 0.3290 }, { 0.640, 0.330 }, { 0.300, 0.600 }, { 0.150, 0.060 } },
    { 5, { 0.3127, 0.3290 }, { 0.640, 0.330 }, { 0.290, 0.600 }, { 0.150, 0.060 } },
    { 6, { 0.3127, 0.3290 }, { 0.630, 0.340 }, { 0.310, 0.595 }, { 0.155, 0.070 } },
    { 7, { 0.3127, 0.3290 }, { 0.630, 0.340 }, { 0.310, 0.595 }, { 0.155, 0.070 } },
    { 9, { 0.3127, 0.3290 }, { 0.708, 0.292 }, { 0.170, 0.797 }, { 0.131, 0.046 } },
    { 12, { 0.3127, 0.3290 }, { 0.680, 0.320 }, { 0.265, 0.690 }, { 0.150, 0.060 } },
    { 22, { 0.3127, 0.3290 }, { 0.630, 0.340 }, { 0.295, 0.605 }, { 0.155, 0.077 } }
};

/* y = (a x + b)^g from x = d on, c x below (LittleCMS's parametric curve 4). */
typedef struct curve {
    int code;
    double g, a, b, c, d;
} curve;

/* ITU-T H.273 table 3, from code to light. 13 is IEC 61966-2-1 (sRGB); 1, 6, 14 and 15 are one curve with the constants
 * of BT.2020. */
#define BT709(code)                                                                                                    \
    {                                                                                                                  \
        code, 1.0 / 0.45, 1.0 / 1.09929682680944, 0.09929682680944 / 1.09929682680944, 1.0 / 4.5,                      \
            4.5 * 0.018053968510807                                                                                    \
    }
static const curve known_curves[] = { { 13, 2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045 },
                                      BT709(1),
                                      BT709(6),
                                      BT709(14),
                                      BT709(15),
                                      { 4, 2.2, 1.0, 0.0, 0.0, 0.0 },
                                      { 5, 2.8, 1.0, 0.0, 0.0, 0.0 },
                                      { 8, 1.0, 1.0, 0.0, 0.0, 0.0 } };

static cmsHPROFILE make_rgb(cmsContext context, const primaries *p, const curve *c)
{
    double parameters[5] = { c->g, c->a, c->b, c->c, c->d };
    cmsCIExyY white = { p->white[0], p->white[1], 1.0 };
    cmsCIExyYTRIPLE colorants = { { p->red[0], p->red[1], 1.0 },
                                  { p->green[0], p->green[1], 1.0 },
                                  { p->blue[0], p->blue[1], 1.0 } };
    cmsToneCurve *tone = cmsBuildParametricToneCurve(context, 4, parameters), *all[3] = { tone, tone, tone };
    cmsHPROFILE made = tone == NULL ? NULL : cmsCreateRGBProfileTHR(context, &white, &colorants, all);
    cmsFreeToneCurve(tone);
    return made;
}

static cmsHPROFILE make_srgb(wm_profile *profile, bool assumed)
{
    set_name(profile, assumed ? "sRGB (assumed)" : "sRGB");
    profile->assumed = assumed;
    return make_rgb(profile->context, &known_primaries[0], &known_curves[0]);
}

static wm_status open_cicp(cmsHPROFILE *out, wm_profile *profile, const wm_container *c, wm_error *err)
{
    enum { PQ = 16, HLG = 18 };
    const primaries *p = NULL;
    const curve *t = NULL;
    for (size_t i = 0; i < sizeof known_primaries / sizeof *known_primaries; i++)
        if (known_primaries[i].code == c->cicp_primaries)
            p = &known_primaries[i];
    for (size_t i = 0; i < sizeof known_curves / sizeof *known_curves; i++)
        if (known_curves[i].code == c->cicp_transfer)
            t = &known_curves[i];
    if (c->cicp_transfer == PQ || c->cicp_transfer == HLG)
        return wm_fail(
            err, WM_E_PHOTO,
            "an HDR photo (PQ or HLG) can't be measured; switch HDR off, or save it as an ordinary sRGB photo");
    if (p == NULL || t == NULL)
        return wm_fail(
            err, WM_E_PHOTO,
            "its colour code (primaries %d, transfer %d) is not one that can be measured; save it as an ordinary sRGB photo",
            c->cicp_primaries, c->cicp_transfer);
    if (t->code == 13 && (p->code == 1 || p->code == 12))
        set_name(profile, p->code == 1 ? "sRGB" : "Display P3");
    else if (p->code == 9)
        set_name(profile, "BT.2020 (cICP)");
    else
        set_name(profile, "RGB (cICP)");
    *out = make_rgb(profile->context, p, t);
    return WM_OK;
}

static cmsHPROFILE make_gama_chrm(wm_profile *profile, const wm_container *c)
{
    const double *xy = c->chrm;
    primaries p = { 0, { xy[0], xy[1] }, { xy[2], xy[3] }, { xy[4], xy[5] }, { xy[6], xy[7] } };
    curve power = { 0, 1.0 / c->gama, 1.0, 0.0, 0.0, 0.0 };
    set_name(profile, "RGB (gAMA, cHRM)");
    for (int i = 0; i < 8; i++)
        if (xy[i] > 2.0 || (i == 1 && xy[i] < 0.01))
            return NULL;
    return make_rgb(profile->context, &p, &power);
}

/* ---- ICC ---- */

static wm_status open_icc(cmsHPROFILE *out, wm_profile *profile, const wm_container *c, wm_error *err)
{
    char name[sizeof profile->name] = "";
    cmsHPROFILE opened = cmsOpenProfileFromMemTHR(profile->context, c->icc.data, (cmsUInt32Number)c->icc.size);
    if (opened == NULL)
        return wm_fail(err, WM_E_PHOTO, "its colour profile is broken; save the photo again with an sRGB profile");
    cmsColorSpaceSignature space = cmsGetColorSpace(opened);
    cmsProfileClassSignature class = cmsGetDeviceClass(opened);
    bool device = class == cmsSigInputClass || class == cmsSigDisplayClass || class == cmsSigOutputClass ||
                  class == cmsSigColorSpaceClass;
    profile->gray = space == cmsSigGrayData;
    if (!device || (space != cmsSigRgbData && !(profile->gray && c->channels <= 2))) {
        (void)cmsCloseProfile(opened);
        return wm_fail(err, WM_E_PHOTO,
                       "its colour profile is not one for %s; save the photo again with an sRGB profile",
                       c->channels <= 2 ? "gray or RGB" : "RGB");
    }
    (void)cmsGetProfileInfoASCII(opened, cmsInfoDescription, "en", "US", name, sizeof name);
    set_name(profile, name[0] != '\0' ? name : "ICC profile without a name");
    *out = opened;
    return WM_OK;
}

/* LittleCMS takes a table before matrix and curves, whichever tag for the intent comes first. */
static bool has_table(cmsHPROFILE input)
{
    static const cmsTagSignature tables[] = { cmsSigAToB0Tag, cmsSigAToB1Tag, cmsSigDToB0Tag, cmsSigDToB1Tag };
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++)
        if (cmsIsTag(input, tables[i]))
            return true;
    return false;
}

/* ---- Transforms ---- */

static wm_status make_transform(wm_profile *profile, cmsHPROFILE input, wm_error *err)
{
    cmsHPROFILE xyz = cmsCreateXYZProfileTHR(profile->context);
    if (xyz != NULL)
        profile->transform =
            cmsCreateTransformTHR(profile->context, input, profile->gray ? TYPE_GRAY_DBL : TYPE_RGB_DBL, xyz,
                                  TYPE_XYZ_DBL, INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE);
    if (xyz != NULL)
        (void)cmsCloseProfile(xyz);
    if (profile->transform != NULL)
        return WM_OK;
    return wm_fail(err, WM_E_PHOTO, "its colour profile can't be used (%s); save the photo again with an sRGB profile",
                   profile->trouble);
}

/* A hostile curve can make anything; no NaN and no infinity may get out. */
static double sensible(double value)
{
    return value > -100.0 && value < 100.0 ? value : 0.0;
}

static void block_to_linear(const wm_profile *profile, wm_rgb *out, const double *encoded, size_t count)
{
    double gray[BLOCK];
    cmsCIEXYZ xyz[BLOCK];
    if (profile->gray) {
        for (size_t i = 0; i < count; i++)
            gray[i] = encoded[3 * i];
        encoded = gray;
    }
    cmsDoTransform(profile->transform, encoded, xyz, (cmsUInt32Number)count);
    for (size_t i = 0; i < count; i++) {
        wm_rgb rgb = wm_xyz_to_rgb((wm_xyz){ xyz[i].X, xyz[i].Y, xyz[i].Z });
        out[i] = (wm_rgb){ sensible(rgb.r), sensible(rgb.g), sensible(rgb.b) };
    }
}

static void exact_to_linear(const wm_profile *profile, wm_rgb *out, const double *encoded, size_t count)
{
    for (size_t done = 0; done < count; done += BLOCK)
        block_to_linear(profile, out + done, encoded + 3 * done, count - done < BLOCK ? count - done : BLOCK);
}

/* Matrix and curves: the colour is the sum of what each channel gives alone, so three tables hold all colours. */
static wm_status make_table(wm_profile *profile, wm_error *err)
{
    wm_rgb *table = calloc((size_t)3 * ENTRIES, sizeof *table), black;
    double *encoded = calloc((size_t)3 * ENTRIES, sizeof *encoded), none[3] = { 0, 0, 0 };
    if (table == NULL || encoded == NULL) {
        free(table);
        free(encoded);
        return wm_fail_memory(err);
    }
    exact_to_linear(profile, &black, none, 1);
    for (int channel = 0; channel < (profile->gray ? 1 : 3); channel++) {
        wm_rgb *part = table + channel * ENTRIES;
        memset(encoded, 0, (size_t)3 * ENTRIES * sizeof *encoded);
        for (int i = 0; i < ENTRIES; i++)
            encoded[3 * i + channel] = (double)i / FINE;
        exact_to_linear(profile, part, encoded, ENTRIES);
        for (int i = 0; channel > 0 && i < ENTRIES; i++)
            part[i] = wm_rgb_add(part[i], wm_rgb_scale(black, -1.0));
    }
    free(encoded);
    profile->table = table;
    return WM_OK;
}

static wm_status make_sketch(wm_profile *profile, cmsHPROFILE input, wm_error *err)
{
    cmsHPROFILE srgb = make_rgb(profile->context, &known_primaries[0], &known_curves[0]);
    double *decode = malloc(ENTRIES * sizeof *decode);
    if (srgb != NULL)
        profile->sketch = cmsCreateTransformTHR(profile->context, input, profile->gray ? TYPE_GRAY_16 : TYPE_RGB_16,
                                                srgb, TYPE_RGB_16, INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOCACHE);
    if (srgb != NULL)
        (void)cmsCloseProfile(srgb);
    profile->sketch_decode = decode;
    if (decode == NULL || profile->sketch == NULL)
        return wm_fail_memory(err);
    for (int i = 0; i < ENTRIES; i++)
        decode[i] = wm_srgb_decode((double)i / FINE);
    return WM_OK;
}

/* A profile whose white is black, or not a number, would make nonsense of every zone. */
static wm_status check_white(const wm_profile *profile, wm_error *err)
{
    wm_rgb white;
    double ones[3] = { 1, 1, 1 };
    exact_to_linear(profile, &white, ones, 1);
    double luminance = wm_rgb_luminance(white);
    if (luminance > 0.1 && luminance < 10.0)
        return WM_OK;
    return wm_fail(err, WM_E_PHOTO,
                   "its colour profile has no sensible white; save the photo again with an sRGB profile");
}

static wm_status choose(cmsHPROFILE *out, wm_profile *profile, const wm_container *c, wm_error *err)
{
    wm_status status = WM_OK;
    *out = NULL;
    if (c->has_cicp)
        status = open_cicp(out, profile, c, err);
    else if (c->icc.size > 0)
        status = open_icc(out, profile, c, err);
    else if (c->has_gama && c->has_chrm && !c->png_srgb)
        *out = make_gama_chrm(profile, c);
    else
        *out = make_srgb(profile, !c->png_srgb);
    if (status == WM_OK && *out == NULL)
        status =
            wm_fail(err, WM_E_PHOTO,
                    "its colour chunks describe no possible colour space; save the photo again with an sRGB profile");
    return status;
}

wm_status wm_profile_open(wm_profile **out, const wm_container *container, wm_error *err)
{
    cmsHPROFILE input = NULL;
    wm_profile *profile = calloc(1, sizeof *profile);
    if (profile == NULL)
        return wm_fail_memory(err);
    profile->context = cmsCreateContext(NULL, profile);
    if (profile->context == NULL) {
        free(profile);
        return wm_fail_memory(err);
    }
    cmsSetLogErrorHandlerTHR(profile->context, keep_trouble);
    wm_status status = choose(&input, profile, container, err);
    if (status == WM_OK)
        status = make_transform(profile, input, err);
    if (status == WM_OK)
        status = check_white(profile, err);
    if (status == WM_OK && !has_table(input))
        status = make_table(profile, err);
    else if (status == WM_OK)
        status = make_sketch(profile, input, err);
    if (input != NULL)
        (void)cmsCloseProfile(input);
    if (status != WM_OK) {
        wm_profile_free(profile);
        return status;
    }
    *out = profile;
    return WM_OK;
}

void wm_profile_free(wm_profile *profile)
{
    if (profile == NULL)
        return;
    if (profile->transform != NULL)
        cmsDeleteTransform(profile->transform);
    if (profile->sketch != NULL)
        cmsDeleteTransform(profile->sketch);
    free(profile->table);
    free(profile->sketch_decode);
    cmsDeleteContext(profile->context);
    free(profile);
}

const char *wm_profile_name(const wm_profile *profile)
{
    return profile->name;
}
bool wm_profile_assumed(const wm_profile *profile)
{
    return profile->assumed;
}

/* A channel's part at 0..1, on the line between two entries. NaN is 0. */
static void add_part(wm_rgb *sum, const wm_rgb *part, double encoded)
{
    double at = encoded > 0.0 ? (encoded < 1.0 ? encoded * FINE : FINE) : 0.0;
    int below = at < FINE ? (int)at : FINE - 1;
    double above = at - below;
    const wm_rgb *a = part + below, *b = a + 1;
    sum->r += a->r + above * (b->r - a->r);
    sum->g += a->g + above * (b->g - a->g);
    sum->b += a->b + above * (b->b - a->b);
}

void wm_profile_to_linear(const wm_profile *profile, wm_rgb *out, const double *encoded, size_t count)
{
    if (profile->table == NULL) {
        exact_to_linear(profile, out, encoded, count);
        return;
    }
    for (size_t i = 0; i < count; i++) {
        wm_rgb sum = { 0, 0, 0 };
        for (size_t channel = 0; channel < 3; channel++)
            add_part(&sum, profile->table + channel * ENTRIES, encoded[3 * i + channel]);
        out[i] = sum;
    }
}

static size_t nearest_entry(unsigned code)
{
    return (code * FINE + 32767u) / 65535u;
}

static void sketch_block(const wm_profile *profile, wm_rgb *out, const uint16_t *codes, size_t count)
{
    uint16_t gray[BLOCK], srgb[3 * BLOCK];
    const double *decode = profile->sketch_decode;
    if (profile->gray) {
        for (size_t i = 0; i < count; i++)
            gray[i] = codes[3 * i];
        codes = gray;
    }
    cmsDoTransform(profile->sketch, codes, srgb, (cmsUInt32Number)count);
    for (size_t i = 0; i < count; i++)
        out[i] = (wm_rgb){ decode[nearest_entry(srgb[3 * i])], decode[nearest_entry(srgb[3 * i + 1])],
                           decode[nearest_entry(srgb[3 * i + 2])] };
}

void wm_profile_sketch(const wm_profile *profile, wm_rgb *out, const uint16_t *codes, size_t count)
{
    const wm_rgb *table = profile->table;
    if (table == NULL) {
        for (size_t done = 0; done < count; done += BLOCK)
            sketch_block(profile, out + done, codes + 3 * done, count - done < BLOCK ? count - done : BLOCK);
        return;
    }
    for (size_t i = 0; i < count; i++, codes += 3) {
        const wm_rgb *r = table + nearest_entry(codes[0]), *g = table + ENTRIES + nearest_entry(codes[1]),
                     *b = table + 2 * ENTRIES + nearest_entry(codes[2]);
        out[i] = (wm_rgb){ r->r + g->r + b->r, r->g + g->g + b->g, r->b + g->b + b->b };
    }
}

const char *wm_profile_engine(void)
{
    enum { FIRST = 13 }; /* the oldest that the build accepts */
    static const char names[][5] = { "2.13", "2.14", "2.15", "2.16", "2.17", "2.18",
                                     "2.19", "2.20", "2.21", "2.22", "2.23", "2.24" };
    int minor =
        cmsGetEncodedCMMversion() / 10 % 100 - FIRST; /* 2140 is 2.14: of the library that runs, not of its header */
    return minor >= 0 && minor < (int)(sizeof names / sizeof *names) ? names[minor] : "2";
}
