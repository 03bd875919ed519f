#!/usr/bin/python3
# place-check.py TEST-PLACE: a picture's place on the sky against sunpy and wcslib
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Prints TAP. All eight combinations of mirror and quarter turn, and eight more
# at odd angles. (1) A heliographic point sent through sunpy and, by our
# matrix, through wcslib comes to the pixel where we have it. (2) A point that
# astropy puts on the sky beside the disc's centre, by position angle alone, is
# seen by wcslib where a camera so turned has it: this knows nothing of our
# matrix.
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
iers.conf.iers_degraded_accuracy = "ignore"


def read_places(program):
    places = []
    for word, numbers in read_lines(program):
        if word == "place":
            places.append({"place": numbers, "at": []})
        elif word == "wcs":
            places[-1]["wcs"] = numbers
        else:
            places[-1]["at"].append(numbers)
    return places


def to_pixel(wcs, seen):
    return wcs.wcs_world2pix(np.column_stack([np.atleast_1d(seen.Tx.to_value(u.deg)),
                                              np.atleast_1d(seen.Ty.to_value(u.deg))]), 1)


def worst_point(place, frame):
    wcs = make_wcs(place["wcs"])
    lat, lon, x, y = np.array(place["at"]).T
    point = SkyCoord(lon * u.deg, lat * u.deg, np.full(len(lat), 695700.0) * u.km,
                     frame=frames.HeliographicStonyhurst, obstime=frame.obstime)
    pixel = to_pixel(wcs, point.transform_to(frame))
    return np.hypot(pixel[:, 0] - x, pixel[:, 1] - y).max()


def worst_direction(place, frame):
    """Points 100″ off the centre, at position angles counted from the picture's up."""
    wcs = make_wcs(place["wcs"])
    _, _, angle, mirrored = place["place"]
    sky = TETE(obstime=frame.obstime)
    distance = sun.earth_distance(frame.obstime)
    centre = SkyCoord(0 * u.arcsec, 0 * u.arcsec, distance, frame=frame).transform_to(sky)
    worst = 0
    for turn in (0, 60, 90, 200):
        point = centre.directional_offset_by((angle + turn) * u.deg, 100 * u.arcsec)
        point = SkyCoord(point.ra, point.dec, centre.distance, frame=sky).transform_to(frame)
        got = to_pixel(wcs, point)[0] - place["wcs"][0:2]
        # Counter-clockwise from up, or clockwise where it is mirrored.
        left = np.sin(np.radians(turn)) * (-1 if mirrored else 1)
        expected = 400 * np.array([-left, np.cos(np.radians(turn))])
        worst = max(worst, np.hypot(*(got - expected)))
    return worst


def main():
    places = read_places(sys.argv[1])
    when = Time(places[0]["place"][0], format="unix", scale="utc")
    frame = frames.Helioprojective(obstime=when, observer=get_earth(when))
    print(f"1..{2 * len(places)}")
    number = 0
    for place in places:
        name = f"up at {place['place'][2]:.1f}°" + (", mirrored" if place["place"][3] else "")
        for worst, limit, what in ((worst_point(place, frame), 0.3, "sunpy's points"),
                                   (worst_direction(place, frame), 0.1, "directions on the sky")):
            number += 1
            print(f"# {name}: {worst:.4f} px")
            print("ok" if worst < limit else "not ok", number, f"- {what}, {name}")


main()
