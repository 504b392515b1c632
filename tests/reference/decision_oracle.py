#!/usr/bin/python3
"""Decisions (M21 to M33) on random heads, the library against another implementation of the rules, to 1e-6.

Usage: decision_oracle.py DECISION_CASE [FOLDER] [HEADS]. FOLDER (else $DECISION_REFERENCE) holds the other implementation: decision.py, with
decision_sim.py that makes the heads and catalogue60.csv. Without it, or without numpy, the test is skipped."""
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
FOLDER = sys.argv[2] if len(sys.argv) > 2 else os.environ.get("DECISION_REFERENCE", "")
TOLERANCE = 1e-6
try:
    import numpy as np
    sys.path.insert(0, FOLDER)
    import decision
    import decision_sim as sim
except ImportError as why:
    print(f"1..0 # skipped: {why}; the folder of another implementation is not given")
    sys.exit(0)
from decision_library import Library, differences  # noqa: E402


def head(i):
    """(zones, layers, rows, catalogue) of the i-th case: heads of every kind, one row or two, gray at both temples, bases apart."""
    rng = np.random.default_rng([77, i])
    made = sim.head(rng, i)
    zones, layers, rows = sim.measure(made, rng, 0), int(rng.integers(1, 4)), float(rng.uniform(12, 28))
    kind = i % 8
    if kind == 1:
        rows, layers = [(float(rng.uniform(18, 28)), "back"), (float(rng.uniform(10, 20)), str(rng.choice(["nape", "crown"])))], min(layers, 2)
    if kind == 2:
        zones["temple2"] = dict(zones["temple"])
        if "base" in zones["temple"]:
            zones["temple2"]["s"] = min(zones["temple"]["s"] * float(rng.uniform(.1, 2)), .95)
    if kind == 3:
        kept = set(rng.permutation(list(zones))[:2])
        zones = {k: v for k, v in zones.items() if k in kept}
    if kind == 4:
        lab = zones["ends"]["lab"]
        zones["ends"] = dict(kind="ends", sigma=zones["ends"]["sigma"], lab=[lab[0] + 22, lab[1], lab[2] + 8], sd=0.0)  # counted, none: what can't be counted we take otherwise
    for z in zones.values():
        if "base" not in z:
            z.pop("s", None)
    return made, zones, layers, rows


def main():
    library, count = Library(sys.argv[1]), int(sys.argv[3]) if len(sys.argv) > 3 else 24
    all_shades = sim.catalogue(os.path.join(FOLDER, "catalogue60.csv"))
    few, blends = all_shades[::2], [s for s in all_shades if s["gray_share"] > 0 or s["lab"][0] > 75]
    worst, wrong = 0.0, []
    for i in range(count):
        made, zones, layers, rows = head(i)
        shades = blends if i % 8 == 5 else all_shades if i % 3 else few
        other = decision.decide(zones, shades, layers, rows)
        answers = library.decide(zones, shades, layers, rows, scenarios=i % 8 == 6)
        compared = [(answers[0], other, True)]
        if i % 8 == 6:
            compared += [(a, c, False) for a, (_, _, c) in list(zip(answers, decision.scenarios(zones, shades, layers, other, row_cm=rows)))[1:]]
        if i % 8 == 7 and len(other["segs"]) == 2 and other["X"]:
            again = sim.measure(made, np.random.default_rng([78, i]), 0)
            for z in again.values():
                if "base" not in z:
                    z.pop("s", None)
            worn = dict(A=other["A"]["sw"]["code"], X=other["X"]["sw"]["code"], designs=other["designs"])
            compared.append((library.decide(again, shades, layers, rows, worn)[0], decision.decide(again, shades, layers, rows, worn_now=worn), True))
        for answer, theirs, roles in compared:
            found, most = differences(answer, theirs, roles)
            worst = max(worst, most)
            wrong += [f"head {i}: {text}" for text in found]
    print(f"1..1\n{'not ok' if wrong or worst > TOLERANCE else 'ok'} 1 - {count} heads as in another implementation\n# worst difference {worst:.2g}")
    for line in wrong:
        print(f"# {line}")
    return int(bool(wrong) or worst > TOLERANCE)


if __name__ == "__main__":
    sys.exit(main())
