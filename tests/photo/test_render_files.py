#!/usr/bin/python3
"""The renderer's files as other programs see them (Pillow, json): same seed same bytes, orientation, ICC, EXIF, zones, target."""
import hashlib
import json
import os
import subprocess
import sys
import tempfile

from PIL import Image, ImageChops, ImageCms, ImageOps
import io

RENDER = os.path.abspath(sys.argv[1])
SMALL = ["width=400", "height=300", "zones=crown,temple,mid,ends"]
cases = []


def render(name, *options):
    subprocess.run([RENDER, "out=" + name, *SMALL, *options], check=True)
    return name


def digest(path):
    with open(path, "rb") as f:
        return hashlib.sha256(f.read()).hexdigest()


def load(path):
    with open(path, encoding="utf-8") as f:
        return json.load(f)


def case(function):
    cases.append(function)
    return function


@case
def same_seed_same_bytes():
    render("a", "seed=5", "swatches=zones", "card=gray", "target=1", "catalogue_file=a.csv")
    render("b", "seed=5", "swatches=zones", "card=gray", "target=1", "catalogue_file=b.csv")
    render("c", "seed=6", "swatches=zones", "card=gray", "target=1")
    assert digest("a.jpg") == digest("b.jpg") and digest("a.csv") == digest("b.csv")
    assert digest("a.jpg") != digest("c.jpg")


@case
def two_visits_share_the_hair():
    one, two = load("a.truth.json"), load("c.truth.json")
    for x, y in zip(one["zones"], two["zones"]):
        # Not quite equal: another swatch's stray fibre may reach a pixel of the zone.
        assert max(abs(p - q) for p, q in zip(x["lab"], y["lab"])) < 0.02, (x, y)
        assert abs(x["gray_share"] - y["gray_share"]) < 0.0005, (x, y)
        assert x["light"] != y["light"]


@case
def orientation_1_to_8_shows_one_picture():
    upright = None
    for orientation in range(1, 9):
        name = render("o%d" % orientation, "format=png", "height=320", "orientation=%d" % orientation)
        with Image.open(name + ".png") as im:
            assert im.getexif()[0x0112] == orientation
            assert im.size == ((400, 320) if orientation < 5 else (320, 400))
            shown = ImageOps.exif_transpose(im).convert("RGB")
        upright = upright or shown
        assert ImageChops.difference(upright, shown).getbbox() is None, orientation


@case
def profiles():
    for profile, red in (("srgb", (0.4361, 0.2225, 0.0139)), ("p3", (0.5151, 0.2412, -0.0011))):
        for kind in ("jpeg", "png"):
            name = render("p", "format=" + kind, "profile=" + profile)
            with Image.open("p.png" if kind == "png" else "p.jpg") as im:
                icc = ImageCms.getOpenProfile(io.BytesIO(im.info["icc_profile"]))
            found = icc.profile.red_colorant[0]
            assert all(abs(a - b) < 2e-3 for a, b in zip(found, red)), (profile, found)
    render("p", "profile=none")
    with Image.open("p.jpg") as im:
        assert "icc_profile" not in im.info


@case
def exif_facts():
    render("e", "flash=1", "resized=2.5", "taken=2025:06:01 09:30:00")
    with Image.open("e.jpg") as im:
        exif = im.getexif()
        sub = exif.get_ifd(0x8769)
    assert sub[0x9209] & 1 and sub[0xA002] == 1000 and sub[0xA003] == 750 and sub[0xA403] == 0
    assert sub[0x9003] == "2025:06:01 09:30:00"
    render("e", "exif=0")
    with Image.open("e.jpg") as im:
        assert not im.getexif()


@case
def zones_lie_in_the_picture():
    zones, truth = load("a.zones.json"), load("a.truth.json")
    assert zones["format"] == 1 and zones["photo"] == "a.jpg"
    kinds = [z["kind"] for z in zones["zones"]]
    assert kinds == ["root", "gray", "mid", "ends"] + ["swatch"] * 4 + ["card", "target"], kinds
    for z in zones["zones"]:
        if "rect" in z:
            x, y, w, h = z["rect"]
            assert 0 <= x and 0 <= y and x + w <= 400 and y + h <= 300 and w > 0 and h > 0
    codes = {line.split(",")[0] for line in open("a.csv", encoding="utf-8")}
    assert all(z["code"] in codes for z in zones["zones"] if z["kind"] == "swatch")
    assert [z["rect"] for z in zones["zones"] if z["kind"] in ("root", "gray", "mid", "ends")] == [z["rect"] for z in truth["zones"]]


