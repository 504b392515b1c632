/* Photos in work: opened, shown, matched. */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

#include "desk/consultation.h"
#include "desk/resources.h"
#include "report/raster.h"

enum { PREVIEW_SIDE = 3000, FOLDER_MOST = 24 };

static void text_member(wm_buf *out, const char *key, const char *value)
{
    wm_buf_format(out, ",\"%s\":", key);
    wm_buf_json_string(out, value);
}

static void write_facts(wm_buf *out, const shelf_photo *photo)
{
    static const char *const FLASH[] = { "unknown", "off", "fired" };
    wm_photo_facts f = wm_photo_facts_of(photo->photo);
    wm_buf_format(out, "{\"id\":%lld,\"width\":%d,\"height\":%d", (long long)photo->id, f.width, f.height);
    text_member(out, "file", f.file);
    text_member(out, "sha256", f.sha256);
    text_member(out, "camera", f.camera);
    text_member(out, "taken", f.taken);
    text_member(out, "flash", FLASH[f.flash]);
    wm_buf_format(out, ",\"resized\":%s,\"profile_assumed\":%s}\n", f.resized ? "true" : "false",
                  f.profile_assumed ? "true" : "false");
}

static wm_status answer_facts(desk_call *call, int64_t id, wm_error *err)
{
    shelf_photo *photo = NULL;
    wm_status status = shelf_hold(&photo, call->desk->shelf, id, err);
    if (status)
        return status;
    write_facts(answer_json(call), photo);
    shelf_release(call->desk->shelf, photo);
    return WM_OK;
}

wm_status post_photo(desk_call *call, wm_error *err)
{
    const char *name = http_query(call->request, "name");
    wm_settings settings;
    int64_t id = 0;
    union {
        const char *lent;
        unsigned char *bytes;
    } body = { call->request->body };
    wm_bytes bytes = { body.bytes, call->request->body_size };
    wm_status status = call_settings(&settings, call, err);
    if (!status)
        status = shelf_add(&id, call->desk->shelf, name ? name : "photo", &bytes, &settings.limits, err);
    return status ? status : answer_facts(call, id, err);
}

/* --- the folder where photos arrive --- */

typedef struct arrived {
    char name[256];
    time_t at;
} arrived;

static bool looks_like_a_photo(const char *name)
{
    static const char *const ENDINGS[] = { ".jpg", ".jpeg", ".png", ".heic", ".heif" };
    const char *dot = strrchr(name, '.');
    for (size_t i = 0; dot && name[0] != '.' && i < sizeof ENDINGS / sizeof ENDINGS[0]; i++)
        if (strcasecmp(dot, ENDINGS[i]) == 0)
            return true;
    return false;
}

static int newest_first(const void *a, const void *b)
{
    const arrived *p = a, *q = b;
    return p->at != q->at ? (p->at < q->at ? 1 : -1) : strcmp(p->name, q->name);
}

static bool folder_path(char out[2 * PATH_SIZE], const desk *d, const char *name)
{
    return *d->folder && !strchr(name, '/') && looks_like_a_photo(name) &&
           snprintf(out, 2 * PATH_SIZE, "%s/%s", d->folder, name) < 2 * PATH_SIZE;
}

static size_t read_folder(arrived **out, const desk *d)
{
    size_t count = 0, room = 0;
    char path[2 * PATH_SIZE];
    struct stat info;
    struct dirent *entry;
    DIR *dir = *d->folder ? opendir(d->folder) : NULL;
    while (dir && (entry = readdir(dir))) {
        if (!folder_path(path, d, entry->d_name) || stat(path, &info) || !S_ISREG(info.st_mode))
            continue;
        if (count == room) {
            room = room ? 2 * room : 64;
            arrived *more = realloc(*out, room * sizeof *more);
            if (!more)
                break;
            *out = more;
        }
        arrived *a = &(*out)[count++];
        snprintf(a->name, sizeof a->name, "%s", entry->d_name);
        a->at = info.st_mtime;
    }
    if (dir)
        closedir(dir);
    if (count)
        qsort(*out, count, sizeof **out, newest_first);
    return count;
}

