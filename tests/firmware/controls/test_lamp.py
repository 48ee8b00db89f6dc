"""The lamp over gpiozero's mock pins, and what it has to say of a screen."""

from types import SimpleNamespace

import pytest
from gpiozero.pins.mock import MockFactory

from firmware.clock import HandClock
from firmware.controls.lamp import HALF_NS, Glow, Lamp, glow_of
from firmware.errors import ScreenError
from overlays.draw.layout.views import TraceKind
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Face, Shown, Source
from tests import views


@pytest.fixture
def factory():
    made = MockFactory()
    yield made
    made.reset()


@pytest.fixture
def clock():
    return HandClock()


@pytest.fixture
def lamp(factory, clock):
    made = Lamp(18, clock, factory)
    yield made
    made.close()


def shown(face, headroom=1.0, tone=None):
    """A moment; only the range and the report of what was measured matter here."""
    measured = SimpleNamespace(
        range=None if headroom is None else SimpleNamespace(headroom_stops=headroom),
        said=None if tone is None else SimpleNamespace(report=SimpleNamespace(tone=tone)),
    )
    source = Source("", "", "")
    return Shown(views.WATCH, TraceKind.LUMA, measured, face, "", source)


@pytest.mark.parametrize(
    ("moment", "glow"),
    [
        (shown(Face.LIVE), Glow.DARK),
        (shown(Face.LIVE, headroom=None), Glow.DARK),
        (shown(Face.LIVE, headroom=0.0), Glow.LIT),
        (shown(Face.HELD, headroom=0.0), Glow.LIT),
        (shown(Face.LIVE, tone=Tone.PLAIN), Glow.DARK),
        (shown(Face.LIVE, tone=Tone.ALARM), Glow.LIT),
        (shown(Face.STALE, headroom=0.0), Glow.FLASHING),
        (shown(Face.STALLED, headroom=0.0), Glow.FLASHING),
        (shown(Face.LOST, tone=Tone.ALARM), Glow.FLASHING),
        (shown(Face.STARTING, headroom=0.0), Glow.DARK),
    ],
)
def test_what_it_says_of_a_moment(moment, glow):
    assert glow_of(moment) is glow


def test_before_the_first_frame_it_is_dark():
    moment = Shown(views.EXPOSE, TraceKind.LUMA, None, Face.STARTING, "", Source("", "", ""))
    assert glow_of(moment) is Glow.DARK


def test_it_is_dark_at_first_then_lit_then_dark_again(lamp, factory):
    pin = factory.pin(18)
    assert (pin.function, pin.state) == ("output", 0)
    lamp.say(Glow.LIT)
    assert pin.state == 1
    lamp.turn()
    assert pin.state == 1
    lamp.say(Glow.DARK)
    assert pin.state == 0


def test_it_flashes_once_a_second_from_the_moment_it_is_told(lamp, factory, clock):
    pin = factory.pin(18)
    clock.move(0.7)
    seen = []
    for _ in range(100):
        lamp.say(Glow.FLASHING)
        seen.append(pin.state)
        clock.move(0.02)
        lamp.turn()
    assert seen == ([1] * 25 + [0] * 25) * 2
    assert HALF_NS == 25 * 20_000_000


def test_it_is_switched_only_where_it_changes(lamp, clock):
    calls = []
    lamp._led = SimpleNamespace(on=lambda: calls.append(1), off=lambda: calls.append(0))
    for glow in (Glow.DARK, Glow.LIT, Glow.LIT, Glow.FLASHING, Glow.DARK):
        lamp.say(glow)
        lamp.turn()
        clock.move(0.02)
    assert calls == [1, 0]
    lamp._led.close = lambda: None


@pytest.mark.usefixtures("lamp")
def test_a_pin_in_use_is_one_sentence(factory, clock):
    with pytest.raises(ScreenError, match="buttons and lamp cannot be had"):
        Lamp(18, clock, factory)


def test_closing_twice_frees_the_pin_once(factory, clock):
    made = Lamp(18, clock, factory)
    made.say(Glow.LIT)
    made.close()
    made.close()
    Lamp(18, clock, factory).close()
