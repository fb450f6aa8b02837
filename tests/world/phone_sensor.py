"""A phone's camera behind the lens: from linear light as traced to a JPEG file.

linear light (pinhole, finer than the photo) -> blur of lens and hand -> lens distortion and lateral colour, pixels
-> falling light to the corners -> colours mixed by the filters -> mosaic -> noise -> filled in -> denoised
-> white balance -> tone curve -> local contrast -> sharpening -> turned as held -> JPEG with EXIF.
"""
import struct

import cv2
import numpy as np

import noise

# How much of red, green, blue light each filter of a mosaic lets through (from memory, a usual phone).
FILTERS = np.array([[0.84, 0.13, 0.03], [0.16, 0.72, 0.12], [0.03, 0.22, 0.75]], np.float32)
# Gradient-corrected filling-in (H. Malvar, L. He, R. Cutler, ICASSP 2004), in eighths.
_GREEN = np.array([[0, 0, -1, 0, 0], [0, 0, 2, 0, 0], [-1, 2, 4, 2, -1], [0, 0, 2, 0, 0], [0, 0, -1, 0, 0]]) / 8
_ROW = np.array([[0, 0, .5, 0, 0], [0, -1, 0, -1, 0], [-1, 4, 5, 4, -1], [0, -1, 0, -1, 0], [0, 0, .5, 0, 0]]) / 8
_CROSS = np.array([[0, 0, -1.5, 0, 0], [0, 2, 0, 2, 0], [-1.5, 0, 6, 0, -1.5], [0, 2, 0, 2, 0], [0, 0, -1.5, 0, 0]]) / 8


def mosaic_channel(height, width):
    """The colour of each pixel of a mosaic (red top left), 0 to 2."""
    channel = np.ones((height, width), np.uint8)
    channel[0::2, 0::2] = 0
    channel[1::2, 1::2] = 2
    return channel


def demosaic(mosaic, kind="gradient"):
    """A mosaic to red, green, blue."""
    if kind == "bilinear":
        return _demosaic_bilinear(mosaic)

    def filtered(kernel):
        return cv2.filter2D(mosaic, cv2.CV_32F, kernel.astype(np.float32), borderType=cv2.BORDER_REFLECT_101)
    out = np.empty(mosaic.shape + (3,), np.float32)
    green, row, column, cross = filtered(_GREEN), filtered(_ROW), filtered(_ROW.T), filtered(_CROSS)
    out[..., 0], out[..., 1], out[..., 2] = mosaic, mosaic, mosaic
    out[0::2, 0::2, 1] = green[0::2, 0::2]
    out[1::2, 1::2, 1] = green[1::2, 1::2]
    out[0::2, 1::2, 0] = row[0::2, 1::2]
    out[1::2, 0::2, 0] = column[1::2, 0::2]
    out[1::2, 1::2, 0] = cross[1::2, 1::2]
    out[1::2, 0::2, 2] = row[1::2, 0::2]
    out[0::2, 1::2, 2] = column[0::2, 1::2]
    out[0::2, 0::2, 2] = cross[0::2, 0::2]
    return out


def _demosaic_bilinear(mosaic):
    channel = mosaic_channel(*mosaic.shape)
    cross = np.array([[0, 1, 0], [1, 4, 1], [0, 1, 0]], np.float32) / 4
    square = np.array([[1, 2, 1], [2, 4, 2], [1, 2, 1]], np.float32) / 4
    planes = [cv2.filter2D(np.where(channel == c, mosaic, 0).astype(np.float32), cv2.CV_32F,
                           cross if c == 1 else square, borderType=cv2.BORDER_REFLECT_101) for c in range(3)]
    return np.dstack(planes)


def photo_from_render(render, canvas, lens, window, scale):
    """Light on the sensor's pixels out of the traced picture, which is blurred already. `canvas` is (x0, y0), the
    pinhole photo pixel's corner at which the render begins; `window` (left, top, width, height) of the photo. Each
    pixel is read where its centre is (Lanczos): a sum over whole traced pixels would shift edges by up to 0.06 px."""
    left, top, width, height = window
    out = np.empty((height, width, 3), np.float32)
    colours = ("red", "green", "blue") if lens.entry["lateral_colour"] else ("green",)
    for colour in colours:
        planes = {"red": [0], "green": [1], "blue": [2]}[colour] if len(colours) == 3 else [0, 1, 2]
        for y in range(0, height, 512):
            points = np.stack(np.meshgrid(np.arange(width) + left, np.arange(y, min(y + 512, height)) + top), axis=-1)
            at = ((lens.pinhole_from_photo(points, colour) + 0.5 - np.array(canvas)) * scale - 0.5).astype(np.float32)
            for c in planes:
                out[y:y + 512, :, c] = cv2.remap(render[..., c], at[..., 0], at[..., 1], cv2.INTER_LANCZOS4,
                                                 borderMode=cv2.BORDER_REPLICATE)
    return np.maximum(out, 0)


