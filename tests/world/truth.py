"""What is true of a traced picture, written beside it as NAME.truth.json (schema tapersight-world-truth-1)."""
import json
import pathlib

SCHEMA = "tapersight-world-truth-1"
SMOOTH_UM = 5.0  # "smooth" edges leave their line by no more than this (rms); all others are "rough"
ALWAYS = ("world", "seed", "shows", "expect", "sheet", "render")
OF_A_STRIP = ("edges", "edge_kind", "taper", "taper_as_drawn", "length_mm", "width_mm", "thickness_mm", "print_scale_x",
              "print_scale_y", "face_tone", "ground_tone", "contrast", "edges_px")
WORLDS = {"traced-scan": "dpi", "traced-photo": "megapixels"}


def of_strip(shape):
    """The keys that a strip_solid.StripShape knows by itself. `taper_as_drawn`: least-squares lines through the
    sawn edges on the seen face, torn places (chips, tear-out, fibres) left out."""
    strip = shape.strip
    rms = {side: round(shape.rms_um(side), 2) for side in ("left", "right")}
    bent = any(name in ("kink", "waver", "bow") for cut in (strip.left, strip.right) for name, _ in cut.parts)
    torn = any(cut.tearout_mm > 0 or cut.fuzz_per_mm > 0 or cut.arris == "splintered" for cut in (strip.left, strip.right))
    return {"edges": "smooth" if max(rms.values()) <= SMOOTH_UM and not bent and not torn else "rough",
            "edge_kind": strip.words(), "edge_rms_um": rms, "taper": strip.taper, "taper_as_drawn": shape.taper_as_drawn(),
            "length_mm": strip.length_mm, "width_mm": strip.width_mm, "thickness_mm": strip.thickness_mm}


def straight_ends(shape):
    """The straight cuts' ends in the strip frame: {"left": {"far_end": (x, y), "fence_end": ...}, "right": ...}."""
    half = shape.strip.length_mm / 2
    return {side: {"far_end": (float(shape.straight(side, -half)), -half), "fence_end": (float(shape.straight(side, half)), half)}
            for side in ("left", "right")}


def rounded(value, digits=9):
    if isinstance(value, dict):
        return {k: rounded(v, digits) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [rounded(v, digits) for v in value]
    if isinstance(value, bool) or value is None or isinstance(value, (str, int)):
        return value
    return round(float(value), digits)


def write(picture, keys):
    """Writes the truth of `picture` (a path) beside it; complains about a key that is missing."""
    picture = pathlib.Path(picture)
    whole = {"schema": SCHEMA, "file": picture.name, **keys}
    needed = list(ALWAYS)
    if keys["expect"] == "measured":
        needed += OF_A_STRIP
    else:
        needed += ["refusal"]
    needed.append(WORLDS[keys["world"]])
    missing = [key for key in needed if key not in whole]
    if missing:
        raise KeyError(f"{picture.name}: the truth lacks {', '.join(missing)}")
    path = picture.with_suffix(".truth.json")
    path.write_text(json.dumps(rounded(whole), indent=1) + "\n")
    return path
