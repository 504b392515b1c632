"""What goes wrong at a salon in a year, one mishap a test: each ends with the right book.

Usage: mishaps.py WEFTMATCH WM_RENDER"""
import json
import os
import resource
import sqlite3
import subprocess
import sys

from support import Bench, expect

MATCH = ("match", "client.jpg", "--zones", "client.zones.json")


def salon(bench, *names):
    """A book with these clients; the first has a visit."""
    book = ("--book", "mishap.book")
    for name in ("mishap.book", "mishap.book-wal", "mishap.book-shm"):
        bench.remove(name)
    for name in names:
        bench.good("client", "add", name, *book)
    bench.good(*MATCH, "--client", names[0], *book, code=(0, 1))
    return book


def visits(bench, name, book):
    return json.loads(bench.good("client", "history", name, "--json", *book))["visits"]


def said(bench, *words, code=0):
    done = bench.run(*words)
    expect(done.returncode in (code if isinstance(code, tuple) else (code,)), True, f"exit {done.returncode}: {done.stderr.decode()}")
    return done.stderr.decode()


def saved_in_the_wrong_file(bench):
    """another client's photo: visit move takes it to her, her name in the report too, and nothing of it stays where it was"""
    book = salon(bench, "Ottoline Quillfeather", "Bea Falk")
    said(bench, "visit", "move", "1", "--client", "bea", *book)
    expect([len(visits(bench, name, book)) for name in ("ottoline", "bea")], [0, 1])
    report = json.loads(bench.good("report", "--visit", "1", "--json", *book, code=(0, 1)))
    expect(report["context"]["client"], "Bea Falk")
    bench.good("client", "forget", "ottoline", "--yes", *book)
    expect(b"Quillfeather" in bench.read("mishap.book"), False)
    expect(len(visits(bench, "bea", book)), 1)


def noted(bench, book):
    """What the stylist would lose: all that was said about visit 1."""
    said(bench, "visit", "set", "1", "--installed", "loam", "--charged", "540", "--note", "sat well", "--why", "sold out", "--after", "client.jpg", *book)


def measured_anew(bench, book, before):
    """Visit 1 from the right marks: it reads as if they had been right from the start, and nothing that was noted is lost."""
    told = said(bench, *MATCH, "--instead-of", "1", *book, code=(0, 1))
    expect("visit 1 of Anna Berg is measured anew; what was noted stays" in told, True, told)
    right = json.loads(bench.good(*MATCH, "--client", "anna", "--no-save", "--json", "--date", "2026-03-31", *book, code=(0, 1)))
    report = json.loads(bench.good("report", "--visit", "1", "--json", *book, code=(0, 1)))
    expect(report["zones"] == right["zones"], True)
    after = visits(bench, "anna", book)
    expect(len(after), 1)
    for key in ("id", "at", "installed", "charged_minor", "note", "why", "kind", "has_after"):
        expect(after[0][key], before[0][key], key)
    said(bench, "book", "undo", "--yes", *book)
    expect(visits(bench, "anna", book), before)
    said(bench, "book", "redo", "--yes", *book)
    expect(visits(bench, "anna", book), after)


def a_wrong_label(bench):
    """a swatch's label typed wrong is told, and the visit is measured anew without losing what was noted"""
    book = salon(bench, "Anna Berg")
    zones = json.loads(bench.read("client.zones.json"))
    swatches = [zone for zone in zones["zones"] if zone["kind"] == "swatch"]
    codes = [row.split(",")[0] for row in bench.read("swatches.csv").decode().splitlines()[1:] if ",hair," in row]
    labs = {row.split(",")[0]: row for row in bench.read("swatches.csv").decode().splitlines()[1:]}
    column = bench.read("swatches.csv").decode().splitlines()[0].split(",").index("L")
    far = max((code for code in codes if code not in [s["code"] for s in swatches]),
              key=lambda code: abs(float(labs[code].split(",")[column]) - float(labs[swatches[0]["code"]].split(",")[column])))
    swatches[0]["code"] = far
    bench.write("wrong.json", json.dumps(zones))
    told = bench.run("match", "client.jpg", "--zones", "wrong.json", "--instead-of", "1", *book).stderr.decode()
    expect("does not agree with the other" in told, True, told)
    noted(bench, book)
    measured_anew(bench, book, visits(bench, "anna", book))


