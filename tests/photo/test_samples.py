#!/usr/bin/python3
"""The committed samples are what the renderer makes of samples/scenes: same zones, same truth, same catalogue, same pictures.

Numbers may differ in the last digit and pixels a little on another machine's mathematics library; anything more is a stale sample."""
import glob
import json
import os
import subprocess
import sys
import tempfile

from PIL import Image, ImageChops, ImageStat

RENDER, SAMPLES = os.path.abspath(sys.argv[1]), os.environ["SAMPLES_DIR"]


def alike(a, b):
    if isinstance(a, dict):
        return isinstance(b, dict) and list(a) == list(b) and all(alike(a[k], b[k]) for k in a)
    if isinstance(a, list):
        return isinstance(b, list) and len(a) == len(b) and all(map(alike, a, b))
    if isinstance(a, float):
        return abs(a - b) <= 0.0011
    return a == b


def load(path):
    with open(path, encoding="utf-8") as f:
        return json.load(f)


def fault(name):
    for ending in (".zones.json", ".truth.json"):
        if not alike(load(os.path.join(SAMPLES, name + ending)), load(name + ending)):
            return name + ending + " differs"
    with Image.open(os.path.join(SAMPLES, name + ".jpg")) as old, Image.open(name + ".jpg") as new:
        mean = max(ImageStat.Stat(ImageChops.difference(old.convert("RGB"), new.convert("RGB"))).mean)
    return "pixels differ by %.2f in the mean" % mean if mean > 0.2 else None


def report(number, name, wrong):
    print("not ok %d - %s\n# %s; run samples/render.sh" % (number, name, wrong) if wrong else "ok %d - %s" % (number, name))
    return wrong is not None


def main():
    scenes = sorted(glob.glob(os.path.join(SAMPLES, "scenes", "*.scene")))
    print("1..%d" % (len(scenes) + 2))
    failed = 0
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        os.mkdir("photos")
        for number, scene in enumerate(scenes, 1):
            subprocess.run([RENDER, scene], check=True)
            name = os.path.basename(scene)[:-len(".scene")]
            failed += report(number, name, fault(name if name == "client" else "photos/" + name))
        for number, name in enumerate(("swatches.csv", "target.txt"), len(scenes) + 1):
            with open(name, encoding="utf-8") as new, open(os.path.join(SAMPLES, name), encoding="utf-8") as old:
                failed += report(number, name, None if new.read() == old.read() else name + " differs")
        os.chdir("/")
    return failed > 0


sys.exit(main())
