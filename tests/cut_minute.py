"""A whole unit in a process of its own while its kit's network is cut: what it marks and shows."""

import json
import os
import signal
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest import mock

from tests.brokers import PASSWORDS, Broker
from tests.cut_network import HERE, CutNetwork
from tests.running import START, environment, midgrey

BENCH = "bench:size=640x360,rate=10,noise=0.5"


@dataclass
class CutUnit:
    """A unit on a screen that nobody sees, in the network that can be cut."""

    folder: Path
    network: CutNetwork
    broker: Broker
    has_kit: bool = True
    feed: str = BENCH
    process: "subprocess.Popen[bytes] | None" = None

    def _environ(self) -> dict[str, str]:
        more = {"SDL_VIDEODRIVER": "dummy", "MIDGREY_PATIENCE_S": "8"}
        return environment(XDG_DATA_HOME=str(self.folder), **more)

    def start(self) -> None:
        """Begin; it counts frames from its first."""
        self.folder.mkdir(parents=True, exist_ok=True)
        words = ["run", self.feed, "--size", "640x360", "--stats", str(self.folder / "stats.json")]
        if self.has_kit:
            preset = self.folder / "kit.toml"
            preset.write_text(
                f'[kit]\nunit = "cam-a"\nbroker = "{HERE}:{self.broker.port}"\ntls = false\n'
                f'password = "{PASSWORDS["cam-a"]}"\n'
            )
            words += ["--preset", str(preset)]
        with (self.folder / "err").open("ab") as said:
            self.process = subprocess.Popen(
                self.network.inside(*START, *words),
                env=self._environ(),
                stdout=subprocess.DEVNULL,
                stderr=said,
            )

    def mark(self) -> None:
        """A mark into its journal, as whoever works beside it makes one."""
        command = [*START, "read", self.feed, "--mark"]
        done = subprocess.run(
            command, env=self._environ(), capture_output=True, check=False, timeout=300
        )
        assert done.returncode == 0, done.stderr.decode(errors="replace")

    def mark_here(self) -> None:
        """The same from this process, which is another than the unit's, too: a second cheaper."""
        with mock.patch.dict(os.environ, self._environ()):
            done = midgrey("read", self.feed, "--mark")
        assert done.returncode == 0, done.stderr

    def end(self) -> dict[str, Any]:
        """End it; what it counted of itself."""
        assert self.process is not None
        # `ip netns exec` becomes the command: it is the unit itself that is told.
        self.process.send_signal(signal.SIGTERM)
        self.process.wait(60)
        found: dict[str, Any] = json.loads((self.folder / "stats.json").read_text())
        return found

    def said(self) -> str:
        """What it wrote to its log."""
        return (self.folder / "err").read_text("utf-8", "replace")


def shown_words(found: dict[str, Any]) -> str:
    """Frames shown a second, and how old they were."""
    frames, age = found["frames"], found["age_ms"]
    return (
        f"{frames['shown'] / found['seconds']:.2f} frames a second shown of "
        f"{frames['in'] / found['seconds']:.2f}, age p50 {age['p50']} ms, p99 {age['p99']} ms"
    )