def a_zone_called_as_a_role_is(bench):
    """zones named base, gray_fibres and bead: their rankings are theirs in text and on the page, and no shade of hair becomes the beads'"""
    zones = json.loads(bench.read("client.zones.json"))
    names = dict(zip(("root", "gray", "mid"), ("base", "gray_fibres", "bead")))
    marked = {zone["name"]: names[zone["kind"]] for zone in zones["zones"] if zone["kind"] in names}
    for zone in zones["zones"]:
        for key in ("name", "at"):
            zone[key] = marked.get(zone.get(key), zone.get(key))
    bench.write("named.json", json.dumps({**zones, "zones": [{k: v for k, v in zone.items() if v is not None} for zone in zones["zones"]]}))
    book = salon(bench, "Anna Berg")
    said(bench, "match", "client.jpg", "--zones", "named.json", "--client", "anna", "--again", "--html", "named.html", "--zone-rankings", *book, code=(0, 1))
    told = bench.good("report", "--visit", "2", "--full", "--zone-rankings", *book, code=(0, 1))
    for name in names.values():
        expect(told.count(f"\nTo the zone {name}"), 1, name)
        expect(bench.read("named.html").decode().count(f"<h3>Zone {name}"), 1)
    beads = [row.split(",")[0] for row in bench.read("swatches.csv").decode().splitlines() if ",bead," in row]
    for visit in ("1", "2"):
        plan = bench.good("plan", "--visit", visit, "--arc", "29", "--json", *book)
        expect(plan.split('"bead_code":"')[1].split('"')[0] in beads, True, plan)


def the_wall_was_marked(bench):
    """a zone on the wall is told and gives no colour; the visit is measured anew without losing what was noted"""
    book = salon(bench, "Anna Berg")
    zones = json.loads(bench.read("client.zones.json"))
    marked = next(zone for zone in zones["zones"] if zone["kind"] == "mid")
    marked.pop("polygon", None)
    marked["rect"] = [5, 5, 120, 200]
    bench.write("wrong.json", json.dumps(zones))
    told = bench.run("match", "client.jpg", "--zones", "wrong.json", "--instead-of", "1", *book).stderr.decode()
    expect("mid: this is not hair" in told, True, told)
    wall = next(zone for zone in json.loads(bench.good("report", "--visit", "1", "--json", *book, code=(0, 1)))["zones"] if zone["kind"] == "mid")
    expect(wall["lab"], None)
    noted(bench, book)
    measured_anew(bench, book, visits(bench, "anna", book))


def measuring_anew_is_for_her_visit(bench):
    """match --instead-of: a visit that there is, of the client who is named, with any photo that is not another visit's"""
    book = salon(bench, "Anna Berg", "Bea Falk")
    bench.render("width=500", "height=400", "swatches=zones", "out=other", "seed=9")
    other = ("match", "other.jpg", "--zones", "other.zones.json")
    said(bench, *other, "--client", "bea", *book, code=(0, 1))
    expect("visit 1 is not Bea Falk's" in said(bench, *MATCH, "--instead-of", "1", "--client", "bea", *book, code=5), True)
    expect("there is no visit 9" in said(bench, *MATCH, "--instead-of", "9", *book, code=5), True)
    said(bench, *MATCH, "--instead-of", "x", *book, code=2)
    expect("this photo is visit 2 of Bea Falk already" in said(bench, *other, "--instead-of", "1", *book, code=1), True)
    expect([v["photo"] for v in visits(bench, "anna", book)], ["client.jpg"])


def a_day_in_2062(bench):
    book = salon(bench, "Anna Berg")
    said(bench, "visit", "set", "1", "--on", "2062-03-31", *book)
    expect(visits(bench, "anna", book)[0]["at"], "2062-03-31")
    said(bench, "visit", "set", "1", "--on", "2026-03-30", *book)
    expect(visits(bench, "anna", book)[0]["at"], "2026-03-30")
    expect("--on can't be '2026-02-30'" in said(bench, "visit", "set", "1", "--on", "2026-02-30", *book, code=2), True)


