"""Real lenses for the traced photos: measured distortion out of Debian's package liblensfun-data-v1.

Nothing of the package is in this repository: it is read where it is installed, and a picture's truth holds
only the coefficients that were drawn.

Formulas (lensfun's manual, 0.3.2: "How the corrections work" and the reference of lfDistortionModel and
lfTCAModel). With Ru the radius of a point as a pinhole sees it and Rd as the lens shows it:
    poly3    Rd = Ru (1 - k1 + k1 Ru^2)
    poly5    Rd = Ru (1 + k1 Ru^2 + k2 Ru^4)
    ptlens   Rd = Ru (a Ru^3 + b Ru^2 + c Ru + 1 - a - b - c)
    lateral colour, red and blue: linear Rd = k Ru, poly3 Rd = Ru (v + c Ru + b Ru^2)
The radius is 1 at half the shorter side of the picture that the lens was calibrated with. Crop factors go
by the diagonal, so for a picture of another aspect at the same crop factor the radius is counted from the
diagonal: r = r_px / (half our diagonal) * sqrt(aspect^2 + 1), aspect the calibration's (3:2 unless told).

ptlens and the axis. The distortion of a lens that is round about its axis is even: Rd / Ru is a series in Ru^2
(Seidel's aberrations, any book on optics). ptlens has odd powers; those of a phone often change the scale by 2 % in the
first tenth of the picture, a spike on the axis that no lens makes: the fit had no points there, and the three terms
make up for each other farther out. So a ptlens curve is taken for what was measured, and the nearest even curve to it
(four terms, least squares over the picture's area) for the lens. `spike_px` says how far the two lie apart.
"""
import glob
import math
import os
import xml.etree.ElementTree as ElementTree

import numpy as np

FOLDER = "/usr/share/lensfun/version_1"
# A small sensor has a crop factor from here up (a 1 in type sensor has 2.7). Equivalent focal lengths of
# phones' main cameras and of compacts near their wide end.
MIN_CROP = 3.5
EQUIVALENT_MM = (23.0, 40.0)
# Compacts stand "near the wide end" up to this many times their shortest focal length.
NEAR_WIDE = 1.25


def _number(element, name, default=0.0):
    value = element.get(name)
    return default if value is None else float(value)


def _aspect(lens):
    text = lens.findtext("aspect-ratio")
    if text is None:
        return 1.5
    parts = [float(p) for p in text.split(":")]
    return parts[0] / parts[1] if len(parts) == 2 else parts[0]


def _tca(calibration, focal):
    """The lateral colour that was measured nearest to this focal length, as (v, c, b) for red and blue."""
    found = [t for t in calibration.findall("tca") if abs(_number(t, "focal") / focal - 1) < 0.1]
    if not found:
        return None
    nearest = min(found, key=lambda t: abs(_number(t, "focal") - focal))
    if nearest.get("model") == "linear":
        return {"red": [_number(nearest, "kr", 1), 0, 0], "blue": [_number(nearest, "kb", 1), 0, 0]}
    if nearest.get("model") == "poly3":
        return {side: [_number(nearest, "v" + s, 1), _number(nearest, "c" + s), _number(nearest, "b" + s)]
                for side, s in (("red", "r"), ("blue", "b"))}
    return None


def _terms(distortion):
    names = {"poly3": ["k1"], "poly5": ["k1", "k2"], "ptlens": ["a", "b", "c"]}[distortion.get("model")]
    return [_number(distortion, n) for n in names]


def load(folder=FOLDER):
    """All lenses that qualify, without any name: those of phones (one focal length, tiny sensor) and those of
    compacts, each as a list of its focal lengths."""
    paths = sorted(glob.glob(os.path.join(folder, "compact-*.xml"))) + [os.path.join(folder, "misc.xml")]
    if len(paths) < 2 or not os.path.exists(paths[-1]):
        raise SystemExit("Real lenses are read from the package liblensfun-data-v1: install it first.")
    phones, compacts = [], []
    for path in paths:
        for lens in ElementTree.parse(path).getroot().iter("lens"):
            name = lens.findtext("model") or ""
            calibration = lens.find("calibration")
            crop = float(lens.findtext("cropfactor") or 0)
            if calibration is None or crop < MIN_CROP or "with " in name or "macro" in name:
                continue  # converters in front of the lens are not what a shop has in the pocket
            if lens.findtext("type") not in (None, "rectilinear"):
                continue
            rows = [d for d in calibration.findall("distortion") if d.get("model") in ("poly3", "poly5", "ptlens")]
            if not rows:
                continue
            widest = min(_number(d, "focal") for d in rows)
            usable = []
            for d in rows:
                focal = _number(d, "focal")
                if focal > NEAR_WIDE * widest or not EQUIVALENT_MM[0] <= focal * crop <= EQUIVALENT_MM[1]:
                    continue
                entry = {"model": d.get("model"), "terms": _terms(d), "focal_mm": focal, "crop": crop,
                         "aspect": _aspect(lens), "lateral_colour": _tca(calibration, focal)}
                usable.append(entry)
            if usable:
                phone = len(rows) == 1 and crop > 4.4 and usable[0]["focal_mm"] < 5
                (phones if phone else compacts).append(usable)
    return phones, compacts