wm_status get_photos(desk_call *call, wm_error *err)
{
    wm_buf *out = answer_json(call);
    arrived *found = NULL;
    size_t count = read_folder(&found, call->desk);
    (void)err;
    wm_buf_text(out, "{\"folder\":");
    wm_buf_json_string(out, call->desk->folder);
    wm_buf_text(out, ",\"photos\":[");
    for (size_t i = 0; i < count && i < FOLDER_MOST; i++) {
        wm_buf_text(out, i ? ",{\"name\":" : "{\"name\":");
        wm_buf_json_string(out, found[i].name);
        wm_buf_format(out, ",\"at\":%lld}", (long long)found[i].at);
    }
    wm_buf_text(out, "]}\n");
    free(found);
    return WM_OK;
}

wm_status post_photo_of_folder(desk_call *call, wm_error *err)
{
    wm_json_document *body = NULL;
    wm_settings settings;
    const char *name = "";
    char path[2 * PATH_SIZE];
    int64_t id = 0;
    wm_status status = call_body(&body, call, err);
    if (!status)
        status = call_text(&name, wm_json_root(body), "name", err);
    if (!status && !folder_path(path, call->desk, name))
        status = wm_fail(err, WM_E_PHOTO, "there is no such photo in the folder");
    if (!status)
        status = call_settings(&settings, call, err);
    if (!status)
        status = shelf_add_file(&id, call->desk->shelf, path, &settings.limits, err);
    wm_json_free(body);
    return status ? status : answer_facts(call, id, err);
}

/* --- one photo --- */

wm_status get_photo(desk_call *call, wm_error *err)
{
    return answer_facts(call, call->id, err);
}

wm_status get_photo_preview(desk_call *call, wm_error *err)
{
    shelf_photo *photo = NULL;
    wm_picture picture = { 0 };
    wm_status status = shelf_hold(&photo, call->desk->shelf, call->id, err);
    if (status)
        return status;
    if (!photo->preview.data) {
        status = wm_photo_reduce(&picture, photo->photo, PREVIEW_SIDE, err);
        if (!status)
            status = wm_raster_jpeg(&photo->preview, &picture, err);
        wm_picture_free(&picture);
    }
    if (!status) {
        call->answer->type = "image/jpeg";
        wm_buf_bytes(&call->answer->body, photo->preview.data, photo->preview.size);
    }
    shelf_release(call->desk->shelf, photo);
    return status;
}

/* {"shown", "catalogue", "noticed", "report"}. Only a whole answer can be saved: only there it matters what is odd. */
static wm_status answer_match(desk_call *call, const consultation *c, wm_error *err)
{
    wm_buf *out = answer_json(call);
    wm_warnings noticed = { 0 };
    wm_status status = c->in.live ? WM_OK : consultation_noticed(&noticed, c, call, err);
    if (!status && !c->in.live)
        shelf_note_shown(c->photo, c->digest, &c->clock);
    wm_buf_format(out, "{\"shown\":\"%s\",\"catalogue\":%s,\"noticed\":", c->digest,
                  c->has_catalogue ? "true" : "false");
    answer_warnings(out, &noticed);
    wm_buf_text(out, ",\"report\":");
    wm_buf_bytes(out, c->json.data, c->json.size);
    wm_buf_text(out, "}\n");
    wm_warnings_free(&noticed);
    return status;
}

wm_status post_photo_match(desk_call *call, wm_error *err)
{
    consultation *c = NULL;
    wm_status status = consultation_open(&c, call, false, err);
    if (!status)
        status = consultation_run(c, call, NULL, err);
    if (!status)
        status = answer_match(call, c, err);
    consultation_close(c, call);
    return status;
}
