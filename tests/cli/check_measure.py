#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""filigree-cli measure against numpy, on cubes written by astropy.

Every figure within 1e-5 (relative). Debian 12's astropy 5.2.1, numpy 1.24,
OpenCV 4.6.0 (the median filter of 16-bit pictures). Prints TAP.

Usage: check_measure.py FILIGREE_CLI
"""
import json
import math
import os
import subprocess
import sys
import tempfile

import numpy as np
from astropy.io import fits

CLI = sys.argv[1]
KEYS = {"mean", "sd", "min", "max", "full_fraction", "empty_fraction", "sharpness", "brenner",
        "tenengrad", "laplacian_variance", "mfgs"}
results = []


def check(good, name, note=""):
    results.append((bool(good), name, note))


def run(*args, env=None):
    return subprocess.run([CLI, "measure", *args], capture_output=True, text=True,
                          env={**os.environ, **(env or {})})


def median3(c):
    p = np.pad(c, 1, mode="edge")
    h, w = c.shape
    return np.median([p[i:i + h, j:j + w] for i in range(3) for j in range(3)], axis=0)


def sharpness(patch, fc=0.5, black=0.0):
    h, w = patch.shape
    if min(h, w) < 128:
        return None
    y, x = np.mgrid[0:h, 0:w]
    base = np.stack([np.ones(w * h), x.ravel() / w, y.ravel() / h], axis=1)
    fit, *_ = np.linalg.lstsq(base, patch.ravel() - patch.mean(), rcond=None)
    flat = patch - patch.mean() - (base @ fit).reshape(h, w)
    win = np.outer(np.hanning(h + 1)[:-1], np.hanning(w + 1)[:-1])
    power = np.abs(np.fft.fft2(flat * win)) ** 2
    fx, fy = np.meshgrid(np.fft.fftfreq(w), np.fft.fftfreq(h))
    f = np.hypot(fx, fy)
    band = (f >= 0.15 * fc) & (f <= min(0.6 * fc, 0.4))
    floor = power[(f > fc) & (fx != 0) & (fy != 0)].mean()
    p = (power[band].sum() - floor * band.sum()) / (w * h * (win ** 2).sum())
    return 100 * math.sqrt(max(p, 0)) / (patch.mean() - black)


def central(c):
    side = 512
    while side > min(c.shape):
        side //= 2
    y, x = (c.shape[0] - side) // 2, (c.shape[1] - side) // 2
    return c[y:y + side, x:x + side]


def expected(c, full, fc=0.5, black=0.0, patch=None):
    c = c.astype(np.float64)
    lap = c[1:-1, :-2] + c[1:-1, 2:] + c[:-2, 1:-1] + c[2:, 1:-1] - 4 * c[1:-1, 1:-1]
    right, left = c[:, 2:], c[:, :-2]
    gx = (right - left)[:-2] + 2 * (right - left)[1:-1] + (right - left)[2:]
    up = c[2:] - c[:-2]
    gy = up[:, :-2] + 2 * up[:, 1:-1] + up[:, 2:]

    def gradient(p):
        return (np.abs(p[:-1, 1:] - p[:-1, :-1]) + np.abs(p[1:, :-1] - p[:-1, :-1])).sum()

    g, gm = gradient(c), gradient(median3(c))
    return {
        "mean": c.mean(), "sd": c.std(), "min": c.min(), "max": c.max(),
        "full_fraction": None if full is None else (c >= full).mean(),
        "empty_fraction": (c == 0).mean(),
        "brenner": ((right - left) ** 2).mean(),
        "tenengrad": (gx ** 2 + gy ** 2).mean(),
        "laplacian_variance": lap.var(),
        "mfgs": 2 * g * gm / (g * g + gm * gm),
        "sharpness": sharpness(central(c) if patch is None else patch, fc, black),
    }


def near(a, b):
    if a is None or b is None:
        return a is b
    return abs(a - b) <= 1e-5 * abs(b)


def compare(name, path, wanted, *args):
    done = run(path, "--json", *args)
    if done.returncode != 0:
        check(False, name, done.stderr)
        return
    answer = json.loads(done.stdout, parse_constant=lambda c: float("nan"))
    frames = answer["frames"]
    wrong = [] if len(frames) == len(wanted) else [f"{len(frames)} frames"]
    for i, (got, want) in enumerate(zip(frames, wanted)):
        wrong += [f"frame {i} {k}: {got.get(k)} instead of {want[k]}" for k in KEYS
                  if k not in got or not near(got[k], want[k])]
    check(not wrong, name, "; ".join(wrong[:4]))


def scene(rng, shape, level, contrast):
    y, x = np.mgrid[0:shape[0], 0:shape[1]]
    s = np.sin(2 * np.pi * (0.11 * x + 0.05 * y)) + np.sin(2 * np.pi * (0.03 * x - 0.14 * y))
    return level * (1 + contrast * s) + rng.standard_normal(shape) * level * 0.01 + 0.05 * x


def main():
    rng = np.random.default_rng(12)
    with tempfile.TemporaryDirectory() as folder:
        def write(name, data, **cards):
            path = os.path.join(folder, name)
            hdu = fits.PrimaryHDU(data)
            for key, value in cards.items():
                hdu.header[key] = value
            hdu.writeto(path)
            return path

        s = scene(rng, (300, 402), 120, 0.4)
        data = np.clip(s + 60 * (s > 180), 0, 255).astype(np.uint8)
        data[:4, :5] = 0
        compare("uint8, 2-D", write("u8.fits", data), [expected(data, 255)])

        cube = np.stack([np.clip(scene(rng, (240, 301), 2500, 0.1 * k), 0, 4095)
                         for k in range(1, 5)]).astype(np.uint16)
        compare("uint16, 3-D", write("u16.fits", cube), [expected(c, 65535) for c in cube])
        compare("uint16 with DATAMAX and BLACKCNT",
                write("u12.fits", cube, DATAMAX=4095, BLACKCNT=100.5),
                [expected(c, 4095, black=100.5) for c in cube])
        compare("DATAMAX that is no 2ⁿ − 1",
                write("u12odd.fits", cube, DATAMAX=4000), [expected(c, 65535) for c in cube])
        wide = np.clip(scene(rng, (530, 640), 40000, 0.3), 0, 65535).astype(np.uint16)
        compare("uint16 over all 16 bits", write("u16w.fits", wide), [expected(wide, 65535)])

        signed = scene(rng, (150, 200), 900, 0.5).astype(np.int16) - 700
        compare("int16 with negative numbers", write("i16.fits", signed),
                [expected(signed, 32767)])
        large = np.stack([scene(rng, (140, 160), 3e6, 0.2)] * 2).astype(np.int32)
        compare("int32", write("i32.fits", large), [expected(c, 2 ** 31 - 1) for c in large])
        huge = scene(rng, (130, 140), 3e12, 0.2).astype(np.int64)
        compare("int64", write("i64.fits", huge), [expected(huge, 2.0 ** 63)])
        single = scene(rng, (200, 260), 0.7, 0.1).astype(np.float32)
        compare("float32, 2-D", write("f32.fits", single), [expected(single, None)])
        cube = np.stack([scene(rng, (129, 190), 0.7, 0.1 * k) for k in range(1, 4)])
        compare("float64, 3-D", write("f64.fits", cube), [expected(c, None) for c in cube])
        compare("float32 with DATAMAX", write("f32m.fits", single, DATAMAX=1.0),
                [expected(single, 1.0)])

        small = rng.integers(0, 4096, (3, 90, 100)).astype(np.uint16)
        compare("below 128 px: no sharpness", write("small.fits", small),
                [expected(c, 65535) for c in small])
        tiny = np.full((2, 2), 7, dtype=np.uint8)
        done = run(write("tiny.fits", tiny), "--json")
        got = json.loads(done.stdout)["frames"][0]
        check(got["mean"] == 7 and got["sd"] == 0 and
              all(got[k] is None for k in ("brenner", "tenengrad", "laplacian_variance", "mfgs")),
              "2 × 2 px: null where there is no value", done.stdout)

        # --patch counts from the top left, FITS rows from the bottom.
        x, y, w, h = 31, 17, 150, 133
        for name, data in (("counts", wide), ("numbers", wide.astype(np.float32) * 0.5)):
            full = 65535 if name == "counts" else None
            cut = data[data.shape[0] - y - h:data.shape[0] - y, x:x + w]
            compare(f"--patch on {name}", write(f"p{name}.fits", data),
                    [expected(cut, full, patch=cut.astype(np.float64))],
                    "--patch", f"{x},{y},{w},{h}")

        rig = os.path.join(folder, "roof.rig")
        with open(rig, "w") as f:
            f.write("[rig]\nname=Test\n[element 1]\nkind=objective\ntype=lens\naperture_mm=102\n"
                    "focal_length_mm=1020\n[element 2]\nkind=amplifier\nfactor=2.0\n"
                    "[element 3]\nkind=bandpass\ncentre_nm=540\nwidth_nm=10\n"
                    "[element 4]\nkind=camera\npixel_um=2.9\ncolumns=1936\nrows=1096\n")
        fc = 2.9 / (0.540 * 20)
        compare("--rig gives the cut-off", os.path.join(folder, "u12.fits"),
                [expected(c, 4095, fc=fc, black=100.5)
                 for c in fits.getdata(os.path.join(folder, "u12.fits"))], "--rig", rig)

        packed = os.path.join(folder, "packed.fits")
        fits.HDUList([fits.PrimaryHDU(), fits.CompImageHDU(wide, compression_type="RICE_1")]
                     ).writeto(packed)
        compare("Rice tiles", packed, [expected(wide, 65535)])

        comma = run(os.path.join(folder, "u8.fits"), "--json", env={"LC_ALL": "de_DE.UTF-8"})
        plain = run(os.path.join(folder, "u8.fits"), "--json")
        check(comma.stdout == plain.stdout and comma.returncode == 0, "decimal comma")
        table = run(os.path.join(folder, "small.fits"))
        check(table.returncode == 0 and len(table.stdout.splitlines()) == 4, "table",
              table.stdout)

        def refuse(status, name, *args):
            done = run(*args)
            check(done.returncode == status and done.stdout == "" and
                  done.stderr.startswith("filigree-cli: "), name, done.stderr)

        u8 = os.path.join(folder, "u8.fits")
        refuse(1, "no such file", os.path.join(folder, "none.fits"))
        refuse(1, "patch beyond the picture", u8, "--patch", "300,0,200,200")
        refuse(2, "patch misspelt", u8, "--patch", "1,2,3")
        refuse(2, "unknown option", u8, "--frobnicate")
        refuse(2, "nothing to measure")
        refuse(1, "rig that isn't there", u8, "--rig", os.path.join(folder, "none.rig"))
        with open(u8, "rb") as f:
            whole = f.read()
        cut = os.path.join(folder, "cut.fits")
        with open(cut, "wb") as f:
            f.write(whole[:len(whole) // 2])
        refuse(1, "foreign file cut short", cut, "--json")

    print(f"1..{len(results)}")
    for i, (good, name, note) in enumerate(results, 1):
        print(f"{'ok' if good else 'not ok'} {i} - {name}")
        if not good:
            print("# " + note.replace("\n", "\n# "))


main()
