"""Wood by shader nodes: a solid texture, so that face, sides and ends of a strip are cut out of one piece of wood.

wood_material(bpy, rng, kind, tone) reads two values of each vertex (strip_solid.to_blender): "rest", its place in the
strip in mm, and "burn". Lengths in mm; colours are linear reflectances. The sizes (rings 1 to 6 mm, pores 0.1 to 0.4 mm,
rays to 20 mm high, knots 4 to 20 mm) are common knowledge of the trade, from memory, no published source.
"""
import math

import sheet_texture

# Early and late wood, linear reflectance (red, green, blue).
TONES = {
    "pine": ((0.68, 0.52, 0.32), (0.44, 0.26, 0.11)),
    "maple": ((0.64, 0.51, 0.36), (0.55, 0.41, 0.26)),
    "birch": ((0.66, 0.54, 0.38), (0.60, 0.47, 0.31)),
    "oak": ((0.42, 0.29, 0.17), (0.30, 0.19, 0.10)),
    "beech": ((0.47, 0.31, 0.20), (0.38, 0.23, 0.14)),
    "cherry": ((0.36, 0.18, 0.09), (0.27, 0.12, 0.055)),
    "mahogany": ((0.21, 0.085, 0.045), (0.14, 0.05, 0.027)),
    "walnut": ((0.135, 0.080, 0.048), (0.065, 0.038, 0.024)),
    "wenge": ((0.075, 0.048, 0.033), (0.020, 0.014, 0.011)),
    "fibreboard": ((0.30, 0.20, 0.115), (0.26, 0.17, 0.095)),
}
LIGHT = ("pine", "maple", "birch", "beech", "oak")
DARK = ("cherry", "mahogany", "walnut", "wenge", "fibreboard")
KINDS = ("plain", "quarter", "cathedral", "steep", "crossgrain", "knot", "rays", "bright-pores", "dark-pores", "resin",
         "spalted", "fibreboard")
WILD = ("cathedral", "steep", "crossgrain", "knot", "rays", "bright-pores", "resin", "spalted")


class Net:
    """Nodes written as sums and products. A value is a socket or a number; a vector is a socket."""

    def __init__(self, tree):
        self.nodes, self.links = tree.nodes, tree.links

    def put(self, value, socket):
        if isinstance(value, (int, float)):
            socket.default_value = value
        elif isinstance(value, tuple):
            socket.default_value = value + (1,) * (len(socket.default_value) - len(value))
        else:
            self.links.new(value, socket)

    def math(self, operation, *values, clamp=False):
        node = self.nodes.new("ShaderNodeMath")
        node.operation, node.use_clamp = operation, clamp
        for value, socket in zip(values, node.inputs):
            self.put(value, socket)
        return node.outputs[0]

    def add(self, a, b): return self.math("ADD", a, b)
    def sub(self, a, b): return self.math("SUBTRACT", a, b)
    def mul(self, *values):
        out = values[0]
        for value in values[1:]:
            out = self.math("MULTIPLY", out, value)
        return out
    def power(self, a, b): return self.math("POWER", a, b)
    def step(self, x, low, high):
        """0 below low, 1 above high, smooth between."""
        node = self.nodes.new("ShaderNodeMapRange")
        node.interpolation_type = "SMOOTHSTEP"
        for value, name in ((x, "Value"), (low, "From Min"), (high, "From Max"), (0.0, "To Min"), (1.0, "To Max")):
            self.put(value, node.inputs[name])
        return node.outputs["Result"]

    def mapped(self, vector, move=(0, 0, 0), turn=(0, 0, 0), scale=(1, 1, 1)):
        node = self.nodes.new("ShaderNodeMapping")
        self.links.new(vector, node.inputs["Vector"])
        for name, value in (("Location", move), ("Rotation", turn), ("Scale", scale)):
            node.inputs[name].default_value = value
        return node.outputs["Vector"]

    def noise(self, vector, detail=2.0, roughness=0.5):
        """About 0.25 .. 0.75 round 0.5, feature size about 1 unit of the vector."""
        node = self.nodes.new("ShaderNodeTexNoise")
        self.links.new(vector, node.inputs["Vector"])
        node.inputs["Scale"].default_value, node.inputs["Detail"].default_value = 1.0, detail
        node.inputs["Roughness"].default_value = roughness
        return node.outputs["Fac"]

    def cells(self, vector):
        """Distance to the next of scattered points, one in each unit cube."""
        node = self.nodes.new("ShaderNodeTexVoronoi")
        self.links.new(vector, node.inputs["Vector"])
        node.inputs["Scale"].default_value = 1.0
        return node.outputs["Distance"]

    def parts(self, vector):
        node = self.nodes.new("ShaderNodeSeparateXYZ")
        self.links.new(vector, node.inputs[0])
        return node.outputs

    def mix(self, share, a, b):
        node = self.nodes.new("ShaderNodeMixRGB")
        for value, socket in zip((share, a, b), node.inputs):
            self.put(value, socket)
        return node.outputs[0]

    def times(self, colour, factor):
        node = self.nodes.new("ShaderNodeVectorMath")
        node.operation = "SCALE"
        self.links.new(colour, node.inputs[0])
        self.put(factor, node.inputs["Scale"])
        return node.outputs[0]


