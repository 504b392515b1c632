"""What a client's file tells: what was done, how near it came, how her gray grows. Clients and prices are invented.

Usage: history.py WEFTMATCH WM_RENDER"""
import json
import os
import re
import sqlite3
import sys

from support import Bench, expect

BOOK = ("--book", "history.book")
MATCH = ("match", "client.jpg", "--zones", "client.zones.json", "--again")


def salon(bench, *days):
    for name in ("history.book", "history.book-wal", "history.book-shm"):
        bench.remove(name)
    bench.good("client", "add", "Anna Berg", *BOOK)
    for day in days:
        bench.good(*MATCH, "--client", "anna", "--date", day, "--arc", "29", *BOOK, code=(0, 1))


def history(bench):
    return json.loads(bench.good("client", "show", "anna", "--json", *BOOK))


def it_is_judged_by_what_was_installed(bench):
    """client history: the difference is the proposal's until something else was sewn on; then that one's; then what a photo after measures"""
    salon(bench, "2026-03-31")
    report = json.loads(bench.good("report", "--visit", "1", "--json", *BOOK, code=(0, 1)))
    before = history(bench)["visits"][0]
    expect((before["judged"], before["worst_de00"]), ("proposed", report["proposals"][0]["far"]))
    chosen = {s["code"] for s in report["proposals"][0]["shades"]}
    other = [m["code"] for m in report["rankings"][0]["swatches"] if m["code"] not in chosen][-1]
    bench.good("visit", "set", "1", "--installed", other, *BOOK)
    worse = history(bench)["visits"][0]
    expect((worse["judged"], worse["installed"]), ("installed", [other]))
    expect(worse["worst_de00"] > before["worst_de00"] + 1, True, f"{other}: {worse['worst_de00']} against {before['worst_de00']}")
    told = bench.good("visit", "set", "1", "--after", "client.jpg", "--zones", "client.zones.json", *BOOK)
    expect("worn down" in told and "from her" in told, True, told)
    bench.good("visit", "set", "1", "--after", "client.jpg", "--zones", "client.zones.json", "--worn", "up", *BOOK)
    measured = history(bench)["visits"][0]
    expect((measured["judged"], measured["worst_de00"], measured["has_after"]), ("measured", 0, True))  # the same photo: nothing has changed
    expect({(f["worn"], f["zone"]) for f in measured["finished"]}, {(w, z["name"]) for w in ("down", "up") for z in report["zones"]})
    bench.good("visit", "set", "1", "--clear", "after", *BOOK)
    expect(history(bench)["visits"][0]["judged"], "installed")
    bench.good("book", "undo", "--yes", *BOOK)
    expect(history(bench)["visits"][0]["judged"], "measured")


def sewn_as_proposed_is_the_proposal_with_its_pieces(bench):
    """visit set --installed proposed, or its layers by their codes: no other layers are reckoned with, nor a better proposal told that is the same"""
    salon(bench, "2026-03-31")
    report = json.loads(bench.good("report", "--visit", "1", "--json", *BOOK, code=(0, 1)))
    design = report["proposals"][0]["rows"][0]["segments"][0]["layers"]
    expect(any(layer["pieces"] for layer in design), True, "a design with pieces")
    codes = [layer["code"] for layer in report["proposals"][0]["rows"][-1]["segments"][0]["layers"]]
    for said in ("proposed", ",".join(codes)):
        bench.good("visit", "set", "1", "--installed", said, *BOOK)
        visit = history(bench)["visits"][0]
        expect((visit["installed"], visit["judged"], visit["worst_de00"]), (codes, "installed", round(report["proposals"][0]["far"], 4)))
        expect("0 of 1 saved visit would be better served" in bench.good("recheck", "--swatches", "swatches.csv", *BOOK, code=(0, 1)), True)
    expect("installed as proposed" in bench.good("client", "show", "anna", *BOOK), True)
    bench.good("visit", "set", "1", "--installed", "loam,clay", *BOOK)
    expect("installed loam,clay" in bench.good("client", "show", "anna", *BOOK), True)
    bench.good("visit", "add", "anna", "--kind", "consultation", *BOOK)
    refused = bench.run("visit", "set", "2", "--installed", "proposed", *BOOK)
    expect((refused.returncode, "proposes nothing" in refused.stderr.decode()), (5, True), refused.stderr.decode())


