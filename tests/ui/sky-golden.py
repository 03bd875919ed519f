#!/usr/bin/python3
# sky-golden.py: where the golden rows of test-sky-overlay.c come from
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Prints tests/ui/sky-golden.h. Made with Debian 12's sunpy 4.1.2, astropy
# 5.2.1 and pyerfa 2.0.0.1.
#
# None of our formulas is used. sunpy places points of the Sun in space, erfa
# turns the axes to the equator of date, and astropy.wcs lays the picture as a
# tangent plane of right ascension and declination over the disc's centre. The
# angle P is measured on that sky, and so never enters the way to a pixel. How
# the picture is turned and mirrored is checked by asking astropy for position
# angles of its up and its right.
import warnings

import astropy.units as u
import erfa
import numpy as np
from astropy.coordinates import HCRS, SkyCoord
from astropy.time import Time
from astropy.utils import iers
from astropy.wcs import WCS
from sunpy.coordinates import frames, get_earth
from sunpy.coordinates.utils import get_limb_coordinates

warnings.simplefilter("ignore")
iers.conf.auto_download = False

WHEN = Time("2014-09-23 09:30")
EARTH = get_earth(WHEN)
RADIUS = 695700 * u.km
WIDTH, HEIGHT = 1936, 1096
# arcseconds a pixel, the disc's centre on the picture (FITS pixels)
LAYS = [(0.2933, 3212.4, -1401.3), (1.95, 1011.8, 530.6)]
TURN = erfa.pnm06a(WHEN.tt.jd1, WHEN.tt.jd2)


def in_space(coordinate):
    return coordinate.transform_to(HCRS(obstime=WHEN)).cartesian.xyz.to_value(u.km)


EYE = in_space(SkyCoord(EARTH))


def on_sun(latitude, longitude, radius=RADIUS):
    frame = frames.HeliographicStonyhurst(obstime=WHEN)
    return in_space(SkyCoord(longitude * u.deg, latitude * u.deg, radius, frame=frame))


def on_sky(points):
    """Right ascension and declination of date, degrees, without aberration."""
    away = points - EYE[:, None] if points.ndim == 2 else points - EYE
    ra, dec = erfa.c2s((TURN @ away).T)
    return np.degrees(ra) % 360, np.degrees(dec)


CENTRE = on_sky(on_sun(0, 0, 0 * u.km))


def position_angle(to):
    at = np.radians(CENTRE)
    return np.degrees(erfa.pas(at[0], at[1], *np.radians(to))) % 360


def make_wcs(scale, x, y, turn, mirrored):
    right = turn + 90 if mirrored else turn - 90   # position angle of the picture's right
    a, b = np.radians(right), np.radians(turn)
    wcs = WCS(naxis=2)
    wcs.wcs.ctype = ["RA---TAN", "DEC--TAN"]
    wcs.wcs.crpix = [x, y]
    wcs.wcs.crval = CENTRE
    wcs.wcs.cd = scale / 3600 * np.array([[np.sin(a), np.sin(b)], [np.cos(a), np.cos(b)]])
    wcs.wcs.set()
    for pixel, angle in (((x, y + 100), turn), ((x + 100, y), right)):
        seen = position_angle(wcs.wcs_pix2world([pixel], 1)[0])
        assert abs((seen - angle + 180) % 360 - 180) < 1e-6, (seen, angle)
    return wcs


def to_pixel(wcs, ra_dec):
    return wcs.wcs_world2pix(np.column_stack(ra_dec), 1)


def get_mu(point):
    up, away = point / np.linalg.norm(point), EYE - point
    return up @ away / np.linalg.norm(away)


def along_axis(tx, ty):
    frame = frames.Helioprojective(obstime=WHEN, observer=EARTH)
    distance = np.linalg.norm(EYE) * u.km
    return in_space(SkyCoord(tx * u.arcsec, ty * u.arcsec, distance, frame=frame))


def ways(wcs, x, y):
    """Unit vectors, y up: celestial north and east, solar north and east."""
    ra, dec = CENTRE
    sky = [(ra, dec + 1e-3), (ra + 1e-3, dec)] + [on_sky(along_axis(*to)) for to in ((0, 4), (-4, 0))]
    out = to_pixel(wcs, np.array(sky).T) - (x, y)
    return (out / np.linalg.norm(out, axis=1)[:, None]).ravel()


