"""From the light of a flatbed picture to its file: optics, colour lines, noise, curve, sharpening, file; and its truth."""
import math
import os
import pathlib
import struct
import zlib

os.environ["OPENCV_IO_ENABLE_OPENEXR"] = "1"
import cv2
import numpy as np

import flatbed_pictures
import flatbed_scene
import sheet_texture
import strip_solid
import truth

FINER = 2
LARGEST_FILE = 2_000_000


def enlarged(coarse, w, h):
    """A coarser view as w x h: its height is exactly the picture's, its width is centred."""
    zoom = coarse.shape[0] / h
    place = np.array([[zoom, 0, zoom / 2 - zoom * w / 2 + coarse.shape[1] / 2 - 0.5], [0, zoom, zoom / 2 - 0.5]])
    return cv2.warpAffine(coarse, place, (w, h), flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP, borderMode=cv2.BORDER_REPLICATE)


def quieter(coarse, covered):
    """The lid's light, smooth by nature, with the renderer's noise averaged over some 0.7 mm of what can be seen of the lid;
    what lies under strip and paper does not count."""
    h, w = covered.shape
    zoom = coarse.shape[0] / h
    place = np.array([[1 / zoom, 0, w / 2 - coarse.shape[1] / 2 / zoom + 0.5 / zoom - 0.5], [0, 1 / zoom, 0.5 / zoom - 0.5]])
    small = cv2.blur(covered, (int(1 / zoom) | 1,) * 2)
    seen = 1.001 - cv2.warpAffine(small, place, coarse.shape[1::-1], flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, borderMode=cv2.BORDER_REPLICATE)
    weight = cv2.GaussianBlur(seen, (0, 0), 1.4)
    return cv2.GaussianBlur(coarse * seen[..., None], (0, 0), 1.4) / weight[..., None]


def quieter_walls(front, scene, glass):
    """A lens sees one side wall of the strip. The renderer's noise on it is averaged over some 0.2 mm along the wall, within the
    wall: what lies outside the arris on the glass and inside the strip's share."""
    if scene.scanner.sensor != "ccd" or scene.broken_at:
        return front
    rows, columns = np.arange(front.shape[0]), np.arange(front.shape[1])
    out = front.copy()
    for index, (strip, *_) in enumerate(scene.strips):
        shape = strip_solid.StripShape(strip)
        s = np.arange(-strip.length_mm / 2, strip.length_mm / 2, strip_solid.STEP_MM)
        lines = {}
        for side in ("left", "right"):
            on_glass = glass.strip_to_glass(index, np.column_stack([shape.edge(side, s), s]))
            fine = FINER * (glass.pixel(glass.seen(np.column_stack([on_glass, 0 * s]))) + 0.5) - 0.5
            fine = fine[np.argsort(fine[:, 1])]
            lines[side] = np.interp(rows, fine[:, 1], fine[:, 0], left=np.nan, right=np.nan)
        first, last = np.fmin(lines["left"], lines["right"]), np.fmax(lines["left"], lines["right"])
        for inner, outer in ((first - 0.8, first - 60 * FINER), (last + 60 * FINER, last + 0.8)):
            beyond = (columns[None, :] < inner[:, None]) & (columns[None, :] > outer[:, None])
            wall = (beyond & (front[..., 3] > 0)).astype(np.float32)
            sigma = 0.1 * FINER * scene.scanner.dpi / 25.4
            total = cv2.GaussianBlur(wall * front[..., 3], (1, 2 * int(3 * sigma) + 1), sigmaX=0.01, sigmaY=sigma)
            mean = cv2.GaussianBlur(front[..., :3] * wall[..., None], (1, 2 * int(3 * sigma) + 1), sigmaX=0.01, sigmaY=sigma)
            use = (wall > 0) & (total > 1e-3)
            out[use, :3] = (mean / np.maximum(total, 1e-3)[..., None] * front[..., 3:])[use]
    return out


