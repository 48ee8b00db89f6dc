"""What the commands about exposure were asked for, as plain values handed from `cli`."""

from dataclasses import dataclass, field
from pathlib import Path

from firmware.written.options import Output, Overrides


@dataclass(frozen=True, slots=True)
class ExposeOptions:
    """What `midgrey expose` was asked for; as in `ReadOptions` where not said.

    Attributes
    ----------
    spot:
        As written; None takes the centre.
    target:
        A level as written; None takes the profile's.
    iso, aperture, shutter, nd:
        Where the camera stands, as written; None leaves it to the profile.
    mains:
        Word of `Mains`, over the profile's.
    """

    feed: str
    profile: str | None = None
    overrides: Overrides = field(default_factory=Overrides)
    spot: str | None = None
    target: str | None = None
    iso: str | None = None
    aperture: str | None = None
    shutter: str | None = None
    nd: str | None = None
    mains: str | None = None
    frame: int = 0
    output: Output = Output.TABLE


@dataclass(frozen=True, slots=True)
class PinsOptions:
    """What `midgrey pins` and `midgrey chips` were asked for.

    Attributes
    ----------
    spots:
        As written; none takes the profile's pins.
    area:
        Rectangle whose evenness is wanted, ``X,Y,WIDTH,HEIGHT`` as written.
    """

    feed: str
    profile: str | None = None
    overrides: Overrides = field(default_factory=Overrides)
    spots: tuple[str, ...] = ()
    area: str | None = None
    frame: int = 0
    output: Output = Output.TABLE


@dataclass(frozen=True, slots=True)
class MatchOptions:
    """What `midgrey match` was asked for.

    Attributes
    ----------
    feed_a, feed_b:
        As written; A is what B is brought to.
    profile_a, profile_b, overrides_a, overrides_b:
        Of each; B without a profile of its own takes A's.
    spots, spots_b:
        Pins as written; B's are A's where it has none of its own.
    dial_b, gamut_b:
        What B's balance is dialled to, and what its R, G, B mean, as written.
    cdl:
        File for what remains, .cc or .cdl.
    """

    feed_a: str
    feed_b: str
    profile_a: str | None = None
    profile_b: str | None = None
    overrides_a: Overrides = field(default_factory=Overrides)
    overrides_b: Overrides = field(default_factory=Overrides)
    spots: tuple[str, ...] = ()
    spots_b: tuple[str, ...] = ()
    dial_b: str | None = None
    gamut_b: str | None = None
    cdl: Path | None = None
    frame: int = 0
    output: Output = Output.TABLE


@dataclass(frozen=True, slots=True)
class WatchOptions:
    """What `midgrey watch` was asked for.

    Attributes
    ----------
    spots:
        Pins as written; none takes the profile's, else the centre.
    level, balance:
        Tolerances as written, over the profile's.
    frames, seconds:
        End after so many; None goes on until the feed ends or Ctrl-C.
    """

    feed: str
    profile: str | None = None
    overrides: Overrides = field(default_factory=Overrides)
    spots: tuple[str, ...] = ()
    level: str | None = None
    balance: str | None = None
    frames: int | None = None
    seconds: float | None = None
    output: Output = Output.TABLE