def a_price_and_a_label_that_were_wrong(bench):
    """visit set, then --clear or book undo: the value is what it was, or none"""
    book = salon(bench, "Anna Berg")
    said(bench, "visit", "set", "1", "--charged", "540", "--installed", "loam,clay,loam", "--why", "sold out", *book)
    said(bench, "visit", "set", "1", "--charged", "150000", "--installed", "clay", *book)
    expect("this would take back: visit 1 of Anna Berg changed: installed, charged; say --yes" in said(bench, "book", "undo", *book, code=2), True)
    expect("taken back: visit 1 of Anna Berg changed: installed, charged" in said(bench, "book", "undo", "--yes", *book), True)
    expect(visits(bench, "anna", book)[0]["installed"], ["loam", "clay", "loam"])
    said(bench, "visit", "set", "1", "--clear", "installed", "--clear", "charged", "--clear", "why", *book)
    bench.good("client", "export", "anna", "-o", "mishap.json", "--force", *book)
    told = json.loads(bench.read("mishap.json"))
    expect((told["visits"][0]["installed"], told["visits"][0]["why"], "charged_minor" in told["visits"][0]), ("", "", False))
    expect([c["told"] for c in told["changes"]][-2:], ["undo: visit 1 of Anna Berg changed: installed, charged",
                                                        "visit 1 of Anna Berg changed: installed, why, charged"])
    said(bench, "book", "undo", "--yes", *book)
    expect(visits(bench, "anna", book)[0]["installed"], ["loam", "clay", "loam"])
    said(bench, "book", "redo", "--yes", *book)
    expect(visits(bench, "anna", book)[0]["installed"], [])


def a_visit_that_never_was(bench):
    """visit remove, and visit restore however much later"""
    book = salon(bench, "Anna Berg", "Bea Falk")
    before = bench.good("report", "--visit", "1", "--json", *book, code=(0, 1))
    said(bench, "visit", "remove", "1", *book)
    expect(visits(bench, "anna", book), [])
    said(bench, "report", "--visit", "1", *book, code=5)
    said(bench, "client", "rename", "bea", "Bea Lund", *book)
    said(bench, "visit", "restore", "1", *book)
    expect(bench.good("report", "--visit", "1", "--json", *book, code=(0, 1)), before)


def one_client_in_two_files(bench):
    book = salon(bench, "Ana Berg", "Anna Berg")
    said(bench, "client", "merge", "ana berg", "anna berg", *book)
    expect(len(visits(bench, "anna berg", book)), 1)
    said(bench, "client", "show", "2", *book)
    said(bench, "client", "show", "1", *book, code=5)
    said(bench, "book", "undo", "--yes", *book)
    expect(len(visits(bench, "ana berg", book)), 1)


def a_name_that_was_mistyped(bench):
    book = salon(bench, "Zo\u00eb Mller")
    said(bench, "client", "rename", "zoe mller", "Zo\u00eb M\u00fcller", *book)
    for typed in ("zoe muller", "Zoe Mueller", "ZO\u00cb M\u00dcLLER", "zoe"):
        expect(bench.good("client", "show", typed, *book).splitlines()[0], "Zo\u00eb M\u00fcller")
    said(bench, "client", "note", "zoe", "allergic to nickel", *book)
    expect("allergic to nickel" in bench.good("client", "show", "zoe", *book), True)
    said(bench, "client", "note", "zoe", "", *book)
    expect("allergic" in bench.good("client", "show", "zoe", *book), False)


def the_log_says_what_happened(bench):
    book = salon(bench, "Anna Berg")
    said(bench, "salon", "set", "row_fee=180", "units=in", *book)
    said(bench, "book", "undo", "--yes", *book)
    told = [line.split("  ")[-1] for line in bench.good("book", "log", *book).splitlines()]
    expect(told, ["client 1 added: Anna Berg", "visit 1 of Anna Berg saved, 2026-03-31",
                  "(row_fee=180, was the default; units=in, was the default)", "undo: row_fee=180, was the default; units=in, was the default"])
    expect(len(bench.good("book", "log", "--client", "anna", *book).splitlines()), 2)


def a_name_from_elsewhere_prints_as_it_is_written(bench):
    """control and escape characters and what turns the writing around are refused where text enters"""
    book = salon(bench, "Anna Berg")
    for bad in ("Eve \x1b[2J", "Eve \u202eknaH", "Eve\u0085", "Eve\u2066"):
        said(bench, "client", "add", bad, *book, code=2)
        said(bench, "visit", "set", "1", "--note", bad, *book, code=2)
        said(bench, "client", "note", "anna", bad, *book, code=2)
        said(bench, "salon", "set", f"salon_name={bad}", *book, code=2)


