"""Settling on a pixel format and a size, and what that makes of the signal."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from firmware.errors import FeedFormatError
from firmware.feeds.base import FeedInfo, FeedState
from firmware.feeds.checked import checked_device
from firmware.feeds.v4l2_signal import signal_of, true_layout
from firmware.v4l2 import ioctls
from firmware.v4l2.bounds import check_picture, most_bytes
from firmware.v4l2.capture_buffers import Counts, Stream, TakenBuffer
from firmware.v4l2.device import FIELD_ANY_WHOLE, Capture, Device, open_device, show_edid
from firmware.v4l2.formats import LAYOUTS, PixelLayout
from firmware.v4l2.identity import identity_of
from firmware.v4l2.kernel import Kernel
from firmware.v4l2.timings import Cabling, Timings, from_struct
from overlays.signal.frame import Planes
from overlays.signal.signal import Signal, SignalOverride

if TYPE_CHECKING:
    from firmware.v4l2.jpeg import JpegDecoder

STATES = {
    Cabling.NO_POWER: FeedState.UNPLUGGED,
    Cabling.NO_SIGNAL: FeedState.NO_SIGNAL,
    Cabling.NO_SYNC: FeedState.NO_SYNC,
    Cabling.UNSUPPORTED: FeedState.UNSUPPORTED,
}
"""What a feed says of a cable that brings no picture."""


def open_checked(kernel: Kernel, capture: Capture) -> Device:
    """A device that has what is asked of it; its receiver shows an EDID.

    Raises
    ------
    OSError
        As the kernel says.
    FeedFormatError
        It gives no pictures that can be measured.
    """
    device = open_device(kernel, capture)
    try:
        _check_formats(device, capture)
        if capture.edid:
            show_edid(device, capture.edid)
    except (OSError, FeedFormatError):
        device.close()
        raise
    return device


def take_cable(device: Device) -> tuple[Cabling, Timings | None]:
    """State and timings of the cable; good timings are set to be received."""
    link, raw = device.link()
    if raw is None:
        return link, None
    if link is Cabling.LOCKED:
        device.follow(raw)
    return link, from_struct(raw)


def is_held(device: Device, found: Timings | None) -> bool:
    """Whether the cable, asked now, still brings the timings that a stream was started with."""
    link, raw = device.link()
    if link is Cabling.ANALOGUE:
        return True
    return link is Cabling.LOCKED and raw is not None and from_struct(raw) == found


def _check_formats(device: Device, capture: Capture) -> None:
    wanted, about = capture.pixel_format, f"{capture.path} ({device.card})"
    if not device.formats:
        raise FeedFormatError(
            f"{about} offers no pixel format that can be measured; "
            f"one of {', '.join(LAYOUTS)} is needed"
        )
    if wanted and wanted not in device.formats:
        raise FeedFormatError(
            f"{about} does not offer {wanted}; it offers {', '.join(device.formats)}"
        )


@dataclass(frozen=True, slots=True)
class Run:
    """What holds from one start of the stream to its stop.

    Attributes
    ----------
    stream:
        The buffers, not yet started.
    layout, signal:
        How bytes become planes, and planes codes.
    columns, rows, stride:
        Of the picture in pixels, and bytes from row to row.
    found:
        Timings of the cable; None where the device has none to tell.
    info:
        What it makes of the feed.
    """

    stream: Stream
    layout: PixelLayout
    signal: Signal
    columns: int
    rows: int
    stride: int
    found: Timings | None
    info: FeedInfo


@dataclass(slots=True)
class Unpacker:
    """Makes planes of filled buffers."""

    _decoder: "JpegDecoder | None" = None

    def planes(self, run: Run, taken: TakenBuffer) -> tuple[Planes, Signal] | None:
        """Planes, views of the buffer or decoded from it, and their signal; None of a broken."""
        if run.layout.view is not None:
            return run.layout.view(taken.data, run.rows, run.columns, run.stride), run.signal
        if self._decoder is None:
            # Only sticks that compress pay for a decoder at start-up.
            from firmware.v4l2.jpeg import JpegDecoder  # noqa: PLC0415

            self._decoder = JpegDecoder()
        decoded = self._decoder.decode(taken.data)
        return (
            None if decoded is None else (decoded[0], replace(run.signal, subsampling=decoded[1]))
        )


def prepare(
    device: Device,
    capture: Capture,
    override: SignalOverride,
    found: Timings | None,
    counts: Counts,
) -> tuple[Run | None, FeedInfo]:
    """Set the best format for what the cable brings.

    Returns
    -------
    (run, info)
        `run` is None where the driver will not give whole frames in a format that can be measured
        (fields one by one, say); `info` tells what it would give.
    """
    name, columns, rows = device.choose(capture)
    if found is not None:
        columns, rows = found.columns, found.rows
    pix = device.set_format(name, columns, rows)
    layout = true_layout(device.driver, LAYOUTS[name], LAYOUTS)
    check_picture(pix, layout)
    columns, rows, stride = int(pix.width), int(pix.height), int(pix.bytesperline)
    own, warnings, doubts = signal_of(device.driver, layout, pix)
    # Range and matrix differ with the format too.
    identity = f"{identity_of(device.path, device.driver, device.bus)}, {layout.name}"
    checked = checked_device(identity)
    said = override if checked is None else override.or_else(checked.signal)
    signal = said.over(own)
    if found is not None:
        rate, what = found.rate, str(found)
    else:
        rate = ioctls.best_rate(device.kernel, device.fd, name, columns, rows)
        what = f"{columns}x{rows}" + (f", {rate:.5g} frames a second" if rate else "")
    info = FeedInfo(
        name=f"v4l2:{device.path}",
        description=f"{device.card}: {what}, {layout.name}",
        columns=columns,
        rows=rows,
        signal=signal,
        rate=rate,
        warnings=warnings,
        own=own,
        doubts=doubts,
        device=identity,
        checked=checked,
    )
    if pix.pixelformat != ioctls.fourcc(name) or pix.field not in FIELD_ANY_WHOLE:
        return None, info
    size = columns, rows, stride
    least, most = layout.least_bytes(*size), most_bytes(layout, *size)
    stream = Stream(device.kernel, device.fd, least, counts, most)
    return Run(stream, layout, signal, columns, rows, stride, found, info), info


def first_info(
    device: Device, capture: Capture, override: SignalOverride, counts: Counts
) -> FeedInfo:
    """What can be told before the first frame, also where there is no signal."""
    link, found = take_cable(device)
    usable = None if link in STATES else found
    return prepare(device, capture, override, usable, counts)[1]