def draw(rng, pools=None):
    """A lens: a phone's as often as a compact's. `rng` is a numpy Generator."""
    phones, compacts = pools or load()
    pool = phones if rng.random() < 0.5 else compacts
    lens = pool[int(rng.integers(len(pool)))]
    entry = dict(lens[int(rng.integers(len(lens)))])
    entry["kind"] = "phone" if pool is phones else "compact"
    return entry


class Lens:
    """The lens over a picture of width x height pixels: pinhole pixel <-> pixel in the photo.
    Pixel (0, 0) is the centre of the top left pixel; `centre` is where the optical axis meets the picture."""

    def __init__(self, entry, width, height, centre=None, made_even=True):
        self.entry = entry
        self.centre = np.array(centre if centre is not None else [(width - 1) / 2, (height - 1) / 2], float)
        self.unit_px = math.hypot(width, height) / 2 / math.sqrt(entry["aspect"] ** 2 + 1)  # radius 1
        # 35 mm frames have a diagonal of 43.267 mm.
        self.focal_px = entry["focal_mm"] * entry["crop"] / (math.hypot(36, 24) / 2) * math.hypot(width, height) / 2
        corner = np.hypot(max(self.centre[0], width - self.centre[0]), max(self.centre[1], height - self.centre[1]))
        self._corner = 1.02 * corner / self.unit_px
        self._ru = np.linspace(0, 1.35 * self._corner, 20001)
        self.even, self.spike_px = None, 0.0
        if entry["model"] == "ptlens" and made_even:
            self._make_even()

    def _seen(self):
        """How many of the table's radii the picture needs: up to where the curve first reaches its corner."""
        beyond = np.flatnonzero(self.distorted_radius(self._ru) > self._corner)
        return beyond[0] + 1 if len(beyond) else len(self._ru)

    def _make_even(self):
        """Rd = Ru (e0 + e1 u + e2 u^2 + e3 u^3 + e4 u^4), u = Ru^2, nearest to the entry's curve up to the corner."""
        ru = self._ru[1:self._seen():10]
        measured = self.distorted_radius(ru)
        powers = np.stack([ru ** (2 * k + 1) for k in range(5)], axis=1)
        area = np.sqrt(ru)[:, None]
        terms = np.linalg.lstsq(powers * area, measured * area[:, 0], rcond=None)[0]
        self.spike_px = float(np.abs(powers @ terms - measured).max() * self.unit_px)
        self.even = terms.tolist()

    def distorted_radius(self, ru):
        if self.even:
            return ru * np.polynomial.polynomial.polyval(ru ** 2, self.even)
        t = self.entry["terms"]
        if self.entry["model"] == "poly3":
            return ru * (1 - t[0] + t[0] * ru ** 2)
        if self.entry["model"] == "poly5":
            return ru * (1 + t[0] * ru ** 2 + t[1] * ru ** 4)
        a, b, c = t
        return ru * (((a * ru + b) * ru + c) * ru + 1 - a - b - c)

    def _colour_radius(self, rd, colour):
        tca = self.entry["lateral_colour"]
        if colour == "green" or tca is None:
            return rd
        v, c, b = tca[colour]
        return rd * (v + c * rd + b * rd ** 2)

    def is_usable(self):
        """The distortion may be turned round over the whole picture."""
        rd = self.distorted_radius(self._ru)[: self._seen()]
        return bool(rd[-1] > self._corner and np.all(np.diff(rd) > 0))

    def photo_from_pinhole(self, points, colour="green"):
        q = (np.asarray(points, float) - self.centre) / self.unit_px
        ru = np.hypot(q[..., 0], q[..., 1])
        last = self._ru[self._seen() - 1]  # beyond the picture a curve may turn back: go straight on
        rd = self._colour_radius(self.distorted_radius(np.minimum(ru, last)), colour) + np.maximum(ru - last, 0)
        factor = np.where(ru > 1e-9, rd / np.maximum(ru, 1e-12), self.distorted_radius(1e-6) / 1e-6)
        return self.centre + self.unit_px * q * factor[..., None]

    def pinhole_from_photo(self, points, colour="green"):
        q = (np.asarray(points, float) - self.centre) / self.unit_px
        rd = np.hypot(q[..., 0], q[..., 1])
        table = np.maximum.accumulate(self._colour_radius(self.distorted_radius(self._ru), colour))
        ru = np.interp(rd, table, self._ru)  # 20001 knots: off by less than 1e-4 px, and smoothly
        factor = np.where(rd > 1e-9, ru / np.maximum(rd, 1e-12), self._ru[1] / table[1])
        return self.centre + self.unit_px * q * factor[..., None]

    def truth(self):
        """For the picture's truth: what was drawn, no names."""
        return {**self.entry, "even_terms": self.even, "spike_px": self.spike_px, "unit_px": self.unit_px, "centre_px": self.centre.tolist(), "focal_px": self.focal_px}