def the_same_photo_three_times(bench):
    """match: the same bytes are saved once, exit 1, whosever file it is; --again saves them"""
    book = salon(bench, "Anna Berg", "Bea Falk")
    for name in ("anna", "bea"):
        told = said(bench, *MATCH, "--client", name, *book, code=1)
        expect("this photo is visit 1 of Anna Berg already, so nothing is saved; --again saves it once more" in told, True, told)
    expect([len(visits(bench, name, book)) for name in ("anna", "bea")], [1, 0])
    bench.good(*MATCH, "--client", "anna", "--again", *book, code=(0, 1))
    expect(len(visits(bench, "anna", book)), 2)


def a_day_that_can_not_be(bench):
    """match --date: a day to come, before her last visit, far from the photo's own"""
    book = salon(bench, "Anna Berg")
    told = [bench.run(*MATCH, "--client", "anna", "--again", "--date", day, *book).stderr.decode() for day in ("2062-03-31", "2025-05-15")]
    expect("the visit is of 2062-03-31, which is still to come; visit set 2 --on DAY puts it right" in told[0], True, told[0])
    expect("the photo was taken on 2025-05-14 and the visit is of 2062-03-31; if that was the day: visit set 2 --on 2025-05-14" in told[0], True)
    expect("the visit is of 2025-05-15, before her last one of 2062-03-31" in told[1], True, told[1])
    expect("the photo was taken" in told[1], False)


def another_head(bench):
    """match: hair far from her last visit's is said, with what to do"""
    book = salon(bench, "Anna Berg")
    same = bench.run(*MATCH, "--client", "anna", "--again", *book).stderr.decode()
    expect("another client's photo" in same, False, same)
    bench.render("width=500", "height=400", "swatches=zones", "out=blond", "base=straw", "seed=9")
    told = bench.run("match", "blond.jpg", "--zones", "blond.zones.json", "--client", "anna", *book).stderr.decode()
    expect("visit 3: her hair is up to dE00 " in told and "is it another client's photo? visit move 3 --client NAME" in told, True, told)
    told = bench.run("visit", "set", "1", "--after", "blond.jpg", "--zones", "blond.zones.json", *book).stderr.decode()
    expect("from her hair before, and far at most of its places; check that it is her photo" in told, True, told)
    told = bench.run("visit", "set", "1", "--after", "client.jpg", "--zones", "client.zones.json", *book).stderr.decode()
    expect("far at most of its places" in told, False, told)


def a_price_of_150000(bench):
    book = salon(bench, "Anna Berg")
    bench.good(*MATCH, "--client", "anna", "--again", *book, code=(0, 1))
    expect("far from her last price" in said(bench, "visit", "set", "1", "--charged", "150", *book), False)
    expect("far from her last price" in said(bench, "visit", "set", "2", "--charged", "150000", *book), True)
    expect("far from her last price" in said(bench, "visit", "set", "2", "--charged", "160", *book), False)
    said(bench, "visit", "set", "1", "--kind", "installation", *book)
    expect("far from her last price" in said(bench, "visit", "set", "2", "--kind", "move-up", "--charged", "40", *book), False)  # like with like


