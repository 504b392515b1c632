/* Drawn pictures: titles, colours, order, the same bytes each time. Shades are invented. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "report/figure.h"
#include "report/plot.h"
#include "support/report_model.h"

static const wm_lab HAIR = { 35.1, 5.2, 11.4 }, SWATCH = { 27.5, 6.2, 14.1 };

static void colour_of(char out[8], wm_lab lab)
{
    wm_srgb8 c = wm_lab_to_srgb8(lab);
    snprintf(out, 8, "#%02x%02x%02x", c.r, c.g, c.b);
}

static size_t times_in(const char *text, const char *word)
{
    size_t n = 0;
    for (const char *p = text; (p = strstr(p, word)) != NULL; p++)
        n++;
    return n;
}

/* One <svg>, with a title that says something, and nothing fetched or run. */
static void is_a_drawing(const wm_buf *out)
{
    assert_false(out->failed);
    assert_int_equal(strncmp(out->data, "<svg ", 5), 0);
    assert_int_equal(times_in(out->data, "<svg"), 1);
    assert_int_equal(times_in(out->data, "<title>"), 1);
    assert_null(strstr(out->data, "<title></title>"));
    assert_string_equal(out->data + out->size - 6, "</svg>");
    static const char *const NEVER[] = { "<script", "style=", "url(", "href", "nan", "inf", "-0." };
    for (size_t i = 0; i < 6; i++)
        assert_null(strstr(out->data, NEVER[i]));
}

static void figure_pair_touches(void **state)
{
    (void)state;
    wm_buf out = { 0 };
    char hair[8], swatch[8], want[200];
    wm_figure_pair(&out, HAIR, SWATCH, "hair & <swatch>");
    is_a_drawing(&out);
    colour_of(hair, HAIR);
    colour_of(swatch, SWATCH);
    snprintf(want, sizeof want,
             "<rect width=\"40\" height=\"40\" fill=\"%s\"/><rect x=\"40\" width=\"40\" height=\"40\" fill=\"%s\"/>",
             hair, swatch);
    assert_non_null(strstr(out.data, want)); /* the second begins where the first ends */
    assert_non_null(strstr(out.data, "<title>hair &amp; &lt;swatch&gt;</title>"));
    wm_buf_free(&out);
}

static wm_figure_part part_of(const model *m, bool up)
{
    const wm_report_proposal *p = &m->report.proposals[0];
    return (wm_figure_part){ p, &p->rows[0].segments[0], m->report.zones[2].body.lab, up };
}

/* M11: worn down the front is outside, with the hair up the same stack is seen reversed; own hair behind in both. */
static void m11_section_order(void **state)
{
    (void)state;
    model m;
    model_make(&m, MODEL_FULL);
    m.report.proposals[0].rows[0].segments[0].layers[2] = (wm_report_layer){ .layer = { .code = "bark" } };
    for (int up = 0; up < 2; up++) {
        wm_buf out = { 0 };
        wm_figure_part part = part_of(&m, up);
        wm_figure_section(&out, &part);
        is_a_drawing(&out);
        assert_non_null(strstr(out.data, up ? "bark, fern, fern with pieces of mist, then own hair"
                                            : "fern with pieces of mist, fern, bark, then own hair"));
        const char *pieces = strstr(out.data, ">fern + mist</text>"), *bark = strstr(out.data, ">bark</text>"),
                   *own = strstr(out.data, ">own hair</text>");
        assert_true(pieces && bark && own);
        assert_true(up ? bark < pieces : pieces < bark);
        assert_true(own > pieces && own > bark);
        wm_buf_free(&out);
    }
    model_free(&m);
}

