/* profile_make: XYZ of ICC's profile connection space (D50, media-relative) by LittleCMS in floating point, relative
 * colorimetric, no black point compensation, neither optimisation nor cache. */
#include "photo/profile_make.h"

#include <lcms2.h>
#include <lcms2_plugin.h> /* what a stage of curves holds */
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK = 256 };

typedef struct maker {
    wm_profile *out;
    cmsContext context;
    cmsHTRANSFORM transform;
    char trouble[128]; /* LittleCMS's first complaint */
} maker;

static void keep_trouble(cmsContext context, cmsUInt32Number code, const char *text)
{
    maker *m = cmsGetContextUserData(context);
    (void)code;
    if (m->trouble[0] != '\0')
        return;
    size_t length = strnlen(text, sizeof m->trouble - 1);
    memcpy(m->trouble, text, length);
    m->trouble[length] = '\0';
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
    cmsHPROFILE made = tone ? cmsCreateRGBProfileTHR(context, &white, &colorants, all) : NULL;
    cmsFreeToneCurve(tone);
    return made;
}

static cmsHPROFILE make_srgb(maker *m, const char *name)
{
    set_name(m->out, name);
    return make_rgb(m->context, &known_primaries[0], &known_curves[0]);
}

/* IEC 61966-2-5, which is DCF's optional colour space; its exponent is 2 51/256. */
static cmsHPROFILE make_oprgb(maker *m)
{
    static const primaries wide = { 0, { 0.3127, 0.3290 }, { 0.64, 0.33 }, { 0.21, 0.71 }, { 0.15, 0.06 } };
    static const curve power = { 0, 563.0 / 256.0, 1.0, 0.0, 0.0, 0.0 };
    set_name(m->out, "opRGB (EXIF)");
    return make_rgb(m->context, &wide, &power);
}

/* ITU-T H.273, table 3 */
static bool is_hdr(int transfer)
{
    enum { PQ = 16, HLG = 18 };
    return transfer == PQ || transfer == HLG;
}

static wm_status fail_hdr(wm_error *err)
{
    return wm_fail(err, WM_E_PHOTO,
                   "an HDR photo (PQ or HLG) can't be measured; switch HDR off, or save it as an ordinary sRGB photo");
}

static wm_status open_cicp(cmsHPROFILE *out, maker *m, const wm_container *c, wm_error *err)
{
    const primaries *p = NULL;
    const curve *t = NULL;
    for (size_t i = 0; i < sizeof known_primaries / sizeof *known_primaries; i++)
        if (known_primaries[i].code == c->cicp_primaries)
            p = &known_primaries[i];
    for (size_t i = 0; i < sizeof known_curves / sizeof *known_curves; i++)
        if (known_curves[i].code == c->cicp_transfer)
            t = &known_curves[i];
    if (is_hdr(c->cicp_transfer))
        return fail_hdr(err);
    if (!p || !t)
        return wm_fail(
            err, WM_E_PHOTO,
            "its colour code (primaries %d, transfer %d) is not one that can be measured; save it as an ordinary sRGB photo",
            c->cicp_primaries, c->cicp_transfer);
    if (t->code == 13 && (p->code == 1 || p->code == 12))
        set_name(m->out, p->code == 1 ? "sRGB" : "Display P3");
    else if (p->code == 9)
        set_name(m->out, "BT.2020 (cICP)");
    else
        set_name(m->out, "RGB (cICP)");
    *out = make_rgb(m->context, p, t);
    return WM_OK;
}

/* What many programs write beside or instead of sRGB. */
static bool stands_for_srgb(double gama)
{
    return fabs(gama - 1 / 2.2) < 0.01;
}

static cmsHPROFILE make_gama(maker *m, const wm_container *c)
{
    const double *xy = c->chrm;
    primaries p = { 0, { xy[0], xy[1] }, { xy[2], xy[3] }, { xy[4], xy[5] }, { xy[6], xy[7] } };
    curve power = { 0, 1.0 / c->gama, 1.0, 0.0, 0.0, 0.0 };
    set_name(m->out, c->has_chrm ? "RGB (gAMA, cHRM)" : "RGB (gAMA, primaries assumed)");
    m->out->assumed = !c->has_chrm;
    if (!c->has_chrm)
        return make_rgb(m->context, &known_primaries[0], &power);
    for (int i = 0; i < 8; i++)
        if (xy[i] > 2.0 || (i == 1 && xy[i] < 0.01))
            return NULL;
    return make_rgb(m->context, &p, &power);
}

