"""Runs inside the renderer: the light of one flatbed picture, linear.

    blender -b --factory-startup -t 2 -P flatbed_render.py -- NAME TEXTURE COVERS_X COVERS_Y OUT

writes OUT-front.exr (sheet and strip, alpha where they are, twice as fine), OUT-strip.exr (of that the box round the strip, with
more samples), OUT-lid.exr (the lid's own tone) and OUT-light.exr (the light that falls on the lid, coarser, for it is
smooth; many samples).

The lamp travels with the scan line, so every row sees it from the same side: light depends on direction only, and one
parallel view of the whole glass is the scan. Directions are those seen from the lid's depth, where the shadows fall.
The reduction lens' view along the sensor is put into the meshes (Glass.seen), and so is the carriage's way.
"""
import math
import pathlib
import sys
import time

import bpy
import numpy as np

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent))
import flatbed_pictures
import flatbed_scene
import sheet_texture
import strip_solid
import wood_shaders


def empty_scene():
    for thing in list(bpy.data.objects):
        bpy.data.objects.remove(thing)


def lid_depth(scene):
    return scene.strips[0][0].thickness_mm if scene.strips else 0.3


def lamp_sky(scene):
    """Equirectangular picture of the lamps, such that a level white surface in front of them sends back light 1."""
    s, depth = scene.scanner, lid_depth(scene)
    rows, cols = 1024, 2048
    v = (np.arange(rows) + 0.5) / rows
    u = (np.arange(cols) + 0.5) / cols
    height = (v[:, None] - 0.5) * math.pi  # bottom row first, as the renderer stores pictures
    around = (0.5 - u[None, :]) * 2 * math.pi
    dx = np.cos(height) * np.cos(around)
    dy = np.cos(height) * np.sin(around)
    dz = np.broadcast_to(np.sin(height), dx.shape)
    up = np.degrees(np.arctan2(dz, dy))  # in the plane across the lamp: 0 towards -picture y, 90 to the glass
    light = np.zeros_like(dx)
    elevation = math.degrees(math.atan2(s.lamp_below_mm + depth, s.lamp_off_mm))
    for side, strength in s.lamps:
        at = elevation if side > 0 else 180 - elevation
        light += strength * np.exp(-0.5 * ((up - at) / (s.lamp_wide_deg / 2.35)) ** 2)
    light *= (np.abs(dx) < math.sin(math.radians(68))) & (dz > 0)
    solid = np.cos(height) * (math.pi / rows) * (2 * math.pi / cols)
    light /= (light * np.clip(dz, 0, None) * solid).sum() / math.pi
    image = bpy.data.images.new("lamps", cols, rows, float_buffer=True)
    image.colorspace_settings.name = "Non-Color"
    rgba = np.ones((rows, cols, 4), np.float32)
    rgba[..., :3] = light[..., None]
    image.pixels.foreach_set(rgba.ravel())
    image.pack()
    world = bpy.data.worlds.new("lamps")
    bpy.context.scene.world = world
    world.use_nodes = True
    nodes, links = world.node_tree.nodes, world.node_tree.links
    sky = nodes.new("ShaderNodeTexEnvironment")
    sky.image = image
    links.new(sky.outputs["Color"], nodes["Background"].inputs["Color"])
    world.cycles.sampling_method = "MANUAL"
    world.cycles.sample_map_resolution = 2048


def further_light(scene):
    """How much less light a level thing at the lid's depth gets than one on the glass, from lamps this near."""
    s, depth = scene.scanner, lid_depth(scene)
    def light(z): return (s.lamp_below_mm + z) / ((s.lamp_below_mm + z) ** 2 + s.lamp_off_mm ** 2)
    return min(1.0, light(depth) / light(0.0))


