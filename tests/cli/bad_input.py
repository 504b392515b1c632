"""Bad input: each case ends with its exit code and exactly one line on stderr that says what is wrong and what to do; nothing is printed
on stdout, and no file is made, changed or left half written.

Usage: bad_input.py WEFTMATCH WM_RENDER [--table]      --table prints the cases as Markdown with what was really said."""
import io
import shlex
import struct
import sys
import zlib

from PIL import Image

from support import Bench

ZONE = "--zone mid=300,200,40,40"  # a zone that is good in every photo of the tests
MATCH = f"match client.jpg {ZONE}"


def one_zone(inside):
    return '{"format": 1, "zones": [' + inside + "]}"


def photo(what, name, content, message):
    return (what, f"match {name} {ZONE}", {name: content} if content is not None else {}, 4, f"{name}: {message}")


def zones(what, content, message):
    return (what, "match client.jpg --zones bad.json", {"bad.json": content}, 3, f"bad.json: {message}" if message[0] != ":" else f"bad.json{message}")


def placed(what, inside, message):
    """Zones that only the photo shows to be wrong."""
    return (what, "match client.jpg --zones bad.json", {"bad.json": one_zone(inside)}, 3, message)


def catalogue(what, content, message, name="bad.csv"):
    return (what, f"match client.jpg {ZONE} --swatches {name}", {name: content}, 3, f"{name}{message}")


def target(what, content, message):
    corners = '"corners": [[50,300],[150,300],[150,350],[50,350]], "rows": 2, "columns": 2'
    inside = '{"kind": "mid", "rect": [300,200,40,40]}, {"kind": "target", %s, "reference": "bad.txt"}' % corners
    files = {"bad.json": one_zone(inside)}
    if content is not None:
        files["bad.txt"] = content
    return (what, "match client.jpg --zones bad.json", files, 3, f"bad.txt{message}")


def png_that_unpacks_to(mebibytes):
    """120,000 pixels whose data unpack to far more than they are"""
    def chunk(kind, body):
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", 400, 300, 8, 2, 0, 0, 0))
            + chunk(b"IDAT", zlib.compress(bytes(mebibytes << 20), 1)) + chunk(b"IEND", b""))


def usage(what, command, message):
    return (what, command, {}, 2, message)


def encoded(kind, size=(16, 16), mode="RGB", colour=None, **how):
    out = io.BytesIO()
    Image.new(mode, size, colour or (90, 70, 60, 0)[: len(mode)]).save(out, kind, **how)
    return out.getvalue()


JPEG = encoded("JPEG", (400, 300))
PNG = encoded("PNG", (400, 300))
HEIC = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + b"\0\0\0\x10meta" + b"\xff" * 8
TWICE_STDOUT = "two outputs go to stdout; name a file for one of them (for the result: -o FILE)"
MID = '{"kind": "mid", "rect": [300,200,40,40]}'
CGATS = "CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nNUMBER_OF_SETS 4\nBEGIN_DATA\n%sEND_DATA\n"

