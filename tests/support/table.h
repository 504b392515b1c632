/* table: reads the CSV tables of reference/ (quoted cells, one header line) for tests. */
#ifndef SUPPORT_TABLE_H
#define SUPPORT_TABLE_H

#include <stddef.h>

typedef struct table table;

/** Opens $REFERENCE_DIR/name; ends the test program with a message when it can't. Free with table_free. */
table *table_open(const char *name);
void table_free(table *t);
size_t table_rows(const table *t);
/** Cell by row and column name; ends the test program when there is no such column. */
const char *table_text(const table *t, size_t row, const char *column);
double table_number(const table *t, size_t row, const char *column);

#endif
