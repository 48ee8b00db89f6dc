"""What events are called, in a sentence and in a few words."""

import pytest

from overlays.measure.watch.change import Change, Happening
from overlays.measure.watch.cut import CutTo
from overlays.measure.watch.events import PinChange, TakeEvent, short_words


@pytest.mark.parametrize(
    ("change", "by", "said"),
    [
        (Change.DRIFT, (-0.12, 0.0, 0.0), "drift -0.12, pin 2"),
        (Change.STEP, (0.3, 0.0, 0.0), "step +0.30, pin 2"),
        (Change.PASSING, (-14.0, 0.0, 0.0), "passed dark, pin 2"),
        (Change.STEP, (0.0, 0.2, -0.1), "step R +0.20, B -0.10, pin 2"),
    ],
)
def test_short_words(change, by, said):
    event = TakeEvent(change, 0, 0, (PinChange(2, by, by),), 3)
    assert short_words(event) == said


def event(change, by=(0.0, 0.0, 0.0), pins=(2,), of_pins=3, **more):
    changes = tuple(PinChange(pin, by, (-0.25, 0.0, 0.0)) for pin in pins)
    return TakeEvent(change, 10**9, 4 * 10**9, changes, of_pins, **more)


BEATING = "lamps beating with the frames; another shutter or frame rate ends it"


@pytest.mark.parametrize(
    ("made", "words", "short"),
    [
        (
            event(Happening.CLIP),
            "pin 2: clipped, what the light does there is not seen until it is out again",
            "clipped, pin 2",
        ),
        (
            event(Happening.LOST, pins=(1, 2)),
            "pins 1, 2: lost, there is no light that could be followed",
            "lost, pins 1, 2",
        ),
        (
            event(Happening.RETURNED, pins=(1, 2, 3)),
            "every pin can be followed again, -0.25 st off the reference",
            "back, every pin",
        ),
        (
            event(Happening.BEAT, (0.3, 0.0, 0.0), period_s=12.5),
            f"pin 2 swings by 0.30 st every 12.5 s, evenly: {BEATING}",
            "swings 0.30, pin 2",
        ),
        (
            event(Happening.GAP, pins=()),
            "no frames for 3.0 s: what the light did then was not seen",
            "no frames, 3.0 s",
        ),
        (
            event(Happening.CUT, pins=(), cut=CutTo.BLACK),
            "the picture went black from one frame to the next: a cut, or no light came in",
            "cut to black",
        ),
        (
            event(Change.STEP, (0.3, 0.0, 0.0), over_gap=True),
            "pin 2 came back by +0.30 st after a gap in the feed",
            "step +0.30, pin 2",
        ),
    ],
)
def test_what_else_befalls_a_take(made, words, short):
    assert (made.words, short_words(made)) == (words, short)


@pytest.mark.parametrize(
    ("levels", "red", "cause"),
    [
        ((0.30, 0.31), 0.0, "iris or gain"),
        ((0.30, 0.31), 0.305, "iris or gain"),  # as much of the level as of a colour
        ((0.30, 0.31), 0.5, "balance or a light's colour"),
        ((-0.30, -0.31), 0.1, "iris or gain"),
        ((0.30, 0.9), 0.0, "a lamp switched"),
    ],
)
def test_what_changes_every_pin_alike_is_the_camera(levels, red, cause):
    changes = tuple(PinChange(n, (by, red, 0.0), (0.0, 0.0, 0.0)) for n, by in enumerate(levels, 1))
    assert cause in TakeEvent(Change.STEP, 0, 10**9, changes, 2).words