def a_visit_without_a_photo(bench):
    """a row moved up, or a visit off paper: visit add; her next visit follows from it, what was measured does not, and move, removal, undo, export carry it"""
    book = salon(bench, "Anna Berg", "Bea Falk")
    say = lambda *words, **more: said(bench, *words, *book, **more)
    expect("what was done at the visit?" in say("visit", "add", "anna", code=2), True)
    expect("what she wears is not known" in say("visit", "add", "bea", "--kind", "move-up"), True)
    say("visit", "set", "1", "--on", "2026-01-05")
    say("visit", "set", "1", "--installed", "loam,clay", "--charged", "540")
    expect("loam / clay" in say("visit", "add", "anna", "--kind", "move-up", "--charged", "120", "--on", "2026-02-16"), True)
    expect("she has visit 3 on 2026-02-16 already; if that is the same one: visit remove 4" in say("visit", "add", "anna", "--note", "twice", "--on", "2026-02-16"), True)
    say("book", "undo", "--yes")
    expect(bench.good("visit", "add", "anna", "--on", "2024-11-02", "--installed", "loam", "--note", "off paper", "--charged", "500", *book).split("  ")[0], "5")
    told = visits(bench, "anna", book)
    expect([(v["id"], v["at"], v["kind"], v["installed"], v["charged_minor"], v["has_photo"], v["zones"] == []) for v in told],
           [(5, "2024-11-02", "installation", ["loam"], 50000, False, True), (1, "2026-01-05", "installation", ["loam", "clay"], 54000, True, False),
            (3, "2026-02-16", "move-up", ["loam", "clay"], 12000, False, True)])
    text = bench.good("client", "show", "anna", *book)
    for line in ("since 2024-11-02, 3 visits", "next visit 2026-03-30", "2024-11-02  no photo      installed loam", "off paper", "wears loam / clay"):
        expect(line in text, True, f"{line} in {text}")
    expect("Gray" in text, False, text)  # one visit alone was measured
    json_of = lambda *words: json.loads(bench.good(*words, "--json", *book, code=(0, 1)))
    expect(json_of("report", "--client", "anna")["context"]["client"], "Anna Berg")
    expect("visit 3 of 2026-02-16 is without a photo, so nothing was measured" in say("report", "--visit", "3", code=5), True)
    say("compare", "--visits", "1", "3", code=5)
    expect([v["visit"] for v in json_of("recheck", "--swatches", "swatches.csv")["visits"]], [1])
    say(*MATCH, "--client", "anna", "--again", "--date", "2026-03-30", code=(0, 1))
    expect(json_of("report", "--client", "anna")["since_last_visit"]["date"], "2026-01-05")
    bench.good("client", "show", "anna", "--html", "anna.html", "--force", *book)
    expect(bench.read("anna.html").decode().count("Without a photo: nothing was measured."), 2)
    bench.good("client", "list", "--html", "all.html", "--force", *book)
    bench.good("client", "export", "anna", "-o", "anna.json", "--force", *book)
    for name in ("moved.book", "moved.book-wal", "moved.book-shm"):
        bench.remove(name)
    bench.good("client", "import", "anna.json", "--book", "moved.book")
    same = [{**v, "id": 0} for v in visits(bench, "anna", ("--book", "moved.book"))]
    expect(same, [{**v, "id": 0} for v in visits(bench, "anna", book)])
    say("visit", "move", "3", "--client", "bea")
    expect([v["id"] for v in visits(bench, "bea", book)], [3, 2])
    say("visit", "remove", "3")
    say("visit", "restore", "3")
    expect(visits(bench, "bea", book)[0]["installed"], ["loam", "clay"])
    say(*MATCH, "--instead-of", "3", "--again", code=(0, 1))  # the photo turned up
    expect([(v["has_photo"], v["charged_minor"]) for v in visits(bench, "bea", book)], [(True, 12000), (False, None)])


def a_client_who_marries(bench):
    """client rename: her old name still finds her, and where another's begins with it both are named, so that nothing lands in the wrong file"""
    book = salon(bench, "Anna Berg", "Anna Berg (Hofgasse)")
    said(bench, "client", "rename", "anna berg", "Anna Lindner", *book)
    told = said(bench, *MATCH, "--client", "anna berg", "--again", *book, code=5)
    expect("Anna Berg (Hofgasse) (2), Anna Lindner (1, who was called so)" in told, True, told)
    expect((len(visits(bench, "1", book)), len(visits(bench, "2", book))), (1, 0))
    said(bench, "client", "rename", "2", "Berta Hof", *book)
    expect(bench.good("client", "show", "ANNA BERG", *book).splitlines()[0], "Anna Lindner")
    expect(json.loads(bench.good("recheck", "--swatches", "swatches.csv", "--json", *book))["visits"][0]["client"], "Anna Lindner")
    said(bench, "client", "add", "Anna Berg", *book)  # a new client of that name is she who is meant
    expect(bench.good("client", "show", "anna berg", *book).splitlines()[0], "Anna Berg")


def a_book_on_a_drive_that_is_out(bench):
    """a book that is named is not begun anew where its folder is missing"""
    for words in (("client", "add", "Anna Berg"), ("client", "list"), (*MATCH, "--client", "anna")):
        for where in ({"book": ("--book", "drive/salon.book"), "env": {}}, {"book": (), "env": {"WEFTMATCH_BOOK": "drive/salon.book"}}):
            done = bench.run(*words, *where["book"], env=where["env"])
            expect((done.returncode, done.stderr.decode().splitlines()[-1]),
                   (5, "weftmatch: drive/salon.book: its folder is not there; plug in the drive it is on, or make the folder first"))
    expect(os.path.exists(bench.path("drive")), False)


