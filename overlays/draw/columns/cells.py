"""The small numbers beside the picture: a label, the number, and its colour."""

from overlays.draw.layout.theme import RED, TEXT, Colour
from overlays.measure.range.range import RangeReading
from overlays.measure.spot.spot import SpotReading
from overlays.wording.numbers import UNKNOWN, room_text, share_text, stops_text

Cell = tuple[str, str, Colour]

CLIPPED_SHOWN = 0.0001
"""Share of the picture clipped from which on a channel is marked."""


def channel_cells(spot: SpotReading | None) -> list[Cell]:
    """Stops of R, G, B of the spot."""
    stops = (None, None, None) if spot is None else spot.rgb_stops
    return [
        (f"{name}, st", stops_text(value), TEXT) for name, value in zip("RGB", stops, strict=True)
    ]


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
    empty = RED if room is not None and room <= 0.0 else TEXT
    return [
        [
            ("brightest, st", stops_text(bright), TEXT),
            (f"headroom {of}".strip() + ", st", room_text(room), empty),
        ],
        [("darkest, st", stops_text(dark), TEXT), ("footroom, st", room_text(foot), TEXT)],
        [
            (
                f"{name} clipped",
                UNKNOWN if share is None else f"{share_text(share)} %",
                RED if share is not None and share >= CLIPPED_SHOWN else TEXT,
            )
            for name, share in zip("RGB", clipped, strict=True)
        ],
    ]
