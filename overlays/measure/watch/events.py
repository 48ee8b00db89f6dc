"""What a watch tells of a take: values, and what they are called in a sentence or a few words."""

from dataclasses import dataclass

from overlays.measure.watch.change import Between, Change, Happening, Three
from overlays.measure.watch.cut import CutTo
from overlays.measure.watch.follower import NO_LIGHT_STOPS

_ALIKE_STOPS = 0.1
_BEATING = "lamps beating with the frames; another shutter or frame rate ends it"
_CUTS = {
    CutTo.BLACK: "the picture went black from one frame to the next: a cut, or no light came in",
    CutTo.BACK: "a cut back to the picture before",
    CutTo.OTHER: "a cut: from one frame to the next it is another picture, with other things under "
    "the pins",
}


@dataclass(frozen=True, slots=True)
class PinChange:
    """What one event did to one pin: (level, red, blue) changed by, off the reference after.

    `means` are what both were reckoned from; None where they were not.
    """

    pin: int
    by_stops: Three
    off_stops: Three
    means: Between | None = None


@dataclass(frozen=True, slots=True)
class TakeEvent:
    """One change of light in a take, or what befell it otherwise.

    Attributes
    ----------
    change:
        What it is.
    start_ns, end_ns:
        As of `Event`, of the pin that saw it first and last.
    pins:
        What it did to each pin that saw it, by number; none of a cut and a gap.
    of_pins:
        How many pins are watched.
    over_gap:
        Whether it happened while there were no frames.
    period_s:
        Of a beat, from one top to the next; else 0.
    cut:
        What a cut leads to; else None.

    Examples
    --------
    >>> change = PinChange(1, by_stops=(-0.5, 0.0, 0.0), off_stops=(-0.5, 0.0, 0.0))
    >>> TakeEvent(Change.STEP, 0, 40_000_000, (change,), of_pins=2).words
    'pin 1 stepped by -0.50 st: a lamp switched, or something moved into it'
    """

    change: Change | Happening
    start_ns: int
    end_ns: int
    pins: tuple[PinChange, ...]
    of_pins: int
    over_gap: bool = False
    period_s: float = 0.0
    cut: CutTo | None = None

    @property
    def words(self) -> str:
        """What it is, in one plain sentence without its time."""
        return _words(self)


def _words(event: TakeEvent) -> str:
    if event.cut is not None:
        return _CUTS[event.cut]
    if event.change is Happening.GAP:
        return f"no frames for {_lasted_s(event):.1f} s: what the light did then was not seen"
    which = _which(event)
    if isinstance(event.change, Happening):
        return _befell(event, which)
    return _of_light(event, which)


def _lasted_s(event: TakeEvent) -> float:
    return (event.end_ns - event.start_ns) / 1e9


def _of_light(event: TakeEvent, which: str) -> str:
    by = _by(_greatest(event))
    if event.change is Change.PASSING:
        return f"something passed {which} ({by}) for {_lasted_s(event):.1f} s"
    if event.change is Change.DRIFT:
        causes = "a cloud, the sun, a lamp warming up, or lamps beating slowly with the frames"
        return f"{which} drifts, {by} so far: {causes}"
    if event.over_gap:
        return f"{which} came back {by} after a gap in the feed"
    return f"{which} stepped {by}: {_step_cause(event)}"


def _befell(event: TakeEvent, which: str) -> str:
    if event.change is Happening.CLIP:
        return f"{which}: clipped, what the light does there is not seen until it is out again"
    if event.change is Happening.LOST:
        return f"{which}: lost, there is no light that could be followed"
    if event.change is Happening.RETURNED:
        off = max(event.pins, key=lambda each: abs(each.off_stops[0])).off_stops[0]
        return f"{which} can be followed again, {off:+.2f} st off the reference"
    return (
        f"{which} swings by {_greatest(event).by_stops[0]:.2f} st every {event.period_s:.1f} s, "
        f"evenly: {_BEATING}"
    )


