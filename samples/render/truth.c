#include "truth.h"

#include "target.h"

#include <stdio.h>
#include <string.h>

static const char *kind_name(item_kind kind)
{
    static const char *const names[] = { "root", "mid", "ends", "gray", "swatch", "card", "target" };
    return names[kind];
}

static triple mean_lab(triple sum, double area)
{
    for (int k = 0; k < 3; k++)
        sum.v[k] /= area;
    return xyz_lab(sum);
}

/* Labs of a zone: all hair, base fibres, gray fibres. */
static triple body_lab(const zone_truth *t)
{
    triple sum;
    for (int k = 0; k < 3; k++)
        sum.v[k] = t->base_xyz.v[k] + t->gray_xyz.v[k];
    return mean_lab(sum, t->base_area + t->gray_area);
}

static double gray_share(const zone_truth *t)
{
    return t->gray_area / (t->base_area + t->gray_area);
}

static void print_lab(FILE *f, const char *name, triple lab)
{
    fprintf(f, "\"%s\": [%.4f, %.4f, %.4f]", name, lab.v[0], lab.v[1], lab.v[2]);
}

static void print_optional(FILE *f, const char *name, triple sum, double area, double pixels)
{
    if (area < 0.005 * pixels)
        fprintf(f, "\"%s\": null", name);
    else
        print_lab(f, name, mean_lab(sum, area));
}

static int nearest(const scene *s, triple lab)
{
    int best = -1;
    double least = 0;
    for (int i = 0; i < s->catalogue.count; i++) {
        const shade *h = &s->catalogue.shades[i];
        double d = lab_difference(h->lab, lab);
        if (!h->bead && (best < 0 || d < least)) {
            best = i;
            least = d;
        }
    }
    return best;
}

static void print_nearest(FILE *f, const scene *s, const char *name, triple lab)
{
    int i = nearest(s, lab);
    if (i < 0)
        fprintf(f, "\"%s\": null", name);
    else
        fprintf(f, "\"%s\": {\"code\": \"%s\", \"de00\": %.4f}", name, s->catalogue.shades[i].code,
                lab_difference(s->catalogue.shades[i].lab, lab));
}

static void print_box(FILE *f, const item *i)
{
    fprintf(f, "\"rect\": [%d, %d, %d, %d]", i->box.x, i->box.y, i->box.w, i->box.h);
}

static void print_corners(FILE *f, const scene *s, const item *i, int start)
{
    fprintf(f, "\"corners\": [");
    for (int k = 0; k < 4; k++) {
        point p = frame_pixel(&s->frame, i->corner[(k + start) % 4]);
        fprintf(f, "%s[%.1f, %.1f]", k ? ", " : "", p.x, p.y);
    }
    fprintf(f, "], \"rows\": %d, \"columns\": %d", TARGET_ROWS, TARGET_COLUMNS);
}

static void print_zone(FILE *f, const scene *s, const item *i)
{
    const zone_truth *t = &i->truth;
    triple body = body_lab(t);
    fprintf(f, "    {\"kind\": \"%s\", \"name\": \"%s\", ", kind_name(i->kind), i->name);
    print_box(f, i);
    fprintf(f, ", ");
    print_lab(f, "lab", body);
    fprintf(f, ",\n      ");
    print_optional(f, "base_lab", t->base_xyz, t->base_area, t->pixels);
    fprintf(f, ", ");
    print_optional(f, "gray_lab", t->gray_xyz, t->gray_area, t->pixels);
    fprintf(f, ",\n      \"gray_share\": %.4f, \"requested_share\": %.4f, \"hair_area\": %.4f, \"light\": %.4f, ",
            gray_share(t), i->share, (t->base_area + t->gray_area) / t->pixels, i->light);
    print_nearest(f, s, "nearest", body);
    if (t->base_area > 0.005 * t->pixels) {
        fprintf(f, ", ");
        print_nearest(f, s, "nearest_base", mean_lab(t->base_xyz, t->base_area));
    }
    fprintf(f, "}");
}

