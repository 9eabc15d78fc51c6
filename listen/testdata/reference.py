"""Spectra of WAV files by numpy and scipy, for TestAgainstScipy.

usage: reference.py file.wav samples [file.wav samples ...]
The first so many samples are used. Prints a JSON list: for every file its spectra, each with its step and, for its strongest bins,
[bin, power].
"""
import json
import sys

import numpy as np
import scipy.io.wavfile
import scipy.linalg
import scipy.signal


def strongest(step, p, count=40):
    k = np.argsort(p)[::-1][:count]
    return {"step": step, "bins": [[int(i), float(p[i])] for i in k]}


def envelope(y, rate):
    """Squared envelope of the band by the analytic signal, over its mean, Hann window, power by amplitude."""
    n = len(y)
    spec = np.fft.fft(y)
    f = np.fft.fftfreq(n, 1 / rate)
    lo, hi = int(0.01 * rate * n / rate), int(0.49 * rate * n / rate)
    keep = np.zeros(n, bool)
    keep[lo:hi] = True
    e = np.abs(np.fft.ifft(np.where(keep & (f >= 0), spec, 0))) ** 2
    e = e / e.mean() - 1
    w = np.hanning(n)
    p = np.abs(np.fft.rfft(e * w)) ** 2 / w.sum() ** 2
    return strongest(rate / n, p[: int(900 * n / rate) + 1])


def cepstral(x):
    s = np.fft.fft(x)
    s[0] = 0
    m = np.abs(s)
    return np.fft.ifft(np.where(m > 0, s / np.maximum(m, 1e-300), 0)).real


def prediction(x, taps=100):
    n = len(x)
    r = scipy.signal.correlate(x, x, method="fft")[n - 1 : n + taps]
    r[0] *= 1 + 1e-9
    a = scipy.linalg.solve_toeplitz(r[:taps], r[1:])
    a = np.concatenate([[1.0], -a])
    return scipy.signal.lfilter(a, [1.0], np.concatenate([x[-taps:], x]))[taps:]


def spectra(name, samples):
    rate, x = scipy.io.wavfile.read(name)
    x = x.astype(float)[:samples]
    x -= x.mean()
    out = {}
    f, p = scipy.signal.welch(x, rate, nperseg=4096)
    out["welch"] = strongest(f[1], p)
    f, p = scipy.signal.periodogram(x, rate, window="hann")
    out["single"] = strongest(f[1], p)
    f, t, p = scipy.signal.spectrogram(x, rate, window="hann", nperseg=1000, noverlap=750)
    out["picture"] = strongest(f[1], p[:, 7])
    out["plain"] = envelope(x, rate)
    out["cepstral"] = envelope(cepstral(x), rate)
    out["prediction"] = envelope(prediction(x), rate)
    return out


pairs = zip(sys.argv[1::2], sys.argv[2::2])
json.dump([spectra(name, int(samples)) for name, samples in pairs], sys.stdout)
