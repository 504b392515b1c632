"""scikit-image as an independent oracle: python3 oracle_skimage.py COLOUR_PAIRS. Without scikit-image it is skipped."""
import subprocess
import sys
import warnings

try:
    import numpy as np
    from skimage import color
except ImportError as missing:
    print(f"1..0 # SKIP {missing}")
    sys.exit(0)

PAIRS = 20000
TOLERANCES = {"dE00": 1e-9, "dE00, batch kernel": 1e-6, "X/Xn Y/Yn Z/Zn": 1e-12, "C": 1e-9, "h in radians": 1e-9}


def random_pairs():
    """Wide, hair-like and close pairs and grays, always the same ones."""
    source = np.random.RandomState(12)
    first, second = (source.uniform([0, -100, -100], [100, 100, 100], (PAIRS, 3)) for _ in range(2))
    first[: PAIRS // 2, 1:] *= 0.3
    second[: PAIRS // 4] = first[: PAIRS // 4] + source.normal(0, 1, (PAIRS // 4, 3))
    second[::10, 1:] = 0
    return first, second


def theirs(first, second):
    names = ("xyz_tristimulus_values", "get_xyz_coords")  # renamed in 0.20
    white = next(getattr(color.colorconv, name) for name in names if hasattr(color.colorconv, name))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # negative Z of colours that no surface has; they are left out below
        ratios = color.lab2xyz(first, illuminant="D50", observer="2") / white("D50", "2")
    lch = color.lab2lch(first)
    return {"dE00": color.deltaE_ciede2000(first, second), "X/Xn Y/Yn Z/Zn": ratios, "C": lch[:, 1], "h in radians": lch[:, 2]}


def ours(program, first, second):
    text = "\n".join(" ".join(map(repr, map(float, row))) for row in np.hstack([first, second]))
    out = subprocess.run([program], input=text, capture_output=True, text=True, check=True).stdout
    rows = np.array([line.split() for line in out.splitlines()], float)
    assert rows.shape == (PAIRS, 7), f"{rows.shape[0]} of {PAIRS} pairs came back"
    return {"dE00": rows[:, 0], "dE00, batch kernel": rows[:, 1], "X/Xn Y/Yn Z/Zn": rows[:, 2:5], "C": rows[:, 5],
            "h in radians": np.radians(rows[:, 6])}


def main(program):
    first, second = random_pairs()
    want, got = theirs(first, second), ours(program, first, second)
    want["dE00, batch kernel"] = want["dE00"]
    real = (got["X/Xn Y/Yn Z/Zn"] > 0.01).all(axis=1)  # near black scikit-image rounds its constants, and it clips Z below 0
    print(f"1..{len(TOLERANCES)}")
    failed = False
    for number, (name, tolerance) in enumerate(TOLERANCES.items(), 1):
        error = np.abs(got[name] - want[name])
        if name.startswith("X/"):
            error = error[real].max(axis=1)
        if name.startswith("h"):
            error = np.minimum(error, 2 * np.pi - error)
        bad = not error.max() <= tolerance
        failed |= bad
        print(f"{'not ok' if bad else 'ok'} {number} - {name}: worst {error.max():.3g} of {error.size}, tolerance {tolerance:g}")
    return int(failed)


sys.exit(main(sys.argv[1]))
