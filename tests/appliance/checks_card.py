"""A card from power-on to picture and reading, seen from outside, and cut off on the way."""

import random
import re
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from card_machine import BOOT_S, CUTS, CardMachine, fresh_card, options_of, options_on
from image import HERE, REPO, Image
from machine import MachineError

sys.path.insert(0, str(REPO))

from firmware.first_boot import grey_picture
from firmware.first_boot.boot_steps import DONE
from firmware.first_boot.faces import PICTURES, StepFace

FIRST_BOOT_S = 3600.0
PICTURE_S = 3600.0
READ_S = 3600.0
CUT_S = 60.0
"""Longest that the first boot's steps run before they are cut off."""
GROWN_MB = 4000
"""Room for marks that a card of 16 GB has at the least once its partition has grown."""
NODE = "v4l2:/dev/video10"
WORDS = ("read", NODE, "--at", "0.5,0.5", "--at", "0.25,0.3", "--at", "0.9,0.8")
MARKS = "/opt/midgrey/card/marks"
PYTHON = "/opt/midgrey/current/bin/python"
BELOW = "/media/card"
"""Where the root's own file system is seen that a file system in memory lies over."""
FORGOTTEN, MARKS_TOO = "/root/written", "/var/lib/midgrey/written"


@dataclass
class Card:
    """One emulated board with a card of its own, written to as it goes.

    Attributes
    ----------
    image:
        What the card was made of.
    folder:
        For the machine's files, and what is kept of it.
    """

    image: Image
    folder: Path

    def machine(self, layer: Path) -> CardMachine:
        """The board with this card in it, switched off."""
        words = options_of(self.image.disk)
        return CardMachine(self.image, self.folder / layer.stem, disk=layer, words=words)


def face_shown(screen: np.ndarray) -> StepFace | None:
    """Which face of the first boot stands on the screen, whatever its bar says."""
    rows, columns, _ = screen.shape
    above = rows * 5 // 8
    for face in StepFace:
        picture = grey_picture.read_png((PICTURES / f"{face.value[0]}.png").read_bytes())
        lines = grey_picture.fitted(picture, columns, rows).lines
        wanted = np.frombuffer(b"".join(lines), np.uint8).reshape(rows, columns)
        if (np.abs(screen[:above, :, 1].astype(int) - wanted[:above]) > 8).mean() < 0.001:
            return face
    return None


def done_steps(machine: CardMachine) -> set[str]:
    """The marks of steps that are done."""
    return set(machine.run(f"ls {MARKS} 2>/dev/null").text.split())


def first_boot(card: Card, layer: Path) -> str:
    """From power-on until every step is done, its faces seen; then, as it goes on, the picture."""
    with card.machine(layer) as machine:
        answering = machine.until_answering(BOOT_S)
        faces: dict[str, float] = {}

        def is_done() -> bool:
            face = face_shown(machine.screen())
            if face is not None and face.value[0] not in faces:
                faces[face.value[0]] = machine.since_start_s()
                machine.screen(card.folder / f"face-{face.value[0]}.png")
            if face is StepFace.FAILED:
                said = machine.run("journalctl -u midgrey-first-boot -n 5 -o cat --no-pager").text
                raise MachineError(f"a step of the first boot failed:\n{said}")
            return DONE in done_steps(machine)

        machine.until("end of the first boot", is_done, FIRST_BOOT_S, 2.0)
        stepped = machine.since_start_s()
        if "packages" not in faces:
            raise MachineError(f"no face was seen while packages were installed, only {faces}")
        picture = until_picture(card, machine, "first-picture")
        grown = int(machine.check("df --output=size -B1M /var/lib/midgrey | tail -1"))
        if grown < GROWN_MB:
            raise MachineError(f"the data partition has {grown} MB on a card of 16 GB")
        return (
            f"answering after {answering:.0f} s, steps done after {stepped:.0f} s, picture after "
            f"{picture:.0f} s; faces seen: {', '.join(faces)}; {grown} MB for marks"
        )


