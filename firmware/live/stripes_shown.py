"""The profile's stripes on the frames of a feed, and in words."""

from dataclasses import replace

from overlays.draw.moment.shown import StripeShown
from overlays.errors import BandError
from overlays.measure.counting.bands import Band, code_band, under_ceiling
from overlays.measure.counting.census import Census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.range import share_in_band
from overlays.signal.quantities import Level


def stripe_shown(band: Band, yard: Yardstick, census: Census) -> StripeShown:
    """A stripe with its codes and its share of the picture; one above the clip begins at it."""
    words = band_words(band)
    held = under_ceiling(band, yard)
    if held is not band:
        words = f"{band_words(held)}, clip found"
    try:
        codes = code_band(held, yard)
    except BandError:
        return StripeShown(words, None)
    return StripeShown(words, codes, share_in_band(census, codes, yard))


def band_words(band: Band) -> str:
    """A band as the screen says it: thirds of a stop with two decimals, a true minus."""
    rounded = replace(band, at=Level(round(band.at.number, 2) + 0.0, band.at.unit))
    return str(rounded).replace("-", "−")
