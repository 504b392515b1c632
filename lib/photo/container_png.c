/* container_png: every chunk of a PNG (PNG specification, third edition) before a decoder sees it: lengths, CRCs,
 * order, sizes; and the chunks that colour depends on. What follows IEND is ignored. */
#include "photo/container_internal.h"

#include <string.h>
#include <zlib.h>

#define CHUNK(a, b, c, d) ((uint32_t)(a) << 24 | (uint32_t)(b) << 16 | (uint32_t)(c) << 8 | (uint32_t)(d))
enum { GRAY = 0, COLOUR = 2, PALETTE = 3, GRAY_ALPHA = 4, COLOUR_ALPHA = 6 };

/* Chunks that may come once only, as bits of png.seen; but for eXIf, which a much used library writes before and behind
 * the picture alike: the first counts. */
enum { IHDR = 1, PLTE = 2, IDAT = 4, TRNS = 8, ICCP = 16, CICP = 32, SRGB = 64, GAMA = 128, CHRM = 256, EXIF = 512 };

typedef struct png {
    wm_walk *walk;
    unsigned seen;
    unsigned depth, colour_type, palette_entries;
    bool idat_ended;
} png;

static wm_status damaged(const png *p, const char *what)
{
    return wm_fail_damaged(p->walk->err, WM_CONTAINER_PNG, what);
}

static wm_status walk_ihdr(png *p, wm_cursor in)
{
    uint32_t width = wm_take32(&in), height = wm_take32(&in);
    p->depth = wm_take8(&in);
    p->colour_type = wm_take8(&in);
    unsigned compression = wm_take8(&in), filter = wm_take8(&in), interlace = wm_take8(&in);
    if (in.over || in.left > 0 || width == 0 || height == 0 || width > INT32_MAX || height > INT32_MAX)
        return damaged(p, "impossible picture header");
    bool few_bits = p->depth == 1 || p->depth == 2 || p->depth == 4, whole = p->depth == 8 || p->depth == 16;
    bool possible = false;
    switch (p->colour_type) {
    case GRAY: possible = few_bits || whole; break;
    case PALETTE: possible = few_bits || p->depth == 8; break;
    case COLOUR:
    case GRAY_ALPHA:
    case COLOUR_ALPHA: possible = whole; break;
    default: break;
    }
    if (!possible || compression != 0 || filter != 0 || interlace > 1)
        return damaged(p, "impossible picture header");
    wm_container *out = p->walk->out;
    out->width = (int)width;
    out->height = (int)height;
    out->bits = p->depth == 16 ? 16 : 8;
    out->channels = (p->colour_type & COLOUR ? 3 : 1) + (p->colour_type & 4 ? 1 : 0);
    return WM_OK;
}

static wm_status walk_plte(png *p, wm_cursor in)
{
    if (in.left == 0 || in.left % 3 != 0 || in.left > 768 || !(p->colour_type & COLOUR) || p->seen & TRNS)
        return damaged(p, "impossible palette");
    p->palette_entries = (unsigned)in.left / 3;
    if (p->colour_type == PALETTE && p->palette_entries > 1u << p->depth)
        return damaged(p, "impossible palette");
    return WM_OK;
}

static wm_status walk_trns(png *p, wm_cursor in)
{
    bool possible = (p->colour_type == GRAY && in.left == 2) || (p->colour_type == COLOUR && in.left == 6) ||
                    (p->colour_type == PALETTE && in.left >= 1 && in.left <= p->palette_entries);
    if (!possible)
        return damaged(p, "impossible transparency");
    p->walk->out->channels++;
    return WM_OK;
}

/* Name, NUL, method 0, zlib stream; inflated twice, so that only what is needed is ever kept and a bomb stops at the
 * limit. */
static wm_status walk_iccp(png *p, wm_cursor in)
{
    unsigned char block[4096];
    const unsigned char *nul = memchr(in.at, 0, in.left < 80 ? in.left : 80);
    if (!nul || nul == in.at || (size_t)(nul - in.at) + 2 > in.left || nul[1] != 0)
        return damaged(p, "impossible colour profile");
    (void)wm_take_part(&in, (size_t)(nul - in.at) + 2);
    wm_status status = WM_OK;
    size_t size = 0;
    for (int pass = 0; pass < 2 && !status; pass++) {
        z_stream z = { .next_in = (unsigned char *)(uintptr_t)in.at, .avail_in = (unsigned)in.left };
        int state = inflateInit(&z);
        if (state != Z_OK)
            return wm_fail_memory(p->walk->err);
        if (pass == 0) {
            while (state == Z_OK && z.total_out <= WM_ICC_LIMIT) {
                z.next_out = block;
                z.avail_out = sizeof block;
                state = inflate(&z, Z_NO_FLUSH);
            }
            size = z.total_out;
            if (state != Z_STREAM_END || size == 0)
                status = damaged(p, "its colour profile can't be unpacked");
            else
                status = wm_walk_keep_icc(p->walk, NULL, size);
        } else {
            z.next_out = p->walk->out->icc.data;
            z.avail_out = (unsigned)size;
            if (inflate(&z, Z_FINISH) != Z_STREAM_END)
                status = damaged(p, "its colour profile can't be unpacked");
        }
        (void)inflateEnd(&z);
    }
    return status;
}

