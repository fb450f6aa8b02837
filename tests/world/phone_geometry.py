"""Where things are in a traced photo: the sheet's bends, the camera's pose, what pixel a point is seen at.

Bench frame: mm, origin at the sheet's middle on the bench, x right and y down as the sheet is seen upright, z
towards the eye (strip_solid's frame). `to_world` flips y: the renderer's right-handed frame, 1 unit = 1 mm.
"""
import math

import numpy as np

from sheet_texture import PAPER_MM


def to_world(points):
    return np.asarray(points, float) * np.array([1, -1, 1])


class SheetShape:
    """The sheet's form. `bends`: {"way": angle, "from_mm", "radius_mm", "most_rad"}: beyond a line at from_mm from
    the middle, square to `way`, the paper turns up with a constant radius, to an angle of most_rad, and goes on
    straight. Exactly as long as it was flat (bends must not overlap). `ridge`: {"at_mm", "height_mm", "reach_mm"}: it
    has been folded across and stands up along y = at_mm, flat again under the strip, whose half width is `pressed_mm`."""

    def __init__(self, page_mm, scale, bends=(), ridge=None, pressed_mm=10.0, lifted_mm=0.0):
        self.page, self.scale, self.bends, self.ridge = np.array(page_mm), np.array(scale), bends, ridge
        self.pressed_mm, self.lifted_mm = pressed_mm, lifted_mm

    def bench_from_sheet(self, points):
        """Points in the sheet frame (nominal mm, page corner, two or three coordinates) to the bench frame."""
        points = np.asarray(points, float)
        flat = (points[..., :2] - self.page / 2) * self.scale
        z = np.full(flat.shape[:-1], PAPER_MM)
        moved = flat.copy()
        for bend in self.bends:
            way = np.array([math.cos(bend["way"]), math.sin(bend["way"])])
            beyond = np.maximum(flat @ way - bend["from_mm"], 0)
            radius, most = bend["radius_mm"], bend["most_rad"]
            angle = np.minimum(beyond / radius, most)
            straight = beyond - radius * angle
            along = radius * np.sin(angle) + straight * np.cos(angle)
            moved += (along - beyond)[..., None] * way
            z += radius * (1 - np.cos(angle)) + straight * np.sin(angle)
        if self.ridge:
            off = np.clip((np.abs(flat[..., 0]) - self.pressed_mm - 1) / 14, 0, 1)
            fade = off * off * (3 - 2 * off)
            z += self.ridge["height_mm"] * fade * np.maximum(1 - np.abs(flat[..., 1] - self.ridge["at_mm"]) / self.ridge["reach_mm"], 0)
        out = np.concatenate([moved, z[..., None]], axis=-1)
        if points.shape[-1] == 3:
            out[..., 2] += points[..., 2]
        return out


class Pose:
    """A pinhole over the bench. `tilt` from straight down, towards `azimuth`; `roll` turns the picture."""

    def __init__(self, target, distance_mm, tilt, azimuth, roll):
        target = to_world([target[0], target[1], 0.0])
        back = np.array([math.sin(tilt) * math.cos(azimuth), math.sin(tilt) * math.sin(azimuth), math.cos(tilt)])
        self.centre = target + distance_mm * back
        up = np.array([0.0, 1.0, 0.0]) - back * back[1]
        up /= np.linalg.norm(up)
        right = np.cross(up, back)
        self.right = math.cos(roll) * right + math.sin(roll) * up
        self.up = -math.sin(roll) * right + math.cos(roll) * up
        self.back = back

    def rotation(self):
        """Columns: the camera's x, y, z axes in the world (it looks along -z)."""
        return np.stack([self.right, self.up, self.back], axis=1)

    def pinhole(self, world, focal_px, centre_px):
        p = np.asarray(world, float) - self.centre
        depth = -(p @ self.back)
        return np.stack([centre_px[0] + focal_px * (p @ self.right) / depth, centre_px[1] - focal_px * (p @ self.up) / depth], -1)


def canvas_of(lens, window, margin_px=8):
    """The pinhole picture that must be traced for the photo's `window` (left, top, width, height): its corner x0,
    y0 (pixel corners) and its size, photo pixels in fours: 1.25 or 1.5 times as many are whole, too."""
    left, top, width, height = window
    u, v = np.linspace(left - 0.5, left + width - 0.5, 60), np.linspace(top - 0.5, top + height - 0.5, 60)
    rim = np.concatenate([np.stack([u, np.full(60, w)], 1) for w in (v[0], v[-1])] + [np.stack([np.full(60, w), v], 1) for w in (u[0], u[-1])])
    seen = np.concatenate([lens.pinhole_from_photo(rim, c) for c in ("red", "green", "blue")])
    x0, y0 = (np.floor(seen.min(0) + 0.5) - margin_px).astype(int)
    x1, y1 = (np.ceil(seen.max(0) + 0.5) + margin_px).astype(int)
    return (int(x0), int(y0)), (int(x1 - x0 + (x0 - x1) % 4), int(y1 - y0 + (y0 - y1) % 4))
