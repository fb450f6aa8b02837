"""Builds and traces one photo's scene. Run by phone.py:
    blender -b --factory-startup -P phone_scene.py -- SCENE.json OUT (writes OUT.whole.exr, OUT.pattern.exr)
1 unit = 1 mm. Light is traced; only the phone's lens and sensor come afterwards (phone_sensor.py)."""
import json
import math
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent))

import bpy
import numpy as np
from mathutils import Matrix, Vector

import phone_plan
import sheet_texture
import strip_solid
import wood_shaders
from phone_geometry import PAPER_MM, Pose, to_world

DAYLIGHT, INDOORS, LAMP, TUBE, FLASH = (0.85, 0.95, 1.1), (1.0, 0.95, 0.88), (1.25, 0.95, 0.6), (0.95, 1.0, 0.9), (1.0, 0.97, 0.95)


def principled(name, colour, roughness, specular=0.5, metallic=0.0):
    material = bpy.data.materials.new(name)
    material.use_nodes = True
    shader = material.node_tree.nodes["Principled BSDF"]
    for key, value in (("Base Color", (*colour, 1)), ("Roughness", roughness), ("Specular", specular), ("Metallic", metallic)):
        shader.inputs[key].default_value = value
    return material


def mottled(name, dark, light, stretch, scale_per_mm, roughness, turn=0.0, specular=0.4, metallic=0.0):
    """Two tones mixed by noise that is stretched along one way: sheet goods, castings, mats."""
    material = principled(name, light, roughness, specular, metallic)
    nodes, links = material.node_tree.nodes, material.node_tree.links
    place, mapping = nodes.new("ShaderNodeTexCoord"), nodes.new("ShaderNodeMapping")
    noise, ramp = nodes.new("ShaderNodeTexNoise"), nodes.new("ShaderNodeValToRGB")
    mapping.inputs["Scale"].default_value = (scale_per_mm, scale_per_mm / stretch, scale_per_mm)
    mapping.inputs["Rotation"].default_value = (0, 0, turn)
    noise.inputs["Scale"].default_value, noise.inputs["Detail"].default_value, noise.inputs["Distortion"].default_value = 1, 8, 0.4
    ramp.color_ramp.elements[0].position, ramp.color_ramp.elements[0].color = 0.35, (*dark, 1)
    ramp.color_ramp.elements[1].position, ramp.color_ramp.elements[1].color = 0.65, (*light, 1)
    links.new(place.outputs["Object"], mapping.inputs["Vector"])
    links.new(mapping.outputs["Vector"], noise.inputs["Vector"])
    links.new(noise.outputs["Fac"], ramp.inputs["Fac"])
    links.new(ramp.outputs["Color"], material.node_tree.nodes["Principled BSDF"].inputs["Base Color"])
    return material


def bench_material(kind, rng):
    turn = rng.uniform(0, math.pi)
    return {"plywood": lambda: mottled("bench", (0.36, 0.22, 0.11), (0.55, 0.38, 0.22), 25, 0.12, 0.5, turn),
            "mdf": lambda: mottled("bench", (0.30, 0.20, 0.12), (0.35, 0.24, 0.15), 1, 1.2, 0.7, turn),
            "melamine": lambda: mottled("bench", (0.62, 0.61, 0.58), (0.68, 0.67, 0.64), 6, 0.08, 0.3, turn),
            "cast-iron": lambda: mottled("bench", (0.12, 0.12, 0.125), (0.22, 0.22, 0.22), 60, 0.5, 0.38, turn, 0.5, 0.7),
            "cutting-mat": lambda: mottled("bench", (0.03, 0.12, 0.08), (0.05, 0.16, 0.11), 1, 0.3, 0.65, turn)}[kind]()


def area_light(name, at, to, size, flux, colour, shape="RECTANGLE", size_y=None):
    """Light of `flux` in no unit that matters: only its share of all light does, the phone meters."""
    light = bpy.data.lights.new(name, "AREA")
    light.shape, light.size = shape, size
    if size_y:
        light.size_y = size_y
    light.energy, light.color = flux, colour
    thing = bpy.data.objects.new(name, light)
    thing.location = at
    thing.rotation_euler = (Vector(to) - Vector(at)).to_track_quat("-Z", "Y").to_euler()
    bpy.context.scene.collection.objects.link(thing)
    return thing


def flux_for(at, to, share):
    """So that a point below gets about `share` of unit light, if it faces the lamp as the bench does."""
    d = np.array(at) - np.array(to)
    return share * math.pi * math.pi * float(d @ d) / max(d[2] / math.sqrt(d @ d), 0.1)


