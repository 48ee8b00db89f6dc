"""What the watch view says beside the picture."""

from firmware.instruments.watch.answer import WatchAnswer
from overlays.draw.moment.report import Report, Row, Tone
from overlays.measure.watch.change import Mood
from overlays.measure.watch.events import short_words
from overlays.wording.numbers import UNKNOWN, signed

LATEST = 6
"""Events that the column names."""


def watch_report(answer: WatchAnswer) -> Report:
    """Where the pins are from their reference, and what happened, newest first."""
    if answer.mood is None:
        return Report("watch", UNKNOWN, "", "begin the watch where the light is as it should stay")
    rows = tuple(
        Row(told.shown, short_words(told.event)) for told in reversed(answer.events[-LATEST:])
    )
    words = answer.mood.value
    if answer.mood in {Mood.CLIPPED, Mood.DARK}:
        pins = [str(each.pin) for each in answer.pins if each.mood is answer.mood]
        words = f"pin {', '.join(pins)}: {words}"
    if answer.worst is None:
        return Report(
            "watch", UNKNOWN, "", words, Tone.QUIET, rows, warnings=answer.warnings_so_far
        )
    pin, off = answer.worst
    allowed = answer.tolerance
    beyond = abs(off[0]) > allowed.level_stops or max(map(abs, off[1:])) > allowed.balance_stops
    tone = Tone.ALARM if beyond or answer.mood is Mood.CHANGING else Tone.PLAIN
    if beyond and answer.mood is Mood.STEADY:
        words = f"pin {pin} is beyond ±{allowed.level_stops:.2f} st"
    elif beyond:
        words += f": pin {pin} is beyond ±{allowed.level_stops:.2f} st"
    elif answer.mood is Mood.STEADY and answer.events:
        words = f"within ±{allowed.level_stops:.2f} st"
    beside = f"st  ·  R {signed(off[1], 2)}  ·  B {signed(off[2], 2)} against G"
    bounded = [str(each.pin) for each in answer.pins if each.bound is not None]
    if bounded:
        which = f"pin {bounded[0]}" if len(bounded) == 1 else f"pins {', '.join(bounded)}"
        words += f"; {which} clipped or cut off: the light may move there unseen"
    heading = f"watch: pin {pin} off its reference"
    return Report(
        heading,
        signed(off[0], 2),
        beside,
        words,
        tone,
        rows,
        warnings=answer.warnings_so_far,
    )