def light_of_the_scan(scene, glass, rendered):
    """(linear light, rows and columns twice as fine as the scan, blue first; share of sheet and strip)."""
    front = cv2.imread(f"{rendered}-front.exr", cv2.IMREAD_UNCHANGED)
    tone = cv2.imread(f"{rendered}-lid.exr", cv2.IMREAD_UNCHANGED)[..., :3]
    if scene.strips:
        strip = cv2.imread(f"{rendered}-strip.exr", cv2.IMREAD_UNCHANGED)
        left, top, right, bottom = (FINER * v for v in glass.strip_box_px())
        if strip.shape[:2] != (bottom - top, right - left):
            raise ValueError(f"{rendered}-strip.exr is {strip.shape[1]} x {strip.shape[0]}, not {right - left} x {bottom - top}")
        front[top:bottom, left:right] = strip
    h, w = front.shape[:2]
    coarse = quieter(cv2.imread(f"{rendered}-light.exr", cv2.IMREAD_UNCHANGED)[..., :3], front[..., 3])
    behind = np.clip(enlarged(coarse, w, h), 0, None) * np.clip(enlarged(tone, w, h), 0, None)
    depth_mm = scene.strips[0][0].thickness_mm if scene.strips else 0.3
    fine_px_per_mm = FINER * scene.scanner.dpi / 25.4
    focus = 0.12 if scene.scanner.sensor == "contact" else 0.008  # blur's radius per mm of depth: rod lenses against a far lens
    behind = cv2.filter2D(behind, -1, disc(focus * depth_mm * fine_px_per_mm), borderType=cv2.BORDER_REFLECT)
    front = quieter_walls(front, scene, glass)
    return front[..., :3] + (1 - front[..., 3:]) * behind


def drawn_kernel(inside, radius_px):
    """A kernel whose weights are the shares of each pixel's area, of inside(x, y)."""
    n = int(math.ceil(radius_px + 0.5))
    grid = (np.arange((2 * n + 1) * 15) + 0.5) / 15 - n - 0.5
    fine = inside(*np.meshgrid(grid, grid)).astype(np.float64)
    kernel = fine.reshape(2 * n + 1, 15, 2 * n + 1, 15).sum((1, 3))
    return kernel / kernel.sum()


def disc(radius_px):
    return drawn_kernel(lambda x, y: x * x + y * y <= max(radius_px, 0.3) ** 2, max(radius_px, 0.3))


def through_optics(light, scanner):
    """The lens' blur (box, disc or tent of about the same width, with a long tail), then the row's own travel."""
    psf, finer_per_mm = scanner.psf, FINER * scanner.dpi / 25.4
    r = psf["radius_px"] * FINER
    kernel = {"box": lambda: drawn_kernel(lambda x, y: (abs(x) <= 1.2 * r) & (abs(y) <= 1.2 * r), 1.2 * r),
              "disc": lambda: disc(1.4 * r),
              "tent": lambda: drawn_kernel(lambda x, y: np.clip(1 - abs(x) / (1.8 * r), 0, 1) * np.clip(1 - abs(y) / (1.8 * r), 0, 1), 1.8 * r)
              }[psf["shape"]]()
    travel = np.array([[0.25], [0.5], [0.25]])  # one row of travel, two fine rows wide, centred
    core = cv2.filter2D(cv2.filter2D(light, -1, kernel, borderType=cv2.BORDER_REPLICATE), -1, travel, borderType=cv2.BORDER_REPLICATE)
    small = cv2.resize(light, None, fx=0.125, fy=0.125, interpolation=cv2.INTER_AREA)
    near, far = (cv2.GaussianBlur(small, (0, 0), k * psf["tail_mm"] * finer_per_mm / 8) for k in (1, 4))
    tail = cv2.resize(0.6 * near + 0.4 * far, (light.shape[1], light.shape[0]), interpolation=cv2.INTER_LINEAR)
    return (1 - psf["tail"]) * core + psf["tail"] * tail


