"""Every writing verb is killed at each thing that it does to a file: each write (before it, and half way through), sync, truncation,
rename, link, unlink, new file; and the power fails there, so that of what was not synced each sector is on the disk or not. What is then on the
disk is the state before or the state after, never anything between.

Usage: kills.py WEFTMATCH WM_RENDER DIES OLD_BOOK [all | VERB..] [KILLS]

Without a word a part for every run of the tests; `all` takes the whole table (some minutes). With a number each verb is killed so often: when
nothing it does is left, at chance ones, with a chance part of a write or a chance half of the sectors (TMPDIR=/dev/shm makes it quick)."""
import json
import os
import random
import shutil
import sqlite3
import subprocess
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "cli"))
from support import Bench, expect

MATCH = ["match", "client.jpg", "--zones", "client.zones.json", "--jobs", "1", "--quiet"]
# What is run, which files it writes; how the book was brought there lies in fixtures().
VERBS = {
    "client add": (["client", "add", "Cleo Lund", "--note", "mornings"], []),
    "first client": (["client", "add", "Cleo Lund", "--book", "new.book"], []),
    "client rename": (["client", "rename", "anna", "Anna Lind"], []),
    "client note": (["client", "note", "anna", "allergic to nickel"], []),
    "client merge": (["client", "merge", "bea", "anna"], []),
    "client forget": (["client", "forget", "anna", "--yes"], []),
    "client export": (["client", "export", "anna", "-o", "anna.json"], ["anna.json"]),
    "client export --force": (["client", "export", "anna", "-o", "bea.json", "--force"], ["bea.json"]),
    "client import": (["client", "import", "dora.json"], []),
    "match --client": ([*MATCH, "--client", "bea", "--again", "--html", "m.html", "--json", "-o", "m.json"], ["m.html", "m.json"]),
    "match --ics": ([*MATCH, "--arc", "28", "--client-html", "c.html", "--ics", "c.ics", "--no-save"], ["c.html", "c.ics"]),
    "visit set": (["visit", "set", "2", "--installed", "loam", "--charged", "540", "--note", "loves it"], []),
    "visit set --after": (["visit", "set", "2", "--after", "client.jpg"], []),
    "visit add": (["visit", "add", "anna", "--kind", "move-up", "--installed", "loam", "--charged", "120"], []),
    "visit move": (["visit", "move", "2", "--client", "bea"], []),
    "visit remove": (["visit", "remove", "2"], []),
    "visit restore": (["visit", "restore", "3"], []),
    "book undo": (["book", "undo", "--yes"], []),
    "book redo": (["book", "redo", "--yes"], []),
    "client coming": (["client", "coming", "anna", "2030-05-12"], []),
    "stock add": (["stock", "add", "loam", "2", "--lot", "2611"], []),
    "stock count": (["stock", "count", "loam", "3"], []),
    "stock cut": (["stock", "cut", "clay", "8cm"], []),
    "stock remove": (["stock", "remove", "1"], []),
    "orders --ics": (["orders", "--ics", "coming.ics"], ["coming.ics"]),
    "book backup": (["book", "backup", "copy.book"], ["copy.book"]),
    "book import": (["book", "import", "kept.book", "--book", "new.book"], []),
    "match --instead-of": ([*MATCH, "--instead-of", "2"], []),
    "plan --ics": (["plan", "--visit", "2", "--arc", "28", "--ics", "p.ics"], ["p.ics"]),
    "swatch add --lot": (["swatch", "add", "client.jpg", "--zones", "lot.zones.json", "--into", "swatches.csv", "--lot", "2611"], []),
    "book log -o": (["book", "log", "-o", "log.txt"], ["log.txt"]),
    "book upgrade": (["client", "list", "--book", "old.book"], ["old.book.version-1"]),
    "salon set": (["salon", "set", "salon_name=Fern and Linen", "row_fee=180", "units=in"], []),
    "swatch add": (["swatch", "add", "client.jpg", "--zones", "client.zones.json", "--into", "swatches.csv"], ["swatches.csv"]),
    "swatch convert": (["swatch", "convert", "swatches.csv", "swatches.txt", "--lossy"], ["swatches.txt"]),
    "report --html": (["report", "--visit", "2", "--html", "r.html", "--client-html", "rc.html"], ["r.html", "rc.html"]),
    "report --html --force": (["report", "--visit", "2", "--html", "old.html", "--force"], ["old.html"]),
    "compare --html": (["compare", "--visits", "2", "4", "--html", "compare.html"], ["compare.html"]),
    "mark": (["mark", "client.jpg", "-o", "mark.html"], ["mark.html"]),
    "client list -o": (["client", "list", "-o", "list.txt"], ["list.txt"]),
    "client list --html": (["client", "list", "--html", "clients.html"], ["clients.html"]),
    "client show --html": (["client", "show", "anna", "--html", "anna.html"], ["anna.html"]),
}
QUICK = {"client add": 11, "first client": 20, "visit set": 13, "book backup": 10, "book import": 13, "client forget": 37, "client export --force": 3}
PREPARED = {"book redo": ["book", "undo", "--yes"]}
BOOKS = {"first client": "new.book", "book import": "new.book", "book upgrade": "old.book"}
QUICK_KILLS = 4  # of each kind


