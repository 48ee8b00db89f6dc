"""One virtual board: started, asked, looked at, typed on and cut off from outside.

Plain emulation (TCG): nothing about speed is learnt from it; behaviour, pixels and order are.
"""

import base64
import json
import os
import re
import signal
import socket
import subprocess
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Self

import numpy as np
from image import Image
from monitor import Monitor, MonitorError

BOOT_S = 600.0
"""The longest a boot may take; three minutes at a load of twelve, when an idle one took 18 s."""
IDLE_BOOT_S = 13.0
"""What it would take on the idle machine where the times the checks allow were measured. It took
18 s there; since then the guest's kernel has no guards (a boot 26 s for 39, all else a fifth less)
and a boot starts less (32 s for 39). 18 * 26 / 39 * 32 / 39 / 0.8 is 12.3, by which checks would be
held to just what they were; that is reckoned, not measured, so the stricter side of it."""
CHUNK = 1 << 20
TRIP = "Oops: int3"
"""Said by the guest's kernel, once in some sixty boots, where the emulated processors disagree on
code it has just patched: a fault of the emulation, before anything of ours runs."""

PROCESSOR = "max,avx2=off,vaes=off,erms=off,fsrm=off"
"""All that the emulator can do but AVX2, which QEMU 7.2 (Debian bookworm) gets wrong: numpy's
`argsort` by it gave a wrong order or ended the process with SIGSEGV, by the number of things alone,
in one thread and with nothing of ours. A chart is found by sorting so. The same numpy sorts right
on a real processor, and here without AVX2; `checks_processor.py` asks for that. To LLVM a processor
with VAES has AVX2 too: with that left on, loops compiled on the board ended with SIGILL.
Without ERMS and FSRM the guest copies and clears memory by words: the one instruction for that is
emulated byte by byte."""

UNGUARDED = "mitigations=off"
"""Guards of a real processor against programs that watch each other: an emulated one has none of
those faults, and pays for each call by a pointer. With both, a start reckons a fifth less."""

WATCHDOG_S = 600
"""How long the guest's systemd may leave its watchdog unfed; the unit's file says 12 s. On a host
at a load of ten nothing in there gets a turn for as long: it bites, the emulator ends, and all that
is seen outside is an agent that hangs up."""

NETWORK, HOST, ADDRESS = "10.42.0.0/24", "10.42.0.2", "10.42.0.1"
"""As of the network that a unit opens itself: the emulator is there what a phone would be."""

# The "std" VGA with an EDID, so that the guest's screen has the size asked for.
SCREEN = (1280, 720)
"""Columns and rows of the screen."""
SMALL_SCREEN = (960, 540)
"""Of one where only order counts. Graphics are emulated too: keys are answered in two thirds of the
time, and each start comes three seconds sooner. With a picture so quick a unit has so little
patience that the emulator's own pauses are shown as stalls: stages are stopped on the other."""
DEVICES = [
    "-vga",
    "none",
    "-device",
    "virtio-rng-pci",
    "-device",
    "i6300esb",
    "-device",
    "virtio-serial-pci",
]


def _both_ends(text: str) -> str:
    """A long text without its middle: a stack begins with where it happened."""
    return text if len(text) <= 4000 else f"{text[:2000]}\n…\n{text[-2000:]}"


class MachineError(Exception):
    """The guest did not do what was waited for; the message ends with its last words."""


@dataclass(frozen=True)
class Said:
    """What a command in the guest answered."""

    status: int
    text: str


