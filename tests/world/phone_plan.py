"""What each traced photo shows: recipes by hand for what must be there, everything else from the picture's seed."""
import math

import numpy as np

import lens as lenses
import noise
import strip_solid
import wood_shaders
from phone_geometry import Pose, SheetShape, to_world
from sheet_texture import LAYOUT

# Photo sizes (long side, short side).
SIZES = {12: (4032, 3024), 48: (8064, 6048)}
TILT_DEG = 25.0  # most
DISTANCE_MM = (250.0, 600.0)
FRAME_SHARE = 0.015  # of the short side: how far the sheet stays off the frame
CROP_MARGIN_MM = 8.0  # about this much of the bench is kept around the sheet


def exact(seed, name):
    """A stream of random numbers of its own for each purpose, so that one choice does not move the others."""
    return np.random.default_rng([seed, *name.encode()])


def strips_of(plan):
    """The strips' shapes, from the plan alone (the scene and the truth both draw them so)."""
    shapes = []
    for k in range(plan["strips"]):
        rng = exact(plan["seed"], f"strip {k}")
        strip = strip_solid.draw_strip(rng, plan["edges"], **plan["strip_fixed"])
        if plan["sharp"]:
            strip.left.arris = strip.right.arris = "sharp"
        shapes.append(strip_solid.StripShape(strip))
    return shapes


def half_width(plan, shapes):
    """Half of what the strips press flat."""
    return max([s.strip.width_mm for s in shapes], default=20) * (1 if plan["strips"] < 2 else 2) / 2


def wood_of(plan, k):
    """(kind, tone) of a strip's wood: wild ones as often as not."""
    rng = exact(plan["seed"], f"kind {k}")
    tone = rng.choice(["pine", "maple", "birch"] if plan["wood"] == "light" else ["cherry", "mahogany", "walnut", "wenge"])
    kinds = wood_shaders.WILD if rng.random() < 0.5 else ["plain", "quarter", "cathedral", "dark-pores"]
    return str(rng.choice(kinds)), str(tone)


def placings(plan, shapes):
    """(x, y, turn) of each strip in the bench frame: in the channel, not quite in its middle nor straight."""
    rng = exact(plan["seed"], "place")
    out = []
    page = np.array(LAYOUT[plan["paper"]]["page"])
    x, y, w, h = LAYOUT[plan["paper"]]["channel"]
    middle = np.array([x + w / 2, y + h / 2]) - page / 2
    for k, shape in enumerate(shapes):
        t = shape.strip
        turn = rng.normal(0, 0.006)
        room_x = (w - t.width_mm) / 2 - t.length_mm / 2 * abs(turn) - 6
        room_y = max((h - t.length_mm) / 2 - 3, 0)
        place = middle + [rng.uniform(-1, 1) * room_x * 0.6, rng.uniform(-1, 1) * room_y]
        if plan["strips"] == 2:
            place[0] = middle[0] + (-1 if k == 0 else 1) * (t.width_mm / 2 + 2.5)
        out.append((float(place[0]), float(place[1]), float(turn)))
    return out


def sheet_shape(plan, pressed_mm):
    rng = exact(plan["seed"], "sheet")
    scale = 1 + rng.normal(0, 0.0012, 2) + rng.normal(0, 0.001)
    page = LAYOUT[plan["paper"]]["page"]
    bends, ridge = [], None
    form = plan["form"]
    off = pressed_mm + 4
    if form in ("curled", "strongly-curled"):
        strong = form == "strongly-curled"
        # The strip's weight holds the middle down; the sides come up.
        for way in (0.0, math.pi) if strong or rng.random() < 0.5 else ((0.0,) if rng.random() < 0.5 else (math.pi,)):
            reach = page[0] / 2 - off
            lift = rng.uniform(18, 30) if strong else rng.uniform(0.4, 2.5)
            radius = reach ** 2 / (2 * lift)
            bends.append({"way": way, "from_mm": off, "radius_mm": radius, "most_rad": 1.2})
    if form == "corner":
        corner = math.atan2(page[1] / 2, page[0] / 2) + rng.uniform(-0.2, 0.2)
        way = corner if rng.random() < 0.5 else math.pi - corner
        way = way if rng.random() < 0.5 else way + math.pi
        reach = abs(page[0] / 2 * math.cos(way)) + abs(page[1] / 2 * math.sin(way))
        bends.append({"way": way, "from_mm": reach - rng.uniform(25, 45), "radius_mm": rng.uniform(25, 60), "most_rad": rng.uniform(0.2, 0.6)})
    if form == "folded":
        ridge = {"at_mm": rng.uniform(-4, 4), "height_mm": rng.uniform(0.3, 0.9), "reach_mm": rng.uniform(40, 70)}
    return SheetShape(page, scale, bends, ridge, pressed_mm=pressed_mm)


