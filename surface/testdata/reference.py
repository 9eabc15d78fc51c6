# Second derivatives of a smoothed picture and their eigenvalues, by scipy and numpy. In: JSON with width, height, light
# and sigmas. Out: of each sigma xx, xy, yy, and the greater and the lesser eigenvalue.
import json
import sys
import time

import numpy as np
from scipy.ndimage import gaussian_filter

ask = json.load(sys.stdin)
light = np.array(ask["light"], dtype=np.float64).reshape(ask["height"], ask["width"])
out = []
for sigma in ask["sigmas"]:
    start = time.process_time()
    xx, xy, yy = (gaussian_filter(light, sigma, order=o, mode="reflect", truncate=4.0) for o in ((0, 2), (1, 1), (2, 0)))
    seconds = time.process_time() - start
    eigen = np.linalg.eigvalsh(np.stack([np.stack([xx, xy], -1), np.stack([xy, yy], -1)], -2))
    out.append({"xx": xx.ravel().tolist(), "xy": xy.ravel().tolist(), "yy": yy.ravel().tolist(),
                "across": eigen[..., 1].ravel().tolist(), "along": eigen[..., 0].ravel().tolist(), "seconds": seconds})
json.dump(out, sys.stdout)
