/* wm_render: makes the sample photos, and the photos of the tests, with their truth. See samples/README.md. */
#include "picture.h"
#include "truth.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int help(void)
{
    printf(
        "usage: wm_render [SCENE] [KEY=VALUE]...\n\nRenders an invented client's head as a phone would take it, with the truth beside the picture.\n"
        "SCENE is a file of `key value` lines. Keys, defaults, meaning:\n\n");
    options_list();
    return 0;
}

static int complain(const char *text)
{
    fprintf(stderr, "wm_render: %s\n", text);
    return 2;
}

static const char *base_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

static bool write_all(scene *s, const options *o)
{
    enum { PATH = TEXT + 32 };
    char photo[PATH], zones[PATH], truth[PATH], target[PATH], codes[PATH];
    snprintf(photo, sizeof photo, "%s.%s", o->out, strcmp(o->format, "png") == 0 ? "png" : "jpg");
    snprintf(zones, sizeof zones, "%s.zones.json", o->out);
    snprintf(truth, sizeof truth, "%s.truth.json", o->out);
    snprintf(codes, sizeof codes, "%s.codes.txt", o->out);
    if (o->target_file[0])
        snprintf(target, sizeof target, "%s", o->target_file);
    else
        snprintf(target, sizeof target, "%s.target.txt", o->out);
    if (!truth_write(s, truth, base_name(photo)) ||
        !zones_write(s, zones, base_name(photo), o->target_reference[0] ? o->target_reference : base_name(target)))
        return false;
    if (o->catalogue_file[0] && !catalogue_write(&s->catalogue, o->catalogue_file))
        return false;
    if (strcmp(o->scene, "sheet") == 0 && !codes_write(s, codes))
        return false;
    bool referred = o->target_reference[0] && !o->target_file[0]; /* it is there already */
    if ((o->target > 0 || o->target_file[0]) && !referred && !target_write(s, target))
        return false;
    unsigned char *rgb = camera_develop(&s->camera, &s->canvas, dice_for((uint64_t)o->seed, "noise"));
    bool good = rgb && picture_write(photo, rgb, s->canvas.width, s->canvas.height, o);
    free(rgb);
    return good;
}

int main(int argc, char **argv)
{
    char message[1200];
    options o = options_default();
    for (int i = 1; i < argc; i++) {
        if (strcmp(argv[i], "--help") == 0)
            return help();
        bool good = strchr(argv[i], '=') ? options_set(&o, argv[i], message, sizeof message)
                                         : options_read(&o, argv[i], message, sizeof message);
        if (!good)
            return complain(message);
    }
    scene *s = malloc(sizeof *s);
    if (!s)
        return complain("no memory");
    int status = 0;
    if (!scene_make(s, &o))
        status = complain(s->fault);
    else if (!scene_draw(s) || !write_all(s, &o))
        status = complain("the picture can't be written; is the folder there?");
    scene_free(s);
    free(s);
    return status;
}
