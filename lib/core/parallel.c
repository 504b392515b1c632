#include "core/parallel.h"

#include <pthread.h>
#include <stdbool.h>

enum { MOST_THREADS = 64 };

typedef struct pool {
    const wm_parallel *work;
    size_t next, done;
    pthread_mutex_t lock; /* of next and done */
} pool;

static bool take_next(size_t *i, pool *p)
{
    pthread_mutex_lock(&p->lock);
    const bool any = p->next < p->work->count;
    if (any)
        *i = p->next++;
    pthread_mutex_unlock(&p->lock);
    return any;
}

static void tell(pool *p)
{
    pthread_mutex_lock(&p->lock);
    p->done++;
    if (p->work->progress)
        p->work->progress(p->work->progress_user, p->done, p->work->count);
    pthread_mutex_unlock(&p->lock);
}

static void *run_lane(void *user)
{
    pool *p = user;
    size_t i;
    while (take_next(&i, p)) {
        p->work->each(p->work->user, i);
        tell(p);
    }
    return NULL;
}

void wm_parallel_run(const wm_parallel *work)
{
    pthread_t threads[MOST_THREADS];
    pool p = { .work = work, .lock = PTHREAD_MUTEX_INITIALIZER };
    const int wanted = work->jobs - 1 < MOST_THREADS ? work->jobs - 1 : MOST_THREADS;
    int started = 0;
    while (started < wanted && (size_t)started + 1 < work->count &&
           pthread_create(&threads[started], NULL, run_lane, &p) == 0)
        started++;
    run_lane(&p);
    while (started > 0)
        pthread_join(threads[--started], NULL);
    pthread_mutex_destroy(&p.lock);
}