def said(bench, *words, code=(0, 1)):
    return bench.good(*words, code=code)


def fixtures(bench, old_book):
    """A salon with three clients, three visits of which one is removed, a client's file and older outputs."""
    said(bench, "client", "add", "Dora Quill")
    said(bench, *MATCH, "--client", "dora")
    said(bench, "client", "export", "dora", "-o", "dora.json")
    said(bench, "client", "forget", "dora", "--yes")
    for name in ("Anna Berg", "Bea Falk"):
        said(bench, "client", "add", name, "--note", "x" * 200)
    for _ in range(3):
        said(bench, *MATCH, "--client", "anna", "--again")
    said(bench, "visit", "remove", "3")
    said(bench, "stock", "cut", "loam", "6cm")
    said(bench, "book", "backup", "kept.book")
    zones = json.loads(bench.read("client.zones.json"))
    swatches = [{k: v for k, v in zone.items() if k != "at"} for zone in zones["zones"] if zone["kind"] == "swatch"]
    swatches[0] = {"kind": "mid", "name": swatches[0]["code"], "rect": swatches[0]["rect"]}
    bench.write("lot.zones.json", json.dumps({**zones, "zones": swatches}))
    bench.write("old.html", "an older page\n")
    bench.write("bea.json", "an older file\n")
    subprocess.run([old_book, bench.path("old.book")], check=True)
    os.chmod(bench.path("old.book"), 0o600)