def the_file_tells_what_was_noted(bench):
    """client show: reason, notes with their days, price, photos"""
    salon(bench, "2026-03-31", "2026-04-30")
    bench.good("visit", "set", "1", "--charged", "540 \u20ac", "--why", "sold out", "--note", "loves it", "--kind", "installation", *BOOK)
    bench.good("visit", "set", "1", "--note", "itched a day", "--date", "2026-04-02", *BOOK)
    text = bench.good("client", "show", "anna", *BOOK)
    for line in ("installation, 540.00 EUR", "because: sold out", "2026-03-31  loves it", "2026-04-02  itched a day", "photo before", "Gray, the whole head: "):
        expect(line in text, True, f"{line} in {text}")
    bench.good("report", "--visit", "2", "--html", "sheet.html", "--force", *BOOK, code=(0, 1))
    sheet = re.sub("<[^>]*>", "", bench.read("sheet.html").decode())
    for line in ("540.00 EUR", "because: sold out", "2026-03-31  loves it", "2026-04-02  itched a day"):
        expect(line in sheet, True, f"{line} in the sheet")
    told = history(bench)["visits"][0]
    expect([told[k] for k in ("kind", "why", "charged_minor", "note", "has_photo")],
           ["installation", "sold out", 54000, "2026-03-31  loves it\n2026-04-02  itched a day\n", True])


def the_trend_takes_all_visits(bench):
    """client history: gray over all visits, with what it is not told by"""
    salon(bench, "2025-03-31", "2026-03-31")
    trend = history(bench)["gray_trend"]
    expect((trend["visits"], trend["measurable"], trend["change"]), (2, False, 0))
    expect(trend["words"].startswith("no measurable change in 1.0 years, over 2 visits: between -"), True, trend["words"])


def what_a_photo_after_refuses(bench):
    salon(bench, "2026-03-31")
    for words, status, said in ((("--zones", "client.zones.json"), 2, "zones and --worn go with the photo after; name it with --after"),
                                (("--after", "client.jpg", "--worn", "both"), 2, "a photo shows her hair worn one way; give --worn down or --worn up"),
                                (("--after", "none.jpg"), 4, "none.jpg: no such file"), (("--after", "client.jpg", "--zones", "none.json"), 3, "none.json")):
        done = bench.run("visit", "set", "1", *words, *BOOK)
        expect((done.returncode, said in done.stderr.decode()), (status, True), done.stderr.decode())
    expect(history(bench)["visits"][0]["has_after"], False)


def a_consultation_between_does_not_take_off_what_she_wears(bench):
    """match, client list, orders: what she wears is what was sewn on last, until a visit of kind removal"""
    salon(bench, "2026-02-01", "2026-02-10")
    bench.good("visit", "set", "1", "--installed", "loam,clay,loam", *BOOK)
    bench.good("visit", "set", "2", "--kind", "consultation", *BOOK)
    told = json.loads(bench.good("orders", "--json", "--date", "2026-02-11", *BOOK))["visits"]
    expect([(v["kind"], v["due"], v["visit"]) for v in told], [("move-up", "2026-03-15", 1)])
    bench.good(*MATCH, "--client", "anna", "--date", "2026-03-15", "--arc", "29", *BOOK, code=(0, 1))
    report = json.loads(bench.good("report", "--visit", "3", "--json", *BOOK, code=(0, 1)))
    expect("move-up" in json.dumps(report["plan"]), True)
    bench.good("visit", "set", "3", "--kind", "removal", *BOOK)
    expect(json.loads(bench.good("orders", "--json", "--date", "2026-03-16", *BOOK))["visits"], [])
    bench.good("client", "coming", "anna", "2026-05-01", *BOOK)
    told = json.loads(bench.good("orders", "--json", "--date", "2026-03-16", *BOOK))["visits"]
    expect([(v["kind"], v["due"]) for v in told], [("installation", "2026-05-01")])


def a_row_sewn_on_again_keeps_its_pieces(bench):
    """visit add --kind move-up, match, report --html: without a photo she wears what was proposed, pieces and all; another consultation changes nothing"""
    salon(bench, "2026-02-01")
    bench.good("visit", "set", "1", "--installed", "proposed", *BOOK)
    plain = (*MATCH, "--client", "anna", "--date", "2026-04-01", "--arc", "29", "--no-save", "--json", *BOOK)
    before = json.loads(bench.good(*plain, code=(0, 1)))
    gray = next(s["code"] for s in before["proposals"][0]["shades"] if s["code"] not in history(bench)["visits"][0]["installed"])
    told = bench.run("visit", "add", "anna", "--kind", "move-up", "--on", "2026-03-15", *BOOK).stderr.decode()
    expect(f"with pieces of {gray}" in told, True, told)
    for days in ((), ("2026-03-20",)):
        for day in days:
            bench.good(*MATCH, "--client", "anna", "--date", day, "--arc", "29", *BOOK, code=(0, 1))
        after = json.loads(bench.good(*plain, code=(0, 1)))
        expect((after["context"]["worn"], after["proposals"]), (before["context"]["worn"], before["proposals"]), "with what she wears known in full")
    text = bench.good("client", "show", "anna", *BOOK)
    expect("installed as proposed on 2026-02-01" in text and f"with pieces of {gray}" in text, True, text)
    bench.good("client", "show", "anna", "--html", "anna.html", "--force", *BOOK)
    page = re.sub("<[^>]*>", " ", bench.read("anna.html").decode())
    moved = page[page.index("15 March 2026"):]
    expect(gray in moved[:moved.index("Without a photo")], True, "the page shows the shade of the pieces")


