"""Moments to draw, made by hand: a slope with blocks, measured as the appliance would."""

import os
from collections.abc import Callable
from functools import cache

import numpy as np
import pytest

from overlays.draw.layout.lettering import Letters
from overlays.draw.layout.views import TraceKind
from overlays.draw.moment.shown import Face, Measured, Shown, Source, StripeShown
from overlays.measure.counting.bands import Band, BandKind, around, code_band
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.range.range import read_range, share_in_band
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent, stops
from overlays.signal.signal import Signal, Subsampling
from tests import views

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

BANDS = (
    around(stops(0.0), stops(0.2)),
    Band(BandKind.ABOVE, percent(95.0)),
    Band(BandKind.BELOW, percent(2.0)),
)


def slope(rows: int = 108, columns: int = 192, bits: int = 10) -> Frame:
    signal = Signal(bits=bits, subsampling=Subsampling.S444)
    top, step = (1 << bits) - 1, 1 << (bits - 8)
    line = np.linspace(2 * step, 250 * step, columns)
    noise = np.random.default_rng(1).normal(0.0, step / 3, (rows, columns))
    luma = np.clip(line + noise, 0, top).astype(np.uint16)
    grey = np.full((rows, columns), 128 * step, np.uint16)
    return Frame((luma, grey, grey + np.uint16(step)), signal)


def make_measured(
    frame: Frame | None = None, curve: str = "BT.709", place: SpotPlace | None = None
) -> Measured:
    """A frame measured; without one the slope, which is measured once for all who ask."""
    return _of_slope(curve, place) if frame is None else _measured(frame, curve, place)


@cache
def _of_slope(curve: str, place: SpotPlace | None) -> Measured:
    return _measured(slope(), curve, place)


def _measured(frame: Frame, curve: str, place: SpotPlace | None) -> Measured:
    clip = percent(100.0) if curve == "BT.709" else None
    yard = yardstick(frame.signal, published_curve(curve), clip=clip)
    census = take_census(frame, yard, Wants.LEVELS | Wants.CLIPPING | Wants.RGB)
    place = SpotPlace(frame.columns // 2, frame.rows // 2, 8) if place is None else place
    stripes = []
    for band in BANDS:
        codes = code_band(band, yard)
        stripes.append(StripeShown(str(band), codes, share_in_band(census, codes, yard)))
    return Measured(
        frame,
        yard,
        census,
        place,
        read_spot(frame, yard, place),
        read_range(frame, yard, census),
        tuple(stripes),
    )


def make_shown(**changes: object) -> Shown:
    measured = changes.pop("measured", None) or make_measured()
    assert isinstance(measured, Measured)
    settings: dict[str, object] = {
        "view": views.EXPOSE,
        "trace": TraceKind.LUMA,
        "measured": measured,
        "face": Face.LIVE,
        "face_words": "",
        "source": Source("A profile with a long title", "BT.709", "fake: 192x108, ten bits"),
        "stripes": measured.stripes,
    }
    return Shown(**{**settings, **changes})


@pytest.fixture
def measured() -> Callable[..., Measured]:
    return make_measured


@pytest.fixture
def shown() -> Callable[..., Shown]:
    return make_shown


@pytest.fixture(scope="session")
def letters() -> Letters:
    return Letters()