@dataclass
class Machine:
    """A running guest.

    Attributes
    ----------
    image:
        What it boots.
    folder:
        For its sockets, its serial log and its writable layer.
    disk:
        A qcow2 layer that keeps what is written from boot to boot; None forgets it all.
    options:
        More words for the kernel's command line.
    drives:
        Read-only raw disks besides, /dev/vdb and on.
    forward:
        Ports of this machine, each with the guest's that it leads to, where the guest is to be
        in a network; it reaches nothing from there.
    has_usb:
        Whether sticks may be put in while it runs.
    size:
        Columns and rows of its screen.
    """

    image: Image
    folder: Path
    disk: Path | None = None
    options: str = ""
    drives: tuple[Path, ...] = ()
    forward: dict[int, int] = field(default_factory=dict)
    has_usb: bool = False
    size: tuple[int, int] = SCREEN
    started_s: float = 0.0
    slower: float = 1.0
    """By how much the last boot took longer than on an idle machine: so do the checks' limits."""
    _process: "subprocess.Popen[bytes] | None" = None
    _agent: socket.socket | None = None
    _held: bytes = b""
    _monitor: Monitor | None = None

    # -- power -----------------------------------------------------------------------------------

    def start(self) -> "Machine":
        """Switch it on."""
        self.folder.mkdir(parents=True, exist_ok=True)
        for name in ("agent", "monitor", "serial.log"):
            (self.folder / name).unlink(missing_ok=True)
        self.started_s = time.monotonic()
        with (self.folder / "qemu.log").open("wb") as errors:
            self._process = subprocess.Popen(
                self._command(), stdin=subprocess.DEVNULL, stdout=errors, stderr=errors
            )
        try:
            self.until("monitor", (self.folder / "monitor").exists, 20.0, 0.02)
        except MachineError:
            self.cut()
            raise
        return self

    def _command(self) -> list[str]:
        disk = self.disk or self.image.disk
        kind, keep = ("qcow2", "off") if self.disk else ("raw", "on")
        words = "root=/dev/vda rw console=ttyS0 quiet systemd.show_status=0"
        words += f" {UNGUARDED} systemd.watchdog_sec={WATCHDOG_S} {self.options}"
        command = ["nice", "-n", "5", "qemu-system-x86_64", "-accel", "tcg,thread=multi"]
        command += ["-cpu", PROCESSOR, "-m", "1280", "-smp", "2", "-nodefaults", "-no-reboot"]
        command += ["-display", "none", "-kernel", str(self.image.kernel)]
        command += ["-initrd", str(self.image.initrd), "-append", words.strip()]
        command += ["-drive", f"file={disk},if=virtio,format={kind},snapshot={keep}"]
        for drive in self.drives:
            command += ["-drive", f"file={drive},if=virtio,format=raw,readonly=on"]
        command += ["-device", "VGA,edid=on,xres={},yres={}".format(*self.size)]
        command += [*DEVICES, "-qmp", f"unix:{self.folder}/monitor,server=on,wait=off"]
        command += ["-device", "qemu-xhci,id=usb"] if self.has_usb else []
        command += ["-serial", f"file:{self.folder}/serial.log"]
        command += ["-chardev", f"socket,id=agent,path={self.folder}/agent,server=on,wait=off"]
        command += ["-device", "virtserialport,chardev=agent,name=agent"]
        network = ["-nic", "none"]
        if self.forward:
            ways = (
                f"hostfwd=tcp:127.0.0.1:{here}-{ADDRESS}:{there}"
                for here, there in self.forward.items()
            )
            words = f"user,model=virtio-net-pci,restrict=on,net={NETWORK},host={HOST}"
            network = ["-nic", ",".join((words, *ways))]
        return command + network

    def cut(self) -> None:
        """Cut the power: what was not on the disk is lost."""
        for link in (self._agent, self._monitor):
            if link is not None:
                link.close()
        self._agent = self._monitor = None
        self._held = b""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None

    def copy_card(self, to: Path) -> str:
        """The card's layer as it would be if the power went now; what it had said by then.

        It is stopped from outside, so that nothing is written that it still holds back; then it
        goes on.
        """
        assert self._process is not None
        assert self.disk is not None
        self._process.send_signal(signal.SIGSTOP)
        try:
            os.waitid(os.P_PID, self._process.pid, os.WSTOPPED)
            subprocess.run(["cp", "--sparse=always", str(self.disk), str(to)], check=True)
            return self.serial()
        finally:
            self._process.send_signal(signal.SIGCONT)

    def __enter__(self) -> Self:
        return self.start()

    def __exit__(self, *_: object) -> None:
        self.cut()

    # -- waiting ---------------------------------------------------------------------------------

    def since_start_s(self) -> float:
        """Seconds since it was switched on."""
        return time.monotonic() - self.started_s

    def serial(self) -> str:
        """All it has written to its serial line."""
        path = self.folder / "serial.log"
        return path.read_text(errors="replace") if path.exists() else ""

    def until(self, what: str, happens, timeout_s: float, every_s: float = 0.2):
        """Ask again and again until the answer is true; that answer."""
        deadline = time.monotonic() + timeout_s
        while True:
            answer = happens()
            if answer:
                return answer
            if self._process is None or self._process.poll() is not None:
                errors = (self.folder / "qemu.log").read_text(errors="replace")
                raise MachineError(f"the machine stopped while waiting for {what}: {errors}")
            if time.monotonic() > deadline:
                raise MachineError(
                    f"no {what} within {timeout_s:.0f} s; last on the serial line:\n"
                    f"{self.serial()[-1500:]}"
                )
            time.sleep(every_s)

    def until_serial(
        self, pattern: str, timeout_s: float = BOOT_S, after: int = 0
    ) -> re.Match[str]:
        """Wait until the serial line shows a pattern."""
        return self.until(
            f"{pattern!r}", lambda: re.search(pattern, self.serial()[after:]), timeout_s
        )

    def until_answering(self, timeout_s: float = BOOT_S, tries: int = 3) -> float:
        """Wait until the agent answers; seconds since power-on."""
        self.until("socket of the agent", (self.folder / "agent").exists, 10.0)
        happens = self.until(
            "answer of the agent", lambda: self._answers() or self._trips(), timeout_s
        )
        if happens == TRIP and tries > 1:
            print(f"the emulator tripped ({TRIP}): switched on again", flush=True)
            self.cut()
            return self.start().until_answering(timeout_s, tries - 1)
        self.slower = max(1.0, self.since_start_s() / IDLE_BOOT_S)
        return self.since_start_s()

    def _trips(self) -> str:
        """What the kernel says where the emulator failed it; "" where it did not."""
        return TRIP if TRIP in self.serial() else ""

    def _answers(self) -> bool:
        try:
            return self.run("true", timeout_s=3.0).status == 0
        except (OSError, MachineError):
            # A request sent before the agent was there may still be answered; start afresh.
            if self._agent is not None:
                self._agent.close()
            self._agent, self._held = None, b""
            return False

    # -- the agent -------------------------------------------------------------------------------

    def _ask(self, request: dict, timeout_s: float) -> dict:
        if self._agent is None:
            self._agent = socket.socket(socket.AF_UNIX)
            self._agent.connect(str(self.folder / "agent"))
        self._agent.settimeout(timeout_s)
        self._number = getattr(self, "_number", 0) + 1
        self._agent.sendall(json.dumps({**request, "number": self._number}).encode() + b"\n")
        while True:
            while b"\n" not in self._held:
                self._held += self._received(request, timeout_s)
            line, self._held = self._held.split(b"\n", 1)
            try:
                answer = json.loads(line)
            except ValueError:
                continue  # the tail of an answer to an earlier connection
            if answer.get("number") == self._number:
                return answer

    def _received(self, request: dict, timeout_s: float) -> bytes:
        """More of an answer; where none comes, whether the machine still runs."""
        asked = f"{next(iter(request.items()))}"[:200]
        try:
            got = self._agent.recv(1 << 16)
        except TimeoutError as fault:
            raise MachineError(f"no answer within {timeout_s:.0f} s to {asked}") from fault
        except ConnectionError:
            got = b""
        if not got:
            # The port outlives whoever listens in there: it closes with the emulator alone.
            raise MachineError(f"the machine stopped ({self._end()}) before it answered {asked}")
        return got

    def _end(self) -> str:
        """Why the emulator ended, as it said itself."""
        with suppress(subprocess.TimeoutExpired):
            self._process.wait(5.0)
        events = self._monitor.last_events() if self._monitor is not None else []
        errors = (self.folder / "qemu.log").read_text(errors="replace").strip()
        status = f"status {self._process.returncode}"
        return ", ".join(filter(None, [status, *events, errors[-500:]]))

    def run(self, command: str, timeout_s: float = 60.0) -> Said:
        """Run a shell command in the guest."""
        answer = self._ask({"run": command, "timeout": timeout_s}, timeout_s + 15.0)
        return Said(answer["status"], answer["said"])

    def check(self, command: str, timeout_s: float = 60.0) -> str:
        """Run a command that must succeed; what it said."""
        said = self.run(command, timeout_s)
        if said.status:
            raise MachineError(f"{command!r} ended with {said.status}:\n{_both_ends(said.text)}")
        return said.text

    def python(self, code: str, timeout_s: float = 120.0) -> object:
        """Run code in the guest's lasting Python process; what it put into `answer`."""
        reply = self._ask({"python": code, "timeout": timeout_s}, timeout_s + 15.0)
        if reply["status"]:
            raise MachineError(f"in the guest:\n{reply['said'][-3000:]}")
        return reply["answer"]

    def put(self, path: str, data: bytes) -> None:
        """Write a file in the guest."""
        for start in range(0, max(len(data), 1), CHUNK):
            part = base64.b64encode(data[start : start + CHUNK]).decode()
            answer = self._ask({"write": path, "base64": part, "more": start > 0}, 60.0)
            if answer["status"]:
                raise MachineError(f"{path} was not written: {answer['said']}")

    def get(self, path: str) -> bytes:
        """Read a file of the guest."""
        answer = self._ask({"read": path}, 60.0)
        if answer["status"]:
            raise MachineError(f"{path} was not read: {answer['said']}")
        return base64.b64decode(answer["base64"])

    # -- the monitor -----------------------------------------------------------------------------

    def monitor(self, execute: str, **arguments: object) -> object:
        """A command of the machine's own monitor (QMP)."""
        try:
            if self._monitor is None:
                self._monitor = Monitor(self.folder / "monitor")
            return self._monitor.ask(execute, arguments)
        except MonitorError as fault:
            raise MachineError(str(fault)) from fault

    def screen(self, keep: Path | None = None) -> np.ndarray:
        """The screen's pixels as (rows, columns, 3) uint8; also kept as a PNG where asked."""
        path = self.folder / "screen.ppm"
        self.monitor("screendump", filename=str(path))
        if keep is not None:
            self.monitor("screendump", filename=str(keep), format="png")
        kind, size, _, pixels = path.read_bytes().split(b"\n", 3)
        if kind != b"P6":
            raise MachineError("the monitor gave no picture")
        columns, rows = map(int, size.split())
        return np.frombuffer(pixels, np.uint8).reshape(rows, columns, 3)

    def key(self, *names: str) -> None:
        """Press keys, one after the other, by the monitor's names; ``shift+a`` is both at once."""
        for name in names:
            keys = [{"type": "qcode", "data": each} for each in name.split("+")]
            self.monitor("send-key", keys=keys, **{"hold-time": 120})


def keeping_layer(image: Image, path: Path) -> Path:
    """A fresh writable layer over the image, for what must survive a power cut."""
    path.unlink(missing_ok=True)
    command = ["qemu-img", "create", "-q", "-f", "qcow2", "-b", str(image.disk), "-F", "raw"]
    subprocess.run([*command, str(path)], check=True)
    return path
