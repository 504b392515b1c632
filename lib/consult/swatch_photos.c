#include "consult/swatch_photos.h"

#include <pthread.h>
#include <stdio.h>

/* All photos and how far they are. */
typedef struct pool {
    const wm_swatch_photos_input *in;
    wm_swatch_photo *photos;
    size_t count, next, done;
    pthread_mutex_t lock; /* of next and done */
} pool;

static wm_status measure(wm_swatch_photo *p, const wm_swatch_photos_input *in)
{
    wm_photo *photo = NULL;
    wm_swatch_job job = *in->job;
    wm_status status = wm_photo_open(&photo, p->path, in->limits, &p->error);
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

static wm_swatch_photo *take_next(pool *p)
{
    pthread_mutex_lock(&p->lock);
    wm_swatch_photo *next = p->next < p->count ? &p->photos[p->next++] : NULL;
    pthread_mutex_unlock(&p->lock);
    return next;
}

static void tell(pool *p)
{
    pthread_mutex_lock(&p->lock);
    p->done++;
    if (p->in->progress)
        p->in->progress(p->in->user, p->done, p->count);
    pthread_mutex_unlock(&p->lock);
}

static void *work(void *user)
{
    pool *p = user;
    for (wm_swatch_photo *photo = take_next(p); photo; photo = take_next(p)) {
        if (!photo->status)
            photo->status = measure(photo, p->in);
        tell(p);
    }
    return NULL;
}

/* The calling thread works too, so that a thread which can't be started costs only time. */
void wm_swatches_measure_photos(wm_swatch_photo *photos, size_t count, const wm_swatch_photos_input *input)
{
    enum { MOST = 64 };
    pthread_t threads[MOST];
    pool p = { .in = input, .photos = photos, .count = count, .lock = PTHREAD_MUTEX_INITIALIZER };
    int started = 0;
    const int wanted = input->jobs - 1 < MOST ? input->jobs - 1 : MOST;
    while (started < wanted && (size_t)started + 1 < count && pthread_create(&threads[started], NULL, work, &p) == 0)
        started++;
    work(&p);
    while (started > 0)
        pthread_join(threads[--started], NULL);
    pthread_mutex_destroy(&p.lock);
}
