"""What lies on the glass and how the scanner is built: everything that is drawn at random for one flatbed picture.

Glass frame: mm, origin at the picture's top left corner, x along the sensor, y the way the carriage travels (down the
picture), z towards the eye, which looks through the glass: z = 0 the glass, z < 0 behind it.
"""
import dataclasses
import math
import numpy as np

import sheet_texture
import strip_solid
import wood_shaders


@dataclasses.dataclass
class Scanner:
    sensor: str  # ccd: reduction lens, sees side walls away from the middle | contact: looks straight, shallow focus
    dpi: int
    lens_mm: float  # ccd: length of the folded path from lens to glass
    lens_x_mm: float  # ccd: x of the optical axis in the picture
    lens_bend: float  # ccd: distortion, relative at 108 mm from the axis
    lamps: tuple  # of (side along the carriage -1 or +1, strength)
    lamp_off_mm: float  # from the scan line, along the carriage
    lamp_below_mm: float  # below the glass
    lamp_wide_deg: float
    carriage: dict  # see Carriage
    skew: float  # sensor not square to the way: mm per mm
    psf: dict
    colour_rows: tuple  # residual shift of red and blue lines, in picture rows
    noise: dict
    curve: dict
    sharpen: float  # unsharp masking's amount; 0 none
    sharpen_px: float
    file: dict


@dataclasses.dataclass
class Scene:
    name: str
    seed: int
    paper: str
    shows: str
    expect: str
    refusal: list
    print_scale: tuple
    ink: dict
    sheet_turn: float  # rad, about the channel's middle; plus half a turn when upside down
    upside_down: bool
    lift_mm: float  # how far the sheet's far corner stands off the glass
    lift_to: tuple
    strips: list  # of (Strip, wood kind, tone, x_mm, y_mm, turn_rad): place relative to the channel's middle
    broken_at: float  # share of the length, or 0
    break_gap_mm: float
    lid: str
    lid_tilt: tuple
    scanner: Scanner
    size_mm: tuple
    middle_mm: tuple  # the channel's middle in the glass frame


class Carriage:
    """Where the row of glass place y comes to lie: y plus drift, a gear's waves and jerks. Nothing of it a polynomial."""

    def __init__(self, seed, length_mm, scale, gear_mm, gear_um, jerks, jerk_um, wander_um):
        rng = np.random.default_rng(seed)
        self.y = np.arange(-20.0, length_mm + 20.0, 0.1)
        off = (scale * self.y + gear_um / 1000 * np.sin(2 * np.pi * self.y / gear_mm + rng.uniform(0, 6))
               + wander_um / 1000 * strip_solid.band_noise(rng, self.y, 8, 120, 2.0))
        for _ in range(jerks):  # a stick-slip: the carriage stands for a moment, then catches up, not all of it
            at, rise = rng.uniform(0, length_mm), rng.uniform(0.3, 1.5)
            size = rng.choice([-1, 1]) * rng.uniform(0.3, 1) * jerk_um / 1000
            u = self.y - at
            off += size * (np.clip(u / rise, 0, 1) - rng.uniform(0, 1) * np.clip((u - rise) / (6 * rise), 0, 1))
        self.off = off

    def __call__(self, y):
        return y + np.interp(y, self.y, self.off)


