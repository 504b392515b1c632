/* container_jpeg: every marker segment of a JPEG (ITU-T T.81) before a decoder sees it.
 *
 * The decoder trusts the counts in Huffman tables, the samplings and the scan headers; so each is checked here, and
 * every byte from SOI to EOI is accounted for: the decoder can meet no segment that was not walked. What follows EOI
 * (the second picture of an MPO, a gain map, a vendor's trailer) is neither walked nor decoded. */
#include "photo/container_internal.h"

#include <string.h>

enum {
    SOF0 = 0xC0,
    SOF1 = 0xC1,
    SOF2 = 0xC2,
    DHT = 0xC4,
    JPG = 0xC8,
    RST0 = 0xD0,
    RST7 = 0xD7,
    EOI = 0xD9,
    SOS = 0xDA,
    DQT = 0xDB,
    DRI = 0xDD,
    APP0 = 0xE0,
    APP1 = 0xE1,
    APP2 = 0xE2,
    APP15 = 0xEF,
    COM = 0xFE
};

/* A progressive photo has about ten scans; each one costs the decoder a pass over the whole picture. */
#define SCANS_MAX 100

typedef struct component {
    unsigned id, h, v, table;
    bool scanned; /* baseline: its scan; progressive: a DC scan */
    int in_scan;  /* number of the last scan that it was in */
} component;

typedef struct jpeg {
    wm_walk *walk;
    wm_cursor in;
    component components[3];
    unsigned count, h_max, v_max; /* count 0: no frame header yet */
    bool progressive;
    bool quantised[4], huffman[2][4];
    unsigned luminance_sum[4]; /* of each quantisation table, for the quality */
    unsigned restart_interval;
    int scans;
    wm_cursor icc[256]; /* by sequence number, 1-based */
    unsigned icc_count;
} jpeg;

static wm_status damaged(const jpeg *j, const char *what)
{
    return wm_fail_damaged(j->walk->err, WM_CONTAINER_JPEG, what);
}

/* T.81 B.2.4.1: a step is 1 at least. */
static wm_status walk_dqt(jpeg *j, wm_cursor in)
{
    while (in.left > 0) {
        unsigned pq_tq = wm_take8(&in), precision = pq_tq >> 4, table = pq_tq & 15, sum = 0;
        if (precision > 1 || table > 3)
            return damaged(j, "impossible quantisation table");
        for (int i = 0; i < 64; i++) {
            unsigned step = (unsigned)wm_take(&in, precision + 1);
            if (step == 0)
                return damaged(j, "impossible quantisation table");
            sum += step;
        }
        j->quantised[table] = true;
        j->luminance_sum[table] = sum;
    }
    return WM_OK;
}

/* T.81 B.2.4.2 and C.2: at most 256 symbols, and no more codes of a length than the shorter ones leave free. */
static wm_status walk_dht(jpeg *j, wm_cursor in)
{
    while (in.left > 0) {
        unsigned tc_th = wm_take8(&in), dc_or_ac = tc_th >> 4, table = tc_th & 15, symbols = 0, used = 0;
        if (dc_or_ac > 1 || table > 3)
            return damaged(j, "impossible Huffman table");
        for (unsigned length = 1; length <= 16; length++) {
            unsigned codes = wm_take8(&in);
            symbols += codes;
            used += codes << (16 - length);
        }
        if (in.over || symbols > 256 || used > 0x10000)
            return damaged(j, "impossible Huffman table");
        wm_cursor values = wm_take_part(&in, symbols);
        if (values.over)
            return damaged(j, "impossible Huffman table");
        for (unsigned i = 0; dc_or_ac == 0 && i < symbols; i++)
            if (values.at[i] > 15)
                return damaged(j, "impossible Huffman table"); /* more bits than a DC difference can have */
        j->huffman[dc_or_ac][table] = true;
    }
    return WM_OK;
}

