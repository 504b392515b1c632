/* The library in one page: how far is a colour from each shade of a catalogue?
 *   cc example.c -o example $(pkg-config --cflags --libs weftmatch) && ./example swatches.csv 54.2 5.1 18.0 */
#include <weftmatch.h>

#include <stdio.h>

int main(int argc, char *argv[])
{
    wm_catalogue catalogue = { 0 };
    wm_lab hair;
    wm_error err;
    if (argc != 5 || !wm_number_parse(argv[2], &hair.L) || !wm_number_parse(argv[3], &hair.a) ||
        !wm_number_parse(argv[4], &hair.b)) {
        fprintf(stderr, "usage: example CATALOGUE L a b\n");
        return 2;
    }
    if (wm_catalogue_load(&catalogue, argv[1], NULL, &err)) {
        fprintf(stderr, "%s:%ld: %s\n", err.file, err.line, err.text);
        return 3;
    }
    for (size_t i = 0; i < catalogue.count; i++) {
        char words[WM_WORDS_SIZE];
        wm_words(words, hair, catalogue.items[i].lab);
        printf("%-10s %5.1f dE00  %s\n", catalogue.items[i].code, wm_de00(hair, catalogue.items[i].lab), words);
    }
    wm_catalogue_free(&catalogue);
    return 0;
}
