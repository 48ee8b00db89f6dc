"""`[camera]`, `[chips]`, `[watch]` and `pins` of a profile: for advice, three chips and watch."""

import re
from typing import Annotated, Any

from pydantic import Field, PlainValidator, model_validator
from pydantic_core import PydanticCustomError

from firmware.errors import QuantityError
from firmware.profiles.camera_controls import Camera, Limits
from firmware.profiles.number_with_unit import parse_level, text_of
from firmware.profiles.toml_table import TomlTable
from firmware.written.spelling import choice
from overlays.measure.chips.three_chip import Chip, ChipTarget
from overlays.measure.expose.mains import Mains
from overlays.measure.expose.sequences import ControlKind
from overlays.measure.pins.lighting import MOST_PINS
from overlays.measure.watch.change import Tolerance
from overlays.signal.quantities import Level, Unit
from overlays.wording.read_number import number_in, short

_RATE = re.compile(r"\s*(\d+(?:\.\d*)?)\s*(?:fps|frames a second)?\s*", re.ASCII | re.IGNORECASE)


_FAR = 1e9
"""Beyond any number a camera is set to."""


def written(given: object) -> str:
    """A setting, for which a plain number is as good as a text.

    Raises
    ------
    QuantityError
        It is neither.
    """
    if isinstance(given, bool) or not isinstance(given, str | int | float):
        raise QuantityError(f'{short(given)} is no setting; write it as "5.6" or "1/50 s"')
    if isinstance(given, str):
        return given
    if not abs(given) < _FAR:
        raise QuantityError(f"{short(given)} is no setting that a camera has")
    return f"{given:g}"


def parse_rate(given: object) -> float:
    """Frames a second, "25 fps" or 25.

    Raises
    ------
    QuantityError
        No number, or none a camera has.
    """
    found = _RATE.fullmatch(text_of(given))
    rate = None if found is None else number_in(found[1])
    if rate is None or not 0.5 <= rate <= 1000.0:
        raise QuantityError(f'{short(given)} is no rate; write frames a second, as "25 fps"')
    return rate


def _steps(given: object) -> int:
    written_so = text_of(given)
    if written_so in {"1/3 st", "1/3"}:
        return 1
    if written_so in {"1 st", "1", "1.0"}:
        return 3
    raise QuantityError(
        f'{short(given)} is no step; write "1/3 st" or "1 st", or list them in only'
    )


def _mains(given: object) -> Mains:
    return choice(Mains, text_of(given), "mains")


def parse_stops(given: object) -> float:
    """A tolerance in stops, above 0.

    Raises
    ------
    QuantityError
        Not in stops, or not above 0.
    """
    level = parse_level(given)
    if level.unit is not Unit.STOPS or not 0.0 < level.number <= 5.0:
        raise QuantityError(
            f'{short(given)} is no tolerance; write stops above 0 and up to 5, as "0.1 st"'
        )
    return level.number


AnyLevel = Annotated[Level, PlainValidator(parse_level)]
Stops = Annotated[float, PlainValidator(parse_stops)]
Share = Annotated[float, Field(strict=True, ge=0.0, le=1.0)]


class ControlTable(TomlTable):
    """One control of the camera: where it stands, and where it can be put.

    What its settings say is checked by `controls_check`, which finds every mistake of them.
    """

    now: Any = None
    lowest: Any = None
    highest: Any = None
    only: tuple[Any, ...] = ()
    filters: tuple[Any, ...] = ()
    steps: Annotated[int, PlainValidator(_steps)] = 1

    @property
    def limits(self) -> Limits:
        """What is known of it."""
        now, lowest, highest = (
            None if each is None else written(each)
            for each in (self.now, self.lowest, self.highest)
        )
        only, filters = tuple(map(written, self.only)), tuple(map(written, self.filters))
        return Limits(now, lowest, highest, only, self.steps, filters)


class CameraTable(TomlTable):
    """`[camera]`."""

    rate: Annotated[float, PlainValidator(parse_rate)] | None = None
    mains: Annotated[Mains, PlainValidator(_mains)] = Mains.UNKNOWN
    variable_nd: Annotated[bool, Field(strict=True)] = False
    nd: ControlTable = ControlTable()
    aperture: ControlTable = ControlTable()
    iso: ControlTable = ControlTable()
    shutter: ControlTable = ControlTable()

    @property
    def camera(self) -> Camera:
        """What advice is given for."""
        limits = {kind.value: getattr(self, kind.value).limits for kind in ControlKind}
        return Camera(self.rate, self.mains, variable_nd=self.variable_nd, **limits)


class ChipTable(TomlTable):
    """One chip: where it belongs, and how far off it may be."""

    at: AnyLevel
    within: AnyLevel

    @model_validator(mode="after")
    def _has_one_unit(self) -> "ChipTable":
        if self.at.unit is not self.within.unit or self.within.number <= 0.0:
            what = "needs at and within both in st or both in %, and within above 0"
            raise PydanticCustomError("stripe", "{what}", {"what": what})
        return self

    @property
    def target(self) -> ChipTarget:
        """What it says."""
        return ChipTarget(self.at, self.within)


class ChipsTable(TomlTable):
    """`[chips]`: targets of the three chips; those that are missing are the usual ones."""

    white: ChipTable | None = None
    grey: ChipTable | None = None
    black: ChipTable | None = None

    @property
    def targets(self) -> dict[Chip, ChipTarget]:
        """Those that are given."""
        given = {chip: getattr(self, chip.value) for chip in Chip}
        return {chip: table.target for chip, table in given.items() if table is not None}


class WatchTable(TomlTable):
    """`[watch]`: how far a watched pin may move unremarked."""

    level: Stops = Tolerance().level_stops
    balance: Stops = Tolerance().balance_stops

    @property
    def tolerance(self) -> Tolerance:
        """What it says."""
        return Tolerance(self.level, self.balance)


class PinTable(TomlTable):
    """One of `pins`: a place in shares of width and height, and a name."""

    x: Share
    y: Share
    name: Annotated[str, Field(strict=True, max_length=20)] = ""


Pins = Annotated[tuple[PinTable, ...], Field(max_length=MOST_PINS)]