def lights(plan, pose, rng):
    kind = plan["light"]
    ambient = {"window": rng.uniform(0.12, 0.4), "lamp": rng.uniform(0.05, 0.25), "tube": rng.uniform(0.15, 0.4),
               "flash": rng.uniform(0.02, 0.15), "mixed": rng.uniform(0.1, 0.3)}[kind]
    world = bpy.data.worlds.new("room")
    bpy.context.scene.world = world
    world.use_nodes = True
    colour = DAYLIGHT if kind == "window" else INDOORS
    world.node_tree.nodes["Background"].inputs["Color"].default_value = (*[ambient * c for c in colour], 1)
    about = {"ambient": ambient}
    if kind in ("window", "mixed"):
        way, off = rng.uniform(0, 2 * math.pi), rng.uniform(900, 2200)
        if not plan["own_light"]:  # most people see to it that they do not stand before the window
            toward = -pose.up
            way = math.atan2(toward[1], toward[0]) + math.radians(80) + way / (2 * math.pi) * math.radians(200)
        at = (off * math.cos(way), off * math.sin(way), rng.uniform(450, 1000))
        share = 0.8 if kind == "window" else 0.4
        facing = (0, 0, at[2] * 0.6)
        area_light("window", at, facing, rng.uniform(700, 1200), flux_for(at, (0, 0, 0), share), DAYLIGHT, size_y=rng.uniform(800, 1300))
        about["window_at_mm"] = at
    if kind == "lamp":
        at = (rng.normal(0, 350), rng.normal(0, 350), rng.uniform(900, 1700))
        area_light("lamp", at, (at[0], at[1], 0), rng.uniform(60, 260), flux_for(at, (0, 0, 0), 0.9), LAMP, "DISK")
        about["lamp_at_mm"] = at
    if kind in ("tube", "mixed"):
        at = (rng.normal(0, 450), rng.normal(0, 450), rng.uniform(1300, 2200))
        share = 0.8 if kind == "tube" else 0.5
        tube = area_light("tube", at, (at[0], at[1], 0), 1200, flux_for(at, (0, 0, 0), share), TUBE, size_y=30)
        tube.rotation_euler[2] = rng.uniform(0, math.pi)
        about["tube_at_mm"] = at
    if kind == "flash":
        at = pose.centre + 14 * (pose.right * math.cos(1.0) + pose.up * math.sin(1.0))
        target = pose.centre - 300 * pose.back
        flash = area_light("flash", tuple(at), tuple(target + at - pose.centre), 5, flux_for(at, at - np.array([0, 0, 1.0]) * at[2], 1.0), FLASH, "DISK")
        about["flash_at_mm"] = list(flash.location)
    return about


def block(name, size, material, bevel=0.0):
    bpy.ops.mesh.primitive_cube_add(size=1)
    thing = bpy.context.object
    thing.name, thing.scale = name, size
    bpy.ops.object.transform_apply(location=False, rotation=False, scale=True)
    if bevel:
        edge = thing.modifiers.new("bevel", "BEVEL")
        edge.width, edge.segments = bevel, 3
    thing.data.materials.append(material)
    return thing


def round_thing(name, size, material):
    bpy.ops.mesh.primitive_uv_sphere_add(segments=24, ring_count=16, radius=0.5)
    thing = bpy.context.object
    thing.name, thing.scale = name, size
    thing.data.materials.append(material)
    return thing


