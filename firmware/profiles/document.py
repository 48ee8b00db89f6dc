"""The shape of a profile's TOML: which keys there are and what each may hold."""

from typing import Annotated, Any

from pydantic import (
    Discriminator,
    Field,
    PlainValidator,
    Tag,
    model_validator,
)
from pydantic_core import PydanticCustomError

from firmware.errors import ArgumentError
from firmware.profiles.balance_table import BalanceTable, parse_gamut
from firmware.profiles.camera_table import CameraTable, ChipsTable, Pins, WatchTable
from firmware.profiles.number_with_unit import parse_level, parse_share, parse_width, text_of
from firmware.profiles.screen_table import ScreenTable
from firmware.profiles.toml_table import TomlTable
from firmware.system.crew_threads import MOST_WORKERS
from firmware.written.spelling import choice
from overlays.errors import UnknownCurveError
from overlays.measure.counting.bands import Band, BandKind
from overlays.signal.curves import Curve
from overlays.signal.gamuts import Gamut
from overlays.signal.levels import Carriage
from overlays.signal.log_curve import LogParameters, custom_curve
from overlays.signal.published import published_curve
from overlays.signal.quantities import Level
from overlays.signal.signal import Matrix, Range
from overlays.signal.tabled import MOST, tabled_curve
from overlays.wording.read_number import short

NAMED, TABLE = "<a name>", "<a table>"
"""Tags of the two ways to give a curve; no key is spelled like them."""


def _curve_name(given: object) -> str:
    if not isinstance(given, str):
        raise ArgumentError(
            f'{short(given)} is no curve; write a published name, as "BT.709", or a table of '
            "its log parameters"
        )
    try:
        return published_curve(given).name
    except UnknownCurveError as fault:
        raise ArgumentError(str(fault)) from fault


def _range(given: object) -> Range:
    return choice(Range, text_of(given), "range")


def _matrix(given: object) -> Matrix:
    return choice(Matrix, text_of(given), "matrix")


def _carriage(given: object) -> Carriage:
    return choice(Carriage, text_of(given), "carriage")


AnyLevel = Annotated[Level, PlainValidator(parse_level)]
Width = Annotated[float, PlainValidator(parse_width)]
Share = Annotated[float, PlainValidator(parse_share)]
Text = Annotated[str, Field(strict=True, max_length=4000)]
Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Slope = Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0.0)]


class SignalTable(TomlTable):
    """`[signal]`: what the profile says against the feed."""

    range: Annotated[Range, PlainValidator(_range)] | None = None
    matrix: Annotated[Matrix, PlainValidator(_matrix)] | None = None


Points = Annotated[tuple[Number, ...], Field(max_length=MOST)]


class CurveTable(TomlTable):
    """`[curve]`: a custom curve by the log parameters of the Common LUT Format, or by points."""

    name: Annotated[str, Field(strict=True, min_length=1, max_length=40)]
    base: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=1.0)] = 2.0
    log_side_slope: Slope = 1.0
    log_side_offset: Number = 0.0
    lin_side_slope: Slope = 1.0
    lin_side_offset: Number = 0.0
    lin_side_break: Number | None = None
    linear_slope: Slope | None = None
    stops: Points = ()
    values: Points = ()
    black: Number = 0.0

    def makes(self, carriage: Carriage) -> Curve:
        """The curve; raises `CurveParameterError` where the parameters make none."""
        if self.stops or self.values:
            return tabled_curve(self.name, self.stops, self.values, self.black, carriage)
        own = {"name", "stops", "values", "black"}
        return custom_curve(self.name, LogParameters(**self.model_dump(exclude=own)), carriage)

    @model_validator(mode="after")
    def _makes_a_curve(self) -> "CurveTable":
        self.makes(Carriage.FULL)
        return self


_WAYS = 'write {at = "0 st", within = "0.2 st"}, {above = "95 %"} or {below = "2 %"}'


class StripeTable(TomlTable):
    """One entry of `stripes`: a band in one of its three forms."""

    at: AnyLevel | None = None
    within: AnyLevel | None = None
    above: AnyLevel | None = None
    below: AnyLevel | None = None

    @model_validator(mode="after")
    def _is_one_band(self) -> "StripeTable":
        what: str | None
        given = [key for key in ("at", "above", "below") if getattr(self, key) is not None]
        if len(given) > 1 and "at" not in given:
            what = "has both above and below; write two entries, each with its own braces"
        elif len(given) > 1:
            what = f"has {' and '.join(given)} in one entry; {_WAYS}"
        elif not given:
            what = f"says no level; {_WAYS}"
        elif given == ["at"] and self.within is None:
            what = f"has at without within, so no width; {_WAYS}"
        elif given != ["at"] and self.within is not None:
            what = f"has within beside {given[0]}, which has no width; {_WAYS}"
        else:
            what = self._width_problem()
        if what is None:
            return self
        raise PydanticCustomError("stripe", "{what}", {"what": what})

    def _width_problem(self) -> str | None:
        if self.at is None or self.within is None:
            return None
        if self.at.unit is not self.within.unit:
            return f"mixes units, {self.at} and {self.within}; give both in st or both in %"
        if self.within.number <= 0.0:
            return f"has no width, {self.within}; give within above 0"
        return None

    @property
    def band(self) -> Band:
        """The band it describes."""
        if self.at is not None:
            return Band(BandKind.AROUND, self.at, self.within)
        if self.above is not None:
            return Band(BandKind.ABOVE, self.above)
        assert self.below is not None  # one of the three, by the check above
        return Band(BandKind.BELOW, self.below)


def _way(given: Any) -> str:  # noqa: ANN401 - whatever stands in the file
    return TABLE if isinstance(given, dict) else NAMED


AnyCurve = Annotated[
    Annotated[str, PlainValidator(_curve_name), Tag(NAMED)] | Annotated[CurveTable, Tag(TABLE)],
    Discriminator(_way),
]


class Document(TomlTable):
    """A whole profile."""

    title: Text | None = None
    notes: Text = ""
    curve: AnyCurve
    carriage: Annotated[Carriage, PlainValidator(_carriage)] | None = None
    signal: SignalTable = SignalTable()
    target: AnyLevel | None = None
    target_within: Width | None = None
    clip: AnyLevel | None = None
    floor: AnyLevel | None = None
    stripes: Annotated[tuple[StripeTable, ...], Field(max_length=8)] = ()
    spot: Share | None = None
    speck: Share | None = None
    gamut: Annotated[Gamut, PlainValidator(parse_gamut)] | None = None
    balance: BalanceTable = BalanceTable()
    camera: CameraTable = CameraTable()
    chips: ChipsTable = ChipsTable()
    watch: WatchTable = WatchTable()
    pins: Pins = ()
    workers: Annotated[int, Field(strict=True, ge=1, le=MOST_WORKERS)] | None = None
    screen: ScreenTable | None = None

    @property
    def transfer(self) -> Curve:
        """The curve, whichever way it was given."""
        if isinstance(self.curve, CurveTable):
            return self.curve.makes(self.carriage or Carriage.FULL)
        return published_curve(self.curve)
