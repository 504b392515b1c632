/* container_heic: the boxes of a HEIC file (ISO/IEC 14496-12 and 23008-12) that say what the primary picture is and
 * where its bytes lie; every length is held against the box and the file around it. The pixels, and the rest of the
 * boxes, are the decoder's. */
#include "photo/container_internal.h"

#include <stdlib.h>
#include <string.h>

#define TYPE(a, b, c, d) ((uint32_t)(a) << 24 | (uint32_t)(b) << 16 | (uint32_t)(c) << 8 | (uint32_t)(d))

typedef struct box {
    uint32_t type;
    unsigned version; /* of a full box, once full() has read it */
    wm_cursor body;
} box;

typedef struct heic {
    wm_walk *walk;
    wm_cursor file;
    box pitm, iinf, iloc, ipco, ipma, idat, iref; /* body.at NULL: not there */
    uint32_t primary, exif_item;
} heic;

static wm_status damaged(const heic *h, const char *what)
{
    return wm_fail_damaged(h->walk->err, WM_CONTAINER_HEIC, what);
}

/* The next box; false at the end and, with in->over, when it does not fit into what is around it. */
static bool next_box(wm_cursor *in, box *out)
{
    if (in->left == 0)
        return false;
    uint64_t size = wm_take32(in), header = 8;
    *out = (box){ .type = wm_take32(in) };
    if (size == 1) {
        size = wm_take(in, 8);
        header = 16;
    } else if (size == 0) { /* to the end of the file */
        size = header + in->left;
    }
    if (size < header)
        in->over = true;
    if (in->over)
        return false;
    out->body = wm_take_part(in, size - header);
    return !in->over;
}

static void full(box *b)
{
    b->version = (unsigned)(wm_take32(&b->body) >> 24);
}

static wm_status collect(heic *h, wm_cursor in, int depth)
{
    box b;
    while (next_box(&in, &b)) {
        box *slot = NULL;
        wm_status status = WM_OK;
        switch (b.type) {
        case TYPE('m', 'e', 't', 'a'):
            if (depth == 0) {
                full(&b);
                status = collect(h, b.body, 1);
            }
            break;
        case TYPE('i', 'p', 'r', 'p'):
            if (depth == 1)
                status = collect(h, b.body, 2);
            break;
        case TYPE('p', 'i', 't', 'm'): slot = &h->pitm; break;
        case TYPE('i', 'i', 'n', 'f'): slot = &h->iinf; break;
        case TYPE('i', 'l', 'o', 'c'): slot = &h->iloc; break;
        case TYPE('i', 'd', 'a', 't'): slot = &h->idat; break;
        case TYPE('i', 'r', 'e', 'f'): slot = &h->iref; break;
        case TYPE('i', 'p', 'c', 'o'): slot = &h->ipco; break;
        case TYPE('i', 'p', 'm', 'a'): slot = &h->ipma; break;
        default: break;
        }
        if (status)
            return status;
        if (!slot || depth == 0)
            continue;
        if (slot->body.at)
            return damaged(h, "two boxes where there may be one");
        if (slot != &h->ipco && slot != &h->idat)
            full(&b);
        *slot = b;
    }
    if (!in.over)
        return WM_OK;
    return depth == 0 ? wm_fail_truncated(h->walk->err, WM_CONTAINER_HEIC) : damaged(h, "a box that does not fit");
}

