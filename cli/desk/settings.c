/* The salon's settings, and the copy of the book. */
#include <dirent.h>
#include <stdio.h>
#include <string.h>

#include "core/file.h"
#include "desk/resources.h"

/* The day of the latest copy that lies beside the book, by its name; "" for none. */
static void last_backup(char day[WM_DATE_SIZE], const char *path)
{
    char folder[PATH_SIZE];
    const char *slash = strrchr(path, '/'), *name = slash ? slash + 1 : path;
    size_t before = strlen(name);
    snprintf(folder, sizeof folder, "%.*s", slash ? (int)(slash - path) + 1 : 1, slash ? path : ".");
    DIR *dir = opendir(folder);
    day[0] = '\0';
    for (struct dirent *entry; dir && (entry = readdir(dir)) != NULL;) {
        const char *file = entry->d_name, *end = strrchr(file, '.');
        char found[WM_DATE_SIZE] = "";
        wm_date date;
        if (strncmp(file, name, before) != 0 || file[before] != '.' || !end || strcmp(end, ".backup") != 0)
            continue;
        memcpy(found, file + before + 1, strnlen(file + before + 1, sizeof found - 1));
        found[10] = '\0'; /* behind the day a second one has its number */
        if (wm_date_parse(&date, found) && strcmp(found, day) > 0)
            memcpy(day, found, sizeof found);
    }
    if (dir)
        closedir(dir);
}

wm_status get_settings(desk_call *call, wm_error *err)
{
    wm_settings settings;
    char path[PATH_SIZE], backup[WM_DATE_SIZE];
    const char *key, *help;
    wm_buf *out = answer_json(call);
    wm_status status = call_settings(&settings, call, err);
    if (!status)
        status = context_book_path(path, call->desk->a, err);
    if (status)
        return status;
    wm_buf_format(out, "{\"version\":\"%s\",\"book\":", wm_version());
    wm_buf_json_string(out, wm_file_exists(path) ? path : "");
    last_backup(backup, path);
    wm_buf_format(out, ",\"backup\":\"%s\",\"settings\":[", backup);
    for (size_t i = 0; (key = wm_settings_key(i, &help)); i++) {
        wm_buf value = { 0 };
        wm_settings_print(&value, &settings, i);
        wm_buf_format(out, "%s\n{\"key\":\"%s\",\"value\":", i ? "," : "", key);
        wm_buf_json_string(out, value.data ? value.data : "");
        wm_buf_text(out, ",\"help\":");
        wm_buf_json_string(out, help);
        wm_buf_text(out, "}");
        out->failed |= value.failed;
        wm_buf_free(&value);
    }
    wm_buf_text(out, "]}\n");
    return WM_OK;
}

/* All are checked before one is kept. */
static wm_status apply(wm_settings *settings, wm_book *book, const wm_json *body, wm_error *err)
{
    const char *key;
    wm_status status = WM_OK;
    for (size_t i = 0; !status && (key = wm_json_key_at(body, i)); i++) {
        const char *value = wm_json_text(wm_json_get(body, key));
        if (!value)
            status = wm_fail(err, WM_E_USAGE, "the value of '%.40s' must be text", key);
        if (!status)
            status = wm_settings_apply(settings, key, value, err);
        wm_buf kept = { 0 };
        if (!status && book)
            status = wm_settings_keep(&kept, book, settings, key, err);
        wm_buf_free(&kept);
    }
    return status;
}

wm_status patch_settings(desk_call *call, wm_error *err)
{
    wm_settings settings;
    wm_json_document *body = NULL;
    wm_book *book = NULL;
    wm_status status = call_body(&body, call, err);
    pthread_mutex_lock(&call->desk->lock);
    if (!status)
        status = call_settings(&settings, call, err);
    if (!status)
        status = apply(&settings, NULL, wm_json_root(body), err);
    if (!status)
        status = call_book(&book, call, WM_BOOK_CREATE, err);
    if (!status)
        status = apply(&settings, book, wm_json_root(body), err);
    wm_book_close(book);
    pthread_mutex_unlock(&call->desk->lock);
    wm_json_free(body);
    return status ? status : get_settings(call, err);
}

/* Beside the book, named after the day; a second one of the day gets a number. */
wm_status post_backup(desk_call *call, wm_error *err)
{
    char path[PATH_SIZE], copy[PATH_SIZE + 40];
    clock_reading clock;
    wm_book *book = NULL;
    wm_status status = context_clock(&clock, call->desk->a, err);
    if (!status)
        status = context_book_path(path, call->desk->a, err);
    if (!status)
        status = call_book(&book, call, WM_BOOK_READ, err);
    if (!status) {
        snprintf(copy, sizeof copy, "%s.%s.backup", path, clock.day);
        for (int n = 2; n < 100 && wm_file_exists(copy); n++)
            snprintf(copy, sizeof copy, "%s.%s-%d.backup", path, clock.day, n);
        status = wm_book_backup(book, copy, err);
    }
    wm_book_close(book);
    if (!status) {
        wm_buf_text(answer_json(call), "{\"file\":");
        wm_buf_json_string(answer_json(call), copy);
        wm_buf_text(answer_json(call), "}\n");
    }
    return status;
}