def blurred(render, p, scale):
    """The traced picture through lens and hand, and over a pixel's opening: it was averaged over traced pixels, which
    are finer; the Gaussian makes up for the difference in variance (a box of width w has w^2 / 12)."""
    sigma = np.sqrt(p["blur_sigma_px"] ** 2 + (1 - 1 / scale ** 2) / 12)
    kernel = blur_kernel(sigma, p["tail_share"], p["tail_px"], p["shake_px"], p["shake_angle"], scale)
    return np.maximum(cv2.filter2D(render, cv2.CV_32F, kernel, borderType=cv2.BORDER_REPLICATE), 0)


def blur_kernel(sigma_px, tail_share, tail_px, shake_px, shake_angle, scale):
    """Of the lens (a Gaussian core, an exponential tail) and of the hand (a line)."""
    radius = int(np.ceil(4 * max(sigma_px, 0.8 * tail_px) * scale))
    y, x = np.mgrid[-radius:radius + 1, -radius:radius + 1].astype(float)
    core = np.exp(-(x ** 2 + y ** 2) / (2 * (sigma_px * scale) ** 2))
    tail = np.exp(-np.hypot(x, y) / (tail_px * scale))
    kernel = (1 - tail_share) * core / core.sum() + tail_share * tail / tail.sum()
    if shake_px > 0:
        steps = np.linspace(-0.5, 0.5, 15) * shake_px * scale
        shifted = [cv2.warpAffine(kernel, np.float32([[1, 0, d * np.cos(shake_angle)], [0, 1, d * np.sin(shake_angle)]]),
                                  kernel.shape, flags=cv2.INTER_LINEAR) for d in steps]
        kernel = np.mean(shifted, axis=0)
    return (kernel / kernel.sum()).astype(np.float32)


def srgb(linear):
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * np.power(np.maximum(linear, 1e-9), 1 / 2.4) - 0.055)


def tone_curve(linear, s_curve):
    """sRGB's curve with an S laid over it (share 0 to 1 of a smooth step): phones like contrast."""
    x = np.linspace(0, 1, 4096)
    code = srgb(x)
    code = (1 - s_curve) * code + s_curve * code * code * (3 - 2 * code)
    return np.interp(np.clip(linear, 0, 1), x, code).astype(np.float32)


def _denoised(rgb, luma_sigma, chroma_px):
    """Edges kept in brightness, colours smoothed; in the square root of light, where shot noise is even."""
    root = np.sqrt(np.maximum(rgb, 0)).astype(np.float32)
    yuv = cv2.cvtColor(root, cv2.COLOR_RGB2YCrCb)
    y, cr, cb = cv2.split(yuv)
    if luma_sigma > 0:
        y = cv2.bilateralFilter(y, 5, luma_sigma, 1.5)
    cr, cb = (cv2.GaussianBlur(c, (0, 0), chroma_px) for c in (cr, cb))
    return np.maximum(cv2.cvtColor(cv2.merge([y, cr, cb]), cv2.COLOR_YCrCb2RGB), 0) ** 2


def _sharpened(code, p):
    """Local contrast (wide) and sharpening (narrow) in code values, on brightness; edges get halos."""
    y = cv2.cvtColor(code, cv2.COLOR_RGB2GRAY)
    gained = p["local_contrast"] * (y - cv2.GaussianBlur(y, (0, 0), p["local_px"]))
    detail = y - cv2.GaussianBlur(y, (0, 0), p["sharpen_px"])
    detail = np.sign(detail) * np.maximum(np.abs(detail) - p["sharpen_threshold"], 0)
    return np.clip(code + (gained + p["sharpen"] * detail)[..., None], 0, 1)


def develop(light, p, profile, seed):
    """Light on the sensor's pixels to code values 0 to 255."""
    rng = np.random.default_rng(seed)
    size = light.shape[1], light.shape[0]
    y, x = np.mgrid[0:size[1], 0:size[0]].astype(np.float32)
    far = ((x - size[0] / 2) ** 2 + (y - size[1] / 2) ** 2) / (size[0] ** 2 + size[1] ** 2) * 4
    light = light * (1 - p["falloff"] * far)[..., None]
    paper = np.percentile(light[::7, ::7, 1], p["meter_percentile"])
    white = light.reshape(-1, 3)[light[..., 1].reshape(-1) > 0.6 * paper].mean(axis=0)
    light *= p["exposure"] / paper
    raw = light @ FILTERS.T
    gains = np.array([p["gain_red"], 1, p["gain_blue"]], np.float32)  # what the white balance must give back
    channel = mosaic_channel(size[1], size[0])
    mosaic = np.take_along_axis(raw / gains, channel[..., None].astype(int), axis=2)[..., 0]
    del raw, light
    kind = p["demosaic"]
    gain = noise.raw_gain(lambda m: demosaic(m, kind))
    mosaic = noise.add(mosaic, channel, profile, gain, rng)
    mosaic = np.clip(np.round(mosaic * 1023 + 64), 0, 1087)  # ten bits over a black level of 64
    mosaic = ((mosaic - 64) / 1023).astype(np.float32) * gains[channel]
    rgb = demosaic(mosaic, kind)
    rgb = np.minimum(rgb, 1.0)  # a channel that is full is white, not coloured
    rgb = rgb @ np.linalg.inv(FILTERS).T.astype(np.float32)
    noise_level = float(np.sqrt(profile["a"][1] * gain[1] * 0.5 + profile["b"][1] * gain[1]) / (2 * np.sqrt(0.5)))
    rgb = _denoised(rgb, p["denoise"] * noise_level, p["chroma_px"])
    balance = (white.mean() / white) ** p["white_balance"]
    code = tone_curve(rgb * balance.astype(np.float32), p["s_curve"])
    return np.round(_sharpened(code, p) * 255).astype(np.uint8)


