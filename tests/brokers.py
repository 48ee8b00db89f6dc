"""A real Mosquitto with the settings that midgrey ships, and a network that can be cut."""

import select
import shutil
import socket
import subprocess
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest

from firmware.kit.settings import KitSettings, Wire
from tests.places import ROOT

SHIPPED = ROOT / "systemd" / "kit"
PASSWORDS = {"cam-a": "first-password", "cam-b": "second-password", "reader": "third-password"}
PATHS = {
    "/etc/mosquitto/midgrey.passwd": "passwd",
    "/etc/mosquitto/midgrey.acl": "acl",
    "/etc/mosquitto/certs/midgrey-ca.pem": "ca.pem",
    "/etc/mosquitto/certs/midgrey-broker.pem": "broker.pem",
    "/etc/mosquitto/certs/midgrey-broker.key": "broker.key",
}
LONGEST_S = 60.0


def program(name: str) -> str:
    found = shutil.which(name, path="/usr/sbin:/usr/bin:/sbin:/bin:/usr/local/sbin:/usr/local/bin")
    if found is None:
        pytest.skip(f"{name} is not installed (apt-get install mosquitto)")
    return found


def until(is_so: Callable[[], object], seconds: float = LONGEST_S) -> None:
    """Wait for it, a few hundredths of a second at a time; fails where it does not come."""
    end = time.monotonic() + seconds
    while not is_so():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.02)


class Broker:
    """A Mosquitto of a test's own: killed, started again, and ended with it."""

    def __init__(
        self, folder: Path, passwords: dict[str, str], *, tls: bool, also_at: str = ""
    ) -> None:
        self.folder, self.tls = folder, tls
        self.program = program("mosquitto")
        (folder / "data").mkdir(parents=True)
        self.port = _free_port()
        _write_passwords(folder / "passwd", passwords)
        shutil.copy(SHIPPED / "mosquitto.acl", folder / "acl")
        (folder / "acl").chmod(0o700)
        text = (SHIPPED / "mosquitto.conf").read_text("utf-8")
        for path, name in PATHS.items():
            assert path in text, path
            text = text.replace(path, f"{folder}/{name}")
        text = text.replace("listener 8883", f"listener {self.port} 127.0.0.1")
        if not tls:
            of_tls = ("cafile", "certfile", "keyfile", "tls_version")
            text = "\n".join(each for each in text.splitlines() if not each.startswith(of_tls))
        if also_at:
            text += f"\nlistener {self.port} {also_at}"
        text += f"\npersistence_location {folder}/data/"  # said by Debian's own settings elsewhere
        # It would go on as another user, to whom the test's folder is closed.
        (folder / "conf").write_text(f"{text}\nuser root\n", "utf-8")
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        with (self.folder / "log").open("ab") as log:
            self._process = subprocess.Popen(
                [self.program, "-c", str(self.folder / "conf")], stdout=log, stderr=log
            )
        until(self._answers)

    def _answers(self) -> bool:
        assert self._process is not None
        assert self._process.poll() is None, (self.folder / "log").read_text("utf-8")
        with suppress(OSError), socket.create_connection(("127.0.0.1", self.port), 0.5):
            return True
        return False

    def kill(self) -> None:
        """As a power cut ends it."""
        if self._process is not None:
            self._process.kill()
            self._process.wait(5)
            self._process = None

    def stop(self) -> None:
        """As systemd ends it: what is to be kept is on the card."""
        if self._process is not None:
            self._process.terminate()
            self._process.wait(5)
            self._process = None

    def settings(self, unit: str, *, port: int | None = None, password: str = "") -> KitSettings:
        return KitSettings(
            unit,
            "127.0.0.1",
            self.port if port is None else port,
            password or PASSWORDS[unit],
            Wire.TLS if self.tls else Wire.PLAIN,
            self.folder / "ca.pem" if self.tls else None,
        )


def _write_passwords(path: Path, passwords: dict[str, str]) -> None:
    path.write_text("".join(f"{name}:{word}\n" for name, word in passwords.items()), "utf-8")
    path.chmod(0o600)
    subprocess.run([program("mosquitto_passwd"), "-U", str(path)], check=True, capture_output=True)


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def make_authority(folder: Path, name: str = "ca") -> None:
    """An authority of a test's own, as systemd/README.md makes one."""
    folder.mkdir(parents=True, exist_ok=True)
    _openssl(
        *("req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes"),
        *("-days", "2", "-subj", f"/CN=kit {name}"),
        *("-addext", "keyUsage=critical,keyCertSign,cRLSign"),
        *("-keyout", f"{folder}/{name}.key", "-out", f"{folder}/{name}.pem"),
    )


def make_certificate(folder: Path, host: str, authority: str = "ca") -> None:
    """The broker's certificate, signed by it, for an address."""
    _openssl(
        *("req", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes"),
        *("-subj", "/CN=broker", "-addext", f"subjectAltName=IP:{host}"),
        *("-keyout", f"{folder}/broker.key", "-out", f"{folder}/broker.csr"),
    )
    _openssl(
        *("x509", "-req", "-days", "2", "-copy_extensions", "copy", "-CAcreateserial"),
        *("-in", f"{folder}/broker.csr", "-out", f"{folder}/broker.pem"),
        *("-CA", f"{folder}/{authority}.pem", "-CAkey", f"{folder}/{authority}.key"),
    )


def _openssl(*words: str) -> None:
    subprocess.run([program("openssl"), *words], check=True, capture_output=True)


class Cable:
    """A way to a port that can be cut: nothing goes through then, and nobody is told."""

    def __init__(self, port: int) -> None:
        self._to = port
        self._door = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._door.getsockname()[1])
        self._is_cut = self._is_over = False
        self._pairs: list[tuple[socket.socket, socket.socket]] = []
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def cut(self) -> None:
        self._is_cut = True

    def mend(self) -> None:
        """What was under way is lost with the connections, as after a long cut."""
        while select.select([self._door], [], [], 0.0)[0]:
            self._door.accept()[0].close()
        for pair in self._pairs:
            for each in pair:
                each.close()
        self._pairs = []
        self._is_cut = False

    def close(self) -> None:
        self._is_over = True
        self._thread.join(5)
        self.mend()
        self._door.close()

    def _run(self) -> None:
        while not self._is_over:
            if self._is_cut:
                time.sleep(0.02)
                continue
            every = {each: other for a, b in self._pairs for each, other in ((a, b), (b, a))}
            with suppress(OSError, ValueError):
                ready, _, _ = select.select([self._door, *every], [], [], 0.05)
                for each in ready if not self._is_cut else []:
                    self._pass_on(each, every)

    def _pass_on(self, each: socket.socket, every: dict[socket.socket, socket.socket]) -> None:
        if each is self._door:
            near, _ = self._door.accept()
            try:
                self._pairs.append((near, socket.create_connection(("127.0.0.1", self._to), 1)))
            except OSError:
                near.close()
            return
        data = b""
        with suppress(OSError):
            data = each.recv(65_536)
        if data:
            every[each].sendall(data)
            return
        self._pairs = [pair for pair in self._pairs if each not in pair]
        for one in (each, every[each]):
            one.close()