def until_picture(card: Card, machine: CardMachine, name: str) -> float:
    """Wait until the unit has said that it is ready and colour bars stand on the screen."""

    def is_there() -> bool:
        screen = machine.screen(card.folder / f"{name}.png")
        middle = screen[screen.shape[0] // 3].astype(int)
        return (
            "ActiveState=active" in machine.run("systemctl show -p ActiveState midgrey").text
            and float((np.ptp(middle, axis=1) > 80).mean()) > 0.3
        )

    machine.until("picture", is_there, PICTURE_S, 5.0)
    return machine.since_start_s()


def reading_as_on_x86(card: Card, layer: Path) -> str:
    """What is read of a frame on the board is what is read of the same frame on this machine."""
    with card.machine(layer) as machine:
        machine.until_answering(BOOT_S)
        links = machine.check("ls /sys/class/net").split()
        if links != ["lo"]:
            raise MachineError(f"there are network devices: {links}")
        picture = until_picture(card, machine, "picture")
        machine.check("systemctl stop midgrey", 200.0)
        machine.put("/run/tests/kept_frame.py", (HERE / "guest/kept_frame.py").read_bytes())
        settings = "$(systemctl show -p Environment --value midgrey)"
        said = {}
        for form in ([], ["--json"]):
            command = f"env {settings} {PYTHON} /run/tests/kept_frame.py keep /run/frame.npz"
            words = " ".join([*WORDS, *form])
            said[bool(form)] = machine.check(f"cd /run && {command} {words}", READ_S)
            frame = card.folder / f"frame{len(form)}.npz"
            frame.write_bytes(machine.get("/run/frame.npz"))
            here = read_here(frame, [*WORDS, *form])
            if here != said[bool(form)]:
                raise MachineError(f"on the board:\n{said[bool(form)]}\nhere:\n{here}")
        doctor = machine.check(f"env {settings} /opt/midgrey/current/bin/midgrey doctor", READ_S)
        (card.folder / "reading.txt").write_text(said[False] + doctor)
    version = next(line for line in doctor.splitlines() if line.split()[:1] == ["midgrey"])
    if "manifest.txt" not in "".join(doctor.split()):  # a path may go over two lines
        raise MachineError(f"the doctor names no manifest:\n{version}")
    count = sum(letter.isdigit() for letter in said[True])
    return f"picture {picture:.0f} s after power-on; {count} digits of JSON and every line equal"


def read_here(frame: Path, words: list[str]) -> str:
    """The same command on a frame that was kept, by this machine's own processor."""
    command = [sys.executable, str(HERE / "guest/kept_frame.py"), "again", str(frame), *words]
    done = subprocess.run(
        command, cwd=REPO, env=_plain(), capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise MachineError(f"here the frame is not read: {done.stderr}")
    return done.stdout


def read_only(card: Card, layer: Path) -> str:
    """A card that was asked for so: its first boot writes the root, and no start after it does."""
    first = first_boot(card, layer)
    machine = card.machine(layer)
    machine.words = options_on(layer, card.image.disk)
    with machine:
        machine.until_answering(BOOT_S)
        _is_below_memory(machine)
        picture = until_picture(card, machine, "read-only-picture")
        machine.check(f"echo x | tee {MARKS_TOO} > {FORGOTTEN}; sync")
    with machine:
        machine.until_answering(BOOT_S)
        _is_below_memory(machine)
        if machine.run(f"test -e {FORGOTTEN}").status == 0:
            raise MachineError("what was written to the root outlived the power")
        machine.check(f"test -e {MARKS_TOO}")  # the partition of marks is written as ever
    return f"{first}; then, read-only, a picture after {picture:.0f} s, and the root forgets"


def _is_below_memory(machine: CardMachine) -> None:
    """The root's own file system is not written: one in memory lies over it."""
    root, card = (machine.check(f"findmnt -no FSTYPE,OPTIONS {at}") for at in ("/", BELOW))
    if not re.match(r"overlay +rw\b", root) or not re.match(r"ext4 +ro\b", card):
        said = machine.run("cat /proc/cmdline").text
        raise MachineError(f"the root is {root.strip()}, below it {card.strip()}: {said}")


def _plain() -> dict[str, str]:
    return {"PATH": "/usr/bin:/bin", "PYTHONPATH": str(REPO), "HOME": str(Path.home())}


def cuts(card: Card, layer: Path, times: int, seed: int = 17) -> str:
    """Power goes at random moments of the whole board's first boot; it goes on by itself."""
    chance = random.Random(seed)
    fresh_card(card.image, layer)
    moments: list[str] = []
    for _ in range(times):
        with card.machine(layer) as machine:
            machine.until_answering(BOOT_S)
            time.sleep(chance.uniform(0.0, 150.0))
            done = done_steps(machine)
            moments.append(f"{machine.since_start_s():.0f} s ({len(done)} steps done)")
        if DONE in done:
            fresh_card(card.image, layer)
    said = first_boot_goes_on(card, layer)
    return f"{times} cuts, at {', '.join(moments)}; then {said}"


def cuts_in_steps(card: Card, layer: Path, times: int, seed: int = 18) -> str:
    """Power goes at random moments of the first boot's own steps, again and again on one card.

    Nothing but they runs, in the place of init, so that a cut costs a minute and not five. Once all
    of them are done the packages are looked at, and another card takes the cuts that are left.
    """
    chance = random.Random(seed)
    fresh_card(card.image, layer)
    cut = whole = 0
    longest_s = CUT_S
    while True:
        machine = card.machine(layer)
        machine.options = "quiet init=/" + CUTS
        with machine:
            machine.until_serial("BEGINS", BOOT_S)
            begun_s = time.monotonic()
            stands = re.findall("STANDS (.*)", machine.serial())[0].strip()
            wait_s = chance.uniform(0.0, longest_s) if cut < times else FIRST_BOOT_S
            ended = _ends_within(machine, wait_s)
            span_s = time.monotonic() - begun_s
            if ended:
                _looked(machine)
                whole += 1
        print(f"       found {stands}; {'ended' if ended else 'cut'} at {span_s:.0f} s", flush=True)
        if not ended:
            cut += 1
        elif cut >= times:
            return f"{cut} cuts within the steps, on {whole} cards: each went on to its end, whole"
        else:
            fresh_card(card.image, layer)


def _ends_within(machine: CardMachine, wait_s: float) -> bool:
    """Whether all steps end within the time."""
    try:
        machine.until("end of the steps", lambda: "ENDS " in machine.serial(), wait_s)
    except MachineError:
        return "ENDS " in machine.serial()
    return True


def _looked(machine: CardMachine) -> None:
    """What the guest found once its steps had ended is a card that is whole."""
    machine.until_serial("LOOKED", FIRST_BOOT_S)
    said = machine.serial()
    stands = re.findall("STANDS (.*)", said)[-1]
    grown = re.search(r"DATA +(\d+)", said)
    is_whole = "ENDS 0" in said and "PACKAGES WHOLE" in said and "half=0/0" in stands
    if not is_whole or f"{DONE}," not in stands or grown is None or int(grown[1]) < GROWN_MB:
        raise MachineError(f"the card is not whole:\n{said[-1500:]}")


def first_boot_goes_on(card: Card, layer: Path) -> str:
    """A card that was cut off comes up by itself: every step done, packages whole, a picture."""
    with card.machine(layer) as machine:
        machine.until_answering(BOOT_S)
        machine.until(
            "end of the first boot", lambda: DONE in done_steps(machine), FIRST_BOOT_S, 3.0
        )
        wrong = machine.run("dpkg --audit").text.strip()
        if wrong:
            raise MachineError(f"packages are not whole:\n{wrong}")
        picture = until_picture(card, machine, "after-cuts")
        return f"all steps done and a picture after {picture:.0f} s"
