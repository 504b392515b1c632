"""A book of 2,000 clients and 20,000 visits: how long it takes to open it, to find a client, to show her latest report, beside a book of one client; and
what looks at every client: the orders, the gallery, a match that is told whose packs are whose.

Usage: book.py WM_RENDER WEFTMATCH; prints rows of the table of speed.py. Names are made up from syllables."""
import os
import resource
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time

RENDER, WEFTMATCH = map(os.path.abspath, sys.argv[1:3])
CLIENTS, VISITS, RUNS, WANTED_MS = 2000, 10, 9, 20


os.environ["WEFTMATCH_SWATCHES"] = "s.csv"


def run(*words, book):
    done = subprocess.run([WEFTMATCH, *words, "--book", book], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    if done.returncode > 1 and "Berk" not in words:  # whom nobody knows
        sys.exit(f"book.py: {' '.join(words)}: {done.stderr.decode()}")


def milliseconds(*words, book):
    best = float("inf")
    for _ in range(RUNS):
        start = time.perf_counter()
        run(*words, book=book)
        best = min(best, time.perf_counter() - start)
    return 1000 * best


def processor_ms(*words, book):
    """The least of two runs: these take seconds."""
    best = float("inf")
    for _ in range(2):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        run(*words, book=book)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        best = min(best, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return 1000 * best


def grow(name):
    """Clients and visits as the first one's, by direct inserts; each client's latest visit has its report and picture."""
    one, two, three = ("An Be Ka Lu Mi No Ro Sa Te Zo".split(), "ra le vi so nu ta mi de lo xe".split(), "na ke lin va ro sta dis men the gol".split())
    names = [f"{a}{b} {c.title()}{d}{e}" for a in one for b in two for c in three for d in two[:5] for e in three[:4]][:CLIENTS]
    db = sqlite3.connect(name)
    db.create_function("sought", 1, str.lower)
    db.executemany("INSERT INTO client (id, name, folded, sought, since) VALUES (?, ?, ?, ?, '2024-01-01')",
                   [(i + 2, f"{n} {i}", f"{n} {i}".lower(), f"{n} {i}".lower()) for i, n in enumerate(names[1:])])
    db.execute("INSERT INTO visit (client_id, date, installed, photo_sha256) WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i < ?) "
               "SELECT client.id, date('2024-01-01', (42 * i) || ' days'), 'moth,frost,moth', client.id || '-' || i FROM n, client", (VISITS - 1,))
    db.execute("INSERT INTO attachment (visit_id, kind, bytes) SELECT (SELECT id FROM visit WHERE client_id = client.id ORDER BY date DESC, id DESC LIMIT 1), kind, bytes "
               "FROM client, attachment WHERE visit_id = 1 AND kind IN ('report', 'photo') AND client.id > 1")
    db.execute("INSERT INTO attachment (visit_id, kind, bytes) SELECT visit.id, 'report', bytes FROM visit, attachment WHERE visit_id = 1 AND attachment.kind = 'report' AND "
               "client_id IN (1, (SELECT max(id) FROM client)) AND visit.id NOT IN (SELECT visit_id FROM attachment)")
    db.execute("INSERT INTO change (date, verb, told, client_id, visit_id) SELECT date, 'visit save', 'visit ' || id || ' saved', client_id, id FROM visit")
    db.commit()
    last = db.execute("SELECT name FROM client WHERE id = (SELECT max(id) FROM client)").fetchone()[0]
    db.close()
    return last


def row(what, number, floor):
    print(f"{what}\t{number:.1f}\t{floor}")


with tempfile.TemporaryDirectory() as folder:
    os.chdir(folder)
    subprocess.run([RENDER, "out=p", "swatches=zones", "catalogue=120", "catalogue_file=s.csv"], check=True, stdout=subprocess.DEVNULL)
    subprocess.run([WEFTMATCH, "client", "add", "Anna Berg", "--book", "small.book"], check=True, stdout=subprocess.DEVNULL)
    run("match", "p.jpg", "--zones", "p.zones.json", "--client", "anna", "--arc", "29", "--date", "2025-01-01", book="small.book")
    shutil.copy("small.book", "large.book")
    last = grow("large.book")
    for what, small, large in (
            ("opening it", ("salon", "show"), ("salon", "show")),
            ("a client by her number", ("client", "history", "1"), ("client", "history", "1")),
            ("her latest report", ("report", "--client", "anna berg"), ("report", "--client", last)),
            ("nobody of that name, near misses named", ("client", "show", "Berk"), ("client", "show", "Berk")),
            ("the list of clients", ("client", "list"), ("client", "list"))):
        before, now = milliseconds(*small, book="small.book"), milliseconds(*large, book="large.book")
        row(f"book of {CLIENTS:,} clients, {CLIENTS * VISITS:,} visits: {what}, ms", now, f"at most {WANTED_MS}")
        row("   times that of a book of one", now / before, "")
    due = ("--date", "2025-01-20")  # everybody is
    match = ("match", "p.jpg", "--zones", "p.zones.json", "--client", "1", "--no-save", *due)
    row(f"a match where {CLIENTS:,} clients are due, ms of processor time more than with a book of one", processor_ms(*match, book="large.book") - processor_ms(*match, book="small.book"), "")
    row(f"orders of {CLIENTS:,} clients who are due, ms of processor time", processor_ms("orders", *due, book="large.book"), "")
    row(f"gallery of {CLIENTS:,} clients, ms of processor time", processor_ms("client", "list", "--html", "g.html", "--force", book="large.book"), "")