@case
def slips_of_the_stylist():
    render("s", "swatches=zones", "omit=mid", "mislabel=temple", "target=1", "target_start=2")
    zones, truth = load("s.zones.json"), load("s.truth.json")
    swatches = {s["at"]: s for s in truth["swatches"]}
    assert "mid" not in swatches and swatches["temple"]["code"] != swatches["temple"]["true_code"]
    assert swatches["crown"]["code"] == swatches["crown"]["true_code"]
    shown = [z for z in zones["zones"] if z["kind"] == "target"][0]["corners"]
    real = [a for a in truth["aids"] if a["kind"] == "target"][0]["corners"]
    assert shown == real[2:] + real[:2]


@case
def target_reference():
    lines = open("a.target.txt", encoding="ascii").read().splitlines()
    data = lines[lines.index("BEGIN_DATA") + 1:lines.index("END_DATA")]
    assert lines[0] == "CGATS.17" and len(data) == 24
    lightness = {row.split('"')[1]: float(row.split()[-3]) for row in data}
    neutrals = [lightness[name] for name in ("white", "gray 54", "gray 31", "gray 18", "gray 8", "black")]
    assert neutrals == sorted(neutrals, reverse=True) and neutrals[0] > 90 and neutrals[-1] < 25, neutrals


@case
def unknown_keys_are_refused():
    done = subprocess.run([RENDER, "colour=blue"], capture_output=True, text=True)
    assert done.returncode == 2 and "no such key: colour=blue" in done.stderr
    done = subprocess.run([RENDER, "gray_root=2"], capture_output=True, text=True)
    assert done.returncode == 2 and "gray_root" in done.stderr


@case
def misspelt_words_are_refused():
    for option in ("look=hars", "format=gif", "card=grey", "zones=crown,temples", "swatches=zone", "omit=middle", "base=nobody", "codes=none"):
        done = subprocess.run([RENDER, option, "swatches=zones"] if option[:2] != "sw" else [RENDER, option], capture_output=True, text=True)
        assert done.returncode == 2 and done.stderr.count("\n") == 1 and option.split("=")[0] in done.stderr, (option, done.stderr)
    assert not os.path.exists("scene.jpg")


@case
def odd_sizes_and_extremes():
    for options in (["width=200", "height=200"], ["width=300", "height=700", "fibre=0.3"], ["width=900", "height=250", "fibre=4", "gray_temple=1", "wet=1"],
                    ["exposure=-4", "noise=20", "look=harsh", "cct=25000", "spread=1", "jitter=5"], ["exposure=3", "quality=1", "cct=4000", "blur=3"],
                    ["scene=sheet", "grid_rows=6", "grid_columns=5", "catalogue=120"], ["target=1", "target_turn=170", "card=three", "swatches=two"]):
        render("x", *options)
        load("x.zones.json")
        load("x.truth.json")


@case
def a_sheet_has_its_codes():
    render("h", "scene=sheet", "grid_rows=2", "grid_columns=3", "codes=ink,oat,frost,teak,fog,reed", "card=gray")
    assert open("h.codes.txt", encoding="ascii").read().split() == ["ink", "oat", "frost", "teak", "fog", "reed"]
    sheet = load("h.truth.json")["sheet"]
    x, y, w, h = sheet["rect"]
    for i, zone in enumerate(load("h.zones.json")["zones"][:6]):
        left, top = x + w * (i % 3) / 3, y + h * (i // 3) / 2
        zx, zy, zw, zh = zone["rect"]
        assert left <= zx and zx + zw <= left + w / 3 and top <= zy and zy + zh <= top + h / 2, zone


def main():
    failed = 0
    print("1..%d" % len(cases))
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        for number, run in enumerate(cases, 1):
            try:
                run()
                print("ok %d - %s" % (number, run.__name__))
            except Exception as fault:  # every case is to be reported
                failed += 1
                print("not ok %d - %s\n# %r" % (number, run.__name__, fault))
        os.chdir("/")
    return failed > 0


sys.exit(main())
