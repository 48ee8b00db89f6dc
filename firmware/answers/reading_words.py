"""Spot and range in labelled words, for a screen that shows no picture."""

from firmware.answers.terminal_numbers import (
    channels_words,
    percent_words,
    room_words,
    spot_words,
)
from overlays.measure.range.range_reading import RangeReading
from overlays.measure.spot.spot import SpotReading


def reading_words(spot: SpotReading, found: RangeReading) -> dict[str, str]:
    """What a spot reads, and how much room the picture has to both sides."""
    return {
        "spot": spot_words(spot),
        "level": percent_words(spot.percent, spot.percent_pm),
        "R G B": f"{channels_words(spot.rgb_stops, spot.rgb_bounds)} st",
        "headroom": room_words(found.headroom_stops),
        "footroom": room_words(found.footroom_stops),
        "clipped": f"{100 * max(found.clipped_rgb):.1f} %",
    }
