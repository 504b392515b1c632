#!/usr/bin/python3
"""What the program reads off heads that another renderer drew, one that shares neither code nor ideas with wm_render: fibres are lines drawn over each
other, light is a gain with a slope and a band of sheen that hair and swatches share, the camera is a matrix, a curve and noise, no spectra. It is for
finding what our own scenes can't show; nothing is to be tuned on it.

Usage: other_heads.py BUILD HEADS SEED [KEY=VALUE ..], the keys being those of LOOK: L (of her own colour), gray (share at the temple), sheen, uneven,
toplight, warm .. Prints a line a head, then errors against the truth."""
import json
import os
import subprocess
import sys
import tempfile

import numpy
from PIL import Image, ImageDraw
from scipy.ndimage import gaussian_filter
from skimage.color import deltaE_ciede2000

WIDTH, HEIGHT, FINE = 1600, 1200, 3  # drawn finer, then reduced in linear light
WHITE = numpy.array([0.9642, 1.0, 0.8249])  # D50 of the ICC
# linear sRGB to XYZ of D50: IEC 61966-2-1 primaries, Bradford
TO_XYZ = numpy.array([[0.4360747, 0.3850649, 0.1430804], [0.2225045, 0.7168786, 0.0606169], [0.0139322, 0.0971045, 0.7141733]])
ZONES = {"crown": ("root", (760, 270, 110, 80)), "temple": ("gray", (500, 360, 110, 120)), "mid": ("mid", (780, 560, 120, 130)), "ends": ("ends", (760, 850, 120, 110))}
SWATCHES = {"crown": (900, 250, 46, 104), "temple": (640, 360, 46, 120), "mid": (920, 560, 46, 130), "ends": (900, 850, 46, 110)}
OF_TEMPLE = {"temple": 1.0, "crown": 0.6, "mid": 0.35, "ends": 0.1}  # gray grows out from the front and the roots
HAIR = (470, 130, 1130, 1010)  # left, top, right, bottom
SHADES = 60


def lab_to_linear(lab):
    """CIE 15; linear sRGB, a little above 0."""
    lab = numpy.asarray(lab, float)
    f = (lab[..., 0:1] + 16) / 116 + lab[..., [1, 0, 2]] * [1 / 500, 0, -1 / 200]
    xyz = numpy.where(f**3 > 216 / 24389, f**3, (116 * f - 16) / (24389 / 27)) * WHITE
    return numpy.maximum(xyz @ numpy.linalg.inv(TO_XYZ).T, 1e-4)


def linear_to_lab(linear):
    ratio = numpy.asarray(linear) @ TO_XYZ.T / WHITE
    f = numpy.where(ratio > 216 / 24389, numpy.cbrt(ratio), (24389 / 27 * ratio + 16) / 116)
    return numpy.stack([116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], -1)


def srgb_encode(linear):
    """IEC 61966-2-1."""
    return numpy.where(linear <= 0.0031308, 12.92 * linear, 1.055 * numpy.maximum(linear, 1e-9) ** (1 / 2.4) - 0.055)


def hair_colour(rng, lightness):
    """Chroma and hue by lightness as hair has them; our own."""
    chroma = numpy.interp(lightness, [12, 25, 40, 60, 75], [4, 11, 17, 22, 20]) * rng.uniform(0.6, 1.25)
    hue = numpy.radians(numpy.interp(lightness, [12, 40, 70], [50, 66, 80]) + rng.normal(0, 6))
    return numpy.array([lightness, chroma * numpy.cos(hue), chroma * numpy.sin(hue)])


def look_of(rng, given):
    look = dict(L=rng.uniform(14, 62), gray=rng.choice([0, rng.uniform(0.1, 0.9)], p=[0.25, 0.75]), fibre=rng.uniform(1.1, 2.0), wave=rng.uniform(1, 6), shadow=0.18,
                lock=0.15, sheen=rng.uniform(0.2, 1.0), sheen_at=rng.uniform(150, 1000), uneven=rng.uniform(0, 0.25), toplight=0, warm=0, balance=0.06,
                contrast=rng.uniform(0, 0.35), noise=rng.uniform(0.003, 0.008), exposure=rng.uniform(0.8, 1.1), blur=rng.uniform(0.4, 0.8), quality=rng.uniform(88, 97),
                local=0, smooth=0, sharpen=0)
    unknown = set(given) - set(look)
    if unknown:
        sys.exit(f"no such key: {', '.join(sorted(unknown))}; there are {', '.join(look)}")
    return look | given


