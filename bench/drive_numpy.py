#!/usr/bin/python3
"""The computations of BenchmarkGeometry, BenchmarkArm and BenchmarkLeaveOneOut
in numpy and scipy, as one would write them there: arrays over pulleys, and over
all sidings at once in the search. Prints one line per computation:
name, nanoseconds per call, the figure that must agree with the Go benchmark
(length in micrometres, arm in millionths of a degree, number of routes). The
search here only counts routes that close; the Go benchmark also works out the
tensioner's travel and the clearances of the best.
"""
import itertools
import math
import time

import numpy as np
from scipy.optimize import brentq

B_E, H_B, THICK, TIP = 2.0, 1.2, 4.5, 0.885
# name, x, y, diameter, plain, back  (order of travel, crank first, clockwise)
NINE = [
    ("crank", 0, 0, 150, False, False),
    ("tensioner", -100, 150, 76, True, True),
    ("alternator", -240, 240, 56, False, False),
    ("upper idler", -110, 330, 70, False, False),
    ("water pump", -20, 230, 110, True, True),
    ("steering pump", 110, 340, 130, False, False),
    ("fan", 250, 260, 110, False, False),
    ("lower idler", 150, 130, 76, True, True),
    ("compressor", 230, -10, 115, False, False),
]
PIVOT = np.array([-160.0, 210.0])
TURN = -1.0  # pulleys on the ribs turn clockwise


def circles(rows):
    x = np.array([r[1] for r in rows], float)
    y = np.array([r[2] for r in rows], float)
    dia = np.array([r[3] for r in rows], float)
    plain = np.array([r[4] for r in rows])
    back = np.array([r[5] for r in rows])
    rim = np.where(plain, dia / 2, (dia - TIP) / 2)
    ribs = np.where(plain, rim + THICK - H_B - B_E, dia / 2)
    radius = np.where(back, rim + H_B + B_E, ribs)
    turn = np.where(back, -TURN, TURN)
    return x, y, radius, turn, rim


def solve(x, y, r, s):
    """Spans, directions, wraps and length; works on the last axis."""
    dx, dy = np.roll(x, -1, -1) - x, np.roll(y, -1, -1) - y
    k = s * r - np.roll(s * r, -1, -1)
    d2 = dx * dx + dy * dy
    l = np.sqrt(d2 - k * k)
    ux, uy = (dx * l - dy * k) / d2, (dy * l + dx * k) / d2
    vx, vy = np.roll(ux, 1, -1), np.roll(uy, 1, -1)
    wrap = np.arctan2(s * (vx * uy - vy * ux), vx * ux + vy * uy) % (2 * math.pi)
    wrap = np.where(wrap > 2 * math.pi - 1e-9, 0, wrap)
    return l, ux, uy, wrap, l.sum(-1) + (r * wrap).sum(-1)


def per_call(f, least=0.5):
    f()
    n, t0 = 0, time.perf_counter()
    while time.perf_counter() - t0 < least:
        f()
        n += 1
    return (time.perf_counter() - t0) / n * 1e9


EIGHT = [r for r in NINE if r[0] != "lower idler"]


def geometry():
    x, y, r, s, _ = circles(EIGHT)
    return per_call(lambda: solve(x, y, r, s)), 1000 * float(solve(x, y, r, s)[4])


def geometry_batch(n=10_000):
    x, y, r, s, _ = circles(EIGHT)
    xs = np.tile(x, (n, 1))
    ys, rs, ss = np.tile(y, (n, 1)), np.tile(r, (n, 1)), np.tile(s, (n, 1))
    return per_call(lambda: solve(xs, ys, rs, ss)) / n, 1000 * float(solve(xs, ys, rs, ss)[4][n // 2])


def arm():
    x, y, r, s, _ = circles(EIGHT)
    centre = np.array([x[1], y[1]])
    length = math.hypot(*(centre - PIVOT))
    alpha = math.atan2(*(centre - PIVOT)[::-1])
    want = solve(x, y, r, s)[4] + 5

    def miss(q):
        x[1] = PIVOT[0] + length * math.cos(alpha + q)
        y[1] = PIVOT[1] + length * math.sin(alpha + q)
        return solve(x, y, r, s)[4] - want

    lo, hi = math.radians(-20), math.radians(20)
    find = lambda: brentq(miss, lo, hi, xtol=1e-12)
    return per_call(find), 1e6 * math.degrees(find())


def search():
    def once():
        closing = 0
        for out in range(len(NINE)):
            if NINE[out][0] not in ("crank", "tensioner"):
                closing += sidings([r for i, r in enumerate(NINE) if i != out])
        return closing
    return per_call(once, 2), once()


def sidings(rows):
    """How many of all sidings of the pulleys after the first close."""
    n = len(rows)
    back = np.array(list(itertools.product((False, True), repeat=n - 1)))
    back = np.hstack([np.full((len(back), 1), rows[0][5]), back])
    x, y, _, _, rim = circles(rows)
    dia = np.array([r[3] for r in rows], float)
    plain = np.array([r[4] for r in rows])
    ribs = np.where(plain, rim + THICK - H_B - B_E, dia / 2)
    r = np.where(back, rim + H_B + B_E, ribs)
    s = np.where(back, -TURN, TURN)
    with np.errstate(invalid="ignore"):
        l, ux, uy, wrap, _ = solve(x, y, r, s)
        ok = np.isfinite(l).all(1) & (np.abs((s * wrap).sum(1) - TURN * 2 * math.pi) < 1e-6)
    l, ux, uy, wrap, r, s = l[ok], ux[ok], uy[ok], wrap[ok], r[ok], s[ok]
    fx, fy = x + s * r * uy, y - s * r * ux
    tx, ty = fx + l * ux, fy + l * uy
    good = ~blocked(x, y, rim, fx, fy, ux, uy, l)
    return int((good & ~crossing(fx, fy, tx, ty, ux, uy, wrap)).sum())


def blocked(x, y, rim, fx, fy, ux, uy, l):
    n = len(x)
    px, py = x - fx[..., None], y - fy[..., None]
    t = np.clip(px * ux[..., None] + py * uy[..., None], 0, l[..., None])
    d2 = (px - t * ux[..., None]) ** 2 + (py - t * uy[..., None]) ** 2
    own = np.eye(n, dtype=bool) | np.roll(np.eye(n, dtype=bool), 1, 1)
    return ((d2 < rim**2) & ~own).any((1, 2))


def crossing(fx, fy, tx, ty, ux, uy, wrap):
    def side(px, py):
        return ux[..., None] * (py[:, None, :] - fy[..., None]) - uy[..., None] * (px[:, None, :] - fx[..., None])
    apart = side(fx, fy) * side(tx, ty) < 0
    cross = apart & apart.swapaxes(1, 2)
    n = fx.shape[1]
    for i in range(n):  # neighbours part on a pulley wrapped by half a turn or less
        j = (i + 1) % n
        parted = wrap[:, j] <= math.pi
        cross[parted, i, j] = cross[parted, j, i] = False
    return cross.any((1, 2))


if __name__ == "__main__":
    for name, f in (("Geometry", geometry), ("GeometryBatch", geometry_batch), ("Arm", arm), ("LeaveOneOut", search)):
        ns, figure = f()
        print(f"{name} {ns:.1f} {figure:.10g}")
