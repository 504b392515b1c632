/* pages: writes what is installed beside the program, at build time and from the same tables. Usage: pages
 * man|completion */
#include <stdio.h>
#include <string.h>

#include "option.h"

int main(int argc, char *argv[])
{
    wm_buf out = { 0 };
    if (argc == 2 && strcmp(argv[1], "completion") == 0)
        completion_script(&out);
    else if (argc == 2 && strcmp(argv[1], "man") == 0)
        man_page(&out);
    bool good = out.data && !out.failed && fwrite(out.data, 1, out.size, stdout) == out.size && fflush(stdout) == 0;
    wm_buf_free(&out);
    return good ? 0 : 1;
}
