/* digest: SHA-256 (FIPS 180-4), by the processor's own instructions where it has them; the only user of nettle. */
#ifndef WM_CORE_DIGEST_H
#define WM_CORE_DIGEST_H

#include "core/status.h"

/** The bytes' SHA-256 as 64 lower-case hex digits and a NUL. */
void wm_sha256_hex(char out[65], const void *data, size_t size);

#endif
