"""The lighting ratio and the evenness beside the picture."""

import numpy as np
import pytest

from firmware.instruments.pins.instrument import Asked, PinsInstrument, PinsView
from firmware.instruments.pins.report import HOW, _ratio_words
from overlays.draw.moment.layers import EvennessMap, PinFlags
from overlays.measure.pins.lighting import Ratio
from overlays.measure.spot.spot import SpotPlace
from overlays.wording.numbers import UNKNOWN
from overlays.wording.reasons import Bound
from tests.colour_frames import card

PINS = PinsInstrument()
EVENNESS = PinsView(Asked.EVENNESS)
SPOT = SpotPlace(80, 48, 40)
CORNERS = (SpotPlace(8, 88, 16), SpotPlace(152, 8, 16))


def halves(left, right):
    light = np.full((96, 160, 3), float(right))
    light[:, :80] = left
    return light


def fall():
    """A stop from the left edge to the right one."""
    light = 0.2 * 2.0 ** -np.linspace(0.0, 1.0, 160)[None, :, None]
    return np.broadcast_to(light, (96, 160, 3))


@pytest.fixture
def answered(lit):
    def made(light, *places, settings=EVENNESS, spot=SPOT, names=()):
        names = names or ("",) * len(places)
        scene = lit(light, tuple(zip(names, places, strict=True)), spot)
        return PINS.measure(scene, settings, None)

    return made


def test_one_pin_is_compared_with_the_spot(answered):
    light, key = halves(0.36, 0.18), SpotPlace(40, 48, 24)
    found = answered(light, key, settings=PinsView(), spot=SpotPlace(120, 48, 24), names=("key",))
    report = PINS.report(found)
    assert float(report.main) == pytest.approx(1.0, abs=0.02)
    assert "the spot" in report.words
    assert [row.label for row in report.rows] == ["1 key"]


def test_two_pins_are_compared_with_each_other_and_all_others_with_the_first(answered):
    light = halves(0.36, 0.09)
    places = (SpotPlace(40, 48, 24), SpotPlace(120, 48, 24), SpotPlace(40, 20, 24))
    report = PINS.report(answered(light, *places, settings=PinsView()))
    assert report.heading == "lighting ratio"
    assert float(report.main) == pytest.approx(2.0, abs=0.03)  # log2(0.36 / 0.09)
    assert report.beside.endswith("  ·  4:1")
    # Key and fill fall together on pin 1: the key alone is 3 times the fill, log2 3 over it.
    assert "the key is +1.6 st over it" in report.words
    assert [row.label for row in report.rows] == ["1", "2  −1.00 st", "3  +1.00 st"]
    assert report.rows[1].value == "2.00 under 1, 4:1"
    assert report.rows[0].value == "+1.00 st"


def test_of_pins_that_are_nearly_alike_no_key_is_told(answered):
    # 0.008 stops of light apart: what their ± leaves of that is a key of any number of stops.
    places = (SpotPlace(40, 48, 10), SpotPlace(120, 48, 10))
    found = answered(halves(0.181, 0.18), *places, settings=PinsView())
    (ratio,) = found.ratios.values()
    assert ratio.stops > ratio.pm  # surely the brighter, and yet
    assert "the key" not in PINS.report(found).words


def test_a_pin_without_light_leaves_the_ratio_unknown(answered):
    places = (SpotPlace(40, 48, 24), SpotPlace(120, 48, 24))
    report = PINS.report(answered(halves(0.2, 0.0), *places, settings=PinsView()))
    assert report.main == UNKNOWN
    assert UNKNOWN in report.rows[1].value


def test_beside_clipped_light_the_ratio_is_at_least_so_much_and_has_no_half_width(answered):
    places = (SpotPlace(40, 48, 24), SpotPlace(120, 48, 24))
    report = PINS.report(answered(halves(90.0, 0.18), *places, settings=PinsView()))
    assert report.heading == "lighting ratio: at least"
    assert 7.0 < float(report.main) < 9.0  # from mid-grey to where V-Log's codes end
    assert "±" not in report.beside
    assert "the key is" in report.words
    assert len(report.rows) == 2


def test_without_a_pin_it_says_how_to_set_one(answered):
    report = PINS.report(answered(fall(), settings=PinsView()))
    assert report.main == UNKNOWN
    assert report.words.startswith("set a pin on the lit side")
    assert report.rows == ()


