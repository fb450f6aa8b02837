"""Makes the traced photos of tests/world/pictures: plan, trace, develop, truth. By hand, not in CI:
    python3 phone.py [--only NAME ...] [--out FOLDER] [--work FOLDER] [--scale S] [--threads N]
Needs Debian's blender, python3-numpy, python3-opencv, poppler-utils, liblensfun-data-v1 and darktable's noiseprofiles.json
(see noise.py). Same seed, same versions: the same picture."""
import argparse
import json
import os
import pathlib
import subprocess
import tempfile
import time

os.environ["OPENCV_IO_ENABLE_OPENEXR"] = "1"
import cv2
import numpy as np

import phone_plan
import phone_sensor
import sheet_texture
import truth
from phone_geometry import PAPER_MM, canvas_of, to_world

HERE = pathlib.Path(__file__).resolve().parent
LARGEST = 2 * 10 ** 6  # bytes of a committed picture
# Light paths a picture for the whole and for the pattern once more, and the least and most a traced pixel.
SAMPLES, SAMPLES_A_PIXEL = (9e6, 24e6), ((3, 12), (8, 32))
# A photo of more pixels than this is traced a pixel to a pixel, a smaller one finer.
FINER_UP_TO, FINER = 4.5e6, 1.25
PAPER_WHITE = 0.86  # sheet_texture.paper_material's


def texture(plan, path):
    """The print, in its own fresh state of toner. (covers_mm, what was drawn)"""
    rng = phone_plan.exact(plan["seed"], "print")
    ink = {"spread_mm": rng.normal(0.005, 0.015), "ragged_mm": rng.uniform(0.003, 0.015), "density": rng.uniform(1.15, 1.55)}
    covers = sheet_texture.write_texture(path, plan["paper"], rng, plan["dark_sheet"], 600, **ink)
    if not plan["printed"]:
        blank = np.full((64, 64), 255, np.uint8)
        cv2.imwrite(str(path), blank)
    return covers, ink


