# sim_air.py: the simulated air against Kolmogorov's theory
# SPDX-License-Identifier: GPL-3.0-or-later
import numpy as np
from scipy import integrate, special

from sim_tap import close, finish, numbers, ok

SEEDS = 12
WAVELENGTH = 540e-9
ARCSEC = np.pi / 648000


def expected(aperture, outer_scale, slowest=0.0):
    """One axis' variance of Zernike tilt for r0 = aperture, arcsec²: the phase
    power of Noll 1976 (JOSA 66, 207) with von Kármán's outer scale, through
    the tilt's response (Noll's equation 8), from the slowest wave on."""
    def share(f):
        power = 0.02290 * aperture ** (-5 / 3) * (f * f + outer_scale ** -2) ** (-11 / 6)
        z = np.pi * f * aperture
        response = 4 * special.jv(2, z) / z
        return power * response ** 2 * 0.5 * 2 * np.pi * f
    edges = np.geomspace(max(slowest, 1e-9), 200 / aperture, 80)
    total = sum(integrate.quad(share, a, b)[0] for a, b in zip(edges, edges[1:]))
    return total * (4 / aperture * WAVELENGTH / (2 * np.pi) / ARCSEC) ** 2


def coefficient(variance, aperture):
    """c of variance = c λ² r0^(−5/3) D^(−1/3), here with r0 = D."""
    return variance * ARCSEC ** 2 / WAVELENGTH ** 2 * aperture ** 2


# The integral itself against the published number: 0.1819 for Zernike tilt
# (0.364 for both axes; Noll's 0.582 − ... as 0.4489 rad² an axis).
close(coefficient(expected(0.1, 1e9), 0.1), 0.1819, 0.0010, 'reference gives 0.1819')

for aperture in (0.06, 0.102, 0.15):
    rows = numbers('motion', aperture, WAVELENGTH, 1e9, SEEDS, 400)
    each = rows.mean(axis=1)
    got = coefficient(each.mean(), aperture)
    error = coefficient(each.std(ddof=1) / np.sqrt(SEEDS), aperture)
    # Waves slower than the screen's last level are not there: their share is
    # the theory's own.
    slowest = 24 / (1024 * aperture) / 3 ** 6
    wanted = coefficient(expected(aperture, 1e9, slowest / 2), aperture)
    close(got, wanted, 3 * error, f'image motion, {aperture * 1e3:.0f} mm')
    ok(error < 0.012, f'sampling error is small, {aperture * 1e3:.0f} mm', f'{error:.4f}')
    close(got, 0.1819, 3 * error + 0.008, f'near 0.182 without an outer scale, {aperture * 1e3:.0f} mm')
    ok(abs(rows[:, 0].mean() / rows[:, 1].mean() - 1) < 0.35, 'both axes alike',
       f'{rows[:, 0].mean() / rows[:, 1].mean():.2f}')

# With an outer scale there is less motion, by as much as theory says.
rows = numbers('motion', 0.102, WAVELENGTH, 20, SEEDS, 400)
each = rows.mean(axis=1)
error = each.std(ddof=1) / np.sqrt(SEEDS)
close(each.mean(), expected(0.102, 20), 3 * error, 'outer scale 20 m')

# What is left without the tilt: 0.134 (D/r0)^(5/3) rad², Noll 1976, Table IV
# (0.1347 computed). The screen's steps of D/24 lose a little.
rows = numbers('wavefront', 0.2685, SEEDS, 60)
error = rows.std(ddof=1) / np.sqrt(SEEDS)
close(rows.mean(), 0.1347, 3 * error + 0.006, 'wavefront without tilt')
finish()
