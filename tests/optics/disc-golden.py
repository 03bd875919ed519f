#!/usr/bin/python3
# disc-golden.py: where the golden rows of test-disc.c come from
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Prints the table of tests/optics/test-disc.c: seeded dates and places, seen
# from the Earth's centre. Made with Debian 12's sunpy 4.1.2, astropy 5.2.1.
# The sphere is given sunpy's radius, 695700 km, by hand.
import warnings

import astropy.units as u
import numpy as np
from astropy.coordinates import SkyCoord
from astropy.time import Time
from astropy.utils import iers
from sunpy.coordinates import frames, get_earth

warnings.simplefilter("ignore")
iers.conf.auto_download = False
iers.conf.iers_degraded_accuracy = "ignore"

R_SUN = 695700 * u.km
random = np.random.default_rng(20260812)

for i in range(24):
    when = Time(f"{random.integers(1996, 2027)}-01-01") + random.uniform(0, 365) * u.day
    when = Time(when.strftime("%Y-%m-%dT%H:%M:00"))
    lat = np.degrees(np.arcsin(random.uniform(-1, 1)))
    lon = random.uniform(-180, 180) if i % 4 == 0 else random.uniform(-88, 88)
    earth = get_earth(when)
    point = SkyCoord(lon * u.deg, lat * u.deg, R_SUN, frame=frames.HeliographicStonyhurst,
                     obstime=when)
    seen = point.transform_to(frames.Helioprojective(obstime=when, observer=earth))
    carrington = point.transform_to(frames.HeliographicCarrington(obstime=when, observer=earth))
    # Cosine between the vertical and the line of sight, from the vectors.
    vertical = point.cartesian / R_SUN
    sight = earth.cartesian - point.cartesian
    mu = (vertical.dot(sight) / sight.norm()).to_value(u.one)
    print(f'  {{ "{when.strftime("%Y-%m-%d %H:%M")}", {lat:.6f}, {lon:.6f}, '
          f"{seen.Tx.to_value(u.arcsec):.4f}, {seen.Ty.to_value(u.arcsec):.4f}, {mu:.7f}, "
          f"{carrington.lon.to_value(u.deg):.4f} }},")
