import av
import numpy as np
import pytest

from firmware.errors import FeedFormatError
from firmware.feeds.pixel_formats import FORMATS, Where, picture_planes, pixel_format
from overlays.signal.signal import Components

ROWS, COLUMNS = 10, 13


def plane_shapes(name):
    """(rows, samples) of each plane as FFmpeg lays them, from the format's own description."""
    frame = av.VideoFrame(COLUMNS, ROWS, name)
    return frame, [(plane.height, plane.line_size) for plane in frame.planes]


@pytest.mark.parametrize("name", FORMATS)
def test_every_sample_of_a_format_is_found_where_ffmpeg_puts_it(name):
    pixels = FORMATS[name]
    rng = np.random.default_rng(5)
    frame, shapes = plane_shapes(name)
    stored = []
    for plane, shape in zip(frame.planes, shapes, strict=True):
        data = rng.integers(0, 256, shape, dtype=np.uint8)
        plane.update(data.tobytes())
        stored.append(data)
    views = picture_planes(pixels, tuple(frame.planes), ROWS, COLUMNS)
    described = [c for c in frame.format.components if not c.is_alpha]
    for n, view in enumerate(views):
        component = described[0 if pixels.grey else n]
        assert component.bits == pixels.bits
        assert view.shape == (component.height, component.width)
        where = Where(0) if pixels.grey else pixels.where[n]
        assert component.plane == where.plane
        row = stored[where.plane][3].view(np.dtype(">u2" if pixels.big_endian else "<u2"))
        if pixels.sample_bytes == 1:
            row = stored[where.plane][3]
        expected = row[where.first :: where.step][: view.shape[1]]
        np.testing.assert_array_equal(view[3], expected)
        assert not view.flags.writeable


@pytest.mark.parametrize(
    ("name", "reference"),
    [("nv12", "yuv420p"), ("nv21", "yuv420p"), ("nv16", "yuv422p"), ("uyvy422", "yuv422p"),
     ("yuyv422", "yuv422p"), ("yvyu422", "yuv422p"), ("y210le", "yuv422p10le"),
     ("p010le", "yuv420p10le"), ("p210le", "yuv422p10le"), ("rgb48be", "rgb48le"),
     ("yuv422p10be", "yuv422p10le"), ("bgr24", "rgb24"), ("gbrp", "rgb24"), ("bgr0", "rgb24"),
     ("0rgb", "rgb24"), ("gray16be", "gray16le")],
)  # fmt: skip
def test_repacking_by_ffmpeg_itself_gives_the_same_codes(name, reference):
    """FFmpeg's scaler only moves samples between these pairs: an outside check of the order."""
    rng = np.random.default_rng(6)
    base = FORMATS[reference]
    frame = av.VideoFrame(16, 8, reference)
    for plane in frame.planes:
        data = rng.integers(0, 256, plane.buffer_size, dtype=np.uint8)
        if base.bits > 8:
            data = (data.view("<u2") & ((1 << base.bits) - 1)).view(np.uint8)
        plane.update(data.tobytes())
    other = frame.reformat(format=name)
    pixels = FORMATS[name]
    want = picture_planes(base, tuple(frame.planes), 8, 16)
    got = picture_planes(pixels, tuple(other.planes), 8, 16)
    for a, b in zip(got, want, strict=True):
        np.testing.assert_array_equal(a >> pixels.shift, b)


def test_views_are_on_the_decoders_own_buffer():
    frame = av.VideoFrame(16, 8, "yuv420p")
    views = picture_planes(FORMATS["yuv420p"], tuple(frame.planes), 8, 16)
    frame.planes[0].update(bytes([77]) * frame.planes[0].buffer_size)
    assert (views[0] == 77).all()


def test_grey_is_given_three_times_without_a_copy():
    frame = av.VideoFrame(16, 8, "gray10le")
    red, green, blue = picture_planes(FORMATS["gray10le"], tuple(frame.planes), 8, 16)
    assert red is green is blue
    assert FORMATS["gray10le"].components is Components.RGB


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("rgba", "alpha channel"),
        ("yuva420p", "alpha channel"),
        ("gbrap12le", "alpha channel"),
        ("ya16be", "alpha channel"),
        ("gbrpf32le", "floating-point"),
        ("gbrapf32le", "floating-point"),
        ("grayf16le", "floating-point"),
        ("pal8", "palette"),
        ("monow", "pixel format monow"),
        ("yuv411p", "pixel format yuv411p"),
    ],
)
def test_what_cannot_be_measured_is_refused_with_the_remedy(name, says):
    with pytest.raises(FeedFormatError) as fault:
        pixel_format(name, "a.png")
    assert str(fault.value).startswith("a.png ")
    assert says in str(fault.value)
    assert "save it" in str(fault.value)


class Upside:
    """A plane whose rows run upwards."""

    line_size, buffer_size = -16, 128

    def __buffer__(self, flags):
        return memoryview(bytes(128))


def test_a_picture_stored_bottom_up_is_refused():
    with pytest.raises(FeedFormatError, match="bottom-up"):
        picture_planes(FORMATS["gray"], (Upside(),), 8, 16)


def test_a_plane_too_short_for_the_picture_is_refused():
    frame = av.VideoFrame(16, 4, "gray")
    with pytest.raises(FeedFormatError, match="too short for 16x8"):
        picture_planes(FORMATS["gray"], tuple(frame.planes), 8, 16)
