"""The outermost guard: what a person sees when a command cannot do what it was asked."""

import contextlib
import os
import signal
import sys
import threading
from collections.abc import Iterator
from typing import TextIO

from firmware.errors import FirmwareError
from firmware.feeds.address import shown
from overlays.errors import OverlayError

REFUSED = 2
"""Exit status of whatever cannot be done as asked."""
INTERRUPTED = 130
"""Exit status after Ctrl-C: 128 + SIGINT, as shells count."""
TOLD_TO_END = 143
"""Exit status after SIGTERM: 128 + SIGTERM."""
PIPE_CLOSED = 141
"""Exit status where the reader of our output went away: 128 + SIGPIPE."""


class ToldToEnd(BaseException):
    """SIGTERM came: like Ctrl-C no fault, and caught by nothing that catches faults."""


@contextlib.contextmanager
def ending_when_told() -> Iterator[None]:
    """Let SIGTERM end what is within as Ctrl-C does, with everything closed and a sentence.

    Not where a screen is: whatever shows it has a way of its own to be told.
    """
    if threading.current_thread() is not threading.main_thread():
        yield  # only the main thread may say what a signal does
        return
    told = threading.Event()

    def end(_number: int, _frame: object) -> None:
        told.set()
        raise ToldToEnd

    before = signal.signal(signal.SIGTERM, end)
    try:
        yield
    except Exception as fault:
        # A compiler that is interrupted answers with faults of its own.
        if told.is_set():
            raise ToldToEnd from fault
        raise
    finally:
        signal.signal(signal.SIGTERM, before)


@contextlib.contextmanager
def guarded() -> Iterator[None]:
    """Turn a fault into one sentence on standard error and its exit status.

    Whatever is not a fault of the appliance, the overlays or the system is a bug and keeps its
    traceback.
    """
    try:
        yield
        sys.stdout.flush()
    except BrokenPipeError:
        _drop(sys.stdout)
        raise SystemExit(PIPE_CLOSED) from None
    except KeyboardInterrupt:
        raise SystemExit(INTERRUPTED) from None
    except ToldToEnd:
        _say("midgrey: told to end (SIGTERM), and ended")
        raise SystemExit(TOLD_TO_END) from None
    except (FirmwareError, OverlayError, OSError) as fault:
        # Whatever it is about, an address in it is said without its password.
        _say(shown(sentence(fault)))
        raise SystemExit(REFUSED) from None


def sentence(fault: Exception) -> str:
    """What to say of a fault; a list of mistakes gets a heading."""
    if isinstance(fault, OSError) and not isinstance(fault, FirmwareError | OverlayError):
        reason = (fault.strerror or str(fault)).lower()
        if fault.filename is None:
            return f"midgrey: the system refused: {reason}"
        return f"midgrey: {fault.filename}: the system refused: {reason}; check the path"
    lines = str(fault).splitlines() or [type(fault).__name__]
    if len(lines) == 1:
        return f"midgrey: {lines[0]}"
    return "\n".join([f"midgrey: {len(lines)} mistakes:", *lines])


def _say(words: str) -> None:
    """A line on standard error; where that cannot be written either, the status has to do."""
    try:
        sys.stderr.write(f"{words}\n")
        sys.stderr.flush()
    except OSError:
        _drop(sys.stderr)


def _drop(stream: TextIO) -> None:
    """Point a stream at nothing, so that the interpreter's own flush at exit is quiet."""
    with contextlib.suppress(OSError, ValueError):
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, stream.fileno())
        os.close(nothing)
