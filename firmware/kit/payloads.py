"""What is said over the broker, as models: whatever comes is one of these, or is passed over.

Each is an object of JSON with ``schema`` 1. No key changes its meaning or goes without another
number; keys may be added, so what is not known is passed over. The file `topics.json` beside this
module is made of these models (`python -m firmware.kit.topic_schema`).
"""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, WithJsonSchema

from firmware.instruments.told_pin import (
    LONGEST,
    MOST_PINS,
    Channels,
    HalfWidth,
    Light,
    Percent,
    PinNumber,
    Pixels,
    Sentences,
    Share,
    Stops,
    Words,
)
from firmware.kit.settings import PRESET_KEYS

UNIT = r"^[a-z0-9][a-z0-9-]{0,31}$"

Unit = Annotated[str, Field(pattern=UNIT)]
Id = Annotated[str, Field(pattern=r"^[0-9a-f]{32,64}$")]
Seconds = Annotated[float, Field(ge=0.0, le=1e12)]
Count = Annotated[int, Field(ge=0, le=2**53 - 1)]


class Payload(BaseModel):
    """Base of all: nothing is taken for what it is not, and no number is none."""

    model_config = ConfigDict(frozen=True, extra="ignore", strict=True, allow_inf_nan=False)


class Message(Payload):
    """Base of what is the whole content of a topic."""

    schema_: Literal[1] = Field(1, alias="schema", description="number of this interface")


class Presence(Message):
    """Whether a unit is there; the broker says that it is not where its connection broke."""

    unit: Unit
    online: bool = Field(description="false once it has left, or its connection broke")
    left: bool = Field(description="whether it left by itself, and was not cut off")
    boot: Id = Field(description="of this run of the unit; another one counts readings anew")


class SlatePart(Payload):
    """What the clapper board says; empty where nobody said it."""

    scene: Words = ""
    shot: Words = ""
    take: Words = ""
    camera: Words = ""
    notes: Words = ""


class PinPart(Payload):
    """One pin, as it is read alone from one frame."""

    number: PinNumber
    name: Words
    x: Pixels = Field(description="centre, pixels from the left")
    y: Pixels = Field(description="centre, pixels from the top")
    width: Pixels
    height: Pixels
    percent: Percent = Field(description="mean video level")
    percent_pm: HalfWidth | None = Field(description="its half width at 95 %")
    stops: Stops | None = Field(description="from mid-grey; null where there is no light")
    stops_pm: HalfWidth | None
    at_least: bool = Field(description="stops is a lower bound: clipped")
    at_most: bool = Field(description="stops is an upper bound: cut off below")
    luminance: Light = Field(description="linear light, 0.18 is mid-grey")
    rgb_linear: tuple[Light, Light, Light]
    rgb_linear_pm: tuple[HalfWidth, HalfWidth, HalfWidth] = Field(
        description="half widths of these at 95 %, in the same unit"
    )
    rgb_stops: tuple[Stops | None, Stops | None, Stops | None]
    rgb_stops_pm: tuple[HalfWidth | None, HalfWidth | None, HalfWidth | None]
    code: tuple[Light, Light, Light] = Field(description="mean native codes of the three planes")
    clipped: Share
    clipped_rgb: tuple[Share, Share, Share]
    below_floor: Share
    explained: Share = Field(description="share of its pixels that noise alone may clip")
    may_clip: Channels
    cut_off: Words
    warnings: Sentences


class CameraPart(Payload):
    """What was read, and with what."""

    feed: Words
    width: Annotated[int, Field(ge=1, le=100_000)]
    height: Annotated[int, Field(ge=1, le=100_000)]
    bits: Annotated[int, Field(ge=1, le=32)]
    range: Words
    matrix: Words
    components: Words
    subsampling: Words
    lossy: bool
    frame: Count
    timecode: Words | None
    timecode_from: Words | None
    simulated: bool
    profile: Words | None
    curve: Words
    carriage: Words
    gamut: Words
    warnings: Sentences


