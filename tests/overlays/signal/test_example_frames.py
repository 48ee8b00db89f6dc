"""The frames of the examples hold what they are said to hold."""

import pytest

from overlays.errors import FrameLayoutError
from overlays.signal.example_frames import colour_frame, grey_frame
from overlays.signal.levels import decoding
from overlays.signal.signal import Signal, Subsampling


def test_each_code_fills_its_square_and_chroma_is_neutral():
    frame = grey_frame([[16, 126], [235, 60]], cell=2, signal=Signal(8), number=7)
    assert frame.planes[0].tolist() == [
        [16, 16, 126, 126],
        [16, 16, 126, 126],
        [235, 235, 60, 60],
        [235, 235, 60, 60],
    ]
    assert all(plane.tolist() == [[128, 128]] * 4 for plane in frame.planes[1:])
    assert frame.number == 7


@pytest.mark.parametrize("subsampling", Subsampling)
def test_a_colour_is_decoded_to_what_it_was_made_of(subsampling):
    signal = Signal(10, subsampling=subsampling)
    colours = [(100.0, 50.0, 25.0), (0.0, 40.0, 90.0)]
    frame = colour_frame([colours], cell=4, signal=signal)
    way = decoding(signal)
    for square, colour in enumerate(colours):
        at = 4 * square + 2
        codes = [
            plane[2 // (1 if plane is frame.planes[0] else subsampling.rows)][
                at // (1 if plane is frame.planes[0] else subsampling.columns)
            ]
            for plane in frame.planes
        ]
        assert 100.0 * (way.matrix @ (codes - way.zero)) == pytest.approx(colour, abs=0.2)


def test_an_odd_width_has_its_last_chroma_sample():
    assert grey_frame([[64]], cell=3).planes[1].shape == (3, 2)
    assert colour_frame([[(1, 2, 3)]], cell=3).planes[2].shape == (3, 2)


def test_a_single_pixel_is_no_frame():
    with pytest.raises(FrameLayoutError, match="smallest"):
        grey_frame([[64]], cell=1)
