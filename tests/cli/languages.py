"""All pages in German: no English sentence is left, whatever the photo could tell; names, codes and notes stay as they are; English is not
touched.

Usage: languages.py WEFTMATCH WM_RENDER"""
import json
import re
import sys
from html.parser import HTMLParser

from support import Bench, expect

# Words that no German text has.
ENGLISH = re.compile(r"(?<!\w)(the|and|of|is|are|with|her|his|not|to|for|from|this|that|be|by|no|your|or|at|it|as|a(?= \w)|one|two|three|each|hair|shade|layers?|rows?|long|left|right)(?!\w)", re.I)
CASES = {"planned": ["--arc", "29", "--natural-length", "35", "--to-length", "50"], "rough": [],
         "places": ["--row", "back=30", "--row", "crown=20", "--row", "nape=16", "--hair", "fine", "--amount", "thin", "--shedding", "--natural-length", "30", "--color-line", "5", "--zone-rankings"]}


class Texts(HTMLParser):
    """The texts of a page, and what is read aloud of its pictures, but for what is marked as names."""

    def __init__(self, page):
        super().__init__()
        self.depth, self.silent, self.found, self.names = 0, 0, [], []
        self.feed(page)

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        if tag not in ("meta", "link", "img", "input", "br"):
            self.depth += 1
            if not self.silent and (tag in ("style", "script") or given.get("translate") == "no"):
                self.silent = self.depth
        self.found += [given[name] for name in ("alt", "title", "aria-label") if name in given and not self.silent]

    def handle_startendtag(self, tag, attributes):
        self.handle_starttag(tag, attributes)
        if tag not in ("meta", "link", "img", "input", "br"):
            self.handle_endtag(tag)

    def handle_endtag(self, tag):
        self.silent = 0 if self.silent == self.depth else self.silent
        self.depth -= 1

    def handle_data(self, text):
        if text.strip():
            (self.names if self.silent else self.found).append(text.strip())


def papers(bench, case, language):
    zones = ["--zone", "mid=210,215,40,50"] if case == "rough" else ["--zones", "client.zones.json"]
    bench.good("match", "client.jpg", *zones, *CASES[case], "--client", "Fine", "--no-save", "--html", "sheet.html", "--client-html", "client.html", "--force", *language, code=(0, 1))
    return [bench.read(name).decode() for name in ("sheet.html", "client.html")]


def german(case, which):
    def check(bench):
        page = papers(bench, case, ["--language", "de"])[which]
        texts = Texts(page)
        left = [text for text in texts.found if ENGLISH.search(text)]
        expect(left, [])
        expect('<html lang="de">' in page, True)
        expect("Fine" in texts.names and "Fern and Linen" in texts.names, True)
    check.__name__ = f"the_{('sheet', 'client_page')[which]}_is_german_{case}"
    return check


def the_book_pages_are_german(bench):
    """her visits, all clients, two visits beside each other"""
    given = ("--client", "Anna Berg", "--arc", "29", "--quiet")
    bench.good("match", "client.jpg", "--zones", "client.zones.json", *given, "--date", "2026-03-01", "--again", code=(0, 1))
    bench.good("match", "client.jpg", "--zones", "client.zones.json", *given, "--date", "2026-05-01", "--again", code=(0, 1))
    ids = [str(v["id"]) for v in json.loads(bench.good("client", "history", "Anna Berg", "--json"))["visits"]]
    bench.good("visit", "set", ids[0], "--installed", "moth,frost,moth", "--kind", "installation", "--charged", "540", "--note", "close", "--why", "visible", "--lot", "A1",
               "--after", "client.jpg", "--zones", "client.zones.json")
    bench.good("visit", "set", ids[1], "--installed", "moth,frost,moth", "--kind", "move-up")
    bench.good("client", "show", "Anna Berg", "--html", "show.html", "--language", "de", "--force")
    bench.good("client", "list", "--html", "list.html", "--language", "de", "--force")
    bench.good("compare", "--visits", *ids, "--html", "compare.html", "--language", "de", "--force")
    for name in ("show", "list", "compare"):
        texts = Texts(bench.read(f"{name}.html").decode())
        left = [text for text in texts.found if ENGLISH.search(text.replace("Fern and Linen", ""))]
        expect(left, [], name)
    expect({"close", "visible"} <= set(" ".join(Texts(bench.read("show.html").decode()).names).replace(":", " ").split()), True, "her own words stay")
    for name, words in (("show", ("show", "Anna Berg")), ("list", ("list",))):
        bench.good("client", *words, "--html", "a.html", "--force")
        bench.good("client", *words, "--html", "b.html", "--language", "en", "--force")
        expect(bench.read("a.html"), bench.read("b.html"), "English is as without a language")


