#!/usr/bin/python3
"""What the program does to clients whose true hair is known, from the photo on: heads rendered, measured and decided by `weftmatch match`, judged on
their true colours by another implementation of the rules, beside what the same rules decide when they are told the truth. Prints both rows.

Usage: decision_photos.py BUILD FOLDER HEADS SEED [KEY=VALUE ..]. FOLDER holds decision.py, decision_sim.py and blending.py; the rest are options of
the renderer for every head, such as swatches=none target=1."""
import json
import os
import subprocess
import sys
import tempfile

ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..")
sys.path[:0] = [sys.argv[2], os.path.join(ROOT, "reference")]
import decision  # noqa: E402
import decision_sim as sim  # noqa: E402
import numpy  # noqa: E402
from decision_library import Library  # noqa: E402

VERDICT_LIMITS = {"match": 1.8, "close": 3.6, "visible": 7.2, "far": 1e9}


def scene(rng, seed, extra):
    """An invented head: any natural colour, gray by place, an ordinary photo of it with a swatch at each zone."""
    eumelanin = float(numpy.exp(rng.uniform(numpy.log(0.5), numpy.log(18))))
    share = rng.uniform(0.05, 0.8)
    options = dict(seed=seed, client=seed, camera=seed, swatches="zones", catalogue=60, catalogue_seed=seed, catalogue_error=0.4, eu=round(eumelanin, 3),
                   ph=round(eumelanin * float(numpy.exp(rng.uniform(numpy.log(0.08), numpy.log(0.55)))), 3), gray_scatter=round(rng.uniform(0.4, 0.65), 3),
                   gray_yellow=round(rng.uniform(0.02, 0.12), 3), gray_temple=round(share, 3), gray_root=round(0.6 * share, 3),
                   gray_mid=round(0.3 * share, 3), gray_ends=round(0.1 * share, 3), cct=int(rng.uniform(5000, 6500)), sheen=round(rng.uniform(0.7, 1.5), 2),
                   fibre=round(rng.uniform(1.0, 1.8), 2), exposure=round(rng.uniform(-0.15, 0.1), 2))
    return options | dict(word.split("=", 1) for word in extra)


def true_head(truth):
    """As decision_sim takes a head; a zone in which no gray fibre shows has the gray of the temple."""
    gray = next(z["gray_lab"] for z in truth["zones"] if z["name"] == "temple")
    zones = {z["name"]: dict(kind=z["kind"], lab=numpy.array(z["lab"]), base=numpy.array(z["base_lab"]), gray=numpy.array(z["gray_lab"] or gray),
                             s=z["gray_share"]) for z in truth["zones"]}
    return dict(Z=zones, s=zones["temple"]["s"])


def by_program(match, by_code):
    """The first proposal of the program as the judge takes it, or None where it had none."""
    if not match["proposals"]:
        return None
    p = match["proposals"][0]
    segments = p["rows"][0]["segments"]
    first = next((s["code"] for s in p["shades"] if s["role"] != "gray"), p["shades"][0]["code"])
    second = next((s["code"] for s in p["shades"] if s["code"] != first), None)
    designs = [tuple(layer["second_share"] if layer["second"] else float(layer["code"] == second) for layer in s["layers"]) for s in segments]
    return dict(A=by_code[first], X=by_code.get(second), side=designs[0], back=designs[-1], n=p["layers"], pieces=p["pieces"], v=p["verdict"])


def by_truth(library, head, shades, by_code, layers, row_cm):
    """What the rules decide when nothing is uncertain but the shades."""
    zones = {n: dict(kind=z["kind"], lab=z["lab"], sigma=(0.05, 0.05, 0.05), s=z["s"], sd=0.005, base=z["base"], gray=z["gray"]) for n, z in head["Z"].items()}
    a = library.decide(zones, shades, layers, row_cm)[0]
    first, second, designs, pieces, _ = a["choice"]
    designs = [tuple(int(x) / 6 for x in d) for d in designs.split(",")]
    return dict(A=by_code[first], X=by_code.get(second), side=designs[0], back=designs[-1], n=layers, pieces=int(pieces), v=a["numbers"][6])


def judged(head, shades, p):
    t = sim.truth(head, shades, p)
    return dict(temple=t["temple"][0], mid=t["mid"][0], ends=t["ends"][0], worst=max(t["temple"][0], t["back"][0]), near_side=t["temple"][1],
                near_back=t["back"][1], J=(t["temple"][2] + t["back"][2]) / 2, foreign=bool(sim.foreign(head, shades, p)), v=p["v"], pieces=p["pieces"])


