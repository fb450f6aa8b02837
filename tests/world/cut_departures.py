"""Departures of a sawn edge from its straight cut: mm over s (mm along the edge), outward positive. numpy only.

Drawn from what saws, fences and wood do: smooth cuts, torn fibres, noise of all lengths, a kink, a slow waver, a bow,
scallops of single teeth. Nothing is taken from the estimator or from tests/synth.
"""
import numpy as np

THOU = 0.0254


def band_noise(rng, s, shortest_mm, longest_mm, exponent):
    """Noise of 1 rms whose power falls as 1/f^exponent between two wavelengths; not periodic over s."""
    n, step = len(s), (s[-1] - s[0]) / (len(s) - 1)
    total = 3 * n
    f = np.fft.rfftfreq(total, step)
    inside = (f >= 1 / longest_mm) & (f <= 1 / shortest_mm)
    amplitude = np.zeros_like(f)
    amplitude[inside] = f[inside] ** (-exponent / 2)
    spectrum = amplitude * (rng.normal(size=f.size) + 1j * rng.normal(size=f.size))
    noise = np.fft.irfft(spectrum, total)
    noise /= max(noise.std(), 1e-12)
    start = rng.integers(0, total - n)
    return noise[start:start + n]


def smooth(rng, s, rms_mm):
    """A planer-like cut: a little of everything, never above 5 um."""
    return rms_mm * band_noise(rng, s, 0.25, rng.uniform(2, 40), rng.uniform(0, 1.5))


def fractal(rng, s, rms_mm):
    return rms_mm * band_noise(rng, s, 0.25, s[-1] - s[0], rng.uniform(1.0, 2.2))


def rough(rng, s, rms_mm):
    """Torn fibres: dents of many lengths, steep on the side where the tooth came in, and few that stand out."""
    out = np.zeros_like(s)
    span = s[-1] - s[0]
    for _ in range(rng.poisson(span * rng.uniform(1, 4))):
        at, length = rng.uniform(s[0], s[-1]), 0.15 * rng.pareto(1.6) + 0.1
        length = min(length, 6.0)
        u = (s - at) / length
        dent = np.where((u >= 0) & (u < 0.2), u / 0.2, np.where((u >= 0.2) & (u < 1), (1 - u) / 0.8, 0))
        out -= dent * length ** 0.5 * rng.uniform(0.2, 1) * (1 if rng.random() < 0.85 else -1.2)
    out += 0.3 * out.std() * band_noise(rng, s, 0.25, 1.5, 0)
    out -= out.mean()
    return rms_mm * out / max(out.std(), 1e-12)


def without_line(s, d):
    """A bend has no straight cut of its own: its least-squares line is taken as the cut."""
    return d - np.polyval(np.polyfit(s, d, 1), s)


def kink(rng, s, step_mm):
    """The board slipped on the fence: from one point on the cut runs at another angle."""
    at = rng.uniform(s[0] + 0.25 * (s[-1] - s[0]), s[0] + 0.75 * (s[-1] - s[0]))
    bend = np.maximum(s - at, 0)
    d = without_line(s, bend)
    return rng.choice([-1, 1]) * step_mm * d / np.ptp(d)


def waver(rng, s, peak_to_peak_mm):
    """The board wandered along the fence: some slow waves, of no whole number over the strip."""
    span = s[-1] - s[0]
    d = np.zeros_like(s)
    for _ in range(rng.integers(2, 5)):
        waves = rng.uniform(0.8, 4.5)
        d += np.sin(2 * np.pi * (waves * (s - s[0]) / span + rng.random())) / waves ** rng.uniform(0.3, 1.2)
    return peak_to_peak_mm * (d - d.mean()) / np.ptp(d)


def bow(rng, s, sagitta_mm):
    u = 2 * (s - s[0]) / (s[-1] - s[0]) - 1
    return without_line(s, sagitta_mm * (1 - u ** 2))


def saw_marks(rng, s, depth_mm, feed_mm):
    """Scallops left by single teeth: cusps a feed apart, some teeth longer than others, feed by hand never even."""
    feed = 1 + 0.15 * band_noise(rng, s, 5, 80, 1)
    phase = np.cumsum(np.maximum(feed, 0.4)) * (s[1] - s[0]) / feed_mm + rng.random()
    tooth = rng.uniform(0.3, 1, size=64)[np.floor(phase).astype(int) % 64]
    scallop = -(2 * (phase % 1) - 1) ** 2 * tooth
    return depth_mm * (scallop - scallop.mean()) * 2


MAKERS = {"smooth": smooth, "rough": rough, "fractal": fractal, "kink": kink, "waver": waver, "bow": bow}
