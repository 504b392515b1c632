"""Every sample photo gives the result that stands in samples/golden/: words to the letter, numbers within a step that another processor's
mathematics may make (0.15 for decimals, 5 for whole numbers such as rounded shares).

Usage: test_golden.py WEFTMATCH SAMPLES [--write]"""
import os
import re
import subprocess
import sys

PROGRAM, SAMPLES = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
# The warning that each sample provokes.
CODES = {"clipped": "clipped_zone", "dark": "too_dark", "noisy": "noisy", "flash": "flash_fired", "uneven": "uneven_light_on_head", "wet": "hair_wet_or_shiny",
         "uneven-card": "card_uneven", "mislabelled": "swatch_mislabelled", "one-missing": "no_swatch_at_zone", "resized": "photo_resized",
         "compressed": "photo_compressed", "nothing": "no_aid", "target-turned": "target_turned"}


def run(verb, photo, *more):
    command = [PROGRAM, verb, photo, "--zones", photo.replace(".jpg", ".zones.json"), "--swatches", "swatches.csv", "--date", "2025-06-01",
               "--color", "never", "--book", "none.book", *more]
    return subprocess.run(command, cwd=SAMPLES, capture_output=True, text=True, env=dict(os.environ, LC_ALL="C.UTF-8"))


def photos():
    yield "client.jpg"
    for name in sorted(os.listdir(os.path.join(SAMPLES, "photos"))):
        if name.endswith(".jpg"):
            yield "photos/" + name


def result(photo):
    done = run("measure", photo) if "sheet" in photo else run("match", photo, "--lines", "3")
    return f"{done.stdout}\nwarnings\n{done.stderr}\nexit {done.returncode}\n"


def golden(photo):
    return os.path.join(SAMPLES, "golden", os.path.basename(photo).replace(".jpg", ".txt"))


def words(line):
    return " ".join(NUMBER.sub("#", line).split())


def near(got, want):
    a, b = float(got), float(want)
    return abs(a - b) <= (0.15 if "." in got else 5) + 1e-9


def difference(got, want):
    """The first line that differs, or None."""
    ours, theirs = got.splitlines(), want.splitlines()
    for mine, other in zip(ours, theirs):
        numbers = list(zip(NUMBER.findall(mine), NUMBER.findall(other)))
        if words(mine) != words(other) or not all(near(a, b) for a, b in numbers):
            return f"got {mine!r}, want {other!r}"
    return None if len(ours) == len(theirs) else f"{len(ours)} lines, want {len(theirs)}"


def main():
    failed = 0
    names = list(photos())
    for n, photo in enumerate(names, 1):
        got = result(photo)
        if "--write" in sys.argv:
            with open(golden(photo), "w", encoding="utf-8") as f:
                f.write(got)
            continue
        name = os.path.basename(photo)[:-4]
        with open(golden(photo), encoding="utf-8") as f:
            fault = difference(got, f.read())
        if not fault and name in CODES and f'"code":"{CODES[name]}"' not in run("measure", photo, "--json").stdout:
            fault = f"no warning {CODES[name]}"
        failed += bool(fault)
        print(f"{'not ok' if fault else 'ok'} {n} - {photo}" + (f"\n# {fault}" if fault else ""))
    if "--write" not in sys.argv:
        print(f"1..{len(names)}")
    sys.exit(1 if failed else 0)


main()
