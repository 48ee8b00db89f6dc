import io
import json

import pytest

from firmware.clock import HandClock
from firmware.commands.pins import pins
from firmware.errors import ArgumentError
from firmware.exposure_options import PinsOptions
from firmware.written.options import Output
from overlays.errors import SpotOutsideError

FEED = "bench:size=640x360,cloud=0,signal=yuv422-10,curve=V-Log"


def read(**how):
    out = io.StringIO()
    pins(PinsOptions(FEED, output=Output.JSON, **how), HandClock(), out)
    return json.loads(out.getvalue())


def test_the_ratio_of_white_and_grey():
    found = read(spots=("390,156,20", "320,180,20"))
    (ratio,) = found["ratios"]
    assert ratio["pins"] == [1, 2]
    assert ratio["stops"] == pytest.approx(2.2051, abs=0.02)  # 0.83 against 0.18
    assert ratio["ratio"] == pytest.approx(4.61, abs=0.1)
    assert ratio["key_over_fill_stops"] == pytest.approx(1.852, abs=0.03)  # log2(4.611 - 1)


def test_an_even_card():
    found = read(area="320,180,60,60")
    assert found["pins"] == []
    assert found["evenness"]["spread_stops"] < 0.08
    assert 0.0 < found["evenness"]["within_stops"] <= found["evenness"]["spread_stops"]
    cells = [abs(cell) for row in found["evenness"]["map_stops"] for cell in row]
    assert found["evenness"]["within_stops"] == pytest.approx(max(cells), abs=1e-5)
    assert len(found["evenness"]["map_stops"]) == 12


@pytest.mark.parametrize(
    ("how", "said"),
    [
        ({}, "no pin was given"),
        ({"area": "1,2,3"}, "no area"),
        ({"spots": ("0.5,0.5",) * 9}, "at most 8"),
    ],
)
def test_what_cannot_be_done_is_said(how, said):
    with pytest.raises(ArgumentError, match=said):
        read(**how)


def test_an_area_outside():
    with pytest.raises(SpotOutsideError):
        read(area="10,10,100,100")


def test_for_a_person():
    out = io.StringIO()
    options = PinsOptions(FEED, spots=("390,156,20", "320,180,20"), area="320,180,60,60")
    pins(options, HandClock(), out)
    assert "1 to 2: +2.2" in out.getvalue()
    assert "4.6:1" in out.getvalue()
    assert "Even within ±0.0" in out.getvalue()


def test_what_is_not_known_is_said_to_a_person():
    out = io.StringIO()
    pins(PinsOptions(f"{FEED},exposure=-12", area="320,180,60,60"), HandClock(), out)
    assert "How even is unknown" in out.getvalue()
    assert "no light above black" in out.getvalue()
