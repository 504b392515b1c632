#include "light.h"

#include <string.h>

/* Held within the head, so that the polynomial does not run away at the shoulders. */
static void head_coordinates(point p, double c[5])
{
    double x = (p.x - 0.62) / 0.16, y = (p.y - 0.48) / 0.36;
    x = tanh(x);
    y = tanh(y) * 1.2;
    double v[5] = { 1, x, y, x * y, y * y };
    memcpy(c, v, sizeof v);
}

static double field_at(const scene *s, point p)
{
    double c[5], sum = 0;
    head_coordinates(p, c);
    for (int k = 0; k < 5; k++)
        sum += s->field[k] * c[k];
    return sum;
}

static point middle(const item *i)
{
    return (point){ i->at.x + i->size.x / 2, i->at.y + i->size.y / 2 };
}

/* Standard deviation and mean of the field over the client zones. */
static double field_spread(const scene *s, double *mean)
{
    double sum = 0, square = 0;
    int n = 0;
    for (int i = 0; i < s->count; i++)
        if (item_is_client(&s->items[i])) {
            double v = field_at(s, middle(&s->items[i]));
            sum += v;
            square += v * v;
            n++;
        }
    *mean = n ? sum / n : 0;
    return n > 1 ? sqrt(fmax(square / n - *mean * *mean, 0)) : 0;
}

static void scale_field(scene *s, double wanted)
{
    double mean, sd = field_spread(s, &mean);
    for (int k = 0; k < 5; k++)
        s->field[k] *= sd > 1e-9 ? wanted / sd : 0;
}

/* A smooth field whose standard deviation over the client zones is what was asked for, and whose mean there is none.
 * Light falls off mostly from crown to ends; sideways a third as much, so that a swatch beside its zone has nearly its
 * light. */
static void choose_field(scene *s, dice *d)
{
    double mean;
    s->field[2] = dice_normal(d);
    s->field[4] = 0.7 * dice_normal(d);
    scale_field(s, s->o->spread);
    s->field[1] = 0.3 * s->o->spread * dice_normal(d);
    s->field[3] = 0.1 * s->o->spread * dice_normal(d);
    scale_field(s, s->o->spread);
    field_spread(s, &mean);
    s->field[0] = -mean;
}

/* Hair 3 %, swatch 4 %, card 3 %; a neighbourhood 4 %, of which a swatch held there shares four fifths. */
void light_choose(scene *s)
{
    dice d = dice_for((uint64_t)s->o->seed, "light");
    double j = s->o->jitter;
    double around[MAX_ZONES] = { 0 };
    choose_field(s, &d);
    for (int i = 0; i < s->count; i++) {
        item *it = &s->items[i];
        if (item_is_client(it)) {
            around[i] = 0.04 * j * dice_normal(&d);
            s->nearby[i] = around[i] + 0.03 * j * dice_normal(&d);
            it->light = exp(field_at(s, middle(it)) + s->nearby[i]);
            continue;
        }
        int zone = it->kind == ITEM_SWATCH ? scene_zone(s, it->name) : -1;
        double own = (it->kind == ITEM_SWATCH ? 0.04 : 0.03) * j * dice_normal(&d);
        if (it->kind == ITEM_SWATCH && s->o->scene[0] == 'h')
            own += field_at(s, middle(it)) + (zone >= 0 ? 0.8 * around[zone] : 0);
        it->light = exp(own);
    }
}

/* 1 inside a box, falling smoothly to 0 at `reach` from it. */
static double near_box(const item *i, point p, double reach)
{
    double dx = fmax(fmax(i->at.x - p.x, p.x - i->at.x - i->size.x), 0);
    double dy = fmax(fmax(i->at.y - p.y, p.y - i->at.y - i->size.y), 0);
    double u = 1 - hypot(dx, dy) / reach;
    return u <= 0 ? 0 : u * u * (3 - 2 * u);
}

double light_at(const scene *s, point p)
{
    double ln = field_at(s, p);
    for (int i = 0; i < s->count; i++)
        if (item_is_client(&s->items[i]))
            ln += s->nearby[i] * near_box(&s->items[i], p, 0.05);
    return exp(ln);
}