def along_pixels(lens, pose, placed):
    """Both edges of a strip along one row of pixels: the renderer's few paths a pixel cut a row into as few steps, which
    forged up to 1 thou over 7.5 in there (8 paths; none was left with 64). A strip across three rows averages them."""
    for shape, (x, y, turn) in placed:
        t, rows = shape.strip, []
        for side in (-1, 1):
            ends = np.array([[side * t.width_mm / 2, s * t.length_mm / 2] for s in (-1, 1)])
            c, s = math.cos(turn), math.sin(turn)
            bench = np.stack([c * ends[:, 0] - s * ends[:, 1] + x, s * ends[:, 0] + c * ends[:, 1] + y, np.full(2, t.thickness_mm)], 1)
            rows.append(np.abs(np.subtract(*lens.photo_from_pinhole(pose.pinhole(to_world(bench), lens.focal_px, lens.centre)))).min())
        if max(rows) < 3:
            return True
    return False


def camera(plan, sheet):
    """Lens, pose and frame, such that the whole sheet is in the frame."""
    rng = exact(plan["seed"], "camera")
    pools = lenses.load()
    shapes = strips_of(plan)
    placed = list(zip(shapes, placings(plan, shapes)))
    long_side, short_side = SIZES[plan["megapixels"]]
    page = np.array(LAYOUT[plan["paper"]]["page"])
    grid = np.stack(np.meshgrid(np.linspace(0, 1, 12), np.linspace(0, 1, 12)), -1).reshape(-1, 2) * page
    points = to_world(sheet.bench_from_sheet(grid))
    for _ in range(500):
        portrait = rng.random() < 0.5
        width, height = (short_side, long_side) if portrait else (long_side, short_side)
        centre = np.array([(width - 1) / 2, (height - 1) / 2]) + rng.normal(0, 0.004, 2) * short_side
        lens = lenses.Lens(lenses.draw(rng, pools), width, height, centre)
        if not lens.is_usable():
            continue
        # From straight above to aslant; nobody means to stand aslant, so small tilts are the rule.
        tilt = math.radians(TILT_DEG) * rng.random() ** 1.3 if plan["tilt_deg"] is None else math.radians(rng.uniform(*plan["tilt_deg"]))
        distance = rng.uniform(*plan["distance_mm"])
        turn = (0.0 if portrait else math.pi / 2) + math.pi * int(rng.integers(2)) + rng.normal(0, 0.05)
        words = {"target": rng.normal(0, 8, 2).tolist(), "distance_mm": distance, "tilt": tilt,
                 "azimuth": rng.uniform(0, 2 * math.pi), "roll": turn}
        pose = Pose(**words)
        seen = lens.photo_from_pinhole(pose.pinhole(points, lens.focal_px, lens.centre))
        rim = FRAME_SHARE * short_side
        if seen.min() < rim or (seen[:, 0] > width - 1 - rim).any() or (seen[:, 1] > height - 1 - rim).any():
            continue
        if along_pixels(lens, pose, placed):
            continue
        orientation = int(rng.choice([6, 8] if portrait else [1, 3]))
        window = (0, 0, width, height)
        if plan["megapixels"] > 12 or plan["crop"]:  # cut about the frame's middle, so that the axis stays there
            need = np.abs(seen - [(width - 1) / 2, (height - 1) / 2]).max(axis=0) + CROP_MARGIN_MM * lens.focal_px / distance
            half_w, half_h = (int(min(np.ceil(n / 8) * 8, s / 2)) for n, s in zip(need, (width, height)))
            window = (width // 2 - half_w, height // 2 - half_h, 2 * half_w, 2 * half_h)
        return {"lens": lens, "pose": pose, "window": window, "tilt_deg": math.degrees(tilt), "distance_mm": distance,
                "orientation": orientation, "frame": (width, height),
                "pose_words": words}
    raise SystemExit(f"{plan['name']}: no camera shows the whole sheet")


def sensor(plan):
    """The chain behind the lens: amounts as phones differ in them (from memory)."""
    rng = exact(plan["seed"], "sensor")
    dim = {"window": 1.0, "lamp": 2.5, "tube": 3.0, "flash": 1.5, "mixed": 1.5}[plan["light"]]
    fine = plan["megapixels"] > 12
    iso = float(np.clip(rng.uniform(50, 160) * dim * rng.uniform(0.7, 1.8), 50, 1600))
    return {"iso_wanted": iso, "profile": noise.draw(rng, iso),
            "process": {"blur_sigma_px": rng.uniform(0.35, 0.7) * (1.7 if fine else 1), "tail_share": rng.uniform(0.02, 0.1),
                        "tail_px": rng.uniform(2, 6) * (2 if fine else 1), "shake_px": rng.choice([0, 0.4, 0.8, 1.2]) * rng.random() * (2 if fine else 1),
                        "shake_angle": rng.uniform(0, math.pi), "falloff": rng.uniform(0.02, 0.25), "meter_percentile": float(rng.uniform(85, 97)),
                        "exposure": rng.uniform(0.5, 0.85), "gain_red": rng.uniform(1.4, 2.2), "gain_blue": rng.uniform(1.3, 2.0),
                        "demosaic": str(rng.choice(["gradient", "gradient", "bilinear"])), "denoise": rng.uniform(0.5, 2.5),
                        "chroma_px": rng.uniform(1.5, 4), "white_balance": rng.uniform(0.6, 1.0), "s_curve": rng.uniform(0.1, 0.7),
                        "local_contrast": rng.uniform(0, 0.2), "local_px": rng.uniform(20, 60), "sharpen_px": rng.uniform(0.7, 1.6) * (1.5 if fine else 1),
                        "sharpen": rng.uniform(0.2, 1.2), "sharpen_threshold": rng.uniform(0, 0.015)},
            "quality": int(rng.integers(80, 96)), "f_number": float(rng.choice([1.7, 1.8, 2.0, 2.2, 2.4])),
            "focus_off_mm": float(rng.normal(0, 6)),
            "time": f"2024:{rng.integers(1, 13):02d}:{rng.integers(1, 28):02d} {rng.integers(8, 17):02d}:{rng.integers(0, 60):02d}:{rng.integers(0, 60):02d}"}


# Light: window, lamp, tube, flash, mixed. Form: flat, curled, folded, corner. Wood: light or dark.
def recipe(name, seed, shows, wood, dark_sheet, light, form="flat", edges="smooth", bench="plywood", paper="letter", megapixels=12,
           strips=1, refusal=None, distance_mm=DISTANCE_MM, tilt_deg=None, crop=True, hand=True, printed=True, sharp=False, own_light=False, **strip_fixed):
    return {"name": name, "seed": seed, "shows": shows, "wood": wood, "dark_sheet": dark_sheet, "light": light, "form": form, "edges": edges,
            "bench": bench, "paper": paper, "megapixels": megapixels, "strips": strips, "refusal": refusal, "distance_mm": distance_mm,
            "tilt_deg": tilt_deg, "crop": crop, "hand": hand, "printed": printed, "sharp": sharp, "own_light": own_light, "strip_fixed": strip_fixed}


NEAR, MIDDLE, FAR, STRAIGHT = (280.0, 400.0), (400.0, 520.0), (560.0, 600.0), (0.0, 4.0)
RECIPES = [
    recipe("photo-01-dark-window", 7101, "Dark wood on the white sheet, one window.", "dark", False, "window", tilt_deg=STRAIGHT, distance_mm=MIDDLE, sharp=True),
    recipe("photo-02-dark-tube", 7102, "Dark wood on the white sheet, a garage tube.", "dark", False, "tube", bench="mdf", distance_mm=NEAR, tilt_deg=STRAIGHT),
    recipe("photo-03-dark-lamp", 7103, "Dark wood on the white sheet, a lamp overhead, A4.", "dark", False, "lamp", bench="melamine", paper="a4", distance_mm=NEAR, tilt_deg=STRAIGHT),
    recipe("photo-04-dark-flash", 7104, "Dark wood on the white sheet, the phone's flash.", "dark", False, "flash", bench="cast-iron", sharp=True),
    recipe("photo-05-dark-aslant", 7105, "Dark wood on the white sheet, seen aslant, the sheet's sides come up.", "dark", False, "window", form="curled", tilt_deg=(15, 25)),
    recipe("photo-06-light-on-dark-window", 7106, "Light wood on the dark channel, one window.", "light", True, "window", bench="cutting-mat", sharp=True),
    recipe("photo-07-light-on-dark-lamp", 7107, "Light wood on the dark channel, a lamp overhead.", "light", True, "lamp", form="curled", sharp=True),
    recipe("photo-08-light-on-dark-tube", 7108, "Light wood on the dark channel, a garage tube, A4, a corner that stands up.", "light", True, "tube", form="corner", bench="mdf", paper="a4", sharp=True),
    recipe("photo-09-light-on-dark-flash", 7109, "Light wood on the dark channel, the phone's flash in the toner.", "light", True, "flash", bench="melamine", sharp=True),
    recipe("photo-10-light-on-white-window", 7110, "Light wood on the white sheet, one window: little contrast.", "light", False, "window", bench="cast-iron", own_light=True),
    recipe("photo-11-light-on-white-tube", 7111, "Light wood on the white sheet, a garage tube: little contrast.", "light", False, "tube", form="curled", sharp=True),
    recipe("photo-12-light-on-white-lamp", 7112, "Light wood on the white sheet, a lamp overhead: little contrast.", "light", False, "lamp", bench="mdf"),
    recipe("photo-13-folded", 7113, "Dark wood on a sheet that was folded across.", "dark", False, "window", form="folded"),
    recipe("photo-14-corner", 7114, "Dark wood on the white sheet, a corner that stands up, two lights.", "dark", False, "mixed", form="corner", bench="cutting-mat", sharp=True),
    recipe("photo-15-rough", 7115, "Light wood on the dark channel, torn fibres.", "light", True, "window", edges="rough"),
    recipe("photo-16-torn", 7116, "Dark wood on the white sheet, splintered and burnt.", "dark", False, "tube", edges="torn", bench="mdf", distance_mm=MIDDLE),
    recipe("photo-17-waver", 7117, "Dark wood on the white sheet, edges that waver.", "dark", False, "window", edges="waver", bench="melamine", distance_mm=MIDDLE),
    recipe("photo-18-bow", 7118, "Light wood on the dark channel, bowed.", "light", True, "mixed", edges="bow"),
    recipe("photo-19-kink", 7119, "Dark wood on the white sheet, a cut that changed its way.", "dark", False, "lamp", edges="kink", form="curled", bench="cast-iron"),
    recipe("photo-20-fractal", 7120, "Light wood on the white sheet, rough at every length.", "light", False, "mixed", edges="fractal", bench="cutting-mat", distance_mm=MIDDLE),
    recipe("photo-21-dark-48mp", 7121, "Dark wood on the white sheet from far off, 48 megapixels, cut about the middle.", "dark", False, "window", megapixels=48, distance_mm=FAR, sharp=True),
    recipe("photo-22-light-48mp", 7122, "Light wood on the dark channel from far off, 48 megapixels, cut about the middle.", "light", True, "tube", megapixels=48, distance_mm=FAR, bench="mdf", sharp=True),
    recipe("photo-23-dark-far", 7123, "Dark wood on the white sheet from far off, aslant, 12 megapixels.", "dark", False, "mixed", distance_mm=(520, 600), tilt_deg=(12, 25), bench="cast-iron", own_light=True),
    recipe("photo-24-two-strips", 7124, "Two strips side by side.", "dark", False, "window", strips=2, refusal=["two-strips"], own_light=True),
    recipe("photo-25-no-sheet", 7125, "A strip on blank paper: no sheet.", "dark", False, "lamp", printed=False, refusal=["no-target"], distance_mm=MIDDLE),
    recipe("photo-26-strongly-curled", 7126, "A sheet whose sides stand up by two or three centimetres.", "dark", False, "window", form="strongly-curled", refusal=["sheet-not-flat", "sheet-distorted"], own_light=True),
    recipe("photo-27-no-strip", 7127, "The sheet, and no strip on it.", "dark", False, "tube", strips=0, bench="mdf", refusal=["no-strip"], distance_mm=MIDDLE),
    recipe("photo-28-no-strip-dark", 7128, "The dark channel, and no strip on it.", "light", True, "window", strips=0, refusal=["no-strip"]),
]
