import numpy as np
import pytest

from overlays.draw.picture.plane_words import PlaneReader, drawn_bits, dropped_bits
from overlays.signal.frame import Frame, packed_422, packed_rgb, planar, semi_planar_420
from overlays.signal.signal import Components, Signal, Subsampling

S420, S444 = Subsampling.S420, Subsampling.S444


def read_back(words, shape, mask):
    kind = {1: np.uint8, 2: np.uint16, 4: np.uint32}[words.word_bytes]
    flat = words.data.view(kind)
    at = np.arange(shape[0])[:, None] * words.stride_words + np.arange(shape[1])
    return (flat[at] >> words.shift) & mask


def frames():
    rng = np.random.default_rng(2)
    some = rng.integers(0, 256, 20_000, dtype=np.uint8)
    yield Frame(packed_422(some, 11, 13, "UYVY"), Signal())
    yield Frame(packed_422(some, 10, 14, "YUYV", stride=64), Signal())
    yield Frame(packed_422(some, 10, 14, "YUYV", stride=61), Signal())
    yield Frame(planar(some, 11, 13, S420), Signal(subsampling=S420))
    yield Frame(planar(some, 8, 10, S444, 2), Signal(bits=10, subsampling=S444))
    yield Frame(semi_planar_420(some, 11, 13), Signal(subsampling=S420))
    yield Frame(semi_planar_420(some, 8, 10, 2), Signal(bits=10, subsampling=S420), shift=6)
    rgb = Signal(components=Components.RGB, subsampling=S444)
    yield Frame(packed_rgb(some, 9, 12, "RGB"), rgb)
    yield Frame(packed_rgb(some, 9, 12, "BGRX"), rgb)
    yield Frame(
        packed_rgb(some, 9, 12, "RGB", 2), Signal(16, components=Components.RGB, subsampling=S444)
    )
    yield Frame(planar(some[1:], 8, 10, S444, 2), Signal(bits=16, subsampling=S444))


@pytest.mark.parametrize("frame", list(frames()))
def test_every_layout_reads_back_as_its_codes(frame):
    mask = (1 << drawn_bits(frame)) - 1
    for plane, words in zip(frame.planes, PlaneReader().words(frame), strict=True):
        expected = (plane.astype(int) >> (frame.shift + dropped_bits(frame))) & mask
        np.testing.assert_array_equal(read_back(words, plane.shape, mask), expected)


def test_packed_and_planar_layouts_are_read_where_they_stand():
    some = np.zeros(4000, np.uint8)
    frame = Frame(packed_422(some, 10, 20), Signal())
    some[:] = 77
    for words in PlaneReader().words(frame):
        assert (words.data == 77).all()
        assert not words.data.flags.writeable


def test_a_copied_layout_uses_its_scratch_again():
    rgb = Signal(components=Components.RGB, subsampling=S444)
    frame = Frame(packed_rgb(np.zeros(3000, np.uint8), 10, 12), rgb)
    reader = PlaneReader()
    first, second = reader.words(frame), reader.words(frame)
    assert [w.data.ctypes.data for w in first] == [w.data.ctypes.data for w in second]


def test_deep_codes_lose_their_lowest_bits_only_on_the_screen():
    deep = Frame(
        planar(np.zeros(600, np.uint8), 10, 10, S444, 2), Signal(bits=12, subsampling=S444)
    )
    assert (drawn_bits(deep), dropped_bits(deep)) == (10, 2)