def a_shade_that_is_no_longer_sold(bench):
    """what she wears can still be noted when the catalogue has dropped it; a slip is still refused; the order says what to do"""
    book = salon(bench, "Anna Berg", "Bea Falk")
    said(bench, *MATCH, "--client", "bea", "--again", "--arc", "29", "--date", "2026-03-31", *book, code=(0, 1))
    shade = json.loads(bench.good("report", "--visit", "2", "--json", *book, code=(0, 1)))["plan"]["wefts"][0]["code"]
    said(bench, "visit", "set", "1", "--installed", shade, *book)
    full = bench.read("swatches.csv").decode()
    bench.write("fewer.csv", "".join(line for line in full.splitlines(True) if not line.startswith(shade + ",")))
    catalogue = ("--swatches", "fewer.csv")
    expect(f"the catalogue has no shade '{shade}'; it is noted as given" in said(bench, "visit", "set", "1", "--installed", f"{shade},{shade}", *catalogue, *book), True)
    expect("the catalogue has no shade 'nobodys'" in said(bench, "visit", "set", "1", "--installed", "nobodys", *catalogue, *book, code=3), True)
    expect("noted as given" in said(bench, "visit", "add", "bea", "--installed", "oldest", "--on", "2019-05-05", *catalogue, *book), True)
    said(bench, "visit", "remove", "3", *book)
    expect(f"the catalogue has no {shade} any more: match her again" in bench.good("orders", "--date", "2026-04-01", *catalogue, *book), True)


def said_as_at_the_chair(bench):
    """29,5 and 290mm are lengths, 540,50 \u20ac is an amount, salon set row_fee 120 is a setting"""
    book = salon(bench, "Anna Berg")
    said(bench, "salon", "set", "row_fee", "120", *book)
    expect("row_fee=120 " in bench.good("salon", "show", *book), True)
    said(bench, "visit", "set", "1", "--charged", "540,50 \u20ac", *book)
    bench.good("client", "export", "anna", "-o", "mishap.json", "--force", *book)
    expect(json.loads(bench.read("mishap.json"))["visits"][0]["charged_minor"], 54050)
    said(bench, "visit", "set", "1", "--charged", "1.250,50", *book)
    expect("could be 1.25 or 1250" in said(bench, "visit", "set", "1", "--charged", "1.250", *book, code=2), True)
    expect("could be 1.23 or 1234" in said(bench, "visit", "set", "1", "--charged", "1.234", *book, code=2), True)
    for fee in ("1.200", "1,200"):
        expect(f"'{fee}' could be 1.2 or 1200; write it as one of these" in said(bench, "salon", "set", "row_fee", fee, *book, code=2), True)
    said(bench, "salon", "set", "tax_percent", "19,5%", *book)
    expect("tax_percent=19.5 " in bench.good("salon", "show", *book), True)
    plans = [bench.good("plan", "--layers", "loam,clay,loam", "--arc", arc, *book) for arc in ("29.5", "29,5", "295mm")]
    expect(plans[1:], plans[:2])
    expect(bench.good("plan", "--layers", "loam/clay/loam", "--arc", "29.5", *book), plans[0])
    expect(bench.good("plan", "--layers", "loam", "--arc", '11"', *book), bench.good("plan", "--layers", "loam", "--arc", "11 in", *book))
    blends = [bench.good("blend", *shares, "--mixed", *book) for shares in (("loam=0.7", "clay=0.3"), ("loam=0,7", "clay=0,3"), ("loam=70%", "clay=30 %"))]
    expect(blends[1:], blends[:2])
    expect(bench.good("blend", "--layers", "loam/clay/loam"), bench.good("blend", "--layers", "loam, clay, loam"))
    expect("no shade 'frst'" in said(bench, "blend", "--layers", "loam/frst/loam", code=3), True)


