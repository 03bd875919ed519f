#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The limb fit on the simulated Sun, whose truth comes with each frame.

limb_sim.py LIMB_SIM [table]: TAP, or with "table" the figures of
docs/measured.md. Neither side uses anything of the other.
"""
import json
import math
import os
import subprocess
import sys

import numpy as np

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), '..', 'house'))
from tap import Tap  # noqa: E402

# The simulated day is one at 1 au: asin (695700 km / 1 au), IAU 2015 B3.
SEMIDIAMETER = math.degrees(math.asin(695700 / 149597870.7)) * 3600
# The demo rig: 102 mm f/10 with an amplifier x2, 2.9 um.
SCALE = math.degrees(2.9e-6 / 2.040) * 3600
RADIUS = SEMIDIAMETER / SCALE
# The simulator's limb target: the western limb, 12 degrees north of west; the
# demo rig's wedge mirrors, so that west is to the left.
ANGLE = math.radians(12)


def run(settings, frames, target='limb', radius=RADIUS):
    name = f'sim:paced=no,{settings}' + (f',target={target}' if target else '')
    out = subprocess.run([sys.argv[1], name, repr(radius), '0', str(frames), '-'],
                         check=True, capture_output=True, text=True).stdout
    return [json.loads(line) for line in out.splitlines()]


def miss_of(frame):
    x = (frame['width'] + 1) / 2 + RADIUS * math.cos(ANGLE) + frame['shift_x']
    y = (frame['height'] + 1) / 2 - RADIUS * math.sin(ANGLE) + frame['shift_y']
    return math.hypot(frame['x'] - x, frame['y'] - y)


def summarise(frames):
    seen = [f for f in frames if f['seen']]
    misses = np.array([miss_of(f) for f in seen])
    pulls = misses / np.array([f['error'] for f in seen])
    return len(seen), misses / RADIUS, pulls, np.array([f['arc'] for f in seen])


# Settings, least share seen, how far the centre may be off, of the radius.
# 540 rows are 9.5 degrees of arc, 1096 are 19.5, 2200 are 39.6.
CASES = [
    ('width=700,height=571,r0_mm=40,seed=1', 1.0, 0.02),
    ('width=700,height=571,r0_mm=40,seed=2', 1.0, 0.02),
    ('width=700,height=571,r0_mm=20,seed=3', 1.0, 0.02),
    ('width=1936,height=1096,r0_mm=40,seed=1', 1.0, 0.01),
    ('width=1936,height=1096,r0_mm=20,seed=4,dust=yes', 1.0, 0.01),
    ('width=1400,height=1096,r0_mm=40,seed=5,clouds=0.7', 0.5, 0.01),
    ('width=1400,height=1096,r0_mm=40,seed=6,clouds=0.9', 0.0, 0.01),
    ('width=1400,height=1096,r0_mm=40,seed=7,pattern=grbg', 1.0, 0.01),
    ('width=1400,height=1096,r0_mm=70,seed=8,defocus_um=4000', 1.0, 0.02),
    ('width=1200,height=2225,r0_mm=40,seed=9', 1.0, 0.003),
]
QUIET = ['width=1000,height=600,target=quiet', 'width=1000,height=600,target=quiet,clouds=0.8,seed=3',
         'width=1000,height=600,target=quiet,clouds=1,seed=4',
         'width=1936,height=1096,target=spot,dust=yes', 'width=1000,height=600,target=quiet,level=300']


def check(tap):
    pulls = []
    for settings, share, limit in CASES:
        frames = run(settings, 2)
        seen, misses, pull, arcs = summarise(frames)
        pulls += list(pull)
        worst = max(misses) if seen else 0.0
        tap.check(seen >= share * len(frames) and worst < limit,
                  f'{settings}: {seen} of {len(frames)} seen, centre within {worst:.2g} of the '
                  f'radius (limit {limit})', *frames)
    spread = np.sqrt(np.mean(np.square(pulls)))
    tap.check(0.3 < spread < 2.0, f'errors are honest: misses are {spread:.2f} of the error told', pulls)
    for i, settings in enumerate(QUIET):
        radius = (RADIUS, 900.0, 12000.0)[i % 3]
        frames = run(settings, 1, None, radius)
        tap.check(not any(f['seen'] for f in frames),
                  f'{settings}, radius {radius:.0f}: no limb seen', *frames)


def print_table():
    for size in ('width=700,height=571', 'width=1936,height=1096', 'width=1200,height=2225'):
        for r0 in (40, 20):
            frames = []
            for seed in range(1, 7):
                frames += run(f'{size},r0_mm={r0},seed={seed}', 1)
            seen, misses, pulls, arcs = summarise(frames)
            print(f'{size} r0 {r0} mm: arc {np.mean(arcs):.1f}°, {seen} of {len(frames)} seen, miss rms '
                  f'{100 * np.sqrt(np.mean(misses ** 2)):.3f} %, worst {100 * max(misses):.3f} %, '
                  f'miss/error {np.sqrt(np.mean(pulls ** 2)):.2f}', flush=True)
    for clouds in (0.8, 0.9):
        frames = []
        for seed in range(1, 7):
            frames += run(f'width=1936,height=1096,r0_mm=40,clouds={clouds},seed={seed}', 1)
        seen, misses, pulls, _ = summarise(frames)
        worst = 100 * max(misses) if seen else 0
        print(f'clouds {clouds}: {seen} of {len(frames)} seen, worst {worst:.3f} %', flush=True)


def main():
    if len(sys.argv) > 2:
        print_table()
        return 0
    tap = Tap()
    check(tap)
    return tap.done()


sys.exit(main())
