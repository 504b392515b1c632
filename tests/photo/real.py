#!/usr/bin/python3
"""Scores weftmatch on a folder of real photos whose truth is known (samples/real/README.md): colour, share of gray, claim, choice.

Usage: real.py WEFTMATCH [FOLDER]      FOLDER or $WEFTMATCH_REAL_PHOTOS; without one it is skipped
       real.py WEFTMATCH --try RENDERER   on two rendered stand-ins, to test the scoring itself"""
import glob
import json
import os
import subprocess
import sys
import tempfile

from skimage.color import deltaE_ciede2000

CLAIMED = {"name": 1, "runner_up": 2, "three": 3, "five": 5, "rough": 0}


def load(path):
    with open(path, encoding="utf-8") as f:
        return json.load(f)


def area_share(truth):
    """Visible-area share from what was counted, or as given; None: not known."""
    if "gray_share" in truth:
        return truth["gray_share"]
    if truth.get("all_hairs"):
        n, k = truth["gray_hairs"] / truth["all_hairs"], truth.get("width_ratio", 1.0)
        return k * n / (1 + (k - 1) * n)
    return None


def matched(program, form_path, form):
    here = os.path.dirname(os.path.abspath(form_path))
    done = subprocess.run([program, "match", form["photo"], "--zones", form["zones"], "--swatches", form["swatches"], "--json", "--no-save"], cwd=here,
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=300, check=False)
    if done.returncode not in (0, 1):
        raise RuntimeError(done.stderr.decode().strip().splitlines()[-1])
    return json.loads(done.stdout)


def score_zone(name, truth, result):
    """One zone's line: what is known of it against what was said."""
    zone = next((z for z in result["zones"] if z["name"] == truth["zone"]), None)
    if zone is None or zone.get("lab") is None:
        return {"zone": f"{name} {truth['zone']}", "refused": True}
    line = {"zone": f"{name} {truth['zone']}", "refused": False, "claim": zone["claim"]}
    if truth.get("lab"):
        line["error"], line["u"] = float(deltaE_ciede2000(zone["lab"], truth["lab"])), zone["u_de00"]
    share = area_share(truth)
    if share is not None:
        gray = zone["gray"]
        line["share"], line["said"], line["status"] = share, gray["share"], gray["status"]
        if gray["share"] is not None:
            line["within"] = abs(gray["share"] - share) <= 1.65 * gray["u_share"]
    ranking = next((r for r in result["rankings"] if r["target"] == truth["zone"]), None)
    if truth.get("shade") and ranking:
        codes = [s["code"] for s in ranking["swatches"]]
        line["rank"] = codes.index(truth["shade"]) + 1 if truth["shade"] in codes else None
        line["right"] = line["rank"] is not None and line["rank"] <= CLAIMED[zone["claim"]]
    return line


def score(program, folder):
    lines, sewn = [], []
    for path in sorted(glob.glob(os.path.join(glob.escape(folder), "*.real.json"))):
        form, name = load(path), os.path.basename(path)[: -len(".real.json")]
        if not form.get("consent"):
            print(f"# {name}: no consent is noted in its form: left out")
            continue
        result = matched(program, path, form)
        lines += [score_zone(name, truth, result) for truth in form["truth"]]
        if form.get("sewn"):
            sewn.append((name, form["sewn"], result["proposals"][0] if result["proposals"] else None))
    return lines, sewn


def codes_of(proposal):
    """Shades of a proposal, whatever the report's format calls their list."""
    return [s["code"] for s in proposal["shades"]] if proposal else []


