"""Frames of known colours, made with colour-science alone: none of our arithmetic is in them."""

from collections.abc import Callable
from typing import Any

import colour
import numpy as np

from overlays.signal.frame import Frame
from overlays.signal.signal import Signal, Subsampling
from tests.bench.made_frames import blurred

# Our name of a curve: how colour-science 0.4.7 encodes it, and whether its 0..1 fills the codes.
ENCODE: dict[str, tuple[Callable[..., Any], str]] = {
    "BT.709": (colour.models.oetf_BT709, "narrow"),
    "V-Log": (colour.models.log_encoding_VLog, "full"),
    "S-Log3": (colour.models.log_encoding_SLog3, "full"),
    "LogC4": (colour.models.log_encoding_ARRILogC4, "full"),
    "N-Log": (colour.models.log_encoding_NLog, "full"),
}
SPACE = {
    "BT.709": "ITU-R BT.709",
    "V-Gamut": "V-Gamut",
    "S-Gamut3": "S-Gamut3",
    "S-Gamut3.Cine": "S-Gamut3.Cine",
    "BT.2020": "ITU-R BT.2020",
}


def light_xyz(kelvin, duv):
    """XYZ of a light by Ohno (2013), Y = 1."""
    uv = colour.temperature.CCT_to_uv_Ohno2013(np.array([kelvin, duv]))
    return colour.xy_to_XYZ(colour.UCS_uv_to_xy(uv))


def to_rgb(xyz, gamut):
    """Linear RGB of a gamut, without any adaptation."""
    return np.linalg.solve(colour.RGB_COLOURSPACES[SPACE[gamut]].matrix_RGB_to_XYZ, xyz)


def adapted(xyz, start_xyz, end_xyz, transform="Bradford"):
    """XYZ under one white taken to another by von Kries' rule."""
    return colour.adaptation.chromatic_adaptation_VonKries(xyz, start_xyz, end_xyz, transform)


def frame_of(linear, curve="BT.709", bits=10, noise=0.0, seed=1, blur=0.0):
    """A limited-range BT.709-matrix 4:4:4 frame of linear RGB, (rows, columns, 3).

    `noise` is the standard deviation added to each plane before rounding, in codes of `bits`; it is
    correlated as by a gaussian of `blur` pixels.
    """
    encode, carriage = ENCODE[curve]
    value = encode(linear)
    if carriage == "full":
        value = (value * 1023.0 - 64.0) / 876.0
    ycbcr = colour.RGB_to_YCbCr(
        value,
        K=colour.models.WEIGHTS_YCBCR["ITU-R BT.709"],
        in_bits=bits,
        in_int=False,
        in_legal=False,
        out_bits=bits,
        out_int=False,
        out_legal=True,
    )
    codes = ycbcr * (2**bits - 1)
    if noise:
        made = np.random.default_rng(seed).normal(0.0, noise, codes.shape)
        if blur:
            made = np.stack([blurred(made[..., k], blur) for k in range(3)], axis=-1)
        codes = codes + made
    kind = np.uint8 if bits == 8 else np.uint16
    whole = np.clip(np.rint(codes), 0, 2**bits - 1).astype(kind)
    planes = tuple(np.ascontiguousarray(whole[..., i]) for i in range(3))
    return Frame(planes, Signal(bits=bits, subsampling=Subsampling.S444))


def card(rgb, rows=64, columns=64):
    """Linear RGB of a flat card filling a small picture."""
    return np.broadcast_to(np.asarray(rgb, dtype=float), (rows, columns, 3))