class Canvas:
    """Paints in sRGB-like bytes at 0.8 of the light, so that sheen has room."""

    def __init__(self, rng, look):
        self.rng, self.look = rng, look
        self.image = Image.new("RGB", (WIDTH * FINE, HEIGHT * FINE))
        self.draw = ImageDraw.Draw(self.image)
        self.whose = Image.new("L", self.image.size)  # 255 where a gray fibre is seen
        self.draw_whose = ImageDraw.Draw(self.whose)

    def ink(self, linear):
        coded = 255 * numpy.clip(numpy.maximum(0.8 * linear, 0) ** (1 / 2.2), 0, 1)
        return tuple(int(v) for v in numpy.clip(coded + self.rng.uniform(0, 1, 3), 0, 255))

    def area(self, lab, points, light=1.0):
        self.draw.polygon([(x * FINE, y * FINE) for x, y in points], fill=self.ink(light * lab_to_linear(lab)))

    def fibre(self, xs, ys, lab, light, width, is_gray=False):
        """A line of one colour, its own light, and the sheen of where it lies: white on top, some of it through the hair."""
        self.draw_whose.line([(x * FINE, y * FINE) for x, y in zip(xs, ys)], fill=255 if is_gray else 0, width=max(1, round(width * FINE)))
        own = lab_to_linear(lab)
        sheen = self.look["sheen"] * self.rng.uniform(0.2, 1.2)
        for i in range(len(xs) - 1):
            y = (ys[i] + ys[i + 1]) / 2
            first = numpy.exp(-(((y - self.look["sheen_at"]) / 70) ** 2))
            second = numpy.exp(-(((y - self.look["sheen_at"] - 60) / 90) ** 2))
            colour = own * light * (1 + 0.8 * sheen * second) + 0.05 * sheen * first
            self.draw.line([(xs[i] * FINE, ys[i] * FINE), (xs[i + 1] * FINE, ys[i + 1] * FINE)], fill=self.ink(colour), width=max(1, round(width * FINE)))

    def share_seen(self, rect):
        """Part of the rectangle that gray fibres take: strands from elsewhere reach into it, so that it is not what was asked for."""
        x, y, width, height = (FINE * v for v in rect)
        return float(numpy.asarray(self.whose)[y:y + height, x:x + width].mean() / 255)

    def linear(self):
        bytes_ = numpy.asarray(self.image).reshape(HEIGHT, FINE, WIDTH, FINE, 3)
        return ((numpy.arange(256) / 255) ** 2.2)[bytes_].mean((1, 3))


def around(rng, lab, sd):
    return lab + rng.normal(0, 1, 3) * sd


def shadowed(rng, sd):
    return numpy.exp(rng.normal(0, sd) - sd * sd / 2)


def paint_room(canvas, rng):
    canvas.area((rng.uniform(55, 85), rng.uniform(-6, 6), rng.uniform(-8, 12)), [(0, 0), (WIDTH, 0), (WIDTH, HEIGHT), (0, HEIGHT)])
    canvas.area((rng.uniform(20, 60), rng.uniform(-20, 25), rng.uniform(-25, 15)), [(300, HEIGHT), (380, 900), (1220, 900), (1300, HEIGHT)])


def share_at(share, x, y):
    if x < 640 and y < 560:
        return share["temple"]
    return share["crown"] if y < 380 else share["mid"] if y < 760 else share["ends"]


def paint_hair(canvas, rng, base, gray, share):
    look, (left, top, right, bottom) = canvas.look, HAIR
    canvas.area(base, [(left, top + 40), (left + 90, top), (right - 90, top), (right, top + 40), (right, bottom - 10), (left, bottom - 10)], 0.45)
    locks = rng.normal(0, 1, 64)
    for _ in range(int(9 * (right - left) / look["fibre"])):
        x, y, length, lean, phase = rng.uniform(left, right), rng.uniform(top - 280, bottom - 110), rng.uniform(250, 420), rng.normal(0, 8), rng.uniform()
        y, end = max(y, top + 10), min(y + length, bottom)
        if end < y + 5:
            continue
        t = numpy.linspace(0, 1, 16)
        lock = locks[int((x - left) / (right - left) * 60)]
        is_gray = rng.uniform() < share_at(share, x, (y + end) / 2)
        canvas.fibre(x + lean * t + look["wave"] * numpy.sin(2 * numpy.pi * (1.7 * t + 0.1 * lock + 0.02 * phase)), y + (end - y) * t,
                     around(rng, gray if is_gray else base, (2.5, 0.6, 1.2)), shadowed(rng, look["shadow"]) * numpy.exp(look["lock"] * lock),
                     look["fibre"] * (1.15 if is_gray else 1) * rng.uniform(0.85, 1.15), is_gray)