/* Type of the primary item, and which item is the EXIF block. */
static wm_status walk_items(heic *h)
{
    wm_cursor in = h->iinf.body;
    uint32_t primary_type = 0;
    box b;
    (void)wm_take(&in, h->iinf.version == 0 ? 2 : 4);
    while (next_box(&in, &b)) {
        if (b.type != TYPE('i', 'n', 'f', 'e'))
            continue;
        full(&b);
        if (b.version < 2)
            continue;
        uint32_t id = (uint32_t)wm_take(&b.body, b.version == 2 ? 2 : 4);
        (void)wm_take16(&b.body);
        uint32_t type = wm_take32(&b.body);
        if (b.body.over)
            return damaged(h, "a box that does not fit");
        if (id == h->primary)
            primary_type = type;
        if (type == TYPE('E', 'x', 'i', 'f') && h->exif_item == 0)
            h->exif_item = id;
    }
    if (in.over)
        return damaged(h, "a box that does not fit");
    switch (primary_type) {
    case TYPE('h', 'v', 'c', '1'):
    case TYPE('g', 'r', 'i', 'd'):
    case TYPE('i', 'd', 'e', 'n'):
    case TYPE('i', 'o', 'v', 'l'): return WM_OK;
    case TYPE('a', 'v', '0', '1'):
        return wm_fail_refused(h->walk->err, "an AVIF picture can't be read; save it as JPEG or PNG");
    case 0: return damaged(h, "there is no picture in it");
    default:
        return wm_fail_refused(h->walk->err, "a HEIC of an unknown kind of picture can't be read; save it as JPEG");
    }
}

static wm_status walk_colr(heic *h, wm_cursor in)
{
    wm_container *out = h->walk->out;
    uint32_t kind = wm_take32(&in);
    if (in.over)
        return damaged(h, "impossible colour box");
    if (kind == TYPE('p', 'r', 'o', 'f') || kind == TYPE('r', 'I', 'C', 'C'))
        return out->icc.size > 0 || in.left == 0 ? WM_OK : wm_walk_keep_icc(h->walk, in.at, in.left);
    if (kind != TYPE('n', 'c', 'l', 'x'))
        return WM_OK;
    unsigned primaries = wm_take16(&in), transfer = wm_take16(&in);
    if (in.over)
        return damaged(h, "impossible colour box");
    out->cicp_primaries = (int)primaries;
    out->cicp_transfer = (int)transfer;
    out->has_cicp = primaries != 2 && transfer != 2; /* 2: unspecified (ITU-T H.273) */
    return WM_OK;
}

static wm_status walk_property(heic *h, box b)
{
    switch (b.type) {
    case TYPE('c', 'o', 'l', 'r'): return walk_colr(h, b.body);
    case TYPE('i', 's', 'p', 'e'): {
        full(&b);
        uint32_t width = wm_take32(&b.body), height = wm_take32(&b.body);
        if (b.body.over || width == 0 || height == 0 || width > INT32_MAX || height > INT32_MAX)
            return damaged(h, "impossible picture size");
        h->walk->out->width = (int)width;
        h->walk->out->height = (int)height;
        return WM_OK;
    }
    case TYPE('p', 'i', 'x', 'i'):
        full(&b);
        h->walk->out->channels = wm_take8(&b.body) == 1 ? 1 : 3;
        return WM_OK;
    default: return WM_OK;
    }
}

/* The properties of the primary item, in the order in which it names them. */
enum { MOST_PROPERTIES = 255, MOST_INDEX = 0x7FFF };
typedef struct properties {
    unsigned index[MOST_PROPERTIES]; /* of ipco, from 1 */
    box box[MOST_PROPERTIES];
    unsigned count;
    bool wanted[MOST_INDEX + 1];
} properties;

/* Which they are. An item has one entry (23008-12, 9.3.1). */
static wm_status list_properties(properties *p, const heic *h)
{
    wm_cursor in = h->ipma.body;
    bool found = false;
    unsigned wide = h->ipma.body.at[-1] & 1; /* the lowest flag of the full box that was just read */
    for (uint32_t entries = wm_take32(&in); entries > 0 && !in.over; entries--) {
        uint32_t id = (uint32_t)wm_take(&in, h->ipma.version == 0 ? 2 : 4);
        if (id == h->primary && found)
            return damaged(h, "two lists of properties where there may be one");
        found = found || id == h->primary;
        for (unsigned count = wm_take8(&in); count > 0 && !in.over; count--) {
            unsigned index = wide ? wm_take16(&in) & MOST_INDEX : wm_take8(&in) & 0x7F;
            if (id != h->primary || index == 0 || in.over)
                continue;
            p->index[p->count++] = index;
            p->wanted[index] = true;
        }
    }
    return in.over ? damaged(h, "a box that does not fit") : WM_OK;
}

