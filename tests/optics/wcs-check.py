#!/usr/bin/python3
# wcs-check.py TEST-WCS: our helioprojective angles against wcslib's and sunpy's
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Prints TAP. wcslib (through astropy) reads our cards and gives the same
# angles; and a point that sunpy places one arcminute celestial north or west
# of the disc's centre lies where an unmirrored or mirrored camera with north
# up would see it.
import sys
import warnings

import astropy.units as u
import numpy as np
from astropy.coordinates import TETE, SkyCoord
from astropy.time import Time
from astropy.utils import iers
from sunpy.coordinates import frames, get_earth, sun

from printed import make_wcs, read_lines

warnings.simplefilter("ignore")
iers.conf.auto_download = False


def read_frames(program):
    found = []
    for word, numbers in read_lines(program):
        if word == "wcs":
            found.append({"wcs": numbers, "at": []})
        elif word == "at":
            found[-1]["at"].append(numbers)
        else:
            found[-1]["p"], found[-1]["mirrored"] = numbers
    return found


def signed_arcsec(degrees):
    return ((np.asarray(degrees) + 180) % 360 - 180) * 3600


def worst_angle(frame):
    wcs = make_wcs(frame["wcs"])
    at = np.array(frame["at"])
    angles = signed_arcsec(wcs.wcs_pix2world(at[:, 0:2], 1))
    return np.abs(angles - at[:, 2:4]).max()


def sky_offsets():
    """Helioprojective angles, by sunpy, of points 60″ north and west of the disc's centre."""
    when = Time("2013-10-10 12:00")
    frame = frames.Helioprojective(obstime=when, observer=get_earth(when))
    distance = sun.earth_distance(when)
    # Celestial north is that of date, the one P is counted from.
    sky = TETE(obstime=when)
    centre = SkyCoord(0 * u.arcsec, 0 * u.arcsec, distance, frame=frame).transform_to(sky)
    result = []
    for towards in (0, 270):
        point = centre.directional_offset_by(towards * u.deg, 60 * u.arcsec)
        point = SkyCoord(point.ra, point.dec, centre.distance, frame=sky).transform_to(frame)
        result.append((point.Tx.to_value(u.arcsec), point.Ty.to_value(u.arcsec)))
    return sun.P(when).deg, result


def nominal_offsets(p_deg):
    """The same by the nominal matrix: up is north, right is west."""
    c, s = np.cos(np.radians(p_deg)), np.sin(np.radians(p_deg))
    pc = np.array([[c, s], [-s, c]])
    return pc @ [0, 60], pc @ [60, 0]


def main():
    frames_read = read_frames(sys.argv[1])
    print(f"1..{2 * len(frames_read) + 1}")
    number = 0
    for frame in frames_read:
        number += 1
        worst = worst_angle(frame)
        print(f"# worst difference {worst:.2e} arcsec")
        print("ok" if worst < 1e-6 else "not ok", number, "- wcslib gives the same angles")

        number += 1
        c, s = np.cos(np.radians(frame["p"])), np.sin(np.radians(frame["p"]))
        right = -1 if frame["mirrored"] else 1
        expected = [right * c, s, -right * s, c]
        good = np.allclose(frame["wcs"][4:8], expected, atol=1e-12)
        print("ok" if good else "not ok", number, "- the matrix turns by P")

    p_deg, seen = sky_offsets()
    worst = np.abs(np.array(seen) - np.array(nominal_offsets(p_deg))).max()
    print(f"# P {p_deg:.3f}, sunpy {seen}, worst difference {worst:.3f} arcsec")
    print("ok" if worst < 0.01 else "not ok", number + 1,
          "- sunpy sees celestial north and west where we do")


main()