class Kill:
    """One verb in a folder of its own that is made anew for each kill."""

    def __init__(self, bench, dies, name, ready):
        self.bench, self.dies, self.name = bench, dies, name
        self.words, self.outputs = VERBS[name]
        self.book = BOOKS.get(name, "salon.book")
        self.prepared, self.folder = ready, ready + ".run"
        self.kills = 0
        self.marks = {}
        shutil.rmtree(self.folder, ignore_errors=True)
        if name in PREPARED:
            self.prepared = ready + ".prepared"
            shutil.copytree(ready, self.prepared)
            expect(bench.run(*PREPARED[name], folder=self.prepared).returncode, 0, name)

    def fresh(self):
        """The folder as it was prepared: what was not touched since stays."""
        found = {name: self.mark(name) for name in os.listdir(self.folder)} if os.path.isdir(self.folder) else {}
        os.makedirs(self.folder, exist_ok=True)
        for name in found.keys() - self.marks.keys():
            path = os.path.join(self.folder, name)
            shutil.rmtree(path) if os.path.isdir(path) and not os.path.islink(path) else os.remove(path)
        for name in os.listdir(self.prepared):
            if found.get(name) is None or found[name] != self.marks.get(name):
                if name in found:
                    os.remove(os.path.join(self.folder, name))
                shutil.copy2(os.path.join(self.prepared, name), os.path.join(self.folder, name))
                self.marks[name] = self.mark(name)

    def mark(self, name):
        info = os.lstat(os.path.join(self.folder, name))
        return info.st_ino, info.st_ctime_ns, info.st_size

    def run(self, words, **env):
        return self.bench.run(*words, folder=self.folder, env=env)

    def killed(self, how):
        env = {name: str(value) for name, value in how.items()}
        return self.run(self.words, LD_PRELOAD=self.dies, ASAN_OPTIONS="verify_asan_link_order=0:exitcode=86", **env)

    def content(self):
        """All rows of the book but for small pictures, which can be made again, as another program of SQLite's reads them; what it was before any
        client is one state."""
        path = os.path.join(self.folder, self.book)
        if not os.path.exists(path) or os.path.getsize(path) == 0 and not os.path.exists(path + "-wal"):
            return ()
        db = sqlite3.connect(path)
        try:
            expect(db.execute("PRAGMA integrity_check").fetchall(), [("ok",)])
            expect(db.execute("PRAGMA foreign_key_check").fetchall(), [])
            tables = [row[0] for row in db.execute("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name <> 'thumbnail' ORDER BY name")]
            rows = [(table, sorted(map(repr, db.execute(f'SELECT * FROM "{table}"')))) for table in tables]
            return tuple((t, tuple(r)) for t, r in rows) if any(r for _, r in rows) else ()
        finally:
            db.close()

    def files(self):
        found = []
        for name in self.outputs:
            path = os.path.join(self.folder, name)
            found.append(open(path, "rb").read() if os.path.exists(path) else None)
        return found

    def file_is(self, i, got, want):
        """A copy of a book is judged by what is in it: the same pages may lie elsewhere."""
        if got is None or want is None or not self.outputs[i].endswith((".book", ".version-1")):
            return got == want
        return self.dump(got) == self.dump(want)

    def dump(self, content):
        path = os.path.join(self.folder, ".dump")
        with open(path, "wb") as f:
            f.write(content)
        db = sqlite3.connect(path)
        text = "\n".join(db.iterdump()) if db.execute("PRAGMA integrity_check").fetchall() == [("ok",)] else "damaged"
        db.close()
        os.remove(path)
        return text

    def parts(self):
        return [name for name in os.listdir(self.folder) if name.endswith(".part")]

    def look(self, what):
        """The book is opened by us first, as it lies, then by SQLite."""
        if os.path.exists(os.path.join(self.folder, self.book)) and self.name != "book upgrade":
            done = self.run(["book", "check", "--book", self.book])
            expect(done.returncode in (0, 5) if self.book == "new.book" else done.returncode == 0, True, f"{what}: {done.stderr.decode()}")
        return self.content(), self.files()

    def judge(self, what, got, before, after):
        book, files = got
        expect(book in (before[0], after[0]), True, f"{what}: the book is neither as before nor as after")
        for i, name in enumerate(self.outputs):
            expect(self.file_is(i, files[i], before[1][i]) or self.file_is(i, files[i], after[1][i]), True, f"{what}: {name} is half written")
        if self.outputs and before[0] != after[0] and book == after[0]:
            expect(all(self.file_is(i, files[i], after[1][i]) for i in range(len(files))), True, f"{what}: in the book before its outputs")

    def go_on(self, what, got, before, after):
        """The same again where nothing had happened gives what it would have given; no part of a file survives the next that is written."""
        if got[0] == before[0] != after[0] and all(self.file_is(i, got[1][i], before[1][i]) for i in range(len(self.outputs))):
            done = self.run(self.words)
            expect(done.returncode in (0, 1), True, f"{what}, again: {done.stderr.decode()}")
            expect(self.content() == after[0], True, f"{what}, again: the book is not as after")
        self.run(["swatch", "list", "swatches.csv", "-o", "later.txt", "--force"])
        expect(self.parts(), [], f"{what}, then another run")

    def kill(self, how, before, after, again):
        """False: it ended before that."""
        self.fresh()
        done = self.killed(how)
        what = f"{self.name}, {' '.join(f'{k}={v}' for k, v in how.items())}"
        if done.returncode != -9:
            expect(done.returncode in (0, 1), True, f"{what}: {done.stderr.decode()}")
            return False
        got = self.look(what)
        self.judge(what, got, before, after)
        if again:
            self.go_on(what, got, before, after)
        self.kills += 1
        return True

    def all_kills(self, step, kills, most):
        """At each step-th thing it does, up to `most` of each kind; then, until they are `kills`, by chance."""
        self.fresh()
        before = self.look("before")
        self.fresh()
        done = self.run(self.words)
        expect(done.returncode in (0, 1), True, f"{self.name}: {done.stderr.decode()}")
        after = self.look("after")
        places = {}
        for kind, part in ("", {}), ("PART", {"DIES_PART": 500}), ("CUT", {"DIES_CUT": 1}):
            at, first = 1, self.kills
            while self.kills - first < most and self.kill({"DIES_AT": at, **part}, before, after, True):
                at += step
            places[kind] = at - 1
        self.by_chance(kills, places, before, after)

    def by_chance(self, kills, places, before, after):
        chance = random.Random(self.name)
        seen = set()
        while self.kills < kills and len(seen) < 10 * kills:
            kind = chance.choice(("PART", "CUT"))
            how = (chance.randint(1, max(1, places[kind])), kind, chance.randint(1, 999 if kind == "PART" else 10**6))
            if how not in seen:
                self.kill({"DIES_AT": how[0], f"DIES_{kind}": how[2]}, before, after, self.kills % 10 == 0)
            seen.add(how)


def main():
    program, render, dies, old_book, *names = sys.argv[1:]
    kills = int(names.pop()) if names and names[-1].isdecimal() else 0
    everything = names == ["all"]
    bench = Bench(program, render)
    fixtures(bench, os.path.abspath(old_book))
    ready = bench.folder + ".ready"
    shutil.copytree(bench.folder, ready)
    total = 0
    for name in (VERBS if everything else names or QUICK):
        kill = Kill(bench, os.path.abspath(dies), name, ready)

        def test(_bench):
            kill.all_kills(1 if names else QUICK[name], kills, 10**6 if names else QUICK_KILLS)
        test.__doc__ = name
        bench.check(test)
        print(f"# {kill.kills} kills", flush=True)
        total += kill.kills
        for folder in (kill.folder, ready + ".prepared"):
            shutil.rmtree(folder, ignore_errors=True)
    print(f"# {total} kills in all")
    shutil.rmtree(ready)
    bench.end()


if __name__ == "__main__":
    main()
