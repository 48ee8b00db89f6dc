"""The emulator's own monitor (QMP): what the board's hardware is told, and what befell it."""

import json
import re
import socket
from contextlib import suppress
from pathlib import Path

PATIENCE_S = 120.0


class MonitorError(Exception):
    """The emulator refused a command, or was no longer there."""


class Monitor:
    """A connection to a running emulator; the machine's own protocol, one command at a time."""

    def __init__(self, path: Path) -> None:
        self._link = socket.socket(socket.AF_UNIX)
        self._link.connect(str(path))
        self._link.settimeout(PATIENCE_S)
        self._lines = self._link.makefile("r")
        self._lines.readline()
        self._tell({"execute": "qmp_capabilities"})

    def ask(self, execute: str, arguments: dict) -> object:
        """Run a command; what it returned."""
        return self._tell({"execute": execute, "arguments": arguments})

    def _tell(self, command: dict) -> object:
        self._link.sendall(json.dumps(command).encode() + b"\n")
        while True:
            line = self._lines.readline()
            if not line:
                raise MonitorError(f"the emulator ended before {command}")
            answer = json.loads(line)
            if "error" in answer:
                raise MonitorError(f"monitor: {answer['error']['desc']}")
            if "return" in answer:
                return answer["return"]

    def last_events(self) -> list[str]:
        """What befell the machine since it was last asked something, once it has ended."""
        said = ""
        with suppress(OSError, ValueError):
            said = self._lines.read()
        return re.findall(r'"event": "(WATCHDOG|RESET|SHUTDOWN|GUEST_PANICKED)"', said)

    def close(self) -> None:
        """Leave it."""
        self._link.close()
