"""Bad input: each case ends with its exit code and exactly one line on stderr that says what is wrong and what to do; nothing is printed
on stdout, and no file is made, changed or left half written.

Usage: bad_input.py WEFTMATCH WM_RENDER [--table]      --table prints the cases as Markdown with what was really said."""
import io
import shlex
import sys

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


def usage(what, command, message):
    return (what, command, {}, 2, message)


def encoded(kind, size=(16, 16), mode="RGB", colour=None, **how):
    out = io.BytesIO()
    Image.new(mode, size, colour or (90, 70, 60, 0)[: len(mode)]).save(out, kind, **how)
    return out.getvalue()


JPEG = encoded("JPEG", (400, 300))
PNG = encoded("PNG", (400, 300))
HEIC = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + b"\0\0\0\x10meta" + b"\xff" * 8
MID = '{"kind": "mid", "rect": [300,200,40,40]}'
CGATS = "CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nNUMBER_OF_SETS 4\nBEGIN_DATA\n%sEND_DATA\n"

CASES = [
    # photos
    photo("photo missing", "none.jpg", None, "?"),
    ("photo is a folder", f"match . {ZONE}", {}, 4, "?"),
    photo("photo of no bytes", "bad.jpg", b"", "?"),
    photo("photo of NULs", "bad.jpg", bytes(5000), "?"),
    photo("text named .jpg", "bad.jpg", "Dear client,\nsee you on Friday.\n", "?"),
    photo("JPEG cut off", "bad.jpg", JPEG[: len(JPEG) // 2], "?"),
    photo("JPEG cut within its head", "bad.jpg", JPEG[:30], "?"),
    photo("PNG cut off", "bad.png", PNG[: len(PNG) - 20], "?"),
    photo("PNG with a flipped byte", "bad.png", PNG[:60] + bytes([PNG[60] ^ 255]) + PNG[61:], "?"),
    photo("CMYK JPEG", "bad.jpg", encoded("JPEG", (400, 300), "CMYK"), "?"),
    photo("GIF", "bad.gif", encoded("GIF"), "?"),
    photo("TIFF", "bad.tif", encoded("TIFF"), "?"),
    photo("HEIC broken", "bad.heic", HEIC, "?"),
    photo("HEIC cut off", "bad.heic", HEIC[:20], "?"),
    photo("PDF named .png", "bad.png", "%PDF-1.7\n", "?"),
    ("photo of one pixel", f"match bad.png {ZONE}", {"bad.png": encoded("PNG", (1, 1))}, 3, "?"),
    photo("photo of too many pixels", "bad.png", encoded("PNG", (20000, 11000), "L"), "?"),
    ("measure: photo missing", f"measure none.jpg {ZONE}", {}, 4, "?"),
    ("mark: photo missing", "mark none.jpg -o page.html", {}, 4, "?"),
    # zones by option
    ("no zone", "match client.jpg", {}, 3, "?"),
    usage("zone without its numbers", "match client.jpg --zone mid", "?"),
    usage("zone of three numbers", "match client.jpg --zone mid=1,2,3", "?"),
    usage("zone with NaN", "match client.jpg --zone mid=1,2,nan,4", "?"),
    usage("zone with infinity", "match client.jpg --zone mid=1,2,inf,4", "?"),
    usage("zone with decimal commas", "match client.jpg --zone mid=1,5,2,5,30,5,40,5", "?"),
    usage("zone in words", "match client.jpg --zone mid=left,top,30,40", "?"),
    ("zone of an unknown kind", "match client.jpg --zone mids=1,2,30,40", {}, 3, "?"),
    ("zone empty", "match client.jpg --zone mid=1,2,0,40", {}, 3, "?"),
    ("zone turned inside out", "match client.jpg --zone mid=100,100,-30,40", {}, 3, "?"),
    ("zone outside the photo", "match client.jpg --zone mid=480,200,40,40", {}, 3, "?"),
    ("zone far outside the photo", "match client.jpg --zone mid=48000,200,40,40", {}, 3, "?"),
    ("zone between the pixels", "match client.jpg --zone mid=100.6,100.6,0.2,0.2", {}, 3, "?"),
    ("two zones of one name", f"{MATCH} --zone mid=1,1,20,20", {}, 3, "?"),
    ("a card and no hair", "match client.jpg --zone card=10,10,20,20", {}, 3, "?"),
    ("a swatch as an option", "match client.jpg --zone swatch=10,10,20,20", {}, 3, "?"),
    usage("card without its colour", f"{MATCH} --card 50,0", "?"),
    usage("card of an impossible colour", f"{MATCH} --card 500,0,0", "?"),
    # zones file
    ("zones file missing", "match client.jpg --zones none.json", {}, 3, "?"),
    ("zones file is a folder", "match client.jpg --zones .", {}, 3, "?"),
    zones("zones file empty", "", "?"),
    zones("zones file not JSON", "{ zones: none }", "?"),
    zones("zones file cut off", '{"format": 1, "zones": [', "?"),
    zones("zones file in UTF-16", '{"format": 1}'.encode("utf-16"), "?"),
    zones("zones file is a list", "[]", "?"),
    zones("zones file without format", '{"zones": []}', "?"),
    zones("zones file of a newer format", '{"format": 2, "zones": []}', "?"),
    zones("zones file without zones", '{"format": 1}', "?"),
    zones("zones of a wrong type", '{"format": 1, "zones": "mid"}', "?"),
    zones("zone without a kind", one_zone('{"rect": [1,2,30,40]}'), "?"),
    zones("zone of an unknown kind", one_zone('{"kind": "hair", "rect": [1,2,30,40]}'), "?"),
    zones("zone without a shape", one_zone('{"kind": "root", "name": "crown"}'), "?"),
    zones("rect of three numbers", one_zone('{"kind": "root", "rect": [1,2,3]}'), "?"),
    zones("rect of a text", one_zone('{"kind": "root", "rect": "1,2,3,4"}'), "?"),
    zones("rect empty", one_zone('{"kind": "root", "rect": [1,2,0,4]}'), "?"),
    zones("polygon of two points", one_zone('{"kind": "root", "polygon": [[1,1],[9,9]]}'), "?"),
    zones("polygon that crosses itself", one_zone('{"kind": "gray", "name": "bow", "polygon": [[10,10],[90,90],[90,10],[10,90]]}'), "?"),
    zones("name of a wrong type", one_zone('{"kind": "root", "name": 7, "rect": [1,2,3,4]}'), "?"),
    zones("two zones of one name", one_zone(MID + ", " + MID), "?"),
    zones("swatch without a code", one_zone(MID + ', {"kind": "swatch", "rect": [1,2,30,40]}'), "?"),
    zones("card's colour impossible", one_zone(MID + ', {"kind": "card", "rect": [1,2,30,40], "lab": [150,0,0]}'), "?"),
    zones("target of three corners",
          one_zone(MID + ', {"kind": "target", "corners": [[1,1],[9,1],[9,9]], "rows": 2, "columns": 2, "reference": "t.txt"}'), "?"),
    zones("target crossing itself",
          one_zone(MID + ', {"kind": "target", "corners": [[0,0],[90,0],[0,90],[90,90]], "rows": 2, "columns": 2, "reference": "t.txt"}'), "?"),
    zones("target without a reference", one_zone(MID + ', {"kind": "target", "corners": [[0,0],[90,0],[90,90],[0,90]], "rows": 2, "columns": 2}'), "?"),
    placed("zone outside the photo", '{"kind": "root", "name": "crown", "rect": [490,10,60,40]}', "?"),
    placed("swatch at an unknown zone", MID + ', {"kind": "swatch", "code": "loam", "at": "midd", "rect": [1,2,30,40]}', "?"),
    placed("swatch of an unknown code", MID + ', {"kind": "swatch", "code": "lome", "at": "mid", "rect": [1,2,30,40]}', "?"),
    placed("only aids", '{"kind": "card", "rect": [1,2,30,40]}', "?"),
    ("zones file and the same zone again", f"{MATCH} --zones bad.json", {"bad.json": one_zone(MID)}, 3, "?"),
    # target references
    target("target's reference missing", None, "?"),
    target("target's reference is no CGATS", "white,50,0,0\n", "?"),
    target("target's reference without Lab", CGATS.replace("LAB_L", "CMYK_C") % "1 1 2 3\n2 1 2 3\n3 1 2 3\n4 1 2 3\n", "?"),
    target("target's reference of another size", CGATS.replace("SETS 4", "SETS 1") % "1 50 0 0\n", "?"),
    target("target's reference with decimal commas", CGATS % "1 50,5 0 0\n2 50 0 0\n3 50 0 0\n4 50 0 0\n", "?"),
    target("target's reference with NaN", CGATS % "1 nan 0 0\n2 50 0 0\n3 50 0 0\n4 50 0 0\n", "?"),
    target("target's reference of an impossible colour", CGATS % "1 50 0 0\n2 500 0 0\n3 50 0 0\n4 50 0 0\n", "?"),
    # catalogues
    ("catalogue missing", f"{MATCH} --swatches none.csv", {}, 3, "?"),
    ("catalogue is a folder", f"{MATCH} --swatches .", {}, 3, "?"),
    catalogue("catalogue of another ending", "code,L,a,b\n", "?", "bad.xls"),
    catalogue("catalogue empty", "", "?"),
    catalogue("catalogue of a header only", "code,L,a,b\n", "?"),
    catalogue("catalogue without a column", "code,L,a\noat,60,4\n", "?"),
    catalogue("catalogue with a column twice", "code,L,a,b,L\noat,60,4,20,60\n", "?"),
    catalogue("catalogue with semicolons", "code;L;a;b\noat;60;4;20\n", "?"),
    catalogue("catalogue with decimal commas", 'code,L,a,b\noat,"60,5",4,20\n', "?"),
    catalogue("catalogue with NaN", "code,L,a,b\noat,60,nan,20\n", "?"),
    catalogue("catalogue with infinity", "code,L,a,b\noat,60,4,inf\n", "?"),
    catalogue("catalogue with a text for a number", "code,L,a,b\noat,light,4,20\n", "?"),
    catalogue("catalogue out of range", "code,L,a,b\noat,60,4,20\nash,160,4,20\n", "?"),
    catalogue("catalogue with an empty cell", "code,L,a,b\noat,60,,20\n", "?"),
    catalogue("catalogue without a code", "code,L,a,b\n,60,4,20\n", "?"),
    catalogue("catalogue with a code twice", "code,L,a,b\noat,60,4,20\noat,60,4,20\n", "?"),
    catalogue("catalogue with two colours of a code", "code,L,a,b,length_cm\noat,60,4,20,40\noat,61,4,20,50\n", "?"),
    catalogue("catalogue of an unknown kind", "code,L,a,b,kind\noat,60,4,20,wig\n", "?"),
    catalogue("catalogue with too many cells", "code,L,a,b\noat,60,4,20,7\n", "?"),
    catalogue("catalogue with an open quote", 'code,L,a,b\n"oat,60,4,20\n', "?"),
    catalogue("catalogue not in UTF-8", b"code,L,a,b,name\noat,60,4,20,bl\xe9\n", "?"),
    catalogue("catalogue in UTF-16", "code,L,a,b\noat,60,4,20\n".encode("utf-16"), "?"),
    catalogue("catalogue of beads only", "code,L,a,b,kind\nb-nut,30,8,10,bead\n", "?"),
    catalogue("CGATS catalogue cut off", "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L", "?", "bad.txt"),
    ("nothing in stock", f"{MATCH} --in-stock --swatches bad.csv", {"bad.csv": "code,L,a,b,stock\noat,60,4,20,0\n"}, 3, "?"),
    ("nothing at that price", f"{MATCH} --max-price 1", {}, 3, "?"),
    ("catalogue to check missing", "swatch check none.csv", {}, 3, "?"),
    ("catalogue to convert missing", "swatch convert none.csv out.txt", {}, 3, "?"),
    ("catalogue loses columns", "swatch convert swatches.csv out.txt", {}, 3, "?"),
    usage("catalogue to an unknown ending", "swatch convert swatches.csv out.pdf", "?"),
    # blends
    usage("blend of nothing", "blend", "?"),
    usage("blend without a share", "blend loam", "?"),
    usage("blend of a comma number", "blend loam=0,5 clay=0,5", "?"),
    usage("blend of NaN", "blend loam=nan clay=0.5", "?"),
    usage("blend that is not whole", "blend loam=0.5 clay=0.4", "?"),
    ("blend of an unknown code", "blend loam=0.5 clai=0.5", {}, 3, "?"),
    usage("four layers", "blend --layers loam,clay,loam,clay", "?"),
    usage("three shades in a row", "blend --layers loam,clay,fig", "?"),
    usage("fineness out of range", "blend loam=0.5 clay=0.5 --fineness 2", "?"),
    # books
    ("no book: client", f"{MATCH} --client Anna", {}, 5, "?"),
    ("no book: list", "client list", {}, 5, "?"),
    ("no book: report", "report --visit 1", {}, 5, "?"),
    ("book is a folder", "client list --book .", {}, 5, "?"),
    ("book is a text", "client list --book bad.book", {"bad.book": "Anna, Bea, Carla and others: " * 9}, 5, "?"),
    ("book is a text: add", "client add Dora --book bad.book", {"bad.book": "Anna, Bea, Carla and others: " * 9}, 5, "?"),
    ("book empty", "client list --book bad.book", {"bad.book": ""}, 5, "?"),
    ("book of another program", "client add Dora --book bad.book", {"bad.book": "FOREIGN"}, 5, "?"),
    ("book of a newer version", "client add Dora --book bad.book", {"bad.book": "NEWER"}, 5, "?"),
    ("book damaged", "client list --book bad.book", {"bad.book": "DAMAGED"}, 5, "?"),
    ("unknown client", "client show Xenia --book good.book", {"good.book": "GOOD"}, 5, "?"),
    ("client mistyped", "client show Ana --book good.book", {"good.book": "GOOD"}, 5, "?"),
    ("client ambiguous", "client show Ann --book good.book", {"good.book": "GOOD"}, 5, "?"),
    ("unknown number", "client history 99 --book good.book", {"good.book": "GOOD"}, 5, "?"),
    ("client twice", "client add 'anna berg' --book good.book", {"good.book": "GOOD"}, 5, "?"),
    ("client without visits", "report --client 'Anna Berg' --book good.book", {"good.book": "GOOD"}, 5, "?"),
    ("unknown visit", "report --visit 9 --book good.book", {"good.book": "GOOD"}, 5, "?"),
    ("client mistyped in match", f"{MATCH} --client Ana --book good.book", {"good.book": "GOOD"}, 5, "?"),
    usage("client without a name", "client add ''", "?"),
    usage("client who is a number", "client add 12", "?"),
    usage("client on two lines", "client add 'Anna\nBerg'", "?"),
    usage("report of nobody", "report", "?"),
    usage("visit that is no number", "report --visit last", "?"),
    # settings
    usage("setting without a value", "salon set units", "?"),
    usage("setting mistyped", "salon set unit=cm", "?"),
    usage("setting out of its words", "salon set units=feet", "?"),
    usage("setting of a comma number", "salon set row_fee=12,50", "?"),
    usage("setting of NaN", "salon set blend_g=nan", "?"),
    usage("setting out of range", "salon set max_layers=4", "?"),
    usage("setting that falls", "salon set verdict=3.6,1.8,7.2", "?"),
    usage("setting that does not sum", "salon set area_weights=0.5,0.4,0.3", "?"),
    usage("currency that is none", "salon set currency=euro", "?"),
    # options and verbs
    usage("verb unknown", "paint client.jpg", "?"),
    usage("verb mistyped", "macth client.jpg", "?"),
    usage("verb of two words mistyped", "swatch chekc swatches.csv", "?"),
    usage("verb half said", "client", "?"),
    usage("verb half unknown", "client hug Anna", "?"),
    usage("option before the verb", "--json match client.jpg", "?"),
    usage("option unknown", f"{MATCH} --shiny", "?"),
    usage("option mistyped", f"{MATCH} --swatchs swatches.csv", "?"),
    usage("option of another verb", "client list --worn up", "?"),
    usage("letter unknown", f"{MATCH} -x", "?"),
    usage("option without its value", "match client.jpg --zone", "?"),
    usage("letter without its value", f"{MATCH} -o", "?"),
    usage("flag with a value", f"{MATCH} --json=yes", "?"),
    usage("option twice", f"{MATCH} --worn up --worn down", "?"),
    usage("choice that is none", f"{MATCH} --worn sideways", "?"),
    usage("operand missing", "match", "?"),
    usage("operand too many", "match client.jpg other.jpg", "?"),
    usage("lines of nothing", f"{MATCH} --lines 0", "?"),
    usage("lines in words", f"{MATCH} --lines ten", "?"),
    usage("jobs beyond sense", f"{MATCH} --jobs 100000", "?"),
    usage("date that is none", f"{MATCH} --date 2026-02-30", "?"),
    usage("date of another order", f"{MATCH} --date 31.3.2026", "?"),
    usage("price with a comma", f"{MATCH} --max-price 10,50", "?"),
    usage("arc with a comma", f"{MATCH} --arc 29,5", "?"),
    usage("arc of NaN", f"{MATCH} --arc nan", "?"),
    usage("arc in a strange unit", f"{MATCH} --arc 29ell", "?"),
    usage("arc below the margins", f"{MATCH} --arc 4", "?"),
    usage("arc below zero", f"{MATCH} --arc=-4", "?"),
    usage("nine rows", MATCH + " --arc 29" * 9, "?"),
    usage("calendar without a plan", f"{MATCH} --ics next.ics", "?"),
    ("target zone that is none", f"{MATCH} --target-zone nape", {}, 3, "?"),
    usage("page without a place", "mark client.jpg", "?"),
    # outputs
    ("output exists", f"{MATCH} -o client.jpg", {}, 6, "?"),
    ("page exists", f"{MATCH} --html client.jpg", {}, 6, "?"),
    ("marking page exists", "mark client.jpg -o swatches.csv", {}, 6, "?"),
    ("catalogue exists", "swatch convert swatches.csv swatches.csv", {}, 6, "?"),
    ("output in no folder", f"{MATCH} -o none/out.txt", {}, 6, "?"),
    ("output is a folder", f"{MATCH} -o .", {}, 6, "?"),
    ("output on a full disk", f"{MATCH} --force -o /dev/full", {}, 6, "?"),
    ("list on a full disk", "swatch list --force -o /dev/full", {}, 6, "?"),
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
