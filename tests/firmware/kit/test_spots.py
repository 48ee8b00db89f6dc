"""A reading on its way to another unit and back."""

import math
from contextlib import closing

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.instruments.told_pin import LONGEST, MOST_SENTENCES
from firmware.kit.spots import UNKNOWN_WIDTH, pin_part, plain, sentences, told_pin
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from overlays.measure.match.match import pair_of
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame

PLACES = ((60, 40), (160, 90), (250, 120))


def bench_spots(feed):
    session = open_session(feed, "log-v", Overrides(), clock=HandClock(), pace=Pace.STEP)
    with closing(session.feed):
        frame = session.feed.read(1.0)
        assert isinstance(frame, Frame)
        yard = session.read_with().yardstick(frame.signal, frame.shift)
        return [read_spot(frame, yard, SpotPlace(x, y, 20)) for x, y in PLACES]


@pytest.fixture(scope="module")
def spots():
    return bench_spots("bench:size=320x180"), bench_spots("bench:size=320x180,exposure=0.5")


def test_a_pair_is_the_same_across_the_network_to_the_last_digit(spots):
    for a, b in zip(*spots, strict=True):
        here, there = pair_of(a, b), pair_of(told_pin(pin_part(1, "", a)).spot(), b)
        assert (here.rgb_stops, here.why_not) == (there.rgb_stops, there.why_not)
        assert here.luminance_stops == there.luminance_stops
        if here.rgb_pm is not None:
            assert there.rgb_pm == pytest.approx(here.rgb_pm, rel=1e-12)


def test_of_a_mix_of_channels_no_smaller_width_is_claimed(spots):
    for spot in spots[0]:
        sent = told_pin(pin_part(1, "", spot)).spot()
        for gradient in (np.array([0.2, 0.7, 0.1]), np.array([1.0, -1.0, 0.0])):
            assert sent.errors.pm(gradient) >= spot.errors.pm(gradient) * (1.0 - 1e-9)


def test_all_that_a_reading_says_is_there_again(spots):
    for spot in spots[0]:
        sent = told_pin(pin_part(1, "", spot)).spot()
        for name in ("place", "percent", "stops", "stops_pm", "luminance", "rgb_linear", "bound"):
            assert getattr(sent, name) == getattr(spot, name), name
        for name in ("code", "clipped", "below_floor", "may_clip", "cut_off", "warnings"):
            assert getattr(sent, name) == getattr(spot, name), name


def test_a_width_that_nobody_knows_compares_nothing(spots, monkeypatch):
    spot = spots[0][1]
    monkeypatch.setattr(type(spot.errors), "pm", lambda _self, _gradient: math.inf)
    part = pin_part(1, "", spot)
    monkeypatch.undo()
    assert part.rgb_linear_pm == (UNKNOWN_WIDTH,) * 3
    assert pair_of(told_pin(part).spot(), spots[1][1]).rgb_stops is None


@given(st.text(max_size=2 * LONGEST), st.lists(st.text(max_size=9), max_size=40))
def test_words_are_bounded_and_text(words, every):
    assert len(plain(words)) <= LONGEST
    plain(f"{words}\ud800").encode()
    assert len(sentences(every)) == min(len(set(every)), MOST_SENTENCES)
