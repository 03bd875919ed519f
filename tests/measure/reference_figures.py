#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The golden values of test-figures.c, made again with OpenCV and numpy.

Written with Debian 12's OpenCV 4.6.0 and numpy 1.24. Prints TAP.
"""
import cv2
import numpy as np

y, x = np.mgrid[0:16, 0:16]
picture = ((7 * x + 13 * y + 9 * ((x * y) % 5)) % 64 + 100).astype(np.uint16)
c = picture.astype(np.float64)

laplacian = cv2.Laplacian(c, cv2.CV_64F, ksize=1)[1:-1, 1:-1]
gx = cv2.Sobel(c, cv2.CV_64F, 1, 0, ksize=3)[1:-1, 1:-1]
gy = cv2.Sobel(c, cv2.CV_64F, 0, 1, ksize=3)[1:-1, 1:-1]
median = cv2.medianBlur(picture, 3).astype(np.float64)   # replicates the edge


def gradient_sum(p):
    return (np.abs(p[:-1, 1:] - p[:-1, :-1]) + np.abs(p[1:, :-1] - p[:-1, :-1])).sum()


g, gm = gradient_sum(c), gradient_sum(median)
checks = [
    ("sum", c.sum(), 33448),
    ("variance", c.var(), 331.2880859),
    ("laplacian variance", laplacian.var(), 6916.630987),
    ("tenengrad", (gx * gx + gy * gy).mean(), 7312.061224),
    ("brenner sum", ((c[:, 2:] - c[:, :-2]) ** 2).sum(), 149192),
    ("mfgs G", g, 9498),
    ("mfgs Gm", gm, 2958),
    ("mfgs", 2 * g * gm / (g * g + gm * gm), 0.567796727),
    ("pixels at or above 163", (c >= 163).sum(), 6),
]
print(f"1..{len(checks)}")
for i, (name, got, expected) in enumerate(checks, 1):
    good = abs(got - expected) <= 1e-9 * abs(expected)
    print(f"{'ok' if good else 'not ok'} {i} - {name}: {got!r}")
