# The steps of finding ribs and squaring a belt up, with numpy and scipy, as scikit-image takes them (0.20 to 0.25, from
# memory), whose functions for them are thin wraps: copies shrunk by 2, 4, 8 and 16; of each the structure tensor with its
# directions, and of each square of 32 pixels, every 16, its periodogram; the light at the places of a strip's pixels.
# In: the picture's bytes, the places as pairs of doubles (y, x), the width. Out: JSON with the light and the processor
# time. scikit-image itself is not asked for: its Debian package brings typefaces along, by a
# dependency and not by a recommendation, which change how drawings are set on this machine.
import json
import sys
import time

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from scipy.ndimage import gaussian_filter, map_coordinates, sobel


def downscale_local_mean(image):
    """skimage.transform.downscale_local_mean(image, (2, 2)): the mean of a view of blocks, as block_reduce takes it; what
    it adds beyond, the padding of an odd side, is left out."""
    h, w = (n // 2 for n in image.shape)
    return image[:2 * h, :2 * w].reshape(h, 2, w, 2).swapaxes(1, 2).mean(axis=(2, 3))


def structure_tensor(image, sigma):
    """skimage.feature.structure_tensor(image, sigma, order="rc"): Sobel derivatives along each axis, and
    skimage.filters.gaussian of their products, which is scipy's filter cut off at four standard deviations."""
    r, c = (sobel(image, axis=i, mode="constant", cval=0) for i in range(2))
    return [gaussian_filter(v, sigma, mode="constant", cval=0, truncate=4.0) for v in (r * r, r * c, c * c)]


width = int(sys.argv[3])
picture = np.fromfile(sys.argv[1], dtype=np.uint8).reshape(-1, width)
places = np.fromfile(sys.argv[2], dtype=np.float64).reshape(-1, 2).T
window = np.outer(np.hanning(32), np.hanning(32)).astype(np.float32)

start = time.process_time()
small = picture.astype(np.float32)
while min(small.shape) // 2 >= 40 and small.shape[0] * 16 > picture.shape[0]:
    small = downscale_local_mean(small).astype(np.float32)
    rr, rc, cc = structure_tensor(small, 8)
    angle = np.arctan2(2 * rc, cc - rr) / 2
    squares = sliding_window_view(small, (32, 32))[::16, ::16].reshape(-1, 32, 32)
    if len(squares):
        squares = (squares - squares.mean(axis=(1, 2), keepdims=True)) * window
        power = np.abs(np.fft.rfft2(squares)) ** 2
        peak = power.reshape(len(power), -1).argmax(axis=1)
# skimage.transform.warp(picture, places, order=1, mode="edge") for coordinates that are given
light = map_coordinates(picture.astype(np.float32), places, order=1, mode="nearest")
seconds = time.process_time() - start
json.dump({"light": light.tolist(), "seconds": seconds}, sys.stdout)
