# sim_tap.py: what the scripts about the simulated Sun share
# SPDX-License-Identifier: GPL-3.0-or-later
import subprocess
import sys

import numpy as np

PROBE = sys.argv[1] if len(sys.argv) > 1 else './sim-probe'
results = []


def ok(good, name, note=''):
    results.append(bool(good))
    print(f"{'ok' if good else 'not ok'} {len(results)} {name}{'  # ' + note if note else ''}",
          flush=True)


def close(got, wanted, tolerance, name):
    ok(abs(got - wanted) <= tolerance, name, f'{got:.5g}, wanted {wanted:.5g} ± {tolerance:.2g}')


def finish():
    print(f'1..{len(results)}')
    sys.exit(0 if all(results) else 1)


def probe(*arguments):
    return subprocess.run([PROBE, *map(str, arguments)], check=True,
                          stdout=subprocess.PIPE).stdout


def numbers(*arguments):
    return np.array([[float(word) for word in line.split()]
                     for line in probe(*arguments).decode().splitlines()])


def frames(name, n, rig='-', exposure_ms='=', gain_db='=', focus_um='='):
    """Frames as float arrays, row 0 on top, and their truth."""
    data = probe('frames', name, n, rig, exposure_ms, gain_db, focus_um)
    pictures, truths, place = [], [], 0
    keys = 'width height bits x y r0_mm defocus_um strehl transparency exposure_ms'.split()
    for _ in range(n):
        end = data.index(b'\n', place)
        truth = dict(zip(keys, map(float, data[place:end].split())))
        size = int(truth['width'] * truth['height'])
        kind = np.uint8 if truth['bits'] == 8 else np.dtype('<u2')
        pictures.append(np.frombuffer(data, kind, size, end + 1)
                        .reshape(int(truth['height']), int(truth['width'])).astype(float))
        truths.append(truth)
        place = end + 1 + size * np.dtype(kind).itemsize
    return pictures, truths