def draw_scanner(rng, dpi, sensor=None, lamps=None, sharpen=None, jpeg=None, jerks=None):
    sensor = sensor or str(rng.choice(["ccd", "ccd", "contact"]))
    contact = sensor == "contact"
    if lamps is None:
        lamps = 1 if contact or rng.random() < 0.6 else 2
    side = int(rng.choice([-1, 1]))
    sources = ((side, 1.0),) if lamps == 1 else ((side, 1.0), (-side, float(rng.uniform(0.6, 1))))
    off, below = (rng.uniform(3, 6), rng.uniform(3, 6)) if contact else (rng.uniform(9, 20), rng.uniform(6, 14))
    blur_px = rng.uniform(0.35, 0.9) * dpi / 300
    jerks = int(rng.choice([0, 0, 2, 5])) if jerks is None else jerks
    return Scanner(
        sensor=sensor, dpi=dpi, lens_mm=rng.uniform(230, 420), lens_x_mm=rng.uniform(20, 100),
        lens_bend=0.0 if contact else rng.normal(0, 4e-4), lamps=sources, lamp_off_mm=off, lamp_below_mm=below,
        lamp_wide_deg=rng.uniform(4, 14),
        carriage={"seed": int(rng.integers(1, 2**31)), "scale": rng.normal(0, 0.001), "gear_mm": rng.uniform(2, 14),
                  "gear_um": rng.uniform(0, 8), "jerks": jerks, "jerk_um": rng.uniform(15, 60), "wander_um": rng.uniform(1, 15)},
        skew=rng.normal(0, 0.0012),
        psf={"shape": str(rng.choice(["box", "disc", "tent"])), "radius_px": blur_px,
             "tail": rng.uniform(0.01, 0.07), "tail_mm": rng.uniform(0.3, 1.5)},
        colour_rows=(rng.normal(0, 0.2), rng.normal(0, 0.2)) if not contact else (1 / 3 + rng.normal(0, 0.05), -1 / 3 + rng.normal(0, 0.05)),
        noise={"full_well": rng.uniform(8000, 60000), "read": rng.uniform(0.0005, 0.002), "columns": rng.uniform(0, 0.004),
               "dust": int(rng.integers(0, 3))},
        curve={"kind": str(rng.choice(["srgb", "gamma", "vendor"])), "gamma": rng.uniform(1.7, 2.4), "black": rng.uniform(0, 0.015),
               "white": rng.uniform(0.86, 1.02), "tint": tuple(rng.normal(1, 0.02, 3))},
        sharpen=float(rng.choice([0, 0, 0.4, 0.8, 1.6])) if sharpen is None else sharpen, sharpen_px=rng.uniform(0.8, 1.6),
        file={"kind": "jpeg", "quality": int(rng.integers(75, 96)), "chroma_halved": bool(rng.random() < 0.6),
              "grey": bool(rng.random() < 0.25)} if jpeg is None else jpeg)


def draw_scene(name, seed, shows, *, paper=None, wood="plain", tone=None, edges="smooth", lid=None, dpi=300, what="strip",
               crop_mm=None, strip=None, upside_down=None, turn_deg=None, **scanner):
    """One picture. `what`: strip | two | broken | empty. Named arguments fix what they name; the seed draws the rest."""
    rng = np.random.default_rng([seed, 20_300])
    paper = paper or str(rng.choice(["letter", "a4"]))
    tone = tone or str(rng.choice(wood_shaders.LIGHT + wood_shaders.DARK[:-1]))
    lid = lid or str(rng.choice(["white", "black", "dirty"]))
    one = strip_solid.draw_strip(rng, edges, **(strip or {}))
    turn = math.radians(rng.uniform(-3, 3) if turn_deg is None else turn_deg)
    placed = [(one, wood, tone, rng.uniform(-5, 5), rng.uniform(-2, 2), turn)]
    if what == "two":
        other = strip_solid.draw_strip(rng, edges, **{**(strip or {}), "thickness_mm": one.thickness_mm})
        apart = (one.width_mm + other.width_mm) / 2 + rng.uniform(1.5, 5)
        placed = [(one, wood, tone, -apart / 2, 0.0, turn), (other, wood, tone, apart / 2, rng.uniform(-3, 3), turn + rng.normal(0, 0.003))]
    if what == "empty":
        placed = []
    x, y, w, h = sheet_texture.LAYOUT[paper]["channel"]
    size = (118.0, crop_mm or 266.0)
    return Scene(
        name=name, seed=seed, paper=paper, shows=shows, expect="measured" if what == "strip" else "refused",
        refusal={"strip": [], "two": ["two-strips", "several-strips"], "broken": ["strip-broken"], "empty": ["no-strip"]}[what],
        print_scale=(1 + rng.uniform(-0.005, 0.005), 1 + rng.uniform(-0.005, 0.005)),
        ink={"spread_mm": rng.uniform(-0.02, 0.06), "density": rng.uniform(0.9, 1.5), "ragged_mm": rng.uniform(0.003, 0.012),
             "density_noise": rng.uniform(0.01, 0.08)},
        sheet_turn=math.radians(rng.uniform(-1.0, 1.0)), upside_down=rng.random() < 0.2 if upside_down is None else upside_down,
        lift_mm=float(rng.choice([0, 0.1, 0.4])) * rng.uniform(0.3, 1), lift_to=(float(rng.choice([-1, 1])), float(rng.choice([-1, 1]))),
        strips=placed, broken_at=rng.uniform(0.35, 0.65) if what == "broken" else 0.0, break_gap_mm=rng.uniform(0.8, 3),
        lid=lid, lid_tilt=(rng.normal(0, 0.003), rng.uniform(0, 0.012)), scanner=draw_scanner(rng, dpi, **scanner),
        size_mm=size, middle_mm=(size[0] / 2 + rng.uniform(-0.3, 0.3), size[1] / 2 + rng.uniform(-0.5, 0.5)))


