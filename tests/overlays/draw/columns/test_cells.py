from dataclasses import replace

import pytest

from overlays.draw.columns.cells import (
    LONGEST_ALARM,
    alarm_words,
    channel_cells,
    range_cells,
)
from overlays.draw.layout.theme import RED_WORDS, TEXT
from overlays.wording.numbers import UNKNOWN


def test_channels_stand_in_their_order(measured):
    spot = measured().spot
    assert [cell[0][0] for cell in channel_cells(spot)] == ["R", "G", "B"]
    assert [cell[1] for cell in channel_cells(None)] == [UNKNOWN] * 3


def test_what_is_not_known_is_dashes_everywhere():
    values = [cell[1] for row in range_cells(None) for cell in row]
    assert values == [UNKNOWN] * 7


def test_no_headroom_and_clipping_are_marked(measured):
    reading = replace(measured().range, fullest="R")
    safe = replace(reading, headroom_stops=1.5, clipped_rgb=(0.0, 0.00005, 0.0))
    assert all(cell[2] == TEXT for row in range_cells(safe) for cell in row)
    hot = replace(reading, headroom_stops=0.0, clipped_rgb=(0.2, 0.0, 0.0))
    marked = [cell[0] for row in range_cells(hot) for cell in row if cell[2] == RED_WORDS]
    assert marked == ["headroom R, st", "R clipped"]


@pytest.mark.parametrize(("share", "marked"), [(0.000099, False), (0.0001, True)])
def test_a_channel_is_marked_from_a_hundredth_of_a_percent_on(measured, share, marked):
    reading = replace(measured().range, headroom_stops=1.5, clipped_rgb=(0.0, share, 0.0))
    colours = [cell[2] for row in range_cells(reading) for cell in row]
    assert (RED_WORDS in colours) is marked


@pytest.mark.parametrize(("cut", "shown"), [("", ("−7.76", "1.7")), ("black", ("≤−7.8", UNKNOWN))])
def test_a_darkest_thing_that_is_cut_off_has_the_sign_of_a_bound(measured, cut, shown):
    reading = measured().range
    spot = replace(reading.darkest.spot, stops=-8.0, stops_pm=None if cut else 0.5, cut_off=cut)
    dark = replace(reading.darkest, stops=-7.76, spot=spot)
    read = replace(reading, darkest=dark, footroom_stops=None if cut else 1.71)
    said = {label: value for row in range_cells(read) for label, value, _ in row}
    assert (said["darkest, st"], said["footroom, st"]) == shown


def test_what_may_be_clipped_says_so_where_its_pm_would_stand(measured):
    spot = measured().spot
    assert alarm_words(spot) == ""
    doubted = replace(spot, may_clip="RG")
    assert (doubted.stops_pm, alarm_words(doubted)) == (None, "may be clipped: no ±")
    assert len(alarm_words(doubted)) <= len(LONGEST_ALARM)
