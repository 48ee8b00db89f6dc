"""How far behind the quickest of its pictures a picture of a stream comes in.

A stream says by how much its pictures lie apart. Whatever waited in a queue on the way, in this
machine's too, comes later than that: how much later is known, although how long the quickest was on
its way is not.
"""

from dataclasses import dataclass

from firmware.system.stages import QUIET_NS

LATE_NS = QUIET_NS
"""A picture further behind is not of now; as old as one on the screen may be."""
APART_NS = 5_000_000_000
"""Further apart than this are only the stamps of a stream that was begun anew."""
_DRIFT = 1e-4
"""By which clocks of sender and receiver may run apart: 100 millionths (common practice, no source,
for quartz clocks; they are mostly better)."""


@dataclass(slots=True)
class Lateness:
    """Follows the stamps of a stream and when they came in."""

    _least_ns: float = 0.0
    _at_ns: int | None = None

    def of(self, stamp_ns: int | None, at_ns: int) -> int:
        """Nanoseconds behind the quickest so far; 0 where a picture bears no stamp.

        Parameters
        ----------
        stamp_ns:
            By the stream's count.
        at_ns:
            When it came in, by this machine's clock; never before the one before it.
        """
        if stamp_ns is None:
            return 0
        delay_ns = float(at_ns - stamp_ns)
        if self._at_ns is None or abs(delay_ns - self._least_ns) > APART_NS:
            self._least_ns = delay_ns
        else:
            drifted_ns = self._least_ns + _DRIFT * (at_ns - self._at_ns)
            self._least_ns = min(delay_ns, drifted_ns)
        self._at_ns = at_ns
        return round(delay_ns - self._least_ns)
