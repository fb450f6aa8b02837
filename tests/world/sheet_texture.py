"""The printed sheet as a thing: its ink as a picture, its paper as a mesh with a channel cut out by hand.

Sheet frame: mm, origin at the page's top left corner, x to the right, y down, as printed. Everything about the layout
comes from the committed PDF (drawn by pdftoppm) and from the program's own description of the layout (LAYOUT below,
`tapersight target --describe`); nothing comes from the finder or the estimator.
"""
import pathlib
import subprocess
import numpy as np

ROOT = pathlib.Path(__file__).resolve().parents[2]
PAPER_MM = 0.1

# Page, channel and chessboards as `tapersight target --describe --paper ...` prints them: x, y, width, height in mm.
LAYOUT = {
    "letter": {"page": (215.9, 279.4), "channel": (77.95, 10.7, 60.0, 258.0),
               "blocks": ((52.95, 12.7, 22.0, 254.0), (140.95, 12.7, 22.0, 254.0)), "bars": (152.4, 203.2)},
    "a4": {"page": (210.0, 297.0), "channel": (75.0, 19.5, 60.0, 258.0),
           "blocks": ((50.0, 21.5, 22.0, 254.0), (138.0, 21.5, 22.0, 254.0)), "bars": (152.4, 203.2)},
}


def coverage(paper, dark=False, dpi=600):
    """Ink coverage 0..1 of the page as drawn, rows from the top; pixel (i, j) covers [j, j+1] x [i, i+1] / dpi inches."""
    import cv2
    pdf = ROOT / "calibration" / f"sheet-{paper}{'-dark' if dark else ''}.pdf"
    raw = subprocess.run(["pdftoppm", "-r", str(dpi), "-gray", str(pdf)], check=True, capture_output=True).stdout
    grey = cv2.imdecode(np.frombuffer(raw, np.uint8), cv2.IMREAD_GRAYSCALE)
    return 1 - grey.astype(np.float32) / 255


