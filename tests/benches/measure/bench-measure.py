#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The measuring stages beside OpenCV and numpy, in the same run, on one thread.

bench-measure.py BUILD [ROUNDS]: prints one JSON object, stages[] with name,
value, unit, reference, ratio (how many times faster than the reference).
Times are those of the thread alone, program and reference take turns, and the
best of each counts: other programs on the machine only ever slow one down.
Both sides must find the same figures.
"""
import json
import os
import subprocess
import sys
import tempfile
import time

import cv2
import numpy as np

WIDTH, HEIGHT = 1920, 1080
FC = 0.5

cv2.setNumThreads(1)


def scene(bits):
    """Granules, a spot and photon noise; seeded."""
    rng = np.random.default_rng(3)
    granules = cv2.GaussianBlur(rng.standard_normal((HEIGHT, WIDTH)), (0, 0), 1.5)
    granules /= granules.std()
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
    spot = 1 - 0.8 * np.exp(-((x - 900) ** 2 + (y - 500) ** 2) / (2 * 60.0 ** 2))
    full = 2 ** bits - 1
    level = 0.6 * full * (1 + 0.05 * granules) * spot
    noisy = level + rng.standard_normal(level.shape) * np.sqrt(level / full) * 0.01 * full
    return np.clip(np.rint(noisy), 0, full).astype(np.uint16)


def best(call, rounds):
    shortest = np.inf
    for _ in range(rounds):
        begin = time.thread_time()
        result = call()
        shortest = min(shortest, time.thread_time() - begin)
    return 1e3 * shortest, result


class Figures:
    """Mean, sd, extremes, histogram (whence full and empty share), Brenner,
    Tenengrad, variance of the Laplacian, into arrays made beforehand. Edges of
    the filters stay in, which costs OpenCV nothing."""

    def __init__(self, bits, through_float):
        self.bins = 2 ** bits
        self.source = np.empty((HEIGHT, WIDTH), np.float32) if through_float else None
        self.filtered = np.zeros((HEIGHT, WIDTH), np.float32)
        self.step = np.zeros((HEIGHT, WIDTH - 2), np.float32)

    def sum_of_squares(self, source, dx):
        cv2.Sobel(source, cv2.CV_32F, dx, 1 - dx, dst=self.filtered, ksize=3)
        return cv2.norm(self.filtered, cv2.NORM_L2SQR)

    def __call__(self, picture):
        mean, sd = cv2.meanStdDev(picture)
        cv2.minMaxLoc(picture)
        cv2.calcHist([picture], [0], None, [self.bins], [0, self.bins])
        source = picture
        if self.source is not None:
            np.copyto(self.source, picture)
            source = self.source
        tenengrad = (self.sum_of_squares(source, 1) + self.sum_of_squares(source, 0))
        cv2.Laplacian(source, cv2.CV_32F, dst=self.filtered, ksize=1)
        _, laplacian_sd = cv2.meanStdDev(self.filtered)
        cv2.subtract(source[:, 2:], source[:, :-2], dst=self.step, dtype=cv2.CV_32F)
        brenner = cv2.norm(self.step, cv2.NORM_L2SQR) / self.step.size
        return dict(mean=mean[0, 0], sd=sd[0, 0], brenner=brenner,
                    tenengrad=tenengrad / picture.size,
                    laplacian_variance=laplacian_sd[0, 0] ** 2)


def basic(picture):
    mean, sd = cv2.meanStdDev(picture)
    cv2.minMaxLoc(picture)
    cv2.countNonZero(picture)
    return mean, sd


def mfgs(picture):
    total = []
    for p in (picture, cv2.medianBlur(picture, 3)):
        right = cv2.absdiff(p[:-1, 1:], p[:-1, :-1])
        above = cv2.absdiff(p[1:, :-1], p[:-1, :-1])
        total.append(cv2.sumElems(right)[0] + cv2.sumElems(above)[0])
    g, gm = total
    return 2 * g * gm / (g * g + gm * gm)


class Sharpness:
    """By OpenCV's transform, window and masks made beforehand."""

    def __init__(self, side):
        n = np.arange(side)
        h = (0.5 - 0.5 * np.cos(2 * np.pi * n / side)).astype(np.float32)
        self.window = np.outer(h, h)
        self.u = (n - (side - 1) / 2).astype(np.float32)
        f = np.hypot(np.fft.fftfreq(side)[:, None], np.fft.fftfreq(side)[None, :])
        self.band = ((f >= 0.15 * FC) & (f <= min(0.6 * FC, 0.4))).astype(np.uint8)
        self.beyond = (f > FC).astype(np.uint8)
        self.beyond[0, :] = self.beyond[:, 0] = 0
        self.n_band = int(self.band.sum())
        self.scale = 1 / (side * side * float((self.window ** 2).sum()))

    def __call__(self, patch):
        c = patch.astype(np.float32)
        mean = cv2.mean(c)[0]
        norm = self.u.size * float(self.u @ self.u)
        c -= mean
        sx, sy = float(c.sum(axis=0) @ self.u) / norm, float(c.sum(axis=1) @ self.u) / norm
        c -= sx * self.u[None, :] + sy * self.u[:, None]
        c *= self.window
        bins = cv2.dft(c, flags=cv2.DFT_COMPLEX_OUTPUT)
        power = bins[..., 0] ** 2 + bins[..., 1] ** 2
        floor = cv2.mean(power, self.beyond)[0]
        band = cv2.mean(power, self.band)[0]
        return 100 * np.sqrt(max(band - floor, 0) * self.n_band * self.scale) / mean