def words_without(event: TakeEvent) -> str:
    """An event in one sentence that says nothing of how far light changed.

    Parameters
    ----------
    event:
        Any.

    Returns
    -------
    str
        As `TakeEvent.words`, without what was measured.

    Examples
    --------
    >>> change = PinChange(1, (0.5, 0.0, 0.0), (0.5, 0.0, 0.0))
    >>> words_without(TakeEvent(Change.DRIFT, 0, 10**9, (change,), of_pins=2))
    'pin 1 drifts'
    """
    change, which = event.change, _which(event) if event.pins else ""
    if change is Happening.BEAT:
        every = f"every {event.period_s:.1f} s, evenly: {_BEATING}"
        return f"{which} {_verb(event, 'swing')} {every}"
    if change is Happening.RETURNED:
        return f"{which} can be followed again"
    if isinstance(change, Happening):
        return event.words
    if change is Change.PASSING:
        return f"something passed {which} for {_lasted_s(event):.1f} s"
    if change is Change.DRIFT:
        return f"{which} {_verb(event, 'drift')}"
    over_gap = "came back otherwise after a gap in the feed"
    return f"{which} {over_gap if event.over_gap else 'stepped'}"


def _verb(event: TakeEvent, verb: str) -> str:
    return verb if len(event.pins) > 1 and len(event.pins) != event.of_pins else f"{verb}s"


def short_words(event: TakeEvent) -> str:
    """An event in a few words, for lists.

    Parameters
    ----------
    event:
        Of light: with at least one pin.

    Returns
    -------
    str
        Such as "step -0.33, every pin".

    Examples
    --------
    >>> change = PinChange(1, by_stops=(-0.5, 0.0, 0.0), off_stops=(-0.5, 0.0, 0.0))
    >>> short_words(TakeEvent(Change.STEP, 0, 40_000_000, (change,), of_pins=2))
    'step -0.50, pin 1'
    """
    if event.cut is not None:
        return event.cut.value
    if event.change is Happening.GAP:
        return f"no frames, {_lasted_s(event):.1f} s"
    which, greatest = _which(event), _greatest(event)
    if event.change is Happening.BEAT:
        return f"swings {greatest.by_stops[0]:.2f}, {which}"
    if isinstance(event.change, Happening):
        said = {Happening.CLIP: "clipped", Happening.LOST: "lost", Happening.RETURNED: "back"}
        return f"{said[event.change]}, {which}"
    level = greatest.by_stops[0]
    by = "dark" if level <= NO_LIGHT_STOPS / 2.0 else f"{level:+.2f}"
    if max(map(abs, greatest.by_stops[1:])) > abs(level):
        by = f"R {greatest.by_stops[1]:+.2f}, B {greatest.by_stops[2]:+.2f}"
    what = {Change.DRIFT: "drift", Change.STEP: "step", Change.PASSING: "passed"}[event.change]
    return f"{what} {by}, {which}"


def _greatest(event: TakeEvent) -> PinChange:
    return max(event.pins, key=lambda each: max(map(abs, each.by_stops)))


def _which(event: TakeEvent) -> str:
    numbers = [str(each.pin) for each in event.pins]
    if len(numbers) == event.of_pins > 1:
        return "every pin"
    return f"pin {numbers[0]}" if len(numbers) == 1 else f"pins {', '.join(numbers)}"


def _by(change: PinChange) -> str:
    level, red, blue = change.by_stops
    if level <= NO_LIGHT_STOPS / 2.0:
        return "down to no light"
    if abs(level) >= max(abs(red), abs(blue)):
        return f"by {level:+.2f} st"
    return f"in colour, red {red:+.2f} st, blue {blue:+.2f} st"


def _step_cause(event: TakeEvent) -> str:
    levels = [each.by_stops[0] for each in event.pins]
    colours = max(max(abs(v) for v in each.by_stops[1:]) for each in event.pins)
    if len(event.pins) == event.of_pins > 1 and max(levels) - min(levels) <= _ALIKE_STOPS:
        return "balance or a light's colour" if colours > max(map(abs, levels)) else "iris or gain"
    if event.of_pins == 1:
        return "iris, a lamp switched, or something moved into it"
    return "a lamp switched, or something moved into it"