def colour_lines(light, scanner):
    """Red and blue are read by lines of their own; what the firmware's correction leaves over is a shift along the way."""
    out = light.copy()
    for channel, rows in ((2, scanner.colour_rows[0]), (0, scanner.colour_rows[1])):
        move = np.array([[1, 0, 0], [0, 1, rows * FINER]])
        out[..., channel] = cv2.warpAffine(light[..., channel], move, light.shape[1::-1], flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return out


def sensed(rng, light, scanner):
    """Signal 0..1 with the sensor's noise: photons, reading, and columns whose calibration is not quite right."""
    noise, curve = scanner.noise, scanner.curve
    signal = light * (curve["white"] / 0.9) * np.array(curve["tint"][::-1], np.float32)
    gain = 1 + noise["columns"] * rng.normal(size=(1, light.shape[1], 1))
    for _ in range(noise["dust"]):  # dust on the white reference: a brighter streak all the way down
        at, wide = rng.uniform(0, light.shape[1]), rng.uniform(0.7, 2.5)
        gain[0, :, 0] += rng.uniform(0.01, 0.05) * np.exp(-((np.arange(light.shape[1]) - at) / wide) ** 2)
    signal = signal * gain
    spread = np.sqrt(np.clip(signal, 0, None) / noise["full_well"] + noise["read"] ** 2)
    return np.clip(signal + spread * rng.standard_normal(signal.shape), 0, 1)


def coded(signal, curve):
    """Code values 0..1. sRGB: IEC 61966-2-1. The vendor's curve lifts the shadows less and rolls off towards white."""
    s = curve["black"] + (1 - curve["black"]) * signal
    srgb = np.where(s <= 0.0031308, 12.92 * s, 1.055 * np.maximum(s, 1e-9) ** (1 / 2.4) - 0.055)
    if curve["kind"] == "srgb":
        return srgb
    if curve["kind"] == "gamma":
        return s ** (1 / curve["gamma"])
    return 0.65 * srgb + 0.35 * srgb * srgb * (3 - 2 * srgb)


def with_density(data, dpi):
    """The file's bytes with the resolution in its own field."""
    if data[:2] == b"\xff\xd8":
        return data[:13] + struct.pack(">BHH", 1, dpi, dpi) + data[18:]
    per_metre = round(dpi / 0.0254)
    chunk = b"pHYs" + struct.pack(">IIB", per_metre, per_metre, 1)
    return data[:33] + struct.pack(">I", 9) + chunk + struct.pack(">I", zlib.crc32(chunk)) + data[33:]


def as_file(codes, scanner):
    """(bytes, ending, what was done). A JPEG that would be too large for the repository is saved at a lower quality."""
    how = dict(scanner.file)
    if how.get("grey"):
        codes = codes @ np.array([0.114, 0.587, 0.299])
    picture = np.clip(np.round(255 * codes), 0, 255).astype(np.uint8)
    if how["kind"] == "png":
        return bytes(cv2.imencode(".png", picture, [cv2.IMWRITE_PNG_COMPRESSION, 9])[1]), ".png", how
    how["chroma_halved"] = not how.get("grey")  # the library at hand writes no other colour JPEG
    while True:
        data = bytes(cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, how["quality"]])[1])
        if len(data) <= LARGEST_FILE:
            return data, ".jpg", how
        how["quality"] -= 1


def shape_truth(scene, glass, light):
    """What is true of the first strip: its own measures, where its straight cuts lie, and the tones beside each other."""
    shape = strip_solid.StripShape(scene.strips[0][0])
    keys = truth.of_strip(shape)
    keys["edges_px"] = {}
    corners = {}
    for side, ends in truth.straight_ends(shape).items():
        keys["edges_px"][side] = {}
        for end, xy in ends.items():
            on_glass = glass.strip_to_glass(0, [xy])
            keys["edges_px"][side][end] = glass.pixel(glass.seen(np.column_stack([on_glass, [0.0]])))[0].tolist()
            corners[side, end] = np.array(keys["edges_px"][side][end])
    face, ground = tones(light, corners, scene.scanner.dpi)
    keys |= {"face_tone": face, "ground_tone": ground, "contrast": abs(face - ground)}
    return keys


