# Least squares of tape measures by scipy, with residuals written from the definitions: the belt's length is worked out
# here by tangents and arcs. Reads cases as JSON, writes their unknowns.
import json, sys
import numpy as np
from scipy.optimize import least_squares


def belt(c, r, turn):
    """Length of a closed line round circles in order: r line radii, turn +1 anticlockwise, -1 clockwise."""
    n, total, angle = len(c), 0.0, []
    for i in range(n):
        j = (i + 1) % n
        d = c[j] - c[i]
        far = np.hypot(*d)
        k = turn[i] * r[i] - turn[j] * r[j]
        total += np.sqrt(far * far - k * k)
        angle.append(np.arctan2(d[1], d[0]) + np.arcsin(k / far))
    for i in range(n):
        total += r[i] * np.mod(turn[i] * (angle[i] - angle[i - 1]), 2 * np.pi)
    return total


def solve(case):
    n, bear = case["n"], np.array(case["bear"])

    def residuals(x):
        d = x[:n]
        c = np.zeros((n, 2))
        c[1] = bear * x[n]
        c[2:] = x[n + 1:].reshape(-1, 2)
        out = []
        for kind, a, b, mm, sd in case["measures"]:
            far = np.hypot(*(c[a] - c[b]))
            half = (d[a] + d[b]) / 2
            v = [d[a], far, far + half, far - half][kind] if kind < 4 else belt(
                c, d / 2 + np.array(case["line"]), case["turn"])
            out.append((v - mm) / sd)
        return np.array(out)

    def least(x):
        return least_squares(residuals, x, jac="3-point", x_scale="jac", xtol=1e-15, ftol=1e-15, gtol=1e-15,
                             max_nfev=500)

    # It ends where the sum of squares can't be seen to fall, which leaves some 1e-6 mm: one whole step with scipy's
    # own derivatives ends that.
    s = least(case["start"])
    s = least(s.x - np.linalg.lstsq(s.jac, s.fun, rcond=None)[0])
    j = s.jac
    return {"x": list(s.x), "cost": s.cost, "cov": np.linalg.inv(j.T @ j).tolist()}


json.dump([solve(c) for c in json.load(sys.stdin)], sys.stdout)