def codes_are_checked_without_a_catalogue(bench):
    """visit set --installed: where no catalogue is at hand, by the shades of the visit's own report"""
    salon(bench, "2026-02-01")
    bare = {"WEFTMATCH_SWATCHES": None}
    done = bench.run("visit", "set", "1", "--installed", "propsed", *BOOK)
    expect((done.returncode, done.stderr.decode()), (2, "weftmatch: --installed can't be 'propsed'; did you mean 'proposed'?\n"))
    os.makedirs(bench.path("bare"), exist_ok=True)
    os.replace(bench.path("history.book"), bench.path("bare/history.book"))
    for code, near in (("acron", "acorn"), ("moth,thistel", "thistle")):
        done = bench.run("visit", "set", "1", "--installed", code, "--book", "bare/history.book", env=bare)
        expect((done.returncode, f"did you mean '{near}'" in done.stderr.decode()), (3, True), done.stderr.decode())
    done = bench.run("visit", "set", "1", "--installed", "proposed", "--book", "bare/history.book", env=bare)
    expect((done.returncode, "without a catalogue nothing is taken from stock; name it with --swatches" in done.stderr.decode()), (0, True), done.stderr.decode())
    kept = json.loads(bench.good("client", "show", "anna", "--json", "--book", "bare/history.book"))["visits"][0]
    expect(len(kept["sewn"]) > len(set(kept["installed"])), True, f"the shade of the pieces too: {kept['sewn']}")
    done = bench.run("visit", "set", "1", "--installed", "lilac", "--book", "bare/history.book", env=bare)
    expect((done.returncode, "saved as given" in done.stderr.decode()), (0, True), done.stderr.decode())


def pages_of_clients(bench):
    """client show --html, client list --html: private, whole, never over an existing file without --force; a picture that can't be read is left out"""
    salon(bench, "2026-02-01", "2026-03-15")
    bench.good("client", "add", "Zo\u00eb M\u00fcller", "--note", "likes <b>clay</b>", *BOOK)
    bench.good("visit", "set", "1", "--installed", "loam,clay,loam", "--charged", "540", "--note", "sat well", "--after", "client.jpg", *BOOK)
    for words, name, lines in ((("client", "show", "anna"), "anna.html",
                                ("sat well", "540.00 EUR", "loam", "inner layer", "After", "Her gray", "no measurable change", "2026-03-15", "next <time")),
                               (("client", "list"), "clients.html", ("loam / clay / loam", "likes &lt;b&gt;clay&lt;/b&gt;", "data-sought=\"zoe muller likes", "no picture",
                                                                     "data-next=\"2026-03-15\""))):
        bench.remove(name)
        bench.good(*words, "--html", name, *BOOK)
        expect(os.stat(bench.path(name)).st_mode & 0o777, 0o600)
        page = bench.read(name).decode()
        for line in lines:
            expect(line in page, True, f"{line} in {name}")
        expect(page.endswith("</html>\n"), True)
        done = bench.run(*words, "--html", name, *BOOK)
        expect((done.returncode, "exists" in done.stderr.decode(), done.stdout), (6, True, b""), done.stderr.decode())
        bench.good(*words, "--html", name, "--force", *BOOK)
        expect(bench.read(name).decode(), page)
    book = sqlite3.connect(bench.path("history.book"))
    book.execute("UPDATE attachment SET bytes = x'ffd8ff00' WHERE kind IN ('photo', 'after')")
    book.commit()
    book.close()
    bench.good("client", "list", "--html", "clients.html", "--force", *BOOK)
    expect(bench.read("clients.html").decode().count("no picture"), 2)


def main():
    bench = Bench(sys.argv[1], sys.argv[2])
    for test in (it_is_judged_by_what_was_installed, sewn_as_proposed_is_the_proposal_with_its_pieces, the_file_tells_what_was_noted, the_trend_takes_all_visits, what_a_photo_after_refuses,
                 a_consultation_between_does_not_take_off_what_she_wears, a_row_sewn_on_again_keeps_its_pieces, codes_are_checked_without_a_catalogue, pages_of_clients):
        bench.check(test)
    bench.end()


if __name__ == "__main__":
    main()