def growth(rng, kind):
    """Where the strip lay in the tree: the turn of the strip's frame into the tree's (z the pith) and the pith's place."""
    away, side = rng.uniform(25, 180), rng.uniform(-180, 180)
    slope = math.radians(rng.normal(0, 1.0))
    if kind in ("cathedral", "knot"):  # sawn flat, the pith below the face and not parallel to it
        side, slope, away = rng.uniform(-25, 25), math.radians(rng.uniform(1.5, 5) * rng.choice([-1, 1])), rng.uniform(15, 60)
    if kind in ("quarter", "rays"):
        side = 90 + rng.uniform(-8, 8)
    if kind == "steep":  # the grain runs out of the face, as in a strip cut aslant out of a crooked board
        slope = math.radians(rng.uniform(12, 50) * rng.choice([-1, 1]))
    # The strip's y becomes the tree's z: a turn of 90 degrees about x, plus the slope; across the grain: about y instead.
    turn = (math.pi / 2 + slope, math.radians(rng.normal(0, 0.8)), 0.0)
    if kind == "crossgrain":
        turn = (math.radians(rng.normal(0, 3)), math.pi / 2 + math.radians(rng.normal(0, 8)), 0.0)
    return turn, (away * math.sin(math.radians(side)), away * math.cos(math.radians(side)), rng.uniform(0, 500))


def wood_material(bpy, rng, kind, tone, name="wood", face="planed", gloss=0.0, level_light=False):
    """Kind of KINDS, tone of TONES. gloss: the sheen of a sealed or planed face, 0 to 0.1; face "rough": sawn.
    level_light: sheet_texture.lit_evenly(), for what lies on a flatbed's glass."""
    material = bpy.data.materials.new(name)
    material.use_nodes = True
    net = Net(material.node_tree)
    net.nodes.clear()
    rest, burn = net.nodes.new("ShaderNodeAttribute"), net.nodes.new("ShaderNodeAttribute")
    rest.attribute_name, burn.attribute_name = "rest", "burn"
    place = rest.outputs["Vector"]
    early, late = TONES["fibreboard" if kind == "fibreboard" else tone]
    lighter = float(rng.uniform(0.85, 1.12))
    early, late = tuple(lighter * c for c in early), tuple(lighter * c for c in late)
    if kind == "fibreboard":
        colour = fibreboard(net, rng, place, early, late)
    else:
        colour = grown(net, rng, place, kind, tone, early, late)
    if face == "rough":
        fuzz = net.noise(net.mapped(place, scale=(1 / 0.25, 1 / 0.6, 1 / 0.25)), 3.0, 0.7)
        colour = net.times(colour, net.add(0.72, net.mul(0.5, fuzz)))
    colour = net.mix(net.mul(0.93, burn.outputs["Fac"]), colour, (0.018, 0.013, 0.010))
    shader, out = net.nodes.new("ShaderNodeBsdfPrincipled"), net.nodes.new("ShaderNodeOutputMaterial")
    net.put(colour, shader.inputs["Base Color"])
    shader.inputs["Specular"].default_value, shader.inputs["Roughness"].default_value = float(gloss), 0.45
    surface = shader.outputs[0]
    if level_light:
        wall = net.nodes.new("ShaderNodeAttribute")
        wall.attribute_name = "wall"
        surface = sheet_texture.lit_evenly(net.nodes, net.links, colour, surface, wall.outputs["Fac"])
    net.links.new(surface, out.inputs["Surface"])
    return material