class Glass:
    """Where points of the sheet, of a strip and of the glass come to lie in the picture, without any renderer."""

    def __init__(self, scene):
        self.scene, self.scanner = scene, scene.scanner
        c = dict(scene.scanner.carriage)
        self.carriage = Carriage(c.pop("seed"), scene.size_mm[1], **c)
        x, y, w, h = sheet_texture.LAYOUT[scene.paper]["channel"]
        self.channel_middle = np.array([x + w / 2, y + h / 2]) * scene.print_scale
        self.flip = math.pi if scene.upside_down else 0.0

    def turned(self, xy, angle):
        c, s = math.cos(angle), math.sin(angle)
        return np.stack([c * xy[..., 0] - s * xy[..., 1], s * xy[..., 0] + c * xy[..., 1]], -1)

    def sheet_to_glass(self, points):
        """(n x 3) of the nominal sheet frame; the sheet's corner stands off the glass."""
        scene = self.scene
        rel = points[:, :2] * scene.print_scale - self.channel_middle
        far = np.clip(rel @ np.array(scene.lift_to) / 160, 0, None)
        xy = self.turned(rel, scene.sheet_turn + self.flip) + scene.middle_mm
        return np.column_stack([xy, points[:, 2] - scene.lift_mm * far ** 2])

    def strip_pose(self, index):
        """x, y, turn for Solid.placed: in the glass frame."""
        _, _, _, x, y, turn = self.scene.strips[index]
        at = self.turned(np.array([x, y]), self.scene.sheet_turn + self.flip) + self.scene.middle_mm
        return at[0], at[1], turn + self.flip

    def strip_to_glass(self, index, xy):
        x, y, turn = self.strip_pose(index)
        return self.turned(np.asarray(xy, float), turn) + [x, y]

    def seen(self, points):
        """Glass frame (n x 3) to where it is seen: mm in the picture, z kept."""
        s = self.scanner
        x, y, z = points[:, 0], points[:, 1], points[:, 2]
        if s.sensor == "ccd":
            x = s.lens_x_mm + (x - s.lens_x_mm) * s.lens_mm / (s.lens_mm - z)
            x = x + s.lens_bend * (x - s.lens_x_mm) * ((x - s.lens_x_mm) / 108.0) ** 2
        return np.column_stack([x, self.carriage(y + s.skew * x), z])

    def pixel(self, seen_mm):
        """(u, v), pixel (0, 0) the centre of the top left pixel."""
        return np.asarray(seen_mm)[..., :2] * self.scanner.dpi / 25.4 - 0.5

    def strip_box_px(self):
        """(left, top, right, bottom) in whole pixels of the picture, round everything of the strips that can be seen."""
        corners = []
        for index, (strip, *_) in enumerate(self.scene.strips):
            half = np.array([strip.width_mm / 2 + 1.5 + abs(strip.taper) * strip.length_mm, strip.length_mm / 2 + 1.5])
            on_glass = self.strip_to_glass(index, [half * (i, j) for i in (-1, 1) for j in (-1, 1)])
            corners += [np.column_stack([on_glass, np.full(4, z)]) for z in (0.0, -strip.thickness_mm)]
        box = self.pixel(self.seen(np.concatenate(corners)))
        w, h = self.picture_px()
        low, high = np.floor(box.min(0)).astype(int), np.ceil(box.max(0)).astype(int)
        return max(low[0], 0), max(low[1], 0), min(high[0], w), min(high[1], h)

    def picture_px(self):
        return tuple(int(round(v * self.scanner.dpi / 25.4)) for v in self.scene.size_mm)
