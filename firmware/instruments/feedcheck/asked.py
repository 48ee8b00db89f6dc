"""From the options of the command to readings of the feeds they name."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from firmware.errors import ArgumentError
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.feedcheck import FeedcheckOptions
from firmware.instruments.scene import Scene
from firmware.opening.overrides import overrides_of
from firmware.written.numbered import split_feed, split_place
from overlays.measure.feedcheck.readings import (
    CodeReading,
    What,
    reading_of_clip,
    reading_of_spot,
)

BEFORE = {
    What.CAP: "put the cap on the lens",
    What.CARD: "light the grey card, put it at mid-grey by a light meter, in the spot's place",
    What.CLIP: "point the camera at a lamp that it cannot hold, never at the sun",
    What.WHITE: "hold a white chip in the card's place, light and exposure as they are",
    What.DARK: "hold the grey card again and close the lens or the shutter by four stops",
}
PATCH_FIRST = "hold the saturated patch in the card's place, light and exposure as they are"


def wanted_feed(text: str, options: FeedcheckOptions) -> Wanted:
    """A frame of a feed, read as the options say."""
    named, place = split_place(text)
    feed, frame = split_feed(named)
    place = place or options.at
    at = () if place is None else (place,)
    return Wanted(feed, options.profile, overrides_of(options), frame, at)


@contextmanager
def scene_when_ready(
    text: str, before: str, options: FeedcheckOptions, opener: Opener
) -> Iterator[Scene]:
    """A frame of a feed; of a live one once the person has said that it shows what it should."""
    wanted = wanted_feed(text, options)
    kind = wanted.feed.partition(":")[0]
    if kind in {"v4l2", "camera"} and sys.stdin.isatty():
        sys.stderr.write(f"Now {before}; then press Enter. ")
        sys.stderr.flush()
        sys.stdin.readline()
    with opener.scene(wanted) as scene:
        yield scene


def reading_of(what: What, scene: Scene) -> CodeReading:
    """What a scene says of it."""
    if what is What.CLIP:
        return reading_of_clip(scene.census, scene.yard)
    assert scene.spot is not None  # a scene of a command has one
    return reading_of_spot(scene.spot, scene.yard)


def feeds_of(options: FeedcheckOptions) -> dict[What, str]:
    """What is to be read, and of which feed, in the order of the work."""
    named = {
        What.CAP: options.cap,
        What.CARD: options.card,
        What.CLIP: options.clip,
        What.WHITE: options.white,
        What.DARK: options.dark,
    }
    return {what: text for what, text in named.items() if text is not None}


def check_depth(bits: int, what: What, scene: Scene) -> None:
    """Raise `ArgumentError` where feeds are not the same signal: codes could not be compared."""
    if scene.frame.signal.bits != bits:
        raise ArgumentError(
            f"the {what.value} comes with {scene.frame.signal.bits} bits and the cap with {bits}: "
            "all readings must be of the same feed"
        )
