"""A strip of wood as a solid: numpy only, no renderer.

Strip frame (mm): origin in the middle of the strip, x across it (to the right as the sheet is seen upright), y along
it, towards the fence end, z towards the eye. The face that is seen lies at z = 0, the body at z < 0: on a flatbed z = 0
is the glass; for a photo lift the solid by its thickness. The sheet's y runs down the page, so the frame is
left-handed; to_blender() flips y and makes it right-handed.

A cut is a straight line plus departures from it (cut_departures.py). Nothing here is taken from the estimator.
"""
import dataclasses
import numpy as np

from cut_departures import MAKERS, THOU, band_noise, saw_marks

STEP_MM = 0.1  # distance of vertices along an edge


@dataclasses.dataclass
class Cut:
    """One long side. `parts`: (name, amount in mm) with MAKERS' names; saw marks apart, for they run across the wall."""
    parts: list
    saw_depth_mm: float = 0.0
    saw_feed_mm: float = 1.5
    lean: float = 0.0  # outward movement per mm of depth behind the seen face: the blade stood not quite upright
    arris: str = "sharp"  # sharp | chamfered | splintered
    arris_mm: float = 0.02
    tearout_mm: float = 0.0  # how deep the exit end is torn out
    fuzz_per_mm: float = 0.0
    burn: float = 0.0  # 0..1, how black the worst place is


@dataclasses.dataclass
class Strip:
    seed: int
    length_mm: float
    width_mm: float  # half way along
    thickness_mm: float
    taper: float  # (width at the fence end - width at the far end) / length, of the straight cuts
    left: Cut
    right: Cut
    end_skew: tuple = (0.0, 0.0)  # far, fence: mm per mm across
    exit_end: str = "far"  # where the blade came out: far | fence
    face: str = "planed"  # planed | rough: the seen one; the other is the other
    lean_share: float = 0.5  # which part of the taper the left edge has

    def words(self):
        def one(cut):
            names = [f"{n} {a * 1000:.0f} um" if abs(a) < 0.02 else f"{n} {abs(a) / THOU:.1f} thou"
                     for n, a in cut.parts if a != 0]
            if cut.saw_depth_mm > 0:
                names.append(f"saw marks {cut.saw_depth_mm * 1000:.0f} um every {cut.saw_feed_mm:.1f} mm")
            if cut.arris != "sharp":
                names.append(f"{cut.arris} arris")
            names += ["tear-out"] * (cut.tearout_mm > 0) + ["fuzz"] * (cut.fuzz_per_mm > 0) + ["burn"] * (cut.burn > 0)
            return ", ".join(names) or "straight"
        return f"left: {one(self.left)}; right: {one(self.right)}"


