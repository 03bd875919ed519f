#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Makes the seeds in fuzz-clip/: make-clip-seeds.py MAKE-CLIP FOLDER.

Clips of ours by tests/clip/make-clip, foreign files by astropy 5.2. They are
kept in the tree, small, so that the fuzz target needs neither.
"""
import subprocess
import sys
from pathlib import Path

import numpy as np
from astropy.io import fits

make_clip, folder = sys.argv[1], Path(sys.argv[2])
folder.mkdir(exist_ok=True)
for old in folder.iterdir():
    old.unlink()

subprocess.run([make_clip, folder / "clip", "8", "6", "12", "3"], check=True)
subprocess.run([make_clip, folder / "growing", "8", "6", "8", "3", "growing"], check=True)
(folder / "growing.rows").unlink()
subprocess.run([make_clip, folder / "g", "16", "12", "12", "6", "growing"], check=True)
(folder / "g.rows").rename(folder / "journal")
(folder / "g").unlink()

for name in ("growing", "journal"):   # without the room that was reserved behind their ends
    content = (folder / name).read_bytes()
    (folder / name).unlink()
    (folder / name).write_bytes(content)

counts = (np.arange(3 * 6 * 8, dtype=np.uint16) * 37).reshape(3, 6, 8)
times = fits.BinTableHDU.from_columns(
    [fits.Column("TIME", "D", unit="ms", array=np.arange(3) * 50.0)], name="FRAMES")
fits.HDUList([fits.PrimaryHDU(counts), times]).writeto(folder / "table")
fits.PrimaryHDU((counts / 7).astype(np.float32)).writeto(folder / "float")
for coder in ("RICE_1", "GZIP_1", "GZIP_2"):
    tiles = fits.CompImageHDU(counts, compression_type=coder)
    fits.HDUList([fits.PrimaryHDU(), tiles]).writeto(folder / coder.lower())
tiles = fits.CompImageHDU((counts / 7).astype(np.float32), compression_type="RICE_1",
                          quantize_method=1, dither_seed=5)
fits.HDUList([fits.PrimaryHDU(), tiles]).writeto(folder / "quantised")
