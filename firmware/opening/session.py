"""A feed opened with the profile it is read with, as `read`, `run` and the screen all need it."""

from dataclasses import dataclass, field

from firmware.clock import Clock
from firmware.feeds.base import Feed, Pace
from firmware.feeds.opening import CurveChoice, first_feed, open_feed
from firmware.opening.overrides import Overrides
from firmware.opening.profile_choice import asked_profile, choose_profile, signal_override
from firmware.opening.read_with import ReadWith, read_with
from firmware.profiles.model import Profile
from overlays.signal.signal import SignalOverride


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
    """

    feed: Feed
    profile: Profile
    is_guess: bool
    override: SignalOverride = field(default_factory=SignalOverride)

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
    spec: str | None, profile: str | None, overrides: Overrides, *, clock: Clock, pace: Pace
) -> Session:
    """Open a feed, or with None the first one found, and settle on the profile.

    Raises
    ------
    FirmwareError, OverlayError
        The feed, the profile or the curve cannot be had; one sentence says why.
    """
    asked = asked_profile(profile, overrides)
    override = signal_override(asked, overrides)
    carried = None if asked is None else CurveChoice(asked.curve, asked.laid)
    if spec is None:
        feed = first_feed(clock=clock, pace=pace, override=override, carried=carried)
    else:
        feed = open_feed(spec, clock=clock, pace=pace, override=override, carried=carried)
    try:
        chosen = choose_profile(asked, overrides, feed.info)
    except BaseException:
        feed.close()
        raise
    return Session(feed, chosen.profile, chosen.is_guess, overrides.signal)
