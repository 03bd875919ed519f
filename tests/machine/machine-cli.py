#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""filigree-cli on the kernel's test camera: machine-cli.py CLI RIG [WORD…]

With words, only the tests whose names contain one of them.

Runs in the emulated machine. Prints TAP. Needs nothing but Python itself:
the clips are read here byte by byte, as the FITS Standard 4.0 lays them out
(section 4.4.1, and 7.3 for tables), and compared with what v4l2-ctl writes.
"""

import json
import os
import pty
import re
import select
import signal
import subprocess
import sys
import time
import traceback

CLI, RIG = sys.argv[1:3]
DEVICE = "/dev/video0"
DRIVER = "/sys/bus/platform/drivers/vivid/"
WIDTH, HEIGHT, FRAMES, FPS = 320, 180, 8, 15
BLOCK = 2880


def run(*arguments, **more):
    return subprocess.run([CLI, *arguments], capture_output=True, text=True, timeout=60, **more)


def v4l2(*arguments):
    return subprocess.run(["v4l2-ctl", "-d", DEVICE, *arguments], check=True,
                          capture_output=True, text=True, timeout=60).stdout


def plug(what):
    with open(DRIVER + what, "w") as file:
        file.write("vivid.0")
    if what == "bind":
        for _ in range(100):
            if os.path.exists(DEVICE):
                break
            time.sleep(0.05)


def remove(*paths):
    for path in paths:
        if os.path.exists(path):
            os.remove(path)


class Hdu:
    """One header and data unit: its cards and the place of its data."""

    def __init__(self, data, at):
        self.cards = {}
        while True:
            card = data[at:at + 80].decode("ascii")
            at += 80
            if card.startswith("END "):
                break
            if card[8:10] == "= ":
                text = card[10:]
                quoted = re.match(r" *'((?:[^']|'')*)'", text)
                self.cards[card[:8].rstrip()] = (
                    quoted.group(1).rstrip() if quoted else text.split("/")[0].strip())
        self.start = -(-at // BLOCK) * BLOCK
        size = abs(int(self.cards["BITPIX"])) // 8
        axes = [int(self.cards[f"NAXIS{i + 1}"]) for i in range(int(self.cards["NAXIS"]))]
        for axis in axes:
            size *= axis
        size += int(self.cards.get("PCOUNT", 0))
        self.size = size if axes else 0
        self.end = self.start + -(-self.size // BLOCK) * BLOCK
        self.axes = axes


def read_clip(path):
    """The cube's frames, top row first, as v4l2-ctl would write them, and the
    FRAMES table by column."""
    with open(path, "rb") as file:
        data = file.read()
    units, at = [], 0
    while at < len(data):
        units.append(Hdu(data, at))
        at = units[-1].end
    cube = units[0]
    table = next(u for u in units if u.cards.get("EXTNAME") == "FRAMES")

    width, height, n = cube.axes
    size = abs(int(cube.cards["BITPIX"])) // 8
    row = width * size
    frames = []
    for f in range(n):
        at = cube.start + f * row * height
        rows = [data[at + y * row:at + (y + 1) * row] for y in reversed(range(height))]
        pixels = b"".join(rows)
        if size == 2:
            flipped = int.from_bytes(pixels, "big") ^ int.from_bytes(
                b"\x80\x00" * (width * height), "big")
            pixels = bytearray(flipped.to_bytes(len(pixels), "big"))
            pixels[0::2], pixels[1::2] = pixels[1::2], pixels[0::2]
        frames.append(bytes(pixels))

    columns, offset = {}, 0
    sizes = {"J": 4, "K": 8, "D": 8, "E": 4, "I": 2}
    for i in range(1, int(table.cards["TFIELDS"]) + 1):
        form = table.cards[f"TFORM{i}"].lstrip("1")
        columns[table.cards[f"TTYPE{i}"]] = [
            int.from_bytes(data[table.start + r * table.axes[0] + offset:][:sizes[form]], "big",
                           signed=True)
            for r in range(table.axes[1])] if form in "JKI" else None
        offset += sizes[form]
    return cube.cards, frames, columns


def begin_with_zero(take):
    """Takes a stream again until it begins with frame 0: where it doesn't, the driver's
    pictures lag behind their numbers (see machine-frames.c)."""
    for _ in range(10):
        numbers, frames = take()
        if numbers[0] == 0:
            return dict(zip(numbers, frames))
    raise AssertionError("the driver never begins with frame 0")


def reference(fourcc):
    """Numbers and frames, recorded by v4l2-ctl (v4l-utils)."""
    report = subprocess.run(
        ["v4l2-ctl", "-d", DEVICE,
         f"--set-fmt-video=width={WIDTH},height={HEIGHT},pixelformat={fourcc.ljust(4)}",
         f"--set-parm={FPS}", "--stream-mmap=8", f"--stream-count={FRAMES}",
         "--stream-to=/tmp/reference", "--verbose"],
        check=True, capture_output=True, text=True, timeout=60)
    numbers = [int(n) for n in re.findall(r" seq: *(\d+)", report.stdout + report.stderr)]
    with open("/tmp/reference", "rb") as file:
        data = file.read()
    assert len(numbers) == FRAMES, report.stdout
    size = len(data) // FRAMES
    return numbers, [data[i * size:(i + 1) * size] for i in range(FRAMES)]


def gate_on_terminal(answer, filter_name):
    """Answers each question on a pseudo-terminal; the status and all that was
    printed."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.execv(CLI, [CLI, "gate", "--rig", RIG, "--source", DEVICE])
    seen, asked, status = "", 0, None
    end = time.monotonic() + 60
    while time.monotonic() < end:
        try:
            if select.select([terminal], [], [], 1.0)[0]:
                seen += os.read(terminal, 4096).decode("utf-8", "replace")
        except OSError:
            break
        rest = seen[asked:]
        if "yes or no? " in rest or "Name the filter to open the gate: " in rest:
            text = answer if "yes or no? " in rest else filter_name
            asked = len(seen)
            os.write(terminal, text.encode() + b"\n")
    else:
        os.kill(pid, signal.SIGKILL)
    status = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    os.close(terminal)
    return status, seen