def fibreboard(net, rng, place, early, late):
    fine = net.noise(net.mapped(place, move=tuple(rng.uniform(0, 99, 3)), scale=(1 / 0.25,) * 3), 4.0, 0.65)
    colour = net.mix(fine, early, late)
    bits = net.step(net.cells(net.mapped(place, scale=(1 / 1.6, 1 / 1.6, 1 / 1.6), turn=(0.3, 0.2, 0.9))), 0.16, 0.08)
    return net.mix(net.mul(0.45, bits), colour, (0.10, 0.06, 0.035))


def grown(net, rng, place, kind, tone, early, late):
    turn, pith = growth(rng, kind)
    tree = net.mapped(place, move=pith, turn=turn)
    x, y, z = net.parts(tree)
    seed = tuple(float(v) for v in rng.uniform(0, 300, 3))
    # The trunk is neither round nor straight: slow waves along it, slower ones around.
    wobble = net.noise(net.mapped(tree, move=seed, scale=(1 / 30, 1 / 30, 1 / 70)), 3.0)
    radius = net.math("SQRT", net.add(net.mul(x, x), net.mul(y, y)))
    wave = rng.uniform(4, 9) if kind in ("cathedral", "knot") else rng.uniform(1, 4)
    radius = net.add(radius, net.mul(float(wave), net.sub(wobble, 0.5)))
    knot, knot_out = None, None
    if kind == "knot":
        knot, knot_out, radius = knots(net, rng, place, radius, min(1.0, sum(early) / 1.3))
    width = rng.uniform(1.2, 5.0)
    years = net.add(net.mul(radius, 1 / width), net.mul(1.2, net.noise(net.mapped(tree, move=seed[::-1], scale=(0.12, 0.12, 0.004)), 1.0)))
    phase = net.math("FRACT", years)
    ripe = net.power(phase, float(rng.uniform(1.5, 6) if tone == "pine" else rng.uniform(1, 3)))
    ripe = net.mul(ripe, net.step(phase, 1.0, 0.93))
    strength = {"pine": 1.0, "oak": 0.8, "wenge": 1.0}.get(tone, rng.uniform(0.3, 0.9))
    colour = net.mix(net.mul(float(strength), ripe), early, late)
    if tone in ("walnut", "wenge", "mahogany", "cherry") or kind == "plain":  # broad streaks of colour
        streak = net.noise(net.mapped(tree, move=seed, scale=(1 / 9, 1 / 9, 1 / 240)), 2.0)
        colour = net.times(colour, net.add(0.7, net.mul(0.6, streak)))
    fibre = net.noise(net.mapped(tree, scale=(1 / 0.12, 1 / 0.12, 1 / 3.5)), 3.0, 0.6)
    colour = net.times(colour, net.add(0.8, net.mul(0.4, fibre)))
    if kind in ("bright-pores", "dark-pores") or tone in ("oak", "walnut", "mahogany", "wenge"):
        colour = pores(net, rng, tree, phase, colour, kind, ring_porous=tone in ("oak", "wenge"))
    if kind == "rays" or (tone in ("oak", "beech") and rng.random() < 0.7):
        colour = rays(net, rng, x, y, z, radius, colour, strong=kind == "rays")
    if kind == "resin":
        spots = net.noise(net.mapped(tree, move=seed, scale=(1 / 3, 1 / 3, 1 / 45)), 1.0)
        colour = net.mix(net.mul(0.85, net.step(spots, 0.60, 0.66)), colour, (0.26, 0.10, 0.022))
    if kind == "spalted":
        colour = spalted(net, rng, place, colour)
    if knot is not None:
        colour = net.mix(knot_out, colour, knot)
    return colour


