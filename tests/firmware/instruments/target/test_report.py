"""What the target says beside the picture."""

from firmware.instruments.target.report import farthest_words
from overlays.measure.expose.excursions import Excursions
from overlays.wording.numbers import UNKNOWN


def test_how_far_it_was_off_is_a_number_of_stops_or_said_not_to_be_known():
    assert farthest_words(Excursions(farthest_stops=0.8, farthest_pm=0.05)) == "+0.80 st"
    assert farthest_words(Excursions()) == UNKNOWN
