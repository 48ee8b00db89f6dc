"""What the watch view says beside the picture."""

from firmware.instruments.watch.answer import WatchAnswer
from overlays.draw.moment.report import Report, Row, Tone
from overlays.measure.watch.change import Mood
from overlays.measure.watch.events import short_words
from overlays.wording.numbers import UNKNOWN, signed

SETS = "set reference"
"""Label of the press that does, by which sentences name it."""

LATEST = 6
"""Events that the column names."""


def watch_report(answer: WatchAnswer) -> Report:
    """Where the pins are from their reference, and what happened, newest first."""
    if answer.mood is None:
        return Report("watch", UNKNOWN, "", f"press “{SETS}” where the light is as it should stay")
    rows = tuple(
        Row(told.shown, short_words(told.event)) for told in reversed(answer.events[-LATEST:])
    )
    words = answer.verdict
    if answer.worst is None:
        return Report(
            "watch", UNKNOWN, "", words, Tone.QUIET, rows, warnings=answer.warnings_so_far
        )
    pin, off = answer.worst
    tone = Tone.ALARM if answer.is_beyond or answer.mood is Mood.CHANGING else Tone.PLAIN
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
