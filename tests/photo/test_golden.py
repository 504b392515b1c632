"""Every sample gives the result that stands in samples/golden/: words to the letter, numbers within a step that another processor's
mathematics may make (0.15 for decimals, 5 for whole numbers such as rounded shares). Those made to provoke a warning carry its code.

Usage: test_golden.py WEFTMATCH SAMPLES [--write] [--no-heic]"""
import glob
import json
import os
import re
import subprocess
import sys

PROGRAM, SAMPLES = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])
WRITE, NO_HEIC = "--write" in sys.argv, "--no-heic" in sys.argv
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
# The warning that a sample provokes.
CODES = {"clipped": "clipped_zone", "dark": "too_dark", "noisy": "noisy", "flash": "flash_fired", "uneven": "uneven_light_on_head", "wet": "hair_wet_or_shiny",
         "uneven-card": "card_uneven", "mislabelled": "swatch_mislabelled", "one-missing": "no_swatch_at_zone", "resized": "photo_resized",
         "compressed": "photo_compressed", "nothing": "no_aid", "target-turned": "target_turned", "unprofiled": "profile_assumed",
         "card-against-swatch": "aids_disagree", "card-of-other-light": "card_not_in_same_light", "cards-mixed-up": "cards_mixed_up",
         "coloured-card": "aid_dropped", "few-swatches": "few_swatches", "slipped-target": "target_patches", "burnt-zone": "clipped_zone",
         "half-skin": "not_only_hair", "few-locks": "answer_unstable", "on-the-wall": "not_hair", "on-the-face": "not_hair",
         "client-heic": "other_photo"}


def cases():
    """Name, photo and zones file of each, the demo first."""
    yield "client", "client.jpg", "client.zones.json"
    yield "client-heic", "client.heic", "client.zones.json"
    for folder in ("photos", "marks"):
        for zones in sorted(glob.glob(os.path.join(SAMPLES, folder, "*.zones.json"))):
            with open(zones, encoding="utf-8") as f:
                photo = os.path.normpath(os.path.join(folder, json.load(f)["photo"]))
            yield os.path.basename(zones)[:-len(".zones.json")], photo, os.path.relpath(zones, SAMPLES)


def run(name, photo, zones, *more):
    verb = ["measure"] if name == "sheet" else ["match", "--lines", "3", "--full", "--zone-rankings"]
    command = [PROGRAM, *verb, photo, "--zones", zones, "--swatches", "swatches.csv", "--date", "2025-06-01", "--color", "never", "--book", "none.book", *more]
    return subprocess.run(command, cwd=SAMPLES, capture_output=True, text=True, encoding="utf-8", env=dict(os.environ, LC_ALL="C.UTF-8"))


def result(case):
    done = run(*case)
    return f"{done.stdout}\nwarnings\n{done.stderr}\nexit {done.returncode}\n"


def words(line):
    return " ".join(NUMBER.sub("#", line).split())


def near(got, want):
    return abs(float(got) - float(want)) <= (0.15 if "." in got else 5) + 1e-9


def difference(got, want):
    """The first line that differs, or None."""
    ours, theirs = got.splitlines(), want.splitlines()
    for mine, other in zip(ours, theirs):
        numbers = [] if mine.startswith("exit") else list(zip(NUMBER.findall(mine), NUMBER.findall(other)))
        exact = mine == other if mine.startswith("exit") else words(mine) == words(other)
        if not exact or not all(near(a, b) for a, b in numbers):
            return f"got {mine!r}, want {other!r}"
    return None if len(ours) == len(theirs) else f"{len(ours)} lines, want {len(theirs)}"


def without(case):
    """The code that a sample is made to provoke, when its result does not carry it."""
    want = CODES.get(case[0])
    if not want:
        return None
    codes = [warning["code"] for warning in json.loads(run(*case, "--json").stdout)["warnings"]]
    return None if want in codes else f"no warning {want}"


def fault(case, path):
    with open(path, encoding="utf-8") as f:
        return difference(result(case), f.read()) or without(case)


def main():
    every, failed, seen = list(cases()), 0, set()
    for n, case in enumerate(every, 1):
        name, photo, _ = case
        path = os.path.join(SAMPLES, "golden", name + ".txt")
        seen.add(name)
        if WRITE:
            with open(path, "w", encoding="utf-8") as f:
                f.write(result(case))
        elif NO_HEIC and photo.endswith(".heic"):
            print(f"ok {n} - {name} # SKIP built without HEIC")
        else:
            wrong = fault(case, path)
            failed += bool(wrong)
            print(f"{'not ok' if wrong else 'ok'} {n} - {name}" + (f"\n# {wrong}; if meant, run samples/golden.sh" if wrong else ""))
    if not WRITE:
        orphans = set(CODES) - seen | {os.path.basename(p)[:-4] for p in glob.glob(os.path.join(SAMPLES, "golden", "*.txt"))} ^ seen
        print(f"{'not ok' if orphans else 'ok'} {len(every) + 1} - every sample has its golden output, and nothing else" + (f"\n# {sorted(orphans)}" if orphans else ""))
        print(f"1..{len(every) + 1}")
        failed += bool(orphans)
    sys.exit(1 if failed else 0)


main()
