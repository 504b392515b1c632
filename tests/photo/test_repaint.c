/* repaint against renders: one scene in two colours of hair; the zones of the first, measured and repainted in the true
 * colours of the second, beside the zones of the second as the same camera shows them. Usage: test_repaint WM_RENDER */
#include "consult/repaint.h"
#include "consult/survey.h"
#include "colour/difference.h"
#include "rendered.h"
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *renderer;

/* Invented heads; the last number is the gray at the temple, of both or of the first alone. */
static const struct {
    const char *light, *from, *to;
} CASES[] = {
    { "client=3 seed=11 camera=2 exposure=0.1 target=1", "base=umber gray_temple=0.30", "base=moth gray_temple=0.30" },
    { "client=5 seed=12 camera=7 swatches=two", "base=moth gray_temple=0.40", "base=teak gray_temple=0" },
    { "client=8 seed=13 camera=4 cct=6500 card=three", "base=teak gray_temple=0.25", "base=umber gray_temple=0" },
    { "client=9 seed=14 camera=9 exposure=-0.1 swatches=two", "base=umber gray_temple=0.50",
      "base=teak gray_temple=0.50" },
    { "client=4 seed=15 camera=5 swatches=zones card=gray", "base=hull gray_temple=0.30", "base=moth gray_temple=0" },
};

/* A zone of a picture: its mean, and its locks and shadows, how far L* lies from its mean, root mean square. */
typedef struct zone_look {
    wm_lab mean;
    double relief;
} zone_look;

static zone_look look_of(const wm_picture *picture, const wm_zone *zone, const wm_box *box)
{
    wm_rgb sum = { 0, 0, 0 };
    double lightness = 0, squares = 0, count = 0;
    for (int y = 0; y < picture->height; y++)
        for (int x = 0; x < picture->width; x++) {
            const unsigned char *p = picture->data + 3 * (y * picture->width + x);
            if (!wm_zone_contains(zone, box->x + x, box->y + y))
                continue;
            const wm_rgb rgb = { wm_srgb_decode(p[0] / 255.0), wm_srgb_decode(p[1] / 255.0),
                                 wm_srgb_decode(p[2] / 255.0) };
            const double L = wm_rgb_to_lab(rgb).L;
            sum = wm_rgb_add(sum, rgb);
            lightness += L, squares += L * L;
            count++;
        }
    lightness /= count;
    return (zone_look){ wm_rgb_to_lab(wm_rgb_scale(sum, 1.0 / count)),
                        sqrt(fmax(squares / count - lightness * lightness, 0)) };
}

/* The patch of a picture that wm_repaint draws: the zone's box and a third around it. */
static wm_box box_of(const wm_zone *zone, const wm_picture *picture, const wm_photo *photo)
{
    wm_photo_facts facts = wm_photo_facts_of(photo);
    wm_box box = wm_zone_box(zone, facts.width, facts.height);
    int left = box.x - box.width / 3, top = box.y - box.height / 3;
    return (wm_box){ left < 0 ? 0 : left, top < 0 ? 0 : top, picture->width, picture->height };
}

typedef struct tally {
    double sum, worst, before, flattest, roughest;
    int count, one_shade;
} tally;

static void one_zone(tally *t, const rendered *from, const rendered *to, const wm_survey *survey, size_t i)
{
    const wm_surveyed_zone *z = &survey->zones[i];
    const true_zone *truth = rendered_truth(to, z->zone->name);
    bool both = truth->share > 0.1 && z->base_known && z->gray_known;
    wm_repaint_input input = { .photo = from->photo,
                               .zone = z->zone,
                               .stage1 = &survey->calibration.stage1,
                               .body = z->body.lab,
                               .has_populations = z->base_known && z->gray_known,
                               .base = z->base.lab,
                               .gray = z->gray_fibres.lab,
                               .share = z->gray.share };
    wm_repaint_shades shades = { both ? truth->base : truth->lab, both ? truth->gray : truth->lab };
    wm_repaint_input there = { .photo = to->photo, .zone = z->zone };
    wm_picture drawn = { 0 }, before = { 0 }, real = { 0 };
    wm_error err = { 0 };
    if (wm_repaint(&drawn, &input, &shades, &err) || wm_repaint(&before, &input, NULL, &err) ||
        wm_repaint(&real, &there, NULL, &err))
        fail_msg("%s", err.text);
    wm_box box = box_of(z->zone, &drawn, from->photo);
    const zone_look want = look_of(&real, z->zone, &box), got = look_of(&drawn, z->zone, &box);
    double off = wm_de00(want.mean, got.mean), was = wm_de00(want.mean, look_of(&before, z->zone, &box).mean);
    print_message("#   %-7s %4.1f (unpainted %4.1f) u %.1f share %.2f%s\n", z->zone->name, off, was, z->body.u_de00,
                  z->gray.share, both ? ", each its own shade" : "");
    if (input.has_populations && input.share > 0.1 && truth->share < 0.01) {
        double relief = got.relief / want.relief;
        print_message("#   %-7s relief of gray and base in one shade: %.2f of that hair's own\n", z->zone->name,
                      relief);
        t->flattest = fmin(t->flattest, relief), t->roughest = fmax(t->roughest, relief);
        t->one_shade++;
    }
    t->sum += off;
    t->before += was;
    t->worst = fmax(t->worst, off);
    t->count++;
    wm_picture_free(&drawn);
    wm_picture_free(&before);
    wm_picture_free(&real);
}

static void repainted_zones_look_as_the_same_scene_in_that_shade(void **state)
{
    (void)state;
    char folder[200], options[400];
    tally t = { .flattest = INFINITY };
    assert_true(scratch_make(folder, sizeof folder));
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        rendered from, to;
        wm_survey survey;
        wm_error err = { 0 };
        const char *const common = "width=900 height=675 gray_root=0.1 gray_mid=0 gray_ends=0";
        snprintf(options, sizeof options, "%s %s %s", common, CASES[i].light, CASES[i].from);
        assert_true(rendered_make(&from, renderer, folder, options));
        snprintf(options, sizeof options, "%s %s %s", common, CASES[i].light, CASES[i].to);
        assert_true(rendered_make(&to, renderer, folder, options));
        if (wm_survey_zones(&survey, &(wm_survey_marked){ from.photo, &from.zones, &from.catalogue, NULL }, &err))
            fail_msg("%s", err.text);
        print_message("# %s -> %s\n", CASES[i].from, CASES[i].to);
        for (size_t k = 0; k < survey.zone_count; k++)
            if (!survey.zones[k].refused)
                one_zone(&t, &from, &to, &survey, k);
        wm_survey_free(&survey);
        rendered_free(&from);
        rendered_free(&to);
    }
    scratch_remove(folder);
    print_message("# mean %.2f, worst %.2f, unpainted %.2f, %d zones\n", t.sum / t.count, t.worst, t.before / t.count,
                  t.count);
    assert_true(t.sum / t.count < 3);
    assert_true(t.sum < 0.5 * t.before);
    assert_true(t.one_shade > 0 && t.flattest > 0.7 && t.roughest < 1.5);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(repainted_zones_look_as_the_same_scene_in_that_shade) };
    if (argc != 2)
        return 2;
    renderer = argv[1];
    return cmocka_run_group_tests(tests, NULL, NULL);
}