def trace(plan, shot, sensor, folder, scale, threads):
    """Writes the scene, runs the renderer; returns (linear picture, canvas, scene file, lights)."""
    png, scene_path, out = (folder / f"{plan['name']}{end}" for end in (".png", ".json", ""))
    covers, ink = texture(plan, png)
    canvas, size = canvas_of(shot["lens"], shot["window"])
    box = pattern_box(plan, shot, canvas, size, scale)
    areas = size[0] * size[1] * scale ** 2, (box[2] - box[0]) * (box[3] - box[1])
    samples = [int(np.clip(paths / area, *bounds)) for paths, area, bounds in zip(SAMPLES, areas, SAMPLES_A_PIXEL)]
    rng = phone_plan.exact(plan["seed"], "gloss")
    entry = shot["lens"].entry
    scene = {"plan": plan, "pose": shot["pose_words"], "texture": str(png), "covers_mm": covers, "canvas": canvas, "canvas_size": size,
             "centre_px": shot["lens"].centre.tolist(), "focal_px": shot["lens"].focal_px, "scale": scale, "samples": samples, "threads": threads, "pattern_box": box,
             "ink_gloss": float(rng.uniform(0.02, 0.10)), "opening_mm": entry["focal_mm"] / sensor["f_number"],
             "focus_mm": shot["distance_mm"] + sensor["focus_off_mm"]}
    scene_path.write_text(json.dumps(scene))
    subprocess.run(["blender", "-b", "--factory-startup", "-t", str(threads), "-P", str(HERE / "phone_scene.py"), "--", str(scene_path), str(out)],
                   check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    picture, pattern = (cv2.cvtColor(cv2.imread(f"{out}.{part}.exr", cv2.IMREAD_UNCHANGED), cv2.COLOR_BGR2RGB) for part in ("whole", "pattern"))
    left, top, right, bottom = box
    assert pattern.shape[:2] == (bottom - top, right - left)
    part = picture[top:bottom, left:right]
    part[:] = (samples[0] * part + samples[1] * pattern) / sum(samples)
    return picture, canvas, {**scene, "ink": ink}, json.loads(scene_path.with_suffix(".lights.json").read_text())


def pattern_box(plan, shot, canvas, size, scale):
    """Traced pixels (left, top, right, bottom) that hold chessboards, channel and what stands in it."""
    layout = sheet_texture.LAYOUT[plan["paper"]]
    page, (_, y, _, h), ((left, _, _, _), (right, _, w, _)) = layout["page"], layout["channel"], layout["blocks"]
    corners = [[cx - page[0] / 2, cy - page[1] / 2, z] for cx in (left, right + w) for cy in (y, y + h) for z in (0, 21)]
    at = (shot["pose"].pinhole(to_world(corners), shot["lens"].focal_px, shot["lens"].centre) + 0.5 - np.array(canvas)) * scale
    most = np.round(np.array(size) * scale).astype(int)
    low, high = np.clip(np.floor(at.min(0)).astype(int), 0, most), np.clip(np.ceil(at.max(0)).astype(int), 0, most)
    return [int(v) for v in (*low, *high)]


def bench_from_strip(points, place, z):
    x, y, turn = place
    c, s = np.cos(turn), np.sin(turn)
    p = np.asarray(points, float)
    return np.stack([c * p[..., 0] - s * p[..., 1] + x, s * p[..., 0] + c * p[..., 1] + y, np.full(p.shape[:-1], z)], -1)


def seen_at(shot, bench):
    """Where points of the bench frame are in the photo as written (after the crop)."""
    pinhole = shot["pose"].pinhole(to_world(bench), shot["lens"].focal_px, shot["lens"].centre)
    return shot["lens"].photo_from_pinhole(pinhole) - np.array(shot["window"][:2])


def tones(picture, canvas, scale, shot, sheet, shape, place, page):
    """Mean green light of the strip's face, of what lies beside its foot, where a perfect
    white sends back 1 (the paper: PAPER_WHITE)."""
    def light(bench):
        at = (shot["pose"].pinhole(to_world(bench), shot["lens"].focal_px, shot["lens"].centre) + 0.5 - np.array(canvas)) * scale - 0.5
        i = np.clip(np.round(at).astype(int), 0, np.array(picture.shape[1::-1]) - 1)
        return picture[i[..., 1], i[..., 0], 1]
    t = shape.strip
    u, s = np.meshgrid(np.linspace(-0.85, 0.85, 40), np.linspace(-0.47, 0.47, 200))
    top = PAPER_MM + 0.02 + t.thickness_mm
    face = light(bench_from_strip(np.stack([u * t.width_mm / 2, s * t.length_mm], -1), place, top))
    off = np.concatenate([np.linspace(-4, -1.5, 6), np.linspace(1.5, 4, 6)])
    u, s = np.meshgrid(off, np.linspace(-0.47, 0.47, 200))
    beside = light(bench_from_strip(np.stack([u + np.sign(u) * t.width_mm / 2, s * t.length_mm], -1), place, PAPER_MM))
    x, y = np.meshgrid(np.linspace(5, page[0] - 5, 80), np.linspace(5, page[1] - 5, 110))
    white = np.percentile(light(sheet.bench_from_sheet(np.stack([x, y], -1))), 85)
    tone = {"face_tone": PAPER_WHITE * float(face.mean() / white), "ground_tone": PAPER_WHITE * float(beside.mean() / white)}
    return {**tone, "contrast": abs(tone["face_tone"] - tone["ground_tone"])}


def edges_px(shot, shape, place, z):
    ends = truth.straight_ends(shape)
    return {side: {end: seen_at(shot, bench_from_strip(np.array(at), place, z)).tolist() for end, at in of.items()} for side, of in ends.items()}


def of_strip(shape):
    """As truth.of_strip, but the eye above sees the worn arris: its wander counts, too."""
    keys = truth.of_strip(shape)
    inner = np.abs(shape.left.s) <= shape.strip.length_mm / 2
    seen = {side: float(1000 * np.std(of.d[0][inner])) for side, of in (("left", shape.left), ("right", shape.right))}
    if max(seen.values()) > truth.SMOOTH_UM:
        keys["edges"] = "rough"
    worn = {side: cut.arris_mm if cut.arris == "chamfered" else 0.0 for side, cut in (("left", shape.strip.left), ("right", shape.strip.right))}
    return {**keys, "arris_rms_um": seen, "chamfer_mm": worn}


def keys_of(plan, shot, sensor, scene, lights, picture, quality, sheet, shapes, places, size):
    page = sheet_texture.LAYOUT[plan["paper"]]["page"]
    e = shot["exif"]
    keys = {"world": "traced-photo", "seed": plan["seed"], "shows": plan["shows"], "expect": "refused" if plan["refusal"] else "measured",
            "megapixels": plan["megapixels"], "sheet": {"paper": plan["paper"], "dark_channel": plan["dark_sheet"], "form": plan["form"]},
            "size_px": size, "print_scale_x": float(sheet.scale[0]), "print_scale_y": float(sheet.scale[1])}
    if plan["refusal"]:
        keys["refusal"] = plan["refusal"]
    if len(shapes) == 1:
        t = shapes[0].strip
        top = PAPER_MM + 0.02 + t.thickness_mm
        keys |= of_strip(shapes[0])
        keys |= tones(picture, scene["canvas"], scene["scale"], shot, sheet, shapes[0], places[0], page)
        # As displayed, EXIF's orientation followed: the seen face's edges, and below them the foot's on the sheet.
        keys["edges_px"] = edges_px(shot, shapes[0], places[0], top)
        keys["edges_foot_px"] = edges_px(shot, shapes[0], places[0], PAPER_MM)
        keys["walls_lean_deg"] = [float(np.degrees(np.arctan(c.lean))) for c in (t.left, t.right)]
    keys["render"] = {"renderer": "Cycles", "samples_whole_and_pattern": scene["samples"], "finer_than_photo": scene["scale"], "light": plan["light"], "lights": lights,
                      "bench": plan["bench"], "wood": [list(phone_plan.wood_of(plan, k)) for k in range(plan["strips"])], "strip_places": places,
                      "tilt_deg": shot["tilt_deg"], "distance_mm": shot["distance_mm"], "pose": scene["pose"], "window": shot["window"],
                      "frame": shot["frame"], "lens": shot["lens"].truth(), "opening_mm": scene["opening_mm"], "focus_mm": scene["focus_mm"],
                      "bends": sheet.bends, "ridge": sheet.ridge, "ink": scene["ink"], "ink_gloss": scene["ink_gloss"], "noise": sensor["profile"],
                      "process": sensor["process"], "jpeg_quality": quality, "exif": e, "hand": plan["hand"]}
    return keys


def exif_of(plan, shot, sensor):
    entry, rng = shot["lens"].entry, phone_plan.exact(plan["seed"], "exif")
    return {"orientation": shot["orientation"], "time": sensor["time"], "shutter": int(rng.choice([30, 50, 60, 100, 120])),
            "f_number": sensor["f_number"], "iso": int(round(sensor["profile"]["iso"])), "flash": plan["light"] == "flash",
            "focal_mm": entry["focal_mm"], "focal_35mm": int(round(entry["focal_mm"] * entry["crop"]))}


def make(plan, out, folder, scale, threads):
    started = time.time()
    shapes = phone_plan.strips_of(plan)
    sheet = phone_plan.sheet_shape(plan, phone_plan.half_width(plan, shapes))
    shot, sensor = phone_plan.camera(plan, sheet), phone_plan.sensor(plan)
    shot["exif"] = exif_of(plan, shot, sensor)
    places = phone_plan.placings(plan, shapes)
    scale = scale or (FINER if shot["window"][2] * shot["window"][3] <= FINER_UP_TO else 1.0)
    picture, canvas, scene, lights = trace(plan, shot, sensor, folder, scale, threads)
    traced = time.time() - started
    size = shot["window"][2:]
    soft = phone_sensor.blurred(picture, sensor["process"], scale)
    light = phone_sensor.photo_from_render(soft, canvas, shot["lens"], shot["window"], scale)
    photo = phone_sensor.develop(light, sensor["process"], sensor["profile"], [plan["seed"], 9])
    path = out / f"{plan['name']}.jpg"
    for quality in range(sensor["quality"], 59, -5):
        quality = max(quality, 80)
        bytes_written = phone_sensor.write_jpeg(path, photo, quality, shot["exif"])
        if bytes_written <= LARGEST or quality == 80:
            break
    truth.write(path, keys_of(plan, shot, sensor, scene, lights, picture, quality, sheet, shapes, places, size))
    note = "" if bytes_written <= LARGEST else "  LARGER THAN 2 MB"
    print(f"{plan['name']}: {size[0]} x {size[1]}, quality {quality}, {bytes_written / 1e6:.2f} MB, traced {traced:.0f} s, "
          f"whole {time.time() - started:.0f} s{note}", flush=True)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--only", nargs="*")
    parser.add_argument("--out", type=pathlib.Path, default=HERE / "pictures")
    parser.add_argument("--work", type=pathlib.Path)
    parser.add_argument("--scale", type=float, help="traced pixels to a photo's pixel, along each side (1 or 1.25)")
    parser.add_argument("--threads", type=int, default=2)
    given = parser.parse_args()
    cv2.setNumThreads(given.threads)
    given.out.mkdir(parents=True, exist_ok=True)
    for plan in phone_plan.RECIPES:
        if given.only is None or plan["name"] in given.only:
            with tempfile.TemporaryDirectory(dir=given.work) as folder:
                make(plan, given.out, pathlib.Path(folder), given.scale, given.threads)


if __name__ == "__main__":
    main()
