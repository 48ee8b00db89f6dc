"""Frames of patches whose light is known, as the cameras and codecs of others would send them.

NumPy makes them, colour-science encodes the curves (an encoder that is not the project's), PyAV's
encoders compress, and their pictures are read back here, without the project's feeds.
"""

import io
import math
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

import numba  # noqa: F401 - colour-science puts a stand-in for scipy in the way of numba

# isort: split
import av
import colour
import numpy as np

WEIGHTS = np.array([0.2126, 0.7152, 0.0722])  # ITU-R BT.709-6 item 3.2
CURVES = {
    "S-Log3": (colour.models.log_encoding_SLog3, 7.4),
    "V-Log": (colour.models.log_encoding_VLog, 7.7),
    "BT.709": (colour.models.oetf_BT709, 2.3),
}
"""Encoder, and the stop up to which patches are drawn: under the clip with noise and all."""
SIZES = (16, 48, 120)
NOISES = (0.0, 0.1, 0.2, 0.4, 0.8, 1.2, 2.0, 3.0)
BLURS = (0.0, 0.5, 1.0, 2.0)
ROWS, COLUMNS = 4, 6
"""Patches of a frame."""
Planes = list[np.ndarray]


@dataclass(frozen=True)
class Codec:
    """An encoder of PyAV: its name, options, depths, whether it discards detail (4:2:2), and the
    pixels of its largest block where a feed tells it."""

    encoder: str
    options: tuple[tuple[str, str], ...] = ()
    bits: tuple[int, ...] = (8, 10)
    lossy: bool = True
    block: int = 0


CODECS = {
    "none": Codec("", lossy=False),
    "h264": Codec("libx264", (("qp", "18"), ("g", "1"), ("preset", "fast")), block=16),
    "hevc": Codec(
        "libx265",
        (("x265-params", "qp=18:keyint=1:log-level=none:pools=1"), ("preset", "fast")),
    ),
    "prores": Codec("prores_ks", (("profile", "3"), ("vendor", "apl0")), (10,)),
    "mjpeg": Codec("mjpeg", (("qmin", "3"), ("qmax", "3")), (8,)),
    # What nothing was tuned on.
    "mpeg2": Codec("mpeg2video", (("qmin", "3"), ("qmax", "3"), ("g", "1")), (8,)),
    "vp9": Codec(
        "libvpx-vp9",
        (("crf", "20"), ("b", "0"), ("g", "1"), ("cpu-used", "8"), ("deadline", "realtime")),
        (8,),
    ),
    "dnxhd": Codec("dnxhd", (("profile", "dnxhr_hq"),), (8,)),
    "dnxhr": Codec("dnxhd", (("profile", "dnxhr_hqx"),), (10,)),
    "j2k": Codec("jpeg2000", (("qmin", "3"), ("qmax", "3"))),
    "ffv1": Codec("ffv1", lossy=False),
    "v210": Codec("v210", (), (10,), lossy=False),
    "cfhd": Codec("cfhd", (("quality", "film3"),), (10,)),
    "proresaw": Codec("prores_aw", (("profile", "2"),), (10,)),
    # Coarser than what compression is said to be seen at.
    "h264crf23": Codec("libx264", (("crf", "23"), ("g", "1"), ("preset", "medium")), block=16),
    "hevccrf28": Codec(
        "libx265",
        (("x265-params", "crf=28:keyint=1:log-level=none:pools=1"), ("preset", "fast")),
    ),
    "mjpegq8": Codec("mjpeg", (("qmin", "8"), ("qmax", "8")), (8,)),
}
_IN_MOV = ("dnxhd", "cfhd", "v210")
"""Encoders that Matroska does not carry."""
USUAL = ("none", "h264", "hevc", "prores", "mjpeg")
NARROWEST = {"dnxhd": 256}
"""Pixels across that an encoder needs at least."""


class Cell(NamedTuple):
    """One cell of the table but for the edge of the spot."""

    curve: str
    bits: int
    codec: str
    noise: float
    blur: float


def blurred(noise: np.ndarray, sigma: float) -> np.ndarray:
    """Noise through a gaussian of `sigma` pixels, of unit variance afterwards."""
    if sigma == 0.0:
        return noise
    at = np.arange(-int(6 * sigma) - 2, int(6 * sigma) + 3)
    kernel = np.exp(-0.5 * (at / sigma) ** 2)
    kernel /= math.sqrt(float((kernel**2).sum()))
    for axis in (0, 1):
        moved = np.moveaxis(noise, axis, -1)
        spectrum = np.fft.rfft(moved) * np.fft.rfft(kernel, moved.shape[-1])
        noise = np.moveaxis(np.fft.irfft(spectrum, moved.shape[-1]), -1, axis)
    return noise


