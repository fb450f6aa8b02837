"""Renders and develops the flatbed pictures: /usr/bin/python3 make_flatbed.py --work DIR [--render-only] [NAME ...]

What was rendered stays in --work (about 20 MB a picture) and is not rendered again while it is there.
"""
import argparse
import os
import pathlib
import resource
import subprocess
import sys
import time

os.environ["OPENCV_IO_ENABLE_OPENEXR"] = "1"
HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))
import numpy as np

import flatbed_pictures
import sheet_texture


def cpu_seconds():
    mine, children = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return mine.ru_utime + children.ru_utime


def rendered(name, work):
    """Renders `name` unless it is there; returns what the files' names begin with."""
    out = work / name
    if not pathlib.Path(f"{out}-light.exr").exists():
        scene = flatbed_pictures.scene(name)
        start, used = time.time(), cpu_seconds()
        texture = work / f"{name}-sheet.png"
        covers = sheet_texture.write_texture(texture, scene.paper, np.random.default_rng([scene.seed, 5]),
                                             dpi=600 if scene.scanner.dpi < 600 else 900, **scene.ink)
        command = ["blender", "-b", "--factory-startup", "-t", "2", "-P", str(HERE / "flatbed_render.py"), "--", name, str(texture),
                   str(covers[0]), str(covers[1]), str(out)]
        run = subprocess.run(command, capture_output=True, text=True)
        if not pathlib.Path(f"{out}-light.exr").exists():
            raise SystemExit(run.stdout + run.stderr)
        texture.unlink()
        print(f"{name}: rendered in {time.time() - start:.0f} s, {cpu_seconds() - used:.0f} s of one core", flush=True)
    return out


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*")
    parser.add_argument("--work", type=pathlib.Path, required=True)
    parser.add_argument("--pictures", type=pathlib.Path, default=HERE / "pictures")
    parser.add_argument("--render-only", action="store_true")
    arguments = parser.parse_args()
    arguments.work.mkdir(parents=True, exist_ok=True)
    for name in arguments.names or flatbed_pictures.PLAN:
        out = rendered(name, arguments.work)
        if not arguments.render_only:
            import flatbed_sensor
            print(flatbed_sensor.develop(name, out, arguments.pictures), flush=True)


main()
