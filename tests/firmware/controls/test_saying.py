"""What a lamp that is alone says of a moment; its rhythms can be told apart and do no harm."""

from itertools import combinations
from types import SimpleNamespace

import pytest

from firmware.controls.saying import COLOURS, COUNTS, PAIR, Sayer, Saying, rhythm
from overlays.draw.layout.views import TraceKind
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert, Face, Shown, Source
from tests import views

HARM = 3
"""Flashes in any one second that do no harm yet (W3C, WCAG 2.2, success criterion 2.3.1)."""


def moment(face=Face.LIVE, off=0.0, headroom=1.0, alert=None, *, clipped=False, pm=0.02):
    """A moment whose spot is so far off mid-grey; None where it is not read."""
    spot = None
    if off is not None:
        spot = SimpleNamespace(
            stops=off, stops_pm=pm, bound=None, unknown=None, hides_light=clipped
        )
    range_ = SimpleNamespace(headroom_stops=headroom)
    measured = SimpleNamespace(spot=spot, range=range_, place=None, yard=None)
    source = Source("", "", "")
    return Shown(views.EXPOSE, TraceKind.LUMA, measured, face, "", source, alert=alert)


GRAVE, SMALL = Alert("power", Tone.ALARM), Alert("card", Tone.PLAIN)


@pytest.mark.parametrize(
    ("shown", "said"),
    [
        (moment(), (Saying.IN,)),
        (moment(off=0.5), (Saying.OVER,)),
        (moment(off=-0.5), (Saying.UNDER,)),
        (moment(headroom=0.0), (Saying.CLIPPING, Saying.IN)),
        (moment(off=1.0, clipped=True), (Saying.CLIPPING, Saying.OVER)),
        (moment(off=None, headroom=0.0), (Saying.CLIPPING,)),
        (moment(off=None), (Saying.NOTHING,)),
        (moment(off=0.1, pm=0.9), (Saying.NOTHING,)),
        (moment(Face.HELD), (Saying.IN,)),
        (moment(Face.LAMP), (Saying.IN,)),
        (moment(Face.LOST), (Saying.NO_FEED,)),
        (moment(Face.STALE), (Saying.NO_FEED,)),
        (moment(Face.STALLED), (Saying.FAULT,)),
        (moment(Face.STARTING), (Saying.NOTHING,)),
        (moment(alert=SMALL), (Saying.IN,)),
        (moment(alert=GRAVE), (Saying.FAULT,)),
        (moment(Face.LOST, alert=GRAVE), (Saying.FAULT,)),
    ],
)
def test_what_it_says_of_a_moment(shown, said):
    assert Sayer().of(shown) == said


def test_it_remembers_the_side_and_forgets_it_with_the_picture():
    sayer = Sayer()
    edge = [sayer.of(moment(off=off)) for off in (0.0, 0.345, 0.5, 0.345)]
    assert edge == [(Saying.IN,), (Saying.IN,), (Saying.OVER,), (Saying.OVER,)]
    sayer.of(moment(Face.LOST))
    assert sayer.of(moment(off=0.325)) == (Saying.IN,)


def lit_at(saying, step_ms=10, rounds=3):
    """Lit or not, every so many milliseconds over rounds of a rhythm."""
    one = [lit for lit, length in rhythm(saying) for _ in range(length // step_ms)]
    return one * rounds


def rises(lights):
    return [n for n in range(1, len(lights)) if lights[n] and not lights[n - 1]]


@pytest.mark.parametrize("saying", Saying)
def test_no_rhythm_flashes_more_often_than_does_no_harm(saying):
    starts = rises([False, *lit_at(saying, rounds=5)])
    for first in starts:
        assert sum(first <= each < first + 100 for each in starts) <= HARM - 1  # one for a press


@pytest.mark.parametrize("saying", COUNTS)
def test_counts_can_be_counted(saying):
    assert sum(lit for lit, _ in rhythm(saying)) == COUNTS[saying]
    assert sorted(COUNTS.values()) == [1, 2, 3, 4]
    assert min(length for _, length in rhythm(saying)) >= 300
    assert rhythm(saying)[-1] == (False, 900)


def test_steady_is_fine_and_nothing_else_is_steady():
    assert [saying for saying in Saying if all(lit_at(saying))] == [Saying.IN]


def test_any_two_differ_by_rhythm_alone_and_by_colour():
    for one, other in combinations(Saying, 2):
        assert rhythm(one) != rhythm(other)
        if {one, other} != {Saying.NO_FEED, Saying.NOTHING}:
            assert COLOURS[one] != COLOURS[other]
    assert set(COLOURS) == set(PAIR) == set(Saying)
    assert all(any(lights) for lights in (*COLOURS.values(), *PAIR.values()))