/* 24 cm of row on 550 units: in front mist 3 cm, fern 18, mist 3; each strip as long as it is cut (plan's strips). */
static void row_is_true_to_length(void **state)
{
    (void)state;
    model m;
    wm_buf out = { 0 };
    char want[120], mist[8];
    model_make(&m, MODEL_FULL);
    wm_figure_row(&out, &m.report.proposals[0], 0, WM_UNITS_CM);
    is_a_drawing(&out);
    colour_of(mist, m.report.proposals[0].shades[1].lab);
    snprintf(want, sizeof want, "<rect x=\"0.0\" y=\"86\" width=\"68.8\" height=\"26\" fill=\"%s\"", mist);
    assert_non_null(strstr(out.data, want)); /* 3 / 24 of 550 */
    snprintf(want, sizeof want, "<rect x=\"481.2\" y=\"86\" width=\"68.8\" height=\"26\" fill=\"%s\"", mist);
    assert_non_null(strstr(out.data, want));
    assert_non_null(strstr(out.data, ">Row 1 (back): 24.0 cm in all; lengths in cm<"));
    assert_non_null(strstr(out.data, ">left ear<"));
    wm_buf_free(&out);
    out = (wm_buf){ 0 };
    wm_figure_row(&out, &m.report.proposals[0], 0, WM_UNITS_IN);
    assert_non_null(strstr(out.data, ">1.2</text>")); /* 3 cm */
    assert_non_null(strstr(out.data, "lengths in inches<"));
    wm_buf_free(&out);
    model_free(&m);
}

/* Brightness varies from strand to strand by at most a tenth and not on the whole; a and b don't. */
static void figure_strands_are_of_their_colours(void **state)
{
    (void)state;
    model m;
    model_make(&m, MODEL_FULL);
    for (int up = 0; up < 2; up++) {
        wm_buf out = { 0 };
        wm_figure_part part = part_of(&m, up);
        const wm_report_segment *seg = part.segment;
        const wm_report_shade *shades = part.proposal->shades;
        const wm_lab seen = up ? seg->seen.up : seg->seen.down;
        wm_lab known[4] = { seg->target_base, seg->target_gray, shades[0].lab, shades[1].lab };
        (void)seen;
        double light = 0, strands = 0;
        wm_figure_strands(&out, &part);
        is_a_drawing(&out);
        for (const char *p = out.data; (p = strstr(p, " stroke=\"#")) != NULL; p++) {
            unsigned r, g, b;
            assert_int_equal(sscanf(p, " stroke=\"#%2x%2x%2x", &r, &g, &b), 3);
            wm_lab lab = wm_rgb_to_lab(
                (wm_rgb){ wm_srgb_decode(r / 255.0), wm_srgb_decode(g / 255.0), wm_srgb_decode(b / 255.0) });
            double nearest = INFINITY, ratio = 0;
            for (int k = 0; k < 4; k++) {
                double off = hypot(lab.a - known[k].a, lab.b - known[k].b);
                if (off < nearest && fabs(lab.L / known[k].L - 1) < 0.12)
                    nearest = off, ratio = lab.L / known[k].L;
            }
            near("a* and b* of a strand", nearest, 0, 1.5); /* 8 bit, dark */
            light += ratio;
            strands++;
        }
        assert_true(strands >= 100);
        near("mean lightness", light / strands, 1, 0.02);
        wm_buf_free(&out);
    }
    model_free(&m);
}

static double luminance(const unsigned char rgba[4])
{
    return wm_rgb_luminance(
        (wm_rgb){ wm_srgb_decode(rgba[0] / 255.0), wm_srgb_decode(rgba[1] / 255.0), wm_srgb_decode(rgba[2] / 255.0) });
}

/* Base, mixed and gray are told by lightness alone (3 to 1 as contrast goes), the classes that were left out by their
 * patterns. */
