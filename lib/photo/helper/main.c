/* weftmatch-photo: the only program that touches bytes of a photo it does not trust. It is started by
 * lib/photo/helper.c with the photo at descriptor 0, its reply at 1 and a line to its parent at 2, maps the two, locks
 * itself in, and then reads what the photo says and decodes it. Exit codes are for whoever starts it by hand: the
 * parent looks at the reply alone. */
#define _GNU_SOURCE /* mremap */
#include "photo/decode_internal.h"
#include "photo/sandbox.h"
#include "photo/unpack.h"

#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PHOTO, REPLY, LINE };
enum { NOT_BY_HAND = 2, NO_LOCK, LEFT_ALONE };

/* Until the facts are known; 16 MiB of profile, unpacked and read, is the most they take. */
#define BASE_MEMORY ((size_t)128 << 20)

static size_t size_of(int file)
{
    struct stat facts;
    return fstat(file, &facts) == 0 && facts.st_size > 0 ? (size_t)facts.st_size : 0;
}

static wm_reply *map_reply(size_t size)
{
    void *mapped =
        size < sizeof(wm_reply) ? MAP_FAILED : mmap(NULL, size, PROT_READ | PROT_WRITE, MAP_SHARED, REPLY, 0);
    wm_reply *reply = mapped;
    if (mapped == MAP_FAILED || reply->size != sizeof *reply ||
        strncmp(reply->version, wm_version(), sizeof reply->version) != 0)
        return NULL;
    return reply;
}

/* Says that a stage is reached. */
static void speak(void)
{
    if (write(LINE, "s", 1) != 1)
        _exit(LEFT_ALONE);
}

/* The pixels' room is the reply's file further on, as far as the parent has made it by now. */
static void decode(wm_reply *reply, size_t reply_size, const wm_bytes *photo)
{
    char byte;
    if (read(LINE, &byte, 1) != 1)
        _exit(LEFT_ALONE);
    size_t room = reply->room;
    void *moved = mremap(reply, reply_size, reply_size + room, MREMAP_MAYMOVE);
    if (moved == MAP_FAILED)
        _exit(LEFT_ALONE);
    reply = moved;
    (void)wm_unpack_picture(reply, photo, (wm_room){ (unsigned char *)moved + reply_size, room });
    speak();
}

int main(void)
{
    static const unsigned char empty[1];
    size_t size = size_of(PHOTO), reply_size = size_of(REPLY);
    wm_reply *reply = map_reply(reply_size);
    void *bytes = size > 0 ? mmap(NULL, size, PROT_READ, MAP_PRIVATE, PHOTO, 0) : (void *)(uintptr_t)empty;
    if (!reply || bytes == MAP_FAILED)
        return NOT_BY_HAND;
    (void)close(PHOTO);
    (void)close(REPLY);
    wm_decode_heic_prepare();
    wm_sandbox_limit(BASE_MEMORY);
    if (!wm_sandbox_lock(LINE)) {
        reply->stage = WM_REPLY_UNLOCKED;
        speak();
        return NO_LOCK;
    }
    wm_bytes photo = { bytes, size };
    wm_status status = wm_unpack_facts(reply, &photo);
    speak();
    if (!status)
        decode(reply, reply_size, &photo);
    _exit(0);
}