/* One walk over all properties, however often they are named: the file decides how long it takes, not its square. */
static wm_status find_properties(properties *p, const heic *h)
{
    wm_cursor in = h->ipco.body;
    box b;
    unsigned left = p->count;
    for (unsigned i = 1; left > 0 && i <= MOST_INDEX && next_box(&in, &b); i++)
        for (unsigned k = 0; p->wanted[i] && k < p->count; k++)
            if (p->index[k] == i) {
                p->box[k] = b;
                left--;
            }
    return left > 0 ? damaged(h, "a property that is not there") : WM_OK;
}

static wm_status walk_properties(heic *h)
{
    properties *p = calloc(1, sizeof *p);
    if (!p)
        return wm_fail_memory(h->walk->err);
    wm_status status = list_properties(p, h);
    if (!status)
        status = find_properties(p, h);
    for (unsigned i = 0; !status && i < p->count; i++)
        status = walk_property(h, p->box[i]);
    free(p);
    return status;
}

/* What is made of others, by item. */
typedef struct derivations {
    unsigned char deep[UINT16_MAX + 1]; /* how many references lie between it and its coded pictures; rises */
    uint32_t pictures[UINT16_MAX + 1];  /* how many of those are decoded for it, by the last walk; 0: it is one */
    uint32_t sum[UINT16_MAX + 1];       /* the same in this walk */
} derivations;

/* The decoder follows references as deep as they go. An identity of an overlay of identities of grids of identities is
 * the most that 23000-22 (MIAF) allows. */
enum { MOST_IN_A_ROW = 5 };
enum { MOST_PICTURES = 4096 }; /* our own: 200 megapixels in tiles of 256 are 3,100 */

static wm_status derive(heic *h, derivations *d, uint64_t from, uint64_t to)
{
    if (from > UINT16_MAX || to > UINT16_MAX)
        return damaged(h, "impossible references");
    if (d->deep[from] <= d->deep[to])
        d->deep[from] = (unsigned char)(d->deep[to] + 1);
    if (d->deep[from] > MOST_IN_A_ROW)
        return damaged(h, "a picture made of itself, or of too many in a row");
    d->sum[from] += d->pictures[to] > 0 ? d->pictures[to] : 1;
    return d->sum[from] > MOST_PICTURES ? damaged(h, "a picture made of too many") : WM_OK;
}

static wm_status walk_references(heic *h, derivations *d)
{
    wm_cursor in = h->iref.body;
    const size_t id_size = h->iref.version == 0 ? 2 : 4;
    box b;
    while (next_box(&in, &b)) {
        if (b.type != TYPE('d', 'i', 'm', 'g'))
            continue;
        wm_status status = WM_OK;
        uint64_t from = wm_take(&b.body, id_size);
        for (unsigned count = wm_take16(&b.body); !status && count > 0 && !b.body.over; count--)
            status = derive(h, d, from, wm_take(&b.body, id_size));
        if (status)
            return status;
        if (b.body.over)
            return damaged(h, "a box that does not fit");
    }
    return in.over ? damaged(h, "a box that does not fit") : WM_OK;
}

/* As many walks as may lie in a row raise each item to its depth and its pictures; one more finds a loop. */
static wm_status walk_derivations(heic *h)
{
    wm_status status = WM_OK;
    if (!h->iref.body.at)
        return WM_OK;
    derivations *d = calloc(1, sizeof *d);
    if (!d)
        return wm_fail_memory(h->walk->err);
    for (int i = 0; !status && i <= MOST_IN_A_ROW; i++) {
        memset(d->sum, 0, sizeof d->sum);
        status = walk_references(h, d);
        memcpy(d->pictures, d->sum, sizeof d->sum);
    }
    free(d);
    return status;
}

