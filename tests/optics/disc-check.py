#!/usr/bin/python3
# disc-check.py TEST-DISC: our places on the Sun against sunpy's
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Prints TAP. Thousands of seeded places at several dates, both ways; once with
# the observer put where our own ephemeris has the Earth (geometry alone), once
# with sunpy's own Earth.
import sys
import warnings

import astropy.units as u
import numpy as np
from astropy.coordinates import SkyCoord
from astropy.time import Time
from astropy.utils import iers
from sunpy.coordinates import frames, get_earth

from printed import read_lines

warnings.simplefilter("ignore")
iers.conf.auto_download = False
iers.conf.iers_degraded_accuracy = "ignore"

R_SUN = 695700 * u.km


def read_days(program):
    days = []
    for word, numbers in read_lines(program):
        if word == "sun":
            days.append({"sun": numbers, "to": [], "from": []})
        else:
            days[-1][word].append(numbers)
    return days


def observers(day):
    seconds, b0, distance = day["sun"]
    when = Time(seconds, format="unix", scale="utc")
    ours = SkyCoord(0 * u.deg, b0 * u.deg, distance * u.AU, frame=frames.HeliographicStonyhurst,
                    obstime=when)
    return when, (("our Earth", ours), ("sunpy's Earth", get_earth(when)))


def worst_to(rows, when, observer):
    lat, lon, x, y, mu = np.array(rows).T
    point = SkyCoord(lon * u.deg, lat * u.deg, np.full(len(lat), R_SUN.value) * u.km,
                     frame=frames.HeliographicStonyhurst, obstime=when)
    seen = point.transform_to(frames.Helioprojective(obstime=when, observer=observer))
    off = np.hypot(seen.Tx.to_value(u.arcsec) - x, seen.Ty.to_value(u.arcsec) - y)
    sight = observer.cartesian.xyz.to_value(u.km)[:, None] - point.cartesian.xyz.to_value(u.km)
    cosine = ((point.cartesian.xyz / R_SUN).to_value(u.one) * sight).sum(0)
    return off.max(), np.abs(cosine / np.linalg.norm(sight, axis=0) - mu).max()


def worst_from(rows, when, observer):
    lat, lon, x, y, _ = np.array(rows).T
    frame = frames.Helioprojective(obstime=when, observer=observer, rsun=R_SUN)
    point = SkyCoord(x * u.arcsec, y * u.arcsec, frame=frame)
    point = point.transform_to(frames.HeliographicStonyhurst(obstime=when))
    across = ((point.lon.to_value(u.deg) - lon + 180) % 360 - 180) * np.cos(np.radians(lat))
    return np.hypot(point.lat.to_value(u.deg) - lat, across).max()


def main():
    days = read_days(sys.argv[1])
    worst = {}
    for day in days:
        when, earths = observers(day)
        for name, observer in earths:
            got = (*worst_to(day["to"], when, observer), worst_from(day["from"], when, observer))
            worst[name] = np.maximum(worst.get(name, 0), got)

    # Near the limb 0.001° of B0 and 1e-5 of the distance show most.
    limits = {"our Earth": (1e-6, 1e-9, 1e-6), "sunpy's Earth": (0.01, 1e-5, 1e-3)}
    print(f"1..{len(limits)}")
    for number, (name, limit) in enumerate(limits.items(), 1):
        print(f"# {name}: {worst[name][0]:.2e} arcsec, mu {worst[name][1]:.1e}, "
              f"back {worst[name][2]:.2e} deg, over {len(days)} dates")
        good = (worst[name] <= limit).all() and len(days[0]["to"]) == 250
        print("ok" if good else "not ok", number, f"- as sunpy has it, from {name}")


main()
