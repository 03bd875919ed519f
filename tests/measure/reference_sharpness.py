#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Sharpness by numpy's own transform, in double precision, against ours.

Written from the definition alone: the patch less its plane (unweighted least
squares), times a Hann window, band power over N² Σw², less the noise floor,
over the mean less the black level. Numpy 1.24 of Debian 12. Prints TAP.

Usage: reference_sharpness.py PROGRAM, where PROGRAM is sharpness-of.
"""
import os
import subprocess
import sys
import tempfile

import numpy as np

TOLERANCE = 1e-5


def reference(patch, fc, black):
    h, w = patch.shape
    y, x = np.mgrid[0:h, 0:w]
    base = np.stack([np.ones(w * h), x.ravel() - x.mean(), y.ravel() - y.mean()], axis=1)
    centred = patch - patch.mean()
    fit, *_ = np.linalg.lstsq(base, centred.ravel(), rcond=None)
    flat = centred - (base @ fit).reshape(h, w)
    window = np.outer(0.5 - 0.5 * np.cos(2 * np.pi * np.arange(h) / h),
                      0.5 - 0.5 * np.cos(2 * np.pi * np.arange(w) / w))
    power = np.abs(np.fft.fft2(flat * window)) ** 2
    fx, fy = np.fft.fftfreq(w)[None, :], np.fft.fftfreq(h)[:, None]
    f = np.hypot(fx, fy)
    low, high = 0.15 * fc, min(0.6 * fc, 0.4)
    eps = 1e-12
    band = (f >= low * (1 - eps)) & (f <= high * (1 + eps))
    lower = band & (f <= 0.5 * (low + high) * (1 + eps))
    upper = band & ~lower
    beyond = f > fc * (1 + eps)
    w2 = (window ** 2).sum()
    if beyond.sum() < 0.1 * w * h:
        # Immerkær 1996
        n = np.array([[1, -2, 1], [-2, 4, -2], [1, -2, 1]])
        c = sum(n[i, j] * patch[i:h - 2 + i, j:w - 2 + j] for i in range(3) for j in range(3))
        sigma = np.sqrt(np.pi / 2) * np.abs(c).sum() / (6 * (w - 2) * (h - 2))
        floor = sigma ** 2 * w2
    else:
        floor = power[beyond & (fx != 0) & (fy != 0)].mean()
    scale = 1 / (w * h * w2)
    signal = patch.mean() - black
    p_low = power[lower].sum() - floor * lower.sum()
    p_up = power[upper].sum() - floor * upper.sum()

    def rms(p):
        return 100 * np.sqrt(max(p, 0) * scale) / signal

    return (rms(p_low + p_up), max(p_up, 0) / p_low if p_low > 0 else np.nan, rms(p_low),
            rms(floor * band.sum()))


def texture(rng, w, h, cutoff):
    """Noise filtered so that it falls towards the cut-off, unit rms."""
    fx, fy = np.fft.fftfreq(w)[None, :], np.fft.fftfreq(h)[:, None]
    f = np.hypot(fx, fy)
    t = np.fft.ifft2(np.fft.fft2(rng.standard_normal((h, w))) *
                     np.clip(1 - f / cutoff, 0, 1)).real
    return t / t.std()


def cases():
    rng = np.random.default_rng(20)
    y, x = np.mgrid[0:1024, 0:1024]

    def counts(patch, bits):
        return np.clip(np.rint(patch), 0, 2 ** bits - 1)

    for fc in (0.5, 0.27, 0.15, 0.9, 0.55, 0.68):
        for w, h in ((256, 256), (128, 128), (512, 512), (300, 200), (131, 257), (129, 128)):
            t = texture(rng, w, h, min(fc, 0.5))
            noisy = 2000 * (1 + 0.05 * t) + rng.standard_normal((h, w)) * 12
            yield f"texture {w}x{h} fc {fc}", counts(noisy, 12), fc, 0
    t = texture(rng, 256, 256, 0.3)
    noise = rng.standard_normal((256, 256))
    x, y = x[:256, :256], y[:256, :256]
    yield "8 bit", counts(120 * (1 + 0.1 * t) + noise, 8), 0.3, 0
    yield "10 bit, black level", counts(600 * (1 + 0.1 * t) + 64 + 3 * noise, 10), 0.3, 64.5
    yield "14 bit", counts(9000 * (1 + 0.03 * t) + 20 * noise, 14), 0.3, 256
    yield "16 bit", counts(52000 * (1 + 0.05 * t) + 60 * noise, 16), 0.3, 0
    yield "16 bit, 12 in the high bits", 16 * counts(3000 * (1 + 0.05 * t) + 9 * noise, 12), 0.3, 0
    yield "weak contrast, high pedestal", counts(60000 + 6 * t + 2 * noise, 16), 0.3, 0
    yield "steep slope", counts(20000 + 100 * x + 50 * y + 100 * t + 9 * noise, 16), 0.3, 0
    limb = np.where(np.hypot(x + 300, y - 128) < 450, 3000 + 60 * t, 40) + 9 * noise
    yield "limb", counts(limb, 12), 0.3, 0
    yield "noise alone", counts(2000 + 40 * noise, 12), 0.5, 0
    yield "noise alone, narrow", counts(2000 + 40 * noise, 12), 0.15, 0
    yield "sinusoid", counts(2000 + 300 * np.sin(2 * np.pi * 0.1 * x + 1), 12), 0.5, 0
    yield "two sinusoids", counts(2000 + 300 * np.sin(2 * np.pi * 30 * x / 256) +
                                  200 * np.sin(2 * np.pi * (45 * y - 17 * x) / 256), 12), 0.5, 0
    yield "floating point", 0.5 + 0.01 * t + 0.001 * noise, 0.3, 0.1
    yield "negative black", 1e-3 * t + 1e-4 * noise, 0.3, -1.0
    yield "large numbers", 1e12 * (1 + 0.01 * t + 0.003 * noise), 0.3, 0


def run(program, patch, fc, black):
    with tempfile.NamedTemporaryFile(suffix=".raw", delete=False) as f:
        f.write(np.ascontiguousarray(patch, dtype=np.float64).tobytes())
    try:
        out = subprocess.run([program, f.name, str(patch.shape[1]), str(patch.shape[0]),
                              repr(fc), repr(float(black))],
                             check=True, capture_output=True, text=True).stdout
    finally:
        os.unlink(f.name)
    return {line.split()[0]: [float(v) for v in line.split()[1:]] for line in out.splitlines()}


def deviation(got, expected):
    """The largest relative difference; NaN must meet NaN."""
    worst = 0.0
    for a, b in zip(got, expected):
        if np.isnan(a) != np.isnan(b):
            return np.inf
        if not np.isnan(a) and a != b:
            worst = max(worst, abs(a - b) / max(abs(b), 1e-300))
    return worst


def main():
    all_cases = list(cases())
    print(f"1..{len(all_cases)}")
    for i, (name, patch, fc, black) in enumerate(all_cases, 1):
        expected = reference(patch.astype(np.float64), fc, black)
        got = run(sys.argv[1], patch, fc, black)
        worst = {path: deviation(values, expected) for path, values in got.items()}
        # repr: NaN is the same as NaN here
        good = (max(worst.values()) <= TOLERANCE and
                repr(got.get("plain")) == repr(got.get("vector")))
        print(f"{'ok' if good else 'not ok'} {i} - {name}: percent {expected[0]:.6g}, worst " +
              ", ".join(f"{k} {v:.1e}" for k, v in worst.items()))
        if not good:
            print(f"# expected {expected}\n# got {got}")


main()