def paint_swatch(canvas, rng, lab, box):
    x, y, width, height = box
    canvas.draw.rectangle([x * FINE, (y - 22) * FINE, (x + width) * FINE, y * FINE], fill=(225, 224, 220))
    canvas.area(lab, [(x, y), (x + width, y), (x + width, y + height), (x, y + height)], 0.8)
    for _ in range(int(5 * width / canvas.look["fibre"])):
        at = rng.uniform(x, x + width)
        canvas.fibre(numpy.clip(numpy.linspace(at, at + rng.normal(0, 1.5), 12), x, x + width), numpy.linspace(y, y + height, 12), around(rng, lab, (2.0, 0.5, 1.0)),
                     shadowed(rng, canvas.look["shadow"]), canvas.look["fibre"] * rng.uniform(0.85, 1.15))


def photographed(canvas, rng):
    """Lens, light over the picture, a camera's primaries and balance, noise, a curve: the bytes of an sRGB photo."""
    look, linear = canvas.look, canvas.linear()
    linear = gaussian_filter(linear, (look["blur"], look["blur"], 0))
    y, x = numpy.mgrid[0:HEIGHT, 0:WIDTH]
    way = rng.uniform(0, 2 * numpy.pi)
    smooth = numpy.asarray(Image.fromarray(rng.normal(size=(5, 6)).astype(numpy.float32)).resize((WIDTH, HEIGHT), Image.BICUBIC))
    light = 1 + look["uneven"] * ((x / 800 - 1) * numpy.cos(way) + (y / 600 - 1) * numpy.sin(way) * 0.75 + 0.3 * smooth) + look["toplight"] * (600 - y) / 900
    primaries = numpy.eye(3) + rng.normal(0, 0.02, (3, 3))
    gain = numpy.exp(rng.normal(0, look["balance"], 3)) * (1 + look["warm"], 1, 1 - look["warm"])
    seen = (linear * numpy.clip(light, 0.2, 3)[..., None] * gain) @ (primaries / primaries.sum(1, keepdims=True)).T * look["exposure"]
    seen = numpy.clip(seen + rng.normal(size=seen.shape) * look["noise"] * numpy.sqrt(numpy.maximum(seen, 0) + 0.01), 0, 1)
    coded = srgb_encode(seen)
    coded += look["contrast"] * numpy.sin(2 * numpy.pi * (coded - 0.5)) / (8 * numpy.pi)
    return Image.fromarray((255 * numpy.clip(as_phones_do(coded, look), 0, 1) + 0.5).astype(numpy.uint8))


def as_phones_do(coded, look):
    """What dark and light surroundings differ by is reduced (local), grain is smoothed by its likeness (smooth), edges are raised (sharpen): parts of one."""
    luma = coded @ (0.299, 0.587, 0.114)
    wide = gaussian_filter(luma, 60)
    coded = coded * ((numpy.median(wide) / wide) ** look["local"])[..., None]
    if look["smooth"]:
        for k in range(3):
            mean, square = (gaussian_filter(v, 1.5) for v in (coded[..., k], coded[..., k] ** 2))
            edge = (square - mean**2) / (square - mean**2 + (0.02 * look["smooth"]) ** 2)
            coded[..., k] = mean + edge * (coded[..., k] - mean)
    luma = coded @ (0.299, 0.587, 0.114)
    return coded + look["sharpen"] * (luma - gaussian_filter(luma, 1.0))[..., None]


def nearest_free(lab, shades, taken, rng):
    order = numpy.argsort(deltaE_ciede2000(numpy.tile(lab, (len(shades), 1)), shades))
    return int(rng.choice([i for i in order if i not in taken][:4]))


