#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""filigree-cli inspect: test-inspect.py CLI MAKE-CLIP."""
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from astropy.io import fits

cli, make_clip = sys.argv[1:3]
count = 0


def check(name, good, note=None):
    global count
    count += 1
    print(f"{'ok' if good else 'not ok'} {count} - {name}", flush=True)
    if not good:
        print("# got", str(note).replace("\n", " "))


def inspect(path, *options):
    return subprocess.run([cli, "inspect", *options, "--", str(path)],
                          capture_output=True, text=True)


def facts(path):
    result = inspect(path, "--json")
    if result.returncode != 0 or result.stderr:
        return {"status": result.returncode, "stderr": result.stderr}
    return json.loads(result.stdout)


def refused(name, path):
    result = inspect(path, "--json")
    lines = result.stderr.splitlines()
    check(name, result.returncode == 1 and not result.stdout and len(lines) == 1 and
          lines[0].startswith(f"filigree-cli: {path}: "), result)


def make(path, *arguments):
    subprocess.run([make_clip, str(path), *map(str, arguments)], check=True)
    return path


def check_ours(folder):
    clip = make(folder / "-a clip[1].fits", 37, 23, 12, 10)
    got = facts(clip)
    wanted = {
        "frames": 10, "width": 37, "height": 23, "bits": 12, "pattern": "GRBG",
        "complete": True, "checksum": "ok", "raw": True,
        "date_beg": "2026-11-25T10:00:00.250000000", "date_end": "2026-11-25T10:00:00.702500000",
        "lost": 0, "source_gaps": 0, "rig": "Daechlein 102 u", "source": "camera",
    }
    check("a clip of ours", all(got.get(key) == value for key, value in wanted.items()), got)
    check("its rate", abs(got["fps"] - 20) < 1e-9, got["fps"])
    check("what the gate was told", got["filter_confirmed"].startswith("wedge: "), got)

    text = inspect(clip).stdout
    check("in words", all(word in text for word in (
        "37 × 23", "12 bits", "wedge", "aperture 102 mm", "Daechlein 102 u", "540 nm", "0 while")),
        text)

    data = bytearray(clip.read_bytes())
    data[data.index(b"END" + b" " * 77) // 2880 * 2880 + 2880 + 5] ^= 1
    clip.write_bytes(data)
    check("a flipped bit", facts(clip).get("checksum") == "bad")


def check_place(folder):
    got = facts(make(folder / "nominal.fits", 37, 23, 12, 1))
    check("a nominal place", got.get("angle") == "nominal" and got["position_angle_deg"] == 0 and
          all(got[key] is None for key in ("target", "patch_latitude_deg", "patch_longitude_deg")),
          got)
    text = inspect(folder / "nominal.fits").stdout
    check("in words that it is nominal", "nominal, not measured" in text and
          "longitude" not in text, text)

    clip = make(folder / "placed.fits", 37, 23, 12, 1, "placed", 33.25, 0)
    got = facts(clip)
    header = fits.getheader(clip)
    check("a place that was measured", got.get("angle") == "measured" and
          got["position_angle_deg"] == 33.25 and got["target"].startswith("Nordgruppe") and
          got["patch_latitude_deg"] == header["HGLT"] and
          got["patch_longitude_deg"] == header["HGLN"], got)
    text = inspect(clip).stdout
    check("in words", all(word in text for word in (
        "Nordgruppe", "33.25° ± 0.05°", f"latitude {header['HGLT']:.2f}° ± ",
        f"longitude {header['HGLN']:.2f}° ± ")), text)
    (folder / "nominal.fits").unlink()
    clip.unlink()


def check_interrupted(folder):
    clip = make(folder / "growing.fits", 37, 23, 8, 7, "growing")
    got = facts(clip)
    check("interrupted", got.get("complete") is False and got.get("frames") == 7 and
          got.get("checksum") == "absent" and abs(got["fps"] - 20) < 1, got)
    data = clip.read_bytes()
    frame = 37 * 23
    start = len(data) - (7 * frame + 2879) // 2880 * 2880
    clip.write_bytes(data[:start + 5 * frame + frame // 2])
    check("interrupted and cut", facts(clip).get("frames") == 5, facts(clip))


def check_foreign(folder):
    path = folder / "foreign.fits"
    cube = np.arange(2 * 3 * 4, dtype=np.float32).reshape(2, 3, 4)
    fits.PrimaryHDU(cube).writeto(path)
    got = facts(path)
    check("foreign", got.get("frames") == 2 and got.get("width") == 4 and got.get("height") == 3 and
          got.get("complete") is True and got.get("checksum") == "absent", got)
    check("nothing made up", all(got.get(key, 0) is None for key in (
        "date_beg", "date_end", "fps", "lost", "rig", "filter_confirmed", "target",
        "position_angle_deg", "angle", "patch_latitude_deg", "patch_longitude_deg")), got)

    whole = path.read_bytes()
    for length in (0, 9, 2879, 2880, 2881, len(whole) - 1):
        path.write_bytes(whole[:length])
        refused(f"foreign, cut to {length} bytes", path)
    path.write_bytes(b"no FITS at all" * 1000)
    refused("no FITS file", path)
    refused("no file", folder / "none.fits")
    refused("a folder", folder)


def check_usage(folder):
    for arguments in ([], ["a", "b"], ["--what", "a"]):
        result = subprocess.run([cli, "inspect", *arguments], capture_output=True, text=True)
        check(f"wrong usage: {arguments}", result.returncode == 2 and not result.stdout, result)


with tempfile.TemporaryDirectory() as name:
    before = Path(name)
    check_ours(before)
    check_place(before)
    check_interrupted(before)
    check_foreign(before)
    check_usage(before)
    left = sorted(path.name for path in before.iterdir())
    check("nothing left behind", left == ["-a clip[1].fits", "foreign.fits", "growing.fits",
                                          "growing.fits.rows"], left)
print(f"1..{count}")
