#include "page/page.h"

#include <string.h>

/* Made from page.html, page.css and the scripts at build time; NUL-terminated. */
extern const unsigned char page_html[];
extern const unsigned char page_style[];
extern const unsigned char page_script[];

/* JSON inside <script>: no "</script>" or "<!--" may appear, and no U+2028 or U+2029 either. In valid JSON these
 * characters stand inside strings only, where an escape means the same. */
static void safe_json(wm_buf *out, const char *json)
{
    for (const char *p = json; *p != '\0';) {
        size_t plain = strcspn(p, "<>&\xe2");
        wm_buf_bytes(out, p, plain);
        p += plain;
        if (*p == '\0')
            break;
        if (strncmp(p, "\xe2\x80\xa8", 3) == 0 || strncmp(p, "\xe2\x80\xa9", 3) == 0) {
            wm_buf_text(out, (unsigned char)p[2] == 0xa8 ? "\\u2028" : "\\u2029");
            p += 3;
        } else if (*p == '\xe2') {
            wm_buf_bytes(out, p++, 1);
        } else {
            wm_buf_format(out, "\\u%04x", (unsigned)(unsigned char)*p++);
        }
    }
}

static void member(wm_buf *json, const char *key, const char *text)
{
    wm_buf_format(json, ", \"%s\": ", key);
    if (text)
        wm_buf_json_string(json, text);
    else
        wm_buf_text(json, "null");
}

static void write_facts(wm_buf *out, const page_input *input)
{
    wm_buf json = { 0 };
    wm_buf_format(&json, "{\"width\": %d, \"height\": %d", input->width, input->height);
    member(&json, "photo", input->photo);
    member(&json, "save_name", input->save_name);
    member(&json, "command", input->command);
    member(&json, "zones", input->zones);
    wm_buf_format(&json, ", \"catalogue\": %s}", input->catalogue ? input->catalogue : "null");
    if (json.failed)
        out->failed = true;
    else
        safe_json(out, json.data);
    wm_buf_free(&json);
}

static void write_image(wm_buf *out, const page_input *input)
{
    wm_buf_text(out, "data:");
    wm_buf_html(out, input->mime);
    wm_buf_text(out, ";base64,");
    wm_buf_base64(out, input->image, input->image_size);
}

static void write_photo_name(wm_buf *out, const page_input *input)
{
    wm_buf_html(out, input->photo);
}

static void write_style(wm_buf *out, const page_input *input)
{
    (void)input;
    wm_buf_text(out, (const char *)page_style);
}

static void write_script(wm_buf *out, const page_input *input)
{
    (void)input;
    wm_buf_text(out, (const char *)page_script);
}

static const struct part {
    const char *mark; /* as it stands in page.html, once or more */
    void (*write)(wm_buf *out, const page_input *input);
} parts[] = {
    { "{{photo}}", write_photo_name }, { "{{style}}", write_style },   { "{{facts}}", write_facts },
    { "{{image}}", write_image },      { "{{script}}", write_script },
};

static const struct part *part_at(const char *mark)
{
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        if (strncmp(mark, parts[i].mark, strlen(parts[i].mark)) == 0)
            return &parts[i];
    }
    return NULL;
}

wm_status page_write(wm_buf *out, const page_input *input)
{
    const char *rest = (const char *)page_html;
    for (const char *mark; (mark = strstr(rest, "{{")) != NULL;) {
        const struct part *part = part_at(mark);
        size_t text = (size_t)(mark - rest);
        wm_buf_bytes(out, rest, part ? text : text + 2);
        rest = mark + (part ? strlen(part->mark) : 2);
        if (part)
            part->write(out, input);
    }
    wm_buf_text(out, rest);
    return wm_buf_status(out, NULL);
}