def run_program(program, path, bits, rounds):
    out = subprocess.run([program, path, str(WIDTH), str(HEIGHT), str(bits), str(rounds)],
                         check=True, capture_output=True, text=True).stdout.splitlines()
    told = [json.loads(line) for line in out]
    return {t["name"]: t["value"] for t in told[:-1]}, told[-1]


def assert_same(got, expected, tolerance, what):
    if abs(got - expected) > tolerance * abs(expected):
        sys.exit(f"bench-measure: {what}: {got} and {expected} are not the same figure")


def bench(program, bits, rounds):
    picture = scene(bits)
    y, x = (HEIGHT - 256) // 2, (WIDTH - 256) // 2
    # Our rows count from the bottom, and the window begins there.
    patch = np.ascontiguousarray(picture[y:y + 256, x:x + 256][::-1])
    sharp, copy = Sharpness(256), np.empty_like(picture)
    references = {
        "figures": [lambda f=f: f(picture)
                    for f in (Figures(bits, False), Figures(bits, True))],
        "basic": [lambda: basic(picture)],
        "mfgs": [lambda: mfgs(picture)],
        "sharpness-256": [lambda: sharp(patch)],
        "pack": [lambda: np.copyto(copy, picture)],
    }
    ours, theirs, answers = {}, {}, {}
    with tempfile.NamedTemporaryFile(suffix=".raw") as f:
        f.write(picture.tobytes())
        f.flush()
        for _ in range(rounds):
            times, told = run_program(program, f.name, bits, 5)
            for name, value in times.items():
                ours[name] = min(ours.get(name, np.inf), value)
            for name, calls in references.items():
                for call in calls:
                    value, answers[name] = best(call, 5)
                    theirs[name] = min(theirs.get(name, np.inf), value)

    for key, value in answers["figures"].items():
        assert_same(told[key], value, 0.01, key)   # their edges are padded
    assert_same(told["sharpness"], answers["sharpness-256"], 0.001, "sharpness")

    return [dict(name=f"{name}-{bits}bit", value=ours[name], unit="ms", reference=theirs[name],
                 ratio=theirs[name] / ours[name]) for name in ours]


def bench_drift(program, rounds):
    """A frame of a picture that drifts by a pixel from frame to frame, as at 50
    frames a second, beside the phase correlation of the largest centred square
    of a power of two with the frame before."""
    frames, step, side = 300, 1, 1024
    rng = np.random.default_rng(4)
    wide = cv2.GaussianBlur(rng.standard_normal((HEIGHT, WIDTH + frames)), (0, 0), 3)
    wide = 2000 * (1 + 0.02 * wide / wide.std()) + 20 * rng.standard_normal(wide.shape)
    wide = np.clip(wide, 0, 4095).astype(np.uint16)
    window = cv2.createHanningWindow((side, side), cv2.CV_32F)
    y, x = (HEIGHT - side) // 2, (WIDTH - side) // 2
    before = wide[y:y + side, x:x + side].astype(np.float32)
    after = np.ascontiguousarray(wide[y:y + side, x + 8:x + 8 + side])

    def reference():
        return cv2.phaseCorrelate(before, after.astype(np.float32), window)

    ours = theirs = np.inf
    with tempfile.NamedTemporaryFile(suffix=".raw") as f:
        f.write(wide.tobytes())
        f.flush()
        for _ in range(rounds):
            told = json.loads(subprocess.run(
                [program, f.name, str(WIDTH + frames), str(WIDTH), str(HEIGHT), str(step),
                 str(frames)], check=True, capture_output=True, text=True).stdout)
            ours = min(ours, told["value"])
            value, answer = best(reference, 5)
            theirs = min(theirs, value)
    assert_same(told["step"], step, 0.002, "drift")
    assert_same(-answer[0][0], 8, 0.02, "drift of the reference")

    return [dict(name="drift-12bit", value=ours, unit="ms", reference=theirs,
                 ratio=theirs / ours)]