def phone_and_hand(pose, rng, with_hand):
    """A slab behind the lens, fingers along its long sides, a hand, a forearm and the person at the picture's foot:
    not looked at by the lens, but dark to what stands above the sheet."""
    frame = Matrix([[*map(float, r)] for r in pose.rotation()]).to_4x4()
    slab = block("phone", (74, 152, 8.5), principled("phone", (0.02, 0.02, 0.025), 0.2), 3)
    skin = principled("skin", (0.55, 0.33, 0.24), 0.5)
    # The lens sits near the slab's upper corner, 1.5 mm before its face.
    middle = np.array([rng.choice([-1, 1]) * 22.0, -58.0, 1.5 + 4.25])
    upright = Matrix.Rotation(0 if rng.random() < 0.5 else math.pi / 2, 4, "Z")

    def put(thing, at, turn=(0, 0, 0)):
        local = upright @ Matrix.Translation(Vector(at)) @ (Matrix.Rotation(turn[2], 4, "Z") @ Matrix.Rotation(turn[1], 4, "Y") @ Matrix.Rotation(turn[0], 4, "X"))
        scale = Matrix.Diagonal((*thing.scale, 1))
        thing.matrix_world = Matrix.Translation(Vector(pose.centre)) @ frame @ local @ scale
    put(slab, middle)
    if with_hand:
        for k in range(4):
            put(round_thing("finger", (15, 60, 15), skin), middle + [-40, 18 - 19 * k, 6 + rng.normal(0, 2)], (0, 0.2, rng.normal(0.9, 0.15)))
        put(round_thing("thumb", (19, 70, 19), skin), middle + [41, -20, 8], (0, 0, -0.3))
        put(round_thing("palm", (95, 110, 45), skin), middle + [5, -60, 34])
        put(round_thing("forearm", (75, 420, 75), principled("sleeve", (0.06, 0.08, 0.14), 0.9)), middle + [15, -270, 90], (0.25, 0, 0))
    # The person stands where the picture's foot is, a step back.
    toward = -np.array([pose.up[0], pose.up[1], 0.0])
    toward /= max(np.linalg.norm(toward), 1e-6)
    away = 470 + rng.uniform(0, 150)
    body = round_thing("person", (460, 260, 900), principled("shirt", tuple(rng.uniform(0.03, 0.4, 3)), 0.9))
    body.location = tuple(toward * away + np.array([0, 0, 350.0]))
    body.rotation_euler = (0, 0, math.atan2(toward[1], toward[0]) + math.pi / 2)


def clutter(page, rng):
    """Offcuts, a pencil, a steel rule about the sheet, none of them on it."""
    for _ in range(int(rng.integers(0, 4))):
        side, sign = rng.integers(2), rng.choice([-1, 1])
        kind = rng.choice(["offcut", "pencil", "rule"])
        size = {"offcut": (rng.uniform(15, 40), rng.uniform(40, 120), rng.uniform(8, 20)), "pencil": (7, 150, 7), "rule": (26, 320, 0.9)}[kind]
        colour = {"offcut": (0.5, 0.33, 0.18), "pencil": tuple(rng.uniform(0.05, 0.6, 3)), "rule": (0.6, 0.6, 0.6)}[kind]
        thing = block(str(kind), size, principled(str(kind), colour, 0.3 if kind == "rule" else 0.55, metallic=0.9 if kind == "rule" else 0.0), 0.3 if kind != "rule" else 0.0)
        off = page[side] / 2 + size[0] / 2 + rng.uniform(12, 45)
        along = rng.uniform(-80, 80)
        thing.location = (sign * off, along, size[2] / 2) if side == 0 else (along, sign * off, size[2] / 2)
        thing.rotation_euler = (0, 0, rng.normal(0, 0.04) + (0 if side == 0 else math.pi / 2))


def paper_material(paper, scene_file):
    """The shared material; a true UV layer stands in for the vertex values "uv", a name that Cycles keeps for one."""
    values = np.empty(len(paper.data.vertices) * 3, np.float32)
    paper.data.attributes["uv"].data.foreach_get("vector", values)
    vertex = np.empty(len(paper.data.loops), np.int32)
    paper.data.loops.foreach_get("vertex_index", vertex)
    layer = paper.data.uv_layers.new(name="page")
    layer.data.foreach_set("uv", values.reshape(-1, 3)[vertex, :2].ravel())
    return sheet_texture.paper_material(bpy, scene_file["texture"], ink_gloss=scene_file["ink_gloss"])


def build(scene_file):
    plan = scene_file["plan"]
    pose = Pose(**scene_file["pose"])
    rng = phone_plan.exact(plan["seed"], "scene")
    bpy.ops.wm.read_factory_settings(use_empty=True)
    shapes = phone_plan.strips_of(plan)
    sheet = phone_plan.sheet_shape(plan, phone_plan.half_width(plan, shapes))
    page = sheet_texture.LAYOUT[plan["paper"]]["page"]
    mesh = sheet_texture.Sheet(phone_plan.exact(plan["seed"], "mesh"), plan["paper"], scene_file["covers_mm"], cut=False)
    paper = strip_solid.to_blender(bpy, mesh, "sheet", warp=sheet.bench_from_sheet)
    paper.data.materials.append(paper_material(paper, scene_file))
    for polygon in paper.data.polygons:
        polygon.use_smooth = True
    for k, (shape, (x, y, turn)) in enumerate(zip(shapes, phone_plan.placings(plan, shapes))):
        solid = shape.solid().placed(x, y, turn, PAPER_MM + 0.02 + shape.strip.thickness_mm)
        thing = strip_solid.to_blender(bpy, solid, f"strip {k}")
        kind, tone = phone_plan.wood_of(plan, k)
        wood = wood_shaders.wood_material(bpy, phone_plan.exact(plan["seed"], f"wood {k}"), kind, tone, face=shape.strip.face,
                                          gloss=rng.uniform(0, 0.1))
        thing.data.materials.append(wood)
    bpy.ops.mesh.primitive_plane_add(size=2400)
    bpy.context.object.data.materials.append(bench_material(plan["bench"], rng))
    clutter(page, rng)
    about = lights(plan, pose, rng)
    phone_and_hand(pose, rng, plan["hand"])
    return pose, about