def lid_material(scene, rng):
    """Two ways for the eye: "albedo" shows the lid's own tone as light; "light" shows what falls on it, as if it were
    white. Everything else that meets the lid sees it as it is."""
    material = bpy.data.materials.new("lid")
    material.use_nodes = True
    net = wood_shaders.Net(material.node_tree)
    net.nodes.clear()
    dim = further_light(scene)
    white = {"white": (0.82, 0.82, 0.80), "dirty": (0.62, 0.60, 0.54), "black": (0.035, 0.035, 0.037)}[scene.lid]
    place = net.nodes.new("ShaderNodeTexCoord").outputs["Object"]
    foam = net.noise(net.mapped(place, scale=(1 / 0.8,) * 3), 3.0, 0.6)
    colour = net.mix(net.mul(0.08, foam), tuple(dim * c for c in white), (0.3 * dim,) * 3)
    if scene.lid == "dirty":
        seed = tuple(float(v) for v in rng.uniform(0, 999, 3))
        stain = net.step(net.noise(net.mapped(place, move=seed, scale=(1 / 25,) * 3), 5.0, 0.6), 0.42, 0.62)
        colour = net.mix(net.mul(0.55, stain), colour, tuple(dim * c for c in (0.24, 0.20, 0.14)))
        crumbs = net.step(net.cells(net.mapped(place, move=seed, scale=(1 / 5,) * 3)), 0.10, 0.06)
        colour = net.mix(net.mul(0.8, crumbs), colour, tuple(dim * c for c in (0.08, 0.06, 0.04)))
        hair = net.noise(net.mapped(place, scale=(1 / 12,) * 3), 2.0)
        line = net.step(net.math("ABSOLUTE", net.sub(hair, 0.5)), 0.0022, 0.0008)
        colour = net.mix(net.mul(0.5, line), colour, (0.03, 0.03, 0.03))
    shown = net.nodes.new("ShaderNodeEmission")
    net.put(colour, shown.inputs["Color"])
    path = net.nodes.new("ShaderNodeLightPath")
    shader, out = net.nodes.new("ShaderNodeBsdfDiffuse"), net.nodes.new("ShaderNodeOutputMaterial")
    net.put(net.mix(path.outputs["Is Camera Ray"], colour, (1.0, 1.0, 1.0)), shader.inputs["Color"])

    def show(way):
        net.links.new(shown.outputs[0] if way == "albedo" else shader.outputs[0], out.inputs["Surface"])
    return material, show


def lid(scene, glass, rng):
    w, h = scene.size_mm
    x, y = np.meshgrid(np.linspace(-60, w + 60, 41), np.linspace(-60, h + 60, 81))
    # It lies on the strip's one end and, hinged beyond the picture's top, stands off the other.
    off = abs(scene.lid_tilt[0]) * np.abs(x - w / 2) + scene.lid_tilt[1] * np.clip(y - 20, 0, None)
    solid = strip_solid.Solid()
    solid.grid(np.stack([x, y, -(lid_depth(scene) + 0.02) - off], -1), 0.0, 0)
    thing = strip_solid.to_blender(bpy, solid.done(), "lid", glass.seen)
    material, show = lid_material(scene, rng)
    thing.data.materials.append(material)
    return thing, show


def strips(scene, glass):
    things = []
    for index, (strip, kind, tone, *_) in enumerate(scene.strips):
        shape = strip_solid.StripShape(strip)
        pose = glass.strip_pose(index)
        if scene.broken_at:
            rng = np.random.default_rng([scene.seed, 7])
            line = strip_solid.break_line(rng, shape, strip.length_mm * (scene.broken_at - 0.5))
            solids = [shape.solid(last=line).placed(*pose), shape.solid(first=line + scene.break_gap_mm)
                      .placed(pose[0] + rng.normal(0, 0.2), pose[1], pose[2] + rng.normal(0, 0.002))]
        else:
            solids = [shape.solid().placed(*pose)]
        wood = wood_shaders.wood_material(bpy, np.random.default_rng([scene.seed, 11, index]), kind, tone, face=strip.face,
                                          level_light=True)
        for solid in solids:
            things.append(strip_solid.to_blender(bpy, solid, "strip", glass.seen))
            things[-1].data.materials.append(wood)
    return things


def print_map(paper):
    """The renderer keeps the name "uv" for a mesh's own map, so the vertex values of that name become one."""
    place = np.empty(len(paper.data.vertices) * 3, np.float32)
    paper.data.attributes["uv"].data.foreach_get("vector", place)
    vertex = np.empty(len(paper.data.loops), np.int32)
    paper.data.loops.foreach_get("vertex_index", vertex)
    layer = paper.data.uv_layers.new(name="page")
    layer.data.foreach_set("uv", place.reshape(-1, 3)[vertex, :2].ravel())


