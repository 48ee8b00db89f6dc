"""From what a person writes to an open feed."""

from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from firmware.clock import Clock
from firmware.errors import FeedNotFoundError, FirmwareError
from firmware.feeds.address import is_network
from firmware.feeds.base import Feed, Pace
from overlays.signal.curves import Curve
from overlays.signal.levels import Carriage
from overlays.signal.signal import SignalOverride

BENCH, V4L2, CAMERA = "bench", "v4l2", "camera"


@dataclass(frozen=True, slots=True)
class CurveChoice:
    """The curve somebody reads with; the bench carries it where its options name none."""

    curve: Curve
    carriage: Carriage | None = None


def open_feed(
    spec: str,
    *,
    clock: Clock,
    pace: Pace,
    override: SignalOverride = SignalOverride(),  # noqa: B008 - frozen
    carried: CurveChoice | None = None,
) -> Feed:
    """Open ``bench[:…]``, ``v4l2:/dev/videoN``, ``camera[:raw]``, a stream's address, or a path.

    Parameters
    ----------
    spec:
        What the person wrote. A file of one of these names is reached as ``./bench``.
    clock, pace:
        For feeds that could go faster than life.
    override:
        Range and matrix against what the feed says.
    carried:
        The curve of the profile in use, for the bench.

    Raises
    ------
    FeedNotFoundError
        Nothing is there.
    FeedFormatError
        It is there but cannot be measured.
    FeedOptionError
        An option is unknown or impossible.
    OverlayError
        The picture is too small to be measured.
    """
    if not spec.strip():
        raise FeedNotFoundError(
            "the name of the feed is empty; name footage, a still, v4l2:/dev/videoN or bench"
        )
    if is_network(spec):
        # Of the seven kinds a run has one, and each brings what only it needs.
        from firmware.feeds.network import NetworkFeed  # noqa: PLC0415

        return NetworkFeed(spec, clock, override)
    kind, _, rest = spec.partition(":")
    if kind == BENCH:
        return _bench(rest, clock, pace, override, carried)
    if kind == V4L2:
        return _v4l2(rest, clock, override)
    if kind == CAMERA:
        from firmware.feeds.camera import open_camera  # noqa: PLC0415 - the same

        return open_camera(rest, clock, override)
    return _file(spec, clock, pace, override)


def is_device(spec: str) -> bool:
    """Whether a feed of that name is one that may be there later: plugged in, or switched on."""
    return is_network(spec) or spec.partition(":")[0] in {V4L2, CAMERA}


def found_feed(
    *,
    clock: Clock,
    pace: Pace,
    override: SignalOverride = SignalOverride(),  # noqa: B008 - frozen
    carried: CurveChoice | None = None,
    devices: Path = Path("/dev"),
) -> Feed | None:
    """The first capture device that opens; None where none does.

    Parameters
    ----------
    clock, pace, override, carried:
        As for `open_feed`.
    devices:
        Where device files are looked for.
    """
    for device in sorted(devices.glob("video*"), key=lambda p: (len(p.name), p.name)):
        try:
            return open_feed(
                f"{V4L2}:{device}", clock=clock, pace=pace, override=override, carried=carried
            )
        except FirmwareError:
            continue  # a decoder or a metadata node: the next one may be an input
    return None


# Feeds are imported where they are opened: a decoder or a kernel binding that is not used costs
# memory and start-up time on a small board.


def _bench(
    text: str,
    clock: Clock,
    pace: Pace,
    override: SignalOverride,
    carried: CurveChoice | None,
) -> Feed:
    from firmware.feeds.bench.feed import BenchFeed  # noqa: PLC0415 - its kernels

    return BenchFeed(
        text,
        clock=clock,
        pace=pace,
        override=override,
        curve=None if carried is None else carried.curve,
        carriage=None if carried is None else carried.carriage,
    )


def _v4l2(text: str, clock: Clock, override: SignalOverride) -> Feed:
    if find_spec("fcntl") is None:
        raise FeedNotFoundError("v4l2: capture devices are read on Linux only; use a path or bench")
    from firmware.feeds.v4l2 import V4l2Feed  # noqa: PLC0415 - needs Linux
    from firmware.feeds.v4l2_spec import capture_of  # noqa: PLC0415 - the same

    return V4l2Feed(capture_of(text), clock, override)


def _file(path: str, clock: Clock, pace: Pace, override: SignalOverride) -> Feed:
    from firmware.feeds.rawframe import RawFeed, raw_spec  # noqa: PLC0415 - files alone

    raw = raw_spec(path)
    if raw is not None:
        return RawFeed(raw, clock=clock, pace=pace, override=override)
    from firmware.feeds.footage import FootageFeed  # noqa: PLC0415 - loads libav
    from firmware.feeds.still import StillFeed, is_still  # noqa: PLC0415 - the same

    kind = StillFeed if is_still(path) else FootageFeed
    return kind(path, clock=clock, pace=pace, override=override)
