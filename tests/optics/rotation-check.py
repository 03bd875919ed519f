#!/usr/bin/python3
# rotation-check.py TEST-ROTATION: places carried over days against sunpy's
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Prints TAP. sunpy's RotatedSunFrame turns a feature by Howard's rates in
# inertial space and looks at it from the Earth of the later day; ours goes by
# Carrington longitudes and L0.
import subprocess
import sys
import types
import warnings

import astropy.units as u
import numpy as np
from astropy.coordinates import SkyCoord
from astropy.time import Time
from astropy.utils import iers
from sunpy.coordinates import RotatedSunFrame, frames, transform_with_sun_center

warnings.simplefilter("ignore")
iers.conf.auto_download = False
iers.conf.iers_degraded_accuracy = "ignore"

# differential_rotation.py imports the maps, and these a plotting library;
# neither is needed here.
for module, names in (
    ("sunpy.map", ("GenericMap", "contains_full_disk", "coordinate_is_on_solar_disk",
                   "is_all_off_disk", "is_all_on_disk", "map_edges",
                   "on_disk_bounding_coordinates")),
    ("sunpy.map.header_helper", ("get_observer_meta",)),
):
    sys.modules[module] = types.ModuleType(module)
    for name in names:
        setattr(sys.modules[module], name, object)


def main():
    out = subprocess.run([sys.argv[1], "--print"], check=True, capture_output=True, text=True)
    worst = 0
    rows = [[float(n) for n in line.split()] for line in out.stdout.splitlines()]
    for seconds, latitude, longitude, hours, ours in rows:
        then = Time(seconds, format="unix", scale="utc")
        base = SkyCoord(longitude * u.deg, latitude * u.deg, 695700 * u.km,
                        frame=frames.HeliographicStonyhurst, obstime=then)
        turned = SkyCoord(RotatedSunFrame(base=base.frame, duration=hours * u.hour))
        later = frames.HeliographicStonyhurst(obstime=then + hours * u.hour)
        with transform_with_sun_center():   # the point goes along with the Sun
            theirs = turned.transform_to(later)
        off = (theirs.lon.to_value(u.deg) - ours + 180) % 360 - 180
        worst = max(worst, abs(off), abs(theirs.lat.to_value(u.deg) - latitude))
    print("1..1")
    print(f"# {len(rows)} places, up to ten days: worst {worst:.5f} deg")
    print("ok" if rows and worst < 1e-3 else "not ok", 1, "- carried as sunpy has it")


main()
