"""`midgrey read`: one frame of a feed, read at one spot or many."""

import json
import math
from typing import TYPE_CHECKING, TextIO

from firmware.clock import Clock
from firmware.feeds.base import Pace
from firmware.feeds.timecode import Origin
from firmware.opening.one_frame import take_frame
from firmware.opening.session import open_session
from firmware.readout import KnowsTruth, Readout, as_object, take_readout
from firmware.wording import channels_text, percent_text, room_text, stops_text
from firmware.written.options import Output, ReadOptions
from firmware.written.places import CENTRE, parse_spot, usual_size
from overlays.measure.range.range import Thing

if TYPE_CHECKING:
    from rich.table import Table


def read(options: ReadOptions, clock: Clock, out: TextIO) -> None:
    """Read a frame and print what it says to `out`.

    Raises
    ------
    FirmwareError, OverlayError, OSError
        The feed, the profile or a spot is not to be had; one sentence says why.
    """
    readout = _measure(options, clock)
    if options.output is Output.JSON:
        print(json.dumps(as_object(readout), indent=2, allow_nan=False), file=out)
    else:
        _print(readout, out)


def _measure(options: ReadOptions, clock: Clock) -> Readout:
    written = [parse_spot(text) for text in options.spots] or [CENTRE]
    session = open_session(
        options.feed, options.profile, options.overrides, clock=clock, pace=Pace.STEP
    )
    feed, profile = session.feed, session.profile
    try:
        frame = take_frame(feed, options.frame, clock)
        try:
            size = usual_size(frame.rows, profile.spot_percent)
            places = [each.place(frame.columns, frame.rows, size) for each in written]
            truth = feed.truth if isinstance(feed, KnowsTruth) else None
            return take_readout(frame, session.info, profile, places, truth=truth)
        finally:
            feed.release(frame)
    finally:
        feed.close()


def _print(readout: Readout, out: TextIO) -> None:
    from rich.console import Console  # noqa: PLC0415 - not needed for --json

    console = Console(file=out, highlight=False, soft_wrap=False)
    signal, profile = readout.signal, readout.profile
    console.print(
        f"{readout.info.name}, frame {readout.frame}{_timecode(readout)}: "
        f"{readout.columns}x{readout.rows}, "
        f"{signal.bits} bit {signal.range.value} {signal.matrix.value}; "
        f"{profile.curve.name}, carriage {profile.laid.value}, {profile.name}",
        markup=False,
    )
    console.print(_spots(readout))
    for line in _frame_lines(readout):
        console.print(line, markup=False)
    spots = [
        f"spot {place}: {warning}"
        for place, spot in enumerate(readout.spots, start=1)
        for warning in spot.warnings
    ]
    for warning in [*readout.warnings, *spots]:
        console.print(f"Note: {warning}.", markup=False)


def _timecode(readout: Readout) -> str:
    """The frame's time code where the file has one."""
    code = readout.info.timecode
    return "" if code is None or code.origin is not Origin.FILE else f" ({code.at(readout.frame)})"


def _spots(readout: Readout) -> "Table":
    from rich import box  # noqa: PLC0415 - not needed for --json
    from rich.table import Table  # noqa: PLC0415 - the same

    table = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=0)
    table.add_column("stops", justify="right", style="bold", no_wrap=True)
    for heading in ("percent", "R G B stops", "clipped"):
        table.add_column(heading, justify="right", no_wrap=True)
    if any(truth is not None for truth in readout.truths):
        table.add_column("truth", justify="right", no_wrap=True)
    table.add_column("spot: X,Y,SIZE")
    for place, (spot, truth) in enumerate(zip(readout.spots, readout.truths, strict=True), 1):
        at = spot.place
        cells = [
            stops_text(spot.stops, spot.stops_pm),
            percent_text(spot.percent, spot.percent_pm),
            channels_text(spot.rgb_stops),
            f"{100 * spot.clipped:.0f} %",
        ]
        if truth is not None:
            cells.append(stops_text(truth.stops if math.isfinite(truth.stops) else None))
        table.add_row(*(f" {cell}" for cell in cells), f" {place}: {at.column},{at.row},{at.size}")
    return table


def _frame_lines(readout: Readout) -> list[str]:
    found = readout.range
    shares = " ".join(f"{100 * share:.1f}" for share in found.clipped_rgb)
    last = f"Clipped R G B {shares} % of the picture"
    if found.in_band is not None and readout.band is not None:
        last += f", in {readout.band} {100 * found.in_band:.1f} %"
    return [
        _thing_line("Brightest", found.brightest, "headroom", found.headroom_stops),
        _thing_line("Darkest", found.darkest, "footroom", found.footroom_stops),
        last,
    ]


def _thing_line(what: str, thing: Thing, room: str, left: float | None) -> str:
    light = "no light" if thing.stops is None else f"{stops_text(thing.stops)} st"
    return f"{what} {light} at {thing.column},{thing.row}, {room} {room_text(left)}"
