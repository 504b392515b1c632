#include "core/digest.h"

#include <nettle/sha2.h>
#include <stdio.h>

void wm_sha256_hex(char out[65], const void *data, size_t size)
{
    struct sha256_ctx context;
    uint8_t digest[SHA256_DIGEST_SIZE];
    sha256_init(&context);
    if (size > 0)
        sha256_update(&context, size, data);
    sha256_digest(&context, sizeof digest, digest);
    for (size_t i = 0; i < sizeof digest; i++)
        snprintf(out + 2 * i, 3, "%02x", digest[i]);
}