/* ---- ICC ---- */

/* A profile may say so beside curves that only make do (ICC.1:2022, 9.2.17). */
static bool is_hdr_profile(cmsHPROFILE profile)
{
    const cmsVideoSignalType *signal = cmsIsTag(profile, cmsSigcicpTag) ? cmsReadTag(profile, cmsSigcicpTag) : NULL;
    return signal && is_hdr(signal->TransferCharacteristics);
}

static wm_status open_icc(cmsHPROFILE *out, maker *m, const wm_container *c, wm_error *err)
{
    char name[sizeof m->out->name] = "";
    cmsHPROFILE opened = cmsOpenProfileFromMemTHR(m->context, c->icc.data, (cmsUInt32Number)c->icc.size);
    if (!opened)
        return wm_fail(err, WM_E_PHOTO, "its colour profile is broken; save the photo again with an sRGB profile");
    cmsColorSpaceSignature space = cmsGetColorSpace(opened);
    cmsProfileClassSignature class = cmsGetDeviceClass(opened);
    bool device = class == cmsSigInputClass || class == cmsSigDisplayClass || class == cmsSigOutputClass ||
                  class == cmsSigColorSpaceClass;
    m->out->gray = space == cmsSigGrayData;
    if (!device || (space != cmsSigRgbData && !(m->out->gray && c->channels <= 2))) {
        (void)cmsCloseProfile(opened);
        return wm_fail(err, WM_E_PHOTO,
                       "its colour profile is not one for %s; save the photo again with an sRGB profile",
                       c->channels <= 2 ? "gray or RGB" : "RGB");
    }
    if (is_hdr_profile(opened)) {
        (void)cmsCloseProfile(opened);
        return fail_hdr(err);
    }
    (void)cmsGetProfileInfoASCII(opened, cmsInfoDescription, "en", "US", name, sizeof name);
    set_name(m->out, name[0] != '\0' ? name : "ICC profile without a name");
    *out = opened;
    return WM_OK;
}

/* LittleCMS takes a table before matrix and curves, that of the intent first, of floats first. NULL: there is none. */
static const cmsPipeline *table_of(cmsHPROFILE input)
{
    static const cmsTagSignature tables[] = { cmsSigDToB1Tag, cmsSigDToB0Tag, cmsSigAToB1Tag, cmsSigAToB0Tag };
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++)
        if (cmsIsTag(input, tables[i]))
            return cmsReadTag(input, tables[i]);
    return NULL;
}

/* ---- Sampling ---- */

static wm_status make_transform(maker *m, cmsHPROFILE input, wm_error *err)
{
    cmsHPROFILE xyz = cmsCreateXYZProfileTHR(m->context);
    if (xyz)
        m->transform =
            cmsCreateTransformTHR(m->context, input, m->out->gray ? TYPE_GRAY_DBL : TYPE_RGB_DBL, xyz, TYPE_XYZ_DBL,
                                  INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE);
    if (xyz)
        (void)cmsCloseProfile(xyz);
    if (m->transform)
        return WM_OK;
    return wm_fail(err, WM_E_PHOTO, "its colour profile can't be used (%s); save the photo again with an sRGB profile",
                   m->trouble);
}

/* A hostile curve can make anything; no NaN and no infinity may get out. */
static double sensible(double value)
{
    return value > -100.0 && value < 100.0 ? value : 0.0;
}

/* At most BLOCK colours. */
static void block_to_linear(const maker *m, wm_rgb *out, const double *encoded, size_t count)
{
    double gray[BLOCK];
    cmsCIEXYZ xyz[BLOCK];
    if (m->out->gray) {
        for (size_t i = 0; i < count; i++)
            gray[i] = encoded[3 * i];
        encoded = gray;
    }
    cmsDoTransform(m->transform, encoded, xyz, (cmsUInt32Number)count);
    for (size_t i = 0; i < count; i++) {
        wm_rgb rgb = wm_xyz_to_rgb((wm_xyz){ xyz[i].X, xyz[i].Y, xyz[i].Z });
        out[i] = (wm_rgb){ sensible(rgb.r), sensible(rgb.g), sensible(rgb.b) };
    }
}

