#include "report/markup.h"

#include <stdarg.h>
#include <string.h>

static void colour(wm_buf *out, wm_lab lab)
{
    wm_srgb8 c = wm_lab_to_srgb8(lab);
    wm_buf_format(out, "#%02x%02x%02x", c.r, c.g, c.b);
}

void wm_markup(wm_buf *out, const char *template, ...)
{
    va_list args;
    va_start(args, template);
    for (const char *p = template; *p;) {
        size_t plain = strcspn(p, "%");
        wm_buf_bytes(out, p, plain);
        p += plain;
        if (!*p)
            break;
        switch (p[1]) {
        case 's': wm_buf_html(out, va_arg(args, const char *)); break;
        case 'd': wm_buf_format(out, "%d", va_arg(args, int)); break;
        case 'z': wm_buf_format(out, "%zu", va_arg(args, size_t)); break;
        case 'c': colour(out, va_arg(args, wm_lab)); break;
        case '0':
        case '1':
        case '2':
        case '3':
        case '4': wm_buf_number(out, va_arg(args, double), p[1] - '0'); break;
        case '%': wm_buf_text(out, "%"); break;
        default: out->failed = true; p = "  ";
        }
        p += 2;
    }
    va_end(args);
}