class KitReading(Message):
    """A unit's moment, up to five times a second."""

    unit: Unit
    boot: Id
    number: Count = Field(description="of the reading, from 1 in each run of the unit")
    at_s: Seconds = Field(description="seconds of the unit's own clock, which never goes back")
    time: Words | None = Field(description="time of day, UTC; null where it cannot be right")
    state: Words = Field(description="live, hold, stale, no signal ...")
    believed: bool = Field(description="whether its numbers may be believed")
    state_words: Words
    view: Words
    signal: Annotated[tuple[Words, ...], Field(max_length=4)] = Field(
        description="what its lamp says: in band, over, under, clipping, fault, no feed"
    )
    target: Words
    target_within: HalfWidth
    side: Words | None = Field(description="in, over or under; null where that cannot be said")
    off_target: Stops | None
    off_target_pm: HalfWidth | None
    why: Words = Field(description="why there is no side")
    spot: PinPart | None = Field(description="of the frame; null where it is not known")
    pins: Annotated[tuple[PinPart, ...], Field(max_length=MOST_PINS)] = Field(
        description="where none is set, the spot stands for pin 1"
    )
    camera: CameraPart | None
    watch: Words = Field(description="what the light does; empty where nobody watches it")
    alert: Words | None = Field(description="the gravest trouble, and what to do")
    warnings: Sentences


class Condition_(Payload):  # noqa: N801 - `Condition` is what health itself calls one
    """How one thing of the machine stands."""

    subject: Words
    severity: Words
    words: Words
    remedy: Words


class Health(Message):
    """How the machine is, when that changes and every half minute."""

    unit: Unit
    boot: Id
    conditions: Annotated[tuple[Condition_, ...], Field(max_length=32)]


class KitMark(Message):
    """A row of a unit's journal: a mark, or what its watch saw by itself.

    It may come more than once (MQTT 5.0, 4.3.2: at least once): whoever keeps it knows it by `id`.
    """

    unit: Unit
    id: Id = Field(description="the seal of the row: no two rows have one")
    number: Count = Field(description="of the row in the unit's journal")
    kind: Literal["mark", "event"]
    time: Words | None = Field(description="time of day, UTC; null where it cannot be right")
    clock: Words = Field(description="how far that time could be believed")
    slate: SlatePart
    feed: Words
    simulated: bool
    frame: Count | None
    timecode: Words | None
    profile: Words | None
    curve: Words | None
    view: Words | None
    words: Words
    stops: Stops | None
    stops_pm: HalfWidth | None
    percent: Percent | None
    percent_pm: HalfWidth | None
    at_least: bool
    at_most: bool


class KitSlate(Message):
    """The slate for every unit, or for one; an empty `camera` leaves each unit its own."""

    slate: SlatePart


class MarkNow(Message):
    """Every unit is to mark; it expires within seconds, so that none is made late."""

    id: Id = Field(description="of this wish: it is followed once")
    slate: SlatePart | None


_PRESET_SCHEMA = {
    "type": "object",
    "description": "keys of a preset's file; without any each unit is again as its own says",
    "properties": {
        key: {"type": "string", "maxLength": LONGEST, "description": words}
        for key, words in PRESET_KEYS.items()
    },
    "additionalProperties": False,
}


class KitPreset(Message):
    """A preset for every unit, or for some; each judges it as one on its own boot partition.

    What is no key of it comes through to that judgement, so that it is refused with its name.
    """

    id: Id = Field(description="of this preset: each unit takes it, or refuses it, once")
    units: Annotated[tuple[Unit, ...], Field(max_length=64)] = Field(
        description="who is meant; empty for all"
    )
    preset: Annotated[
        dict[Words, Words | bool | Light],
        Field(max_length=32),
        WithJsonSchema(_PRESET_SCHEMA),
    ]


class PresetAnswer(Message):
    """What became of the newest preset at one unit."""

    unit: Unit
    id: Id = Field(description="of the preset")
    taken: bool
    words: Words = Field(description="what was done, or why it is refused")


class Missed(Message):
    """A reader has no session at the broker any more: units say their newest marks again, once."""

    id: Id = Field(description="of this wish: each unit follows it once")
