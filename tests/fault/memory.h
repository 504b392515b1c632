/* memory: an allocator that runs out on demand and knows what was not given back. Programs link with --wrap
 * (tests/fault/meson.build). */
#ifndef FAULT_MEMORY_H
#define FAULT_MEMORY_H

#include <stdbool.h>
#include <stddef.h>

void memory_fail_at(
    long allocation);     /**< the allocation that fails, 1 is the next one; 0: none. Restarts the counts. */
bool memory_failed(void); /**< whether that one was reached */
long memory_live(void);   /**< blocks taken since then and not given back */

/** For libraries that take an allocator. */
void *memory_take(size_t size);
void memory_give(void *block);

#endif
