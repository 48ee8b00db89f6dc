"""A stream from the network as libav opens it: within bounds, and with no way to anything else."""

from dataclasses import dataclass, replace
from ipaddress import ip_address

import av
import av.container
import av.error
import av.packet
import av.stream
import av.video.stream

from firmware.errors import FeedFormatError, FeedNotFoundError
from firmware.feeds.address import Address
from firmware.feeds.base import Doubt, FeedInfo
from firmware.feeds.decoding import (
    INTERLACED,
    UNHELD,
    bounded,
    codec_of,
    notes_of,
    reading_of,
    video_stream,
    views_of,
)
from firmware.feeds.pixel_formats import PixelFormat
from firmware.feeds.reel import rate_of
from firmware.feeds.rtsp_question import ask_server
from firmware.feeds.tags import Reading
from firmware.feeds.turning import AsShown, as_shown, turn_of
from overlays.signal.signal import Components, SignalOverride

OPEN_S = 5.0
"""Longest for connecting and for learning what comes: encoders send what a decoder begins with
every second or two (common practice, no source)."""
READ_S = 2.0
"""Longest silence; then the stream is lost. Our own choice: many times a picture's length, and soon
enough for whoever waits."""
_PROBED_BYTES, _PROBED_US = "1000000", "1000000"
"""What is looked at to learn what comes: enough for one picture that stands for itself."""
_PROBED_PICTURES = "3"
"""From which the rate is taken where the stream does not say it; twenty would cost a second."""
_PROBED = {
    "fflags": "nobuffer",
    "probesize": _PROBED_BYTES,
    "analyzeduration": _PROBED_US,
    "fpsprobesize": _PROBED_PICTURES,
}
_FORMATS = {"rtsp": "rtsp", "srt": "mpegts", "udp": "mpegts"}
"""How each scheme's bytes are read. It is said, not guessed: what is a list of other addresses is
then no stream, whatever it is called."""
_ALLOWED = {"rtsp": "tcp", "srt": "srt", "udp": "udp"}
"""Protocols that may be used on behalf of each scheme, and no others: no file, no http."""

UNSAID_LOSS = (
    "it came over a network: what was discarded on the way before is not known, so it is read as "
    "compressed"
)


@dataclass(frozen=True, slots=True)
class Came:
    """A picture that came in, and how it is to be read.

    Attributes
    ----------
    decoded, pixels, reading, seen:
        The picture, how its samples lie and are read, its planes as they are to be shown.
    at_ns:
        When it came in.
    codec, rate:
        Of its stream; frames a second as far as it says.
    """

    decoded: av.VideoFrame
    pixels: PixelFormat
    reading: Reading
    seen: AsShown
    at_ns: int
    codec: str
    rate: float

    def info(self, name: str, scheme: str) -> FeedInfo:
        """What is known of the feed by this picture."""
        reading, (rows, columns) = self.reading, self.seen.planes[0].shape
        signal = reading.signal
        crossed = (f"{name} is {INTERLACED}",) if INTERLACED in notes_of(self.decoded) else ()
        kind = signal.components if signal.components is Components.RGB else signal.subsampling
        return FeedInfo(
            name=name,
            description=(
                f"{self.codec} over {scheme}, {columns}x{rows} {signal.bits}-bit {kind.value}, "
                f"{self.rate:g} frames a second"
            ),
            columns=columns,
            rows=rows,
            signal=signal,
            rate=self.rate,
            warnings=(*map(_of_stream, reading.warnings), *crossed, *self.seen.warnings),
            own=reading.own,
            doubts=tuple(_doubt_of_stream(each) for each in reading.doubts),
            curve=reading.curve,
            carriage=reading.carriage,
            gamut=reading.gamut,
        )


def _of_stream(words: str) -> str:
    """What is said of a file's tags, said of a stream's, which are the same."""
    return words.replace("the file", "the stream")


def _doubt_of_stream(doubt: Doubt) -> Doubt:
    return replace(doubt, words=_of_stream(doubt.words), of_matrix=_of_stream(doubt.of_matrix))


