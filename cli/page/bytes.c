/* bytes NAME FILE...: the files, one after the other, as a NUL-terminated C array on standard output. Runs at build
 * time only. */
#include <stdio.h>
#include <stdlib.h>

static void append(const char *path, unsigned *column)
{
    FILE *file = fopen(path, "rb");
    if (file == NULL) {
        perror(path);
        exit(1);
    }
    for (int byte; (byte = getc(file)) != EOF;)
        printf("%d,%s", byte, ++*column % 32 == 0 ? "\n" : "");
    fclose(file);
}

int main(int argc, char **argv)
{
    if (argc < 3) {
        fprintf(stderr, "usage: bytes NAME FILE...\n");
        return 2;
    }
    unsigned column = 0;
    printf("/* Made from the page's own files at build time; do not edit. */\n");
    printf("extern const unsigned char %s[];\nconst unsigned char %s[] = {\n", argv[1], argv[1]);
    for (int i = 2; i < argc; i++)
        append(argv[i], &column);
    printf("0};\n");
    return fflush(stdout) == 0 && !ferror(stdout) ? 0 : 1;
}
