"""Streams from the network as a feed: rtsp://, srt:// and udp://, for bridges without wires.

A stream that stops, with or without a word, is lost within seconds and comes back by itself: it is
connected to again with growing pauses. Pictures that were damaged on the way, and those that rest
on them, are counted and never measured.
"""

from dataclasses import replace

from firmware.clock import Clock
from firmware.errors import FeedFormatError
from firmware.feeds.absent import USUAL_SIZE
from firmware.feeds.address import parse_address
from firmware.feeds.base import FeedInfo, FeedState
from firmware.feeds.decoding import notes_of
from firmware.feeds.receiver import Receiver
from firmware.feeds.stream import Came
from firmware.v4l2.capture_buffers import Counts
from overlays.signal.frame import Frame
from overlays.signal.signal import Signal, SignalOverride

FIRST_S = 1.5
"""How long the opening waits for a first picture, so that most streams are known from the start;
shorter than whoever looks for a feed is waited for."""
NO_CLOCK = (
    "how old its pictures are is not known: the stream does not say when they were taken, and an "
    "age that is shown counts from their arrival"
)
NO_AGREEMENT = (
    "how old its pictures are is not known: the sender's clock and this machine's do not agree, "
    "and an age that is shown counts from their arrival"
)
_LOOK_S = 0.05
"""How often it is asked meanwhile whether the stream was refused."""
_AGE_ANEW_S = 0.5
"""By so much another age by the sender's clock is said anew."""
_AGE_LIKELY_S = (-0.1, 60.0)
"""What an age can be by two clocks that agree; else they do not. Clocks that are set over a network
agree within some hundredths of a second (common practice, no source)."""


class NetworkFeed:
    """A stream; see `firmware.feeds.base.Feed` for the contract.

    Parameters
    ----------
    spec:
        Its address as the person wrote it.
    clock:
        Time.
    override:
        What the user says of range and matrix.

    Raises
    ------
    FeedOptionError
        The address cannot be understood.
    FeedNotFoundError
        Whoever was asked refuses, or nobody is there.
    FeedFormatError
        What comes cannot be measured.
    """

    def __init__(
        self,
        spec: str,
        clock: Clock,
        override: SignalOverride = SignalOverride(),  # noqa: B008 - frozen
    ) -> None:
        self._address, self._clock = parse_address(spec), clock
        self._receiver = Receiver(self._address, clock, override)
        self._number, self._closed = 0, False
        self._age_s: float | None = None
        self._info = FeedInfo(
            self._address.name, FeedState.NO_FRAME_YET.value, *USUAL_SIZE, Signal(lossy=True), 0.0
        )
        self._receiver.start()
        self._waiting = self._first()
        if self._waiting is not None:
            self._learn(self._waiting)

    def _first(self) -> Came | None:
        """The first picture, if it comes soon; raises what it is refused with, as soon as it is."""
        deadline_ns = self._clock.now_ns() + round(FIRST_S * 1e9)
        while self._clock.now_ns() < deadline_ns:
            came = self._receiver.newest.take(_LOOK_S)
            if came is not None:
                return came
            fault = self._receiver.fault
            if fault is not None:
                self.close()
                raise fault
        return None

    @property
    def info(self) -> FeedInfo:
        """What is known of the stream now."""
        return self._info

    @property
    def counts(self) -> Counts:
        """What became of its pictures since it was opened."""
        return self._receiver.counts

    def read(self, timeout_s: float) -> Frame | FeedState:
        """The newest whole picture, or why there is none, within `timeout_s` seconds."""
        if self._closed:
            return FeedState.GONE
        spoilt = self.counts.spoilt
        came, self._waiting = self._waiting, None
        came = came or self._receiver.newest.take(timeout_s)
        if came is None:
            return self._why(spoilt)
        self._learn(came)
        frame = Frame(
            came.seen.planes,
            came.reading.signal,
            came.pixels.shift,
            self._number,
            came.at_ns,
            notes_of(came.decoded),
        )
        self._number += 1
        self.counts.delivered += 1
        return frame

    def release(self, frame: Frame) -> None:
        """Nothing to give back: the decoder's buffer goes when the last view of it goes."""

    def close(self) -> None:
        """Let go of the connection; frames that are still held stay valid."""
        if not self._closed:
            self._closed = True
            self._receiver.close()

    def _why(self, spoilt: int) -> FeedState:
        """Why there is no picture."""
        if self._receiver.is_broken is not None:
            raise self._receiver.is_broken
        again, fault = self._receiver.again, self._receiver.fault
        if again.state is not None:
            self._info = replace(self._info, description=again.words)
            return again.state
        if isinstance(fault, FeedFormatError):
            self._info = replace(self._info, description=str(fault))
            return FeedState.UNSUPPORTED
        return FeedState.DAMAGED if self.counts.spoilt > spoilt else FeedState.NO_FRAME_YET

    def _learn(self, came: Came) -> None:
        """Bring what is known up to a picture; the same object where nothing has changed."""
        said = came.info(self._address.name, self._address.scheme)
        times = self.counts.restarts
        if times:
            often = "once" if times == 1 else f"{times} times"
            said = replace(said, description=f"{said.description}, connected again {often}")
        said = replace(said, warnings=(*said.warnings, self._age_words()))
        if said != self._info:
            self._info = said

    def _age_words(self) -> str:
        """What is known of the age of its pictures when they arrive."""
        now_s, before_s = self._receiver.sender_s, self._age_s
        if now_s is None or before_s is None or abs(now_s - before_s) > _AGE_ANEW_S:
            self._age_s = before_s = now_s
        if before_s is None:
            return NO_CLOCK
        least_s, most_s = _AGE_LIKELY_S
        if not least_s <= before_s <= most_s:
            return NO_AGREEMENT
        return (
            f"its pictures are {max(before_s, 0.0):.1f} s old when they arrive if the sender's "
            "clock and this machine's agree; an age that is shown counts from their arrival"
        )
