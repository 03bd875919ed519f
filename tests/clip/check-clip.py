#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Our clips, read by programs that know nothing of ours.

check-clip.py MAKE-CLIP: writes clips with it and has fitsverify, astropy,
wcslib (through astropy) and sunpy read cube, tables, times, scale and place.
Made for astropy 5.2, sunpy 4.1 and fitsverify 4.20.
"""
import re
import subprocess
import sys
import tempfile
import warnings
from pathlib import Path

import numpy as np
from astropy import units as u
from astropy.coordinates import EarthLocation, SkyCoord
from astropy.io import fits
from astropy.table import QTable
from astropy.time import Time
from astropy.utils import iers
from astropy.wcs import WCS
from astropy.wcs.utils import wcs_to_celestial_frame
from sunpy.coordinates import frames as sun_frames
from sunpy.coordinates import sun

iers.conf.auto_download = False
iers.conf.iers_degraded_accuracy = "ignore"

BEGIN = "2026-11-25T10:00:00.250000000"
checks = []


def check(name, good, note=None):
    good = bool(good)
    checks.append(good)
    print(f"{'ok' if good else 'not ok'} {len(checks)} - {name}", flush=True)
    if not good and note is not None:
        print("# got", str(note).replace("\n", " "))


def make(folder, name, *arguments):
    path = Path(folder) / (name + ".fits")
    subprocess.run([sys.argv[1], str(path), *map(str, arguments)], check=True)
    return path


def expected(frame, width, height, bits):
    """The counts of clip-maker.c, first row first."""
    i = np.arange(width * height, dtype=np.uint64)
    counts = ((np.uint64(frame) * np.uint64(2654435761) + i * np.uint64(40503)) >> np.uint64(7))
    return (counts & np.uint64(2 ** bits - 1)).astype(np.uint16).reshape(height, width)


def verify(path):
    result = subprocess.run(["fitsverify", str(path)], capture_output=True, text=True)
    clean = "0 warning(s) and 0 error(s)" in result.stdout and result.returncode == 0
    check(f"fitsverify: {path.name}", clean,
          "" if clean else re.sub(r"\s+", " ", result.stdout)[-300:])


def check_cube(path, width, height, bits, n):
    with fits.open(path) as file:
        cube = file[0].data
        check(f"{path.name}: shape", cube.shape == (n, height, width), cube.shape)
        check(f"{path.name}: type", cube.dtype == (np.uint16 if bits > 8 else np.uint8))
        check(f"{path.name}: every count", all(
            np.array_equal(cube[k], expected(k, width, height, bits)) for k in range(n)))


def check_sums(path):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with fits.open(path, checksum=True) as file:
            names = [hdu.header.get("EXTNAME") for hdu in file]
            for hdu in file:
                hdu.data
            sums = all(hdu.verify_checksum() == 1 and hdu.verify_datasum() == 1 for hdu in file)
    check(f"{path.name}: astropy agrees with the checksums", sums)
    check(f"{path.name}: units", names == ["CLIP", "FRAMES", "LIGHTPATH"], names)


def check_header(path):
    header = fits.getheader(path)
    check("every card has a comment", all(
        card.comment for card in header.cards if card.keyword not in ("", "COMMENT", "CONTINUE")),
        [card.keyword for card in header.cards if not card.comment and card.keyword])
    check("long text", header["GATECONF"].endswith("the heat outlet's clear, the finder is capped"))
    check("no text that FITS can't hold", header["TELESCOP"] == "Daechlein 102 u")
    site = EarthLocation(lat=47 * u.deg, lon=8 * u.deg, height=500 * u.m)
    place = [header["OBSGEO-" + axis] for axis in "XYZ"]
    check("geocentric place against astropy", np.allclose(
        place, [site.x.value, site.y.value, site.z.value], atol=1e-3), place)
    check("DATE-BEG", header["DATE-BEG"] == BEGIN)
    end = Time(header["DATE-END"], scale="utc") - Time(BEGIN, scale="utc")
    check("DATE-END", abs(end.to_value("s") - 0.4525) < 2e-9, end.to_value("s"))


def check_tables(path):
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        frames = QTable.read(path, hdu="FRAMES", astropy_native=True)
        path_table = QTable.read(path, hdu="LIGHTPATH")
    # Debian's list of leap seconds is of its own age.
    caught = [str(w.message) for w in caught if "leap-second" not in str(w.message)]
    check("astropy reads the tables without a warning", not caught, caught)
    seconds = 0.05 * np.arange(10) + 0.001 * (np.arange(10) % 3)
    wanted = Time(BEGIN, scale="utc") + seconds * u.s
    check("FRAMES.TIME is a time", isinstance(frames["TIME"], Time), type(frames["TIME"]))
    check("FRAMES.TIME", np.all(np.abs((frames["TIME"] - wanted).to_value("s")) < 2e-9))
    check("FRAMES.XPOSURE", np.allclose(frames["XPOSURE"].to_value("ms"), 2.5))
    check("FRAMES.SHARP", not np.isfinite(np.ma.filled(frames["SHARP"], np.nan)[1])
          and frames["SHARP"][0] == 1.5)
    check("FRAMES.SEQ", list(frames["SEQ"]) == list(range(7, 17)))
    check("FRAMES.MARKS", frames["MARKS"][3] == 4)

    kinds = [kind.strip() for kind in path_table["KIND"]]
    check("LIGHTPATH.KIND", kinds == ["objective", "wedge", "density", "amplifier", "bandpass",
                                      "camera"], kinds)
    check("LIGHTPATH units", path_table["FOCAL_LENGTH_MM"][0] == 1020 * u.mm and
          path_table["PIXEL_UM"][5] == 2.9 * u.um)
    check("LIGHTPATH.COLUMNS", path_table["COLUMNS"][5].value == 1936)


def check_time_axis(even, uneven):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        wcs = WCS(fits.getheader(even))
        check("even frames have a time axis", wcs.wcs.ctype[2] == "UTC" and
              wcs.world_axis_physical_types[2] == "time")
        seconds = wcs.wcs_pix2world([[1, 1, 10]], 1)[0][2]
        check("time axis", abs(seconds - 0.45) < 1e-12, seconds)
        check("uneven frames have none", WCS(fits.getheader(uneven)).wcs.ctype[2] == "FRAME")


def check_sky(path):
    header = fits.getheader(path)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        wcs = WCS(header).celestial
    check("axes", list(wcs.wcs.ctype) == ["HPLN-TAN", "HPLT-TAN"], list(wcs.wcs.ctype))
    check("said to be nominal", header["WCSANGLE"] == "nominal")
    centre = wcs.wcs_pix2world([[(37 + 1) / 2, (23 + 1) / 2]], 1)[0]
    check("the centre is the Sun's", np.allclose((centre + 180) % 360 - 180, 0, atol=1e-9), centre)
    # 206264.806″ per radian: pixel over focal length, 2.9 µm / 2040 mm
    scale = np.sqrt(np.abs(np.linalg.det(wcs.pixel_scale_matrix))) * 3600
    check("scale", abs(scale - 2.9e-6 / 2.04 * 206264.806) < 1e-6, scale)
    check("mirrored by the wedge", np.linalg.det(wcs.pixel_scale_matrix) < 0)


def check_nominal(path):
    header = fits.getheader(path)
    check("nothing claimed of a nominal place", header["WCSPLACE"] == "nominal" and
          header["SCALESRC"] == "rig" and header["POSANGLE"] == 0 and header["MIRRORED"] and
          not any(key in header for key in (
              "HGLN", "HGLT", "CRDER1", "CRDER2", "ANGLERR", "SCALEERR", "ANGLDATE", "CENTRERR",
              "OBJECT", "PATCHX")), header["WCSPLACE"])


def check_placed(path, angle, mirrored):
    """The patch's heliographic place, sent through sunpy and wcslib, comes to its pixel."""
    name = f"up at {angle}°" + (", mirrored" if mirrored else "")
    header = fits.getheader(path)
    check(f"{name}: what was measured", header["WCSANGLE"] == header["WCSPLACE"] == "measured" and
          header["SCALESRC"] == "measured" and header["POSANGLE"] == angle and
          header["ANGLERR"] == 0.05 and header["SCALEERR"] == 0.0004 and
          header["CENTRERR"] == 1.5 and header["MIRRORED"] == mirrored and
          header["FLIPX"] != mirrored and header["FLIPY"] is False, repr(header["WCS*"]))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        wcs = WCS(header).celestial
        frame = wcs_to_celestial_frame(wcs)
    check(f"{name}: sunpy knows the frame", isinstance(frame, sun_frames.Helioprojective) and
          abs(frame.observer.radius.to_value(u.m) - header["DSUN_OBS"]) < 1, frame)
    spot = SkyCoord(header["HGLN"] * u.deg, header["HGLT"] * u.deg, header["RSUN_REF"] * u.m,
                    frame=sun_frames.HeliographicStonyhurst, obstime=frame.obstime)
    seen = spot.transform_to(frame)
    got = wcs.wcs_world2pix([[seen.Tx.to_value(u.deg), seen.Ty.to_value(u.deg)]], 1)[0]
    wanted = np.array([header["PATCHX"], header["PATCHY"]])
    off = np.hypot(*(got - wanted))
    print(f"# {name}: off by {off:.2e} px")
    check(f"{name}: the patch lies where sunpy has it", off < 0.3, got)
    # 16 × 8 px from column 3, row 5 of the top, in 37 × 23 px.
    check(f"{name}: the middle of the patch", tuple(wanted) == (11.5, 14.5), wanted)
    # Independent of the matrix: angle on the sky from the picture's up, then from the axis.
    along = wanted - np.array([-1200.25, -800.5])
    turn = np.degrees(np.arctan2(-along[0], along[1])) * (-1 if mirrored else 1)
    sky = np.radians(angle + turn - sun.P(Time(header["DATE-BEG"], scale="utc")).deg)
    size = np.hypot(*along) * 0.2935
    west, north = -size * np.sin(sky), size * np.cos(sky)
    check(f"{name}: by the angles alone", np.hypot(
        seen.Tx.to_value(u.arcsec) - west, seen.Ty.to_value(u.arcsec) - north) < 0.01,
        (west, north, seen))
    return header


