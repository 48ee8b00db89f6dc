"""How frames have fared lately, from what the loop and the feed count."""

from collections import deque
from dataclasses import dataclass
from typing import Protocol, runtime_checkable

from firmware.health.stats import Stats


class Losses(Protocol):
    """What a feed counts of frames that it could not hand out."""

    @property
    def passed_over(self) -> int:
        """Good, but a newer one was there."""
        ...

    @property
    def lost(self) -> int:
        """Sent while nobody took any: gaps in the driver's own numbering."""
        ...

    @property
    def broken(self) -> int:
        """Damaged on the way."""
        ...

    @property
    def short(self) -> int:
        """Cut off on the way."""
        ...


@runtime_checkable
class Counting(Protocol):
    """A feed that counts them."""

    @property
    def counts(self) -> Losses:
        """Since it was opened."""
        ...


@dataclass(frozen=True, slots=True)
class Flow:
    """Frames of the last seconds.

    Attributes
    ----------
    rate:
        Frames a second that were sent.
    passed_share:
        Of those, whole but never looked at, because a newer one was there or no time, 0..1.
    damaged_share:
        Of those, damaged on the way, 0..1.
    age_s:
        From the feed's stamp to the screen, the median; None where no frame was shown.
    """

    rate: float
    passed_share: float
    damaged_share: float
    age_s: float | None


@dataclass(frozen=True, slots=True)
class _Counted:
    at_ns: int
    came: int
    passed: int
    untaken: int
    damaged: int
    aged: int


class FlowMeter:
    """Compares what is counted now with what was counted a few looks ago.

    Parameters
    ----------
    stats:
        Of the loop.
    feed:
        Asked for its own counts where it has any.
    looks:
        How many looks back.
    """

    def __init__(self, stats: Stats, feed: object = None, looks: int = 2) -> None:
        self._stats = stats
        self._losses = feed.counts if isinstance(feed, Counting) else None
        self._before: deque[_Counted] = deque(maxlen=looks)

    def take(self, now_ns: int) -> Flow | None:
        """The flow up to now; None until there are enough looks, and while nothing comes.

        While kernels are compiled and buffers made, frames are late and passed over whatever their
        rate: that says nothing of it, and nobody is to send a lower one for it.
        """
        if self._stats.is_settling:
            self._before.clear()
            return None
        now = self._counted(now_ns)
        full = len(self._before) == self._before.maxlen
        before = self._before[0] if full else None
        self._before.append(now)
        if before is None or now.at_ns <= before.at_ns:
            return None
        came, passed = now.came - before.came, now.passed - before.passed
        untaken, damaged = now.untaken - before.untaken, now.damaged - before.damaged
        if came <= 0 and damaged <= 0:
            return None
        sent = came + untaken + damaged
        return Flow(
            rate=sent * 1e9 / (now.at_ns - before.at_ns),
            passed_share=min((passed + untaken) / sent, 1.0),
            damaged_share=damaged / sent,
            age_s=self._stats.age.latest_s(now.aged - before.aged),
        )

    def _counted(self, now_ns: int) -> _Counted:
        stats, losses = self._stats, self._losses
        return _Counted(
            at_ns=now_ns,
            came=stats.frames_in,
            passed=stats.dropped,
            untaken=0 if losses is None else losses.passed_over + losses.lost,
            damaged=0 if losses is None else losses.broken + losses.short,
            aged=stats.age.count,
        )