static void print_swatch(FILE *f, const scene *s, const item *i)
{
    const shade *own = &s->catalogue.shades[i->shade], *called = &s->catalogue.shades[i->label];
    fprintf(f, "    {\"code\": \"%s\", \"true_code\": \"%s\", \"at\": \"%s\", ", called->code, own->code, i->name);
    print_box(f, i);
    fprintf(f, ", ");
    print_lab(f, "lab", body_lab(&i->truth));
    fprintf(f, ", ");
    print_lab(f, "catalogue_lab", called->label);
    fprintf(f, ", \"gray_share\": %.4f, \"light\": %.4f}", gray_share(&i->truth), i->light);
}

static void print_aid(FILE *f, const scene *s, const item *i)
{
    fprintf(f, "    {\"kind\": \"%s\", \"name\": \"%s\", ", kind_name(i->kind), i->name);
    if (i->kind == ITEM_TARGET) {
        print_corners(f, s, i, 0);
    } else {
        print_box(f, i);
        fprintf(f, ", ");
        print_lab(f, "lab", i->expected);
    }
    fprintf(f, ", \"light\": %.4f}", i->light);
}

static void print_list(FILE *f, const scene *s, const char *name, void (*print)(FILE *, const scene *, const item *),
                       item_kind first, item_kind last)
{
    int n = 0;
    fprintf(f, "  \"%s\": [", name);
    for (int i = 0; i < s->count; i++)
        if (s->items[i].kind >= first && s->items[i].kind <= last) {
            fprintf(f, n++ ? ",\n" : "\n");
            print(f, s, &s->items[i]);
        }
    fprintf(f, "]");
}

static void print_camera(FILE *f, const camera *c)
{
    fprintf(
        f,
        "  \"camera\": {\"exposure\": %.4f, \"balance\": [%.4f, %.4f, %.4f], \"flare\": %.5f, \"contrast\": %.4f, \"saturation\": %.4f, "
        "\"local\": %.4f, \"chroma_radius\": %d},\n",
        c->exposure, c->balance[0], c->balance[1], c->balance[2], c->flare, c->contrast, c->saturation, c->local,
        c->chroma_radius);
}

/* The rectangle that a grid of equal cells fills, one swatch in the middle of each. */
static void print_sheet(FILE *f, const scene *s)
{
    point a = frame_pixel(&s->frame, (point){ SHEET_X, SHEET_Y }),
          b = frame_pixel(&s->frame, (point){ SHEET_X + SHEET_SIDE, SHEET_Y + SHEET_SIDE });
    fprintf(f, "  \"sheet\": {\"rect\": [%.0f, %.0f, %.0f, %.0f], \"rows\": %.0f, \"columns\": %.0f},\n", a.x, a.y,
            b.x - a.x, b.y - a.y, s->o->grid_rows, s->o->grid_columns);
}

bool truth_write(const scene *s, const char *path, const char *photo)
{
    FILE *f = fopen(path, "w");
    if (!f)
        return false;
    fprintf(
        f,
        "{ \"format\": 1, \"photo\": \"%s\", \"seed\": %.0f, \"width\": %d, \"height\": %d, \"catalogue\": %d, \"invented\": true,\n",
        photo, s->o->seed, s->canvas.width, s->canvas.height, s->catalogue.count);
    fprintf(f, "  \"light\": {\"cct\": %.0f, \"spread\": %.4f},\n", s->o->cct, s->o->spread);
    print_camera(f, &s->camera);
    if (s->o->scene[0] == 's')
        print_sheet(f, s);
    print_list(f, s, "zones", print_zone, ITEM_ROOT, ITEM_GRAY);
    fprintf(f, ",\n");
    print_list(f, s, "swatches", print_swatch, ITEM_SWATCH, ITEM_SWATCH);
    fprintf(f, ",\n");
    print_list(f, s, "aids", print_aid, ITEM_CARD, ITEM_TARGET);
    fprintf(f, " }\n");
    bool good = !ferror(f);
    return fclose(f) == 0 && good;
}