def tell(lines, sewn):
    for line in lines:
        parts = [line["zone"]]
        if line["refused"]:
            parts.append("refused")
        if "error" in line:
            parts.append(f"dE00 {line['error']:.1f} (u {line['u']:.1f})")
        if "share" in line:
            parts.append(f"gray {line['share']:.0%}, said {line['status'] if line['said'] is None else format(line['said'], '.0%')}")
        if "rank" in line:
            parts.append(f"the eye's shade is number {line['rank']}, claim {line['claim']}")
        print("# " + "; ".join(parts))
    errors = sorted((x["error"], x["u"]) for x in lines if "error" in x)
    shares = [x for x in lines if "share" in x and x["said"] is not None]
    ranks = [x for x in lines if "rank" in x and x["claim"] != "rough"]
    if errors:
        one, two = (sum(e <= n * u for e, u in errors) / len(errors) for n in (1, 2))
        print(f"# colour: {len(errors)} zones, median dE00 {errors[len(errors) // 2][0]:.2f}, worst {errors[-1][0]:.2f}; {one:.0%} within u, {two:.0%} within 2u")
    if shares:
        print(f"# gray: {len(shares)} zones, mean error {sum(abs(x['said'] - x['share']) for x in shares) / len(shares):.3f}, {sum(x['within'] for x in shares)} within the interval")
    false = sum(x["share"] < 0.02 and (x["said"] or 0) > 0.05 for x in shares)
    print(f"# false gray: {false}")
    if ranks:
        print(f"# claim: the eye's shade is among those named in {sum(x['right'] for x in ranks)} of {len(ranks)} zones")
    for name, real, proposal in sewn:
        print(f"# choice: {name}: sewn {real}, proposed {', '.join(codes_of(proposal)) or 'nothing'}")
    print(f"# refused: {sum(x['refused'] for x in lines)} of {len(lines)} zones")


def stand_in(renderer, folder, name, *scene):
    """A rendered photo with the form that a stylist would fill in."""
    subprocess.run([renderer, f"out={name}", "swatches=zones", "width=1000", "height=750", "catalogue_file=swatches.csv", *scene], cwd=folder, check=True,
                   stdout=subprocess.DEVNULL)
    truth = load(os.path.join(folder, f"{name}.truth.json"))
    form = {"format": 1, "photo": f"{name}.jpg", "zones": f"{name}.zones.json", "swatches": "swatches.csv", "consent": "rendered",
            "truth": [{"zone": z["name"], "lab": z["lab"], "gray_hairs": round(1000 * z["gray_share"]), "all_hairs": 1000, "shade": z["nearest"]["code"]} for z in truth["zones"]]}
    with open(os.path.join(folder, f"{name}.real.json"), "w", encoding="utf-8") as f:
        json.dump(form, f)


def try_it(program, renderer):
    with tempfile.TemporaryDirectory(prefix="weftmatch-real-") as folder:
        stand_in(renderer, folder, "one", "seed=3", "client=3", "camera=3", "gray_temple=0.4")
        stand_in(renderer, folder, "two", "seed=5", "client=5", "camera=5", "base=moth", "gray_temple=0")
        with open(os.path.join(folder, "three.real.json"), "w", encoding="utf-8") as f:
            json.dump({"format": 1, "photo": "one.jpg", "zones": "one.zones.json", "swatches": "swatches.csv", "truth": []}, f)
        lines, sewn = score(program, folder)
    tell(lines, sewn)
    good = [x for x in lines if not x["refused"]]
    checks = {"every zone of both is scored": len(lines) == 8 and len(good) >= 6,
              "rendered colours lie within three u": all(x["error"] <= 3 * x["u"] for x in good),
              "the true shade is near the front": sum(x["rank"] <= 3 for x in good) >= len(good) * 0.7,
              "a counted share is an area share": abs(area_share({"gray_hairs": 50, "all_hairs": 100, "width_ratio": 1.5}) - 0.6) < 1e-12}
    print(f"1..{len(checks)}")
    for n, (what, held) in enumerate(checks.items(), 1):
        print(f"{'ok' if held else 'not ok'} {n} - {what}")
    return 0 if all(checks.values()) else 1


def main():
    program = os.path.abspath(sys.argv[1])
    if len(sys.argv) > 3 and sys.argv[2] == "--try":
        return try_it(program, os.path.abspath(sys.argv[3]))
    folder = sys.argv[2] if len(sys.argv) > 2 else os.environ.get("WEFTMATCH_REAL_PHOTOS")
    if not folder:
        print("1..0 # SKIP no folder of real photos; see samples/real/README.md")
        return 0
    tell(*score(program, folder))
    return 0


if __name__ == "__main__":
    sys.exit(main())
