"""Pins followed through a take, and when their light changed."""

from typing import Annotated

from firmware.written.declared import Argument, Command, Option, options
from firmware.written.options import FEED_WORDS, JsonOption, Pins, ReadOptions


@options
class WatchOptions(ReadOptions, JsonOption):
    """What `midgrey watch` takes; without `frames` and `seconds` it goes on to the feed's end."""

    feed: Annotated[str, Argument("FEED", FEED_WORDS)]
    at: Pins = ()
    tolerance: Annotated[str | None, Option("--tolerance", "ST", 'Of the level, as "0.1 st"')] = (
        None
    )
    balance: Annotated[str | None, Option("--balance", "ST", "Of red and blue against green")] = (
        None
    )
    frames: Annotated[int | None, Option("--frames", "N", "End after N frames", least=1)] = None
    seconds: Annotated[float | None, Option("--seconds", "S", "End after so long")] = None


COMMAND = Command(
    "watch",
    "Follow pins through a take; say when light drifted, stepped, or something passed.",
    WatchOptions,
)
