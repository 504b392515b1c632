/* The verbs, each once: what they take, what they do, how they are used. Examples are run by the tests. */
#include "verbs.h"

#define ZONE_OPTIONS "zones zone card swatches book "

const verb_spec VERBS[] = {
    { "desk", "", 0, 0, "Open the whole job as a page in the browser, served by this machine to itself.",
      "book swatches port photos no-open", "desk\n",
      "Prints the address and runs until Ctrl-C. Works without a catalogue or a book and leads through making them. With --photos new pictures of that folder, "
      "where the phone's arrive say, appear in the page by themselves. Nothing is loaded from or sent to anywhere else.",
      verb_desk },
    { "mark", "PHOTO", 1, 1, "Write a page on which the zones of the photo are dragged; it saves a zones file.",
      "output swatches zones book force", "mark client.jpg -o page.html --swatches swatches.csv\n",
      "The page holds the photo and needs no network; open it in any browser. The file that it saves is what match --zones takes.",
      verb_mark },
    { "measure", "PHOTO", 1, 1, "Measure zones of a photo: colour with uncertainty, gray share.",
      ZONE_OPTIONS "json output force",
      "measure client.jpg --zones client.zones.json --swatches swatches.csv\n"
      "measure client.jpg --zone mid=708,600,102,132 --json\n",
      "Coordinates are pixels of the upright photo. Without a swatch, card or target in the photo the colours are rough and say so.",
      verb_measure },
    { "match", "PHOTO", 1, 1,
      "Measure, rank the catalogue, propose one shade or layers, plan the row; with --client save the visit.",
      ZONE_OPTIONS
      "client no-save target-zone worn goal to-length natural-length arc row hair amount shedding color-line cover in-stock max-price lines json html "
      "output force ics",
      "match client.jpg --zones client.zones.json --swatches swatches.csv\n"
      "match client.jpg --zones client.zones.json --swatches swatches.csv --client \"Anna Berg\" --arc 29 --html report.html\n",
      "Exit status 0 says that a shade is named or short-listed and that the best proposal is at least close; 1 that it is printed but not that.",
      verb_match },
    { "blend", "[CODE=SHARE..]", 0, 8, "Show how a blend looks: mixed fibre by fibre, or in whole layers.",
      "swatches book mixed fineness layers over calibrate zones zone card json output force",
      "blend moth=0.7 frost=0.3 --mixed --swatches swatches.csv\n"
      "blend --layers moth,frost,moth --swatches swatches.csv\n",
      "Shares are of the visible area and sum to 1. --over is the colour of the hair behind the layers; without it the first layer's own. "
      "--calibrate PHOTO with --zones fits the law of light to your hair: mark both pure shades as swatches and a hackled 50/50 blend of them as mid; the "
      "result is kept as the setting blend_g.",
      verb_blend },
    { "plan", "", 0, 0,
      "Plan the row: beads, packs, thread, work list, quote, move-ups; for a visit or for given layers.",
      "visit layers arc row goal natural-length to-length hair amount shedding color-line cover swatches book json output force ics",
      "plan --layers moth,frost,moth --arc 29 --natural-length 35 --swatches swatches.csv\n"
      "plan --visit 1 --arc 29 --swatches swatches.csv --ics move-ups.ics\n",
      "For a visit the layers are what was installed, else what was proposed. --arc is the way from ear to ear where the row will lie.",
      verb_plan },
    { "swatch add", "PHOTO", 1, 1, "Measure swatches of a photo into a catalogue.",
      ZONE_OPTIONS "grid codes code into force",
      "swatch add photos/sheet.jpg --zones photos/sheet.zones.json --into measured.csv\n"
      "swatch add photos/sheet.jpg --zone card=795,413,75,75 --zone mid:sheet=75,75,600,600 --grid 3x4 --codes photos/sheet.codes.txt --into "
      "measured.csv --force\n",
      "Something of known colour must be in the picture: a card, a colour target, or swatches of --swatches. Zones to be measured are named by the swatch's "
      "code; on a sheet (--grid) the four corners of a zone named sheet mark it, else it is the whole photo, and the middle of each place is measured. A shade "
      "that the catalogue has is averaged, weighted by uncertainty; --force takes the new measurement alone. Exit status 1: done, but too rough to choose "
      "by, or a shade changed.",
      verb_swatch_add },
    { "swatch list", "[FILE]", 0, 1, "List the catalogue with chips of colour.", "swatches book output force",
      "swatch list swatches.csv\n", NULL, verb_swatch_list },
    { "swatch check", "[FILE]", 0, 1, "Check a catalogue and name shades that no photo can tell apart.",
      "swatches book output force", "swatch check swatches.csv\n", "Exit status 1 says that there are findings.",
      verb_swatch_check },
    { "swatch convert", "IN OUT", 2, 2,
      "Convert a catalogue between CSV and CGATS.17, by the names' endings (.csv, .txt).", "lossy force",
      "swatch convert swatches.csv swatches.txt --lossy\n",
      "CGATS.17 carries code, name and colour; what else the catalogue holds is left out only with --lossy.",
      verb_swatch_convert },
    { "client add", "NAME", 1, 1, "Add a client to the book (makes the book when there is none).", "book note",
      "client add \"Anna Berg\"\n", NULL, verb_client_add },
    { "client list", "", 0, 0, "List the clients.", "book output force", "client list\n", NULL, verb_client_list },
    { "client show", "NAME|ID", 1, 1, "Show one client and her last visit.", "book output force",
      "client show \"Anna Berg\"\n", NULL, verb_client_show },
    { "client history", "NAME|ID", 1, 1, "List a client's visits, oldest first.", "book json output force",
      "client history \"Anna Berg\"\nclient history \"Anna Berg\" --json\n", NULL, verb_client_history },
    { "client export", "NAME|ID", 1, 1, "Write a client with all visits and pictures into one file, for another book.",
      "book output force", "client export \"Anna Berg\" -o anna.client.json\n",
      "The file holds private data; it is readable by you only.", verb_client_export },
    { "client import", "FILE", 1, 1,
      "Add a client from a file that client export wrote; her reports come back byte for byte.", "book",
      "client import anna.client.json --book other.book\n",
      "Nothing changes when the file is damaged or the client is there already.", verb_client_import },
    { "client forget", "NAME|ID", 1, 1, "Remove a client with all visits and pictures for good.", "book yes",
      "client forget \"Anna Berg\" --yes\n",
      "Asks first; --yes where nobody can be asked. Exported files and backups keep what they hold.",
      verb_client_forget },
    { "report", "", 0, 0, "Show a saved report again: text, JSON or page.",
      "book client visit json html output force lines",
      "report --client \"Anna Berg\"\nreport --visit 1 --html again.html\n",
      "With --client her latest visit. client history lists the numbers of all.", verb_report },
    { "visit set", "ID", 1, 1, "Tell what was installed, why, for how much; add a note or the photo after.",
      "installed why note after charged swatches book",
      "visit set 1 --installed moth,frost,moth --charged 540 --note \"loves it\"\n",
      "Codes are front first and are checked against the catalogue.", verb_visit_set },
    { "book check", "", 0, 0, "Check that the book is whole and private.", "book", "book check\n",
      "Exit status 1 says that there are findings.", verb_book_check },
    { "book backup", "FILE", 1, 1, "Write a verified copy of the book; never over an existing file.", "book",
      "book backup copy.book\n", NULL, verb_book_backup },
    { "compare", "[PHOTO PHOTO]", 0, 2,
      "Say what changed between two photos (--zones for each, in order) or two visits.",
      ZONE_OPTIONS "visits json html output force",
      "compare client.jpg photos/later.jpg --zones client.zones.json --zones photos/later.zones.json --swatches swatches.csv\n"
      "compare --visits 1 2 --html compare.html\n",
      "Zones are paired by their names. A change smaller than twice its uncertainty is none that can be measured.",
      verb_compare },
    { "recheck", "", 0, 0, "Hold every saved visit against another catalogue: who would be served better.",
      "swatches book json output force", "recheck --swatches swatches.csv\n",
      "A gain must be larger than 0.5 dE00 and than its own uncertainty.", verb_recheck },
    { "salon show", "", 0, 0, "Show the settings.", "book output force", "salon show\n", NULL, verb_salon_show },
    { "salon set", "KEY=VALUE..", 1, 32, "Change settings.", "book",
      "salon set salon_name=\"Fern and Linen\" row_fee=180 tax_percent=19\n",
      "salon show lists the keys. Lengths in settings are centimetres.", verb_salon_set },
    { 0 },
};
