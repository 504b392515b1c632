/* Files as bytes in C source on standard output; runs at build time only.
 * bytes NAME FILE...: the files, one after the other, as one NUL-terminated array NAME.
 * bytes --table PATH=FILE...: desk/assets.h's table, a row for each file. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void append(const char *path, unsigned *column)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        perror(path);
        exit(1);
    }
    for (int byte; (byte = getc(file)) != EOF;)
        printf("%d,%s", byte, ++*column % 32 == 0 ? "\n" : "");
    fclose(file);
}

static const char *type_of(const char *path)
{
    static const char *const TYPES[][2] = { { ".js", "text/javascript; charset=utf-8" },
                                            { ".css", "text/css; charset=utf-8" },
                                            { ".svg", "image/svg+xml" } };
    const char *dot = strrchr(path, '.');
    for (size_t i = 0; dot && i < sizeof TYPES / sizeof TYPES[0]; i++)
        if (strcmp(dot, TYPES[i][0]) == 0)
            return TYPES[i][1];
    return "text/html; charset=utf-8";
}

static void table(int count, char **rows)
{
    unsigned column = 0;
    printf("#include \"desk/assets.h\"\n#include <string.h>\n");
    for (int i = 0; i < count; i++) {
        printf("static const unsigned char asset_%d[] = {\n", i);
        append(strchr(rows[i], '=') + 1, &column);
        printf("0};\n");
    }
    printf("static const asset ASSETS[] = {\n");
    for (int i = 0; i < count; i++) {
        int length = (int)strcspn(rows[i], "=");
        rows[i][length] = '\0';
        printf("{ \"%s\", \"%s\", asset_%d, sizeof asset_%d - 1 },\n", rows[i], type_of(rows[i]), i, i);
    }
    printf("};\n\nconst asset *assets_find(const char *path)\n{\n    for (size_t i = 0; i < %d; i++)\n"
           "        if (strcmp(ASSETS[i].path, path) == 0)\n            return &ASSETS[i];\n    return NULL;\n}\n",
           count);
}

static void array(const char *name, int count, char **files)
{
    unsigned column = 0;
    printf("extern const unsigned char %s[];\nconst unsigned char %s[] = {\n", name, name);
    for (int i = 0; i < count; i++)
        append(files[i], &column);
    printf("0};\n");
}

int main(int argc, char **argv)
{
    if (argc < 3) {
        fprintf(stderr, "usage: bytes NAME FILE... | bytes --table PATH=FILE...\n");
        return 2;
    }
    printf("/* Made from the pages' own files at build time; do not edit. */\n");
    if (strcmp(argv[1], "--table") == 0)
        table(argc - 2, argv + 2);
    else
        array(argv[1], argc - 2, argv + 2);
    return fflush(stdout) == 0 && !ferror(stdout) ? 0 : 1;
}
