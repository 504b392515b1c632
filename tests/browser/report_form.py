"""The form of the report page, by parsers of Python's own: well-formed as XML, balanced as HTML, ids unique, links inside, every drawing
titled, headings in order, no script, no style attribute. report_form.py MAKE_REPORT"""
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree
from html.parser import HTMLParser

VOID = {"meta", "br", "input", "img", "link", "hr"}


class Balance(HTMLParser):
    def __init__(self):
        super().__init__()
        self.open, self.faults, self.ids, self.links, self.headings = [], [], [], [], []

    def handle_starttag(self, tag, attributes):
        if tag not in VOID:
            self.open.append(tag)
        self.look(tag, attributes)

    def handle_startendtag(self, tag, attributes):
        self.look(tag, attributes)

    def look(self, tag, attributes):
        for name, value in attributes:
            if name.startswith("on") or name == "style" or (value or "").lstrip().lower().startswith("javascript:"):
                self.faults.append(f"<{tag} {name}>")
            if name == "id":
                self.ids.append(value)
            if name == "href":
                self.links.append(value)
        if tag in ("script", "iframe", "object", "base"):
            self.faults.append(f"<{tag}>")
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(int(tag[1]))

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}>")


def check(page):
    root = ElementTree.fromstring(page.split("<!DOCTYPE html>", 1)[1])
    balance = Balance()
    balance.feed(page)
    balance.close()
    assert not balance.faults and not balance.open, (balance.faults, balance.open)
    assert len(set(balance.ids)) == len(balance.ids), "an id twice"
    for link in balance.links:
        assert link.startswith("data:image/") or link[1:] in balance.ids, link[:40]
    assert balance.headings[0] == 1 and balance.headings.count(1) == 1
    assert all(b - a <= 1 for a, b in zip(balance.headings, balance.headings[1:])), balance.headings
    drawings = 0
    for svg in root.iter("svg"):
        if svg.get("role") == "img":
            title = svg.find("title")
            assert title is not None and "".join(title.itertext()).strip(), "a drawing without a title"
            drawings += 1
        else:
            assert svg.get("aria-hidden") == "true"
    assert root.get("lang") == "en" and root.find("head/title").text
    return drawings


def main():
    kinds = ["full", "small", "rough", "measured", "hostile"]
    print(f"1..{len(kinds)}")
    for number, kind in enumerate(kinds, 1):
        with tempfile.TemporaryDirectory() as folder:
            subprocess.run([sys.argv[1], f"{folder}/page.html", kind], check=True)
            with open(f"{folder}/page.html", encoding="utf-8", newline="") as file:
                page = file.read()
        try:
            print(f"# {kind}: {check(page)} drawings, {len(page.encode())} bytes\nok {number} - {kind}")
        except (AssertionError, ElementTree.ParseError) as fault:
            print(f"# {fault}\nnot ok {number} - {kind}")


main()
