"""recheck of a book against 1,000 shades: how long 20,000 visits would take on this machine's processors, from some hundred of them.

Usage: recheck.py WM_RENDER WEFTMATCH; prints one row of the table of speed.py."""
import os
import sqlite3
import subprocess
import sys
import tempfile
import time

RENDER, WEFTMATCH = map(os.path.abspath, sys.argv[1:3])
VISITS, WANTED, RUNS = 120, 20000, 5  # so many that starting counts for as little as among 20,000


def run(*args):
    done = subprocess.run([WEFTMATCH, *args, "--book", "b.book", "--swatches", "s.csv"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    if done.returncode > 1:
        sys.exit(f"recheck.py: {args[0]} failed")


with tempfile.TemporaryDirectory() as folder:
    os.chdir(folder)
    subprocess.run([RENDER, "out=p", "swatches=zones", "catalogue=1000", "catalogue_file=s.csv"], check=True, stdout=subprocess.DEVNULL)
    subprocess.run([WEFTMATCH, "client", "add", "Anna Berg", "--book", "b.book"], check=True, stdout=subprocess.DEVNULL)
    run("match", "p.jpg", "--zones", "p.zones.json", "--client", "anna", "--arc", "29")
    db = sqlite3.connect("b.book")
    db.execute("INSERT INTO visit (client_id, date) WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < ?) "
               "SELECT client_id, date FROM visit, n", (VISITS - 1,))
    db.execute("INSERT INTO attachment (visit_id, kind, bytes) SELECT visit.id, attachment.kind, bytes FROM visit, attachment "
               "WHERE attachment.kind = 'report' AND visit.id <> attachment.visit_id")
    db.commit()
    db.close()
    least = float("inf")
    for _ in range(RUNS):
        start = time.monotonic()
        run("recheck")
        least = min(least, time.monotonic() - start)
    seconds = least * WANTED / VISITS
print(f"recheck of 20,000 visits against 1,000 shades, minutes by {os.cpu_count()} processors\t{seconds / 60:.1f}\tat most 1")