def draw_strip(rng, edges="smooth", amount_mm=None, **fixed):
    """A strip at random. `edges`: smooth, or one of rough, fractal, kink, waver, bow, or torn (all sorts of it).
    amount_mm: of the kink, waver (from peak to peak) or bow, instead of one at random."""
    def cut():
        parts = [("smooth", rng.uniform(0.0005, 0.004))]
        c = Cut(parts, lean=rng.normal(0, 0.003))
        if edges == "smooth":
            if rng.random() < 0.4:
                c.arris, c.arris_mm = "chamfered", rng.uniform(0.05, 0.2)
            return c
        if edges in ("rough", "fractal", "torn"):
            parts[0] = (edges if edges != "torn" else rng.choice(["rough", "fractal"]), rng.uniform(0.008, 0.035))
            c.saw_depth_mm, c.saw_feed_mm = rng.uniform(0.002, 0.012), rng.uniform(0.4, 2.5)
            c.arris = rng.choice(["sharp", "chamfered", "splintered"])
            c.arris_mm = {"sharp": 0.02, "chamfered": rng.uniform(0.1, 0.4), "splintered": rng.uniform(0.08, 0.4)}[c.arris]
            c.fuzz_per_mm = rng.choice([0, 0.05, 0.3])
        if edges == "torn":
            c.tearout_mm, c.burn = rng.uniform(0.2, 1.2), rng.uniform(0.3, 1)
        if edges == "kink":
            parts.append(("kink", amount_mm or rng.uniform(1, 6) * THOU))
        if edges == "waver":
            parts.append(("waver", amount_mm or rng.uniform(1, 10) * THOU))
        if edges == "bow":
            parts.append(("bow", amount_mm or rng.uniform(0.05, 0.3)))
        return c
    strip = Strip(seed=int(rng.integers(1, 2**31)), length_mm=rng.uniform(170, 250), width_mm=rng.uniform(11, 24),
                  thickness_mm=rng.uniform(6, 20), taper=rng.uniform(-1, 1) * 10 ** rng.uniform(-4, -2.6),
                  left=cut(), right=cut(), end_skew=(rng.normal(0, 0.006), rng.normal(0, 0.006)),
                  exit_end=str(rng.choice(["far", "fence"])), face=str(rng.choice(["planed", "planed", "rough"])))
    if edges == "bow":  # a bow is the whole strip's: both edges alike, outward on one side and inward on the other
        sagitta = strip.left.parts[1][1]
        strip.right.parts[1] = ("bow", -sagitta)
    for name, value in fixed.items():
        setattr(strip, name, value)
    return strip


# ---- The two long edges ------------------------------------------------------------------------------------------------

class Side:
    """Departures of one long side at every depth: d(level, s), and which places are torn (not part of the cut)."""

    def __init__(self, rng, cut, strip, levels):
        half = strip.length_mm / 2
        n = int(round((strip.length_mm + 8) / STEP_MM)) + 1
        self.s = np.linspace(-half - 4, half + 4, n)  # 4 mm beyond either end, for skewed ends
        inner = np.abs(self.s) <= half
        slow, fine = np.zeros(n), np.zeros(n)
        renew = []
        for name, amount in cut.parts:
            if name in ("kink", "waver", "bow"):
                d = np.zeros(n)
                d[inner] = MAKERS[name](rng, self.s[inner], amount)
                slow += self.extended(d, inner)
            else:
                fine += MAKERS[name](rng, self.s, amount)
                renew.append((name, amount))
        saw = np.zeros(n)
        if cut.saw_depth_mm > 0:
            saw = saw_marks(rng, self.s, cut.saw_depth_mm, cut.saw_feed_mm)
        self.cut_line = slow + fine + saw  # on the seen face, before chips and tear-out
        chips, chip_depth = self.chips(rng, cut)
        tear, tear_depth = self.tearout(rng, cut, strip)
        slant = rng.uniform(-0.8, 0.8)
        self.d = np.empty((len(levels), n))
        for k, z in enumerate(levels):  # z: depth behind the seen face, >= 0
            keep = np.exp(-z / 0.8)  # a torn fibre is about as deep as it is long
            other = fine if z == 0 else sum(MAKERS[name](rng, self.s, amount) for name, amount in renew)
            level = slow + keep * fine + np.sqrt(1 - keep ** 2) * other
            level += np.interp(self.s + slant * z, self.s, saw) + cut.lean * z
            level -= chips * np.clip(1 - z / chip_depth, 0, 1) + tear * np.clip(1 - z / tear_depth, 0, 1)
            if cut.arris == "chamfered":
                worn = cut.arris_mm * (1 + 0.1 * band_noise(rng, self.s, 2, 15, 1))
                level -= np.clip(worn - z, 0, None)
            self.d[k] = level
        self.torn = (chips > 0.004) | (tear > 0.004)
        self.burn = np.zeros(n)
        if cut.burn > 0:
            centre, width = rng.uniform(-half, half), rng.uniform(5, 40)
            blotch = np.exp(-((self.s - centre) / width) ** 2) * (1 + 0.4 * band_noise(rng, self.s, 0.5, 20, 1))
            self.burn = np.clip(cut.burn * blotch, 0, 1)

    def extended(self, d, inner):
        first, last = np.flatnonzero(inner)[[0, -1]]
        d[:first] = d[first] + (d[first + 1] - d[first]) * np.arange(-first, 0)
        d[last:] = d[last] + (d[last] - d[last - 1]) * np.arange(0, len(d) - last)
        return d

    def chips(self, rng, cut):
        out = np.zeros_like(self.s)
        if cut.arris == "splintered":
            for _ in range(rng.poisson((self.s[-1] - self.s[0]) * rng.uniform(0.05, 0.25))):
                at, length = rng.uniform(self.s[0], self.s[-1]), rng.uniform(0.5, 4)
                u = (self.s - at) / length
                shape = np.where((u > 0) & (u < 1), np.clip(4 * u, 0, 1) * np.clip(1 - u, 0, 1) ** 0.5, 0)
                out = np.maximum(out, shape * cut.arris_mm * rng.uniform(0.3, 1))
            out *= 1 + 0.2 * band_noise(rng, self.s, 0.25, 1, 0)
        return np.maximum(out, 0), rng.uniform(0.2, 1.0)

    def tearout(self, rng, cut, strip):
        if cut.tearout_mm <= 0:
            return np.zeros_like(self.s), 1.0
        half = strip.length_mm / 2
        from_end = half + self.s if strip.exit_end == "far" else half - self.s
        reach = rng.uniform(2, 9)
        steps = 1 + 0.35 * band_noise(rng, self.s, 0.3, 3, 0.5)
        tear = cut.tearout_mm * np.clip(1 - from_end / reach, 0, 1) ** rng.uniform(0.7, 2) * steps
        return np.clip(tear, 0, None) * (from_end < reach), rng.uniform(1, 4)