def render(folder, seed, given):
    """Photo, zones, catalogue in `folder`; the truth of each zone: its mixture, her own colour, her gray, the share."""
    rng = numpy.random.default_rng(seed)
    look = look_of(rng, given)
    base, gray = hair_colour(rng, look["L"]), numpy.array([rng.uniform(58, 76), rng.uniform(-0.5, 2), rng.uniform(3, 11)])
    share = {name: part * look["gray"] for name, part in OF_TEMPLE.items()}
    own, white = lab_to_linear(base), lab_to_linear(gray)

    def mixed(part):
        return linear_to_lab(own * (1 - part) + white * part)

    shades = numpy.array([hair_colour(rng, rng.uniform(12, 75)) if i < SHADES * 3 // 4 else (rng.uniform(45, 80), rng.uniform(-0.5, 3), rng.uniform(2, 14)) for i in range(SHADES)])
    canvas = Canvas(rng, look)
    paint_room(canvas, rng)
    paint_hair(canvas, rng, base, gray, share)
    marks, taken = [dict(kind=kind, name=name, rect=rect) for name, (kind, rect) in ZONES.items()], []
    for name, (x, y, width, height) in SWATCHES.items():
        taken.append(nearest_free(mixed(share[name]), shades, taken, rng))
        paint_swatch(canvas, rng, around(rng, shades[taken[-1]], 0.4), (x, y, width, height))  # 0.4: what the catalogue errs
        marks.append(dict(kind="swatch", code=f"s{taken[-1]:02}", at=name, rect=(x + 6, y + 4, width - 12, height - 8)))
    seen = {name: canvas.share_seen(rect) for name, (_, rect) in ZONES.items()}
    truth = {name: dict(share=part, base=base, gray=gray, lab=mixed(part)) for name, part in seen.items()}
    photographed(canvas, rng).save(os.path.join(folder, "head.jpg"), quality=int(look["quality"]))
    with open(os.path.join(folder, "head.zones.json"), "w", encoding="utf-8") as f:
        json.dump(dict(format=1, photo="head.jpg", zones=marks), f)
    with open(os.path.join(folder, "head.csv"), "w", encoding="utf-8") as f:
        f.write("code,L,a,b\n" + "".join(f"s{i:02},{lab[0]:.3f},{lab[1]:.3f},{lab[2]:.3f}\n" for i, lab in enumerate(shades)))
    return truth


def judge(errors, zone, truth):
    """Adds what one zone errs by; a few words on it."""
    gray = zone["gray"]
    words = f"{zone['name']} {gray['status']} {'-' if gray['share'] is None else format(gray['share'], '.2f')} of {truth['share']:.2f}"
    if not zone["lab"]:
        errors["refused"].append(1)
        return words + ", refused"
    off = float(deltaE_ciede2000(zone["lab"], truth["lab"]))
    errors["dE00"].append(off)
    errors["of u"].append(off / zone["u_de00"])
    if gray["base_lab"]:
        errors["L* of her own colour"].append(gray["base_lab"][0] - truth["base"][0])
    if gray["status"] == "measured":
        errors["share of gray"].append(gray["share"] - truth["share"])
        if gray["gray_lab"]:
            errors["L* of her gray"].append(gray["gray_lab"][0] - truth["gray"][0])
    return f"{words}, {off:.1f}"


def main():
    build, heads, seed = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    given = {key: float(value) for key, value in (word.split("=") for word in sys.argv[4:])}
    errors = {key: [] for key in ("dE00", "of u", "L* of her own colour", "L* of her gray", "share of gray", "refused")}
    codes = []
    with tempfile.TemporaryDirectory() as folder:
        for i in range(heads):
            truth = render(folder, [seed, i], given)
            answer = subprocess.run([os.path.abspath(os.path.join(build, "cli", "weftmatch")), "match", "head.jpg", "--zones", "head.zones.json", "--swatches", "head.csv",
                                     "--json"], cwd=folder, capture_output=True, text=True)
            report = json.loads(answer.stdout)
            codes.append(answer.returncode)
            print(f"{i}: L* {truth['mid']['base'][0]:.0f}; " + "; ".join(judge(errors, z, truth[z["name"]]) for z in report["zones"]) + "; " +
                  " ".join(w["code"] for w in report["warnings"]), flush=True)
    for key, values in errors.items():
        if values and key != "refused":
            print(f"{key}: {len(values)} zones, mean {numpy.mean(values):.2f}, median {numpy.median(values):.2f}, nine tenths within {numpy.quantile(numpy.abs(values), 0.9):.2f}")
    print(f"within 1u {numpy.mean(numpy.array(errors['of u']) < 1):.0%}, 2u {numpy.mean(numpy.array(errors['of u']) < 2):.0%}; refused {len(errors['refused'])}; exit status 0 "
          f"{codes.count(0)} of {heads}")


if __name__ == "__main__":
    main()