static wm_rgb linear_of(const maker *m, double r, double g, double b)
{
    wm_rgb out;
    double encoded[3] = { r, g, b };
    block_to_linear(m, &out, encoded, 1);
    return out;
}

/* One channel of matrix and curves, the others at 0. */
static void fill_channel(maker *m, int channel, wm_rgb black)
{
    wm_rgb *part = m->out->table[channel];
    double encoded[3 * BLOCK] = { 0 };
    for (int done = 0; done < WM_PROFILE_ENTRIES; done += BLOCK) {
        int count = WM_PROFILE_ENTRIES - done < BLOCK ? WM_PROFILE_ENTRIES - done : BLOCK;
        for (int i = 0; i < count; i++)
            encoded[3 * i + channel] = (double)(done + i) / WM_PROFILE_STEPS;
        block_to_linear(m, part + done, encoded, (size_t)count);
        for (int i = 0; channel > 0 && i < count; i++)
            part[done + i] = wm_rgb_add(part[done + i], wm_rgb_scale(black, -1.0));
    }
}

static void fill_tables(maker *m)
{
    wm_rgb black = linear_of(m, 0, 0, 0);
    for (int channel = 0; channel < (m->out->gray ? 1 : 3); channel++)
        fill_channel(m, channel, black);
}

static wm_lab lab_of(wm_rgb rgb)
{
    return wm_xyz_to_lab(wm_rgb_to_xyz(rgb), WM_D50);
}

/* Rises from 0 to 1 at most, and can be gone back. */
static bool usable_curve(const double *shaper)
{
    bool rises = shaper[0] >= 0.0 && shaper[WM_PROFILE_STEPS] <= 1.0 && shaper[WM_PROFILE_STEPS] - shaper[0] > 0.5;
    for (int i = 0; rises && i < WM_PROFILE_STEPS; i++)
        rises = shaper[i + 1] >= shaper[i];
    return rises;
}

/* The curves that the profile has before its own table: behind them the grid's nodes can meet the table's. A straight
 * line where there are none. */
static void fill_curves(maker *m, cmsHPROFILE input)
{
    const cmsPipeline *table = table_of(input);
    cmsStage *first = table ? cmsPipelineGetPtrToFirstStage(table) : NULL;
    const _cmsStageToneCurvesData *own = NULL;
    if (first && cmsStageType(first) == cmsSigCurveSetElemType && cmsStageInputChannels(first) == 3)
        own = cmsStageData(first);
    for (int c = 0; c < 3; c++) {
        double *shaper = m->out->curve[c];
        for (int i = 0; i < WM_PROFILE_ENTRIES; i++) {
            double at = (double)i / WM_PROFILE_STEPS;
            shaper[i] = own ? (double)cmsEvalToneCurveFloat(own->TheCurves[c], (cmsFloat32Number)at) : at;
        }
        if (usable_curve(shaper))
            continue;
        for (int i = 0; i < WM_PROFILE_ENTRIES; i++)
            shaper[i] = (double)i / WM_PROFILE_STEPS;
    }
}

/* The channel value that a curve takes to `place`. */
static double back_through(const double *shaper, double place)
{
    int low = 0, high = WM_PROFILE_STEPS;
    if (place <= shaper[low])
        return 0.0;
    if (place >= shaper[high])
        return 1.0;
    while (high - low > 1) {
        int middle = (low + high) / 2;
        if (shaper[middle] < place)
            low = middle;
        else
            high = middle;
    }
    return (low + (place - shaper[low]) / (shaper[high] - shaper[low])) / WM_PROFILE_STEPS;
}

