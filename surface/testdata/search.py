# The steps of surface.Cracks up to the choice of pixels, in scipy and scikit-image: second derivatives at each scale
# (Gaussians), limited, across each of 16 directions, summed along it, divided by the grain (a quantile by tiles), the
# greatest over scales and directions, its crests across, hysteresis and pieces with their lengths. Tracing, places
# between pixels, widths and chances are left out here. Single precision, as there.
# Reads {"width", "height", "light", "sigmas", "reach", "high", "low"}; writes the least seconds of three runs.
import json
import sys
import time

import numpy as np
from scipy import ndimage
from scipy.signal import oaconvolve
from skimage.filters import apply_hysteresis_threshold
from skimage.measure import label, regionprops

q = json.load(sys.stdin)
light = np.array(q["light"], dtype=np.float32).reshape(q["height"], q["width"])
tile = 48


def grain(v):
    h, w = light.shape
    rows, cols = max(1, h // tile), max(1, w // tile)
    size = np.empty((rows, cols), dtype=np.float32)
    for r in range(rows):
        for c in range(cols):
            part = v[..., r * h // rows : (r + 1) * h // rows : 3, c * w // cols : (c + 1) * w // cols : 3]
            size[r, c] = max(0.0005, np.quantile(np.abs(part), 0.8) / 1.2816)
    size = np.sqrt(size * np.median(size))
    return ndimage.zoom(size, (h / rows, w / cols), order=1)[:h, :w] if size.size > 1 else size[0, 0]


def line(turn, reach):
    k = int(2 * reach + 0.5) + 1
    y, x = np.mgrid[-k : k + 1, -k : k + 1]
    along, across = x * np.cos(turn) + y * np.sin(turn), y * np.cos(turn) - x * np.sin(turn)
    g = np.exp(-0.5 * (along / reach) ** 2) * np.maximum(0, 1 - np.abs(across))
    return (g / g.sum()).astype(np.float32)


def run():
    best = np.zeros_like(light)
    way = np.zeros(light.shape, dtype=np.uint8)
    for s in q["sigmas"]:
        xx = s * s * ndimage.gaussian_filter(light, s, order=(0, 2))
        xy = s * s * ndimage.gaussian_filter(light, s, order=(1, 1))
        yy = s * s * ndimage.gaussian_filter(light, s, order=(2, 0))
        most = 3 * grain(np.stack([xx, yy, (xx + yy) / 2 + xy, (xx + yy) / 2 - xy]))
        sums = []
        for d in range(16):
            turn = d * np.pi / 16
            c, n = np.cos(turn + np.pi / 2), np.sin(turn + np.pi / 2)
            v = np.clip(c * c * xx + 2 * c * n * xy + n * n * yy, -most, most)
            sums.append(oaconvolve(v, line(turn, q["reach"]), mode="same"))
        sums = np.stack(sums)
        z = sums.max(axis=0) / grain(sums)
        more = z > best
        best[more], way[more] = z[more], sums.argmax(axis=0)[more]
    turn = way * (np.pi / 16) + np.pi / 2
    y, x = np.mgrid[0 : light.shape[0], 0 : light.shape[1]]
    dx, dy = np.cos(turn), np.sin(turn)
    before = ndimage.map_coordinates(best, [y - dy, x - dx], order=1, mode="nearest")
    after = ndimage.map_coordinates(best, [y + dy, x + dx], order=1, mode="nearest")
    crest = np.where((best >= before) & (best > after), best, 0)
    kept = label(apply_hysteresis_threshold(crest, q["low"], q["high"]), connectivity=2)
    return [p.area for p in regionprops(kept)]


times = []
for _ in range(3):
    start = time.process_time()
    lengths = run()
    times.append(time.process_time() - start)
json.dump({"seconds": min(times), "pieces": len(lengths)}, sys.stdout)
