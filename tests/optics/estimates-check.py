#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""filigree-cli optics --json against an independent computation in numpy.

Every number, of both demo rigs and of seeded random ones, complete and not.
What the program does in closed form is done here by brute force: areas are
integrated, the achromat's band is searched point by point, the middle of the
disc is turned in space. The Sun of a moment comes from astropy 5.2 and sunpy
4.1. Prints TAP.

Usage: estimates-check.py FILIGREE_CLI RIGS
"""
import json
import math
import os
import random
import subprocess
import sys
import tempfile
import warnings

import astropy.units as u
import numpy as np
from astropy.coordinates import TETE, get_sun
from astropy.time import Time
from astropy.utils import iers
from scipy import constants
from scipy.integrate import quad
from scipy.special import jn_zeros
from sunpy.coordinates import sun as sunpy_sun

warnings.simplefilter("ignore")
iers.conf.auto_download = False
iers.conf.iers_degraded_accuracy = "ignore"

CLI, RIGS = sys.argv[1:3]
SEED, RANDOM_RIGS = 5, 40
ARCSEC = math.degrees(1) * 3600
RADIUS_KM, AU_KM = 695700.0, 149597870.7      # IAU 2015 B3, IAU 2012 B2
NAN = math.nan
# Sellmeier coefficients: the glass maker's catalogue, 517642 and 620364, as transcribed in
# public optical libraries.
CROWN = [(1.03961212, 0.00600069867), (0.231792344, 0.0200179144), (1.01046945, 103.560653)]
FLINT = [(1.34533359, 0.00997743871), (0.209073176, 0.0470450767), (0.937357162, 111.886764)]
LINES = {"d": 587.5618, "F": 486.1327, "C": 656.2725, "g": 435.8343}
TEXTS = {"name", "findings", "sampling"}
results = []
deviations = {}


def check(good, name, note=""):
    results.append((bool(good), name, note))


# The achromat ------------------------------------------------------------

def index(glass, nm):
    um2 = (np.asarray(nm, dtype=float) * 1e-3) ** 2
    return np.sqrt(1 + sum(b * um2 / (um2 - c) for b, c in glass))


def focus(nm):
    """Focal length over that at the line d: two thin lenses whose powers are solved for."""
    at = {k: (index(CROWN, v) - 1, index(FLINT, v) - 1) for k, v in LINES.items()}
    shapes = np.linalg.solve([np.subtract(at["F"], at["C"]), at["d"]], [0, 1])
    return 1 / (shapes[0] * (index(CROWN, nm) - 1) + shapes[1] * (index(FLINT, nm) - 1))


def spread(low, high):
    if not 334 <= low <= high <= 2325:
        return NAN
    band = focus(np.linspace(low, high, 20001))
    return float(band.max() - band.min())


def check_achromat():
    """The figures that test-estimates.c holds the program to."""
    nm = np.linspace(500, 620, 120001)
    green = nm[np.argmin(focus(nm))]
    f = {k: float(focus(v)) for k, v in LINES.items()}
    for name, value, expected in [
            ("d is shorter than F = C by f/2002", 1 / (f["F"] - f["d"]), 2002),
            ("g is longer than d by f/449", 1 / (f["g"] - f["d"]), 449),
            ("F is longer than the shortest by f/1758", 1 / (f["F"] - float(focus(green))), 1758),
            ("the shortest focus lies at 556 nm", green, 556.5)]:
        check(abs(value / expected - 1) < 1e-3, name, f"{value}")
    for glass, n, abbe in ((CROWN, 1.51680, 64.17), (FLINT, 1.62004, 36.37)):
        d, blue, red = (float(index(glass, LINES[k])) for k in "dFC")
        check(abs(d - n) < 5e-6 and abs((d - 1) / (blue - red) - abbe) < 5e-3,
              f"the catalogue's n(d) {n} and Abbe's number {abbe}")


# A rig -------------------------------------------------------------------

def read_rig(path):
    """A plain reader of good rigs: elements up to the camera, in order."""
    elements = []
    with open(path, encoding="utf-8") as file:
        for line in file:
            line = line.strip()
            if line.startswith("[element"):
                elements.append({})
            elif "=" in line and not line.startswith("#") and elements:
                key, value = line.split("=", 1)
                elements[-1][key] = value
    for number, element in enumerate(elements):
        if element["kind"] == "camera":
            return elements[:number + 1]
    return elements


def number(element, key, otherwise=NAN):
    return float(element[key]) if key in element else otherwise


def fresnel_45(n):
    inside = math.asin(math.sin(math.pi / 4) / n)
    s = (math.sin(math.pi / 4 - inside) / math.sin(math.pi / 4 + inside)) ** 2
    p = (math.tan(math.pi / 4 - inside) / math.tan(math.pi / 4 + inside)) ** 2
    return (s + p) / 2


def share_through(element):
    if element["kind"] in ("front-filter", "density"):
        return 10 ** -number(element, "density")
    if element["kind"] == "wedge":
        return number(element, "reflectance_percent", 100 * fresnel_45(1.5168)) / 100
    return 1.0


def of_kind(path, kind):
    return [e for e in path if e["kind"] == kind]


def light_band(path):
    """Wavelength and width of the narrowest bandpass that tells its centre."""
    known = [e for e in of_kind(path, "bandpass") if "centre_nm" in e]
    if not known:
        return 550.0, NAN
    best = min(known, key=lambda e: number(e, "width_nm", math.inf))
    return number(best, "centre_nm"), number(best, "width_nm")


def mean_to_centre(nm):
    """Neckel 2005, Sol. Phys. 229, 13, integrated over the disc."""
    um = min(max(nm / 1000, 0.4226), 1.1)
    a, b = 1 / um, um ** -5
    curve = [0.75267 - 0.265577 * a, 0.93874 + 0.265577 * a - 0.004095 * b,
             -1.89287 + 0.012582 * b, 2.42234 - 0.017117 * b, -1.71150 + 0.011977 * b,
             0.49062 - 0.003347 * b]
    return quad(lambda r: 2 * r * np.polynomial.polynomial.polyval(
        math.sqrt(1 - r * r), curve), 0, 1)[0]


def electrons_per_ms(path, o):
    nm, width = light_band(path)
    h, c, k = constants.h, constants.c, constants.k
    lam = nm * 1e-9
    radiance = 2 * h * c ** 2 / lam ** 5 / math.expm1(h * c / lam / k / 5772)
    power = radiance * mean_to_centre(nm) ** -1 * width * 1e-9
    power *= (o["plate_scale_arcsec_per_px"] / ARCSEC) ** 2 * o["area_m2"]
    power *= 0.75 * 0.90 * math.prod(share_through(e) for e in path)
    for element in of_kind(path, "bandpass"):
        power *= number(element, "peak_percent", 90) / 100
    if of_kind(path, "polariser"):
        power *= NAN if of_kind(path, "wedge") else 0.5
    power *= number(path[-1], "quantum_efficiency_percent", 60) / 100
    return power / (h * c / lam) * 1e-3


def contract(path):
    """The numbers that are there since the first rig, at 1 au."""
    objective, camera = of_kind(path, "objective")[0], path[-1]
    nm, _ = light_band(path)
    lam = nm * 1e-9
    aperture, focal = number(objective, "aperture_mm"), number(objective, "focal_length_mm")
    factor = math.prod(number(e, "factor") for e in path if e["kind"] in ("amplifier", "reducer"))
    pixel = number(camera, "pixel_um")
    columns, rows = number(camera, "columns"), number(camera, "rows")
    ratio = focal * factor / aperture
    scale = pixel * 1e-3 / (focal * factor) * ARCSEC
    ring = jn_zeros(1, 1)[0] / math.pi
    blocked = number(objective, "obstruction_mm", 0) / aperture
    return {
        "focal_length_mm": focal * factor, "focal_ratio": ratio, "magnification": factor,
        "wavelength_nm": nm, "rayleigh_arcsec": ring * lam / (aperture * 1e-3) * ARCSEC,
        "dawes_arcsec": 116 / aperture, "cutoff_arcsec": lam / (aperture * 1e-3) * ARCSEC,
        "airy_diameter_um": 2 * ring * lam * 1e6 * ratio, "plate_scale_arcsec_per_px": scale,
        "samples_per_cutoff": lam * 1e6 * ratio / pixel,
        "field_width_arcsec": scale * columns, "field_height_arcsec": scale * rows,
        "depth_of_focus_um": 2 * lam * 1e6 * ratio ** 2,
        "focuser_depth_of_focus_um": 2 * lam * 1e6 * (focal / aperture) ** 2
                                     if not math.isnan(factor) else NAN,
        "sun_diameter_mm": 2 * focal * factor * math.tan(math.asin(RADIUS_KM / AU_KM)),
        "km_per_px": scale / ARCSEC * AU_KM,
        "reflections": len(of_kind(path, "wedge")) + len(of_kind(path, "diagonal")),
        "area_m2": math.pi / 4 * (aperture * 1e-3) ** 2 * (1 - blocked ** 2),
        "first_focal_mm": focal, "corner_mm": math.hypot(columns, rows) * pixel * 1e-3 / 2,
    }


# What follows from Sun and air ---------------------------------------------

MEAN_SUN = {"distance_au": 1.0, "b0_deg": 0.0, "dec_deg": 0.0, "rate": 15.0}


def sun_at(moment):
    time = Time(moment, scale="utc")
    time.delta_ut1_utc = 0
    step = 600.0
    places = [get_sun(t).transform_to(TETE(obstime=t))
              for t in (time - step * u.s, time, time + step * u.s)]
    turn = (places[2].ra - places[0].ra).wrap_at(180 * u.deg).arcsec / (2 * step)
    return {"distance_au": sunpy_sun.earth_distance(time).to_value(u.AU),
            "b0_deg": sunpy_sun.B0(time).deg, "dec_deg": places[1].dec.deg,
            # The Earth's sidereal turn: 360° in 86164.0905 s.
            "rate": 1296000 / 86164.0905 - turn}


def overlap(width, height):
    """Shares of a disc of diameter 1 and a field about it: of the disc, of the field."""
    if math.isnan(width) or math.isnan(height):
        return NAN, NAN
    edge = min(width, 1) / 2
    kink = math.sqrt(max(0.25 - height ** 2 / 4, 0))
    area = 4 * quad(lambda x: min(height / 2, math.sqrt(max(0.25 - x * x, 0))), 0, edge,
                    points=[kink] if 0 < kink < edge else None, limit=200)[0]
    return area / (math.pi / 4), area / (width * height)


def rotation_arcsec_per_min(sun):
    """A point in the middle of the disc, turned in space for a minute."""
    b0 = math.radians(sun["b0_deg"])
    s2 = math.sin(b0) ** 2
    sidereal = 14.713 - 2.396 * s2 - 1.787 * s2 ** 2
    earth = 360 / 365.25636 / sun["distance_au"] ** 2
    turn = math.radians(sidereal - earth) / 1440
    point = RADIUS_KM * np.array([math.cos(b0) * math.cos(turn), math.cos(b0) * math.sin(turn),
                                  math.sin(b0)])
    view = np.array([math.cos(b0), 0, math.sin(b0)])
    across = np.linalg.norm(np.cross(view, point))
    return math.atan2(across, sun["distance_au"] * AU_KM - point @ view) * ARCSEC


def estimates(path, o, sun, air):
    objective, camera = of_kind(path, "objective")[0], path[-1]
    nm, width_nm = light_band(path)
    semidiameter = math.asin(RADIUS_KM / (sun["distance_au"] * AU_KM))
    width, height = (o[f"field_{side}_arcsec"] / (2 * semidiameter * ARCSEC)
                     for side in ("width", "height"))
    of_sun, of_field = overlap(width, height)
    low, high = (nm - width_nm / 2, nm + width_nm / 2) if of_kind(path, "bandpass") else (400, 700)
    low, high = (x if x > 0 else NAN for x in (low, high))
    lens = objective.get("type") == "lens"
    factor, focal = o["magnification"], o["first_focal_mm"]
    colours = 1e3 * focal * factor ** 2 * spread(low, high) if lens else NAN
    sag = NAN
    if lens and objective.get("rear_group") != "yes":
        # At the first focus, and from there by the longitudinal magnification.
        sag = (o["corner_mm"] / factor) ** 2 / (2 * focal / 2.7) * factor ** 2 * 1e3
        if math.isnan(factor):
            sag = o["corner_mm"] ** 2 / (2 * focal / 2.7) * 1e3
    before = math.prod(share_through(e) for e in path[:path.index(objective)]
                       if e["kind"] in ("front-filter", "density"))
    image_mm = 2 * focal * math.tan(semidiameter)
    watts = 1000 * o["area_m2"] * before
    heat = watts / (math.pi / 4 * (image_mm / 10) ** 2)
    wedges = of_kind(path[path.index(objective):], "wedge")
    drift = sun["rate"] * math.cos(math.radians(sun["dec_deg"]))
    rotation = rotation_arcsec_per_min(sun)
    return {
        "distance_au": sun["distance_au"], "semidiameter_arcsec": semidiameter * ARCSEC,
        "field_width_share_of_sun": width, "field_height_share_of_sun": height,
        "field_share_of_sun": of_sun, "sun_share_of_field": of_field,
        "well_magnification_min": 2 * factor / o["samples_per_cutoff"],
        "well_magnification_max": 4 * factor / o["samples_per_cutoff"],
        "now_km_per_px": o["km_per_px"] * sun["distance_au"],
        "now_sun_diameter_mm": image_mm * factor, "first_focus_sun_diameter_mm": image_mm,
        "band_low_nm": low, "band_high_nm": high, "secondary_spectrum_um": colours,
        "secondary_spectrum_share_of_depth": colours / 2 / o["depth_of_focus_um"],
        "field_sag_corner_um": sag, "field_sag_share_of_depth": sag / o["depth_of_focus_um"],
        "aperture_w": watts, "first_focus_heat_w_per_cm2": heat,
        "behind_wedge_heat_w_per_cm2": heat * share_through(wedges[0]) if wedges else NAN,
        "exposure_estimate_ms": 0.7 * number(camera, "full_well_e") / o["electrons_per_ms"],
        "drift_arcsec_per_s": drift, "drift_width_s": o["field_width_arcsec"] / drift,
        "drift_height_s": o["field_height_arcsec"] / drift,
        "r0_mm": air[0], "wind_m_s": air[1], "freeze_exposure_ms": air[0] / 4 / air[1],
        "rotation_arcsec_per_min": rotation,
        "rotation_half_pixel_s": 30 * o["plate_scale_arcsec_per_px"] / rotation,
    }


def verdict(samples):
    if math.isnan(samples):
        return None
    return "under" if samples < 1.995 else "over" if samples > 4.005 else "well"


# Comparing -----------------------------------------------------------------

def run(path, moment, air):
    command = [CLI, "optics", "--json", path]
    if moment is not None:
        command += ["--time", moment]
    if air is not None:
        command += [f"--r0-mm={air[0]}", f"--wind-m-s={air[1]}"]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    if done.returncode != 0:
        return {}
    return json.loads(done.stdout, parse_constant=lambda text: text)


def differs(key, got, expected):
    if got is None or math.isnan(expected):
        return not (got is None and math.isnan(expected))
    if expected:
        deviations[key] = max(deviations.get(key, 0), abs(got / expected - 1))
    return not math.isclose(got, expected, rel_tol=1e-3)


def compare(name, path, moment=None, air=None):
    got = run(path, moment, air)
    elements = read_rig(path)
    expected = contract(elements)
    expected["electrons_per_ms"] = electrons_per_ms(elements, expected)
    expected |= estimates(elements, expected, MEAN_SUN if moment is None else sun_at(moment),
                          (50.0, 5.0) if air is None else air)
    wanted_sampling = verdict(expected["samples_per_cutoff"])
    for helper in ("area_m2", "first_focal_mm", "corner_mm"):
        del expected[helper]
    with open(path, encoding="utf-8") as file:
        rig = file.read()
    check(set(got) == set(expected) | TEXTS, f"{name}: the keys",
          f"{set(got) ^ (set(expected) | TEXTS)}")
    wrong = [f"{k}: {got.get(k)} is not {v}" for k, v in expected.items()
             if differs(k, got.get(k), v)]
    if got.get("sampling") != wanted_sampling:
        wrong.append(f"sampling: {got.get('sampling')} is not {wanted_sampling}")
    check(not wrong, f"{name}: {len(expected) + 1} values", "\n".join(wrong + [rig]))
    return got


# Random rigs -----------------------------------------------------------------

def random_element(dice, kind):
    """Keys of a kind, each now and then left out."""
    ranges = {
        "front-filter": {"density": (3, 6)}, "density": {"density": (0.3, 4)},
        "wedge": {"reflectance_percent": (3, 7)}, "diagonal": {}, "polariser": {},
        "amplifier": {"factor": (1.2, 6)}, "reducer": {"factor": (0.4, 0.95)},
        "bandpass": {"centre_nm": (390, 860), "width_nm": (0.5, 120), "peak_percent": (30, 99)},
        "blocker": {},
    }[kind]
    lines = [f"{key}={dice.uniform(*limits):.6g}" for key, limits in ranges.items()
             if dice.random() > (0.5 if key.endswith("percent") else 0.12)]
    return [f"kind={kind}", *lines]


def random_rig(dice):
    aperture = dice.uniform(30, 300)
    objective = ["kind=objective", f"aperture_mm={aperture:.6g}"]
    if dice.random() > 0.1:
        objective.append(f"type={dice.choice(['lens', 'lens', 'lens', 'mirror'])}")
    if dice.random() > 0.05:
        objective.append(f"focal_length_mm={aperture * dice.uniform(4, 16):.6g}")
    if dice.random() < 0.3:
        objective.append(f"obstruction_mm={aperture * dice.uniform(0.1, 0.5):.6g}")
    if dice.random() < 0.2:
        objective.append("rear_group=yes")
    camera = ["kind=camera"]
    for key, text in (("pixel_um", f"{dice.uniform(1.2, 9):.4g}"),
                      ("columns", str(dice.randint(300, 9000))),
                      ("rows", str(dice.randint(200, 7000))),
                      ("full_well_e", f"{dice.uniform(5e3, 1e5):.6g}")):
        if dice.random() > 0.08:
            camera.append(f"{key}={text}")
    if dice.random() < 0.5:
        camera.append(f"quantum_efficiency_percent={dice.uniform(20, 95):.4g}")
    kinds = ["wedge", "diagonal", "density", "amplifier", "reducer", "bandpass", "bandpass",
             "blocker", "polariser"]
    behind = [random_element(dice, k) for k in kinds if dice.random() < 0.4]
    dice.shuffle(behind)
    front = [random_element(dice, "front-filter")] if dice.random() < 0.4 else []
    late = [random_element(dice, "amplifier")] if dice.random() < 0.15 else []
    elements = [*front, objective, *behind, camera, *late]
    return "".join(f"[element {i}]\n" + "\n".join(lines) + "\n"
                   for i, lines in enumerate(elements, 1))


def check_random(folder):
    dice = random.Random(SEED)
    sampled, known = set(), 0
    for n in range(RANDOM_RIGS):
        path = os.path.join(folder, f"random-{n}.rig")
        with open(path, "w", encoding="utf-8") as file:
            file.write(random_rig(dice))
        moment = None if n % 4 else f"20{dice.randint(10, 40)}-{dice.randint(1, 12):02d}-11T13:20:00"
        air = None if n % 3 else (round(dice.uniform(20, 150), 1), round(dice.uniform(1, 20), 1))
        got = compare(f"random rig {n}", path, moment, air)
        sampled.add(got.get("sampling"))
        known += got.get("secondary_spectrum_um") is not None
    check({"under", "well", "over"} <= sampled and known >= 5,
          "the random rigs are of every kind", f"{sampled} {known}")


def main():
    check_achromat()
    for name in ("roof-102", "disc-60"):
        path = os.path.join(RIGS, name + ".rig")
        compare(name, path)
        compare(f"{name} at aphelion", path, "2027-07-05T00:00:00", (80.0, 4.0))
        compare(f"{name} near perihelion", path, "2026-01-03T12:00:00Z")
    with tempfile.TemporaryDirectory() as folder:
        check_random(folder)

    worst = max(deviations, key=deviations.get)
    print(f"# largest deviation: {deviations[worst]:.1e} of {worst}")
    print(f"1..{len(results)}")
    for place, (good, name, note) in enumerate(results, 1):
        print("ok" if good else "not ok", place, "-", name)
        if not good:
            print("#", note.replace("\n", "\n# "))


main()
