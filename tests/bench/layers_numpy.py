"""The search for layers in plain NumPy and scikit-image, the way one would script it: every pair, every order of one to three layers, both
views, no shortcuts. `layers_numpy.py BENCH_LAYERS COUNT` runs our program over the same shades and goals, prints both times and their
ratio, and fails unless both found the same layers. Formulas: B1 to B5, B13, B14, B19, M11, M12."""
import subprocess
import sys
import time

import numpy as np
from skimage.color import deltaE_ciede2000

WHITE = np.array([0.9642, 1.0, 0.8249])
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
CONE_WHITE, INVERSE = BRADFORD @ WHITE, np.linalg.inv(BRADFORD)
G, K0 = 0.75, 0.375
INTACT, MOVED, EDGE = 0.80, 0.15, 0.05


def lab_to_cone(lab):
    fy = (lab[..., 0] + 16) / 116
    f = np.stack([fy + lab[..., 1] / 500, fy, fy - lab[..., 2] / 200], -1)
    return ((np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29)) * WHITE) @ BRADFORD.T) / CONE_WHITE


def cone_to_lab(cone):
    t = ((cone * CONE_WHITE) @ INVERSE.T) / WHITE
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.stack([116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], -1)


def absorb(c):
    s = (1 - c) / (1 + c)
    return s * s / (1 - G * s * s)


def unabsorb(z):
    s = np.sqrt(z / (1 + G * z))
    return (1 - s) / (1 + s)


class Shades:
    def __init__(self, lab, tau):
        self.c = np.clip(lab_to_cone(lab), 1e-4, 0.999)
        self.z, self.tau = absorb(self.c), tau[:, None]
        s = (1 - self.c) / (1 + self.c)
        e = np.exp(-K0 * s / (1 - G * s * s) * self.tau)
        self.R = self.c * (1 - e * e) / (1 - self.c**2 * e * e)
        self.T = (1 - self.c**2) * e / (1 - self.c**2 * e * e)


class One:
    """A shade, or an array of them: what a stack is made of."""

    def __init__(self, shades, which):
        self.c, self.z, self.tau, self.R, self.T = (x[which] for x in (shades.c, shades.z, shades.tau, shades.R, shades.T))

    def over(self, r):
        return self.R + self.T**2 * r / (1 - self.R * r)


def edge(a, tau_a, b, tau_b):
    x = 2 * tau_a * tau_b / (tau_a + tau_b) / 6.6
    phi, p, q = -np.expm1(-x) / x, tau_a / (tau_a + tau_b), tau_b / (tau_a + tau_b)
    return (1 - phi) * (p * a.c + q * b.c) + phi * unabsorb(p * a.z + q * b.z)


def distance(layers, edge_colour, pile, target):
    r = pile
    for layer in reversed(layers[1:]):
        r = layer.over(r)
    mean = INTACT * layers[0].over(r) + MOVED * r + EDGE * edge_colour
    lab = cone_to_lab(mean)
    return deltaE_ciede2000(np.broadcast_to(target, lab.shape), lab)


def keep_best(best, down, up, names):
    """best: [(tenths, rms, shades, a, b, down, order), worst, codes]; names: (a, array of b, order, codes of each b)."""
    a, b, order, codes = names
    down, up = np.broadcast_arrays(np.atleast_1d(down), np.atleast_1d(up))
    worst = np.maximum(down, up)
    tenths, rms = np.floor(worst * 10 + 0.5), np.round(np.sqrt((down**2 + up**2) / 2), 9)
    first = np.flatnonzero(tenths == tenths.min())
    i = first[np.lexsort((b[first], rms[first]))[0]]
    key = (tenths[i], rms[i], 1 if a == b[i] else 2, a, b[i], np.round(down[i], 9), order)
    if best is None or key < best[0]:
        return key, worst[i], codes(i)
    return best


def search(shades, codes, target, pile):
    best = {1: None, 2: None, 3: None}
    pile = np.clip(lab_to_cone(pile), 0, 1)
    count = len(codes)
    for i in range(count):
        a = One(shades, i)
        for n in (1, 2, 3):
            d = distance([a] * n, a.c, pile, target)
            best[n] = keep_best(best[n], d, d, (i, np.array([i]), 0, lambda _, n=n: [codes[i]] * n))
        js = np.arange(i + 1, count)
        if len(js) == 0:
            continue
        b = One(shades, js)
        tau_a = np.broadcast_to(a.tau, b.tau.shape)
        edges = {(1, 1): edge(a, tau_a, b, b.tau), (2, 1): edge(a, 2 * tau_a, b, b.tau), (1, 2): edge(a, tau_a, b, 2 * b.tau)}
        for n in (2, 3):
            found = {}
            for order in range(1, 2**n - 1):
                bits = [order >> (n - 1 - k) & 1 for k in range(n)]
                found[order] = distance([b if bit else a for bit in bits], edges[(n - sum(bits), sum(bits))], pile, target)
            for order in range(1, 2**n - 1):
                bits = [order >> (n - 1 - k) & 1 for k in range(n)]
                reverse = sum(bit << k for k, bit in enumerate(bits))
                name = lambda k, bits=bits: [codes[js[k]] if bit else codes[i] for bit in bits]
                best[n] = keep_best(best[n], found[order], found[reverse], (i, js, order, name))
    return best


def main():
    program, count = sys.argv[1:3]
    codes, lab, tau, goals = [], [], [], []
    for line in subprocess.run([program, count], check=True, capture_output=True, text=True).stdout.splitlines():
        word = line.split()
        if word[0] == "shade":
            codes.append(word[1])
            lab.append([float(x) for x in word[2:5]])
            tau.append(float(word[5]))
        elif word[0] == "goal":
            goals.append((np.array([float(x) for x in word[1:4]]), np.array([float(x) for x in word[4:7]]), float(word[7]), {}))
        else:
            goals[-1][3][int(word[1])] = (float(word[2]), word[3:])
    shades = Shades(np.array(lab), np.array(tau))
    ours = theirs = worst_error = 0.0
    different = 0
    for target, pile, seconds, found in goals:
        start = time.process_time()
        best = search(shades, codes, target, pile)
        theirs += time.process_time() - start
        ours += seconds
        for n, (worst, layers) in found.items():
            worst_error = max(worst_error, abs(worst - best[n][1]))
            different += layers != best[n][2]
    stacks = 3 * len(codes) + 4 * len(codes) * (len(codes) - 1)
    print(f"{count} shades, {stacks} stacks in two views, mean of {len(goals)} goals, processor time: ours {1e3 * ours / len(goals):.1f} ms, "
          f"NumPy and scikit-image {1e3 * theirs / len(goals):.1f} ms, {theirs / ours:.0f} times as long")
    print(f"worst difference of the values found {worst_error:.1e} dE00, {different} of {3 * len(goals)} proposals differ")
    return 1 if different or worst_error > 1e-6 else 0


if __name__ == "__main__":
    sys.exit(main())