def no_output_is_an_input(bench):
    """a book, the photo, the zones, a target's reference are never overwritten, --force or not, by whatever name"""
    book = salon(bench, "Anna Berg")
    corners = [[10, 10], [90, 10], [90, 90], [10, 90]]
    zones = json.loads(bench.read("client.zones.json"))
    zones["zones"].append({"kind": "target", "corners": corners, "reference": "ref.txt", "columns": 2, "rows": 2})
    bench.write("targets.json", json.dumps(zones))
    bench.write("ref.txt", "CGATS.17\n")
    os.symlink("client.jpg", bench.path("link.jpg"))
    os.link(bench.path("mishap.book"), bench.path("other.name"))
    before = {name: bench.read(name) for name in ("mishap.book", "client.jpg", "client.zones.json", "swatches.csv")}
    for words, what in (((*MATCH, "--html", "client.jpg"), "read by this command"), ((*MATCH, "--html", "link.jpg"), "read by this command"),
                        ((*MATCH, "-o", "client.zones.json"), "read by this command"), ((*MATCH, "--json", "-o", "mishap.book"), "the book"),
                        (("client", "export", "anna", "-o", "mishap.book"), "the book"), (("client", "export", "anna", "-o", "other.name"), "the book"),
                        (("swatch", "list", "swatches.csv", "-o", "swatches.csv"), "read by this command"),
                        (("match", "client.jpg", "--zones", "targets.json", "--html", "ref.txt"), "read by this command"),
                        ((*MATCH, "--html", "twice", "-o", "./twice"), "named for two outputs"), ((*MATCH, "--html", "twice", "-o", "twice"), "named for two outputs")):
        done = bench.run(*words, "--force", *book)
        expect((done.returncode, what in done.stderr.decode()), (6, True), f"{words}: {done.stderr.decode()}")
    expect({name: bench.read(name) for name in before} == before, True)
    for output in ("mishap.book", "./mishap.book", "other.name", "mishap.book-wal", "mishap.book-shm", "mishap.book-journal"):
        for words in (("swatch", "list", "swatches.csv", "-o", output), ("mark", "client.jpg", "-o", output), ("measure", *MATCH[1:], "-o", output),
                      ("swatch", "convert", "swatches.csv", output), ("book", "backup", output)):
            done = bench.run(*words, *(book if words[0] == "book" else ("--force",)), env={"WEFTMATCH_BOOK": "another.book"})
            expect((done.returncode, b"book" in done.stderr or b"a backup never" in done.stderr), (6, True), f"{words}: {done.stderr.decode()}")
    expect({name: bench.read(name) for name in before} == before, True)
    expect([name for name in os.listdir(bench.folder) if name.startswith("mishap.book")], ["mishap.book"])
    done = bench.run("swatch", "list", "client.zones.json", "-o", "swatches.csv", "--force", env={"WEFTMATCH_SWATCHES": "swatches.csv"})
    expect((done.returncode, b"the salon's catalogue" in done.stderr), (6, True), done.stderr.decode())
    done = bench.run("swatch", "convert", "swatches.csv", "swatches.csv", "--force")
    expect((done.returncode, bench.read("swatches.csv") == before["swatches.csv"]), (6, True))
    for name in ("link.jpg", "other.name", "twice", "ref.txt", "targets.json"):
        bench.remove(name)


def a_saved_picture_that_is_damaged(bench):
    """her sheet and her page are made all the same, from what was measured"""
    book = salon(bench, "Anna Berg")
    for damaged in (b"\xff\xd8\xff", bytes(100)):
        db = sqlite3.connect(bench.path("mishap.book"))
        db.execute("UPDATE attachment SET bytes = ? WHERE kind = 'photo'", (damaged,))
        db.commit()
        db.close()
        said(bench, "report", "--visit", "1", "--html", "sheet.html", "--client-html", "page.html", "--force", *book, code=(0, 1))
        expect(b"Anna Berg" in bench.read("sheet.html"), True)
        said(bench, "client", "list", "--html", "all.html", "--force", *book)


def an_output_in_the_kernels_files(bench):
    """a file of the kernel's that never ends or keeps silent is no place for an output, and is not waited for"""
    for words in ((*MATCH, "-o", "/proc/kmsg", "--force"), ("mark", "client.jpg", "-o", "/proc/self/status"), ("swatch", "list", "swatches.csv", "-o", "/proc/kmsg")):
        done = bench.run(*words)
        expect((done.returncode, len(done.stderr.decode().splitlines())), (6, 1), f"{words}: {done.stderr.decode()}")