class Opened:
    """A stream that pictures come from.

    Raises
    ------
    FeedNotFoundError
        Nobody answers, nothing comes, or it is refused; the sentence holds no secret.
    FeedFormatError
        What comes is no video that can be read.
    """

    def __init__(self, address: Address) -> None:
        self._name = address.name
        if address.scheme == "rtsp":
            ask_server(address)
        try:
            self.container = av.open(
                address.url,
                format=_FORMATS[address.scheme],
                options=_options(address),
                timeout=(OPEN_S, READ_S),
                metadata_errors="replace",
            )
        except (av.FFmpegError, OSError, *UNHELD) as fault:
            # The library's own words hold the whole address: nothing of them goes on.
            raise refused(address, fault) from None
        try:
            self.stream = video_stream(self.container, address.name)
            # Frame threads would hand each picture out some pictures late.
            self.stream.thread_type = "SLICE"
            bounded(self.stream)
            self.codec, self.rate = codec_of(self.stream), rate_of(self.stream)
        except BaseException:
            self.container.close()
            raise
        # All streams are asked for: of one alone the library would wait without a bound while
        # there is sound.
        self.packets = self.container.demux()

    def came(self, decoded: av.VideoFrame, override: SignalOverride, at_ns: int) -> Came:
        """A picture with how it is to be read; always as compressed.

        Raises
        ------
        FeedFormatError
            It cannot be measured.
        """
        pixels, reading = reading_of(decoded, self.stream, override, self._name)
        if not reading.own.lossy:
            reading = replace(
                reading,
                signal=replace(reading.signal, lossy=True),
                own=replace(reading.own, lossy=True),
                warnings=(*reading.warnings, UNSAID_LOSS),
            )
        planes = views_of(decoded, pixels)
        seen = as_shown(planes, turn_of(decoded), reading.signal.subsampling, self._name)
        return Came(decoded, pixels, reading, seen, at_ns, self.codec, self.rate)

    def close(self) -> None:
        """Let go of the connection and the decoder."""
        self.container.close()
        # A decoder goes when nothing refers to it.
        del self.packets, self.stream, self.container


def sent_us(packet: "av.packet.Packet[av.stream.Stream]") -> int | None:
    """When the sender says that a packet was taken, microseconds of 1970-01-01 UTC.

    A server tells it by RTCP sender reports (RFC 3550, section 6.4.1), from the second report on.
    None where the stream, or this release of the library, does not say.
    """
    has = getattr(packet, "has_sidedata", None)  # of PyAV 17 and later
    if has is None or not has("prft"):
        return None
    # AVProducerReferenceTime: int64 microseconds first (FFmpeg's documentation, defs.h).
    return int.from_bytes(bytes(packet.get_sidedata("prft"))[:8], "little", signed=True)


def stamp_ns_of(packet: "av.packet.Packet[av.stream.Stream]") -> int | None:
    """When a packet is decoded by the stream's own count, in nanoseconds; None where unsaid."""
    stamp, base = packet.dts, packet.time_base
    return None if stamp is None or not base else round(stamp * base * 1_000_000_000)


def _options(address: Address) -> dict[str, str]:
    options = {"protocol_whitelist": _ALLOWED[address.scheme], **_PROBED}
    if address.scheme == "rtsp":
        # On the one connection: what is lost is sent again, and no port has to be opened.
        options |= {"rtsp_transport": "tcp", "allowed_media_types": "video"}
    if address.scheme == "udp":
        options |= {"overrun_nonfatal": "1", **_listening_at(address.host)}
    return options


def _listening_at(host: str) -> dict[str, str]:
    """Where datagrams are taken: at the unit's own address that was named, not at all it has."""
    try:
        named = ip_address(host)
    except ValueError:
        return {}
    return {} if named.is_multicast or named.is_unspecified else {"localaddr": host}


def refused(address: Address, fault: BaseException) -> FeedNotFoundError | FeedFormatError:
    """Why a stream could not be opened, as one sentence without a secret."""
    name = address.name
    if isinstance(fault, av.error.ProtocolNotFoundError):
        return FeedNotFoundError(
            f"{name}: the decoder's library on this machine was built without "
            f"{address.scheme}://; send the stream by rtsp:// or udp://, or install one with it"
        )
    if isinstance(fault, (av.error.HTTPUnauthorizedError, av.error.HTTPForbiddenError)):
        return FeedNotFoundError(f"{name}: the server does not accept this name and password")
    if isinstance(fault, av.error.ExitError):
        return FeedNotFoundError(
            f"{name}: no stream came within {OPEN_S:g} s; is the sender on, and does it send here?"
        )
    if isinstance(fault, (av.error.InvalidDataError, *UNHELD)) and not isinstance(fault, OSError):
        return FeedFormatError(f"{name}: what comes is no stream that can be read")
    reason = (getattr(fault, "strerror", None) or "no reason given").lower()
    return FeedNotFoundError(f"{name} cannot be had ({reason}); check address and network")
