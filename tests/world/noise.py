"""The noise of real sensors for the traced photos: measured profiles out of Debian's package darktable.

Nothing of the package is in this repository: its noiseprofiles.json is read where it lies (installed, or
unpacked with dpkg-deb -x and named in TAPERSIGHT_NOISE_PROFILES), and a picture's truth holds only the a and b
that were drawn.

Model (darktable's article "Profiling sensor and photon noise"): the variance of a channel at the light x, 0
to 1 of full scale, is a x + b: shot and read noise. The article measures it in developed pictures, by the
median absolute deviation of the finest wavelet coefficients, after the mosaic was filled in. Filling in
smooths, so a raw value is noisier than its profile says. `raw_gain` finds by how much: it puts noise of
variance 1 on a flat mosaic, fills it in as the chain does, and measures as the article does.
"""
import json
import os

import numpy as np

INSTALLED = "/usr/share/darktable/noiseprofiles.json"
# Small pixels hold few electrons, so their shot noise at the lowest ISO is large. From here up the list has
# 1/2.3 in and phone sensors and no large one; the figure was read off the sorted list in version 4.2.1.
SMALL_PIXEL_A = 1.0e-5


def load(path=None):
    """Profiles of small sensors: lists of {"iso", "a": [r, g, b], "b": [r, g, b]}, no names."""
    path = path or os.environ.get("TAPERSIGHT_NOISE_PROFILES", INSTALLED)
    if not os.path.exists(path):
        raise SystemExit("Sensor noise is read from the package darktable: install it first, or unpack it and "
                         "name its noiseprofiles.json in TAPERSIGHT_NOISE_PROFILES.")
    with open(path) as file:
        makers = json.load(file)["noiseprofiles"]
    sensors = []
    for maker in makers:
        for model in maker["models"]:
            rows = [{"iso": p["iso"], "a": p["a"], "b": p["b"]} for p in model["profiles"] if "a" in p]
            rows.sort(key=lambda r: r["iso"])
            # A fit may leave b below 0; such a profile says nothing of read noise, so the sensor is passed over.
            rows = [r for r in rows if min(r["a"]) > 0 and min(r["b"]) > 0]
            if rows and rows[0]["iso"] <= 200 and rows[0]["a"][1] >= SMALL_PIXEL_A:
                sensors.append(rows)
    return sensors


def draw(rng, iso_wanted, sensors=None):
    """The profile of one sensor at the ISO that is nearest to the one wanted."""
    sensors = sensors or load()
    rows = sensors[int(rng.integers(len(sensors)))]
    return dict(min(rows, key=lambda r: abs(np.log(r["iso"] / iso_wanted))))


def _finest_variance(plane):
    """Variance by the median absolute deviation of the finest diagonal Haar coefficients."""
    d = (plane[0::2, 0::2] - plane[0::2, 1::2] - plane[1::2, 0::2] + plane[1::2, 1::2]) / 2
    return (np.median(np.abs(d)) / 0.6745) ** 2


def raw_gain(demosaic, size=256):
    """How much larger a raw value's variance is than what is measured in each filled-in channel.
    `demosaic` takes a mosaic to an image of red, green, blue."""
    mosaic = np.random.default_rng(1).normal(0.5, 0.01, (size, size)).astype(np.float32)
    filled = demosaic(mosaic)
    return [1e-4 / _finest_variance(filled[..., c]) for c in range(3)]


def add(mosaic, channel, profile, gain, rng):
    """Shot and read noise on a raw mosaic (0 to 1). `channel` names each pixel's colour, 0 to 2."""
    a = (np.array(profile["a"]) * gain)[channel].astype(np.float32)
    b = (np.array(profile["b"]) * gain)[channel].astype(np.float32)
    sigma = np.sqrt(a * np.clip(mosaic, 0, 1) + b)
    return mosaic + sigma * rng.standard_normal(mosaic.shape, dtype=np.float32)