def print_row(title, rows):
    mean = lambda key: numpy.mean([r[key] for r in rows])
    two = lambda key: "%.2f / %.1f" % (mean(key), numpy.quantile([r[key] for r in rows], 0.9))
    print(f"{title}: {len(rows)} heads; far temple {two('temple')}, mid {two('mid')}, ends {two('ends')}, worst place {two('worst')}; near sides "
          f"{two('near_side')}, back {two('near_back')}; J {two('J')}; foreign {100 * mean('foreign'):.0f} %; pieces {mean('pieces'):.1f}")
    for verdict, limit in VERDICT_LIMITS.items():
        said = [r for r in rows if r["v"] == verdict]
        if said:
            print(f"    {verdict} said of {len(said)}, true of {sum(r['worst'] <= limit for r in said)}")


def measured_errors(match, head):
    """Error of the gray's L*, of the base's and of the share at the temple, where populations were told."""
    z = next(z for z in match["zones"] if z["name"] == "temple")
    gray, true = z.get("gray") or {}, head["Z"]["temple"]
    told = bool(gray.get("gray_lab")) and bool(gray.get("base_lab"))
    return (gray["gray_lab"][0] - true["gray"][0], gray["base_lab"][0] - true["base"][0], gray["share"] - true["s"]) if told else None


def print_head(i, head, match, program, told):
    """One head in two lines: truth against reading at each zone, and what it comes to."""
    gray = {z["name"]: z.get("gray") or {} for z in match["zones"]}
    lightness = lambda g, key: f"{g[key][0]:.0f}" if g.get(key) else "-"
    zones = [f"{n} {z['s']:.2f} {z['base'][0]:.0f} {z['gray'][0]:.0f} as {gray[n].get('status')} {gray[n].get('share')} {lightness(gray[n], 'base_lab')} "
             f"{lightness(gray[n], 'gray_lab')}" for n, z in head["Z"].items()]
    print(f"{i}: " + "; ".join(zones))
    rounded = lambda r: " ".join(f"{k} {v if isinstance(v, (bool, str)) else round(float(v), 1)}" for k, v in r.items())
    print(f"    photo: {rounded(program)}\n    truth: {rounded(told)}", flush=True)


def main():
    build, heads, seed, extra = sys.argv[1], int(sys.argv[3]), int(sys.argv[4]), sys.argv[5:]
    library = Library(os.path.join(build, "tests", "decision_case"))
    program, told, errors, silent = [], [], [], 0
    with tempfile.TemporaryDirectory() as folder:
        at = lambda name: os.path.join(folder, name)
        for i in range(heads):
            options = scene(numpy.random.default_rng([seed, i]), seed * 1000 + i, extra)
            subprocess.run([os.path.join(build, "samples", "wm_render"), f"out={at('x')}", f"catalogue_file={at('x.csv')}",
                            *(f"{k}={v}" for k, v in options.items())], check=True)
            answer = subprocess.run([os.path.join(build, "cli", "weftmatch"), "match", at("x.jpg"), "--zones", at("x.zones.json"), "--swatches", at("x.csv"),
                                     "--arc", "29", "--natural-length", "35", "--goal", "volume", "--json"], capture_output=True, text=True)
            match = json.loads(answer.stdout) if answer.stdout.startswith("{") else None
            head = true_head(json.load(open(at("x.truth.json"))))
            shades = sim.catalogue(at("x.csv"))
            by_code = {s["code"]: s for s in shades}
            p = match and by_program(match, by_code)
            if not p:
                silent += 1
                continue
            program.append(judged(head, shades, p))
            told.append(judged(head, shades, by_truth(library, head, shades, by_code, p["n"], match["proposals"][0]["rows"][0]["row_cm"])))
            errors += filter(None, [measured_errors(match, head)])
            if os.environ.get("HEADS"):
                print_head(i, head, match, program[-1], told[-1])
    print_row("by the photo", program)
    print_row("by the truth", told)
    print(f"no proposal for {silent}; at the temple both populations told of {len(errors)}: mean error of gray L*, base L* and share",
          numpy.round(numpy.mean(errors, axis=0), 3) if errors else "-")


if __name__ == "__main__":
    main()
