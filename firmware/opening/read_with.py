"""What a feed is read with: derived from the profile in use and the feed, anew at every change."""

from dataclasses import dataclass, field, replace

from firmware.feeds.base import FeedInfo
from firmware.opening.gamut_choice import assumed, contradicted, gamut_of
from firmware.opening.profile_choice import doubts
from firmware.profiles.model import Profile
from overlays.measure.counting.yardstick import Yardstick
from overlays.signal.frame import Frame
from overlays.signal.gamuts import Gamut
from overlays.signal.signal import Signal, SignalOverride


@dataclass(frozen=True, slots=True)
class ReadWith:
    """A profile on a feed.

    Attributes
    ----------
    profile:
        In use.
    gamut:
        What R, G and B of the feed mean.
    info:
        Of the feed, with the signal as it is read and the warnings that are left.
    doubts:
        What makes the choice of the profile less than certain.
    contradicted, assumed:
        What makes the gamut less than certain: the feed names another, or nobody named one. At most
        one of them is not empty.
    override:
        Range and matrix where they are not as frames come: said against the feed now, or said when
        it was opened and no longer.
    """

    profile: Profile
    gamut: Gamut
    info: FeedInfo
    doubts: tuple[str, ...] = ()
    contradicted: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    override: SignalOverride = field(default_factory=SignalOverride)

    @property
    def warnings(self) -> tuple[str, ...]:
        """What makes every reading less certain: of the feed, then of the profile on it."""
        return (*self.info.warnings, *self.doubts)

    @property
    def said(self) -> tuple[str, ...]:
        """The same, and what contradicts the gamut: what a screen says in every view."""
        return (*self.warnings, *self.contradicted)

    @property
    def gamut_warnings(self) -> tuple[str, ...]:
        """What a reading of colour should say of it."""
        return (*self.contradicted, *self.assumed)

    def yardstick(self, signal: Signal, shift: int = 0) -> Yardstick:
        """What to measure frames of a signal with; `shift` as in `Frame`."""
        return self.profile.yardstick(signal, shift)

    def frame(self, frame: Frame) -> Frame:
        """The frame with range and matrix as they are read."""
        signal = self.override.over(frame.signal)
        return frame if signal == frame.signal else replace(frame, signal=signal)


def read_with(
    profile: Profile,
    info: FeedInfo,
    *,
    is_guess: bool = False,
    override: SignalOverride = SignalOverride(),  # noqa: B008 - frozen
    gamut: str | None = None,
) -> ReadWith:
    """A profile on a feed as it is now.

    Parameters
    ----------
    profile, info:
        Which profile, and what the feed says of itself.
    is_guess:
        Whether nobody asked for this profile and the feed names no curve.
    override:
        What the command line says of range and matrix; what it leaves open the profile says, then
        what a feed check found of the device.
    gamut:
        A published gamut by its name, over the profile's.

    Raises
    ------
    ArgumentError
        There is no gamut of that name.
    """
    said = override.or_else(profile.override)
    if info.checked is not None:
        said = said.or_else(info.checked.signal)
    signal = info.signal_with(said)
    chosen = gamut_of(gamut, profile, info)
    return ReadWith(
        profile,
        chosen,
        replace(info, signal=signal, warnings=info.warnings_with(said)),
        doubts(profile, info, signal, is_guess=is_guess),
        contradicted(chosen, info),
        () if gamut is not None else assumed(profile, info),
        said.or_else(_taken_back(info)),
    )


def _taken_back(info: FeedInfo) -> SignalOverride:
    """What the feed itself says where something else was said when it was opened."""
    own, opened = info.own, info.signal
    if own is None:
        return SignalOverride()
    return SignalOverride(
        None if own.range is opened.range else own.range,
        None if own.matrix is opened.matrix else own.matrix,
    )
