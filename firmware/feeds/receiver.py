"""The thread that receives a stream from the network and keeps its newest picture."""

import contextlib
from typing import TYPE_CHECKING

import av
import av.error
import av.packet
import av.stream

from firmware.clock import Clock
from firmware.errors import FeedFormatError, FeedNotFoundError, ThreadStuckError
from firmware.feeds.address import Address
from firmware.feeds.again import Again
from firmware.feeds.base import FeedState
from firmware.feeds.damage import Gaps, Whole
from firmware.feeds.decoding import UNHELD
from firmware.feeds.lateness import LATE_NS, Lateness
from firmware.feeds.stream import READ_S, Came, Opened, sent_us, stamp_ns_of
from firmware.system.threads import Newest, Worker
from firmware.v4l2.capture_buffers import Counts
from overlays.errors import OverlayError
from overlays.signal.signal import SignalOverride

if TYPE_CHECKING:
    _Packet = av.packet.Packet[av.stream.Stream]

LOOK_S = 0.25
"""How often a thread that rests asks whether it is to end."""
_OLD_SHARE = 0.9
"""Of the longest silence: whoever waited so long for a packet is given what was left over."""
BARREN_S = 2.0 * READ_S
"""So long without a picture, although something comes, and the stream is opened anew."""


class Receiver:
    """Connects, receives and decodes in a thread of its own; connects again after every loss.

    Parameters
    ----------
    address:
        Of the stream.
    clock:
        Time.
    override:
        What the user says of range and matrix.

    Attributes
    ----------
    newest:
        The newest whole picture that nobody has taken.
    counts:
        What became of pictures and connections.
    again:
        What is wrong, if anything.
    fault:
        What the last try to connect, or the last picture, was refused with; None once one came.
    sender_s:
        How much later than the sender says that it took it a picture came in, by this machine's
        time of day; None where the stream does not say.
    """

    def __init__(self, address: Address, clock: Clock, override: SignalOverride) -> None:
        self._address, self._clock, self._override = address, clock, override
        self.newest: Newest[Came] = Newest()
        self.counts, self.again = Counts(), Again()
        self.fault: FeedNotFoundError | FeedFormatError | None = None
        self.sender_s: float | None = None
        self._opened: Opened | None = None
        self._whole, self._gaps, self._lateness = Whole(), Gaps(), Lateness()
        self._framed_ns, self._is_known = 0, False
        self._worker = Worker("network", self._turn)

    def start(self) -> None:
        """Begin."""
        self._worker.start()

    def close(self) -> None:
        """End it. A thread that is in the midst of connecting ends by itself when that is over."""
        self._worker.ask_to_stop()
        self.newest.wake()
        with contextlib.suppress(ThreadStuckError):
            self._worker.join()
            self._drop()

    @property
    def is_broken(self) -> BaseException | None:
        """What ended the thread without being asked to; a bug."""
        return self._worker.fault

    def _turn(self) -> None:
        if self._opened is not None:
            self._receive(self._opened)
            return
        rest_s = self.again.rest_s(self._clock.now_ns())
        if rest_s > 0.0:
            self._worker.pause(min(rest_s, LOOK_S))
            return
        began_ns = self._clock.now_ns()
        try:
            self._opened = Opened(self._address)
        except (FeedNotFoundError, FeedFormatError) as fault:
            self.fault = fault
            self.counts.failures += 1
            self._lost(str(fault), is_slow=self._clock.now_ns() - began_ns > LOOK_S * 1e9)
            return
        self.counts.restarts += self._is_known
        self._whole, self._gaps, self._lateness = Whole(), Gaps(), Lateness()
        self.sender_s = None
        self._framed_ns = self._clock.now_ns()

    def _receive(self, opened: Opened) -> None:
        """One packet: into the decoder, and what comes out of it."""
        asked_ns = self._clock.now_ns()
        try:
            packet = next(opened.packets)
        except (StopIteration, av.EOFError):
            self._lost("the sender has ended the stream")
            return
        except av.error.ExitError:
            self.counts.silences += 1
            self._lost(f"nothing came for {READ_S:g} s")
            return
        except (av.FFmpegError, *UNHELD):
            self.counts.broken += 1
            self._lost("what came made no sense")
            return
        at_ns = self._clock.now_ns()
        if at_ns - asked_ns > _OLD_SHARE * READ_S * 1e9:
            return  # the end of what came long ago, handed out since nothing followed it
        if at_ns - self._framed_ns > BARREN_S * 1e9:
            self.counts.silences += 1
            self._lost(f"no whole picture came for {BARREN_S:g} s")
        elif packet.stream.index == opened.stream.index and packet.size:
            self._decode(opened, packet, at_ns)

    def _decode(self, opened: Opened, packet: "_Packet", at_ns: int) -> None:
        whole, stamp_ns = self._whole, stamp_ns_of(packet)
        late_ns = self._lateness.of(stamp_ns, at_ns)
        if self._gaps.is_after_one(stamp_ns) and self._address.scheme != "rtsp":
            whole.spoilt()
            self.counts.lost += 1
        if late_ns > LATE_NS:
            # This machine or the network is behind: what is old is left out until it no longer is.
            whole.spoilt()
            self.counts.passed_over += 1
            return
        whole.packet(packet.pts, is_key=packet.is_keyframe, is_corrupt=packet.is_corrupt)
        sent = sent_us(packet)
        if sent is not None:
            self.sender_s = self._clock.wall_s() - sent / 1e6
        try:
            pictures = packet.decode()
        except (av.FFmpegError, *UNHELD):
            whole.spoilt()
            self.counts.broken += 1
            return
        for each in pictures:
            if isinstance(each, av.VideoFrame):
                self._take(opened, each, at_ns - late_ns)

    def _take(self, opened: Opened, decoded: av.VideoFrame, at_ns: int) -> None:
        """A picture for whoever asks next, if it is whole and can be measured."""
        is_key, is_corrupt = bool(decoded.key_frame), bool(decoded.is_corrupt)
        if not self._whole.takes(decoded.pts, is_key=is_key, is_corrupt=is_corrupt):
            self.counts.broken += self._is_known
            return
        try:
            came = opened.came(decoded, self._override, at_ns)
        except (FeedFormatError, OverlayError) as fault:
            self.fault = fault if isinstance(fault, FeedFormatError) else None
            return
        self._framed_ns, self._is_known, self.fault = at_ns, True, None
        if self.again.state is not None:
            self.again = Again()
        if self.newest.put(came) is not None:
            self.counts.passed_over += 1

    def _lost(self, reason: str, *, is_slow: bool = True) -> None:
        """Connect again: after a pause, but where a silent port only has to be listened to."""
        self._drop()
        self.again.failed(FeedState.CUT_OFF, reason, self._clock.now_ns())
        if is_slow and self._address.scheme == "udp":
            self.again.not_before_ns = 0

    def _drop(self) -> None:
        opened, self._opened = self._opened, None
        if opened is not None:
            opened.close()