def limb_end(latitude, sign):
    seen, hidden = 0.0, 180.0
    for _ in range(40):
        middle = (seen + hidden) / 2
        if get_mu(on_sun(latitude, sign * middle)) >= 0:
            seen = middle
        else:
            hidden = middle
    return on_sun(latitude, sign * seen)


def inside(pixel):
    return 1 <= pixel[0] <= WIDTH and 1 <= pixel[1] <= HEIGHT


GRID = [(b, l, on_sun(b, l)) for b in range(-80, 90, 10) for l in range(-80, 90, 10)]
GRID = [(b, l, p, get_mu(p)) for b, l, p in GRID]
ENDS = [(b, limb_end(b, sign)) for b in (-60, -30, 0, 30, 60) for sign in (-1, 1)]
LIMB = in_space(get_limb_coordinates(EARTH, rsun=RADIUS, resolution=360))


def rows_of(wcs, wide):
    rows = []
    pixels = to_pixel(wcs, on_sky(np.array([p for _, _, p, _ in GRID]).T))
    found = [(b, l, mu, x, y) for (b, l, _, mu), (x, y) in zip(GRID, pixels)
             if mu > 0.05 and inside((x, y))]
    for b, l, mu, x, y in found[::len(found) // 7 or 1][:7]:
        rows.append(f"    {{ GRID, {b}, {l}, {mu:.6f}, {x:.3f}, {y:.3f} }},")
    pixels = to_pixel(wcs, on_sky(LIMB))
    found = [p for p in pixels if inside(p)]
    for x, y in found[::max(len(found) // 5, 1)][:5]:
        rows.append(f"    {{ LIMB, 0, 0, 0, {x:.3f}, {y:.3f} }},")
    if wide:
        pixels = to_pixel(wcs, on_sky(np.array([p for _, p in ENDS]).T))
        for (b, _), (x, y) in list(zip(ENDS, pixels))[::3]:
            rows.append(f"    {{ END, {b}, 0, 0, {x:.3f}, {y:.3f} }},")
    return rows


def separation(wcs):
    ra, dec = wcs.wcs_pix2world([((WIDTH + 1) / 2, (HEIGHT + 1) / 2)], 1)[0]
    return SkyCoord(ra * u.deg, dec * u.deg).separation(
        SkyCoord(*CENTRE * u.deg)).to_value(u.arcmin)


def main():
    distance = np.linalg.norm(EYE)
    print("/* sky-golden.h: made by sky-golden.py, which says how\n"
          " * SPDX-License-Identifier: GPL-3.0-or-later */\n\n#pragma once\n")
    print("enum { GRID, LIMB, END };\n")
    print("typedef struct\n{\n  int    kind;\n  double latitude, longitude, mu;\n"
          "  double x, y;   /* FITS pixels */\n} GoldenRow;\n")
    print("typedef struct\n{\n  double scale, x, y, turn;   /* of the picture's up; the disc's "
          "centre */\n  int    mirrored;\n  double ways[8];   /* celestial north and east, solar "
          "ones; y up */\n  double distance_arcmin;\n  GoldenRow rows[17];\n  int n_rows;\n"
          "} GoldenSet;\n")
    print(f"#define GOLDEN_WIDTH {WIDTH}\n#define GOLDEN_HEIGHT {HEIGHT}\n")
    print("static const FilSun golden_sun = {")
    print(f"  .p_deg = {position_angle(on_sky(on_sun(90, 0))):.6f}, "
          f".b0_deg = {EARTH.lat.deg:.6f},")
    print(f"  .distance_au = {distance / 149597870.7:.9f}, .semidiameter_arcsec = "
          f"{np.degrees(np.arcsin(RADIUS.to_value(u.km) / distance)) * 3600:.4f},\n}};\n")
    print("static const GoldenSet golden_sets[] = {")
    for wide, (scale, x, y) in enumerate(LAYS):
        for mirrored in (0, 1):
            for turn in (0, 90, 180, 270):
                wcs = make_wcs(scale, x, y, turn, mirrored)
                rows = rows_of(wcs, wide)
                vectors = [f"{v:.6f}" for v in ways(wcs, x, y)]
                print(f"  {{ {scale}, {x}, {y}, {turn}, {mirrored},")
                print("    { " + ", ".join(vectors[:4]) + ",\n      " + ", ".join(vectors[4:]) + " },")
                print(f"    {separation(wcs):.5f}, {{")
                print("\n".join(rows))
                print(f"    }}, {len(rows)} }},")
    print("};")


main()
