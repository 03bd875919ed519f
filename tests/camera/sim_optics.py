# sim_optics.py: the simulated Sun's transfer functions against theory
# SPDX-License-Identifier: GPL-3.0-or-later
# References are integrals by SciPy (1.10.1), not the simulator's way.
import numpy as np
from scipy import integrate, special

from sim_tap import close, finish, ok, probe

TILE = 256



def read(cutoff, obstruction=0.0, pixel=0.0, waves=0.0):
    lines = probe('transfer', cutoff, obstruction, pixel, waves, TILE).decode().split('\n')
    values = np.array([[float(w) for w in line.split()] for line in lines[1:] if line])
    return float(lines[0]), values[:, 0] + 1j * values[:, 1]


def airy_mtf(nu):
    """The circular aperture's by way of its point spread: the Hankel transform
    of (2 J1(x)/x)², here its closed form."""
    nu = np.clip(nu, 0, 1)
    return 2 / np.pi * (np.arccos(nu) - nu * np.sqrt(1 - nu ** 2))


def airy_mtf_hankel(nu):
    """The same from J1 by integration, as a check on the check."""
    x = np.linspace(1e-6, 4000, 4_000_001)
    spread = (2 * special.j1(x) / x) ** 2
    return integrate.trapezoid(spread * special.j0(2 * nu * x) * x, x) / \
        integrate.trapezoid(spread * x, x)


def overlap(r1, r2, d):
    """Area common to two circles."""
    if d >= r1 + r2:
        return 0.0
    if d <= abs(r1 - r2):
        return np.pi * min(r1, r2) ** 2
    a = r1 * r1 * np.arccos((d * d + r1 * r1 - r2 * r2) / (2 * d * r1))
    b = r2 * r2 * np.arccos((d * d + r2 * r2 - r1 * r1) / (2 * d * r2))
    c = 0.5 * np.sqrt((-d + r1 + r2) * (d + r1 - r2) * (d - r1 + r2) * (d + r1 + r2))
    return a + b - c


def annulus_mtf(nu, e):
    d = 2 * nu
    return (overlap(1, 1, d) - 2 * overlap(1, e, d) + overlap(e, e, d)) / (np.pi * (1 - e * e))


def defocused(nu, waves):
    """Hopkins 1955, Proc. R. Soc. A 231, 91, as one integral over the lens in
    which the pupil and its shifted self overlap."""
    def strip(x):
        return 2 * np.sqrt(max(1 - (abs(x) + nu) ** 2, 0)) * np.cos(8 * np.pi * waves * nu * x)
    return 2 * integrate.quad(strip, 0, 1 - nu, limit=400)[0] / np.pi


for nu in (0.1, 0.35, 0.6):
    close(airy_mtf_hankel(nu), float(airy_mtf(nu)), 2e-3, f'reference agrees with J1 at {nu}')

for cutoff in (0.45, 0.2685, 0.11, 0.06):
    nu = np.arange(TILE // 2 + 1) / TILE / cutoff
    _, otf = read(cutoff)
    ok(np.all(np.abs(otf - airy_mtf(nu)) < 4e-3), f'diffraction, cut-off {cutoff}',
       f'worst {np.abs(otf - airy_mtf(nu)).max():.1e}')
    ok(np.all(np.abs(otf[nu > 1 + 2 / (TILE * cutoff)]) < 1e-4), f'nothing beyond cut-off {cutoff}')

for obstruction in (0.2, 0.344):
    nu = np.arange(TILE // 2 + 1) / TILE / 0.2685
    _, otf = read(0.2685, obstruction)
    reference = np.array([annulus_mtf(n, obstruction) if n < 1 else 0 for n in nu])
    ok(np.all(np.abs(otf - reference) < 5e-3), f'obstruction {obstruction}',
       f'worst {np.abs(otf - reference).max():.1e}')

for waves in (0.125, 0.25, 0.5, 1.0, 2.0):
    nu = np.arange(TILE // 2 + 1) / TILE / 0.2685
    strehl, otf = read(0.2685, 0, 0, waves)
    reference = np.array([defocused(n, waves) if n < 1 else 0 for n in nu])
    ok(np.all(np.abs(otf - reference) < 6e-3), f'defocus of {waves} waves',
       f'worst {np.abs(otf - reference).max():.1e}')
    # Born & Wolf, section 8.8: sinc² of a quarter turn a wave, on the axis;
    # beyond half a wave the peak leaves the axis' sample.
    if waves <= 0.5:
        close(strehl, np.sinc(waves) ** 2, 0.01, f'Strehl ratio at {waves} waves')

_, plain = read(0.3)
_, pixel = read(0.3, 0, 1.0)
f = np.arange(TILE // 2 + 1) / TILE
ok(np.allclose(pixel, plain * np.sinc(f), atol=1e-5), 'the pixel averages: sinc')
finish()