def record(out, *more, frames=FRAMES, fourcc="Y12"):
    remove(out, out + ".rows")
    return run("record", "--source", DEVICE, "--rig", RIG, "--frames", str(frames),
               "--format", fourcc, "--size", f"{WIDTH}x{HEIGHT}", "--fps", str(FPS),
               "--out", out, "--json", *more)


def start_recording(out):
    """Records for a minute, in the background; returns when frames are there."""
    remove(out, out + ".rows")
    process = subprocess.Popen(
        [CLI, "record", "--source", DEVICE, "--rig", RIG, "--seconds", "60", "--format", "GREY",
         "--size", f"{WIDTH}x{HEIGHT}", "--fps", str(FPS), "--out", out],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    end = time.monotonic() + 30
    while time.monotonic() < end and process.poll() is None:
        if os.path.exists(out) and os.path.getsize(out) > 5 * WIDTH * HEIGHT + BLOCK:
            break
        time.sleep(0.1)
    return process


def assert_closed_whole(out, process):
    stdout, stderr = process.communicate(timeout=60)
    assert process.returncode == 1, (process.returncode, stderr)
    assert "frames kept: " in stderr, stderr
    assert stderr.startswith("filigree-cli: "), stderr
    kept = json.loads(run("inspect", "--json", out).stdout)
    assert kept["complete"] is True and kept["frames"] >= 5, kept
    assert kept["checksum"] == "ok", kept
    assert int(re.search(r"(\d+) frames kept", stderr).group(1)) == kept["frames"], stderr
    assert not os.path.exists(out + ".rows")


def test_cameras():
    result = run("cameras", "--json")
    assert result.returncode == 0, result.stderr
    camera = next(c for c in json.loads(result.stdout)["cameras"] if c["path"] == DEVICE)
    assert camera["driver"] == "vivid" and camera["bus"] and camera["name"], camera
    assert camera["error"] is None
    formats = {f["fourcc"]: f for f in camera["formats"]}
    for fourcc, kind, bits in [("GREY", "mono", 8), ("Y10", "mono", 10), ("Y12", "mono", 12),
                               ("Y16", "mono", 16), ("Y16-BE", "mono", 16),
                               ("RGGB", "bayer", 8), ("BG10", "bayer", 10),
                               ("GB12", "bayer", 12), ("GR16", "bayer", 16),
                               ("YUYV", "luma", 8), ("NV12", "luma", 8)]:
        assert (formats[fourcc]["kind"], formats[fourcc]["bits"]) == (kind, bits), fourcc
    size = next(s for s in formats["Y12"]["sizes"] if s["width"] == WIDTH)
    assert size["height"] == HEIGHT and any(abs(f - FPS) < 0.01 for f in size["fps"]), size


def test_cameras_busy():
    """Used by another program: still listed."""
    v4l2(f"--set-fmt-video=width={WIDTH},height={HEIGHT},pixelformat=GREY")
    other = subprocess.Popen(["v4l2-ctl", "-d", DEVICE, "--stream-mmap", "--stream-count=1000"],
                             stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        time.sleep(1.5)
        result = run("cameras", "--json")
        assert result.returncode == 0
        assert any(c["path"] == DEVICE for c in json.loads(result.stdout)["cameras"])
    finally:
        other.kill()
        other.wait()


def test_gate_pipe():
    """Never from a pipe, whatever it says."""
    result = run("gate", "--rig", RIG, "--source", DEVICE, input="yes\n" * 30 + "wedge\n")
    assert result.returncode == 1, result
    assert len(result.stderr.strip().splitlines()) == 1, result.stderr
    result = record("/tmp/closed.fits")
    assert result.returncode == 1 and "the gate is closed" in result.stderr, result
    assert not os.path.exists("/tmp/closed.fits")


def test_gate_no():
    """One check not confirmed: it stays closed."""
    status, seen = gate_on_terminal("no", "wedge")
    assert status == 1, seen
    result = record("/tmp/closed.fits")
    assert result.returncode == 1 and "the gate is closed" in result.stderr, result


def test_gate_wrong_filter():
    status, seen = gate_on_terminal("yes", "front-filter")
    assert status == 1, seen
    assert record("/tmp/closed.fits").returncode == 1


def test_gate_yes():
    status, seen = gate_on_terminal("yes", "wedge")
    assert status == 0, seen
    assert seen.count("yes or no? ") >= 5, seen


def compare(fourcc):
    def take():
        out = f"/tmp/{fourcc}.fits"
        result = record(out, fourcc=fourcc)
        assert result.returncode == 0, result.stderr
        told = json.loads(result.stdout)
        assert told["frames"] == FRAMES and told["lost"] == 0, told
        cards, frames, columns = read_clip(out)
        assert cards["CLIPDONE"] == "T" and len(frames) == FRAMES
        remove(out)
        return columns["SEQ"], frames

    def test():
        wanted = begin_with_zero(lambda: reference(fourcc))
        got = begin_with_zero(take)
        common = wanted.keys() & got.keys()
        assert len(common) >= FRAMES // 2, (list(got), list(wanted))
        for number in common:
            assert got[number] == wanted[number], f"frame {number} differs"
        assert len(set(got.values())) == FRAMES, "the picture stood still"
    return test


def test_marks():
    """A frame that the driver flags is kept, and marked; what it drops is
    counted."""
    v4l2("--set-ctrl=percentage_of_dropped_buffers=40")
    out = "/tmp/marks.fits"
    try:
        process = start_recording(out)
        v4l2("--set-ctrl=inject_v4l2_buf_flag_error=1")
        time.sleep(1)
        process.send_signal(signal.SIGINT)
        _, stderr = process.communicate(timeout=60)
    finally:
        v4l2("--set-ctrl=percentage_of_dropped_buffers=0")
    assert process.returncode == 0, stderr
    cards, frames, columns = read_clip(out)
    numbers, marks = columns["SEQ"], columns["MARKS"]
    assert sum(m & 1 for m in marks) == 1, marks
    for i in range(1, len(numbers)):
        assert bool(marks[i] & 2) == (numbers[i] != numbers[i - 1] + 1), (numbers, marks)
    assert int(cards["SRCGAPS"]) == numbers[-1] - numbers[0] + 1 - len(numbers), cards["SRCGAPS"]


def test_disconnect():
    process = start_recording("/tmp/disconnect.fits")
    v4l2("--set-ctrl=disconnect=1")
    assert_closed_whole("/tmp/disconnect.fits", process)


def test_unplug():
    """Pulled out while recording: the clip is closed whole, and the gate too."""
    process = start_recording("/tmp/unplug.fits")
    plug("unbind")
    assert_closed_whole("/tmp/unplug.fits", process)
    result = record("/tmp/gone.fits")
    assert result.returncode == 1, result
    plug("bind")
    result = record("/tmp/again.fits")
    assert result.returncode == 1 and "the gate is closed" in result.stderr, result
    status, seen = gate_on_terminal("yes", "wedge")
    assert status == 0, seen
    assert record("/tmp/again.fits").returncode == 0


TESTS = [
    ("cameras", test_cameras),
    ("cameras busy", test_cameras_busy),
    ("gate refuses a pipe", test_gate_pipe),
    ("gate stays closed after a no", test_gate_no),
    ("gate stays closed for another filter", test_gate_wrong_filter),
    ("gate opens on a terminal", test_gate_yes),
    *((f"record {f} bit for bit", compare(f))
      for f in ("GREY", "Y10", "Y12", "Y16", "RGGB", "BG10", "GB12", "GR16")),
    ("marks", test_marks),
    ("disconnect while recording", test_disconnect),
    ("gate opens again", test_gate_yes),
    ("unplug while recording", test_unplug),
]


def main():
    os.environ["LC_ALL"] = "C.UTF-8"
    words = sys.argv[3:]
    tests = [t for t in TESTS if not words or any(w in t[0] for w in words)]
    print(f"1..{len(tests)}")
    failed = 0
    v4l2("--set-ctrl=osd_text_mode=2,horizontal_movement=5,vertical_movement=4")
    for number, (name, test) in enumerate(tests, 1):
        try:
            test()
            print(f"ok {number} {name}", flush=True)
        except Exception:  # whatever goes wrong is a failure of this test
            failed += 1
            print(f"not ok {number} {name}", flush=True)
            for line in traceback.format_exc().splitlines():
                print("#", line, flush=True)
        v4l2("--set-ctrl=osd_text_mode=2,horizontal_movement=5,vertical_movement=4")
    return 1 if failed else 0


sys.exit(main())
