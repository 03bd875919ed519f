#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""filigree-cli optics and gate, from outside.

Numbers of the demo rig against closed formulas (scipy's zero of J1), what the
gate says to pipes, files and pseudo-terminals, and what becomes of bad rigs.
Prints TAP.

Usage: check_optics.py FILIGREE_CLI RIGS
"""
import json
import math
import os
import pty
import subprocess
import sys
import tempfile

from scipy.special import jn_zeros

CLI, RIGS = sys.argv[1:3]
KEYS = {"focal_length_mm", "focal_ratio", "magnification", "plate_scale_arcsec_per_px",
        "field_width_arcsec", "field_height_arcsec", "airy_diameter_um", "rayleigh_arcsec",
        "dawes_arcsec", "cutoff_arcsec", "samples_per_cutoff", "depth_of_focus_um",
        "focuser_depth_of_focus_um", "sun_diameter_mm", "km_per_px", "electrons_per_ms",
        "reflections", "findings"}
ROOF = os.path.join(RIGS, "roof-102.rig")
DISC = os.path.join(RIGS, "disc-60.rig")
results = []


def check(good, name, note=""):
    results.append((bool(good), name, note))


def run(*args, env=None, **kwargs):
    if "input" not in kwargs:
        kwargs["stdin"] = subprocess.DEVNULL
    return subprocess.run([CLI, *args], capture_output=True, text=True, timeout=30,
                          env={**os.environ, **(env or {})}, **kwargs)


def run_on_terminal(*args):
    """With a pseudo-terminal for input and output; nothing is typed."""
    control, terminal = pty.openpty()
    done = subprocess.run([CLI, *args], stdin=terminal, stdout=terminal, stderr=subprocess.PIPE,
                          text=True, timeout=30)
    os.close(terminal)
    os.close(control)
    return done


def write_rig(folder, text):
    path = os.path.join(folder, "test.rig")
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
    return path


def check_numbers():
    arcsec = 180 * 3600 / math.pi
    ring = jn_zeros(1, 1)[0] / math.pi
    lam, aperture, focal, ratio, pixel = 540e-9, 0.102, 2.04, 20, 2.9e-6
    scale = pixel / focal * arcsec
    expected = {
        "focal_length_mm": 2040, "focal_ratio": 20, "magnification": 2, "reflections": 1,
        "plate_scale_arcsec_per_px": scale, "field_width_arcsec": 1936 * scale,
        "field_height_arcsec": 1096 * scale, "airy_diameter_um": 2 * ring * lam * ratio * 1e6,
        "rayleigh_arcsec": ring * lam / aperture * arcsec, "dawes_arcsec": 116 / 102,
        "cutoff_arcsec": lam / aperture * arcsec, "samples_per_cutoff": lam * ratio / pixel,
        "depth_of_focus_um": 2 * lam * ratio ** 2 * 1e6,
        "focuser_depth_of_focus_um": 2 * lam * 10 ** 2 * 1e6,
        "sun_diameter_mm": 2 * 2040 * math.tan(math.asin(695700 / 149597870.7)),
        "km_per_px": scale / arcsec * 149597870.7,
    }
    got = json.loads(run("optics", ROOF, "--json").stdout)
    check(KEYS <= set(got), "all keys are there", str(KEYS - set(got)))
    for key, value in expected.items():
        check(math.isclose(got[key], value, rel_tol=1e-9), key, f"{got[key]} {value}")
    check(all(set(f) >= {"level", "code", "text"} and f["level"] in ("refuse", "warn", "note")
              for f in got["findings"]), "findings have level, code and text")
    text = run("optics", ROOF)
    check(text.returncode == 0 and "0.2932" in text.stdout, "people get text")


def check_time_and_air():
    near = json.loads(run("optics", ROOF, "--json", "--time", "2026-01-03T12:00:00").stdout)
    far = json.loads(run("optics", ROOF, "--json", "--time", "2026-07-06T12:00:00Z").stdout)
    plain = json.loads(run("optics", ROOF, "--json").stdout)
    check(near["distance_au"] < 0.984 and far["distance_au"] > 1.016,
          "the Earth is at perihelion in January, and at aphelion in July")
    check(near["now_km_per_px"] < plain["now_km_per_px"] < far["now_km_per_px"],
          "km a pixel now follow the distance")
    check(near["km_per_px"] == far["km_per_px"] == plain["km_per_px"] == plain["now_km_per_px"],
          "those of the contract stay at 1 au")
    air = json.loads(run("optics", ROOF, "--json", "--r0-mm", "80", "--wind-m-s=4").stdout)
    check(air["r0_mm"] == 80 and air["wind_m_s"] == 4 and air["freeze_exposure_ms"] == 5,
          "a quarter of r0 over the wind")
    text = run("optics", ROOF, "--r0-mm", "80").stdout
    check("r0 80 mm, 5 m/s" in text and "middling" not in text, "and people are told which")
    check("middling" in run("optics", ROOF).stdout, "without options, that it was taken")
    done = run("optics", ROOF, "--time", "1850-01-01")
    check(done.returncode == 2 and done.stdout == "", "no Sun before 1900", done.stderr)


def check_groups():
    text = run("optics", ROOF).stdout
    groups = ["Telescope", "On the sky", "Resolution and sampling", "Focus", "Light and heat",
              "Time", "Findings on the light path"]
    places = [text.find(f"\n{group}\n") for group in groups]
    check(-1 not in places and places == sorted(places), "the groups in their order", str(places))
    check("Estimate. " in text and "wedge reflects 5.3 %" in text, "assumptions are told")
    check("cap stays on" in text, "and that the focus burns")
    check(max(map(len, text[:places[-1]].splitlines())) <= 80, "no number's line is too long")


def check_locale():
    plain = run("optics", ROOF, "--json").stdout
    comma = run("optics", ROOF, "--json", env={"LC_ALL": "de_DE.UTF-8"}).stdout
    numbers = [{k: v for k, v in json.loads(t).items() if k != "findings"} for t in (plain, comma)]
    check(numbers[0] == numbers[1], "a decimal comma changes nothing")


def check_refused_rig(folder):
    path = write_rig(folder, "[element 1]\nkind=objective\ntype=lens\naperture_mm=1e-300\n"
                             "[element 2]\nkind=camera\n")
    done = run("optics", path, "--json")
    got = json.loads(done.stdout)
    check(done.returncode == 0, "a refusing finding is status 0")
    check([f["code"] for f in got["findings"] if f["level"] == "refuse"] == ["no-filter"],
          "and is told")
    check(got["focal_length_mm"] is None and got["plate_scale_arcsec_per_px"] is None,
          "what isn't known is null")
    for source in ("/dev/video0", "sim:"):
        done = run("gate", "--rig", path, "--source", source)
        check(done.returncode == 1 and "no-filter: " in done.stderr and "gate" in done.stderr
              and done.stdout == "", f"gate refuses it for {source}, and asks nothing", done.stderr)


def check_bad_rigs(folder):
    cases = {
        "[rig]\nname=a\n[rig]\n": ":3: [rig]: ",
        "[element 1]\nkind=objective\naperture_mm=2,5\n": ":3: aperture_mm: ",
        "[element 1]\nkind=objective\naperture_mm=nan\n": ":3: aperture_mm: ",
        "[element 2]\nkind=objective\n": ":1: [element 2]: ",
        "[element 1]\nkind=objective\n": ": the rig is incomplete",
    }
    for text, part in cases.items():
        path = write_rig(folder, text)
        for command in (["optics", path], ["optics", path, "--json"],
                        ["gate", "--source", "/dev/video0", "--rig", path]):
            done = run(*command)
            check(done.returncode == 1 and path + part in done.stderr and done.stdout == ""
                  and done.stderr.count("\n") == 1 and done.stderr.startswith("filigree-cli: "),
                  f"{command[0]}: {part}", done.stderr)
    for path in (folder, os.path.join(folder, "missing"), "/dev/zero"):
        done = run("optics", path)
        check(done.returncode == 1 and path in done.stderr, f"{path} is no rig", done.stderr)


def check_gate():
    for how in ({}, {"input": "yes\n" * 20 + "front-filter\n"}):
        done = run("gate", "--rig", DISC, "--source", "/dev/video0", **how)
        check(done.returncode == 1 and "gate" in done.stderr and "yes or no" not in done.stdout,
              "a pipe opens no gate", done.stderr)
    done = run_on_terminal("gate", "--rig", DISC, "--source", "/dev/null")
    check(done.returncode == 1 and "gate" in done.stderr, "nor does a device that is no camera",
          done.stderr)
    done = run("gate", "--rig", DISC, "--source", "sim:")
    check(done.returncode == 0 and "no pass is needed" in done.stdout,
          "the simulated Sun needs no pass")


def check_usage():
    for args in (["gate"], ["gate", "--rig", DISC], ["gate", "--rig", DISC, "--source", "sim:", "x"],
                 ["gate", "--rig", DISC, "--source", "sim:", "--yes"], ["optics"],
                 ["optics", DISC, ROOF], ["optics", DISC, "--force"],
                 ["optics", DISC, "--time", "noon"], ["optics", DISC, "--time", ""],
                 ["optics", DISC, "--r0-mm", "0"], ["optics", DISC, "--r0-mm", "5 cm"],
                 ["optics", DISC, "--wind-m-s", "nan"], ["optics", DISC, "--wind-m-s=-3"]):
        check(run(*args).returncode == 2,
              " ".join(os.path.basename(a) for a in args) + " is wrong usage")


def main():
    with tempfile.TemporaryDirectory() as folder:
        check_numbers()
        check_time_and_air()
        check_groups()
        check_locale()
        check_refused_rig(folder)
        check_bad_rigs(folder)
        check_gate()
        check_usage()

    print(f"1..{len(results)}")
    for number, (good, name, note) in enumerate(results, 1):
        print("ok" if good else "not ok", number, "-", name)
        if not good:
            print("#", note.replace("\n", " "))


main()