def printed(rng, ink, dpi, spread_mm=0.0, ragged_mm=0.008, density=1.4, density_noise=0.03):
    """Reflectance 0..1 (white paper 1) of the print: ink spread outwards by spread_mm (negative: eaten away), ragged
    rims, toner scattered beside them, black that is not even. Density is optical: 1.4 reflects 4 %."""
    import cv2
    px = dpi / 25.4
    blur = 0.02 * px
    soft = cv2.GaussianBlur(ink, (0, 0), max(blur, 0.4))
    noise = rng.standard_normal(ink.shape, dtype=np.float32)
    noise = cv2.GaussianBlur(noise, (0, 0), 0.03 * px)
    noise /= noise.std()
    slope = 1 / (max(blur, 0.4) * np.sqrt(2 * np.pi))  # coverage per px at a rim
    # Grey ink (the cutting line) stays grey; only rims move.
    moved = soft + slope * (spread_mm * px + ragged_mm * px * noise) * (4 * soft * (1 - soft))
    moved = np.clip(moved, 0, 1)
    blotches = cv2.resize(rng.normal(size=(ink.shape[0] // 64 + 2, ink.shape[1] // 64 + 2)).astype(np.float32),
                          (ink.shape[1], ink.shape[0]), interpolation=cv2.INTER_CUBIC)
    seen = 1 - moved * (1 - 10 ** -(density * (1 + density_noise * blotches)))  # halftones mix light, not density
    specks = (rng.random(ink.shape, dtype=np.float32) < 2e-5).astype(np.float32)
    return np.clip(seen * (1 - np.clip(cv2.GaussianBlur(specks, (0, 0), 0.02 * px) * 2, 0, 1)), 0, 1)


def write_texture(path, paper, rng, dark=False, dpi=600, **ink):
    """Writes the print's reflectance as PNG, 8 bits, *linear* (set the image's colour space to Non-Color). Returns
    (width_mm, height_mm) that the picture covers, for sheet_uv()."""
    import cv2
    reflectance = printed(rng, coverage(paper, dark, dpi), dpi, **ink)
    cv2.imwrite(str(path), np.round(255 * reflectance).astype(np.uint8), [cv2.IMWRITE_PNG_COMPRESSION, 1])
    height, width = reflectance.shape
    return width / dpi * 25.4, height / dpi * 25.4


def sheet_uv(points_mm, covers_mm):
    """Texture coordinates (v from the bottom, as renderers have it) of points in the sheet frame."""
    p = np.asarray(points_mm, float)
    return np.stack([p[..., 0] / covers_mm[0], 1 - p[..., 1] / covers_mm[1]], axis=-1)


def hand_cut(rng, start, end, knife_mm=0.012, off_mm=0.15):
    """A cut along a steel rule from start to end: off by a little at both ends, with the knife's small waves. Points
    every 0.5 mm."""
    start, end = np.asarray(start, float), np.asarray(end, float)
    length = np.linalg.norm(end - start)
    along = (end - start) / length
    across = np.array([-along[1], along[0]])
    t = np.linspace(0, length, int(length / 0.5) + 2)
    noise = np.interp(t, np.arange(0, length + 3, 3.0), rng.normal(0, knife_mm, int((length + 3) / 3) + 1)[:len(np.arange(0, length + 3, 3.0))])
    shift = np.interp(t, [0, length], rng.normal(0, off_mm, 2)) + noise
    return start + along * t[:, None] + across * shift[:, None]


class Sheet:
    """Mesh of the sheet: verts (n x 3, z = 0 the printed side), quads, uv per vertex. All in the sheet frame, nominal
    mm: scale it (print_scale_x, y), lift it and place it through to_blender's warp."""

    def __init__(self, rng, paper, covers_mm, cut=True, step_mm=2.0, thickness_mm=PAPER_MM):
        page_w, page_h = LAYOUT[paper]["page"]
        x, y, w, h = LAYOUT[paper]["channel"]
        self.verts, self.quads, self.cut, self.count = [], [], [], 0
        self.hole = None
        if not cut:
            self.sheet_part(np.linspace(0, page_w, int(page_w / step_mm) + 1)[None, :],
                            np.linspace(0, page_h, int(page_h / step_mm) + 1)[:, None])
        else:
            left = hand_cut(rng, (x, y), (x, y + h))
            right = hand_cut(rng, (x + w, y), (x + w, y + h))
            top = hand_cut(rng, (x, y), (x + w, y))
            bottom = hand_cut(rng, (x, y + h), (x + w, y + h))
            self.hole = {"left": left, "right": right, "top": top, "bottom": bottom}
            rows = np.linspace(0, 1, int(h / 0.5) + 1)
            yl = np.interp(rows, [0, 1], [top[0, 1], bottom[0, 1]])
            yr = np.interp(rows, [0, 1], [top[-1, 1], bottom[-1, 1]])
            xl, xr = np.interp(yl, left[:, 1], left[:, 0]), np.interp(yr, right[:, 1], right[:, 0])
            n_left, n_right = int(x / step_mm) + 2, int((page_w - x - w) / step_mm) + 2
            u = np.linspace(0, 1, n_left)[None, :]
            self.sheet_part(xl[:, None] * u, np.repeat(yl[:, None], n_left, 1))
            u = np.linspace(0, 1, n_right)[None, :]
            self.sheet_part(xr[:, None] + (page_w - xr[:, None]) * u, np.repeat(yr[:, None], n_right, 1))
            across = np.concatenate([np.linspace(0, xl[0], n_left)[:-1], np.linspace(xl[0], xr[0], int(w / 0.5)),
                                     np.linspace(xr[0], page_w, n_right)[1:]])
            lower = np.concatenate([np.linspace(0, xl[-1], n_left)[:-1], np.linspace(xl[-1], xr[-1], int(w / 0.5)),
                                    np.linspace(xr[-1], page_w, n_right)[1:]])
            self.band(across, np.interp(across, top[:, 0], top[:, 1]), 0.0, step_mm)
            self.band(lower, np.interp(lower, bottom[:, 0], bottom[:, 1]), page_h, step_mm)
            for cut_x, cut_y in ((xl, yl), (xr, yr)):
                self.cut_wall(cut_x, cut_y, thickness_mm)
            for cut_x, cut_y in ((across, np.interp(across, top[:, 0], top[:, 1])), (lower, np.interp(lower, bottom[:, 0], bottom[:, 1]))):
                inner = slice(n_left - 1, len(cut_x) - n_right + 1)
                self.cut_wall(cut_x[inner], cut_y[inner], thickness_mm)
        self.verts, self.quads = np.concatenate(self.verts), np.concatenate(self.quads)
        self.values = {"uv": np.concatenate([sheet_uv(self.verts[:, :2], covers_mm), np.zeros((len(self.verts), 1))], 1),
                       "cut": np.concatenate(self.cut)}

    def band(self, across, y_cut, y_page, step_mm):
        u = np.linspace(0, 1, int(abs(y_cut.mean() - y_page) / step_mm) + 2)[:, None]
        self.sheet_part(np.repeat(across[None, :], len(u), 0), y_page + (y_cut - y_page)[None, :] * u)

    def sheet_part(self, x, y):
        x, y = np.broadcast_arrays(x, y)
        self.add(np.stack([x, y, np.zeros_like(x, float)], -1))

    def cut_wall(self, x, y, thickness_mm):
        top = np.stack([x, y, np.zeros_like(x)], -1)
        self.add(np.stack([top, top - [0, 0, thickness_mm]], axis=1), cut=1.0)

    def add(self, points, cut=0.0):
        rows, cols = points.shape[:2]
        at = self.count + np.arange(rows * cols).reshape(rows, cols)
        self.quads.append(np.stack([at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]], axis=-1).reshape(-1, 4))
        self.verts.append(points.reshape(-1, 3))
        self.cut.append(np.full(rows * cols, cut))
        self.count += rows * cols


def paper_material(bpy, texture, name="paper", white=0.86, ink_gloss=0.0, level_light=False):
    """Diffuse paper of reflectance `white` under the print. Reads the vertex value "uv" (strip_solid.to_blender). The cut edge bears no
    ink (value "cut"). ink_gloss > 0: toner shines, for photos. level_light: see lit_evenly()."""
    material = bpy.data.materials.new(name)
    material.use_nodes = True
    nodes, links = material.node_tree.nodes, material.node_tree.links
    nodes.clear()
    image = nodes.new("ShaderNodeTexImage")
    image.image = bpy.data.images.load(str(texture))
    image.image.colorspace_settings.name = "Non-Color"
    image.interpolation, image.extension = "Linear", "EXTEND"
    uv, cut = nodes.new("ShaderNodeAttribute"), nodes.new("ShaderNodeAttribute")
    uv.attribute_name, cut.attribute_name = "uv", "cut"
    links.new(uv.outputs["Vector"], image.inputs["Vector"])
    mix = nodes.new("ShaderNodeMixRGB")
    links.new(cut.outputs["Fac"], mix.inputs["Fac"])
    links.new(image.outputs["Color"], mix.inputs["Color1"])
    mix.inputs["Color2"].default_value = (1, 1, 1, 1)
    tint = nodes.new("ShaderNodeMixRGB")
    tint.blend_type = "MULTIPLY"
    tint.inputs["Fac"].default_value = 1
    tint.inputs["Color2"].default_value = (white, white, white * 0.98, 1)
    links.new(mix.outputs["Color"], tint.inputs["Color1"])
    diffuse, out = nodes.new("ShaderNodeBsdfDiffuse"), nodes.new("ShaderNodeOutputMaterial")
    links.new(tint.outputs["Color"], diffuse.inputs["Color"])
    surface = diffuse.outputs["BSDF"]
    if ink_gloss > 0:
        gloss, blend, amount = (nodes.new(f"ShaderNode{kind}") for kind in ("BsdfGlossy", "MixShader", "Math"))
        gloss.inputs["Roughness"].default_value = 0.35
        amount.operation = "MULTIPLY_ADD"  # gloss where there is ink
        links.new(image.outputs["Color"], amount.inputs[0])
        amount.inputs[1].default_value, amount.inputs[2].default_value = -ink_gloss, ink_gloss
        links.new(amount.outputs["Value"], blend.inputs["Fac"])
        links.new(surface, blend.inputs[1])
        links.new(gloss.outputs["BSDF"], blend.inputs[2])
        surface = blend.outputs["Shader"]
    if level_light:
        surface = lit_evenly(nodes, links, tint.outputs["Color"], surface, cut.outputs["Fac"])
    links.new(surface, out.inputs["Surface"])
    return material


def lit_evenly(nodes, links, colour, surface, elsewhere):
    """On a flatbed nothing stands before the glass: what lies on it gets all of the lamp and no other light, so it sends
    back exactly its reflectance. The eye is given that number without noise; where `elsewhere` is 1 (walls, cut
    edges), and for light that goes on to other things, the surface is traced as usual."""
    path, emit, mix, use = (nodes.new(f"ShaderNode{kind}") for kind in ("LightPath", "Emission", "MixShader", "Math"))
    links.new(colour, emit.inputs["Color"])
    use.operation, use.use_clamp = "SUBTRACT", True
    links.new(path.outputs["Is Camera Ray"], use.inputs[0])
    links.new(elsewhere, use.inputs[1])
    links.new(use.outputs[0], mix.inputs["Fac"])
    links.new(surface, mix.inputs[1])
    links.new(emit.outputs[0], mix.inputs[2])
    return mix.outputs[0]
