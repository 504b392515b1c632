#!/usr/bin/python3
"""What the program reads off real hair whose colour is known: photos of hair (a folder with photos/ID.jpg and labels.csv: id,kind,zone,x,y,w,h,quality,leak)
are taken for the scene itself, swatches cut from the hair of other photos and brought to a shade's colour are pasted beside the zones, and an
invented camera photographs all of it: light that slopes, white balance, crosstalk, contrast, noise, JPEG. The truth is the mean of a zone before that.
Nothing is to be tuned on it.

Usage: pasted_swatches.py BUILD FOLDER PHOTOS SEED [KEY=VALUE ..], the keys being those of CAMERA. Prints a line a photo, then errors against the truth."""
import collections
import csv
import json
import os
import subprocess
import sys
import tempfile

import numpy
from PIL import Image
from skimage.color import deltaE_ciede2000

from other_heads import lab_to_linear, linear_to_lab, srgb_encode

# slope: of the light, over the picture, in a direction by chance; top: more light at the top by this part; contrast: sd of ln of the exponent;
# mislabel 1: the first swatch bears the code of a shade at least 8 dE00 away
CAMERA = {"slope": 0.2, "top": 0.0, "contrast": 0.08, "mislabel": 0.0}
SHADES = 60
CHOICE = 5  # a stylist holds up one of the nearest so many
PLACES = ((1, 0, 8, 0), (-1, 0, -8, 0), (0, -1, 0, -8), (0, 1, 0, 8), (1, 1, 8, 8), (-1, 1, -8, 8))  # beside, above, below: in sizes and pixels


def read_scenes(folder):
    """The photos that have two zones or more of nothing but hair: linear pixels and zones."""
    scenes = {}
    with open(os.path.join(folder, "labels.csv"), encoding="utf-8") as table:
        for row in csv.DictReader(table):
            if row["leak"] == "clean" and row["quality"] == "good":
                scenes.setdefault(row["id"], []).append((row["kind"], row["zone"], *(int(row[k]) for k in "xywh")))
    out = []
    for name, zones in scenes.items():
        picture = numpy.asarray(Image.open(os.path.join(folder, "photos", name + ".jpg")).convert("RGB")) / 255
        linear = numpy.where(picture <= 0.04045, picture / 12.92, ((picture + 0.055) / 1.055) ** 2.4)  # IEC 61966-2-1
        out.append((name, linear, zones))
    return out


def shades_of(rng):
    """Invented hair colours, black to light blond."""
    lightness = rng.uniform(14, 72, SHADES)
    labs = numpy.stack([lightness, 5 + 0.03 * lightness + rng.normal(0, 2.5, SHADES), 4 + 0.26 * lightness + rng.normal(0, 4, SHADES)], axis=1)
    return numpy.array([lab for lab in labs if lab_to_linear(lab).min() > 2e-3])


def texture(rng, scenes, size, lab):
    """Hair of another photo, mirrored to the size, in a shade's colour."""
    _, linear, zones = scenes[rng.integers(len(scenes))]
    _, _, x, y, width, height = zones[rng.integers(len(zones))]
    columns, rows = (numpy.pad(numpy.arange(n), (0, max(0, m - n)), mode="symmetric")[:m] for n, m in ((width, size[0]), (height, size[1])))
    patch = linear[y + rows][:, x + columns]
    for _ in range(3):  # what clips is made up for by the rest
        patch = numpy.clip(patch / patch.mean((0, 1)) * lab_to_linear(lab), 0, 1)
    return patch


def away_from(labs, lab):
    return deltaE_ciede2000(labs, numpy.broadcast_to(lab, labs.shape))


def free_place(zone, taken, shape):
    """A box for a swatch beside the zone; None where there is no room."""
    x, y, width, height = zone
    size = (min(max(width, 60), 90), min(max(height, 60), 140))
    for right, down, dx, dy in PLACES:
        left = x + dx + (width if right > 0 else -size[0] if right < 0 else 0)
        top = y + dy + (height if down > 0 else -size[1] if down < 0 else 0)
        inside = left >= 0 and top >= 0 and left + size[0] <= shape[1] and top + size[1] <= shape[0]
        if inside and not any(left < a + c and a < left + size[0] and top < b + d and b < top + size[1] for a, b, c, d in taken):
            return (left, top, *size)
    return None


def photographed(scene, rng, camera):
    height, width = scene.shape[:2]
    y, x = numpy.mgrid[0:height, 0:width]
    angle = rng.uniform(0, 2 * numpy.pi)
    light = 1 + camera["slope"] * (numpy.cos(angle) * (x / width - 0.5) + numpy.sin(angle) * (y / height - 0.5)) + camera["top"] * (0.5 - y / height)
    crosstalk = numpy.eye(3) + rng.normal(0, 0.04, (3, 3)) * (1 - numpy.eye(3))
    gain = numpy.array([rng.uniform(0.85, 1.2), 1, rng.uniform(0.8, 1.2)]) * rng.uniform(0.7, 1.15)
    seen = (scene * light[..., None]) @ (crosstalk / crosstalk.sum(1, keepdims=True)).T * gain
    seen = numpy.clip(0.18 * (numpy.maximum(seen, 0) / 0.18) ** numpy.exp(rng.normal(0, camera["contrast"])), 0, 1)
    return Image.fromarray((numpy.clip(srgb_encode(seen) + rng.normal(0, 0.006, seen.shape), 0, 1) * 255 + 0.5).astype(numpy.uint8))