/* --- zones file
 * ---------------------------------------------------------------------------------------------------------------- */

static void print_zone_entry(FILE *f, const scene *s, const item *i, const char *target)
{
    bool head = strcmp(s->o->scene, "head") == 0;
    if (i->kind == ITEM_SWATCH && !head) {
        /* A sheet has no client: its swatches are measured as zones under their codes. */
        fprintf(f, "    {\"kind\": \"mid\", \"name\": \"%s\", ", s->catalogue.shades[i->label].code);
        print_box(f, i);
        fprintf(f, "}");
        return;
    }
    fprintf(f, "    {\"kind\": \"%s\", ", kind_name(i->kind));
    if (item_is_client(i))
        fprintf(f, "\"name\": \"%s\", ", i->name);
    if (i->kind == ITEM_SWATCH)
        fprintf(f, "\"code\": \"%s\", \"at\": \"%s\", ", s->catalogue.shades[i->label].code, i->name);
    if (i->kind == ITEM_TARGET)
        print_corners(f, s, i, (int)s->o->target_start);
    else
        print_box(f, i);
    if (i->kind == ITEM_CARD)
        fprintf(f, ", \"lab\": [%.2f, %.2f, %.2f]", i->expected.v[0], i->expected.v[1], i->expected.v[2]);
    if (i->kind == ITEM_MID && i->share <= 0.10)
        fprintf(f, ", \"gray_free\": true");
    if (i->kind == ITEM_TARGET)
        fprintf(f, ", \"reference\": \"%s\"", target);
    fprintf(f, "}");
}

bool zones_write(const scene *s, const char *path, const char *photo, const char *target)
{
    FILE *f = fopen(path, "w");
    if (!f)
        return false;
    fprintf(f, "{ \"format\": 1, \"photo\": \"%s\",\n  \"zones\": [\n", photo);
    for (int i = 0; i < s->count; i++) {
        print_zone_entry(f, s, &s->items[i], target);
        fprintf(f, i + 1 < s->count ? ",\n" : "\n");
    }
    fprintf(f, "  ] }\n");
    bool good = !ferror(f);
    return fclose(f) == 0 && good;
}

bool codes_write(const scene *s, const char *path)
{
    FILE *f = fopen(path, "w");
    if (!f)
        return false;
    for (int i = 0; i < s->count; i++)
        if (s->items[i].kind == ITEM_SWATCH)
            fprintf(f, "%s\n", s->catalogue.shades[s->items[i].label].code);
    bool good = !ferror(f);
    return fclose(f) == 0 && good;
}

bool target_write(const scene *s, const char *path)
{
    FILE *f = fopen(path, "w");
    if (!f)
        return false;
    fprintf(
        f,
        "CGATS.17\nORIGINATOR \"wm_render\"\nDESCRIPTOR \"colour target of our own, %d rows x %d columns, row by row; invented paints, Lab D50 2 degree\"\n",
        TARGET_ROWS, TARGET_COLUMNS);
    fprintf(
        f,
        "NUMBER_OF_FIELDS 5\nBEGIN_DATA_FORMAT\nSAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nNUMBER_OF_SETS %d\nBEGIN_DATA\n",
        PATCHES);
    for (int i = 0; i < PATCHES; i++) {
        spectrum r = patch_reflectance(i);
        triple lab = xyz_lab(spectrum_xyz(&s->tables, &r));
        fprintf(f, "%c%d \"%s\" %.2f %.2f %.2f\n", 'A' + i / TARGET_COLUMNS, i % TARGET_COLUMNS + 1, patch_name(i),
                lab.v[0], lab.v[1], lab.v[2]);
    }
    fprintf(f, "END_DATA\n");
    bool good = !ferror(f);
    return fclose(f) == 0 && good;
}