def _entry(tag, kind, values):
    size = {2: 1, 3: 2, 4: 4, 5: 8, 7: 1}[kind]
    if kind in (2, 7):
        data, count = bytes(values), len(values)
    else:
        values = values if isinstance(values, list) else [values]
        count = len(values)
        data = b"".join(struct.pack("<" + {3: "H", 4: "I"}.get(kind, "II"), *(v if kind == 5 else (v,))) for v in values)
    assert len(data) == size * count
    return tag, kind, count, data


def _directory(entries, offset):
    body, extra = b"", b""
    at = offset + 2 + 12 * len(entries) + 4
    for tag, kind, count, data in sorted(entries):
        if len(data) <= 4:
            value = data.ljust(4, b"\0")
        else:
            value = struct.pack("<I", at + len(extra))
            extra += data + b"\0" * (len(data) % 2)
        body += struct.pack("<HHI", tag, kind, count) + value
    return struct.pack("<H", len(entries)) + body + struct.pack("<I", 0) + extra


def exif(e, width, height):
    """What a phone writes, without maker and model (EXIF 2.32, JEITA CP-3451E): orientation, exposure."""
    time = e["time"].encode() + b"\0"
    main = [_entry(0x0112, 3, e["orientation"]), _entry(0x011A, 5, [(72, 1)]), _entry(0x011B, 5, [(72, 1)]),
            _entry(0x0128, 3, 2), _entry(0x0132, 2, time), _entry(0x0213, 3, 1)]
    sub_at = 8 + len(_directory(main + [_entry(0x8769, 4, 0)], 8))
    main.append(_entry(0x8769, 4, sub_at))
    sub = [_entry(0x829A, 5, [(1, e["shutter"])]), _entry(0x829D, 5, [(int(round(e["f_number"] * 100)), 100)]),
           _entry(0x8827, 3, e["iso"]), _entry(0x9000, 7, b"0232"), _entry(0x9003, 2, time),
           _entry(0x9209, 3, 0x19 if e["flash"] else 0x10), _entry(0x920A, 5, [(int(round(e["focal_mm"] * 1000)), 1000)]),
           _entry(0xA001, 3, 1), _entry(0xA002, 4, width), _entry(0xA003, 4, height), _entry(0xA405, 3, e["focal_35mm"])]
    tiff = b"II*\0" + struct.pack("<I", 8) + _directory(main, 8) + _directory(sub, sub_at)
    payload = b"Exif\0\0" + tiff
    return b"\xff\xe1" + struct.pack(">H", len(payload) + 2) + payload


# EXIF's orientation to what must be done with the upright picture before it is stored.
STORED = {1: None, 3: cv2.ROTATE_180, 6: cv2.ROTATE_90_COUNTERCLOCKWISE, 8: cv2.ROTATE_90_CLOCKWISE}


def write_jpeg(path, rgb, quality, e):
    """`rgb` is upright, as displayed; it is stored as the sensor lay. Colour at half resolution (4:2:0)."""
    turn = STORED[e["orientation"]]
    stored = rgb if turn is None else cv2.rotate(rgb, turn)
    ok, data = cv2.imencode(".jpg", cv2.cvtColor(stored, cv2.COLOR_RGB2BGR),
                            [cv2.IMWRITE_JPEG_QUALITY, quality, cv2.IMWRITE_JPEG_OPTIMIZE, 1])
    if not ok:
        raise RuntimeError("JPEG could not be encoded")
    data = data.tobytes()
    assert data[:4] == b"\xff\xd8\xff\xe0"
    after = 4 + struct.unpack(">H", data[4:6])[0]  # EXIF stands where JFIF's header stood
    block = exif(e, stored.shape[1], stored.shape[0])
    with open(path, "wb") as file:
        file.write(data[:2] + block + data[after:])
    return len(data)