def check_errors(header):
    """1.5 px are 0.44″; 424″ out the angle's 0.05° are 0.37″, the scale's 0.14 % 0.58″."""
    total = np.hypot(header["CRDER1"], header["CRDER2"])
    wanted = np.sqrt(2 * (1.5 * 0.2935) ** 2 + 424 ** 2 * (
        np.radians(0.05) ** 2 + (0.0004 / 0.2935) ** 2))
    check("CRDER1, CRDER2", abs(total / wanted - 1) < 0.02, (total, wanted))
    # At least those of the disc's middle, at most what foreshortening makes of them.
    least = np.degrees(0.44 / header["RSUN_OBS"])
    check("HGLNERR, HGLTERR", least < header["HGLTERR"] < 10 * least and
          least < header["HGLNERR"] < 10 * least, (header["HGLTERR"], header["HGLNERR"]))
    check("OBJECT", header["OBJECT"].startswith("Nordgruppe 3"), header["OBJECT"])


def check_growing(path):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with fits.open(path) as file:
            check("growing: CLIPDONE", file[0].header["CLIPDONE"] is False)
            check("growing: cube", file[0].data.shape == (10, 23, 37) and np.array_equal(
                file[0].data[9], expected(9, 37, 23, 12)))


def main():
    with tempfile.TemporaryDirectory() as folder:
        wide = make(folder, "wide", 37, 23, 12, 10)
        narrow = make(folder, "narrow", 36, 40, 8, 1)
        uneven = make(folder, "uneven", 37, 23, 12, 10, "uneven")
        growing = make(folder, "growing", 37, 23, 12, 10, "growing")
        for path in (wide, narrow, uneven, growing):
            verify(path)
        check_cube(wide, 37, 23, 12, 10)
        check_cube(narrow, 36, 40, 8, 1)
        check_sums(wide)
        check_sums(narrow)
        check_header(wide)
        check_tables(wide)
        check_time_axis(wide, uneven)
        check_sky(wide)
        check_nominal(wide)
        for angle in (0, 90, 180, 270, 33.25):
            for flip in (0, 1):
                path = make(folder, f"placed-{angle}-{flip}", 37, 23, 12, 2, "placed", angle, flip)
                verify(path)
                header = check_placed(path, angle, not flip)
        check_errors(header)
        check_growing(growing)
    print(f"1..{len(checks)}")


main()
