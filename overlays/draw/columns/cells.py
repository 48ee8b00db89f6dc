"""The small numbers beside the picture: a label, the number, and its colour."""

from overlays.draw.layout.theme import RED_WORDS, TEXT, Colour
from overlays.measure.range.range_reading import RangeReading
from overlays.measure.spot.spot import SPECK_SHARE, SpotReading
from overlays.wording.numbers import UNKNOWN, room_text, share_text, stops_number
from overlays.wording.reasons import MAY_BE_CLIPPED, Bound, Reason

Cell = tuple[str, str, Colour]

CLIPPED_SHOWN = 0.0001
"""Share of the picture clipped from which on a channel is marked."""

LONGEST_ALARM = "clipped <0.1 %: reads low"
"""Of `alarm_words`: what holds it keeps its size."""


def channel_cells(spot: SpotReading | None) -> list[Cell]:
    """Stops of R, G, B of the spot."""
    if spot is None:
        return [(f"{name}, st", UNKNOWN, TEXT) for name in "RGB"]
    return [
        (
            f"{name}, st",
            _short(value, bound),
            TEXT,
        )
        for name, value, bound in zip("RGB", spot.rgb_stops, spot.rgb_bounds, strict=True)
    ]


def _short(stops: float | None, bound: Bound | None) -> str:
    """Stops, with the sign of a bound: its words have no room here."""
    number = stops_number(stops, None, bound)
    return number if bound is None or number == UNKNOWN else f"{bound.sign}{number}"


def range_cells(reading: RangeReading | None) -> list[list[Cell]]:
    """Rows of cells: brightest and headroom, darkest and footroom, clipping by channel."""
    if reading is None:
        nothing = (None, None, None, None)
        bright, room, dark, foot = nothing
        clipped: tuple[float | None, ...] = (None, None, None)
        of = ""
    else:
        bright, room = reading.brightest.stops, reading.headroom_stops
        dark, foot = reading.darkest.stops, reading.footroom_stops
        clipped, of = reading.clipped_rgb, reading.fullest
    dark_bound = None if reading is None else reading.darkest.bound
    is_bound = room is not None and room <= 0.0
    empty = RED_WORDS if is_bound else TEXT
    return [
        [
            ("brightest, st", _short(bright, Bound.AT_LEAST if is_bound else None), TEXT),
            (f"headroom {of}".strip() + ", st", room_text(room), empty),
        ],
        [("darkest, st", _short(dark, dark_bound), TEXT), ("footroom, st", room_text(foot), TEXT)],
        [
            (
                f"{name} clipped",
                UNKNOWN if share is None else f"{share_text(share)} %",
                RED_WORDS if share is not None and share >= CLIPPED_SHOWN else TEXT,
            )
            for name, share in zip("RGB", clipped, strict=True)
        ],
    ]


def in_pairs(cells: list[Cell]) -> list[Cell]:
    """The same for a column without room for cells: the three channels in one."""
    if len(cells) != len("RGB"):
        return cells
    of = "clipped, %" if cells[0][0].endswith("clipped") else "R G B, st"
    colour = RED_WORDS if any(each[2] == RED_WORDS for each in cells) else TEXT
    return [(of, "  ".join(value.removesuffix(" %") for _, value, _ in cells), colour)]


def alarm_words(spot: SpotReading) -> str:
    """What is wrong with a spot's number, in a few words; nothing where it stands."""
    if spot.clipped > SPECK_SHARE or spot.hides_light:
        clipped = f"clipped {share_text(spot.clipped)} %"
        return clipped if spot.bound is Bound.AT_LEAST else f"{clipped}: reads low"
    if spot.stops is None:
        return Reason.NO_LIGHT.words
    if spot.may_clip:
        return MAY_BE_CLIPPED
    return Reason.CUT_OFF.words if spot.cut_off else ""
