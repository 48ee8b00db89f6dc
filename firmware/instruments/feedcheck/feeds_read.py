"""From the options of the command to readings of the feeds they name."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from firmware.errors import ArgumentError
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.feedcheck import FeedcheckOptions
from firmware.instruments.feedcheck.codes_kept import PlacedPatch
from firmware.instruments.scene import Scene
from firmware.opening.overrides import overrides_of
from firmware.written.numbered import split_feed, split_place
from overlays.errors import UnknownPatchError
from overlays.measure.chart.chart import read_chart
from overlays.measure.chart.find import find_chart
from overlays.measure.feedcheck.patch import PATCHES, SaturatedPatch, patch_of, saturated
from overlays.measure.feedcheck.readings import (
    CodeReading,
    What,
    reading_of_clip,
    reading_of_spot,
)
from overlays.wording.read_number import number_in, short

BEFORE = {
    What.CAP: "put the cap on the lens",
    What.CARD: "light the grey card, put it at mid-grey by a light meter, in the spot's place",
    What.CLIP: "point the camera at a lamp that it cannot hold, never at the sun",
    What.WHITE: "hold a white chip in the card's place, light and exposure as they are",
    What.DARK: "hold the grey card again and close the lens or the shutter by four stops",
}
MOST_PERCENT = 50.0
CHART_FIRST = "hold the chart in the card's place, light and exposure as they are"


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


def patches_of(options: FeedcheckOptions) -> list[tuple[str, str]]:
    """(feed, which patch it is) of each patch that is named.

    Raises
    ------
    ArgumentError
        There are not as many colours as patches.
    UnknownPatchError
        A colour is none of a patch.
    """
    feeds, colours = options.patch, options.patch_is or ("red",) * (len(options.patch) == 1)
    if len(feeds) != len(colours):
        raise ArgumentError(
            f"--patch is given {len(feeds)} times and --patch-is {len(colours)} times: say of each "
            "patch which it is, in the same order"
        )
    for colour in colours:
        if colour not in PATCHES:
            raise UnknownPatchError(
                f"unknown patch {colour!r}; one of {', '.join(PATCHES)} of the 24-patch chart is "
                "needed"
            )
    return list(zip(feeds, colours, strict=True))


def parse_share(text: str) -> float:
    """A share of 0 to 1, written in percent.

    Raises
    ------
    ArgumentError
        It is none.
    """
    found = number_in(text.strip().removesuffix("%"))
    if found is None or not 0.0 < found <= MOST_PERCENT:
        raise ArgumentError(
            f"--colours-within {short(text)}: percent above 0 and up to {MOST_PERCENT:g} are "
            'needed, as "5 %"'
        )
    return found / 100.0


def read_patches(
    options: FeedcheckOptions, opener: Opener, bits: int
) -> tuple[SaturatedPatch, ...]:
    """Every patch that is named, and those of a chart, one after the other.

    Raises
    ------
    ArgumentError
        One is clipped or too dark, or its feed has another depth.
    OverlayError
        No chart is found where one is named.
    """
    found = []
    for text, colour in patches_of(options):
        before = (
            f"hold the {colour} patch in the card's place, light and exposure as they are, or put "
            "the spot on it"
        )
        with scene_when_ready(text, before, options, opener) as scene:
            assert scene.spot is not None  # a scene of a command has one
            check_depth(bits, f"{colour} patch", scene)
            if scene.spot.hides_light:
                raise ArgumentError(
                    f"the {colour} patch is clipped or cut off where it is read ({text}): light it "
                    "as the card, and expose both alike"
                )
            found.append(patch_of(scene.spot, colour))
    if options.chart is not None:
        with scene_when_ready(options.chart, CHART_FIRST, options, opener) as scene:
            check_depth(bits, "chart", scene)
            found += [patch for patch, _ in chart_patches(scene)]
    return tuple(found)


def chart_patches(scene: Scene) -> list[PlacedPatch]:
    """The saturated patches of a chart with their places, wherever it lies; no clipped ones.

    Raises
    ------
    OverlayError
        No chart is found, or what is found is none.
    """
    found = find_chart(scene.frame, scene.yard, scene.gamut)
    read = read_chart(scene.frame, scene.yard, scene.gamut, found.reference, found.corners)
    wanted = saturated(read.reference)
    return [
        (patch_of(each.spot, each.name, read.reference), each.spot.place)
        for each in read.patches
        if each.name in wanted and not each.spot.hides_light
    ]


def check_depth(bits: int, what: str, scene: Scene) -> None:
    """Raise `ArgumentError` where feeds are not the same signal: codes could not be compared."""
    if scene.frame.signal.bits != bits:
        raise ArgumentError(
            f"the {what} comes with {scene.frame.signal.bits} bits and the cap with {bits}: "
            "all readings must be of the same feed"
        )
