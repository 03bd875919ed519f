# printed.py: what the tests of optics print for the checks, and wcslib fed with it
# SPDX-License-Identifier: GPL-3.0-or-later
import subprocess

from astropy.wcs import WCS


def read_lines(program):
    """The word and the numbers of each line that a test prints when it is asked to."""
    out = subprocess.run([program, "--print"], check=True, capture_output=True, text=True).stdout
    for line in out.splitlines():
        word, *numbers = line.split()
        yield word, [float(n) for n in numbers]


def make_wcs(numbers):
    wcs = WCS(naxis=2)
    wcs.wcs.ctype = ["HPLN-TAN", "HPLT-TAN"]
    wcs.wcs.cunit = ["arcsec", "arcsec"]
    wcs.wcs.crpix = numbers[0:2]
    wcs.wcs.crval = [0, 0]
    wcs.wcs.cdelt = numbers[2:4]
    wcs.wcs.pc = [numbers[4:6], numbers[6:8]]
    wcs.wcs.set()
    return wcs
