"""A watch for the terminal: what is said while it goes on, and at its end."""

from firmware.answers.numbers import signed, stops_words
from firmware.answers.table import Line, notes
from firmware.instruments.watch.answer import Told, WatchAnswer
from firmware.instruments.watch.timing import Timing
from overlays.measure.watch.watch import Watch


def event_line(told: Told) -> str:
    """An event as it comes."""
    return f"{told.start.words}  {told.event.words}"


def status_line(watch: Watch, timing: Timing) -> str:
    """That nothing happened."""
    said = f"{timing.now().words}  {watch.mood.value}"
    worst = watch.worst_off_stops
    if worst is None:
        return said
    pin, off = worst
    return f"{said}: pin {pin} is {stops_words(off[0])} off its mark"


def watch_lines(answer: WatchAnswer) -> list[Line]:
    """How long, how many events, where the pins are now, warnings."""
    events = len(answer.events)
    count = "no event" if not events else f"{events} event{'s' if events > 1 else ''}"
    of = answer.origin.feed_name
    out = [f"Watched {answer.frames} frames of {of}, {answer.seconds:.1f} s: {count}."]
    for each in answer.pins:
        if each.off_stops is not None:
            level, red, blue = each.off_stops
            out.append(
                f"Pin {each.pin} is {stops_words(level)} off its mark, red {signed(red)}, blue "
                f"{signed(blue)}"
            )
    return [*out, *notes(answer.warnings)]
