/* helper_place: apart, because the installed library knows the helper by another path than the tests do. */
#define _GNU_SOURCE /* readlink */
#include "photo/helper.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* In the running program's own folder, which is as safe as the program. */
static bool beside_program(char *out)
{
    char self[WM_HELPER_PATH - 32];
    ssize_t length = readlink("/proc/self/exe", self, sizeof self - 1);
    if (length <= 0 || (size_t)length >= sizeof self - 1)
        return false;
    self[length] = '\0';
    char *slash = strrchr(self, '/');
    if (!slash)
        return false;
    *slash = '\0';
    (void)snprintf(out, WM_HELPER_PATH, "%s/weftmatch-photo", self);
    return access(out, X_OK) == 0;
}

void wm_helper_place(char *out)
{
    if (!beside_program(out))
        (void)snprintf(out, WM_HELPER_PATH, "%s", WM_HELPER_PLACE);
}
