"""Telling systemd how we are: ready, alive, stopping. Without systemd all of it does nothing.

The protocol of sd_notify(3): a datagram of ``NAME=value`` lines to the socket in $NOTIFY_SOCKET; a
leading ``@`` there stands for the zero byte of an abstract name. sd_watchdog_enabled(3) gives the
time within which a sign of life is awaited in $WATCHDOG_USEC and advises half of it.
"""

import socket
from collections.abc import Mapping

from firmware.clock import Clock
from overlays.wording.read_number import whole_in

EXTEND_NS = 120_000_000_000
"""How long a start may go on after it last said that it makes kernels."""


class Notifier:
    """The line to the service manager.

    Parameters
    ----------
    environ:
        The process's environment.
    clock:
        Time, for the pace of signs of life.
    """

    def __init__(self, environ: Mapping[str, str], clock: Clock) -> None:
        self._clock = clock
        self._address = _address(environ.get("NOTIFY_SOCKET", ""))
        self._every_ns = _half_ns(environ.get("WATCHDOG_USEC", ""))
        self._told_ns: int | None = None
        self._status = ""
        self._extended_ns = 0
        self._ready = False
        self._socket: socket.socket | None = None
        if self._address is not None:
            self._socket = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM | socket.SOCK_CLOEXEC)
            self._socket.setblocking(False)

    @property
    def is_heard(self) -> bool:
        """Whether there is a service manager to tell."""
        return self._address is not None

    def ready(self) -> None:
        """The screen shows a picture, or why there is none; told once."""
        if not self._ready:
            self._ready = True
            self._send("READY=1")

    def alive(self) -> None:
        """A sign of life, from whoever sees that frames pass; to be called at every look.

        Sent at most once in half the watchdog's time, so that calling it costs nothing.
        """
        if self._every_ns is None:
            return
        now_ns = self._clock.now_ns()
        if self._told_ns is None or now_ns - self._told_ns >= self._every_ns:
            self._told_ns = now_ns
            self._send("WATCHDOG=1")

    def is_fed_since(self, at_ns: int) -> bool:
        """Whether a sign of life was sent since then, or none is awaited."""
        return self._every_ns is None or (self._told_ns is not None and self._told_ns >= at_ns)

    def still_starting(self) -> None:
        """Kernels are made before there is a picture: the service manager is to wait for it.

        sd_notify(3), EXTEND_TIMEOUT_USEC; said again well before the time is over.
        """
        now_ns = self._clock.now_ns()
        if not self._ready and now_ns >= self._extended_ns:
            self._extended_ns = now_ns + EXTEND_NS // 2
            self._send(f"EXTEND_TIMEOUT_USEC={EXTEND_NS // 1000}")

    def status(self, sentence: str) -> None:
        """What `systemctl status` shows; sent only when it changes."""
        if sentence != self._status:
            self._status = sentence
            self._send("STATUS=" + " ".join(sentence.split()))

    def stopping(self) -> None:
        """We are on our way out."""
        self._send("STOPPING=1")

    def close(self) -> None:
        """Let go of the socket; closing twice is allowed."""
        if self._socket is not None:
            self._socket.close()
            self._socket = None

    def _send(self, line: str) -> None:
        if self._socket is None or self._address is None:
            return
        try:
            self._socket.sendto(line.encode("utf-8", "replace"), self._address)
        except OSError:
            # A full or vanished socket is systemd's trouble; it must never stop a reading.
            return


def _address(name: str) -> str | None:
    """Address of the socket; None where there is none, or of a kind we do not speak."""
    if name.startswith("@"):
        return "\0" + name[1:]
    return name if name.startswith("/") else None


def _half_ns(text: str) -> int | None:
    """Half of the watchdog's time in nanoseconds; None where no watchdog waits."""
    microseconds = whole_in(text)
    return microseconds * 500 if microseconds is not None and microseconds > 0 else None