static void figure_classes_without_hue(void **state)
{
    (void)state;
    unsigned char base[4], mixed[4], gray[4], outside[4];
    wm_figure_class(base, WM_CLASS_BASE, 0, 0);
    wm_figure_class(mixed, WM_CLASS_MIXED, 0, 0);
    wm_figure_class(gray, WM_CLASS_GRAY, 0, 0);
    wm_figure_class(outside, WM_CLASS_OUTSIDE, 0, 0);
    assert_int_equal(outside[3], 0);
    assert_true((luminance(mixed) + 0.05) / (luminance(base) + 0.05) > 3);
    assert_true((luminance(gray) + 0.05) / (luminance(mixed) + 0.05) > 2);
    for (int c = WM_CLASS_SHEEN; c <= WM_CLASS_CLIPPED; c++) {
        int kinds = 0;
        for (int i = 1; i < 64; i++) {
            unsigned char first[4], here[4];
            wm_figure_class(first, (wm_pixel_class)c, 0, 0);
            wm_figure_class(here, (wm_pixel_class)c, i % 8, i / 8);
            kinds += memcmp(first, here, 4) != 0;
        }
        assert_true(kinds >= 8 && kinds <= 56);
        wm_buf chip = { 0 };
        wm_figure_class_chip(&chip, (wm_pixel_class)c);
        is_a_drawing(&chip);
        assert_non_null(strstr(chip.data, wm_figure_class_words((wm_pixel_class)c)));
        wm_buf_free(&chip);
    }
}

static void plot_difference_to_its_side(void **state)
{
    (void)state;
    const wm_report_match match = { .d_lightness = -2, .d_chroma = 3, .d_hue = 40 };
    wm_buf out = { 0 };
    wm_plot_difference(&out, &match, true);
    is_a_drawing(&out);
    assert_non_null(strstr(out.data, "depth 2.0 darker, richness 3.0 richer, tone 40.0 golden"));
    assert_non_null(strstr(out.data, "<circle cx=\"127.0\"")); /* 9 dots a unit to the left of 145 */
    assert_non_null(strstr(out.data, "<circle cx=\"172.0\""));
    assert_non_null(strstr(out.data, "M199.0 51.0l5.0 4l-5.0 4z")); /* beyond the picture: an arrow at its end */
    wm_buf_free(&out);
}

static void plots_of_aids_and_shares(void **state)
{
    (void)state;
    model m;
    wm_buf chroma = { 0 }, lightness = { 0 }, shares = { 0 };
    model_make(&m, MODEL_FULL);
    wm_plot_aids_chroma(&chroma, &m.report.calibration);
    wm_plot_aids_lightness(&lightness, &m.report.calibration);
    wm_plot_gray_shares(&shares, &m.gray);
    is_a_drawing(&chroma);
    is_a_drawing(&lightness);
    is_a_drawing(&shares);
    assert_int_equal(times_in(chroma.data, "<circle"), 3);
    assert_int_equal(times_in(lightness.data, "<circle"), 3);
    assert_non_null(strstr(shares.data, "gray 20 %, mid 8 %, gray 22 %, gray 28 %, mid 11 %, gray 31 %</title>"));
    assert_int_equal(times_in(shares.data, "<circle"), 4 + 1); /* the first place's, and its key */
    assert_int_equal(times_in(shares.data, "h7v7h-7z"), 2 + 1);
    assert_non_null(strstr(shares.data, ">2023-06-02</text>"));
    assert_int_equal(times_in(shares.data, "fill-opacity=\"0.13\""), 2); /* a band a place */
    wm_buf_free(&chroma);
    wm_buf_free(&lightness);
    wm_buf_free(&shares);
    model_free(&m);
}

static void figures_are_the_same_each_time(void **state)
{
    (void)state;
    model m;
    wm_buf first = { 0 }, second = { 0 };
    model_make(&m, MODEL_FULL);
    wm_figure_part part = part_of(&m, true);
    wm_figure_strands(&first, &part);
    wm_figure_strands(&second, &part);
    assert_string_equal(first.data, second.data);
    wm_buf_free(&first);
    wm_buf_free(&second);
    model_free(&m);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(figure_pair_touches),        cmocka_unit_test(m11_section_order),
        cmocka_unit_test(row_is_true_to_length),      cmocka_unit_test(figure_strands_are_of_their_colours),
        cmocka_unit_test(figure_classes_without_hue), cmocka_unit_test(plot_difference_to_its_side),
        cmocka_unit_test(plots_of_aids_and_shares),   cmocka_unit_test(figures_are_the_same_each_time)
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