static wm_status walk_component(jpeg *j, wm_cursor *in)
{
    component *c = &j->components[j->count];
    c->id = wm_take8(in);
    unsigned h_v = wm_take8(in);
    c->h = h_v >> 4;
    c->v = h_v & 15;
    c->table = wm_take8(in);
    if (c->h < 1 || c->h > 4 || c->v < 1 || c->v > 4 || c->table > 3)
        return damaged(j, "impossible colour sampling");
    for (unsigned i = 0; i < j->count; i++)
        if (j->components[i].id == c->id)
            return damaged(j, "two components with one name");
    if (c->h > j->h_max)
        j->h_max = c->h;
    if (c->v > j->v_max)
        j->v_max = c->v;
    j->count++;
    return WM_OK;
}

/* T.81 B.2.2. Samplings must divide the largest one: the decoder enlarges by whole factors. */
static wm_status walk_sof(jpeg *j, wm_cursor in, bool progressive)
{
    wm_status status = WM_OK;
    if (j->count > 0)
        return damaged(j, "two frame headers");
    unsigned precision = wm_take8(&in), height = wm_take16(&in), width = wm_take16(&in), count = wm_take8(&in);
    if (in.over || in.left != 3u * count || width == 0)
        return damaged(j, "impossible frame header");
    if (precision != 8)
        return wm_fail_refused(j->walk->err,
                               "a JPEG of more than 8 bits can't be read; save it as an 8-bit JPEG or a 16-bit PNG");
    if (height == 0)
        return wm_fail_refused(j->walk->err, "a JPEG that leaves its height open can't be read; save the photo again");
    if (count == 4)
        return wm_fail_refused(
            j->walk->err,
            "a CMYK (print) JPEG has no camera colours; use the photo as it left the camera, or save it as RGB");
    if (count != 1 && count != 3)
        return damaged(j, "impossible number of colour components");
    j->progressive = progressive;
    for (unsigned i = 0; i < count && !status; i++)
        status = walk_component(j, &in);
    if (status)
        return status;
    unsigned blocks = 0;
    for (unsigned i = 0; i < count; i++) {
        const component *c = &j->components[i];
        if (j->h_max % c->h != 0 || j->v_max % c->v != 0)
            return damaged(j, "impossible colour sampling");
        blocks += c->h * c->v;
    }
    if (count > 1 && blocks > 10)
        return damaged(j, "impossible colour sampling"); /* B.2.3 */
    j->walk->out->width = (int)width;
    j->walk->out->height = (int)height;
    j->walk->out->channels = (int)count;
    j->walk->out->bits = 8;
    return WM_OK;
}

/* ICC.1 Annex B.4: "ICC_PROFILE", number of this segment, number of segments. */
static wm_status walk_app2(jpeg *j, wm_cursor in)
{
    static const char tag[12] = "ICC_PROFILE";
    if (in.left < sizeof tag + 2 || memcmp(in.at, tag, sizeof tag) != 0)
        return WM_OK;
    (void)wm_take_part(&in, sizeof tag);
    unsigned number = wm_take8(&in), count = wm_take8(&in);
    if (number == 0 || number > count || (j->icc_count != 0 && j->icc_count != count) || j->icc[number].at)
        return damaged(j, "the colour profile's pieces don't fit together");
    j->icc_count = count;
    j->icc[number] = in;
    return WM_OK;
}

static void walk_app1(jpeg *j, wm_cursor in)
{
    static const char tag[6] = "Exif\0";
    if (in.left < sizeof tag || memcmp(in.at, tag, sizeof tag) != 0 || j->walk->exif.left > 0)
        return;
    (void)wm_take_part(&in, sizeof tag);
    j->walk->exif = in;
}

/* What a scan sends of each block: coefficients first..last, from bit `low` up, or bit `low` alone when `high` were
 * sent before. */
typedef struct spectrum {
    unsigned first, last, high, low;
} spectrum;

/* T.81 table B.3 and G.1.1.1. The last coefficient of a baseline scan is always 63, whatever stands there. */
static bool spectrum_possible(const jpeg *j, spectrum s, unsigned components)
{
    if (!j->progressive)
        return s.first == 0 && s.high == 0 && s.low == 0;
    if (s.low > 13 || (s.high != 0 && s.high != s.low + 1))
        return false;
    return s.first == 0 ? s.last == 0 : s.first <= s.last && s.last <= 63 && components == 1;
}

