"""A kit's broker on the board itself, set up as its page says; the unit, and ten more, at it."""

import os
import re
import subprocess
import sys
from pathlib import Path

from checks_phone import OPTIONS, _until_live, exposure, free_port, in_network
from checks_unit import SAID, with_its_log
from fat import fat_image
from image import REPO, Image
from machine import ADDRESS, Machine, keeping_layer

UNITS = 10
PASSWORD = "the same for all of a bench"
NAMES = ("cam-a", "reader", *(f"cam-{n}" for n in range(1, UNITS + 1)))
PRESET = f"""\
title = "With the kit's broker on it"
feed = "bench:size=320x180,rate=2,noise=0.5"
view = "expose"

[kit]
unit = "cam-a"
broker = "{ADDRESS}"
password = "{PASSWORD}"
authority = "kit-ca.pem"
"""
INSTALL = "bash /usr/local/src/midgrey/systemd/install.sh --kit --wheels /var/lib/wheels"
AUTHORITY = "/etc/mosquitto/certs/midgrey-ca.pem"


def setting_up() -> str:
    """The commands of systemd/README.md, as they stand there, but for what they would ask for."""
    text = (REPO / "systemd/README.md").read_text()
    block = re.search(r"## A kit's broker.*?```sh\n(.*?)```", text, re.DOTALL)
    assert block is not None
    lines = []
    for line in block[1].splitlines():
        if line.startswith("apt install"):
            continue  # the guest has no network: they are there
        if line.startswith("mosquitto_passwd"):
            words = line.partition("#")[0].split()
            told = " ".join([words[0], "-b", *words[1:-1]])
            lines += [f'{told} {name} "{PASSWORD}"' for name in NAMES]
            continue
        # Those who come through the emulator's port call it by this machine's own address.
        lines.append(line.replace(f"IP:{ADDRESS}", f"IP:{ADDRESS},IP:127.0.0.1"))
    return "set -e; cd /usr/local/src/midgrey/systemd\n" + "\n".join(lines)


def broker_on_the_board(built: Image, folder: Path) -> str:
    """The broker as the page says, the unit at it over TLS, ten simulated units through a port."""
    place = folder / "kit"
    place.mkdir(parents=True, exist_ok=True)
    disk, card, port = place / "boot.img", keeping_layer(built, place / "card.qcow2"), free_port()
    disk.write_bytes(fat_image("midgrey", {}))
    machine = Machine(built, place, disk=card, options=OPTIONS, drives=(disk,))
    machine.forward = {port: 8883}
    with machine, with_its_log(machine):
        machine.until_answering()
        in_network(machine)
        before = exposure(machine)
        said = machine.check(INSTALL, 600.0)
        assert "50-kit.conf" in said, said
        machine.check("systemctl daemon-reload")
        after = exposure(machine)
        machine.check("systemctl unmask mosquitto.service; systemctl enable mosquitto.service")
        said = machine.run(setting_up(), 600.0)
        log = machine.run("journalctl -u mosquitto -n 20 --no-pager; tail /var/log/mosquitto/*.log")
        assert said.status == 0, f"{said.text}\n{log.text}"
        authority = machine.get(AUTHORITY)
        machine.check("sync")
    disk.write_bytes(fat_image("midgrey", {"kit.toml": PRESET.encode(), "kit-ca.pem": authority}))
    (place / "kit-ca.pem").write_bytes(authority)
    with machine, with_its_log(machine):
        machine.until_answering()
        in_network(machine)
        _until_live(machine)
        machine.until("the kit", lambda: "answers" in machine.check(SAID), 120.0)
        heard = _heard(place, port)
        assert re.search(r"cam-a.*±\d", heard), heard
        figures = _ten(place, port)
    print(heard, figures, sep="\n", flush=True)
    lag = next(line for line in figures.splitlines() if line.startswith("lag"))
    marks = next(line for line in figures.splitlines() if line.startswith("marks"))
    assert " 0 lost, 0 twice" in marks, figures
    return f"{before}, with the kit's drop-in {after}; {UNITS} units at its broker: {lag}; {marks}"


def _run(*words: str) -> str:
    environ = {**os.environ, "PYTHONPATH": str(REPO), "COLUMNS": "120"}
    done = subprocess.run(
        [sys.executable, "-m", *words],
        env=environ,
        cwd=REPO,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"
    return done.stdout


def _heard(place: Path, port: int) -> str:
    """What `midgrey units` lists elsewhere in the network."""
    preset = place / "reader.toml"
    text = PRESET.replace('"cam-a"', '"reader"').replace(f'"{ADDRESS}"', f'"127.0.0.1:{port}"')
    preset.write_text(text)
    return _run("firmware", "units", "--preset", str(preset))


def _ten(place: Path, port: int) -> str:
    """Readings and marks of ten simulated units, through the emulator's port."""
    where = ["--broker", f"127.0.0.1:{port}", "--authority", str(place / "kit-ca.pem")]
    return _run("tests.bench.kit", "--units", str(UNITS), "--seconds", "20", *where)