def camera(scene, glass):
    setup = bpy.context.scene
    px, mm = glass.picture_px(), 25.4 / scene.scanner.dpi
    eye = bpy.data.cameras.new("eye")
    eye.type, eye.ortho_scale, eye.clip_end = "ORTHO", max(px) * mm, 300
    thing = bpy.data.objects.new("eye", eye)
    thing.location = (px[0] * mm / 2, -px[1] * mm / 2, 100)
    setup.collection.objects.link(thing)
    setup.camera = thing
    r, c = setup.render, setup.cycles
    r.engine, r.film_transparent = "CYCLES", True
    r.resolution_percentage = 100
    r.image_settings.file_format, r.image_settings.color_depth, r.image_settings.exr_codec = "OPEN_EXR", "16", "ZIP"
    r.image_settings.color_mode = "RGBA"
    setup.view_settings.view_transform = "Raw"
    c.device, c.use_denoising, c.use_adaptive_sampling = "CPU", False, False
    c.pixel_filter_type = "BOX"
    c.max_bounces, c.diffuse_bounces, c.glossy_bounces = 2, 2, 1
    c.sample_clamp_indirect, c.caustics_reflective, c.caustics_refractive = 0, False, False
    c.seed = scene.seed


def render(out, px, samples, box=None):
    """Renders the view px wide and high, or of it only the box (left, top, right, bottom as shares)."""
    setup = bpy.context.scene
    setup.render.use_border = setup.render.use_crop_to_border = box is not None
    if box:
        setup.render.border_min_x, setup.render.border_max_x = box[0], box[2]
        setup.render.border_min_y, setup.render.border_max_y = 1 - box[3], 1 - box[1]
    setup.render.resolution_x, setup.render.resolution_y = px
    setup.cycles.samples = samples
    setup.render.filepath = out
    start = time.time()
    bpy.ops.render.render(write_still=True)
    print(f"{pathlib.Path(out).name}: {px[0]} x {px[1]}, {samples} samples, {time.time() - start:.1f} s", flush=True)


def main(name, texture, covers, out):
    scene = flatbed_pictures.scene(name)
    glass = flatbed_scene.Glass(scene)
    rng = np.random.default_rng([scene.seed, 3])
    empty_scene()
    lamp_sky(scene)
    sheet = sheet_texture.Sheet(rng, scene.paper, covers)
    paper = strip_solid.to_blender(bpy, sheet, "sheet", lambda p: glass.seen(glass.sheet_to_glass(p)))
    print_map(paper)
    paper.data.materials.append(sheet_texture.paper_material(bpy, texture, white=float(rng.uniform(0.78, 0.9)), level_light=True))
    things = [paper] + strips(scene, glass)
    behind, show = lid(scene, glass, rng)
    camera(scene, glass)
    w, h = glass.picture_px()
    behind.visible_camera = False
    render(f"{out}-front.exr", (FINER * w, FINER * h), PRINT_SAMPLES)
    if scene.strips:
        left, top, right, bottom = (FINER * v for v in glass.strip_box_px())
        within = 0.3  # px: the renderer cuts shares down to whole pixels, from the left and from below
        render(f"{out}-strip.exr", (FINER * w, FINER * h), SAMPLES, ((left + within) / (FINER * w), (top - within) / (FINER * h),
                                                                    (right + within) / (FINER * w), (bottom - within) / (FINER * h)))
    behind.visible_camera = True
    for thing in things:
        thing.visible_camera = False
    show("albedo")
    half = scene.scanner.dpi // 150
    render(f"{out}-lid.exr", (-(-w // half), -(-h // half)), 3)
    show("light")
    coarser = (6 if scene.strips else 3) * scene.scanner.dpi // 300  # half a millimetre, or a quarter where the lid is near
    render(f"{out}-light.exr", (-(-w // coarser), -(-h // coarser)), LID_SAMPLES)


FINER, PRINT_SAMPLES, SAMPLES, LID_SAMPLES = 2, 1, 6, 24
arguments = sys.argv[sys.argv.index("--") + 1:]
main(arguments[0], arguments[1], (float(arguments[2]), float(arguments[3])), arguments[4])
