"""A watch for the terminal: what is said while it goes on, and at its end."""

import numpy as np

from firmware.answers.table import Line, notes, sentences
from firmware.answers.terminal_numbers import signed, stops_words
from firmware.instruments.watch.answer import PinState, Told, WatchAnswer
from firmware.instruments.watch.timing import Timing
from overlays.measure.watch.change import Mood, Three, Tolerance
from overlays.measure.watch.watch import Watch
from overlays.wording.reasons import Reason


def event_line(told: Told) -> str:
    """An event as it comes: when it is sure, so that lines go forward in time, and when it was."""
    began, said = told.start.words, (told.said or told.start).words
    at = "" if began == said else f"at {began} "
    return f"{said}  {at}{told.event.words}"


def status_line(watch: Watch, timing: Timing, *, is_told: bool = False) -> str:
    """That nothing happened lately; what is off its reference, or was told of, is not steady."""
    mood, worst = watch.mood, watch.worst_off_stops
    words = "within tolerance" if mood is Mood.STEADY and is_told else mood.value
    if mood in {Mood.CLIPPED, Mood.DARK}:
        pin = next(each for each in watch.pins if watch.mood_of(each) is mood)
        words = f"pin {pin}: {words}"
    elif mood is Mood.STEADY and worst is not None and _is_beyond(worst[1], watch.tolerance):
        words = "not where the watch began"
    if worst is None:
        return f"{timing.now().words}  {words}"
    pin, off = worst
    return f"{timing.now().words}  {words}: pin {pin} is {stops_words(off[0])} off its reference"


def _is_beyond(off: Three, allowed: Tolerance) -> bool:
    return bool((np.abs(off) > allowed.stops).any())


def _bounded(pin: PinState) -> str:
    """That what a pin reads now is no more than a bound, or may be, and why."""
    is_doubted = pin.unknown is Reason.PERHAPS_CLIPPED
    if pin.unknown is None or (pin.bound is None and not is_doubted):
        return ""
    read = stops_words(pin.stops, bound=pin.bound)
    return f": {pin.unknown.words}, it reads {read} now, so its light may have moved further"


def watch_lines(answer: WatchAnswer) -> list[Line]:
    """How long, how many events, the verdict, where the pins are now, warnings."""
    events = len(answer.events)
    count = "no event" if not events else f"{events} event{'s' if events > 1 else ''}"
    of = answer.origin.feed_name
    watched = f"watched {answer.frames} frames of {of}, {answer.seconds:.1f} s: {count}"
    said = sentences([watched, answer.verdict] if answer.verdict else [watched])
    out: list[Line] = [" ".join(said)]  # one line, since it may be read alone
    for each in answer.pins:
        if each.off_stops is not None:
            level, red, blue = each.off_stops
            out.append(
                f"Pin {each.pin} is {stops_words(level)} off its reference, red {signed(red)}, "
                f"blue {signed(blue)}{_bounded(each)}"
            )
    return [*out, *notes(answer.warnings)]