def knots(net, rng, place, radius, light):
    """One to three branches through the face: their own rings and dark rim, the year rings bent around them.
    light: 0..1, how light the wood around is; a knot is darker."""
    colour, share = (0.2, 0.1, 0.05), 0.0
    for _ in range(int(rng.integers(1, 4))):
        at = (-float(rng.uniform(-9, 9)), -float(rng.uniform(-95, 95)), 0.0)
        local = net.mapped(place, move=at)
        local = net.mapped(local, turn=(float(rng.normal(0, 0.3)), float(rng.normal(0, 0.3)), float(rng.uniform(0, 3))),
                           scale=(1, float(rng.uniform(0.5, 1)), 1))
        kx, ky, _ = net.parts(local)
        ragged = net.noise(net.mapped(local, scale=(0.3, 0.3, 0.1)), 3.0)
        away = net.mul(net.math("SQRT", net.add(net.mul(kx, kx), net.mul(ky, ky))), net.add(0.7, net.mul(0.6, ragged)))
        size = float(rng.uniform(2, 8))
        near = net.math("EXPONENT", net.mul(-1 / (1.8 * size) ** 2, net.mul(away, away)))
        radius = net.add(radius, net.mul(float(rng.uniform(1.2, 2.2) * size), near))
        rings = net.math("FRACT", net.mul(away, 1 / rng.uniform(0.5, 1.1)))
        wood = net.mix(net.mul(0.7, rings), tuple(light * c for c in (0.24, 0.115, 0.050)),
                       tuple(light * c for c in (0.11, 0.050, 0.024)))
        rim = net.mul(net.step(away, size * 0.8, size * 0.95), net.step(away, size * 1.12, size))
        wood = net.mix(net.mul(0.85, rim), wood, (0.035, 0.020, 0.012))
        crack = net.mul(net.step(net.math("ABSOLUTE", kx), 0.16, 0.08), net.step(away, size * 0.9, size * 0.6))
        wood = net.mix(net.mul(float(rng.random() < 0.6), crack), wood, (0.01, 0.008, 0.006))
        inside = net.step(away, size * 1.12, size * 0.98)
        colour = net.mix(inside, colour, wood)
        share = net.math("MAXIMUM", share, inside)
    return colour, share, radius


def pores(net, rng, tree, phase, colour, kind, ring_porous):
    across, along = float(rng.uniform(0.35, 0.8)), float(rng.uniform(3, 9))
    tubes = net.cells(net.mapped(tree, scale=(1 / across, 1 / across, 1 / along)))
    wide = rng.uniform(0.2, 0.34)
    here = net.step(tubes, float(wide), float(wide) * 0.6)
    if ring_porous:
        here = net.mul(here, net.step(phase, 0.45, 0.1))
    if kind == "bright-pores":  # chalk, dust or filler in them
        return net.mix(net.mul(float(rng.uniform(0.6, 0.95)), here), colour, (0.72, 0.68, 0.58))
    return net.mix(net.mul(float(rng.uniform(0.5, 0.9)), here), colour, net.times(colour, 0.25))


def rays(net, rng, x, y, z, radius, colour, strong):
    """Ribbons that stand radially: thin around the trunk, up to 20 mm high, some 10 mm deep."""
    angle = net.math("ARCTAN2", y, x)
    joined = net.nodes.new("ShaderNodeCombineXYZ")
    net.put(net.mul(radius, 1 / 12), joined.inputs[0])
    net.put(net.mul(angle, float(rng.uniform(80, 260))), joined.inputs[1])
    net.put(net.mul(z, 1 / rng.uniform(2, 9)), joined.inputs[2])
    flecks = net.step(net.noise(joined.outputs[0], 1.0), 0.58, 0.66)
    lighter = tuple(min(0.8, 1.6 * c) for c in (0.38, 0.27, 0.16))
    return net.mix(net.mul(0.75 if strong else 0.3, flecks), colour, lighter)


def spalted(net, rng, place, colour):
    """Rotten zones: bleached on one side of thin black lines."""
    zones = net.noise(net.mapped(place, move=tuple(float(v) for v in rng.uniform(0, 99, 3)), scale=(1 / 9, 1 / 28, 1 / 9)), 4.0, 0.55)
    colour = net.mix(net.mul(0.5, net.step(zones, 0.5, 0.54)), colour, (0.66, 0.58, 0.43))
    line = net.step(net.math("ABSOLUTE", net.sub(zones, 0.5)), 0.012, 0.004)
    return net.mix(net.mul(0.92, line), colour, (0.012, 0.010, 0.009))