class Solid:
    """Vertices (n x 3), quads (m x 4) and per-vertex values: what every renderer wants."""

    def __init__(self):
        self.verts, self.quads, self.values, self.count = [], [], {"rest": [], "burn": [], "wall": []}, 0

    def grid(self, points, burn, wall):
        """Adds a grid of rows x columns points; burn alike in shape; wall: 0 seen face, 1 side, 2 end, 3 back."""
        rows, cols = points.shape[:2]
        at = self.count + np.arange(rows * cols).reshape(rows, cols)
        quads = np.stack([at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]], axis=-1).reshape(-1, 4)
        self.add(points.reshape(-1, 3), quads, np.broadcast_to(burn, (rows, cols)).ravel(), wall)

    def add(self, points, quads, burn, wall):
        self.verts.append(points)
        self.quads.append(quads)
        self.values["rest"].append(points)
        self.values["burn"].append(np.broadcast_to(burn, len(points)))
        self.values["wall"].append(np.full(len(points), float(wall)))
        self.count += len(points)

    def done(self):
        self.verts, self.quads = np.concatenate(self.verts), np.concatenate(self.quads)
        self.values = {name: np.concatenate(v) for name, v in self.values.items()}
        return self

    def placed(self, x_mm, y_mm, turn_rad, z_mm=0.0):
        """A copy turned (from +x towards +y of the sheet: clockwise as seen) and moved; `rest` stays."""
        c, s = np.cos(turn_rad), np.sin(turn_rad)
        other = Solid()
        v = self.verts
        other.verts = np.stack([c * v[:, 0] - s * v[:, 1] + x_mm, s * v[:, 0] + c * v[:, 1] + y_mm, v[:, 2] + z_mm], 1)
        other.quads, other.values = self.quads, self.values
        return other


def depth_levels(strip):
    depths = [0.0, 0.05, 0.12, 0.25, 0.5, 1.0, 2.0]
    depths += list(np.linspace(3.0, strip.thickness_mm - 0.3, 6))
    return np.array(depths + [strip.thickness_mm])


