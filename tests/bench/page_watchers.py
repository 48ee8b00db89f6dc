"""What a unit loses while phones watch its page: frames shown with and without, and its memory.

    .venv/bin/python -m tests.bench.page_watchers [--frames F] [--phones N] [--turns T] [--first]

One run on the bench: turns without phones and with them follow each other, so that what else the
machine does falls on both. Phones are real WebSockets that ask for the next as soon as they have
the last, as the page in a browser does. They are machines of their own where they are real: with
`--first` (root; chrt(1)) the unit goes before all else that runs here, phones and other work.
"""

import argparse
import json
import socket
import subprocess
import threading
import time
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from websockets.exceptions import ConnectionClosed
from websockets.sync.client import ClientConnection, connect
from websockets.typing import Origin

from firmware.clock import SystemClock
from firmware.page.phones import NAME, Phones
from tests.running import START, environment

BENCH = "bench:rate=25,size=1920x1080"
READY = '{"do": "want", "moment": true, "picture": true, "counts": true}'


class Phone(threading.Thread):
    """Watches until it is told to stop."""

    def __init__(self, port: int, token: str) -> None:
        super().__init__(daemon=True)
        self.port, self.token = port, token
        self.stop = threading.Event()
        self.got = {"text": 0, "P": 0, "T": 0, "C": 0}
        self.frame = 0

    def run(self) -> None:
        with (
            connect(
                f"ws://127.0.0.1:{self.port}/live",
                origin=Origin(f"http://127.0.0.1:{self.port}"),
                additional_headers={"cookie": f"midgrey={self.token}"},
            ) as live,
            suppress(ConnectionClosed),
        ):  # the unit has shown all it was asked for
            self._watch(live)

    def _watch(self, live: ClientConnection) -> None:
        live.send(READY)
        while not self.stop.is_set():
            try:
                message = live.recv(timeout=1.0)
            except TimeoutError:
                continue
            if isinstance(message, str):
                self.got["text"] += 1
                self.frame = json.loads(message)["frame"] or 0
                live.send('{"do": "want", "moment": true}')
            else:
                self.got[chr(message[0])] += 1
                more = "picture" if message[:1] == b"P" else "counts"
                live.send(json.dumps({"do": "want", more: True}))


def memory_mb(pid: int) -> float:
    lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmRSS")) / 1024


def _until_serving(port: int, unit: "subprocess.Popen[bytes]") -> None:
    while unit.poll() is None:
        with suppress(OSError), socket.create_connection(("127.0.0.1", port), 1.0):
            return
        time.sleep(0.1)


def run(folder: Path, phones: int, frames: int, before: Sequence[str] = ()) -> dict[str, float]:
    """One run of so many frames with so many phones; what the unit counted itself."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    (folder / NAME).unlink(missing_ok=True)
    known = Phones(folder / NAME, SystemClock())
    tokens = [known.admit(f"phone {number}") for number in range(max(phones, 1))]
    stats = folder / "stats.json"
    words = ["--size", "1280x720", "--frames", str(frames), "--stats", str(stats)]
    page = ["--page", f"127.0.0.1:{port}", "--journal", str(folder / "journal.db")]
    unit = subprocess.Popen(
        [*before, *START, "run", BENCH, *words, *page],
        env=environment(SDL_VIDEODRIVER="dummy"),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    _until_serving(port, unit)
    watching = [Phone(port, token) for token in tokens[:phones]]
    for each in watching:
        each.start()
    memory = []
    while unit.poll() is None:
        with suppress(OSError, StopIteration):
            memory.append(memory_mb(unit.pid))
        time.sleep(1.0)
    for each in watching:
        each.stop.set()
        each.join(5.0)
    made: dict[str, Any] = json.loads(stats.read_text())
    third = max(len(memory) // 3, 1)
    told = {
        "shown": made["frames"]["shown"],
        "in": made["frames"]["in"],
        "processors": made["processor_seconds"] / made["seconds"],
        "seconds": made["seconds"],
        "memory early, MB": sum(memory[third : 2 * third]) / third,
        "memory late, MB": sum(memory[-third:]) / third,
    }
    if watching:
        pictures = sum(each.got["P"] for each in watching) / len(watching)
        told["pictures a second and phone"] = pictures / made["seconds"]
    return told


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--frames", type=int, default=250)
    parser.add_argument("--phones", type=int, default=4)
    parser.add_argument("--turns", type=int, default=4)
    parser.add_argument("--first", action="store_true")
    asked = parser.parse_args()
    before = ("chrt", "--rr", "5") if asked.first else ()
    rates: dict[int, list[float]] = {0: [], asked.phones: []}
    with TemporaryDirectory() as folder:
        for _ in range(asked.turns):
            for phones, found in rates.items():
                told = run(Path(folder), phones, asked.frames, before)
                found.append(told["shown"] / told["seconds"])
                words = ", ".join(f"{name} {value:.4g}" for name, value in told.items())
                print(f"{phones} phones: {words}", flush=True)
    without, with_them = (sum(each) / len(each) for each in rates.values())
    fall = 100 * (1 - with_them / without)
    print(f"shown a second: {without:.2f} without, {with_them:.2f} with: {fall:.1f} % less")


if __name__ == "__main__":
    main()