def a_book_of_a_strange_name(bench):
    """names that SQLite takes for something else, two slashes; a pipe, a link or a folder where the book keeps its changes"""
    folder = bench.path("strange?a#b%20")
    os.makedirs(folder)
    for name in (":memory:", "file:x.book?mode=memory", "file:", "a?mode=ro.book", f"/{folder}/x.book"):
        said(bench, "client", "add", "Anna Berg", "--book", name)
        expect("Anna Berg" in bench.good("client", "list", "--book", name), True, name)
        said(bench, "book", "backup", f"{name}.copy", "--book", name)
        bench.remove(name)
        expect("Anna Berg" in bench.good("client", "list", "--book", f"{name}.copy"), True, name)
        bench.remove(f"{name}.copy")
    book = salon(bench, "Anna Berg")
    for make in (os.mkfifo, os.mkdir, lambda path: os.symlink("client.jpg", path)):
        for end in ("-wal", "-shm", "-journal"):
            make(bench.path("mishap.book" + end))
            for words in (("client", "list"), ("client", "add", "Bea Falk")):
                expect("lies where the book keeps its changes" in said(bench, *words, *book, code=5), True, end)
            path = bench.path("mishap.book" + end)
            os.rmdir(path) if make is os.mkdir else os.remove(path)


def several_change_one_visit_at_once(bench):
    """each keeps what the others wrote down meanwhile"""
    book = salon(bench, "Anna Berg")
    running = [subprocess.Popen([bench.program, "visit", "set", "1", *words, *book], cwd=bench.folder, env=bench.environment(), stdout=subprocess.DEVNULL,
                                stderr=subprocess.PIPE)
               for words in (*(("--note", f"note {i}") for i in range(5)), ("--charged", "540"), ("--installed", "loam,clay"), ("--why", "volume"))]
    for process in running:
        said_wrong = process.communicate()[1]
        expect(process.returncode, 0, said_wrong.decode())
    visit = json.loads(bench.good("client", "export", "anna", "-o", "-", *book))["visits"][0]
    expect(sorted(line.split("  ")[1] for line in visit["note"].splitlines()), [f"note {i}" for i in range(5)])
    expect((visit["charged_minor"], visit["installed"], visit["why"]), (54000, "loam,clay", "volume"))


def several_add_to_the_catalogue_at_once(bench):
    """each adds its shades to what the others wrote meanwhile"""
    zones = json.loads(bench.read("client.zones.json"))
    running = []
    for i in range(6):
        shades = [{k: v for k, v in zone.items() if k != "at"} for zone in zones["zones"] if zone["kind"] in ("root", "mid", "ends")]
        for k, zone in enumerate(shades):
            zone["name"] = f"fresh-{i}-{k}"
        bench.write(f"add{i}.json", json.dumps({**zones, "zones": shades}))
        running.append(subprocess.Popen([bench.program, "swatch", "add", "client.jpg", "--zones", f"add{i}.json", "--into", "many.csv"],
                                        cwd=bench.folder, env=bench.environment(), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE))
    for process in running:
        said_wrong = process.communicate()[1]
        expect(process.returncode in (0, 1), True, said_wrong.decode())
    codes = [line.split(",")[0] for line in bench.read("many.csv").decode().splitlines()[1:]]
    expect(sorted(codes), sorted(zone["name"] for i in range(6) for zone in json.loads(bench.read(f"add{i}.json"))["zones"]))


def a_limit_of_the_system_is_named(bench):
    """too few descriptors, files that may not grow: said as what they are, never as a lack of memory"""
    book = salon(bench, "Anna Berg")
    few = "too many files are open"
    for limit, most, words in ((resource.RLIMIT_NOFILE, 6, few), (resource.RLIMIT_FSIZE, 4096, "the limit on the size of files")):
        done = bench.run(*MATCH, "-o", "/dev/null", preexec_fn=lambda: resource.setrlimit(limit, (most, most)))
        expect((done.returncode, words in done.stderr.decode()), (4, True), done.stderr.decode())
    for most in range(4, 6):
        done = bench.run("client", "list", *book, preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_NOFILE, (most, most)))
        expect((done.returncode, few in done.stderr.decode()), (5, True), f"{most}: {done.stderr.decode()}")


def main():
    bench = Bench(sys.argv[1], sys.argv[2])
    helpers = (salon, visits, said, noted, measured_anew, main)
    for test in list(globals().values()):
        if callable(test) and getattr(test, "__module__", "") == "__main__" and test not in helpers and not isinstance(test, type):
            bench.check(test)
    bench.end()


if __name__ == "__main__":
    main()
