"""The health of the machine beside a running loop, down to the line on its screen."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from firmware.clock import Clock
from firmware.health import record
from firmware.health.board import is_low_voltage, look_at_board
from firmware.health.condition import Condition, Severity
from firmware.health.flow import FlowMeter
from firmware.health.judging import Looks
from firmware.health.stats import Stats
from firmware.health.storage import kept_in, look_at_place
from firmware.health.watcher import Watcher
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert

Told = Callable[[tuple[Condition, ...]], None]


def alert_of(condition: Condition | None) -> Alert | None:
    """As it stands on the screen."""
    if condition is None:
        return None
    if condition.severity is not Severity.ALARM:
        return Alert(condition.line)
    return Alert(condition.line, Tone.ALARM, condition.name)


def watcher_of(
    stats: Stats,
    feed: object,
    clock: Clock,
    environ: Mapping[str, str],
    root: Path = Path("/"),
    told: Told = lambda _conditions: None,
) -> Watcher:
    """A watcher of this machine, not yet started.

    Parameters
    ----------
    stats:
        Of the loop whose frames are watched.
    feed:
        Asked for its own counts where it has any.
    root:
        The file system to look in.
    told:
        Handed all conditions after each look, on the watcher's thread.
    """
    meter, folder = FlowMeter(stats, feed), kept_in(environ)
    run_folder = record.run_folder(environ)

    def look(now_ns: int) -> Looks:
        places = (look_at_place(folder, root),)
        return Looks(look_at_board(root), places, meter.take(now_ns))

    def tell(now_ns: int, conditions: tuple[Condition, ...]) -> None:
        told(conditions)
        if run_folder is not None:
            record.write(run_folder, now_ns, conditions)

    return Watcher(look, clock, lambda: is_low_voltage(root), tell)


@contextmanager
def watched(
    stats: Stats,
    feed: object,
    clock: Clock,
    environ: Mapping[str, str],
    told: Told = lambda _conditions: None,
) -> Iterator[Callable[[], Alert | None]]:
    """What is to stand on the screen at any moment, for as long as the loop runs."""
    watcher = watcher_of(stats, feed, clock, environ, told=told)
    watcher.start()
    try:
        yield lambda: alert_of(watcher.worst)
    finally:
        watcher.close()
