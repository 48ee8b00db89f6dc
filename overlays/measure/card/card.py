"""Finds the grey or white card in a picture: its largest flat, nearly neutral thing.

A wall of that kind passes for a card, as it would for an eye that sees nothing else; where nothing
is flat, light enough and nearly neutral, the answer is that there is none, and why.
"""

from dataclasses import dataclass

from overlays.measure.balance.balance import BalanceSettings, read_balance
from overlays.measure.chart.blobs import Blob, SmallPicture, flat_blobs, small_picture
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.frame import Frame
from overlays.signal.gamuts import Gamut
from overlays.wording.numbers import dial_words

NEARLY = 0.03
"""In u'v' from neutral: a card under light of 4300 K is 0.024 off for a camera dialled to 5600 K,
0.036 for one dialled to 6500 K (computed from the daylight and black-body loci of CIE 015:2018), so
this is a camera about one usual dial off; pale skin, wood and board are 0.034 and more."""

WHITEST_STOPS = 2.4
"""From mid-grey: a white card of 90 % rightly exposed lies at +2.32 (common practice, no source);
what is flat and brighter is more often sky or a window."""

MOST_TRIED = 12
"""Candidates that are read, the largest first: it bounds the time."""

MARGIN = 1.2
"""Edge of the square that a thing must be as large as, against that of the spot to be put on it."""

NOTHING_FLAT = "no card was found: nothing in the picture is flat and as large as the spot"
ONLY_BRIGHT = (
    "no card was found: what is flat and neutral is brighter than a white card should be, as sky "
    "or a window is; if it is the card, close the lens and look again"
)
NOTHING_NEUTRAL = "no card was found: what is flat in the picture is clipped, too dark or coloured"


@dataclass(frozen=True, slots=True)
class FoundCard:
    """Where a card is, or why none was found.

    Attributes
    ----------
    place:
        A spot in its middle; None where none was found.
    words:
        What the spot lies on, or why there is nothing to lie on; without a full stop.
    is_sure:
        Whether it is nearly neutral as the camera is set; else it is the largest flat thing that
        could be neutral under some other white light.
    """

    place: SpotPlace | None
    words: str
    is_sure: bool = False


def find_card(frame: Frame, yard: Yardstick, gamut: Gamut, size: int) -> FoundCard:
    """Find the card.

    Parameters
    ----------
    frame, yard:
        The picture, and what it is measured with.
    gamut:
        What its linear R, G, B mean.
    size:
        Edge of the spot that is to lie on it, in pixels of the frame.

    Returns
    -------
    FoundCard
        With no place, and the reason in words, where there is none.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> from overlays.signal.gamuts import published_gamut
    >>> bright, brighter = [940, 1019, 940], [1019, 414, 1019]  # and a card amidst them
    >>> frame = grey_frame([bright, brighter, bright], cell=32)
    >>> found = find_card(frame, VIDEO, published_gamut("BT.709"), size=12)
    >>> found.place.column, found.place.row, found.is_sure
    (48, 48, True)
    """
    picture = small_picture(frame, yard)
    candidates = large_enough(flat_blobs(picture, largest_share=1.0), picture, size)
    if not candidates:
        return FoundCard(None, NOTHING_FLAT)
    settings = BalanceSettings(gamut)
    too_bright, perhaps = False, None
    for blob in candidates[:MOST_TRIED]:
        place = inside(blob, picture.factor, size, frame)
        found = read_balance(frame, yard, place, settings)
        if found.refusal is not None or found.off_neutral is None:
            continue
        if found.spot.stops is None or found.spot.stops > WHITEST_STOPS:
            too_bright = True
        elif found.off_neutral <= NEARLY:
            return FoundCard(place, "the largest flat, nearly neutral thing", is_sure=True)
        elif perhaps is None:
            light = "" if found.cct is None else f", as under light of {dial_words(found.cct)}"
            words = f"the largest flat thing, but not neutral{light}: is it the card?"
            perhaps = FoundCard(place, words)
    return perhaps or FoundCard(None, ONLY_BRIGHT if too_bright else NOTHING_NEUTRAL)


def large_enough(blobs: list[Blob], picture: SmallPicture, size: int) -> list[Blob]:
    """Those that a spot lies on with room around it, the largest first.

    Parameters
    ----------
    blobs, picture:
        Flat places, and the small picture that they were found in.
    size:
        Edge of the spot, in pixels of the frame.

    Returns
    -------
    list[Blob]
        Largest first.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> picture = small_picture(grey_frame([[502]], cell=64), VIDEO)
    >>> small, large = Blob(20.0, 20.0, area=100.0), Blob(80.0, 45.0, area=900.0)
    >>> large_enough([small, large], picture, size=20) == [large]  # 24 pixels a side are needed
    True
    """
    least = (MARGIN * size / picture.factor) ** 2
    return sorted((b for b in blobs if b.area >= least), key=lambda blob: -blob.area)


def inside(blob: Blob, factor: int, size: int, frame: Frame) -> SpotPlace:
    """The spot in the middle of a thing, wholly inside the picture.

    Parameters
    ----------
    blob, factor:
        The thing, and how many pixels of the frame one of its own is.
    size:
        Edge of the spot, in pixels of the frame.
    frame:
        That it lies inside of.

    Returns
    -------
    SpotPlace
        In pixels of the frame.

    Examples
    --------
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[502]], cell=64)
    >>> inside(Blob(column=2.0, row=16.0, area=100.0), factor=2, size=16, frame=frame)
    SpotPlace(column=8, row=32, size=16, height=0)
    """
    half = size // 2
    column = min(max(round(blob.column * factor), half), frame.columns - size + half)
    row = min(max(round(blob.row * factor), half), frame.rows - size + half)
    return SpotPlace(column, row, size)
