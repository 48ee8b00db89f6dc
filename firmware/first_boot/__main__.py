"""The first boot of a card: `python -m firmware.first_boot`, as midgrey-first-boot.service runs it.

It ends with status 0 when every step is done, now or before, and with 2 when one failed; the unit
itself is started either way.
"""

import os
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from firmware.clock import Clock, SystemClock
from firmware.errors import FirmwareError
from firmware.first_boot import code, kernel_options, packages, partition
from firmware.first_boot.boot_steps import DONE, BootStep, mark, marks_in, remaining
from firmware.first_boot.faces import FacePanel, StepFace, find_panel

CARD = Path("/opt/midgrey/card")
"""What the image brings for this: `debs/` with packages, and `marks/`."""
BOOT = Path("/boot/firmware")
LOG = Path("midgrey/log/first-boot.txt")
COMPILED = "compiled"
"""In the image's `card/` where the code was made ready when the image was made."""


@dataclass
class FirstBoot:
    """What the steps work on.

    Attributes
    ----------
    panel:
        Where faces are shown.
    root:
        The root, another one in tests.
    code:
        The folder of this version's packages.
    """

    panel: FacePanel
    root: Path = Path("/")
    code: Path = Path(__file__).resolve().parents[2]

    @property
    def card(self) -> Path:
        """What the image brings."""
        return self.root / CARD.relative_to("/")

    @property
    def boot(self) -> Path:
        """The partition that every laptop reads."""
        return self.root / BOOT.relative_to("/")


def install_packages(machine: FirstBoot) -> None:
    """`BootStep.PACKAGES`."""
    machine.panel.show(StepFace.PACKAGES, 0.0)
    packages.install(
        machine.card / "debs", lambda done: machine.panel.show(StepFace.PACKAGES, done)
    )


def compile_code(machine: FirstBoot) -> None:
    """`BootStep.CODE`: what Python would else compile at every start: the unit writes none."""
    if (machine.card / COMPILED).exists():
        return
    code.compile_missing(machine.code, lambda done: machine.panel.show(StepFace.CODE, done))


def grow_data(machine: FirstBoot) -> None:
    """`BootStep.DATA`."""
    place = partition.find(machine.root)
    if place is None:
        return
    machine.panel.show(StepFace.DATA)
    mounts = (machine.root / "proc/self/mountinfo").read_text()
    scratch = machine.root / "run/midgrey-first-boot"
    partition.grow(place, mounts, scratch, partition.run_program)


def write_options(machine: FirstBoot) -> None:
    """`BootStep.OPTIONS`."""
    path = machine.boot / "cmdline.txt"
    if path.exists():
        kernel_options.fulfil(path)


STEPS: dict[BootStep, Callable[[FirstBoot], None]] = {
    BootStep.PACKAGES: install_packages,
    BootStep.CODE: compile_code,
    BootStep.DATA: grow_data,
    BootStep.OPTIONS: write_options,
}


def first_boot(machine: FirstBoot, clock: Clock, sync: Callable[[], None]) -> int:
    """Do what is left to do; the exit status.

    Parameters
    ----------
    machine:
        What it is done to.
    clock:
        For the times that are written down.
    sync:
        Brings everything written to the card.
    """
    marks = machine.card / "marks"
    for step in remaining(marks_in(marks)):
        begun = clock.now_ns()
        try:
            STEPS[step](machine)
            sync()
            mark(marks, step.value)
        except (FirmwareError, OSError) as fault:
            machine.panel.show(StepFace.FAILED)
            note(machine, f"{step.value} failed: {fault}")
            return 2
        note(machine, f"{step.value} done in {(clock.now_ns() - begun) / 1e9:.1f} s")
    with suppress(OSError):
        mark(marks, DONE)
    return 0


def note(machine: FirstBoot, line: str) -> None:
    """Say a line in the system's log, and on the partition that a laptop reads."""
    sys.stderr.write(f"midgrey: first boot: {line}\n")
    with suppress(OSError):
        path = machine.boot / LOG
        if path.parent.is_dir():
            with path.open("a", encoding="utf-8") as file:
                file.write(line + "\n")
                file.flush()
                os.fsync(file.fileno())


def main() -> int:
    """Run what is left of the first boot."""
    machine = FirstBoot(find_panel())
    return first_boot(machine, SystemClock(), os.sync)


if __name__ == "__main__":
    sys.exit(main())
