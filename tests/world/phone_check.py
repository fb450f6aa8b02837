"""Checks what the photos' truth hangs on, without the renderer and without Tapersight:
    python3 phone_check.py [lenses | board | pictures [FOLDER]]      (all three unless told)
lenses: each lens there and back, and how much of its distortion radial models explain. board: a chessboard drawn by
formula goes through lens, blur, mosaic, noise and JPEG; its corners must be found where the lens formula says.
pictures: the printed corners of each committed photo, found by OpenCV, against where plan and lens say they are."""
import pathlib
import sys
import tempfile

import cv2
import numpy as np

import lens as lenses
import noise
import phone
import phone_plan
import phone_sensor
import sheet_texture
from phone_geometry import canvas_of

BIAS_PX = 0.02  # most that the mean of many corners may lie off; one corner scatters by 0.02 to 0.1 (cornerSubPix, noise)


def explained(lens, width, height):
    """Largest residual (mm on the sheet) and forged taper (thou over 7.5 in) after the best homography with 0, 1, 2
    radial terms, the sheet filling the frame: ideal = q (1 + k1 r^2 + k2 r^4) in the distorted q."""
    across, along = np.meshgrid(np.linspace(-107.95, 107.95, 15), np.linspace(-139.7, 139.7, 19))
    sheet = np.stack([along.ravel(), across.ravel()], axis=1)
    px = min(width / 296, height / 229)

    def seen(points):
        return (lens.photo_from_pinhole(points * px + lens.centre) - lens.centre) / (height / 2)

    def mapped(p, q):
        r2 = (q ** 2).sum(axis=1)
        k = [*p[8:], 0, 0]
        s = np.concatenate([q * (1 + k[0] * r2 + k[1] * r2 ** 2)[:, None], np.ones((len(q), 1))], axis=1) @ np.append(p[:8], 1).reshape(3, 3).T
        return s[:, :2] / s[:, 2:]
    q, out = seen(sheet), []
    for terms in (0, 1, 2):
        p = np.concatenate([[height / 2 / px, 0, 0, 0, height / 2 / px, 0, 0, 0], np.zeros(terms)])
        for _ in range(30):  # Gauss-Newton: the residuals are small and the start is good
            r = (mapped(p, q) - sheet).ravel()
            step = np.eye(len(p)) * 1e-6
            jacobian = np.stack([((mapped(p + s, q) - sheet).ravel() - r) / 1e-6 for s in step], axis=1)
            p = p - np.linalg.lstsq(jacobian, r, rcond=None)[0]
        worst = np.hypot(*(mapped(p, q) - sheet).T).max()
        forged = 0.0
        for off in (0, 15):  # a strip of 16 x 200 mm in the middle of the channel and beside it, and 25 mm farther along
            for start in (-100, -75):
                x = np.linspace(start, start + 200, 41)
                slopes = [np.polyfit(*mapped(p, seen(np.stack([x, np.full(41, off + y)], 1))).T, 1)[0] for y in (-8.0, 8.0)]
                forged = max(forged, abs(slopes[1] - slopes[0]) * 7500)
        out.append((worst, forged))
    return out


def check_lenses():
    pools, rng = lenses.load(), np.random.default_rng(20241)
    points = rng.uniform([0, 0], [4031, 3023], (500, 2))
    every = [entry for pool in pools for lens in pool for entry in lens]
    worst = 0.0
    for entry in every:
        lens = lenses.Lens(entry, 4032, 3024, [2020, 1500])
        for colour in ("red", "green", "blue") if lens.is_usable() else ():
            worst = max(worst, np.abs(lens.photo_from_pinhole(lens.pinhole_from_photo(points, colour), colour) - points).max())
    print(f"{len(every)} entries of {sum(map(len, pools))} lenses there and back: {worst:.5f} px at most")
    rows = []
    for _ in range(24):
        entry = lenses.draw(rng, pools)
        rows.append(explained(lenses.Lens(entry, 4032, 3024), 4032, 3024))
        print(f"{entry['kind']:8} {entry['model']:6} {entry['focal_mm'] * entry['crop']:3.0f} mm  " + "  ".join(
            f"{name}: {mm:7.3f} mm {thou:6.2f} thou" for name, (mm, thou) in zip(("homography", "with k1", "with k1, k2"), rows[-1])))
    print("median: " + ", ".join(f"{v:.3f}" for v in np.median(np.array(rows).reshape(len(rows), -1), axis=0)))
    return worst < 1e-3


