"""All that a mark's numbers are made of besides the codes, as an object of JSON and back."""

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, ClassVar

from pydantic import ConfigDict, TypeAdapter, ValidationError

from firmware.errors import JournalError, ProfileError
from firmware.feeds.base import FeedInfo
from firmware.instruments.codes import MOST_SIDE
from firmware.instruments.counted import Counted
from firmware.instruments.desk import Desk
from firmware.instruments.kept_places import KeptPlaces
from firmware.opening.read_with import ReadWith
from firmware.profiles.model import Profile
from firmware.profiles.reader import profile_of_text
from overlays.measure.counting.clip import FlatTop, Levels
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.range_reading import Extremes
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.frame import Frame
from overlays.signal.gamuts import Gamut
from overlays.signal.signal import Signal


@dataclass(frozen=True, slots=True)
class Inputs:
    """What a frame was read with.

    Attributes
    ----------
    signal, shift, number, time_ns:
        Of the frame as it was read.
    rate, is_simulated:
        Of the feed.
    flat_top, doubts:
        The camera's ceilings as they were known.
    gamut:
        What R, G and B mean.
    desk, place:
        Pins and dial; the spot.
    extremes, counts:
        Where the brightest and the darkest thing lie, and how many pixels of the whole picture lie
        at each level; None where there were none, and in marks of before 0.6.
    """

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(ser_json_inf_nan="strings")

    signal: Signal
    shift: int
    number: int
    time_ns: int
    rate: float
    is_simulated: bool
    flat_top: FlatTop | None
    doubts: Levels
    gamut: Gamut
    desk: Desk
    place: SpotPlace
    extremes: Extremes | None = None
    counts: Counted | None = None

    @classmethod
    def of(
        cls,
        frame: Frame | KeptPlaces,
        yard: Yardstick,
        desk: Desk,
        place: SpotPlace,
        read_with: ReadWith,
    ) -> "Inputs":
        """Of a measured frame, or of what is left of one."""
        info = read_with.info
        return cls(
            frame.signal,
            frame.shift,
            frame.number,
            frame.time_ns,
            info.rate,
            info.is_simulated,
            yard.flat_top,
            yard.doubts,
            read_with.gamut,
            desk,
            place,
        )

    @property
    def things(self) -> tuple[SpotPlace, ...]:
        """Where the brightest and the darkest thing lie, as far as it is known."""
        at = self.extremes
        return () if at is None else (at.brightest, at.darkest)

    def yardstick(self, profile: Profile) -> Yardstick:
        """What the frame was measured with."""
        return profile.yardstick(self.signal, self.shift).under(self.flat_top, self.doubts)

    def read_with(self, profile: Profile, columns: int, rows: int) -> ReadWith:
        """The profile on a feed of which no more is said than numbers need."""
        info = FeedInfo(
            "", "", columns, rows, self.signal, self.rate, is_simulated=self.is_simulated
        )
        return ReadWith(profile, self.gamut, info)


_INPUTS: TypeAdapter[Inputs] = TypeAdapter(Inputs)


def inputs_object(inputs: Inputs) -> dict[str, Any]:
    """As it stands in a row: floats to the last bit, no number that is none."""
    found: dict[str, Any] = _INPUTS.dump_python(inputs, mode="json")
    return found


def inputs_of(found: object) -> Inputs:
    """What stands in a row.

    Raises
    ------
    JournalError
        It is not what a mark is made of.
    """
    try:
        inputs = _INPUTS.validate_python(found)
    except (ValidationError, ValueError, RecursionError) as fault:
        raise JournalError("what the frame was read with cannot be understood") from fault
    places = [inputs.place, *(pin.place for pin in inputs.desk.pins), *inputs.things]
    sizes = [n for place in places for n in (place.column, place.row, place.size, place.height)]
    if min(sizes) < 0 or max(sizes) > MOST_SIDE or not 0 <= inputs.shift < 16:
        raise JournalError("a spot of the row lies in no picture")
    return inputs


_ADAPTERS: dict[type, TypeAdapter[Any]] = {}
"""Of settings, one to an instrument: making one takes some milliseconds."""


def _adapter(kind: type) -> TypeAdapter[Any]:
    if (found := _ADAPTERS.get(kind)) is None:
        found = _ADAPTERS[kind] = TypeAdapter(kind)
    return found


def settings_object(settings: Any) -> Any:  # noqa: ANN401 - each instrument has its own
    """What an instrument is set to, as it stands in a row."""
    return _adapter(type(settings)).dump_python(settings, mode="json")


def settings_of(found: Any, like: Any) -> Any:  # noqa: ANN401 - each instrument has its own
    """What stands in a row, of the kind of other settings.

    Raises
    ------
    JournalError
        They are none of this instrument.
    """
    try:
        return _adapter(type(like)).validate_python(found)
    except (ValidationError, ValueError, RecursionError) as fault:
        raise JournalError("what the view was set to cannot be understood") from fault


def place_of(found: Any) -> SpotPlace:  # noqa: ANN401 - JSON
    """A place that stands in a row.

    Raises
    ------
    JournalError
        It is none.
    """
    place: SpotPlace = decided_of(found, SpotPlace)
    return place


def decided_of(found: Any, kind: type) -> Any:  # noqa: ANN401 - each instrument has its own
    """What an answer was decided from, of the kind that its instrument keeps.

    Raises
    ------
    JournalError
        It is nothing of this instrument's.
    """
    try:
        return _adapter(kind).validate_python(found)
    except (ValidationError, ValueError, RecursionError) as fault:
        raise JournalError("what it was decided from cannot be understood") from fault


def profile_of(text: object, name: object) -> Profile:
    """The profile of a text that stands in a row.

    Raises
    ------
    JournalError
        It is none.
    """
    try:
        return _profile_of(str(text), str(name))
    except ProfileError as fault:
        raise JournalError("the profile in the row cannot be read") from fault


@lru_cache(maxsize=8)
def _profile_of(text: str, name: str) -> Profile:
    # Mark after mark is made with the same few profiles; a text always means the same one.
    return profile_of_text(text, Path(f"{name}.toml"))
