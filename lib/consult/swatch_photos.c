#include "consult/swatch_photos.h"

#include <stdio.h>

#include "consult/consult.h"
#include "core/parallel.h"

typedef struct pool {
    const wm_swatch_photos_input *in;
    wm_swatch_photo *photos;
} pool;

static wm_status measure(wm_swatch_photo *p, const wm_swatch_photos_input *in)
{
    wm_photo *photo = NULL;
    wm_swatch_job job = *in->job;
    const wm_zones nowhere = { 0 }, *looked_at = job.grid[0] > 0 ? &nowhere : p->zones; /* a sheet may fill the photo */
    wm_status status = wm_consult_open_photo(&photo, p->path, looked_at, in->limits, &p->error);
    if (status)
        return status;
    const wm_photo_facts facts = wm_photo_facts_of(photo);
    snprintf(p->file, sizeof p->file, "%s", facts.file);
    snprintf(p->sha256, sizeof p->sha256, "%s", facts.sha256);
    job.photo = photo;
    job.zones = p->zones;
    status = wm_swatches_measure(&p->readings, &job, &p->error);
    wm_photo_close(photo);
    return status;
}

static void work(void *user, size_t i)
{
    const pool *p = user;
    wm_swatch_photo *photo = &p->photos[i];
    if (!photo->status)
        photo->status = measure(photo, p->in);
}

void wm_swatches_measure_photos(wm_swatch_photo *photos, size_t count, const wm_swatch_photos_input *input)
{
    pool p = { input, photos };
    wm_parallel_run(&(wm_parallel){ count, input->jobs, work, &p, input->progress, input->user });
}
