"""What a row says of when it was made."""

from pathlib import Path

from firmware.clock import Clock
from firmware.journal.row import ClockTrust, Stamp
from firmware.system.time_of_day import TimeSource, kernel_status, time_source

TRUST = {
    TimeSource.SYNCHRONISED: ClockTrust.SYNCHRONISED,
    TimeSource.OWN: ClockTrust.OWN,
    TimeSource.NONE: ClockTrust.UNSET,
}


def stamp_now(clock: Clock, boot: str, root: Path = Path("/")) -> Stamp:
    """Now, and how far the time of day may be believed; `boot` names the run of the machine."""
    wall_s = clock.wall_s()
    source = time_source(wall_s, kernel_status(), root)
    return Stamp(boot, clock.now_ns(), wall_s, TRUST[source])
