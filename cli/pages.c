/* pages: writes what is installed beside the program, at build time and from the same tables. Usage: pages
 * man|bash|zsh|fish */
#include <stdio.h>
#include <string.h>

#include "completion.h"

int main(int argc, char *argv[])
{
    wm_buf out = { 0 };
    static const struct {
        const char *name;
        void (*write)(wm_buf *out);
    } PAGES[] = {
        { "man", man_page }, { "bash", completion_bash }, { "zsh", completion_zsh }, { "fish", completion_fish }
    };
    for (size_t i = 0; argc == 2 && i < sizeof PAGES / sizeof PAGES[0]; i++)
        if (strcmp(argv[1], PAGES[i].name) == 0)
            PAGES[i].write(&out);
    bool good = out.data && !out.failed && fwrite(out.data, 1, out.size, stdout) == out.size && fflush(stdout) == 0;
    wm_buf_free(&out);
    return good ? 0 : 1;
}
