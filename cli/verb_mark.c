/* mark: the page on which the zones of a photo are dragged. */
#include <stdio.h>
#include <string.h>

#include "context.h"
#include "core/file.h"
#include "page/page.h"
#include "photo/photo.h"
#include "report/raster.h"
#include "say.h"
#include "verbs.h"

enum { MARK_SIDE = 3000, ZONES_LIMIT = 16 << 20 };

static void catalogue_json(wm_buf *out, const wm_catalogue *catalogue)
{
    wm_buf_text(out, "[");
    for (size_t i = 0; i < catalogue->count; i++) {
        const wm_swatch *s = &catalogue->items[i];
        wm_buf_text(out, i ? ",\n{\"code\":" : "\n{\"code\":");
        wm_buf_json_string(out, s->code);
        wm_buf_text(out, ",\"name\":");
        wm_buf_json_string(out, s->name);
        wm_buf_format(out, ",\"kind\":\"%s\",\"L\":", s->kind == WM_SWATCH_BEAD ? "bead" : "hair");
        wm_buf_number(out, s->lab.L, 2);
        wm_buf_text(out, ",\"a\":");
        wm_buf_number(out, s->lab.a, 2);
        wm_buf_text(out, ",\"b\":");
        wm_buf_number(out, s->lab.b, 2);
        wm_buf_text(out, "}");
    }
    wm_buf_text(out, "]");
}

/* A word as a shell takes it. */
static void shell_word(wm_buf *out, const char *word)
{
    static const char PLAIN[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._-/+:,@%";
    if (*word && word[strspn(word, PLAIN)] == '\0') {
        wm_buf_text(out, word);
        return;
    }
    wm_buf_text(out, "'");
    for (const char *p = word; *p; p++)
        if (*p == '\'')
            wm_buf_text(out, "'\\''");
        else
            wm_buf_bytes(out, p, 1);
    wm_buf_text(out, "'");
}

/* A photo called -x.jpg would be taken for options. */
static void photo_word(wm_buf *out, const char *photo)
{
    wm_buf word = { 0 };
    wm_buf_text(&word, *photo == '-' ? "./" : "");
    wm_buf_text(&word, photo);
    if (word.data)
        shell_word(out, word.data);
    wm_buf_free(&word);
}

/* client.jpg -> client.zones.json: so that no second photo of a folder finds its name taken */
static void named_after(char out[PATH_SIZE], const char *photo, const char *ending)
{
    const char *base = wm_file_base_name(photo), *dot = strrchr(base, '.');
    int length = dot && dot != base ? (int)(dot - base) : (int)strlen(base);
    snprintf(out, PATH_SIZE, "%.*s%s", length > PATH_SIZE - 20 ? PATH_SIZE - 20 : length, base, ending);
}

static void next_command(wm_buf *out, const args *a, const char *zones)
{
    char report[PATH_SIZE];
    wm_buf_text(out, "weftmatch match ");
    photo_word(out, a->operands[0]);
    wm_buf_text(out, " --zones ");
    shell_word(out, zones);
    if (args_has(a, "swatches")) {
        wm_buf_text(out, " --swatches ");
        shell_word(out, args_text(a, "swatches"));
    }
    named_after(report, a->operands[0], ".report.html");
    wm_buf_text(out, " --html ");
    shell_word(out, report);
}

static wm_status draw_photo(wm_bytes *jpeg, page_input *page, const wm_photo *photo, wm_error *err)
{
    wm_picture picture = { 0 };
    wm_photo_facts facts = wm_photo_facts_of(photo);
    wm_status status = wm_photo_reduce(&picture, photo, MARK_SIDE, err);
    if (!status)
        status = wm_raster_jpeg(jpeg, &picture, err);
    wm_picture_free(&picture);
    page->photo = facts.file;
    page->width = facts.width;
    page->height = facts.height;
    page->image = jpeg->data;
    page->image_size = jpeg->size;
    page->mime = "image/jpeg";
    return status;
}

/* Her catalogue if there is one; without, codes are typed freely. */
static wm_status embed_catalogue(wm_buf *out, const args *a, wm_error *err)
{
    wm_catalogue catalogue = { 0 };
    char path[PATH_SIZE];
    wm_error ignored;
    if (!args_has(a, "swatches") && context_swatches_path(path, a, &ignored))
        return WM_OK;
    wm_status status = context_catalogue(&catalogue, a, err);
    if (!status)
        catalogue_json(out, &catalogue);
    wm_catalogue_free(&catalogue);
    return status;
}

int verb_mark(const args *a)
{
    wm_settings settings;
    wm_photo *photo = NULL;
    wm_bytes jpeg = { 0 }, zones = { 0 };
    wm_buf out = { 0 }, catalogue = { 0 }, command = { 0 };
    page_input page = { 0 };
    char name[PATH_SIZE], own[PATH_SIZE];
    const char *target = args_text(a, "output");
    wm_error err;
    wm_status status = context_settings(&settings, a, &err);
    named_after(own, a->operands[0], ".page.html");
    if (!target)
        target = own;
    if (!status)
        status = wm_file_check_new(target, args_has(a, "force"), &err);
    if (!status)
        status = embed_catalogue(&catalogue, a, &err);
    if (!status && args_has(a, "zones"))
        status = wm_file_read(&zones, args_text(a, "zones"), ZONES_LIMIT, WM_E_INPUT, &err);
    if (!status)
        status = wm_photo_open(&photo, a->operands[0], &settings.limits, &err);
    if (!status)
        status = draw_photo(&jpeg, &page, photo, &err);
    if (!status) {
        named_after(name, a->operands[0], ".zones.json");
        next_command(&command, a, name);
        page.catalogue = catalogue.size ? catalogue.data : NULL;
        page.zones = zones.size ? (const char *)zones.data : NULL;
        page.save_name = name;
        page.command = command.data;
        status = page_write(&out, &page);
        if (status)
            wm_fail_memory(&err);
    }
    int code = status ? say_error(&err) : context_write(a, target, &out, true);
    if (!code && strcmp(target, "-") != 0)
        say_hint(a, "open %s in a browser, mark the hair, save, then: %s%s", target, command.data,
                 catalogue.size > 0 ? "" : "; of a photo of swatches mark these instead, then: weftmatch swatch add");
    wm_buf_free(&out);
    wm_buf_free(&catalogue);
    wm_buf_free(&command);
    wm_bytes_free(&jpeg);
    wm_bytes_free(&zones);
    wm_photo_close(photo);
    return code;
}
