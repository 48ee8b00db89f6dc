"""When rows were made, corrected where the clock was set later in the same run of the machine."""

from collections.abc import Iterable
from dataclasses import dataclass

from firmware.clock import day_of, iso_utc
from firmware.journal.row import ClockTrust, JournalRow, Stamp


@dataclass(frozen=True, slots=True)
class Dated:
    """A time of day, and whether it can be believed.

    Attributes
    ----------
    wall_s:
        Seconds since 1970-01-01 UTC; None where the clock was never set in that run.
    is_corrected:
        Whether it was reckoned back from a clock that was set later.
    """

    wall_s: float | None
    is_corrected: bool = False

    @property
    def words(self) -> str:
        """For a person."""
        if self.wall_s is None:
            return "clock unset"
        return f"{iso_utc(self.wall_s)[:19].replace('T', ' ')} UTC"

    @property
    def day(self) -> str | None:
        """The day in UTC; None where it is not known."""
        return None if self.wall_s is None else day_of(self.wall_s)


class Dating:
    """Dates rows by what the journal knows of each run of the machine.

    Parameters
    ----------
    stamps:
        Of every row.
    """

    def __init__(self, stamps: Iterable[Stamp]) -> None:
        self._by_boot: dict[str, Stamp] = {}
        for stamp in stamps:
            known = self._by_boot.get(stamp.boot)
            # The first time that another clock set it; else that of a clock of its own.
            if stamp.trust is ClockTrust.UNSET:
                continue
            better = known is None or (
                known.trust is ClockTrust.OWN and stamp.trust is ClockTrust.SYNCHRONISED
            )
            if better:
                self._by_boot[stamp.boot] = stamp

    def of(self, row: JournalRow) -> Dated:
        """When a row was made."""
        stamp, known = row.stamp, self._by_boot.get(row.stamp.boot)
        if known is None:
            return Dated(None)
        if stamp.trust is known.trust or stamp.trust is ClockTrust.SYNCHRONISED:
            return Dated(stamp.wall_s)
        return Dated(known.wall_s - (known.at_ns - stamp.at_ns) / 1e9, is_corrected=True)