def check_board():
    width, height, scale, pitch, turn = 2016, 1512, 1.25, 80.0, np.radians(7)
    ok = True
    for seed in range(3):
        rng = np.random.default_rng([77, seed])
        lens = lenses.Lens(lenses.draw(rng), width, height, [width / 2 + 5, height / 2 - 7])
        plan = {**phone_plan.RECIPES[0], "seed": 900 + seed}
        sensor = phone_plan.sensor(plan)
        (x0, y0), size = canvas_of(lens, (0, 0, width, height))
        w, h = int(size[0] * scale), int(size[1] * scale)
        light, fine = np.zeros((h, w), np.float32), 4
        for i in range(fine ** 2):
            x = (np.arange(w) + (i % fine + 0.5) / fine) / scale + x0 - 0.5
            y = (np.arange(h) + (i // fine + 0.5) / fine) / scale + y0 - 0.5
            x, y = np.meshgrid(x, y)
            dark = (np.floor((x * np.cos(turn) + y * np.sin(turn)) / pitch) + np.floor((y * np.cos(turn) - x * np.sin(turn)) / pitch)) % 2
            light += np.where(dark, 0.05, 0.8).astype(np.float32) / fine ** 2
        soft = phone_sensor.blurred(np.dstack([light] * 3), sensor["process"], scale)
        photo = phone_sensor.photo_from_render(soft, (x0, y0), lens, (0, 0, width, height), scale)
        code = phone_sensor.develop(photo, sensor["process"], sensor["profile"], seed)
        with tempfile.NamedTemporaryFile(suffix=".jpg") as file:
            shot = {"orientation": 6, "lens": lens, "pose_words": {}}
            phone_sensor.write_jpeg(file.name, code, sensor["quality"], phone.exif_of(plan, shot, sensor))
            grey = cv2.imread(file.name, cv2.IMREAD_GRAYSCALE)  # OpenCV follows the orientation
        a, b = (v.ravel() * pitch for v in np.meshgrid(np.arange(-60, 60), np.arange(-60, 60)))
        at = lens.photo_from_pinhole(np.stack([a * np.cos(turn) - b * np.sin(turn), a * np.sin(turn) + b * np.cos(turn)], 1))
        at = at[((at > 40) & (at < [width - 40, height - 40])).all(axis=1)]
        ok &= report(f"board {seed} ({lens.entry['model']})", grey, at, 8)
    return ok


def report(name, grey, at, radius):
    found = cv2.cornerSubPix(grey.astype(np.float32), at.astype(np.float32).reshape(-1, 1, 2), (radius, radius), (-1, -1), (3, 60, 1e-4)).reshape(-1, 2)
    off = found - at
    good = np.hypot(*off.T) < 2
    mean, rms = off[good].mean(axis=0), off[good].std(axis=0)
    ok = good.mean() > 0.9 and np.abs(mean).max() < BIAS_PX + 4 * rms.max() / np.sqrt(good.sum())
    print(f"{name}: {good.sum()} of {len(at)} corners, off by {mean[0]:+.3f}, {mean[1]:+.3f} px, scatter {rms[0]:.3f}, {rms[1]:.3f}{'' if ok else '  WRONG'}")
    return ok


def check_pictures(folder):
    ok = True
    for plan in phone_plan.RECIPES:
        path = folder / f"{plan['name']}.jpg"
        if not path.exists() or not plan["printed"]:
            continue
        shapes = phone_plan.strips_of(plan)
        sheet = phone_plan.sheet_shape(plan, phone_plan.half_width(plan, shapes))
        shot = phone_plan.camera(plan, sheet)
        corners = [[x + 3 + 8 * i, y + 3 + 8 * j] for x, y, _, _ in sheet_texture.LAYOUT[plan["paper"]]["blocks"] for i in range(3) for j in range(32)]
        radius = max(3, int(shot["lens"].focal_px / shot["distance_mm"]))
        ok &= report(plan["name"], cv2.imread(str(path), cv2.IMREAD_GRAYSCALE), phone.seen_at(shot, sheet.bench_from_sheet(corners)), radius)
    return ok


def main():
    which = sys.argv[1] if len(sys.argv) > 1 else "all"
    folder = pathlib.Path(sys.argv[2]) if len(sys.argv) > 2 else phone.HERE / "pictures"
    checks = {"lenses": check_lenses, "board": check_board, "pictures": lambda: check_pictures(folder)}
    results = [run() for name, run in checks.items() if which in ("all", name)]
    sys.exit(0 if results and all(results) else 1)


if __name__ == "__main__":
    main()