static void fill_grid(maker *m, int nodes)
{
    double encoded[3 * BLOCK], value[3][WM_PROFILE_GRID];
    wm_rgb linear[BLOCK];
    size_t n = (size_t)nodes, all = n * n * n;
    for (int c = 0; c < 3; c++)
        for (int i = 0; i < nodes; i++)
            value[c][i] = back_through(m->out->curve[c], (double)i / (nodes - 1));
    for (size_t done = 0; done < all; done += BLOCK) {
        size_t count = all - done < BLOCK ? all - done : BLOCK;
        for (size_t i = 0; i < count; i++) {
            size_t at = done + i;
            encoded[3 * i] = value[0][at / n / n];
            encoded[3 * i + 1] = value[1][at / n % n];
            encoded[3 * i + 2] = value[2][at % n];
        }
        block_to_linear(m, linear, encoded, count);
        for (size_t i = 0; i < count; i++) {
            wm_lab lab = lab_of(linear[i]);
            float *node = m->out->node[done + i];
            node[0] = (float)lab.L;
            node[1] = (float)lab.a;
            node[2] = (float)lab.b;
        }
    }
    m->out->grid = nodes;
}

/* Worst of L*, a*, b* at 512 colours that lie on none of the grids. */
static double grid_error(const maker *m)
{
    double worst = 0;
    for (int i = 0; i < 512; i++) {
        double code[3] = { (i / 64 + 0.37) / 8, (i / 8 % 8 + 0.61) / 8, (i % 8 + 0.23) / 8 };
        wm_rgb got;
        wm_profile_to_linear(m->out, &got, code, 1);
        wm_lab a = lab_of(got), b = lab_of(linear_of(m, code[0], code[1], code[2]));
        worst = fmax(worst, fmax(fabs(a.L - b.L), fmax(fabs(a.a - b.a), fabs(a.b - b.b))));
    }
    return worst;
}

/* Nodes of 9, 11, 17, 21, 33 or 41, as profiles have them, are among those of one of these. */
static void make_grid(maker *m, cmsHPROFILE input)
{
    fill_curves(m, input);
    static const int finer[] = { 33, 41, WM_PROFILE_GRID };
    for (size_t i = 0; i < sizeof finer / sizeof *finer; i++) {
        fill_grid(m, finer[i]);
        if (grid_error(m) <= 0.01)
            return;
    }
}

/* A profile whose white is black, or not a number, would make nonsense of every zone. */
static wm_status check_white(const maker *m, wm_error *err)
{
    double luminance = wm_rgb_luminance(linear_of(m, 1, 1, 1));
    if (luminance > 0.1 && luminance < 10.0)
        return WM_OK;
    return wm_fail(err, WM_E_PHOTO,
                   "its colour profile has no sensible white; save the photo again with an sRGB profile");
}

static wm_status choose(cmsHPROFILE *out, maker *m, const wm_container *c, wm_error *err)
{
    wm_status status = WM_OK;
    *out = NULL;
    if (c->has_cicp)
        status = open_cicp(out, m, c, err);
    else if (c->icc.size > 0)
        status = open_icc(out, m, c, err);
    else if (c->png_srgb)
        *out = make_srgb(m, "sRGB");
    else if (c->has_gama && (c->has_chrm || !stands_for_srgb(c->gama)))
        *out = make_gama(m, c);
    else if (c->exif_colour == WM_EXIF_OPRGB)
        *out = make_oprgb(m);
    else if (c->exif_colour == WM_EXIF_SRGB)
        *out = make_srgb(m, "sRGB (EXIF)");
    else {
        m->out->assumed = true;
        *out = make_srgb(m, "sRGB (assumed)");
    }
    if (!status && !*out)
        status =
            wm_fail(err, WM_E_PHOTO,
                    "its colour chunks describe no possible colour space; save the photo again with an sRGB profile");
    return status;
}

wm_status wm_profile_make(wm_profile *out, const wm_container *container, wm_error *err)
{
    cmsHPROFILE input = NULL;
    maker m = { .out = out };
    m.context = cmsCreateContext(NULL, &m);
    if (!m.context)
        return wm_fail_memory(err);
    cmsSetLogErrorHandlerTHR(m.context, keep_trouble);
    wm_status status = choose(&input, &m, container, err);
    if (!status)
        status = make_transform(&m, input, err);
    if (!status)
        status = check_white(&m, err);
    if (!status && table_of(input) && !out->gray)
        make_grid(&m, input);
    else if (!status)
        fill_tables(&m);
    if (m.transform)
        cmsDeleteTransform(m.transform);
    if (input)
        (void)cmsCloseProfile(input);
    cmsDeleteContext(m.context);
    return status;
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