/* One component's turn in a scan: it and its tables must have been there before. */
static wm_status walk_scan_component(jpeg *j, unsigned id, unsigned td_ta, spectrum s)
{
    unsigned dc = td_ta >> 4, ac = td_ta & 15;
    bool needs_dc = s.first == 0 && s.high == 0, needs_ac = !j->progressive || s.first > 0;
    component *c = NULL;
    for (unsigned i = 0; i < j->count; i++)
        if (j->components[i].id == id)
            c = &j->components[i];
    if (!c || dc > 3 || ac > 3)
        return damaged(j, "a scan of an unknown component");
    if ((needs_dc && !j->huffman[0][dc]) || (needs_ac && !j->huffman[1][ac]))
        return damaged(j, "a Huffman table is missing");
    if (!j->quantised[c->table])
        return damaged(j, "a quantisation table is missing");
    if (c->in_scan == j->scans || (!j->progressive && c->scanned))
        return damaged(j, "a component is sent twice");
    c->in_scan = j->scans;
    c->scanned = c->scanned || s.first == 0;
    return WM_OK;
}

static size_t blocks_of(unsigned samples, unsigned per_block)
{
    return ((size_t)samples + per_block - 1) / per_block;
}

/* How many MCUs a scan has (T.81 A.2): of all components together, or the blocks of a single one. */
static size_t scan_units(const jpeg *j, unsigned components, unsigned id)
{
    unsigned width = (unsigned)j->walk->out->width, height = (unsigned)j->walk->out->height;
    if (components > 1)
        return blocks_of(width, 8 * j->h_max) * blocks_of(height, 8 * j->v_max);
    const component *c = &j->components[0];
    for (unsigned i = 1; i < j->count; i++)
        if (j->components[i].id == id)
            c = &j->components[i];
    return blocks_of((width * c->h + j->h_max - 1) / j->h_max, 8) *
           blocks_of((height * c->v + j->v_max - 1) / j->v_max, 8);
}

/* The entropy-coded bytes up to the next marker that is not RSTn, which stays unread. */
static wm_status walk_entropy(jpeg *j, size_t units)
{
    size_t restarts = 0, expected = j->restart_interval ? (units - 1) / j->restart_interval : 0;
    for (;;) {
        const unsigned char *mark = memchr(j->in.at, 0xFF, j->in.left);
        if (!mark)
            return wm_fail_truncated(j->walk->err, WM_CONTAINER_JPEG);
        (void)wm_take_part(&j->in, (size_t)(mark - j->in.at));
        wm_cursor ahead = j->in;
        unsigned code = 0xFF;
        while (code == 0xFF && !ahead.over)
            code = wm_take8(&ahead);
        if (ahead.over)
            return wm_fail_truncated(j->walk->err, WM_CONTAINER_JPEG);
        if (code != 0 && (code < RST0 || code > RST7))
            break;
        restarts += code != 0;
        j->in = ahead;
    }
    return restarts == expected ? WM_OK : damaged(j, "parts of the picture are missing");
}

static wm_status walk_sos(jpeg *j, wm_cursor in)
{
    unsigned components = wm_take8(&in), id = 0;
    if (j->count == 0)
        return damaged(j, "a scan before its frame header");
    if (components < 1 || components > j->count || in.left != 2 * components + 3)
        return damaged(j, "impossible scan header");
    const unsigned char *tail = in.at + (size_t)2 * components;
    spectrum s = { tail[0], tail[1], tail[2] >> 4, tail[2] & 15 };
    if (!spectrum_possible(j, s, components))
        return damaged(j, "impossible scan header");
    if (++j->scans > SCANS_MAX)
        return damaged(j, "too many scans");
    for (unsigned i = 0; i < components; i++) {
        id = wm_take8(&in);
        wm_status status = walk_scan_component(j, id, wm_take8(&in), s);
        if (status)
            return status;
    }
    return walk_entropy(j, scan_units(j, components, id));
}

