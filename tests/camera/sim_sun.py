# sim_sun.py: the simulated Sun against what is published of the real one
# SPDX-License-Identifier: GPL-3.0-or-later
import os
import tempfile
import warnings

import numpy as np
from astropy.coordinates import get_sun
from astropy.time import Time
from astropy.utils import iers

from sim_tap import close, finish, frames, numbers, ok, probe

# The simulated day: the Sun is at 1 au, and drifts by the cosine of its
# declination. From astropy (5.2.1).
iers.conf.auto_download = False
with warnings.catch_warnings():
    warnings.simplefilter('ignore')
    sun = get_sun(Time('2026-04-04T12:00:00'))
close(sun.distance.au, 1, 2e-4, 'the simulated day is at 1 au')
close(np.cos(sun.dec.rad), 0.99513, 5e-5, 'the rate of the drift')

# Neckel & Labs 1994, Solar Physics 153, 91, Table I, 541.76 nm, evaluated.
published = {.9: .9459, .8: .8897, .6: .7690, .4: .6340, .2: .4738, .1: .3765}
got = numbers('limb', 541.76, *published)[:, 0]
for (mu, wanted), value in zip(published.items(), got):
    close(value, wanted, 6e-5, f'limb darkening at 541.76 nm, μ = {mu}')
close(numbers('limb', 541.76, 1)[0, 0], 1, 1e-4, 'the centre is 1')
# Neckel 2005, Solar Physics 229, 13, for any wavelength: within 1 % of the
# rows where both apply, so that nothing jumps where one gives way to the other.
for mu in (.9, .5, .3):
    low, high = numbers('limb', 519.9, mu)[0, 0], numbers('limb', 519.95, mu)[0, 0]
    close(low, high, 0.01, f'rows and formula meet at 519.93 nm, μ = {mu}')

# Granulation: Wedemeyer-Böhm & Rouppe van der Voort 2009, A&A 503, 225: rms
# contrast without the telescope's blur, and as the 0.5 m space telescope shows.
STEP, SIZE = 0.05, 1600
frequency = np.fft.fftfreq(SIZE, STEP)
radius = np.hypot(*np.meshgrid(frequency, frequency))
true, seen, spacing = [], [], []
for seed in (1, 2, 3):
    light = np.frombuffer(probe('granules', 555, STEP, SIZE, SIZE, seed), np.float32)
    light = light.reshape(SIZE, SIZE).astype(float)
    nu = np.clip(radius * 555e-9 * 648000 / np.pi / 0.5, 0, 1)
    mtf = 2 / np.pi * (np.arccos(nu) - nu * np.sqrt(1 - nu ** 2))
    power = np.abs(np.fft.fft2(light)) ** 2 / SIZE ** 4
    true.append(light.std())
    seen.append(np.sqrt((power * mtf ** 2).sum()))
    # Cells show as a peak of (frequency × power) behind the aperture.
    bins = np.arange(0.2, 2.0, 0.05)
    ring = np.array([(power * mtf ** 2)[(radius >= b) & (radius < b + 0.05)].sum() for b in bins])
    spacing.append(1 / (bins[ring.argmax()] + 0.025))
close(100 * np.mean(true), 19.4, 1.4, 'granulation at 555 nm without an aperture, %')
close(100 * np.mean(seen), 8.3, 0.4, 'granulation at 555 nm behind 0.5 m, %')
# Spacing of granules: 1.3 to 1.5 arcsec (from memory).
ok(1.15 < np.mean(spacing) < 1.75, 'granules are as far apart as real ones',
   f'{np.mean(spacing):.2f} arcsec')
for nm, wanted, tolerance in ((450, 26.7, 1.3), (668, 16.6, 0.7)):
    light = np.frombuffer(probe('granules', nm, STEP, SIZE, SIZE, 1), np.float32)
    close(100 * light.std(), wanted, tolerance, f'granulation at {nm} nm without an aperture, %')

# No repeats: a shifted copy of itself is nowhere in the texture.
light = np.frombuffer(probe('granules', 540, 0.2932, 1200, 900, 1), np.float32).reshape(900, 1200)
spectrum = np.fft.rfft2(light)
echo = np.fft.irfft2(np.abs(spectrum) ** 2)
echo /= echo[0, 0]
yy, xx = np.indices(echo.shape)
away = np.hypot(np.minimum(yy, 900 - yy), np.minimum(xx, 1200 - xx)) > 15
ok(np.abs(echo[away]).max() < 0.04, 'granulation never repeats', f'{np.abs(echo[away]).max():.3f}')

RIG = '''[rig]
name=Half metre
[element 1]
kind=objective
type=mirror
aperture_mm=500
focal_length_mm=5500
[element 2]
kind=front-filter
material=glass
density=3.8
[element 3]
kind=amplifier
factor=2
[element 4]
kind=bandpass
centre_nm=555
width_nm=1
[element 5]
kind=camera
pixel_um=2.9
columns=512
rows=512
bits=14
'''
with tempfile.TemporaryDirectory() as folder:
    rig = os.path.join(folder, 'half-metre.rig')
    with open(rig, 'w') as file:
        file.write(RIG)
    # The whole way, scene to counts, in air so still that it does nothing.
    contrast = []
    for seed in (1, 2, 3):
        pictures, truths = frames(f'sim:noise=no,target=quiet,r0_mm=1000000,'
                                  f'seed={seed}', 1, rig)
        signal = pictures[0] - 256   # the black level of 14 bits
        contrast.append(100 * signal.std() / signal.mean())
    close(np.mean(contrast), 8.3, 0.4, 'frames of a 0.5 m rig at 555 nm, contrast in %')
    close(truths[0]['strehl'], 1, 0.01, 'still air leaves the optics perfect')

# The limb: where the Sun ends, and what the profile is inside.
pictures, truths = frames('sim:noise=no,target=limb,r0_mm=1000000,level=30', 1)
picture = pictures[0] - 64
height, width = picture.shape
scale = 206.264806 * 2.9 / 2040
x = -(np.arange(width) - (width - 1) / 2) * scale        # one reflection: west is left
y = -(np.arange(height) - (height - 1) / 2) * scale
centre = 959.23 * np.array([np.cos(np.radians(12)), np.sin(np.radians(12))])
r = np.hypot(*np.meshgrid(x + centre[0] - truths[0]['x'] * -scale,
                          y + centre[1] - truths[0]['y'] * scale))
edges = np.arange(940, 980, 0.5)
profile = np.array([picture[(r >= a) & (r < a + 0.5)].mean() for a in edges])
steepest = edges[np.argmin(np.gradient(profile))] + 0.25
close(steepest, 959.23, 0.8, 'the limb lies at the semidiameter, arcsec')
inside = [(a, picture[(r >= a) & (r < a + 4)].mean()) for a in (720, 760, 800, 860, 900, 930)]
mu = [np.sqrt(1 - ((a + 2) / 959.23) ** 2) for a, _ in inside]
# The demo rig's filter is at 540 nm.
wanted = numbers('limb', 540, *mu)[:, 0]
ratio = np.array([v for _, v in inside]) / wanted
ok(np.ptp(ratio) / ratio.mean() < 0.03, 'the disc darkens as published',
   f'{np.ptp(ratio) / ratio.mean():.3f}')
ok(picture[(r > 975)].mean() / picture[(r > 720) & (r < 730)].mean() < 0.02, 'the sky is dark',
   f'{picture[(r > 975)].mean() / picture[(r > 720) & (r < 730)].mean():.4f}')
finish()
