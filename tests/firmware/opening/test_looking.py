import pytest

from firmware.clock import HandClock
from firmware.errors import ArgumentError, FeedNotFoundError, FrameMissingError
from firmware.opening.looking import looking, written_spots
from firmware.written.options import Overrides
from overlays.errors import SpotOutsideError

BENCH = "bench:size=320x180,cloud=0"


def test_a_frame_is_lent_and_measured_with_its_profile():
    with looking(BENCH, "hlg", Overrides(), 2, HandClock()) as look:
        assert look.frame.number == 2
        assert look.yard.carried.curve.name == "HLG"
        (place,) = look.places(written_spots([]))
        assert (place.column, place.row) == (160, 90)
        assert isinstance(look.warnings, list)


def test_places_outside_are_refused():
    with (
        looking(BENCH, None, Overrides(), 0, HandClock()) as look,
        pytest.raises(SpotOutsideError),
    ):
        look.places(written_spots(["1,1,40"]))


def test_what_is_no_spot_is_refused_before_any_feed_is_opened():
    with pytest.raises(ArgumentError):
        written_spots(["here"])


def test_a_missing_file_says_so():
    with (
        pytest.raises(FeedNotFoundError),
        looking("no/such.mkv", None, Overrides(), 0, HandClock()),
    ):
        pass


def test_a_still_has_one_frame(tmp_path):
    import numpy as np  # noqa: PLC0415
    import pygame  # noqa: PLC0415

    path = tmp_path / "grey.png"
    pygame.image.save(pygame.surfarray.make_surface(np.full((64, 36, 3), 118, np.uint8)), path)
    with (
        pytest.raises(FrameMissingError),
        looking(str(path), None, Overrides(), 5, HandClock()),
    ):
        pass
