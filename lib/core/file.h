/* file: read with a limit; write beside, sync, rename. The only module that opens files (SQLite opens the book by
 * itself). */
#ifndef WM_CORE_FILE_H
#define WM_CORE_FILE_H

#include "core/digest.h"
#include "core/status.h"

/** Bytes that the caller owns; free with wm_bytes_free. data is followed by one NUL that size does not count. */
typedef struct wm_bytes {
    unsigned char *data;
    size_t size;
} wm_bytes;

void wm_bytes_free(wm_bytes *bytes);

/** Reads a regular file (a pipe works too, unless nobody writes to it for five seconds; "-" is stdin) of at most
 * `limit` bytes. Missing, a directory, too large, unreadable: `code` with one line that names the file. */
wm_status wm_file_read(wm_bytes *out, const char *path, size_t limit, wm_status code, wm_error *err);

typedef enum wm_file_flags {
    WM_FILE_FORCE =
        1, /**< replace an existing file; without it an existing one is WM_E_OUTPUT with a hint to --force */
    WM_FILE_PRIVATE = 2 /**< mode 0600 (client data); else 0666 less the umask */
} wm_file_flags;

/** All or nothing: writes a neighbour file, syncs, renames, syncs the folder. On any failure (full disk included) the
 * old file stays and the neighbour is removed. path "-" is stdout. WM_E_OUTPUT names the file. */
wm_status wm_file_write(const char *path, const void *data, size_t size, unsigned flags, wm_error *err);

/** For what is written by another's hand: a new empty file, mode 0600, in the folder where path will stand (free() the
 * name), and its move to path, never over an existing file; both synced. What a killed program left of such files
 * there is removed. */
wm_status wm_file_neighbour(char **name, const char *path, wm_error *err);
wm_status wm_file_place(const char *name, const char *path, wm_error *err);
/** Only that removing. */
void wm_file_sweep(const char *path);

/** For reading, changing and writing a file: until wm_file_unlock others who lock a file of the same folder wait. Where
 * the disk has no locks there is none. WM_E_OUTPUT: another program has kept it for five seconds. */
wm_status wm_file_lock(int *lock, const char *path, wm_error *err);
void wm_file_unlock(int lock);

/** WM_E_OUTPUT if path exists and force is false, or if its folder can't be written to: asked before long work, so that
 * nobody waits in vain. */
wm_status wm_file_check_new(const char *path, bool force, wm_error *err);

bool wm_file_exists(const char *path);
/** By its name, in letters of either case: ".csv". */
bool wm_file_ends_in(const char *path, const char *ending);
/** Both names stand for one file (device and inode), through whatever links, or for one that is not there yet. */
bool wm_file_same(const char *path, const char *other);
bool wm_file_larger(const char *path, size_t limit); /**< false also when there is no such regular file */
const char *wm_file_base_name(const char *path);     /**< points into path */

/** name as seen from the file `beside`: absolute names as they are, others joined to beside's folder. Caller frees;
 * NULL: memory. */
char *wm_file_relative_to(const char *beside, const char *name);

#endif