static wm_status walk_cicp(png *p, wm_cursor in)
{
    wm_container *out = p->walk->out;
    out->cicp_primaries = (int)wm_take8(&in);
    out->cicp_transfer = (int)wm_take8(&in);
    unsigned matrix = wm_take8(&in), full_range = wm_take8(&in);
    if (in.over || in.left > 0 || full_range > 1)
        return damaged(p, "impossible colour code");
    if (matrix != 0 || full_range != 1)
        return wm_fail_refused(p->walk->err,
                               "a PNG of video-range or YCbCr values can't be read; save it as ordinary RGB");
    out->has_cicp = true;
    return WM_OK;
}

static wm_status walk_gama(png *p, wm_cursor in)
{
    p->walk->out->gama = wm_take32(&in) / 100000.0;
    p->walk->out->has_gama = true;
    return in.over || in.left > 0 || p->walk->out->gama < 0.05 || p->walk->out->gama > 20.0
               ? damaged(p, "impossible gamma")
               : WM_OK;
}

static wm_status walk_chrm(png *p, wm_cursor in)
{
    for (int i = 0; i < 8; i++)
        p->walk->out->chrm[i] = wm_take32(&in) / 100000.0;
    p->walk->out->has_chrm = true;
    return in.over || in.left > 0 ? damaged(p, "impossible primaries") : WM_OK;
}

/* Which bit a chunk has, and which chunks may not come before it. */
static unsigned once(uint32_t type, unsigned *not_after)
{
    static const struct {
        uint32_t type;
        unsigned bit, not_after;
    } rules[] = { { CHUNK('I', 'H', 'D', 'R'), IHDR, ~0u },         { CHUNK('P', 'L', 'T', 'E'), PLTE, IDAT },
                  { CHUNK('I', 'D', 'A', 'T'), IDAT, 0 },           { CHUNK('t', 'R', 'N', 'S'), TRNS, IDAT },
                  { CHUNK('i', 'C', 'C', 'P'), ICCP, PLTE | IDAT }, { CHUNK('c', 'I', 'C', 'P'), CICP, PLTE | IDAT },
                  { CHUNK('s', 'R', 'G', 'B'), SRGB, PLTE | IDAT }, { CHUNK('g', 'A', 'M', 'A'), GAMA, PLTE | IDAT },
                  { CHUNK('c', 'H', 'R', 'M'), CHRM, PLTE | IDAT }, { CHUNK('e', 'X', 'I', 'f'), EXIF, 0 } };
    for (size_t i = 0; i < sizeof rules / sizeof *rules; i++)
        if (rules[i].type == type) {
            *not_after = rules[i].not_after;
            return rules[i].bit;
        }
    *not_after = 0;
    return 0;
}

static wm_status walk_order(png *p, uint32_t type, unsigned bit, unsigned not_after)
{
    if (!(p->seen & IHDR) && bit != IHDR)
        return type == CHUNK('C', 'g', 'B', 'I')
                   ? wm_fail_refused(p->walk->err,
                                     "a PNG made for a phone's own apps can't be read; send the photo itself")
                   : damaged(p, "its header is missing");
    if (p->seen & not_after || (!(bit & (IDAT | EXIF)) && p->seen & bit) || (bit == IDAT && p->idat_ended))
        return damaged(p, "chunks out of order");
    if (bit == IDAT && p->colour_type == PALETTE && !(p->seen & PLTE))
        return damaged(p, "its palette is missing");
    if (p->seen & IDAT && bit != IDAT)
        p->idat_ended = true;
    p->seen |= bit;
    return WM_OK;
}

static wm_status walk_chunk(png *p, uint32_t type, wm_cursor data)
{
    unsigned not_after, bit = once(type, &not_after);
    wm_status status = walk_order(p, type, bit, not_after);
    if (status)
        return status;
    switch (bit) {
    case IHDR: return walk_ihdr(p, data);
    case PLTE: return walk_plte(p, data);
    case TRNS: return walk_trns(p, data);
    case ICCP: return walk_iccp(p, data);
    case CICP: return walk_cicp(p, data);
    case GAMA: return walk_gama(p, data);
    case CHRM: return walk_chrm(p, data);
    case SRGB: p->walk->out->png_srgb = true; return WM_OK;
    case EXIF:
        if (!p->walk->exif.at)
            p->walk->exif = data;
        return WM_OK;
    case IDAT: return WM_OK;
    default: break;
    }
    bool critical = !(type & CHUNK(0x20, 0, 0, 0));
    return critical && type != CHUNK('I', 'E', 'N', 'D') ? damaged(p, "an unknown critical chunk") : WM_OK;
}

wm_status wm_walk_png(wm_walk *walk, wm_cursor in)
{
    png p = { .walk = walk };
    (void)wm_take_part(&in, 8); /* signature */
    for (;;) {
        uint32_t length = wm_take32(&in);
        const unsigned char *covered = in.at;
        uint32_t type = wm_take32(&in);
        wm_cursor data = wm_take_part(&in, length);
        uint32_t crc = wm_take32(&in);
        if (in.over)
            return wm_fail_truncated(walk->err, WM_CONTAINER_PNG);
        if (crc32_z(0, covered, (size_t)length + 4) != crc)
            return damaged(&p, "a checksum is wrong");
        wm_status status = walk_chunk(&p, type, data);
        if (status)
            return status;
        if (type != CHUNK('I', 'E', 'N', 'D'))
            continue;
        return p.seen & IDAT ? WM_OK : damaged(&p, "there is no picture in it");
    }
}
