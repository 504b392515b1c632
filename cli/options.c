/* The options, each once: help, man pages, completion and README's table are checked against these rows. */
#include "option.h"

const option_spec OPTIONS[] = {
    /* what to look at */
    { "zone", '\0', "KIND[:NAME]=X,Y,W,H", true,
      "a zone: root, mid, ends, gray or card, in pixels of the upright photo" },
    { "zones", 'z', "FILE", true, "a zones file, as the marking page saves it" },
    { "card", '\0', "L,a,b", false, "known colour of the card zone (default 50,0,0: a gray card of 18.4 %)" },
    { "swatches", 's', "FILE", false,
      "the catalogue (default $WEFTMATCH_SWATCHES, else swatches.csv beside the book)" },
    { "book", 'b', "FILE", false, "the book (default $WEFTMATCH_BOOK, else salon.book in your data folder)" },
    /* where to put it */
    { "output", 'o', "FILE", false, "write the result there; - is stdout" },
    { "html", '\0', "FILE", false, "write the report as a page" },
    { "json", '\0', NULL, false, "print the JSON document" },
    { "force", 'f', NULL, false, "overwrite existing files" },
    { "ics", '\0', "FILE", false, "write the next visits as an iCalendar file" },
    { "lossy", '\0', NULL, false, "leave out what the other format can't carry" },
    /* the client and her wishes */
    { "client", 'c', "NAME|ID", false, "the client; match saves the visit in her file" },
    { "no-save", '\0', NULL, false, "do not save the visit" },
    { "target-zone", '\0', "NAME", false, "the zone that the row shall look like (default: gray, else mid)" },
    { "worn", '\0', "down|up|both", false, "which views count (default both)" },
    { "goal", '\0', "coverage|volume|length", false,
      "what the hair is for: gray covered, volume, or length (default volume)" },
    { "to-length", '\0', "LENGTH", false, "wanted length, from the row (30, 30cm, 12in)" },
    { "natural-length", '\0', "LENGTH", false, "length of her own hair, from the row" },
    { "arc", '\0', "LENGTH", true, "ear-to-ear arc of a row round the back; asks for the plan; repeat for more rows" },
    { "row", '\0', "PLACE=LENGTH", true, "a row and its arc: back, crown, nape or side; repeat for more rows" },
    { "hair", '\0', "fine|medium|coarse", false, "how thick her single hairs are" },
    { "amount", '\0', "thin|average|thick", false, "how much hair she has" },
    { "shedding", '\0', NULL, false, "she is losing hair" },
    { "color-line", '\0', "LENGTH", false, "where regrowth meets old colour, from the scalp along the hair" },
    { "cover", '\0', "LENGTH", false, "how far the row lies below the parting" },
    { "in-stock", '\0', NULL, false, "only shades in stock" },
    { "max-price", '\0', "AMOUNT", false, "only packs up to that price" },
    { "lines", 'n', "N", false, "lines of each ranking shown in text (default 10)" },
    { "layers", '\0', "CODE,CODE,..", false, "whole layers, front first" },
    /* blend */
    { "mixed", '\0', NULL, false, "the shades are mixed fibre by fibre" },
    { "fineness", '\0', "PHI", false, "1 mixed fibre by fibre (default), 0 separate locks" },
    { "over", '\0', "L,a,b", false, "colour of the hair behind the layers" },
    { "calibrate", '\0', "PHOTO", false, "fit the law of light to a 50/50 blend photographed beside both shades" },
    /* swatch add */
    { "grid", '\0', "RxC", false, "the photo is a sheet of R x C swatches" },
    { "codes", '\0', "FILE", false, "their codes, row by row, one a line" },
    { "code", '\0', "CODE", false, "the code of the one swatch that is measured" },
    { "into", '\0', "FILE", false, "the catalogue to add to (default: the one of --swatches)" },
    /* visits */
    { "visit", '\0', "ID", false, "a saved visit" },
    { "visits", '\0', "ID", true, "two saved visits: --visits OLD NEW" },
    { "installed", '\0', "CODE,CODE,..", false, "what was sewn in, front first" },
    { "why", '\0', "TEXT", false, "why it was that" },
    { "after", '\0', "PHOTO", false, "photo after the work" },
    { "note", '\0', "TEXT", false, "a note to keep" },
    { "charged", '\0', "AMOUNT", false, "what was charged" },
    { "yes", 'y', NULL, false, "do it without asking" },
    /* desk */
    { "port", '\0', "N", false, "the port to listen on (default 8642, else one that is free)" },
    { "photos", '\0', "FOLDER", false, "new photos in this folder appear in the page" },
    { "no-open", '\0', NULL, false, "do not open the browser" },
    /* everywhere */
    { "date", '\0', "YYYY-MM-DD", false, "the day it is (default $SOURCE_DATE_EPOCH, else today)" },
    { "color", '\0', "auto|always|never", false, "chips of colour in the terminal" },
    { "quiet", 'q', NULL, false, "no progress, no hints" },
    { "jobs", 'j', "N", false, "threads (default: all processors); results do not depend on it" },
    { "help", 'h', NULL, false, "show help" },
    { "version", 'V', NULL, false, "show versions" },
    { NULL, '\0', NULL, false, NULL },
};

const exit_spec EXIT_CODES[] = {
    { 0, "done, and a shade is named or short-listed whose verdict is at least close" },
    { 1, "done, printed and saved, but not that (also: findings of a check)" },
    { 2, "usage" },
    { 3, "zones file or zone, catalogue or target" },
    { 4, "photo" },
    { 5, "book or client" },
    { 6, "output can't be written, or exists" },
    { 70, "a bug of ours, or out of memory" },
    { -1, NULL },
};
