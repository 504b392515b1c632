/* The door of the marking page: names, zones and a catalogue of any content in the facts that the page carries. Nothing
 * of them may end the script they stand in or become a tag; what the page reads from them is what was given. A line
 * each: photo, name to save, next command, zones; what follows is a code of the catalogue. */
#include "fuzz.h"

#include <stdlib.h>
#include <string.h>

#include "core/json.h"
#include "page/page.h"

enum { PARTS = 5 };

const fuzz_seed fuzz_seeds[] = {
    SEED(
        "client.jpg\nclient.zones.json\nweftmatch match client.jpg --zones client.zones.json\n{\"format\":1,\"zones\":[]}\nmoth"),
    SEED("</script><b>.jpg\n<!--\n'it''s'\n\xe2\x80\xa8\xe2\x80\xa9&amp;\n\\u003c"),
    SEED("{{facts}}\n{{photo}}\n{{script}}\n{{\n}}"),
    { NULL, 0 }
};
const char *const fuzz_words[] = { "</script",     "<script",   "<!--",     "-->",          "]]>",
                                   "&lt;",         "\"",        "'",        "\\",           "\n",
                                   "{{facts}}",    "{{image}}", "{{",       "\xe2\x80\xa8", "\xe2\x80\xa9",
                                   "\xe2\x80\xae", "\xff",      "\xc0\x80", "\x01",         "\x7f",
                                   "\\u0000",      NULL };

typedef struct tags {
    size_t all, scripts, comments;
} tags;

/* By memchr: a sanitizer looks at all of the page again for every strstr. */
static tags count_tags(const wm_buf *page)
{
    tags n = { 0 };
    const char *end = page->data + page->size;
    for (const char *p = page->data; (p = memchr(p, '<', (size_t)(end - p))); p++) {
        n.all++;
        n.scripts += strncmp(p, "</script", 8) == 0;
        n.comments += strncmp(p, "<!--", 4) == 0;
    }
    return n;
}

static const wm_json *facts_of(wm_json_document **document, const char *page)
{
    static const char BEGIN[] = "id=\"facts\">";
    const char *from = strstr(page, BEGIN), *to = from ? strstr(from, "</script>") : NULL;
    wm_error err = { 0 };
    fuzz_check(from && to, "the page has facts");
    if (wm_json_parse(document, from + sizeof BEGIN - 1, (size_t)(to - from) - (sizeof BEGIN - 1), "facts", WM_E_BUG,
                      &err))
        fuzz_check(0, err.text);
    return wm_json_root(*document);
}

/* As it was given; what is no UTF-8 can't be, and is a text all the same. */
static void check_fact(const wm_json *facts, const char *key, const char *given)
{
    const char *text = wm_json_text(wm_json_get(facts, key));
    fuzz_check(text != NULL, "a fact is a text");
    fuzz_check(!wm_utf8_valid(given, strlen(given)) || strcmp(text, given) == 0, "a fact is what was given");
}

static void write_page(wm_buf *out, char *const parts[PARTS])
{
    wm_buf catalogue = { 0 };
    wm_buf_text(&catalogue, "[{\"code\":");
    wm_buf_json_string(&catalogue, parts[4]);
    wm_buf_text(&catalogue, "}]");
    const page_input input = { .photo = parts[0],
                               .width = 60,
                               .height = 40,
                               .image = "\xff\xd8\xff",
                               .image_size = 3,
                               .mime = "image/jpeg",
                               .catalogue = catalogue.data,
                               .zones = parts[3],
                               .save_name = parts[1],
                               .command = parts[2] };
    fuzz_check(page_write(out, &input) == WM_OK, "a page");
    wm_buf_free(&catalogue);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static char nothing[] = "";
    static tags own; /* of a page without content of others */
    char *const none[PARTS] = { nothing, nothing, nothing, nothing, nothing };
    char *text = fuzz_text(data, size), *parts[PARTS] = { text, nothing, nothing, nothing, nothing };
    wm_buf page = { 0 };
    wm_json_document *document = NULL;
    if (!own.all) {
        write_page(&page, none);
        own = count_tags(&page);
        wm_buf_free(&page);
        page = (wm_buf){ 0 };
    }
    for (int i = 1; i < PARTS && parts[i - 1]; i++) {
        char *line = strchr(parts[i - 1], '\n');
        if (!line)
            break;
        *line = '\0';
        parts[i] = line + 1;
    }
    write_page(&page, parts);
    const tags given = count_tags(&page);
    fuzz_check(memcmp(&given, &own, sizeof own) == 0, "nothing that was given becomes a tag");
    const wm_json *facts = facts_of(&document, page.data);
    check_fact(facts, "photo", parts[0]);
    check_fact(facts, "save_name", parts[1]);
    check_fact(facts, "command", parts[2]);
    check_fact(facts, "zones", parts[3]);
    check_fact(wm_json_at(wm_json_get(facts, "catalogue"), 0), "code", parts[4]);
    wm_json_free(document);
    wm_buf_free(&page);
    free(text);
    return 0;
}