def a_shade_called_like_a_word_stays(bench):
    """its code is a word of the table: no sentence says it in German"""
    pages = {}
    for code in ("loam", "left"):
        for name in ("swatches.csv", "client.zones.json"):
            bench.write("word." + name, re.sub(rb"\bloam\b", code.encode(), bench.read(name)))
        bench.good("match", "client.jpg", "--zones", "word.client.zones.json", "--swatches", "word.swatches.csv", "--arc", "29", "--natural-length", "35", "--html", "sheet.html", "--force",
                   "--language", "de", code=(0, 1))
        pages[code] = Texts(bench.read("sheet.html").decode()).found
    expect(sum("left" in re.findall(r"\w+", text) for text in pages["left"]) > 10, True, "it is spoken of")
    expect([text for text in pages["left"] if re.search(r"\blinks\b", text, re.I) and text.replace("left", "loam") not in pages["loam"]], [])


def english_is_as_without_a_language(bench):
    expect(papers(bench, "planned", ["--language", "en"]), papers(bench, "planned", []))


def numbers_and_days_are_german(bench):
    page = papers(bench, "planned", ["--language", "de"])[1]
    for wanted in (r"\d+,\d\d EUR", r"\d+\. (Mai|Juni|Juli) 2026"):
        expect(bool(re.search(wanted, page)), True)


def what_the_stylist_wrote_stays(bench):
    """words that have their German elsewhere"""
    wishes = ("--zones", "client.zones.json", "--client", "Fine", "--arc", "29", "--natural-length", "35", "--quiet")
    bench.good("match", "client.jpg", *wishes, "--date", "2026-03-01", code=(0, 1))
    bench.good("visit", "set", "1", "--installed", "moth,moth", "--why", "close", "--note", "visible")
    bench.good("match", "client.jpg", *wishes, "--date", "2026-05-01", "--again", code=(0, 1))
    bench.good("report", "--visit", "2", "--html", "sheet.html", "--language", "de", "--force", code=(0, 1))
    texts = Texts(bench.read("sheet.html").decode())
    expect("close" in texts.names, True)
    expect(any(text.endswith("visible") for text in texts.names), True)
    expect("weil:" in texts.found, True)


def an_unknown_language_is_refused(bench):
    done = bench.run("match", "client.jpg", "--zones", "client.zones.json", "--client-html", "no.html", "--language", "xx")
    expect(done.returncode, 2)
    expect("en|de" in done.stderr.decode() or "en or de" in done.stderr.decode(), True)


def main():
    bench = Bench(sys.argv[1], sys.argv[2])
    bench.good("salon", "set", "salon_name=Fern and Linen", "row_fee=180", "tax_percent=19", "deposit_percent=30")
    bench.good("client", "add", "Fine")
    checks = [german(case, which) for case in CASES for which in (0, 1)]
    bench.good("client", "add", "Anna Berg")
    for check in [*checks, english_is_as_without_a_language, numbers_and_days_are_german, what_the_stylist_wrote_stays, the_book_pages_are_german, a_shade_called_like_a_word_stays, an_unknown_language_is_refused]:
        bench.check(check)
    bench.end()


if __name__ == "__main__":
    main()
