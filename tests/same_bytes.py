"""The same input gives the same bytes, whoever compiled the program, at whatever optimization, in any locale and time zone: texts, JSON,
pages with their pictures, calendars, exported clients of the samples, of every given program, in two environments, compared with the
first's.

Usage: same_bytes.py SAMPLES PROGRAM PROGRAM.. (tests/same_bytes.sh builds them)"""
import hashlib
import os
import shutil
import subprocess
import sys
import tempfile

ENVIRONMENTS = ({"LC_ALL": "C.UTF-8", "TZ": "UTC"}, {"LC_ALL": "de_DE.UTF-8", "TZ": "Pacific/Auckland"})
CLIENT = ["--natural-length", "40", "--to-length", "55", "--arc", "29", "--row", "crown=20", "--hair", "fine", "--amount", "thin"]
PHOTOS = ["client", "photos/card", "photos/cards", "photos/flash", "photos/later", "photos/noisy", "photos/nothing", "photos/target", "photos/uneven", "photos/wet"]


def commands(samples):
    """Commands, and which files they write; those after the photos build one book."""
    for photo in PHOTOS:
        marked = [f"{samples}/{photo}.jpg", "--zones", f"{samples}/{photo}.zones.json"]
        yield ["measure", *marked, "--json"], []
        yield ["match", *marked, "--json"], []
    client = [f"{samples}/client.jpg", "--zones", f"{samples}/client.zones.json"]
    yield ["match", *client, *CLIENT, "--full", "--html", "sheet.html", "--client-html", "client.html", "--ics", "next.ics"], ["sheet.html", "client.html", "next.ics"]
    yield ["mark", *client, "-o", "page.html"], ["page.html"]
    yield ["blend", "moth=0.5", "loam=0.5"], []
    yield ["swatch", "check", f"{samples}/swatches.csv"], []
    yield ["swatch", "convert", f"{samples}/swatches.csv", "swatches.txt", "--lossy"], ["swatches.txt"]
    yield ["swatch", "add", f"{samples}/photos/sheet.jpg", "--zones", f"{samples}/photos/sheet.zones.json", "--into", "measured.csv"], ["measured.csv"]
    yield ["client", "add", "Zo\u00eb Berg"], []
    yield ["match", *client, "--client", "zoe", "--date", "2026-03-31"], []
    yield ["match", f"{samples}/photos/later.jpg", "--zones", f"{samples}/photos/later.zones.json", "--client", "zoe", "--date", "2026-06-30", "--again"], []
    yield ["client", "history", "zoe"], []
    yield ["client", "export", "zoe", "-o", "zoe.json"], ["zoe.json"]
    yield ["report", "--visit", "2", "--full", "--html", "again.html"], ["again.html"]
    yield ["compare", "--visits", "1", "2", "--html", "compare.html"], ["compare.html"]
    yield ["recheck"], []


def results(program, samples, environment):
    """What each command gave: its exit code, and a digest of all it printed and wrote."""
    folder = tempfile.mkdtemp(prefix="weftmatch-same-")
    env = {"HOME": folder, "PATH": os.environ["PATH"], "WEFTMATCH_BOOK": "salon.book", "WEFTMATCH_SWATCHES": f"{samples}/swatches.csv",
           "SOURCE_DATE_EPOCH": "1774958400", **environment, **{k: os.environ[k] for k in ("LOCPATH",) if k in os.environ}}
    found = []
    for words, files in commands(samples):
        done = subprocess.run([program, *words], cwd=folder, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        digest = hashlib.sha256(done.stdout + b"\0" + done.stderr)
        for name in files:
            with open(os.path.join(folder, name), "rb") as f:
                digest.update(f.read())
        found.append((" ".join(words), done.returncode, digest.hexdigest()))
    shutil.rmtree(folder)
    return found


def main():
    samples, *programs = [os.path.abspath(word) for word in sys.argv[1:]]
    wanted = None
    differences = compared = 0
    for program in programs:
        for environment in ENVIRONMENTS:
            got = results(program, samples, environment)
            wanted = wanted or got
            for want, one in zip(wanted, got):
                compared += 1
                if want != one or want[1] not in (0, 1):
                    differences += 1
                    print(f"{program} {environment}: {one[0]}: exit {one[1]}, not the bytes of {programs[0]}")
    print(f"{len(programs)} programs, {len(ENVIRONMENTS)} environments, {compared} results compared, {differences} differ")
    sys.exit(1 if differences else 0)


if __name__ == "__main__":
    main()
