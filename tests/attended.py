"""A look for signs of a wrong feed as the live loop has it, with nothing left for later."""

from firmware.clock import Clock, HandClock
from firmware.live.meantime import Meantime
from firmware.live.suspicions import Suspicions
from overlays.draw.moment.shown import Measured


def attended(suspicions: Suspicions, measured: Measured, clock: Clock | None = None) -> None:
    """Look at a frame, and do at once what would wait for the time between frames."""
    meantime = Meantime(clock or HandClock())
    suspicions.attend(measured, meantime)
    while meantime.waits:
        meantime.go_on()