def make_photo(path, scenes, rng, camera):
    """Writes PATH.jpg, .zones.json and .csv; returns the Lab of each zone by its name, and the code that is wrong."""
    _, linear, zones = scenes[rng.integers(len(scenes))]
    scene, shades = linear.copy(), shades_of(rng)
    truth, marks, wrong, taken = {}, [], None, [zone[2:] for zone in zones]
    for i, (kind, place, x, y, width, height) in enumerate(zones):
        name = f"{place} {i + 1}"
        truth[name] = linear_to_lab(linear[y : y + height, x : x + width].mean((0, 1)))
        marks.append({"kind": kind, "name": name, "rect": [x, y, width, height]})
        box = free_place((x, y, width, height), taken, scene.shape)
        if box is None:
            continue
        away = away_from(shades, truth[name])
        shade = code = numpy.argsort(away)[rng.integers(CHOICE)]
        if camera["mislabel"] and wrong is None:
            others = numpy.flatnonzero(away_from(shades, shades[shade]) >= 8)
            wrong = code = others[numpy.argmin(away[others])]
        left, top, size_x, size_y = box
        scene[top : top + size_y, left : left + size_x] = texture(rng, scenes, box[2:], shades[shade])
        taken.append(box)
        marks.append({"kind": "swatch", "code": f"s{code:02d}", "at": name, "rect": [left + 6, top + 6, size_x - 12, size_y - 12]})
    photographed(scene, rng, camera).save(path + ".jpg", quality=int(rng.integers(86, 96)), subsampling=int(rng.integers(3)))
    with open(path + ".zones.json", "w", encoding="utf-8") as out:
        json.dump({"format": 1, "photo": os.path.basename(path) + ".jpg", "zones": marks}, out)
    with open(path + ".csv", "w", encoding="utf-8") as out:
        out.write("code,name,L,a,b,kind\n" + "".join(f"s{i:02d},,{lab[0]:.2f},{lab[1]:.2f},{lab[2]:.2f},hair\n" for i, lab in enumerate(shades)))
    return truth, None if wrong is None else f"s{wrong:02d}"


def judge(tally, errors, result, truth, wrong):
    """Adds one photo's errors; returns what to print of it."""
    said = []
    for zone in result["zones"]:
        tally["hair: " + zone["hair"]["verdict"]] += 1
        tally["gray: " + zone["gray"]["status"]] += 1
        if zone["lab"]:
            away = float(deltaE_ciede2000(numpy.array(zone["lab"]), truth[zone["name"]]))
            errors.append((away, away / zone["u_de00"], zone["lab"][0] - truth[zone["name"]][0]))
            said.append(f"{zone['name']} {away:.1f} ({zone['u_de00']:.1f})")
    for warning in result["warnings"]:
        tally["warned: " + warning["code"]] += 1
        if warning["code"] in ("aid_dropped", "swatch_mislabelled"):
            tally["wrong labels dropped" if wrong and wrong in json.dumps(warning) else "right labels dropped"] += 1
    return ", ".join(said)


def main():
    build, folder, photos, seed = sys.argv[1], sys.argv[2], int(sys.argv[3]), int(sys.argv[4])
    camera = dict(CAMERA, **{key: float(value) for key, value in (word.split("=") for word in sys.argv[5:])})
    program, scenes = os.path.join(build, "cli", "weftmatch"), read_scenes(folder)
    scenes = [scene for scene in scenes if len(scene[2]) > 1]
    tally, errors = collections.Counter(), []
    with tempfile.TemporaryDirectory() as place:
        for number in range(photos):
            path = os.path.join(place, str(number))
            truth, wrong = make_photo(path, scenes, numpy.random.default_rng([seed, number]), camera)
            done = subprocess.run([program, "match", path + ".jpg", "--zones", path + ".zones.json", "--swatches", path + ".csv", "--book", path + ".book", "--json"],
                                  capture_output=True, text=True, check=False)
            tally[f"exit status {done.returncode}"] += 1
            print(number, judge(tally, errors, json.loads(done.stdout), truth, wrong) if done.stdout else done.stderr.strip())
    away, in_u, lighter = numpy.array(errors).T
    print(f"{len(away)} zones: dE00 median {numpy.median(away):.2f}, mean {away.mean():.2f}, p90 {numpy.quantile(away, 0.9):.2f};",
          f"within 1u {100 * (in_u < 1).mean():.0f} %, 2u {100 * (in_u < 2).mean():.0f} %; L* {lighter.mean():+.2f}")
    print("; ".join(f"{what} {count}" for what, count in sorted(tally.items())))


if __name__ == "__main__":
    main()