CASES = [
    # photos
    ("photo without a name", f"match '' {ZONE}", {}, 4, "the name is empty; name a file"),
    photo("photo missing", "none.jpg", None, "no such file; check the name and the folder"),
    ("photo is a folder", f"match . {ZONE}", {}, 4, ".: this is a folder; name a file in it"),
    photo("photo of no bytes", "bad.jpg", b"", "the file is empty; send or copy the photo again"),
    photo("photo of NULs", "bad.jpg", bytes(5000), "not a photo that can be read; use a JPEG, PNG or HEIC as it left the camera"),
    photo("text named .jpg", "bad.jpg", "Dear client,\nsee you on Friday.\n",
          "this is a text file, not a JPEG, PNG or HEIC photo; use the photo as it left the camera"),
    photo("JPEG cut off", "bad.jpg", JPEG[: len(JPEG) // 2], "the JPEG is cut off: its end is missing; send or copy the photo again"),
    photo("JPEG cut within its head", "bad.jpg", JPEG[:30], "the JPEG is cut off: its end is missing; send or copy the photo again"),
    photo("PNG cut off", "bad.png", PNG[: len(PNG) - 20], "the PNG is cut off: its end is missing; send or copy the photo again"),
    photo("PNG with a flipped byte", "bad.png", PNG[:60] + bytes([PNG[60] ^ 255]) + PNG[61:],
          "damaged PNG: a checksum is wrong; send or copy the photo again"),
    photo("PNG that unpacks to far more than its pixels", "bad.png", png_that_unpacks_to(160),
          "not enough memory to decode 400 x 300 pixels; save it anew, or use a smaller photo"),
    photo("CMYK JPEG", "bad.jpg", encoded("JPEG", (400, 300), "CMYK"),
          "a CMYK (print) JPEG has no camera colours; use the photo as it left the camera, or save it as RGB"),
    photo("GIF", "bad.gif", encoded("GIF"), "this is a GIF picture, not a JPEG, PNG or HEIC photo; use the photo as it left the camera"),
    photo("TIFF", "bad.tif", encoded("TIFF"),
          "this is a TIFF or raw camera file, not a JPEG, PNG or HEIC photo; use the photo as it left the camera"),
    photo("HEIC broken", "bad.heic", HEIC, "damaged HEIC: a box that does not fit; send or copy the photo again"),
    photo("HEIC cut off", "bad.heic", HEIC[:20], "the HEIC is cut off: its end is missing; send or copy the photo again"),
    photo("PDF named .png", "bad.png", "%PDF-1.7\n",
          "this is a PDF document, not a JPEG, PNG or HEIC photo; use the photo as it left the camera"),
    ("photo of one pixel", f"match bad.png {ZONE}", {"bad.png": encoded("PNG", (1, 1))}, 3,
     "zone 'mid': it lies outside the photo (it spans x 300 to 340, y 200 to 240; the photo is 1 x 1 upright); move it inside"),
    photo("photo of too many pixels", "bad.png", encoded("PNG", (20000, 11000), "L"),
          "20000 x 11000 pixels are more than 200 megapixels; use a smaller photo or raise the setting max_megapixels"),
    ("measure: photo missing", f"measure none.jpg {ZONE}", {}, 4, "none.jpg: no such file; check the name and the folder"),
    ("mark: photo missing", "mark none.jpg -o page.html", {}, 4, "none.jpg: no such file; check the name and the folder"),
    # zones by option
    ("no zone", "match bare.jpg", {"bare.jpg": encoded("JPEG")}, 3,
     "no zone is given; mark the photo (weftmatch mark PHOTO) and name the file with --zones, or give --zone mid=X,Y,W,H"),
    ("no zone, and a zones file beside the photo", "match client.jpg", {}, 3,
     "no zone is given, but its zones file lies beside it; add --zones client.zones.json"),
    ("photo as zones file", "match client.jpg --zones client.jpg", {}, 3,
     "client.jpg: this is no zones file; give the one that the marking page saves (weftmatch mark PHOTO)"),
    usage("zone without its numbers", "match client.jpg --zone mid",
          "zone 'mid' is not KIND=X,Y,W,H or KIND:NAME=X,Y,W,H in pixels; write for example root=410,300,60,40"),
    usage("zone of three numbers", "match client.jpg --zone mid=1,2,3",
          "zone 'mid=1,2,3' is not KIND=X,Y,W,H or KIND:NAME=X,Y,W,H in pixels; write for example root=410,300,60,40"),
    usage("zone with NaN", "match client.jpg --zone mid=1,2,nan,4",
          "zone 'mid=1,2,nan,4' is not KIND=X,Y,W,H or KIND:NAME=X,Y,W,H in pixels; write for example root=410,300,60,40"),
    usage("zone with infinity", "match client.jpg --zone mid=1,2,inf,4",
          "zone 'mid=1,2,inf,4' is not KIND=X,Y,W,H or KIND:NAME=X,Y,W,H in pixels; write for example root=410,300,60,40"),
    usage("zone with decimal commas", "match client.jpg --zone mid=1,5,2,5,30,5,40,5",
          "zone 'mid=1,5,2,5,30,5,40,5' is not KIND=X,Y,W,H or KIND:NAME=X,Y,W,H in pixels; write for example root=410,300,60,40"),
    usage("zone in words", "match client.jpg --zone mid=left,top,30,40",
          "zone 'mid=left,top,30,40' is not KIND=X,Y,W,H or KIND:NAME=X,Y,W,H in pixels; write for example root=410,300,60,40"),
    ("zone of an unknown kind", "match client.jpg --zone mids=1,2,30,40", {}, 3,
     "zone 'mids=1,2,30,40': unknown kind 'mids'; did you mean 'mid'?"),
    ("zone empty", "match client.jpg --zone mid=1,2,0,40", {}, 3, "zone 'mid=1,2,0,40': its rect is empty; width and height must be above 0"),
    ("zone turned inside out", "match client.jpg --zone mid=100,100,-30,40", {}, 3,
     "zone 'mid=100,100,-30,40': its rect is empty; width and height must be above 0"),
    ("zone outside the photo", "match client.jpg --zone mid=480,200,40,40", {}, 3,
     "zone 'mid': it reaches outside the photo (it spans x 480 to 520, y 200 to 240; the photo is 500 x 400 upright); move it inside"),
    ("zone far outside the photo", "match client.jpg --zone mid=48000,200,40,40", {}, 3,
     "zone 'mid': it lies outside the photo (it spans x 48000 to 48040, y 200 to 240; the photo is 500 x 400 upright); move it inside"),
    ("zone between the pixels", "match client.jpg --zone mid=100.6,100.6,0.2,0.2", {}, 3,
     "zone 'mid': it is empty, no pixel's centre lies in it; draw it larger"),
    ("two zones of one name", f"{MATCH} --zone mid=1,1,20,20", {}, 3, "zone 'mid': two client zones have this name; give one of them another"),
    ("a card and no hair", "match client.jpg --zone card=10,10,20,20", {}, 3,
     "no client zone is given; mark at least one of root, mid, ends or gray (--zone KIND=X,Y,W,H or --zones FILE)"),
    ("a swatch as an option", "match client.jpg --zone swatch=10,10,20,20", {}, 3,
     "zone 'swatch=10,10,20,20': a swatch can't be given in an option; write it into a zones file (--zones FILE)"),
    usage("card without its colour", f"{MATCH} --card 50,0", "--card can't be '50,0'; give L,a,b such as 50,0,0"),
    usage("card of an impossible colour", f"{MATCH} --card 500,0,0", "--card can't be '500,0,0'; give L,a,b such as 50,0,0"),
    # zones file
    ("zones file missing", "match client.jpg --zones none.json", {}, 3, "none.json: no such file; check the name and the folder"),
    ("zones file is a folder", "match client.jpg --zones .", {}, 3, ".: this is a folder; name a file in it"),
    zones("zones file empty", "", ":1: not valid JSON (unexpected token near end of file); correct the text here"),
    zones("zones file not JSON", "{ zones: none }", ":1:7: not valid JSON (string or '}' expected near 'zones'); correct the text here"),
    zones("zones file cut off", '{"format": 1, "zones": [', ":1:24: not valid JSON (']' expected near end of file); correct the text here"),
    zones("zones file with a NUL in a name", '{"format": 1, "photo": "a\\u0000b"}', ":1:33: a text with \\u0000 in it; take that out"),
    zones("zones file in UTF-16", '{"format": 1}'.encode("utf-16"), ":1: not valid JSON (unable to decode byte 0xff); correct the text here"),
    zones("zones file is a list", "[]", "this is not a zones file: it holds a list; save one from the marking page"),
    zones("zones file without format", '{"zones": []}', "'format' is missing; a zones file has \"format\": 1"),
    zones("zones file of a newer format", '{"format": 2, "zones": []}',
          "this zones file has a newer format than 1, which is all that this version reads; update weftmatch or mark the zones again"),
    zones("zones file without zones", '{"format": 1}', "'zones' is missing; give a list of zones"),
    zones("zones of a wrong type", '{"format": 1, "zones": "mid"}', "'zones' is a text; give a list of zones"),
    zones("zone without a kind", one_zone('{"rect": [1,2,30,40]}'),
          "zone 1: 'kind' is missing; give root, mid, ends, gray, swatch, card or target"),
    zones("zone of an unknown kind", one_zone('{"kind": "hair", "rect": [1,2,30,40]}'),
          "zone 1 (hair): unknown kind 'hair'; kinds are root, mid, ends, gray, swatch, card and target"),
    zones("zone without a shape", one_zone('{"kind": "root", "name": "crown"}'), "zone 'crown': it has no shape; give 'rect' or 'polygon'"),
    zones("rect of three numbers", one_zone('{"kind": "root", "rect": [1,2,3]}'),
          "zone 1 (root): 'rect' is not [X, Y, width, height] in pixels; correct it"),
    zones("rect of a text", one_zone('{"kind": "root", "rect": "1,2,3,4"}'),
          "zone 1 (root): 'rect' is a text; give [X, Y, width, height] in pixels"),
    zones("rect empty", one_zone('{"kind": "root", "rect": [1,2,0,4]}'), "zone 1 (root): its rect is empty; width and height must be above 0"),
    zones("polygon of two points", one_zone('{"kind": "root", "polygon": [[1,1],[9,9]]}'),
          "zone 1 (root): its polygon is empty: it has fewer than three different corners; draw it again"),
    zones("polygon that crosses itself", one_zone('{"kind": "gray", "name": "bow", "polygon": [[10,10],[90,90],[90,10],[10,90]]}'),
          "zone 'bow': its polygon is empty: its corners lie on one line, or its sides cross; draw it again"),
    zones("name of a wrong type", one_zone('{"kind": "root", "name": 7, "rect": [1,2,3,4]}'), "zone 1 (root): 'name' is a number; give a text"),
    zones("two zones of one name", one_zone(MID + ", " + MID), "zone 'mid': two client zones have this name; give one of them another"),
    zones("swatch without a code", one_zone(MID + ', {"kind": "swatch", "rect": [1,2,30,40]}'),
          "zone 2 (swatch): 'code' is missing; give the swatch's code in the catalogue"),
    zones("card's colour impossible", one_zone(MID + ', {"kind": "card", "rect": [1,2,30,40], "lab": [150,0,0]}'),
          "zone 2 (card): 'lab' is outside L 0 to 100, a and b -128 to 127; give the card's CIELAB colour"),
    zones("target of three corners",
          one_zone(MID + ', {"kind": "target", "corners": [[1,1],[9,1],[9,9]], "rows": 2, "columns": 2, "reference": "t.txt"}'),
                   "zone 2 (target): 'corners' has 3 points; give the centres of the four corner patches"),
    zones("target crossing itself",
          one_zone(MID + ', {"kind": "target", "corners": [[0,0],[90,0],[0,90],[90,90]], "rows": 2, "columns": 2, "reference": "t.txt"}'),
                   "zone 2 (target): its four corners make no four-sided shape; give the centre of the patch that the reference lists first, then along its row, then clockwise"),
    zones("target without a reference", one_zone(MID + ', {"kind": "target", "corners": [[0,0],[90,0],[90,90],[0,90]], "rows": 2, "columns": 2}'),
          "zone 2 (target): 'reference' is missing; give the path of the CGATS.17 file that came with the target"),
    placed("zone outside the photo", '{"kind": "root", "name": "crown", "rect": [490,10,60,40]}',
           "zone 'crown': it reaches outside the photo (it spans x 490 to 550, y 10 to 50; the photo is 500 x 400 upright); move it inside"),
    placed("swatch at an unknown zone", MID + ', {"kind": "swatch", "code": "loam", "at": "midd", "rect": [1,2,30,40]}',
           "zone 2 (swatch loam): it is held at 'midd', but no client zone has that name; did you mean 'mid'?"),
    placed("swatch of an unknown code", MID + ', {"kind": "swatch", "code": "lome", "at": "mid", "rect": [1,2,30,40]}',
           "swatch 'lome' is not in the catalogue; correct the zone's code or add the swatch"),
    placed("only aids", '{"kind": "card", "rect": [1,2,30,40]}',
           "no client zone is given; mark at least one of root, mid, ends or gray (--zone KIND=X,Y,W,H or --zones FILE)"),
    ("zones file and the same zone again", f"{MATCH} --zones bad.json", {"bad.json": one_zone(MID)}, 3,
     "bad.json: zone 'mid': two client zones have this name; give one of them another"),
    # target references
    target("target's reference missing", None, ": no such file; check the name and the folder"),
    target("target's reference is no CGATS", "white,50,0,0\n", ":1:1: the first line is not CGATS.17; export the table as CGATS.17 (ISO 28178)"),
    target("target's reference without Lab", CGATS.replace("LAB_L", "CMYK_C") % "1 1 2 3\n2 1 2 3\n3 1 2 3\n4 1 2 3\n",
           ": no column LAB_L; a target's reference needs LAB_L LAB_A LAB_B"),
    target("target's reference of another size", CGATS.replace("SETS 4", "SETS 1") % "1 50 0 0\n",
           ": 1 patches where the zone has 2 x 2; give the target's rows and columns as printed"),
    target("target's reference with decimal commas", CGATS % "1 50,5 0 0\n2 50 0 0\n3 50 0 0\n4 50 0 0\n",
           ":8:3: LAB_L: '50,5' is not a number; write a decimal point, not a comma"),
    target("target's reference with NaN", CGATS % "1 nan 0 0\n2 50 0 0\n3 50 0 0\n4 50 0 0\n",
           ":8:3: LAB_L: 'nan' is not a number; write a number such as 41.5"),
    target("target's reference of an impossible colour", CGATS % "1 50 0 0\n2 500 0 0\n3 50 0 0\n4 50 0 0\n",
           ":9: not a colour; L* is 0 to 100, a* and b* -128 to 127"),
    # catalogues
    ("catalogue missing", f"{MATCH} --swatches none.csv", {}, 3, "none.csv: no such file; check the name and the folder"),
    ("catalogue is a folder", f"{MATCH} --swatches .", {}, 3, ".: a catalogue's name ends in .csv or .txt (CGATS.17); rename it"),
    catalogue("catalogue of another ending", "code,L,a,b\n", ": a catalogue's name ends in .csv or .txt (CGATS.17); rename it", "bad.xls"),
    catalogue("catalogue empty", "", ": the file is empty; its first line must name the columns, e.g. code,L,a,b"),
    catalogue("catalogue of a header only", "code,L,a,b\n", ": no swatches in it; add a row for each shade"),
    catalogue("catalogue without a column", "code,L,a\noat,60,4\n", ":1: column b is missing; the header must name code, L, a and b"),
    catalogue("catalogue with a column twice", "code,L,a,b,L\noat,60,4,20,60\n", ":1:12: column 'L' is named twice; keep one"),
    catalogue("catalogue with tabs", "code\tL\ta\tb\noat\t60\t4\t20\n", ":1:1: the columns are separated by tabs; save with commas or semicolons between columns"),
    catalogue("catalogue with decimal commas", 'code,L,a,b\noat,"60,5",4,20\n', ":2:5: '60,5' in column L has a decimal comma; write a point"),
    catalogue("catalogue with NaN", "code,L,a,b\noat,60,nan,20\n",
              ":2:8: 'nan' in column a is not a number; write it like 27.5, without a unit"),
    catalogue("catalogue with infinity", "code,L,a,b\noat,60,4,inf\n",
              ":2:10: 'inf' in column b is not a number; write it like 27.5, without a unit"),
    catalogue("catalogue with a text for a number", "code,L,a,b\noat,light,4,20\n",
              ":2:5: 'light' in column L is not a number; write it like 27.5, without a unit"),
    catalogue("catalogue out of range", "code,L,a,b\noat,60,4,20\nash,160,4,20\n",
              ":3:5: 160 in column L is out of range; it must be from 0 to 100"),
    catalogue("catalogue with an empty cell", "code,L,a,b\noat,60,,20\n", ":2:8: column a is empty in this row; every row needs one"),
    catalogue("catalogue without a code", "code,L,a,b\n,60,4,20\n", ":2:1: column code is empty in this row; every row needs one"),
    catalogue("catalogue with a code twice", "code,L,a,b\noat,60,4,20\noat,60,4,20\n",
              ":3: 'oat' of this length is on line 2 already; remove one or give another length"),
    catalogue("catalogue with two colours of a code", "code,L,a,b,length_cm\noat,60,4,20,40\noat,61,4,20,50\n",
              ":3: 'oat' has another colour on line 2; one code has one colour, so correct one of them"),
    catalogue("catalogue of an unknown kind", "code,L,a,b,kind\noat,60,4,20,wig\n",
              ":2:13: 'wig' in column kind is not known; write hair or bead"),
    catalogue("catalogue with too many cells", "code,L,a,b\noat,60,4,20,7\n",
              ":2:13: 5 cells where the header has 4; check for decimal commas, and put text with a comma in quotes"),
    catalogue("catalogue with an open quote", 'code,L,a,b\n"oat,60,4,20\n',
              ":2:1: the quote that opens here is never closed; close it, or write a quote inside a cell twice"),
    catalogue("catalogue not in UTF-8", b"code,L,a,b,name\noat,60,4,20,bl\xe9\n",
              ":2: this line is not text in UTF-8; save the file as CSV in UTF-8"),
    catalogue("catalogue in UTF-16", "code,L,a,b\noat,60,4,20\n".encode("utf-16"), ":1:1: saved as UTF-16; save it as CSV in UTF-8"),
    catalogue("CGATS catalogue cut off", "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L",
              ":3:16: END_DATA_FORMAT is missing; write it behind the last field name", "bad.txt"),
    ("catalogue to check missing", "swatch check none.csv", {}, 3, "none.csv: no such file; check the name and the folder"),
    ("catalogue to convert missing", "swatch convert none.csv out.txt", {}, 3, "none.csv: no such file; check the name and the folder"),
    ("catalogue loses columns", "swatch convert swatches.csv out.txt", {}, 3,
     "CGATS.17 can't carry the column kind; write a .csv, or allow the loss with --lossy"),
    usage("catalogue to an unknown ending", "swatch convert swatches.csv out.pdf",
          "out.pdf: a catalogue's name ends in .csv or .txt (CGATS.17); choose one of them"),
    # blends
    usage("blend of nothing", "blend", "nothing to blend is given; give CODE=SHARE CODE=SHARE --mixed, or --layers CODE,CODE,CODE"),
    usage("blend without a share", "blend loam", "'loam' is not part of a blend; write CODE=SHARE such as oat=0.7"),
    usage("blend of a number with thousands", "blend loam=1.000,5 clay=0,5", "'loam=1.000,5' is not part of a blend; write CODE=SHARE such as oat=0.7"),
    usage("blend of NaN", "blend loam=nan clay=0.5", "'loam=nan' is not part of a blend; write CODE=SHARE such as oat=0.7"),
    usage("blend that is not whole", "blend loam=0.5 clay=0.4", "the shares of a mix do not add up to 1; correct them"),
    ("blend of an unknown code", "blend loam=0.5 clai=0.5", {}, 3, "the catalogue has no shade 'clai'; did you mean 'clay'?"),
    usage("four layers", "blend --layers loam,clay,loam,clay", "a row has at most 3 layers, 'loam,clay,loam,clay' names more; leave one out"),
    usage("three shades in a row", "blend --layers loam,clay,fig",
          "a row is sewn from at most two shades, 'loam,clay,fig' names three; leave one out"),
    usage("fineness out of range", "blend loam=0.5 clay=0.5 --fineness 2",
          "--fineness can't be '2'; give 0 (separate locks) to 1 (mixed fibre by fibre)"),
    # books
    ("no book: client", f"{MATCH} --client Anna", {}, 5, 'salon.book: there is no book yet; add a client first: weftmatch client add "NAME"'),
    ("no book: list", "client list", {}, 5, 'salon.book: there is no book yet; add a client first: weftmatch client add "NAME"'),
    ("no book: report", "report --visit 1", {}, 5, 'salon.book: there is no book yet; add a client first: weftmatch client add "NAME"'),
    ("book is a folder", "client list --book .", {}, 5, ".: is not a file; name a book with --book"),
    ("book is a text", "client list --book bad.book", {"bad.book": "Anna, Bea, Carla and others: " * 9}, 5,
     "bad.book: is not a book; name another with --book"),
    ("book is a text: add", "client add Dora --book bad.book", {"bad.book": "Anna, Bea, Carla and others: " * 9}, 5,
     "bad.book: is not a book; name another with --book"),
    ("book empty", "client list --book bad.book", {"bad.book": ""}, 5, 'bad.book: is empty; add a client first: weftmatch client add "NAME"'),
    ("book of another program", "client add Dora --book bad.book", {"bad.book": "FOREIGN"}, 5,
     "bad.book: is another program's database, not a book; name another with --book"),
    ("book of a newer version", "client add Dora --book bad.book", {"bad.book": "NEWER"}, 5,
     "bad.book: was written by a newer weftmatch (book version 99, this one knows 4); update weftmatch"),
    ("book damaged", "client list --book bad.book", {"bad.book": "DAMAGED"}, 5,
     "bad.book: is damaged; run weftmatch book check, or go back to a backup; nothing was changed"),
    ("unknown client", "client show Xenia --book good.book", {"good.book": "GOOD"}, 5,
     "good.book: no client 'Xenia'; add her first: weftmatch client add \"Xenia\""),
    ("client mistyped", "client show Ana --book good.book", {"good.book": "GOOD"}, 5, "good.book: no client 'Ana'; did you mean Anna Berg (1)?"),
    ("client ambiguous", "client show Ann --book good.book", {"good.book": "GOOD"}, 5,
     "good.book: 'Ann' fits several clients: Anna Berg (1), Annika Lund (2); give more of the name, or the number"),
    ("unknown number", "client history 99 --book good.book", {"good.book": "GOOD"}, 5,
     "good.book: no client has the number 99; see weftmatch client list"),
    ("client twice", "client add 'anna berg' --book good.book", {"good.book": "GOOD"}, 5,
     "good.book: a client named 'anna berg' is there already; add something that tells them apart"),
    ("client without visits", "report --client 'Anna Berg' --book good.book", {"good.book": "GOOD"}, 5,
     'Anna Berg has no saved visit with a photo; weftmatch match PHOTO --client "Anna Berg" saves one'),
    ("unknown visit", "report --visit 9 --book good.book", {"good.book": "GOOD"}, 5,
     "good.book: there is no visit 9; see weftmatch client history NAME"),
    ("client mistyped in match", f"{MATCH} --client Ana --book good.book", {"good.book": "GOOD"}, 5,
     "good.book: no client 'Ana'; did you mean Anna Berg (1)?"),
    usage("client without a name", "client add ''", "a client's name has 1 to 127 bytes; write one that fits"),
    usage("client who is a number", "client add 12", "a client's name can't be a number, since numbers are ids; add a letter"),
    usage("client on two lines", "client add 'Anna\nBerg'", "a client's name is one line of plain text; write it without control characters"),
    usage("report of nobody", "report", "whose report? give --client NAME for her latest, or --visit ID"),
    usage("visit that is no number", "report --visit last",
          "--visit can't be 'last'; give the number of a visit, see weftmatch client history NAME"),
    # settings
    usage("setting without a value", "salon set units", "'units' is not a setting; write KEY=VALUE, see weftmatch salon show"),
    usage("setting mistyped", "salon set unit=cm", "no setting is called 'unit'; did you mean 'units'?"),
    usage("setting out of its words", "salon set units=feet", "units can't be 'feet'; give cm or in"),
    usage("setting of a comma number", "salon set row_fee=1,250", "'1,250' could be 1.25 or 1250; write it as one of these"),
    usage("setting of NaN", "salon set blend_g=nan", "blend_g can't be 'nan'; give a number from 0.4 to 0.9"),
    usage("setting out of range", "salon set max_layers=4", "max_layers can't be '4'; give a whole number from 1 to 3"),
    usage("setting that falls", "salon set verdict=3.6,1.8,7.2",
          "verdict can't be '3.6,1.8,7.2'; give 3 numbers from 0.1 to 50 with commas between, rising"),
    usage("setting that does not sum", "salon set area_weights=0.5,0.4,0.3",
          "area_weights can't be '0.5,0.4,0.3'; give three numbers that sum to 1"),
    usage("currency that is none", "salon set currency=euro",
          "currency can't be 'euro'; give an ISO 4217 code of three capital letters such as EUR"),
    # plan, visits, recheck
    usage("plan of nothing", "plan --arc 29", "nothing to plan is given; give --visit ID, or --layers CODE,CODE,CODE"),
    usage("plan without an arc", "plan --layers loam,clay",
          "--arc is missing; measure from ear to ear where the row will lie, and give it as --arc 29"),
    usage("plan of two things", "plan --layers loam --visit 1 --arc 29", "--visit and --layers can't go together; give one of them"),
    ("plan of an unknown code", "plan --layers loam,clai --arc 29", {}, 3, "the catalogue has no shade 'clai'; did you mean 'clay'?"),
    ("plan of an unknown visit", "plan --visit 9 --arc 29 --book good.book", {"good.book": "GOOD"}, 5,
     "good.book: there is no visit 9; see weftmatch client history NAME"),
    usage("plan of a hair that is none", "plan --layers loam --arc 29 --hair curly", "--hair can't be 'curly'; give fine, medium or coarse"),
    usage("a count that is none", "stock count moth three", "'three' is no number of packs; give a whole number from 0 up"),
    usage("visit of which nothing is said", "visit add anna", "what was done at the visit? say --kind, --installed, --charged or --note; a visit with a photo is saved by weftmatch match PHOTO --client NAME"),
    usage("visit in words", "visit set last --note x --book good.book",
          "'last' is no visit; give its number, see weftmatch client history NAME"),
    ("visit unknown", "visit set 9 --note x --book good.book", {"good.book": "GOOD"}, 5,
     "good.book: there is no visit 9; see weftmatch client history NAME"),
    ("visit without a book", "visit set 1 --note x", {}, 5, 'salon.book: there is no book yet; add a client first: weftmatch client add "NAME"'),
    ("no book: check", "book check", {}, 5, 'salon.book: there is no book yet; add a client first: weftmatch client add "NAME"'),
    ("no book: backup", "book backup copy.book", {}, 5, 'salon.book: there is no book yet; add a client first: weftmatch client add "NAME"'),
    ("backup exists", "book backup client.jpg --book good.book", {"good.book": "GOOD"}, 6,
     "client.jpg: exists; a backup never overwrites, name a new file"),
    ("backup in no folder", "book backup none/copy.book --book good.book", {"good.book": "GOOD"}, 6,
     "none/copy.book: the folder does not exist; make it first"),
    ("no book: recheck", "recheck", {}, 5, 'salon.book: there is no book yet; add a client first: weftmatch client add "NAME"'),
    ("recheck without a catalogue", "recheck --swatches none.csv --book good.book", {"good.book": "GOOD"}, 3,
     "none.csv: no such file; check the name and the folder"),
    usage("a day that is none", "client coming Anna soon --book good.book", "'soon' is no day; give one such as 2026-03-31"),
    ("no book: orders", "orders", {}, 5, 'salon.book: there is no book yet; add a client first: weftmatch client add "NAME"'),
    ("orders without a catalogue", "orders --swatches none.csv --book good.book", {"good.book": "GOOD"}, 3,
     "none.csv: no such file; check the name and the folder"),
    usage("packs that are none", "stock add loam some --book good.book", "'some' is no number of packs; give a whole number from 1 up"),
    ("packs of an unknown shade", "stock add clai 2 --book good.book", {"good.book": "GOOD"}, 3, "the catalogue has no shade 'clai'; did you mean 'clay'?"),
    ("a cut length that is not there", "stock remove 9 --book good.book", {"good.book": "GOOD"}, 5,
     "good.book: no cut length 9 lies ready; see weftmatch stock list"),
    usage("a cut length in words", "stock remove all --book good.book", "'all' is no cut length; give its number, see weftmatch stock list"),
    # measuring swatches, comparing, moving clients
    usage("swatches of a grid without codes", "swatch add client.jpg --grid 2x2 --into new.csv --zone card=10,10,20,20",
          "--grid needs the swatches' codes; give --codes FILE, row by row, one a line, - for an empty place"),
    usage("grid in words", "swatch add client.jpg --grid four --codes codes.txt --into new.csv",
          "--grid can't be 'four'; give rows x columns such as 3x4, at most 40 of each"),
    usage("codes without a grid", "swatch add client.jpg --codes codes.txt --into new.csv",
          "--codes goes with --grid; for one swatch give --code"),
    ("swatches without anything known beside", "swatch add client.jpg --zone mid:new=300,200,40,40 --into new.csv", {}, 3,
     "nothing of known colour is in the picture, and so few swatches say nothing of each other; lay a gray card, white paper or known swatches beside them, or photograph the whole ring at once"),
    ("no swatch to add", "swatch add client.jpg --zone card=10,10,20,20 --into new.csv", {}, 3,
     "no swatch to measure; mark each and name its zone by its code, or give --grid and --codes for a sheet"),
    ("codes missing", "swatch add client.jpg --grid 2x2 --codes none.txt --into new.csv --zone card=10,10,20,20", {}, 3,
     "none.txt: no such file; check the name and the folder"),
    ("too few codes", "swatch add client.jpg --grid 2x2 --codes codes.txt --into new.csv --zone card=10,10,20,20", {"codes.txt": "a\nb\n"}, 3,
     "codes.txt: holds 2 codes, a grid of 2 x 2 has 4 places; write one a line, - for an empty place"),
    ("swatches from no photo", "swatch add none.jpg --zone mid:new=300,200,40,40 --zone card=10,10,20,20 --into new.csv", {}, 4,
     "none.jpg: no such file; check the name and the folder"),
    usage("a code for many photos", "swatch add client.jpg other.jpg --code moth --into new.csv", "--code is of one photo; add that photo by itself"),
    usage("zones of one photo among two", "swatch add client.jpg other.jpg --zones client.zones.json --into new.csv",
          "there are 2 photos and 1 --zones; give each photo's in the same order, or none: then the one beside each is read, client.zones.json beside client.jpg"),
    usage("compare a visit with itself", "compare --visits 1 1", "both are visit 1; name two"),
    usage("compare nothing", "compare", "nothing to compare with; give two photos with --zones for each, in order, or --visits OLD NEW"),
    usage("compare one photo", "compare client.jpg --zones client.zones.json",
          "nothing to compare with; give two photos with --zones for each, in order, or --visits OLD NEW"),
    usage("compare one visit", "compare --visits 1 --book good.book",
          "--visits needs two numbers of visits, such as --visits 3 5; see weftmatch client history NAME"),
    ("compare a photo that is not there", "compare client.jpg none.jpg --zones client.zones.json --zones client.zones.json", {}, 4,
     "none.jpg: no such file; check the name and the folder"),
    ("compare an unknown visit", "compare --visits 7 8 --book good.book", {"good.book": "GOOD"}, 5,
     "good.book: there is no visit 7; see weftmatch client history NAME"),
    usage("export to nowhere", "client export Anna --book good.book", "no file is given; say where hers goes with -o client.json"),
    ("export of nobody", "client export Xenia -o x.json --book good.book", {"good.book": "GOOD"}, 5,
     "good.book: no client 'Xenia'; add her first: weftmatch client add \"Xenia\""),
    ("export exists", "client export 'Anna Berg' -o client.jpg --book good.book", {"good.book": "GOOD"}, 6,
     "client.jpg: exists already; give --force to overwrite it"),
    ("import of nothing", "client import none.json --book good.book", {"good.book": "GOOD"}, 5,
     "none.json: no such file; check the name and the folder"),
    ("import of something else", "client import client.zones.json --book good.book", {"good.book": "GOOD"}, 5,
     "client.zones.json: is not an exported client; name a file that client export wrote"),
    ("import of a text", "client import bad.json --book good.book", {"good.book": "GOOD", "bad.json": "Anna Berg, long hair"}, 5,
     "bad.json:1:4: not valid JSON (invalid token near 'Anna'); correct the text here"),
    ("import makes no book for a bad file", "client import client.zones.json", {}, 5,
     "client.zones.json: is not an exported client; name a file that client export wrote"),
    ("forget nobody", "client forget Xenia --yes --book good.book", {"good.book": "GOOD"}, 5,
     "good.book: no client 'Xenia'; add her first: weftmatch client add \"Xenia\""),
    ("forget without yes", "client forget 'Anna Berg' --book good.book", {"good.book": "GOOD"}, 2,
     "forgetting Anna Berg can't be undone; to do it add --yes"),
    usage("blend calibrated with more", "blend loam=0.5 clay=0.5 --calibrate client.jpg",
          "--calibrate measures a photo; give it alone, with --zones"),
    ("blend calibrated without shades", f"blend --calibrate client.jpg {ZONE}", {}, 3,
     "the blend and its shades are not marked; mark both pure shades as swatches with their codes, and the 50/50 blend as one zone of kind mid"),
    # options and verbs
    usage("verb unknown", "paint client.jpg", "unknown verb 'paint'; see weftmatch --help"),
    usage("verb mistyped", "macth client.jpg", "unknown verb 'macth'; did you mean 'match'?"),
    usage("verb of two words mistyped", "swatch chekc swatches.csv", "unknown verb 'swatch chekc'; did you mean 'swatch check'?"),
    usage("verb half said", "client", "'client' alone is not a verb; it is followed by add, list, show, history, export, import, rename, note, merge, coming or forget"),
    usage("verb half unknown", "client hug Anna",
          "unknown verb 'client hug'; 'client' is followed by add, list, show, history, export, import, rename, note, merge, coming or forget"),
    usage("option before the verb", "--json match client.jpg", "unknown option '--json'; give the verb first, see weftmatch --help"),
    usage("option unknown", f"{MATCH} --shiny", "unknown option '--shiny' for match; see weftmatch match --help"),
    usage("option mistyped", f"{MATCH} --swatchs swatches.csv", "unknown option '--swatchs' for match; did you mean '--swatches'?"),
    usage("option of another verb", "client list --worn up", "unknown option '--worn' for client list; see weftmatch client list --help"),
    usage("letter unknown", f"{MATCH} -x", "unknown option '-x' for match; see weftmatch match --help"),
    usage("option without its value", "match client.jpg --zone", "--zone needs a value; write --zone KIND[:NAME]=X,Y,W,H"),
    usage("letter without its value", f"{MATCH} -o", "-o needs a value; write -o FILE"),
    usage("flag with a value", f"{MATCH} --json=yes", "--json takes no value; leave out '=yes'"),
    usage("option twice", f"{MATCH} --worn up --worn down", "--worn is given twice; give it once"),
    usage("choice that is none", f"{MATCH} --worn sideways", "--worn can't be 'sideways'; give down, up or both"),
    usage("operand missing", "match", "match needs PHOTO; see weftmatch match --help"),
    usage("zones file without its option", "match client.jpg client.zones.json", "match takes PHOTO, 'client.zones.json' is too much; a zones file goes behind --zones"),
    usage("catalogue without its option", "match client.jpg swatches.csv", "match takes PHOTO, 'swatches.csv' is too much; a catalogue goes behind --swatches"),
    usage("client without her option", "report Anna", "report takes options alone, 'Anna' is too much; a client's name goes behind --client"),
    usage("visit to a client without her option", "visit move 1 Anna", "visit move takes ID, 'Anna' is too much; a client's name goes behind --client"),
    usage("photo without a verb", "client.jpg", "'client.jpg' is a file, not a verb; for a photo write weftmatch match client.jpg"),
    usage("verb of two words, many", "swatches", "unknown verb 'swatches'; did you mean 'swatch'? It is followed by add, list, check or convert"),
    usage("help for a verb mistyped", "help clietn",
          "unknown verb 'clietn'; did you mean 'client'? It is followed by add, list, show, history, export, import, rename, note, merge, coming or forget"),
    usage("operand too many", "match client.jpg other.jpg", "match takes PHOTO, 'other.jpg' is too much; a name with spaces goes in quotes"),
    usage("lines of nothing", f"{MATCH} --lines 0", "--lines can't be '0'; give a whole number from 1 to 100000"),
    usage("lines in words", f"{MATCH} --lines ten", "--lines can't be 'ten'; give a whole number from 1 to 100000"),
    usage("jobs beyond sense", f"{MATCH} --jobs 100000", "--jobs can't be '100000'; give a whole number from 1 to 256"),
    usage("date that is none", f"{MATCH} --date 2026-02-30", "--date can't be '2026-02-30'; give a day such as 2026-03-31"),
    usage("date of another order", f"{MATCH} --date 31.3.2026", "--date can't be '31.3.2026'; give a day such as 2026-03-31"),
    usage("price that could be two", f"{MATCH} --max-price 1,050",
          "'1,050' could be 1.05 or 1050; write it as one of these"),
    usage("arc of NaN", f"{MATCH} --arc nan", "'nan' is not a length; give a number with or without its unit, such as 29, 29cm or 11.5in"),
    usage("arc in a strange unit", f"{MATCH} --arc 29ell",
          "'29ell' is not a length; give a number with or without its unit, such as 29, 29cm or 11.5in"),
    usage("arc below the margins", f"{MATCH} --arc 4",
          "an arc of 4.0 cm (1.6 in) leaves no row between the margins at the hairline, 5.0 cm (2.0 in) in all; measure it again or set a smaller hairline_margin_cm"),
    usage("arc below zero", f"{MATCH} --arc=-4", "the length '-4' is not possible; give one above 0 and up to 200 cm (78.7 in)"),
    usage("nine rows", MATCH + " --arc 29" * 9, "at most 8 rows fit one plan, 9 are given; plan the others apart"),
    usage("calendar without a plan", f"{MATCH} --ics next.ics", "--ics needs a plan; give the arc of the row with --arc"),
    usage("row without a place", f"{MATCH} --row 29", "--row can't be '29'; give PLACE=LENGTH, the place back, crown, nape or side"),
    # outputs
    ("output exists", f"{MATCH} -o there.txt", {"there.txt": "x"}, 6, "there.txt: exists already; give --force to overwrite it"),
    ("output is the photo", f"{MATCH} -o client.jpg --force", {}, 6, "client.jpg: is read by this command; name another file for the output"),
    ("page exists", f"{MATCH} --html there.html", {"there.html": "x"}, 6, "there.html: exists already; give --force to overwrite it"),
    ("page is the photo", f"{MATCH} --html client.jpg --force", {}, 6, "client.jpg: is read by this command; name another file for the output"),
    ("marking page exists", "mark client.jpg -o swatches.csv", {}, 6, "swatches.csv: exists already; give --force to overwrite it"),
    ("page and result on stdout", f"{MATCH} --html -", {}, 6, TWICE_STDOUT),
    ("page and JSON on stdout", f"{MATCH} --html - --json -o -", {}, 6, TWICE_STDOUT),
    ("page and calendar on stdout", f"{MATCH} --arc 29 --html - --ics - -o out.txt", {}, 6, TWICE_STDOUT),
    ("calendar and plan on stdout", "plan --layers loam --arc 29 --ics -", {}, 6, TWICE_STDOUT),
    ("catalogue exists", "swatch convert swatches.csv there.csv", {"there.csv": "x"}, 6, "there.csv: exists already; give --force to overwrite it"),
    ("catalogue is the one read", "swatch convert swatches.csv swatches.csv --force", {}, 6,
     "swatches.csv: is read by this command; name another file for the output"),
    ("output in no folder", f"{MATCH} -o none/out.txt", {}, 6, "none/out.txt: the folder does not exist; make it first"),
    ("output below a file", f"{MATCH} -o client.jpg/out.txt", {}, 6, "client.jpg/out.txt: part of the path is not a folder; check the name"),
    ("page below a file", f"{MATCH} --html client.jpg/out.html", {}, 6, "client.jpg/out.html: part of the path is not a folder; check the name"),
    ("calendar below a file", f"{MATCH} --arc 29 --ics client.jpg/out.ics", {}, 6,
     "client.jpg/out.ics: part of the path is not a folder; check the name"),
    ("output is a folder", f"{MATCH} -o .", {}, 6, ".: this is a folder; name a file in it"),
    ("output on a full disk", f"{MATCH} --force -o /dev/full", {}, 6, "/dev/full: no space left for it; make room or choose another disk"),
    ("list on a full disk", "swatch list --force -o /dev/full", {}, 6, "/dev/full: no space left for it; make room or choose another disk"),
]


def make_books(bench):
    """The bytes behind the words that stand for books in the table."""
    books = {}
    bench.good("client", "add", "Anna Berg", "--book", "made.book")
    bench.good("client", "add", "Annika Lund", "--book", "made.book")
    books["GOOD"] = bench.read("made.book")
    head = bytearray(books["GOOD"])
    head[60:64] = (99).to_bytes(4, "big")  # user_version
    books["NEWER"] = bytes(head)
    head = bytearray(books["GOOD"])
    head[68:72] = (4711).to_bytes(4, "big")  # application_id
    books["FOREIGN"] = bytes(head)
    books["DAMAGED"] = books["GOOD"][:4096] + b"\xa5" * (len(books["GOOD"]) - 4096)
    bench.remove("made.book")
    return books


def fault_of(done, code, message, before, after):
    said = done.stderr.decode()
    if done.returncode != code:
        return f"exit {done.returncode}, not {code}: {said}"
    if said != f"weftmatch: {message}\n":
        return f"said {said!r}, not {message!r}"
    if ";" not in said and "?" not in said:
        return f"does not say what to do: {said!r}"
    if done.stdout:
        return f"printed {done.stdout[:80]!r} on stdout"
    if before != after:
        return f"files changed: {set(before.items()) ^ set(after.items())}"
    return None


def main():
    bench = Bench(sys.argv[1], sys.argv[2])
    books = make_books(bench)
    table = "--table" in sys.argv
    for what, command, files, code, message in CASES:
        for name, content in files.items():
            bench.write(name, books.get(content, content) if isinstance(content, str) else content)
        before = bench.state()
        done = bench.run(*shlex.split(command))
        after = bench.state()
        if table:
            print(f"| {what} | `{' '.join(command.split())}` | {done.returncode} | {done.stderr.decode().strip()} |")
        else:
            bench.report(what, fault_of(done, code, message, before, after))
        for name in files:
            bench.remove(name)
    if not table:
        print(f"# {len(CASES)} cases")
        bench.end()


if __name__ == "__main__":
    main()