static wm_status walk_segment(jpeg *j, unsigned marker)
{
    unsigned length = wm_take16(&j->in);
    if (j->in.over)
        return wm_fail_truncated(j->walk->err, WM_CONTAINER_JPEG);
    if (length < 2)
        return damaged(j, "impossible segment length");
    wm_cursor part = wm_take_part(&j->in, length - 2);
    if (part.over)
        return wm_fail_truncated(j->walk->err, WM_CONTAINER_JPEG);
    switch (marker) {
    case SOF0:
    case SOF1: return walk_sof(j, part, false);
    case SOF2: return walk_sof(j, part, true);
    case DHT: return walk_dht(j, part);
    case DQT: return walk_dqt(j, part);
    case SOS: return walk_sos(j, part);
    case APP2: return walk_app2(j, part);
    case APP1: walk_app1(j, part); return WM_OK;
    case DRI:
        j->restart_interval = wm_take16(&part);
        return part.over || part.left > 0 ? damaged(j, "impossible restart interval") : WM_OK;
    default: break;
    }
    if ((marker >= APP0 && marker <= APP15) || marker == COM)
        return WM_OK;
    if ((marker > SOF2 && marker < RST0) && marker != JPG)
        return wm_fail_refused(
            j->walk->err, marker > JPG
                              ? "an arithmetic-coded JPEG can't be read; save the photo as an ordinary JPEG"
                              : "a lossless or hierarchical JPEG can't be read; save the photo as an ordinary JPEG");
    return damaged(j, "unknown marker");
}

/* Quality of the table whose sum of steps lies nearest, in the scaling that is in common use since the IJG's library:
 * T.81 table K.1 times 50/q, or times 2 - q/50 from 50 on. The sum needs no order and is strictly falling. */
static int quality_of(unsigned sum)
{
    static const unsigned char k1[64] = { 16, 11, 10, 16, 24,  40,  51,  61,  12, 12, 14, 19, 26,  58,  60,  55,
                                          14, 13, 16, 24, 40,  57,  69,  56,  14, 17, 22, 29, 51,  87,  80,  62,
                                          18, 22, 37, 56, 68,  109, 103, 77,  24, 35, 55, 64, 81,  104, 113, 92,
                                          49, 64, 78, 87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99 };
    unsigned nearest = ~0u;
    int best = 0;
    for (unsigned q = 1; q <= 100; q++) {
        unsigned scale = q < 50 ? 5000 / q : 200 - 2 * q, total = 0;
        for (int i = 0; i < 64; i++) {
            unsigned step = (k1[i] * scale + 50) / 100;
            total += step < 1 ? 1 : step > 255 ? 255 : step;
        }
        unsigned off = total > sum ? total - sum : sum - total;
        if (off < nearest) {
            nearest = off;
            best = (int)q;
        }
    }
    return best;
}

static wm_status join_icc(jpeg *j)
{
    unsigned char *joined = NULL;
    size_t size = 0;
    for (unsigned i = 1; i <= j->icc_count; i++) {
        if (!j->icc[i].at)
            return damaged(j, "a piece of the colour profile is missing");
        size += j->icc[i].left;
    }
    if (size == 0)
        return WM_OK;
    wm_status status = wm_walk_keep_icc(j->walk, NULL, size);
    if (status)
        return status;
    joined = j->walk->out->icc.data;
    for (unsigned i = 1; i <= j->icc_count; i++) {
        memcpy(joined, j->icc[i].at, j->icc[i].left);
        joined += j->icc[i].left;
    }
    return WM_OK;
}

static wm_status finish(jpeg *j)
{
    if (j->count == 0 || j->scans == 0)
        return damaged(j, "there is no picture in it");
    for (unsigned i = 0; i < j->count; i++)
        if (!j->components[i].scanned)
            return damaged(j, "parts of the picture are missing");
    j->walk->out->jpeg_quality = quality_of(j->luminance_sum[j->components[0].table]);
    return join_icc(j);
}

wm_status wm_walk_jpeg(wm_walk *walk, wm_cursor in)
{
    jpeg j = { .walk = walk, .in = in };
    (void)wm_take_part(&j.in, 2); /* SOI */
    for (;;) {
        unsigned marker = wm_take8(&j.in);
        if (marker != 0xFF && !j.in.over)
            return damaged(&j, "bytes between its segments");
        while (marker == 0xFF && !j.in.over)
            marker = wm_take8(&j.in);
        if (j.in.over)
            return wm_fail_truncated(walk->err, WM_CONTAINER_JPEG);
        if (marker == EOI)
            return finish(&j);
        wm_status status = walk_segment(&j, marker);
        if (status)
            return status;
    }
}