/* One extent: inside the file, or inside idat. The EXIF block is kept when it is one piece. */
static wm_status walk_extent(heic *h, unsigned method, uint64_t offset, uint64_t length, bool exif)
{
    wm_cursor room = method == 0 ? h->file : h->idat.body;
    if (method > 1)
        return WM_OK;
    if (offset > room.left || length > room.left - offset)
        return method == 0 ? wm_fail_truncated(h->walk->err, WM_CONTAINER_HEIC) : damaged(h, "data outside its box");
    if (!exif)
        return WM_OK;
    (void)wm_take_part(&room, offset);
    wm_cursor block = wm_take_part(&room, length);
    (void)wm_take_part(&block, wm_take32(&block)); /* 23008-12 A.2.1: from here to the TIFF header */
    if (!block.over)
        h->walk->exif = block;
    return WM_OK;
}

static bool field_size(unsigned bytes)
{
    return bytes == 0 || bytes == 4 || bytes == 8;
}

static wm_status walk_locations(heic *h)
{
    wm_cursor in = h->iloc.body;
    unsigned version = h->iloc.version, sizes = wm_take16(&in);
    unsigned offset_size = sizes >> 12, length_size = sizes >> 8 & 15, base_size = sizes >> 4 & 15,
             index_size = version > 0 ? sizes & 15 : 0;
    if (version > 2 || !field_size(offset_size) || !field_size(length_size) || length_size == 0 ||
        !field_size(base_size) || !field_size(index_size))
        return damaged(h, "impossible table of places");
    for (uint32_t items = (uint32_t)wm_take(&in, version < 2 ? 2 : 4); items > 0 && !in.over; items--) {
        uint32_t id = (uint32_t)wm_take(&in, version < 2 ? 2 : 4);
        unsigned method = version > 0 ? wm_take16(&in) & 15 : 0;
        unsigned elsewhere = wm_take16(&in);
        uint64_t base = wm_take(&in, base_size);
        unsigned extents = wm_take16(&in);
        for (unsigned i = 0; i < extents && !in.over; i++) {
            (void)wm_take(&in, index_size);
            uint64_t offset = wm_take(&in, offset_size), length = wm_take(&in, length_size);
            if (in.over || elsewhere != 0)
                continue;
            if (offset > UINT64_MAX - base)
                return damaged(h, "impossible table of places");
            wm_status status = walk_extent(h, method, base + offset, length, id == h->exif_item && extents == 1);
            if (status)
                return status;
        }
    }
    return in.over ? damaged(h, "a box that does not fit") : WM_OK;
}

wm_status wm_walk_heic(wm_walk *walk, wm_cursor in)
{
    heic h = { .walk = walk, .file = in };
#ifndef WM_HAVE_HEIF
    return wm_fail_refused(
        walk->err,
        "HEIC is not built in; install libheif and build again, or set the phone to take JPEG (\"most compatible\")");
#endif
    walk->out->bits = 8;
    walk->out->channels = 3;
    wm_status status = collect(&h, in, 0);
    if (status)
        return status;
    if (!h.pitm.body.at || !h.iinf.body.at || !h.iloc.body.at || !h.ipco.body.at || !h.ipma.body.at)
        return damaged(&h, "there is no picture in it");
    h.primary = (uint32_t)wm_take(&h.pitm.body, h.pitm.version == 0 ? 2 : 4);
    if (h.pitm.body.over)
        return damaged(&h, "there is no picture in it");
    status = walk_items(&h);
    if (!status)
        status = walk_properties(&h);
    if (!status)
        status = walk_derivations(&h);
    if (!status)
        status = walk_locations(&h);
    if (status)
        return status;
    if (walk->out->width == 0)
        return damaged(&h, "its size is missing");
    if (walk->out->icc.size > 0)
        walk->out->has_cicp = false; /* beside a profile, nclx only says how YCbCr was made */
    return WM_OK;
}
