#!/usr/bin/python3
# sun-golden.py: where the golden rows of test-sun.c come from
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Prints the table of tests/optics/test-sun.c. Made with Debian 12's
# sunpy 4.1.2, astropy 5.2.1 and pyerfa 2.0.0.1, DUT1 0; with --dut1, for
# tests/cli/check_sun.py, DUT1 from the table IERS-B that astropy brings.
import sys
import warnings

import astropy.units as u
from astropy.coordinates import AltAz, EarthLocation, SkyCoord, TETE, get_sun
from astropy.time import Time
from astropy.utils import iers
from sunpy.coordinates import sun

warnings.simplefilter("ignore")
iers.conf.auto_download = False
iers.conf.iers_degraded_accuracy = "ignore"

SITES = [
    (51.4779, 0.0, 47, "2013-06-21 12:00"),
    (28.7597, -17.8806, 2360, "2014-09-23 09:30"),
    (31.9583, -111.5967, 2096, "2017-08-21 17:30"),
    (40.0150, -105.2705, 1650, "2020-12-21 19:00"),
    (-33.8688, 151.2093, 40, "2019-12-22 02:00"),
    (24.6046, 73.6742, 740, "2016-05-09 06:00"),
    (35.6762, 139.6503, 40, "2021-03-20 05:00"),
    (69.6496, 18.9560, 100, "2018-06-21 22:30"),
    (-0.2000, -78.5000, 2818, "2020-03-20 17:00"),
    (-33.9344, 18.4777, 18, "2022-07-04 07:15"),
]

for lat, lon, height, when in SITES:
    site = EarthLocation(lat=lat * u.deg, lon=lon * u.deg, height=height * u.m)
    time = Time(when, scale="utc", location=site)
    if "--dut1" not in sys.argv:
        time.delta_ut1_utc = 0
    place = get_sun(time).transform_to(TETE(obstime=time))
    where = get_sun(time).transform_to(AltAz(obstime=time, location=site))
    zenith = SkyCoord(AltAz(az=0 * u.deg, alt=90 * u.deg, distance=1e3 * u.AU, obstime=time,
                            location=site)).transform_to(place)
    angle = SkyCoord(place).position_angle(zenith).wrap_at(180 * u.deg)
    print(f'  {{ "{when}", {lat}, {lon}, {height}, {place.ra.deg:.5f}, {place.dec.deg:.5f}, '
          f"{sun.earth_distance(time).to_value(u.AU):.6f}, "
          f"{sun.angular_radius(time).to_value(u.arcsec):.2f}, "
          f"{where.alt.deg:.4f}, {where.az.deg:.4f}, {angle.deg:.3f}, "
          f"{sun.P(time).deg:.4f}, {sun.B0(time).deg:.4f}, {sun.L0(time).deg:.4f}, "
          f"{sun.carrington_rotation_number(time):.5f} }},")
