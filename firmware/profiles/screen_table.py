"""`[screen]` of a profile: how the picture is shown. Nothing of it touches a measurement."""

import math
import re
from collections.abc import Callable
from typing import Annotated

from pydantic import Field, PlainValidator

from firmware.errors import QuantityError
from firmware.profiles.number_with_unit import parse_share, text_of
from firmware.profiles.toml_table import TomlTable
from firmware.written.spelling import choice
from overlays.draw.layout.monitor import TIMES, Monitor, ViewTransform
from overlays.draw.layout.panel_size import ARM_MM, PanelSize
from overlays.wording.read_number import number_in, short

LEAST, MOST = 0.25, 4.0
"""Width over height of a frame, and how much a picture is widened: wider ones are no picture."""

MOST_FRAMES = 6
LEAST_GLASS_MM, MOST_GLASS_MM = 40.0, 2500.0
LEAST_AWAY_MM, MOST_AWAY_MM = 200.0, 5000.0
_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
_LENGTH = re.compile(r"\s*(\d+(?:\.\d*)?|\.\d+)\s*(mm|cm|m|in)\s*", re.ASCII)
_CUBE = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._-]{0,18}\.cube", re.ASCII | re.IGNORECASE)
"""A name alone, that fits on the picture: a profile that somebody brings may name no file elsewhere
on the unit."""


def parse_ratio(given: object) -> float:
    """Width over height: 2.39, "2.39:1" or "16:9".

    Raises
    ------
    QuantityError
        No such ratio.
    """
    parts = [number_in(part.strip()) for part in text_of(given).split(":")]
    numbers = [part for part in parts if part is not None and part > 0.0]
    if len(numbers) == len(parts) and len(numbers) in {1, 2}:
        ratio = numbers[0] / (numbers[1] if len(numbers) == 2 else 1.0)
        if math.isfinite(ratio) and LEAST <= ratio <= MOST:
            return ratio
    raise QuantityError(
        f'{short(given)} is no ratio of a frame; write width over height, as 2.39 or "16:9"'
    )


def _length(least: float, most: float) -> Callable[[object], float]:
    """Millimetres of a text as "5.5 in" or "60 cm"."""

    def parsed(given: object) -> float:
        found = _LENGTH.fullmatch(text_of(given))
        number = None if found is None else number_in(found[1])
        if found is None or number is None or not least <= number * _MM[found[2]] <= most:
            raise QuantityError(
                f'{short(given)} is no such length; write it with its unit, as "5.5 in" or "60 cm" '
                f"({least:g} to {most:g} mm)"
            )
        return number * _MM[found[2]]

    return parsed


def _times(given: object) -> int:
    if isinstance(given, bool) or given not in TIMES:
        raise QuantityError(
            f"{short(given)} is no magnification; write {', '.join(map(str, TIMES[:-1]))} or "
            f"{TIMES[-1]}"
        )
    return TIMES[TIMES.index(given)]


def _transform(given: object) -> ViewTransform:
    return choice(ViewTransform, text_of(given), "view")


def is_cube_name(name: str) -> bool:
    """Whether a table may be called so."""
    return _CUBE.fullmatch(name) is not None


def _cube(given: object) -> str:
    name = text_of(given)
    if not is_cube_name(name):
        raise QuantityError(
            f"{short(given)} is no name of a table; write that of a file beside the profile, as "
            '"workshop.cube", with 24 characters at the most'
        )
    return name


Ratio = Annotated[float, PlainValidator(parse_ratio)]
Factor = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=LEAST, le=MOST)]
Share = Annotated[float, PlainValidator(parse_share)]


class ScreenTable(TomlTable):
    """`[screen]`."""

    view: Annotated[ViewTransform, PlainValidator(_transform)] = ViewTransform.NORMAL
    cube: Annotated[str, PlainValidator(_cube)] = ""
    stop_map: Annotated[bool, Field(strict=True)] = False
    flip: Annotated[bool, Field(strict=True)] = False
    mirror: Annotated[bool, Field(strict=True)] = False
    edges: Annotated[bool, Field(strict=True)] = False
    magnify: Annotated[int, PlainValidator(_times)] = 1
    desqueeze: Factor | None = None
    frames: Annotated[tuple[Ratio, ...], Field(max_length=MOST_FRAMES)] = ()
    safe: Share = 90.0
    centre: Annotated[bool, Field(strict=True)] = True
    diagonal: Annotated[float | None, PlainValidator(_length(LEAST_GLASS_MM, MOST_GLASS_MM))] = None
    distance: Annotated[float, PlainValidator(_length(LEAST_AWAY_MM, MOST_AWAY_MM))] = ARM_MM

    @property
    def monitor(self) -> Monitor:
        """How the picture is shown from the start."""
        usual = Monitor()
        return Monitor(
            transform=self.view,
            stop_map=self.stop_map,
            flipped=self.flip,
            mirrored=self.mirror,
            factors=usual.factors if self.desqueeze is None else (self.desqueeze,),
            factor=None if self.desqueeze in {None, 1.0} else 0,
            ratios=self.frames or usual.ratios,
            frame=0 if self.frames else None,
            safe_percent=self.safe,
            centre=self.centre,
            edges=self.edges,
            times=self.magnify,
            panel=None if self.diagonal is None else PanelSize(self.diagonal, self.distance),
        )