def light_of(curve: str, count: int, rng: np.random.Generator) -> np.ndarray:
    """(count, 3) linear R, G, B from -5.5 stops to under the clip, half of them neutral."""
    top = CURVES[curve][1]
    stops = rng.uniform(-5.5, top, count)
    tint = rng.uniform(0.4, 1.0, (count, 3))
    tint[: count // 2] = 1.0
    light = 0.18 * 2.0 ** stops[:, None] * tint / (tint @ WEIGHTS)[:, None]
    light *= np.minimum(1.0, 0.18 * 2.0**top / light.max(axis=1))[:, None]
    return rng.permutation(light)


def signal_of(curve: str, light: np.ndarray) -> np.ndarray:
    """Nominal R', G', B' of limited range: a log curve lies on the whole code scale."""
    value = CURVES[curve][0](light)
    return value if curve == "BT.709" else (1023.0 * value - 64.0) / 876.0


def to_codes(nominal: np.ndarray, bits: int) -> np.ndarray:
    """Y', Cb, Cr codes, not rounded, by colour-science."""
    top = 2**bits - 1
    coded = colour.RGB_to_YCbCr(
        nominal,
        K=WEIGHTS[[0, 2]],
        in_bits=bits,
        in_legal=False,
        in_int=False,
        out_bits=bits,
        out_legal=True,
        out_int=False,
    )
    return np.asarray(coded) * top


def made(
    cell: Cell, light: np.ndarray, edge: int, noise_in: str, rng: np.random.Generator
) -> Planes:
    """Rounded planes of a frame of `ROWS` x `COLUMNS` patches of `edge` pixels, 4:2:2."""
    shape = (ROWS * edge, COLUMNS * edge)
    flat = signal_of(cell.curve, light)
    picture = to_codes(flat, cell.bits).reshape(ROWS, COLUMNS, 3).repeat(edge, 0).repeat(edge, 1)
    sigma = cell.noise * 2 ** (cell.bits - 8)
    noise = np.stack([blurred(rng.normal(size=shape), cell.blur) for _ in range(3)], -1) * sigma
    if noise_in == "rgb":  # R', G', B' with the noise each, in codes of luma
        kr, _, kb = WEIGHTS
        luma = noise @ WEIGHTS
        scale = 224.0 / 219.0
        cb = (noise[..., 2] - luma) / (2.0 - 2.0 * kb) * scale
        cr = (noise[..., 0] - luma) / (2.0 - 2.0 * kr) * scale
        noise = np.stack([luma, cb, cr], -1)
    elif noise_in == "luma":
        noise[..., 1:] = 0.0
    picture = picture + noise
    chroma = 0.5 * (picture[:, ::2, 1:] + picture[:, 1::2, 1:])  # as a camera's filter would
    planes = (picture[..., 0], chroma[..., 0], chroma[..., 1])
    kind = np.uint8 if cell.bits == 8 else np.uint16
    return [np.clip(np.rint(p), 0, 2**cell.bits - 1).astype(kind) for p in planes]


def through(codec: Codec, frames: list[Planes], bits: int) -> list[Planes]:
    """The frames encoded and decoded again, by PyAV alone."""
    if not codec.encoder:
        return frames
    rows, columns = frames[0][0].shape
    name = "yuv422p" if bits == 8 else "yuv422p10le"
    if codec.encoder == "mjpeg":
        name = "yuvj422p"
    buffer = io.BytesIO()
    with av.open(buffer, "w", format="mov" if codec.encoder in _IN_MOV else "matroska") as out:
        stream = out.add_stream(codec.encoder, rate=25, options=dict(codec.options))
        stream.width, stream.height, stream.pix_fmt = columns, rows, name
        stream.codec_context.time_base = Fraction(1, 25)
        for number, planes in enumerate(frames):
            picture = av.VideoFrame(columns, rows, name)
            for plane, source in zip(picture.planes, planes, strict=True):
                width = plane.line_size // source.itemsize
                lines = np.zeros((source.shape[0], width), source.dtype)
                lines[:, : source.shape[1]] = source
                plane.update(lines.tobytes())
            picture.pts = number
            out.mux(stream.encode(picture))
        out.mux(stream.encode(None))
    buffer.seek(0)
    back = []
    with av.open(buffer, "r") as held:
        for picture in held.decode(video=0):
            planes = []
            for plane, source in zip(picture.planes, frames[0], strict=True):
                lines = np.frombuffer(plane, source.dtype).reshape(
                    -1, plane.line_size // source.itemsize
                )
                planes.append(lines[: source.shape[0], : source.shape[1]].copy())
            back.append(planes)
    return back
