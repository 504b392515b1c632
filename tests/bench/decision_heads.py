#!/usr/bin/python3
"""What the decision does to clients whose true hair is known: simulated heads measured twice with the uncertainty of C12, decided by the library,
judged on their true colours by another implementation of the rules. Prints one row of a table.

Usage: decision_heads.py DECISION_CASE FOLDER HEADS SEED [EVERY]. FOLDER holds decision.py, decision_sim.py and catalogue60.csv; EVERY 2: each
second shade of the catalogue."""
import os
import sys

ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..")
sys.path[:0] = [sys.argv[2], os.path.join(ROOT, "reference")]
import decision  # noqa: E402
import decision_sim as sim  # noqa: E402
from decision_library import Library  # noqa: E402

LIBRARY = Library(sys.argv[1])


def decide(zones, shades, layers, row_cm, worn_now=None, **_):
    by_code = {s["code"]: dict(sw=s) for s in shades}
    a = LIBRARY.decide(zones, shades, layers, float(row_cm), worn_now)[0]
    first, second, designs, pieces, gap = a["choice"]
    numbers = [float(x) for x in a["numbers"][:5]]
    return dict(A=by_code[first], X=by_code.get(second), designs=[tuple(int(x) / 6 for x in d) for d in designs.split(",")], pieces=int(pieces), E=float(gap),
                verdict=a["numbers"][6], p=numbers[2:], best10=int(a["numbers"][5]), count=int(a["numbers"][7]))


def main():
    every = int(sys.argv[5]) if len(sys.argv) > 5 else 1
    whole = sim.catalogue
    sim.catalogue = lambda path: whole(path)[::every]
    decision.decide = decide
    rows, seconds = sim.run(os.path.join(sys.argv[2], "catalogue60.csv"), int(sys.argv[3]), int(sys.argv[4]))
    sim.report(rows, f"library, every {every}. shade, {sys.argv[3]} heads, seed {sys.argv[4]}", seconds)


if __name__ == "__main__":
    main()
