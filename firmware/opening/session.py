"""A feed opened with the profile it is read with, as `read`, `run` and the screen all need it."""

from dataclasses import dataclass, field, replace
from pathlib import Path

from firmware.clock import Clock
from firmware.feeds.absent import AbsentFeed
from firmware.feeds.address import shown
from firmware.feeds.base import Feed, Pace
from firmware.feeds.opening import BENCH, CurveChoice, found_feed, open_feed
from firmware.opening.overrides import Overrides
from firmware.opening.profile_choice import asked_profile, choose_profile, signal_override
from firmware.opening.read_with import ReadWith, read_with
from firmware.profiles.model import Profile
from overlays.signal.signal import SignalOverride

DEVICES = Path("/dev")
"""Where device files are looked for."""


@dataclass(frozen=True, slots=True)
class Session:
    """An open feed and the profile to read it with.

    Attributes
    ----------
    feed:
        Open; whoever holds the session closes it.
    profile:
        As asked for, or as the feed itself says.
    is_guess:
        Whether nobody asked for it.
    override:
        What the command line says of range and matrix.
    is_stand_in:
        Whether it is the bench because no feed was named and none was found.
    is_absent:
        Whether the feed that was named is not there yet, and nothing stands in for it.
    """

    feed: Feed
    profile: Profile
    is_guess: bool
    override: SignalOverride = field(default_factory=SignalOverride)
    is_stand_in: bool = False
    is_absent: bool = False

    def read_with(self, gamut: str | None = None) -> ReadWith:
        """The profile on the feed as it is now; `gamut` is named over the profile's."""
        return read_with(
            self.profile,
            self.feed.info,
            is_guess=self.is_guess,
            override=self.override,
            gamut=gamut,
        )


def open_session(
    spec: str | None,
    profile: str | None,
    overrides: Overrides,
    *,
    clock: Clock,
    pace: Pace,
    devices: Path = DEVICES,
) -> Session:
    """Open a feed, or with None the first one found, else the bench, and settle on the profile.

    `devices` is where device files are looked for.

    Raises
    ------
    FirmwareError, OverlayError
        The feed, the profile or the curve cannot be had; one sentence says why.
    """
    if spec is None:
        found = found_session(profile, overrides, clock=clock, pace=pace, devices=devices)
        if found is not None:
            return found
    asked = asked_profile(profile, overrides)
    override = signal_override(asked, overrides)
    name = BENCH if spec is None else spec
    feed = open_feed(name, clock=clock, pace=pace, override=override, carried=_carried(asked))
    made = _settled(feed, asked, overrides)
    return replace(made, is_stand_in=spec is None)


def found_session(
    profile: str | None,
    overrides: Overrides,
    *,
    clock: Clock,
    pace: Pace,
    devices: Path = DEVICES,
) -> Session | None:
    """The first capture device that opens, with its profile; None where none does.

    Raises
    ------
    FirmwareError, OverlayError
        The profile or the curve cannot be had; one sentence says why.
    """
    asked = asked_profile(profile, overrides)
    override = signal_override(asked, overrides)
    carried = _carried(asked)
    feed = found_feed(clock=clock, pace=pace, override=override, carried=carried, devices=devices)
    return None if feed is None else _settled(feed, asked, overrides)


def absent_session(
    spec: str, why: str, profile: str | None, overrides: Overrides, *, clock: Clock
) -> Session:
    """What to show in the place of a feed that is not there: its name, and `why`.

    Raises
    ------
    FirmwareError, OverlayError
        The profile or the curve cannot be had; one sentence says why.
    """
    asked = asked_profile(profile, overrides)
    made = _settled(AbsentFeed(shown(spec), shown(why), clock), asked, overrides)
    # Of a feed that is not there nothing is guessed.
    return replace(made, is_guess=False, is_absent=True)


def _carried(asked: Profile | None) -> CurveChoice | None:
    return None if asked is None else CurveChoice(asked.curve, asked.laid)


def _settled(feed: Feed, asked: Profile | None, overrides: Overrides) -> Session:
    """A feed with the profile it is read with; closed again where there is none."""
    try:
        chosen = choose_profile(asked, overrides, feed.info)
    except BaseException:
        feed.close()
        raise
    return Session(feed, chosen.profile, chosen.is_guess, overrides.signal)
