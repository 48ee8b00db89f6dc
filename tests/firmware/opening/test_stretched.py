"""Log over a limited link that was stretched to full range, by an encoder that is not ours.

The camera puts v on the whole code scale of the link (code10 = 1023 v), the link is taken for
limited, and a grabber makes 64..940 of it 0..1023 (8 bits: 16..235 to 0..255), cutting off the
rest. Curves by colour-science; the two roundings, on the link and after it, are made here.
"""

import math
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import av
import colour
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.signal import Components, Range, Signal, Subsampling
from tests.asking import asked, printed

ENCODERS: dict[str, Callable[..., Any]] = {
    "V-Log": colour.models.log_encoding_VLog,
    "S-Log3": colour.models.log_encoding_SLog3,
    "LogC3": colour.models.log_encoding_ARRILogC3,
}
STEPS = (-4.0, -2.0, 0.0, 2.0, 4.0, 6.0)
"""Stops of the six flat areas of a file, from left to right."""
WIDE, HIGH = 96, 96


def stretched(value, bits, noise=None):
    """Codes that a grabber gives for a curve's signal, stretched from the link's."""
    scale = 1 << (bits - 8)
    link = 1023.0 * value / 4.0 * scale
    link = np.rint(link if noise is None else link + noise)
    top = (1 << bits) - 1
    return np.clip(np.rint((link - 16 * scale) * top / (219 * scale)), 0, top).astype(np.uint16)


def picture(curve, bits):
    """(rows, columns) of codes, six areas side by side."""
    light = 0.18 * 2.0 ** np.repeat(STEPS, WIDE)
    row = stretched(ENCODERS[curve](light), bits)
    return np.tile(row, (HIGH, 1))


@pytest.fixture
def written(tmp_path):
    """A file of R'G'B' by PyAV: FFV1, which is lossless, of 8 or 10 bits."""

    def write(curve, bits):
        codes = picture(curve, bits)
        path = str(tmp_path / f"{curve}-{bits}.mkv")
        with av.open(path, "w") as container:
            stream = container.add_stream("ffv1", rate=25)
            stream.width, stream.height = codes.shape[1], codes.shape[0]
            stream.pix_fmt = "gbrp10le" if bits == 10 else "bgr0"
            if bits == 10:
                frame = av.VideoFrame(codes.shape[1], codes.shape[0], "gbrp10le")
                for plane in frame.planes:
                    there = np.zeros((plane.height, plane.line_size // 2), np.uint16)
                    there[:, : codes.shape[1]] = codes
                    plane.update(there.tobytes())
            else:
                grey = np.repeat(codes.astype(np.uint8)[..., None], 3, axis=2)
                frame = av.VideoFrame.from_ndarray(grey, "rgb24").reformat(format="bgr0")
            frame.pts, frame.time_base = 0, Fraction(1, 25)
            container.mux(stream.encode(frame))
            container.mux(stream.encode(None))
        return path

    return write


def places():
    return tuple(f"{round((n + 0.5) * WIDE)},{HIGH // 2},48" for n in range(len(STEPS)))


@pytest.mark.parametrize("bits", [8, 10])
@pytest.mark.parametrize("curve", ENCODERS)
def test_a_stretched_file_is_read_within_its_plus_minus(written, curve, bits):
    found = asked("read", feed=written(curve, bits), curve=curve, range="stretched", at=places())
    assert found["feed"]["range"] == "stretched"
    assert found["feed"]["bits"] == bits
    for stops, spot in zip(STEPS, found["spots"], strict=True):
        if spot["clipped"]:
            assert stops == 6.0
            assert spot["at_least"]
            continue
        if spot["may_clip"]:  # it is flat and nothing is brighter; a code is worth as much as at +4
            assert (stops, spot["stops_pm"]) == (6.0, None)
        else:
            half_width = spot["stops_pm"]
        assert spot["stops"] == pytest.approx(stops, abs=half_width)


def test_without_the_word_it_is_as_far_off_as_the_issue_says(written):
    """Issue: -4 reads -5.7, +6 reads +6.9; LogC3 is 2.2 off."""
    path = written("V-Log", 10)
    full = asked("read", feed=path, curve="V-Log", range="full", at=places())
    assert full["spots"][0]["stops"] == pytest.approx(-5.6, abs=0.2)
    assert full["spots"][-1]["stops"] == pytest.approx(6.95, abs=0.1)


def test_a_profile_says_it_too(written, tmp_path):
    profile = tmp_path / "grabbed.toml"
    profile.write_text('curve = "V-Log"\n[signal]\nrange = "stretched"\n')
    found = asked("read", feed=written("V-Log", 10), profile=str(profile), at=places())
    assert found["feed"]["range"] == "stretched"
    assert found["spots"][1]["stops"] == pytest.approx(-2.0, abs=found["spots"][1]["stops_pm"])
    assert "10 bit stretched BT.709" in printed(
        "read", feed=written("V-Log", 10), profile=str(profile), at=places()
    )


SIGNALS = {
    bits: Signal(bits, Range.STRETCHED, components=Components.RGB, subsampling=Subsampling.S444)
    for bits in (8, 10)
}
YARDS = {
    (curve, bits): yardstick(signal, published_curve(curve))
    for curve in ENCODERS
    for bits, signal in SIGNALS.items()
}


@settings(max_examples=80, deadline=None)
@given(
    curve=st.sampled_from(sorted(ENCODERS)),
    bits=st.sampled_from([8, 10]),
    stops=st.floats(-3.5, 5.5),
    sigma=st.sampled_from([0.0, 0.15, 0.4, 1.0, 2.0]),
    seed=st.integers(0, 999),
)
def test_any_level_is_read_as_it_was_encoded(curve, bits, stops, sigma, seed):
    value = ENCODERS[curve](0.18 * 2.0**stops)
    rng = np.random.default_rng(seed)
    planes = tuple(stretched(value, bits, rng.normal(0.0, sigma, (64, 64))) for _ in range(3))
    spot = read_spot(Frame(planes, SIGNALS[bits]), YARDS[curve, bits], SpotPlace(32, 32, 48))
    assert spot.unknown is None
    # A half width of 95 %: half as much again is hardly ever needed.
    assert abs(spot.stops - stops) <= 1.5 * spot.stops_pm
    assert math.isfinite(spot.percent)