class StripShape:
    """The strip's sides and ends, from its own seed: edges as they are drawn, and the solid."""

    def __init__(self, strip):
        self.strip = strip
        rng = np.random.default_rng(strip.seed)
        self.levels = depth_levels(strip)
        self.left = Side(rng, strip.left, strip, self.levels)
        self.right = Side(rng, strip.right, strip, self.levels)
        self.columns = np.linspace(0, 1, 61)
        across = self.columns * strip.width_mm
        self.ends = []
        for end, skew in zip(("far", "fence"), strip.end_skew):
            torn = strip.exit_end == end and max(strip.left.tearout_mm, strip.right.tearout_mm) > 0
            rms = 0.08 if torn else 0.012
            self.ends.append(skew * (across - across.mean()) + rms * band_noise(rng, across, 0.5, 6, 1))
        self.rng = rng

    def straight(self, side, s):
        """x of the straight cut at s."""
        t = self.strip
        sign, share = (-1, t.lean_share) if side == "left" else (1, 1 - t.lean_share)
        return sign * t.width_mm / 2 + sign * share * t.taper * np.asarray(s)

    def edge(self, side, s, level=0):
        of = self.left if side == "left" else self.right
        return self.straight(side, s) + (-1 if side == "left" else 1) * np.interp(s, of.s, of.d[level])

    def edge_without_damage(self, side):
        """(s, x) of the edge as sawn, between the ends, torn places left out: what the drawn line is fitted to."""
        of = self.left if side == "left" else self.right
        use = (np.abs(of.s) <= self.strip.length_mm / 2) & ~of.torn
        s = of.s[use]
        return s, self.straight(side, s) + (-1 if side == "left" else 1) * of.cut_line[use]

    def taper_as_drawn(self):
        return float(np.polyfit(*self.edge_without_damage("right"), 1)[0] - np.polyfit(*self.edge_without_damage("left"), 1)[0])

    def rms_um(self, side):
        s, x = self.edge_without_damage(side)
        return float(1000 * np.std(x - np.polyval(np.polyfit(s, x, 1), s)))

    def s_at(self, fraction, columns, first=None, last=None):
        """s of rows `fraction` (0 far end .. 1 fence end) at `columns`; first, last: other ends (a break)."""
        half = self.strip.length_mm / 2
        s0 = -half + np.interp(columns, self.columns, self.ends[0]) if first is None else np.interp(columns, self.columns, first)
        s1 = half + np.interp(columns, self.columns, self.ends[1]) if last is None else np.interp(columns, self.columns, last)
        return s0[None, :] + (s1 - s0)[None, :] * fraction[:, None]

    def solid(self, first=None, last=None):
        """The whole strip, or the piece between two breaks (s over self.columns)."""
        out = Solid()
        rows = np.linspace(0, 1, int(round(self.strip.length_mm / STEP_MM)) + 1)
        few = np.linspace(0, 1, 5)
        out.grid(self.surface(rows, self.columns, 0, first, last), self.burn_at(rows, self.columns, 0.0, first, last), 0)
        out.grid(self.surface(rows, few, -1, first, last)[:, ::-1], 0.0, 3)
        for column, flip in ((0.0, False), (1.0, True)):
            one = np.array([column])
            wall = np.concatenate([self.surface(rows, one, k, first, last) for k in range(len(self.levels))], axis=1)
            burn = self.burn_at(rows, one, 1.0, first, last)
            out.grid(wall[:, ::-1] if not flip else wall, burn, 1)
        for row, flip in ((0.0, False), (1.0, True)):
            one = np.array([row])
            end = np.concatenate([self.surface(one, self.columns, k, first, last) for k in range(len(self.levels))], axis=0)
            out.grid(end[::-1] if flip else end, 0.0, 2)
        for side, cut in (("left", self.strip.left), ("right", self.strip.right)):
            if cut.fuzz_per_mm > 0:
                self.fuzz(out, side, cut.fuzz_per_mm)
        return out.done()

    def surface(self, rows, columns, level, first, last):
        s = self.s_at(rows, columns, first, last)
        left, right = self.edge("left", s, level), self.edge("right", s, level)
        x = left + columns[None, :] * (right - left)
        return np.stack([x, s, np.full_like(s, -self.levels[level])], axis=-1)

    def burn_at(self, rows, columns, on_wall, first, last):
        """How burnt: whole on the wall, a fringe of half a millimetre on the face."""
        s = self.s_at(rows, columns, first, last)
        from_left, from_right = columns[None, :] * self.strip.width_mm, (1 - columns[None, :]) * self.strip.width_mm
        reach_left = 1.0 * (from_left == 0) if on_wall else np.exp(-from_left / 0.4)
        reach_right = 1.0 * (from_right == 0) if on_wall else np.exp(-from_right / 0.4)
        return np.clip(np.interp(s, self.left.s, self.left.burn) * reach_left
                       + np.interp(s, self.right.s, self.right.burn) * reach_right, 0, 1)

    def fuzz(self, out, side, per_mm):
        """Fibres of 15 to 40 um that stand off the arris: bent ribbons of three pieces, two of them crossed."""
        rng, half = self.rng, self.strip.length_mm / 2
        sign = -1 if side == "left" else 1
        for _ in range(rng.poisson(per_mm * self.strip.length_mm)):
            s = rng.uniform(-half + 1, half - 1)
            root = np.array([self.edge(side, s, 0) - sign * 0.02, s, -rng.uniform(0.01, 0.3)])
            way = np.array([sign * rng.uniform(0.05, 1), rng.normal(0, 1.2), -rng.uniform(0, 0.5)])
            way *= rng.gamma(2, 0.18) / np.linalg.norm(way)
            bend = rng.normal(0, 0.25, 3) * np.linalg.norm(way)
            bend[2] = -abs(bend[2])
            u = np.linspace(0, 1, 4)[:, None]
            spine = root + way * u + bend * u ** 2
            thick = rng.uniform(0.015, 0.04) * (1 - 0.7 * u)
            for across in (np.array([0.0, 0.7, 0.7]), np.array([0.7, 0.0, -0.7])):
                out.grid(np.stack([spine - across * thick / 2, spine + across * thick / 2], axis=1), 0.0, 1)


