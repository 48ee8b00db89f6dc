"""One frame of a feed, as a scene."""

import pytest

from firmware.clock import HandClock
from firmware.errors import ArgumentError, FrameMissingError
from firmware.instruments.asking import Opener, Unplaced, Wanted
from overlays.errors import SpotOutsideError

FEED = "bench:size=320x180,cloud=0"


def scene(**how):
    return Opener(HandClock()).scene(Wanted(FEED, **how))


def test_without_a_spot_the_centre_is_read_and_there_are_no_pins():
    with scene(frame=2) as found:
        assert (found.place.column, found.place.row) == (160, 90)
        assert found.spot.place == found.place
        assert found.desk.pins == ()
        assert found.frame.number == 2
        assert found.census.rgb is not None


def test_spots_as_written_are_pins_and_the_first_is_the_spot():
    with scene(at=("40,50,8", "0.5,0.5")) as found:
        assert [pin.place.column for pin in found.desk.pins] == [40, 160]
        assert found.place == found.desk.pins[0].place
        assert list(found.pins()) == [1, 2]


def test_the_profiles_pins_keep_their_names_and_the_spot_is_the_centre(tmp_path):
    kit = tmp_path / "kit.toml"
    kit.write_text('curve = "BT.709"\npins = [{x = 0.25, y = 0.5, name = "key"}]\n')
    with scene(profile=str(kit), unplaced=Unplaced.PINS) as found:
        (pin,) = found.desk.pins
        assert (pin.name, pin.place.column) == ("key", 80)
        assert found.place.column == 160
    with scene(profile=str(kit)) as found:
        assert found.desk.pins == ()


def test_the_bench_knows_its_truth():
    with scene() as found:
        assert found.truth(found.place, found.frame).stops == pytest.approx(0.0, abs=0.01)


def test_what_cannot_be_had_is_refused():
    with pytest.raises(SpotOutsideError), scene(at=("1,1,48",)):
        pass
    with pytest.raises(ArgumentError), scene(at=("here",)):
        pass
    with pytest.raises(ArgumentError, match="did you mean"), scene(gamut="V-Gamot"):
        pass


def test_a_frame_that_is_not_there(tmp_path):
    raw = tmp_path / "grey.uyvy"
    raw.write_bytes(bytes([128]) * 64 * 36 * 2)
    wanted = Wanted(f"{raw}:size=64x36", frame=1)
    with pytest.raises(FrameMissingError, match="no frame 1"), Opener(HandClock()).scene(wanted):
        pass
