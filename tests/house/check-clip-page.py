#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""docs/clip.md against a clip that was just recorded.

check-clip-page.py SOURCE_ROOT FILIGREE_CLI
"""

import re
import subprocess
import sys
import tempfile
from pathlib import Path

from astropy.io import fits

from tap import Tap

# Described as families, with i and j for the numbers.
FAMILY = re.compile(r"^(T(TYPE|FORM|UNIT|NULL)\d+|C(TYPE|UNIT|RPIX|RVAL|DELT)\d|PC\d_\d|CONTINUE|)$")


def record(root, cli, path):
    return subprocess.run(
        [cli, "record", "--source", "sim:seed=1,width=160,height=128,bits=12,paced=no,fps=25",
         "--rig", str(root / "data/rigs/roof-102.rig"), "--frames", "5", "--out", path],
        capture_output=True, text=True, check=False)


def main(source_root, cli):
    tap = Tap()
    root = Path(source_root)
    page = (root / "docs/clip.md").read_text(encoding="utf-8")
    words = set(re.findall(r"[A-Z0-9_-]+", page))
    with tempfile.TemporaryDirectory() as folder:
        path = str(Path(folder) / "clip.fits")
        done = record(root, cli, path)
        tap.check(done.returncode == 0, "a clip is recorded", done.stderr)
        if done.returncode != 0:
            return tap.done()
        with fits.open(path) as units:
            tap.check([u.name for u in units] == ["CLIP", "FRAMES", "LIGHTPATH"],
                      "its units are those of the page", [u.name for u in units])
            for unit in units:
                cards = [c for c in unit.header.cards if not FAMILY.match(c.keyword)]
                tap.none([c.keyword for c in cards if c.keyword not in words],
                         f"every card of {unit.name} stands on the page")
                tap.none([c.keyword for c in cards if not c.comment],
                         f"every card of {unit.name} has a comment")
            tap.none([n for n in units["FRAMES"].columns.names if f"| {n} |" not in page],
                     "every column of FRAMES stands on the page")
        done = subprocess.run(["fitsverify", "-q", path], capture_output=True, text=True, check=False)
        tap.check(done.returncode == 0 and done.stdout.startswith("verification OK"),
                  "fitsverify finds nothing", done.stdout)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