def tones(light, corners, dpi):
    """Mean light (white 1) of the face, 1 mm off its edges, and of 0.5 to 3 mm of the ground on both sides."""
    seen = light @ np.array([0.0722, 0.7152, 0.2126])
    across = (corners["right", "far_end"] - corners["left", "far_end"])
    across /= np.linalg.norm(across)
    mm = dpi / 25.4

    def band(a, b):
        mask = np.zeros(seen.shape, np.uint8)
        cv2.fillPoly(mask, [np.round([a["far_end"], a["fence_end"], b["fence_end"], b["far_end"]]).astype(np.int32)], 1)
        return seen[mask > 0].mean()

    def beside(side, off_mm): return {end: corners[side, end] + across * off_mm * mm for end in ("far_end", "fence_end")}
    face = band(beside("left", 1), beside("right", -1))
    ground = (band(beside("left", -3), beside("left", -0.5)) + band(beside("right", 0.5), beside("right", 3))) / 2
    return float(face), float(ground)


def develop(name, rendered, pictures):
    """Writes NAME.jpg or .png and its truth into `pictures`; returns a line about it."""
    scene = flatbed_pictures.scene(name)
    glass, scanner = flatbed_scene.Glass(scene), scene.scanner
    rng = np.random.default_rng([scene.seed, 13])
    light = light_of_the_scan(scene, glass, rendered)
    seen = cv2.resize(colour_lines(through_optics(light, scanner), scanner), glass.picture_px(), interpolation=cv2.INTER_AREA)
    codes = coded(sensed(rng, seen, scanner), scanner.curve).astype(np.float32)
    if scanner.sharpen > 0:
        codes = codes + scanner.sharpen * (codes - cv2.GaussianBlur(codes, (0, 0), scanner.sharpen_px))
    data, ending, saved = as_file(codes, scanner)
    path = pathlib.Path(pictures) / f"{name}{ending}"
    path.write_bytes(with_density(data, scanner.dpi))
    keys = {"world": "traced-scan", "seed": scene.seed, "shows": scene.shows, "expect": scene.expect}
    keys |= {"refusal": scene.refusal} if scene.refusal else {}
    keys |= shape_truth(scene, glass, cv2.resize(light, glass.picture_px(), interpolation=cv2.INTER_AREA)) if scene.expect == "measured" else {}
    keys |= {"print_scale_x": scene.print_scale[0], "print_scale_y": scene.print_scale[1], "dpi": scanner.dpi,
             "sheet": {"paper": scene.paper, "dark_channel": False}, "render": settings(scene, saved)}
    truth.write(path, keys)
    return f"{path.name}: {len(data) / 1e6:.2f} MB"


def settings(scene, saved):
    s = scene.scanner
    return {"wood": [{"kind": kind, "tone": tone, "face": strip.face} for strip, kind, tone, *_ in scene.strips],
            "lid": scene.lid, "upside_down": bool(scene.upside_down), "sheet_turn_deg": math.degrees(scene.sheet_turn),
            "strip_turn_deg": [math.degrees(placed[5]) for placed in scene.strips], "paper_lift_mm": scene.lift_mm, "ink": scene.ink,
            "sensor": s.sensor, "lens_mm": s.lens_mm if s.sensor == "ccd" else None, "lens_bend": s.lens_bend,
            "lamps": [list(lamp) for lamp in s.lamps], "lamp_off_mm": s.lamp_off_mm, "lamp_below_mm": s.lamp_below_mm,
            "carriage": s.carriage, "skew": s.skew, "psf": s.psf, "colour_rows": list(s.colour_rows), "noise": s.noise,
            "curve": {**s.curve, "tint": list(s.curve["tint"])}, "sharpen": s.sharpen, "sharpen_px": s.sharpen_px, "file": saved}
