"""The plain way to name a bearing's element, for TestGiven: band by a kurtogram, squared envelope, three harmonics.

usage: kurtogram.py jobs.json     a JSON list of [file.wav, shaft Hz, {element: order, ...}]

Band: the grid of the fast kurtogram (J. Antoni, Mechanical Systems and Signal Processing 21, 2007, 108-124, from memory), halves and
thirds down to level 6, kurtosis of the complex envelope. Speed: the one given. Harmonics
are the highest of three values of the squared envelope's amplitude at a common offset within 2 % (slip and speed together), each over
the median of the 20 Hz about it. The element of the largest mean of three is named where two of its three exceed 3 times their median.
Prints a JSON list of names, "" for none.
"""
import json
import sys

import numpy as np
import scipy.fft
import scipy.io.wavfile


def band(spec, lo, hi):
    """Complex envelope of one band, decimated."""
    return scipy.fft.ifft(spec[lo:hi])


def kurtogram(x):
    spec = scipy.fft.rfft(x)
    n = len(spec) - 1
    best = (-9, 0, n)
    for level in range(1, 7):
        for parts in (2**level, 3 * 2 ** (level - 1)):
            for i in range(parts):
                lo, hi = max(n * i // parts, 1), n * (i + 1) // parts
                p = np.abs(band(spec, lo, hi)) ** 2
                k = (p**2).mean() / p.mean() ** 2 - 2
                if k > best[0]:
                    best = (k, lo, hi)
    return spec, best[1], best[2]


def name(path, hz, families):
    rate, x = scipy.io.wavfile.read(path)
    x = x.astype(float)
    x -= x.mean()
    spec, lo, hi = kurtogram(x)
    m = 2 * (hi - lo)  # no aliasing of the squared envelope
    e = np.abs(scipy.fft.ifft(np.r_[spec[lo:hi], np.zeros(m - (hi - lo))])) ** 2
    a = np.abs(scipy.fft.rfft((e - e.mean()) * np.hanning(m)))
    step = rate / len(x)
    scores = {}
    for element, order in families.items():
        best = 0.0
        for d in np.arange(-0.02, 0.0201, 0.0005):
            r = []
            for k in (1, 2, 3):
                f = k * order * hz * (1 + d)
                i = int(round(f / step))
                about = a[max(i - int(10 / step), 1) : i + int(10 / step)]
                r.append(a[i - 1 : i + 2].max() / np.median(about) if i + 2 < len(a) else 0.0)
            if sum(v > 3 for v in r) >= 2:
                best = max(best, np.mean(r))
        if best > 0:
            scores[element] = best
    return max(scores, key=scores.get) if scores else ""


json.dump([name(*job) for job in json.load(open(sys.argv[1]))], sys.stdout)