@pytest.mark.parametrize("places", [(), CORNERS[:1]])
def test_without_two_pins_evenness_is_the_spots_and_says_how_to_span_more(answered, places):
    found = answered(fall(), *places)
    assert found.evenness.even.place == SPOT
    report = PINS.report(found)
    assert report.heading == "evenness of the spot"
    assert report.notes[-1] == HOW


def test_the_figure_and_where_it_comes_from(answered):
    found = answered(fall(), *CORNERS)
    even = found.evenness.even
    assert even.place == SpotPlace(80, 48, 160, 96)
    assert even.map_stops.shape == (3, 6)
    # Cells are 160/6 pixels of 159 wide: middles at 13.3, 40 ... of a fall of 2**-x, by arithmetic.
    cells = 2.0 ** -((160.0 / 12.0 + 160.0 / 6.0 * np.arange(6)) / 159.0)
    expected = max(abs(np.log2(cells / cells.mean())))
    report = PINS.report(found)
    assert report.heading == "evenness, pins 1 to 2"
    assert float(report.main.removeprefix("±")) == pytest.approx(expected, abs=0.02)
    assert report.words.startswith(f"even within {report.main} st; brightest ")
    assert " left, darkest " in report.words
    assert report.words.endswith(" right")
    assert [row.label for row in report.rows] == ["brightest, st", "darkest, st", "spread, st"]
    assert report.notes == ()


def test_a_hot_middle_is_called_so(answered):
    light = np.full((96, 160, 3), 0.2)
    light[40:56, 70:90] = 0.3
    found = answered(light, SpotPlace(40, 20, 8), SpotPlace(120, 76, 8))
    assert found.evenness.even.map_stops.shape == (4, 6)
    assert "brightest in the middle" in PINS.report(found).words


def test_a_dark_area_is_a_sentence(answered):
    dark = np.full((96, 160, 3), 0.2)
    dark[:, 90:] = 0.0
    report = PINS.report(answered(dark, *CORNERS))
    assert report.main == UNKNOWN
    assert "no light above black" in report.words


def test_an_area_outside_is_a_sentence_and_no_map(answered):
    found = answered(fall(), CORNERS[0], SpotPlace(300, 40, 8))
    assert PINS.report(found).main == UNKNOWN
    assert PINS.report(found).words
    assert found.evenness.even is None
    assert PINS.layers(found) == ()


def test_an_area_too_small_is_a_sentence(answered):
    found = answered(fall(), SpotPlace(8, 8, 4), SpotPlace(8, 8, 4))
    assert "too small" in PINS.report(found).words


def test_pins_lie_on_the_picture_or_a_map_does(answered):
    (pins,) = PINS.layers(answered(fall(), *CORNERS, settings=PinsView()))
    assert isinstance(pins, PinFlags)
    assert [flag.label for flag in pins.pins] == ["1", "2"]
    (even,) = PINS.layers(answered(fall(), *CORNERS))
    assert isinstance(even, EvennessMap)


def test_a_pin_outside_of_a_smaller_picture_keeps_the_numbers_of_the_others(lit):
    places = (("a", SpotPlace(300, 40, 8)), ("b", SpotPlace(40, 48, 8)))
    scene = lit(card([0.18] * 3, 96, 160), places)
    answer = PINS.measure(scene, PinsView(), None)
    assert list(answer.spots) == [2]
    assert PINS.report(answer).main == UNKNOWN


@pytest.mark.parametrize(
    ("ratio", "said"),
    [
        (None, UNKNOWN),
        (Ratio(0.0, 0.01), "like pin 1"),
        (Ratio(-0.0049, 0.01), "like pin 1"),  # what would round to nothing
        (Ratio(0.0051, 0.01), "0.01 under 1, "),  # pin 1 is the brighter
        (Ratio(-1.0, 0.01), "1.00 over 1, "),
        (Ratio(0.0, None, Bound.AT_LEAST), "at least 0.0 under 1, "),  # pin 1 is clipped
        (Ratio(-2.0, None, Bound.AT_MOST), "at least 2.0 over 1, "),  # the other is
    ],
)
def test_a_pin_lies_over_or_under_the_first_or_like_it(ratio, said):
    words = _ratio_words(ratio)
    assert words.startswith(said)
    if ratio is not None and said != "like pin 1":
        assert words.endswith(ratio.spoken)
