#include "support/table.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MAX_COLUMNS = 32, MAX_ROWS = 2000 };

struct table {
    char *bytes;
    size_t columns, rows;
    char *cells[MAX_ROWS][MAX_COLUMNS]; /* row 0 is the header */
};

static void give_up(const char *what, const char *name)
{
    printf("Bail out! %s: %s\n", name, what);
    exit(99);
}

static char *read_all(const char *name)
{
    char path[1024];
    const char *folder = getenv("REFERENCE_DIR");
    snprintf(path, sizeof path, "%s/%s", folder ? folder : "reference", name);
    FILE *f = fopen(path, "rb");
    if (!f)
        give_up("can't be opened", path);
    char *bytes = calloc(1, 1 << 20);
    if (!bytes || fread(bytes, 1, (1 << 20) - 1, f) == 0)
        give_up("can't be read", path);
    fclose(f);
    return bytes;
}

/* Ends the cell in place and returns the start of the next one; *last is set at the end of a line. */
static char *cut_cell(char *p, char **cell, int *last)
{
    char *out = p;
    *cell = p;
    int quoted = *p == '"';
    if (quoted)
        p++;
    for (; *p && (quoted || (*p != ',' && *p != '\n')); p++) {
        if (quoted && *p == '"' && *++p != '"') {
            quoted = 0;
            p--;
            continue;
        }
        *out++ = *p;
    }
    *last = *p != ',';
    char *next = *p ? p + 1 : p;
    *out = '\0';
    return next;
}

table *table_open(const char *name)
{
    table *t = calloc(1, sizeof *t);
    if (!t)
        give_up("out of memory", name);
    t->bytes = read_all(name);
    char *p = t->bytes;
    for (; *p; t->rows++) {
        int last = 0;
        if (t->rows == MAX_ROWS)
            give_up("too many rows", name);
        for (size_t column = 0; !last; column++) {
            if (column == MAX_COLUMNS)
                give_up("too many columns", name);
            p = cut_cell(p, &t->cells[t->rows][column], &last);
            if (t->rows == 0)
                t->columns = column + 1;
        }
    }
    return t;
}

void table_free(table *t)
{
    if (t)
        free(t->bytes);
    free(t);
}

size_t table_rows(const table *t)
{
    return t->rows - 1;
}

const char *table_text(const table *t, size_t row, const char *column)
{
    for (size_t i = 0; i < t->columns; i++)
        if (strcmp(t->cells[0][i], column) == 0)
            return t->cells[row + 1][i] ? t->cells[row + 1][i] : "";
    give_up("no such column", column);
    return "";
}

double table_number(const table *t, size_t row, const char *column)
{
    return strtod(table_text(t, row, column), NULL);
}