RADIUS, CENTRE = 3272.0, (-2311.0, 640.0)    # pixels; a fifth of the Sun's width in view


def limb_scene():
    """The limb, darkened (mu^0.5), blurred, with granules and noise; seeded."""
    rng = np.random.default_rng(4)
    y, x = np.mgrid[HEIGHT:0:-1, 1:WIDTH + 1].astype(np.float32)
    share = 1 - ((x - CENTRE[0]) ** 2 + (y - CENTRE[1]) ** 2) / RADIUS ** 2
    light = np.where(share > 0, 0.25 + 0.75 * np.clip(share, 0, 1) ** 0.25, 0).astype(np.float32)
    granules = cv2.GaussianBlur(rng.standard_normal((HEIGHT, WIDTH)).astype(np.float32), (0, 0), 2)
    light = cv2.GaussianBlur(light, (0, 0), 2) * (1 + 0.04 * granules / granules.std())
    noisy = 3000 * light + 12 * rng.standard_normal(light.shape)
    return np.clip(np.rint(noisy), 0, 4095).astype(np.uint16)


def fit_circle(picture):
    """Edges by OpenCV, of these the last one in each row (it is told on which
    side the disc lies), and the algebraic circle through them by numpy (Kasa
    1976, IEEE Transactions on Instrumentation and Measurement 25, 8)."""
    grey = cv2.convertScaleAbs(picture, alpha=255 / 4095)
    edges = cv2.Canny(cv2.GaussianBlur(grey, (0, 0), 2), 20, 40)
    rows = np.nonzero(edges.any(axis=1))[0]
    x = (WIDTH - np.argmax(edges[rows, ::-1], axis=1)).astype(float)
    y = (HEIGHT - rows).astype(float)
    a = np.linalg.lstsq(np.stack([x, y, np.ones_like(x)], axis=1), x * x + y * y, rcond=None)[0]
    return a[0] / 2, a[1] / 2


def bench_limb(build, rounds):
    picture = limb_scene()
    program = os.path.join(build, "tests/benches/measure/bench-limb")
    ours = theirs = np.inf
    with tempfile.NamedTemporaryFile(suffix=".raw") as f:
        f.write(picture.tobytes())
        f.flush()
        for _ in range(rounds):
            out = subprocess.run([program, f.name, str(WIDTH), str(HEIGHT), str(RADIUS), "5"],
                                 check=True, capture_output=True, text=True).stdout
            told = json.loads(out)
            ours = min(ours, told["value"])
            value, centre = best(lambda: fit_circle(picture), 5)
            theirs = min(theirs, value)
    for name, (x, y) in (("limb", (told["x"], told["y"])), ("limb, reference", centre)):
        if np.hypot(x - CENTRE[0], y - CENTRE[1]) > 0.02 * RADIUS:
            sys.exit(f"bench-measure: {name}: a centre of {x}, {y}, wanted {CENTRE}")
    return [dict(name="limb-12bit", value=ours, unit="ms", reference=theirs, ratio=theirs / ours)]


def main():
    program = os.path.join(sys.argv[1], "tests/benches/measure/bench-measure")
    rounds = int(sys.argv[2]) if len(sys.argv) > 2 else 5
    stages = []
    for bits in (8, 12, 16):
        stages += bench(program, bits, rounds)
    stages += bench_drift(os.path.join(sys.argv[1], "tests/benches/measure/bench-drift"), rounds)
    stages += bench_limb(sys.argv[1], rounds)
    print(json.dumps(dict(stages=stages), indent=2))


main()