def camera(scene_file, pose):
    """The pinhole canvas, with the lens's real opening: what is not in focus is traced unsharp."""
    data = bpy.data.cameras.new("camera")
    thing = bpy.data.objects.new("camera", data)
    bpy.context.scene.collection.objects.link(thing)
    rotation = Matrix([[*map(float, r)] for r in pose.rotation()]).to_4x4()
    thing.matrix_world = Matrix.Translation(Vector(pose.centre)) @ rotation
    width, height = scene_file["canvas_size"]
    x0, y0 = scene_file["canvas"]
    cx, cy = scene_file["centre_px"][0] + 0.5 - x0, scene_file["centre_px"][1] + 0.5 - y0
    data.sensor_fit, data.sensor_width = "HORIZONTAL", 36
    data.lens = scene_file["focal_px"] / width * 36
    data.shift_x, data.shift_y = (width / 2 - cx) / width, (cy - height / 2) / width
    data.clip_start, data.clip_end = 10, 20000
    data.dof.use_dof = True
    data.dof.focus_distance = scene_file["focus_mm"]
    data.dof.aperture_fstop = 1e-3 * data.lens / (2 * scene_file["opening_mm"] / 2)  # the renderer counts units as metres
    scene = bpy.context.scene
    scene.camera = thing
    scene.render.resolution_x, scene.render.resolution_y = (int(round(v * scene_file["scale"])) for v in (width, height))
    scene.render.resolution_percentage = 100


def render(scene_file, out):
    scene = bpy.context.scene
    scene.render.engine = "CYCLES"
    scene.render.threads_mode, scene.render.threads = "FIXED", scene_file["threads"]
    cycles = scene.cycles
    cycles.device, cycles.use_denoising, cycles.use_adaptive_sampling = "CPU", False, False
    cycles.pixel_filter_type = "BOX"
    cycles.max_bounces, cycles.diffuse_bounces, cycles.glossy_bounces = 4, 3, 2
    cycles.sample_clamp_indirect, cycles.blur_glossy = 4.0, 0.5
    cycles.caustics_reflective = cycles.caustics_refractive = False
    settings = scene.render.image_settings
    settings.file_format, settings.color_depth, settings.color_mode, settings.exr_codec = "OPEN_EXR", "32", "RGB", "ZIP"
    scene.view_settings.view_transform = "Raw"
    # The whole, and what is measured (chessboards, channel) once more, with less grain. phone.py adds the two.
    left, top, right, bottom = scene_file["pattern_box"]
    width, height = scene.render.resolution_x, scene.render.resolution_y
    # The renderer cuts fractions off: a quarter of a pixel keeps whole numbers whole.
    scene.render.border_min_x, scene.render.border_max_x = (left + 0.25) / width, (right + 0.25) / width
    scene.render.border_min_y, scene.render.border_max_y = (height - bottom + 0.25) / height, (height - top + 0.25) / height
    for k, name in enumerate(("whole", "pattern")):
        scene.render.use_border = scene.render.use_crop_to_border = name == "pattern"
        cycles.samples, cycles.seed = scene_file["samples"][k], scene_file["plan"]["seed"] + k
        scene.render.filepath = f"{out}.{name}.exr"
        bpy.ops.render.render(write_still=True)


def main():
    scene_path, out = sys.argv[sys.argv.index("--") + 1:]
    scene_file = json.loads(pathlib.Path(scene_path).read_text())
    pose, about = build(scene_file)
    camera(scene_file, pose)
    pathlib.Path(scene_path).with_suffix(".lights.json").write_text(json.dumps(about))
    render(scene_file, out)


main()
