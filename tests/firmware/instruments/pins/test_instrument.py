import numpy as np
import pytest

from firmware.actions import Press
from firmware.errors import ArgumentError
from firmware.instruments.contract import Around
from firmware.instruments.desk import Desk
from firmware.instruments.pins.instrument import EVERY_NS, Asked, PinsInstrument, PinsView
from firmware.profiles.shelf import load_profile
from overlays.errors import SpotOutsideError
from overlays.measure.spot.spot import SpotPlace
from tests.asking import asked, printed

PINS = PinsInstrument()
FEED = "bench:size=640x360,cloud=0,signal=yuv422-10,curve=V-Log"


def read(**how):
    return asked("pins", feed=FEED, **how)


def test_the_ratio_of_white_and_grey():
    found = read(at=("390,156,20", "320,180,20"))
    (ratio,) = found["ratios"]
    assert ratio["pins"] == [1, 2]
    assert ratio["stops"] == pytest.approx(2.2051, abs=0.02)  # 0.83 against 0.18
    assert ratio["ratio"] == pytest.approx(4.61, abs=0.1)
    assert ratio["key_over_fill_stops"] == pytest.approx(1.852, abs=0.03)  # log2(4.611 - 1)


def test_an_even_card():
    found = read(even="320,180,60,60")
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
        ({"even": "1,2,3"}, "no area"),
        ({"at": ("0.5,0.5",) * 9}, "at most 8"),
    ],
)
def test_what_cannot_be_done_is_said(how, said):
    with pytest.raises(ArgumentError, match=said):
        read(**how)


def test_an_area_outside():
    with pytest.raises(SpotOutsideError):
        read(even="10,10,100,100")


def test_for_a_person():
    places = ("390,156,20", "320,180,20")
    said = printed("pins", feed=FEED, at=places, even="320,180,60,60")
    assert "1 to 2: +2.2" in said
    assert "4.6:1" in said
    assert "Even within ±0.0" in said


def test_what_is_not_known_is_said_to_a_person():
    said = printed("pins", feed=f"{FEED},exposure=-12", even="320,180,60,60")
    assert "How even is unknown" in said
    assert "no light above black" in said


def test_tab_asks_for_the_evenness_and_back_and_its_map_leaves_stripes_alone():
    around = Around(Desk(), load_profile("log-v"), 1920)
    start = PINS.settings(load_profile("log-v"), 25.0)
    even, desk = PINS.pressed(start, Press.NEXT_STRIPE, around)
    assert (start.asked, even.asked) == (Asked.RATIOS, Asked.EVENNESS)
    assert desk is around.desk
    assert PINS.pressed(even, Press.NEXT_STRIPE, around)[0] == start
    for press in (Press.STRIPE_UP, Press.STRIPE_DOWN):
        assert PINS.pressed(even, press, around) == (even, around.desk)
        assert PINS.pressed(start, press, around) is None


def test_evenness_is_asked_for_once_a_second_and_pins_at_every_look():
    assert PINS.every_ns(PinsView()) == 0
    assert PINS.every_ns(PinsView(Asked.EVENNESS)) == EVERY_NS == 1_000_000_000


@pytest.mark.parametrize(
    ("pins", "of"),
    [(0, "evenness of the spot"), (1, "evenness of the spot"), (3, "evenness, pins 2 to 3")],
)
def test_what_the_evenness_is_of_is_said(lit, pins, of):
    places = tuple((str(n), SpotPlace(100 + 60 * n, 100, 20)) for n in range(pins))
    scene = lit(np.full((240, 320, 3), 0.18), places)
    answer = PINS.measure(scene, PinsView(Asked.EVENNESS), None)
    assert answer.evenness.of == of
