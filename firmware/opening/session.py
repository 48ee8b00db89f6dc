"""A feed opened with the profile it is read with, as `read`, `run` and the screen all need it."""

from dataclasses import dataclass, replace

from firmware.clock import Clock
from firmware.feeds.base import Feed, FeedInfo, Pace
from firmware.feeds.opening import CurveChoice, first_feed, open_feed
from firmware.opening.profile_choice import asked_profile, choose_profile, signal_override
from firmware.profiles.model import Profile
from firmware.written.options import Overrides


@dataclass(frozen=True, slots=True)
class Session:
    """An open feed and the profile to read it with.

    Attributes
    ----------
    feed:
        Open; whoever holds the session closes it.
    profile:
        As asked for, or as the feed itself says.
    warnings:
        What makes the choice of the profile less than certain.
    """

    feed: Feed
    profile: Profile
    warnings: tuple[str, ...]

    @property
    def info(self) -> FeedInfo:
        """Of the feed now, with the warnings of the choice behind its own."""
        info = self.feed.info
        return replace(info, warnings=(*info.warnings, *self.warnings))


def open_session(
    spec: str | None, profile: str | None, overrides: Overrides, *, clock: Clock, pace: Pace
) -> Session:
    """Open a feed, or with None the first one found, and settle on the profile.

    Raises
    ------
    FirmwareError, OverlayError
        The feed, the profile or the curve is not to be had; one sentence says why.
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
    return Session(feed, chosen.profile, chosen.warnings)
