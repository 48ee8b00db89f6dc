"""Senders of streams for tests: pictures whose codes are known, by datagrams and by RTSP."""

import base64
import functools
import io
import socket
import struct
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Self, TypeVar

import av
import numpy as np

Piece = TypeVar("Piece")

COLUMNS, ROWS, RATE, KEY_EVERY = 160, 96, 50, 10
FIRST_CODE, CODES = 40, 150
"""Picture n is of code 40 + n % 150 but for a bar that moves, so that damage anywhere shows."""


def code_of(number: int) -> int:
    """The luma code of a picture's ground."""
    return FIRST_CODE + number % CODES


def luma_of(number: int) -> np.ndarray:
    """What a picture's luma was before it was compressed."""
    luma = np.full((ROWS, COLUMNS), code_of(number), np.uint8)
    at = (number * 4) % (COLUMNS - 16)
    luma[:, at : at + 16] += 30
    return luma


@dataclass(frozen=True)
class Sent:
    """Pictures as a sender has them: of each its transport packets, and its units with its key."""

    transport: tuple[bytes, ...]
    units: tuple[tuple[bytes, bool], ...]


@functools.cache
def sent(count: int = 400) -> Sent:
    """So many pictures, compressed as an encoder for live pictures does."""
    out = io.BytesIO()
    transport, units = [], []
    with av.open(out, "w", format="mpegts") as container:
        stream = container.add_stream("libx264", rate=RATE)
        stream.width, stream.height, stream.pix_fmt = COLUMNS, ROWS, "yuv420p"
        stream.codec_context.gop_size = KEY_EVERY
        stream.options = {
            "preset": "ultrafast",
            "tune": "zerolatency",
            "qp": "10",
            "x264-params": f"keyint={KEY_EVERY}:scenecut=0",
        }
        for number in range(count):
            frame = av.VideoFrame(COLUMNS, ROWS, "yuv420p")
            half = np.full((ROWS // 2, COLUMNS // 2), 128, np.uint8)
            for plane, rows in zip(frame.planes, (luma_of(number), half, half), strict=True):
                lines = np.zeros((rows.shape[0], plane.line_size), np.uint8)
                lines[:, : rows.shape[1]] = rows
                plane.update(lines.tobytes())
            frame.pts, frame.time_base = number, Fraction(1, RATE)
            for packet in stream.encode(frame):
                units.append((bytes(packet), packet.is_keyframe))
                before = out.tell()
                container.mux(packet)
                transport.append(out.getvalue()[before:])
    return Sent(tuple(transport), tuple(units))


class Sender:
    """A thread that goes on until it is told to stop."""

    def __init__(self) -> None:
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self.fault: BaseException | None = None

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()

    def stop(self) -> None:
        """End it, without a word to whoever receives."""
        self._stop.set()
        self._thread.join(5.0)

    def paced(self, pieces: Sequence[Piece]) -> Iterator[tuple[int, Piece]]:
        """Pieces at their pace, from the first again after the last."""
        began, number = time.monotonic(), 0
        while not self._stop.is_set():
            yield number, pieces[number % len(pieces)]
            number += 1
            self._stop.wait(max(0.0, began + number / RATE - time.monotonic()))

    def _run(self) -> None:
        try:
            self.send()
        except OSError as fault:
            self.fault = fault

    def send(self) -> None:
        """Whatever it sends."""
        raise NotImplementedError


class Datagrams(Sender):
    """A transport stream in datagrams; `change` is what the way makes of a picture's bytes."""

    def __init__(self, port: int, change: Callable[[int, bytes], bytes] = lambda _n, d: d) -> None:
        super().__init__()
        self._port, self._change = port, change

    def send(self) -> None:
        """Seven transport packets a datagram, which is the most that fits an Ethernet frame."""
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as to:
            for number, piece in self.paced(sent().transport):
                data = self._change(number, piece)
                for at in range(0, len(data), 7 * 188):
                    to.sendto(data[at : at + 7 * 188], ("127.0.0.1", self._port))


class RtspServer(Sender):
    """The least of a server: one client at a time, RTP within the connection (RFC 2326, 10.12).

    `login` is asked for where it is given; `answers` replaces answers by method; with `clock_off_s`
    it sends reports of its clock, which is off by so much (RFC 3550, section 6.4.1).
    """

    def __init__(
        self,
        login: str = "",
        answers: dict[str, str] | None = None,
        clock_off_s: float | None = None,
    ) -> None:
        super().__init__()
        self._door = socket.create_server(("127.0.0.1", 0))
        self._door.settimeout(0.1)
        self.port = self._door.getsockname()[1]
        self._login, self._answers, self._off_s = login, answers or {}, clock_off_s
        self.asked: list[str] = []

    def send(self) -> None:
        """Serve one client after the other."""
        with self._door:
            while not self._stop.is_set():
                try:
                    client, _ = self._door.accept()
                except TimeoutError:
                    continue
                with client:
                    try:
                        self._serve(client)
                    except OSError:
                        continue

    def _serve(self, client: socket.socket) -> None:
        client.settimeout(2.0)
        text = b""
        while not self._stop.is_set():
            while b"\r\n\r\n" not in text:
                more = client.recv(4000)
                if not more:
                    return
                text += more
            head, _, text = text.partition(b"\r\n\r\n")
            lines = head.decode("ascii").split("\r\n")
            method = lines[0].split()[0]
            self.asked.append(lines[0])
            fields = dict(line.split(": ", 1) for line in lines[1:])
            wanted = "Basic " + base64.b64encode(self._login.encode()).decode()
            refused = self._login and fields.get("Authorization") != wanted
            client.sendall(self._answer(method, fields["CSeq"], refused=bool(refused)))
            if method == "PLAY" and not refused:
                self._play(client)
                return

    def _answer(self, method: str, number: str, *, refused: bool) -> bytes:
        end = f"CSeq: {number}\r\nSession: 7"
        if method in self._answers:
            return self._answers[method].format(number=number).encode()
        if refused and method != "OPTIONS":
            return (
                f'RTSP/1.0 401 Unauthorized\r\n{end}\r\nWWW-Authenticate: Basic realm="t"\r\n\r\n'
            ).encode()
        if method == "DESCRIBE":
            sdp = (
                "v=0\r\no=- 0 0 IN IP4 127.0.0.1\r\ns=t\r\nc=IN IP4 127.0.0.1\r\nt=0 0\r\n"
                "m=video 0 RTP/AVP 96\r\na=rtpmap:96 H264/90000\r\n"
                f"a=fmtp:96 packetization-mode=1\r\na=framerate:{RATE}\r\na=control:v\r\n"
            )
            return (
                f"RTSP/1.0 200 OK\r\n{end}\r\nContent-Type: application/sdp\r\n"
                f"Content-Length: {len(sdp)}\r\n\r\n{sdp}"
            ).encode()
        more = {
            "OPTIONS": "\r\nPublic: OPTIONS, DESCRIBE, SETUP, PLAY, TEARDOWN",
            "SETUP": "\r\nTransport: RTP/AVP/TCP;unicast;interleaved=0-1",
        }.get(method, "")
        return f"RTSP/1.0 200 OK\r\n{end}{more}\r\n\r\n".encode()

    def _play(self, client: socket.socket) -> None:
        sequence = 0
        for number, piece in self.paced(sent().units):
            stamp = number * 90000 // RATE
            if self._off_s is not None and number % 10 == 0:
                client.sendall(_framed(1, self._report(stamp)))
            split = piece[0].replace(b"\0\0\0\1", b"\0\0\1").split(b"\0\0\1")
            units = [unit for unit in split if unit]
            for unit in units:
                last = 0x80 if unit is units[-1] else 0
                head = struct.pack("!BBHII", 0x80, last | 96, sequence & 0xFFFF, stamp, 5)
                client.sendall(_framed(0, head + unit))
                sequence += 1

    def _report(self, stamp: int) -> bytes:
        now_s = time.time() + (self._off_s or 0.0) + 2_208_988_800
        ntp = int(now_s * 2**32)
        report = struct.pack("!BBHIQIII", 0x80, 200, 6, 5, ntp, stamp, 0, 0)
        return report + struct.pack("!BBHI", 0x81, 202, 2, 5) + b"\1\0\0\0"


def _framed(channel: int, data: bytes) -> bytes:
    return struct.pack("!cBH", b"$", channel, len(data)) + data


def free_port() -> int:
    """A port for datagrams that nobody listens at just now."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])