def break_line(rng, shape, at_mm):
    """Where a strip snapped: a splintery line, s over shape.columns."""
    across = shape.columns * shape.strip.width_mm
    line = band_noise(rng, across, 0.6, 12, 1.2) * rng.uniform(0.5, 1.5) + rng.uniform(-0.4, 0.4) * (across - across.mean())
    return at_mm + line


# ---- To the renderer -----------------------------------------------------------------------------------------------------

def to_blender(bpy, solid, name, warp=None):
    """A mesh object: (x, y, z) -> (x, -y, z), after `warp` (array of points -> array), with the values as attributes."""
    points = np.asarray(solid.verts if warp is None else warp(solid.verts), dtype=np.float64)
    mesh = bpy.data.meshes.new(name)
    quads = solid.quads
    mesh.vertices.add(len(points))
    mesh.vertices.foreach_set("co", (points * [1, -1, 1]).astype(np.float32).ravel())
    mesh.loops.add(quads.size)
    mesh.loops.foreach_set("vertex_index", quads.astype(np.int32).ravel())
    mesh.polygons.add(len(quads))
    mesh.polygons.foreach_set("loop_start", np.arange(0, quads.size, 4, dtype=np.int32))
    mesh.polygons.foreach_set("loop_total", np.full(len(quads), 4, dtype=np.int32))
    for key, values in solid.values.items():
        kind = "FLOAT_VECTOR" if values.ndim == 2 else "FLOAT"
        attribute = mesh.attributes.new(key, kind, "POINT")
        attribute.data.foreach_set("vector" if values.ndim == 2 else "value", values.astype(np.float32).ravel())
    mesh.update(calc_edges=True)
    thing = bpy.data.objects.new(name, mesh)
    bpy.context.scene.collection.objects.link(thing)
    return thing
