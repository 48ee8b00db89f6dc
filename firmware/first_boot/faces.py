"""What the screen shows while a step takes its time: pictures that were drawn beforehand.

Where the kernel gives a framebuffer they are written into it; else the same words go to the first
console. Nothing that goes wrong with a screen stops a step.
"""

import os
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path

from firmware.errors import ScreenError
from firmware.first_boot import grey_picture
from firmware.screen.fbdev import BLANK, UNBLANK, Node, SystemNode, read_plan
from overlays.wording.read_number import whole_in

PICTURES = Path(__file__).resolve().parent / "faces"


class StepFace(Enum):
    """One picture; the value is its name, and its words."""

    PACKAGES = (
        "packages",
        "First start, 1 of 3",
        "installing what draws on the screen",
        "power may go at any time: it goes on from here",
    )
    CODE = (
        "code",
        "First start, 2 of 3",
        "making midgrey ready",
        "power may go at any time: it goes on from here",
    )
    DATA = (
        "data",
        "First start, 3 of 3",
        "making room for marks and settings",
        "power may go at any time: it goes on from here",
    )
    FAILED = (
        "failed",
        "This step failed",
        "the reason is on the card, in midgrey/log",
        "the next start tries it again",
    )

    @property
    def words(self) -> tuple[str, ...]:
        """What it says, line by line."""
        return self.value[1:]


@dataclass
class FacePanel:
    """Where faces are shown.

    Attributes
    ----------
    node:
        The framebuffer; None where there is none.
    console:
        Where words go instead.
    turned:
        Degrees, clockwise.
    """

    node: Node | None
    console: Path
    turned: int = 0
    _last: int = field(default=-1)
    _fitted: dict[bytes, bytes] = field(default_factory=dict)
    _packed: dict[bytes, bytes] = field(default_factory=dict)
    _rows: list[bytes] = field(default_factory=list)
    """What was made and drawn before: as a bar moves, a few lines are new, and this is slow."""

    def show(self, face: StepFace, done: float | None = None) -> None:
        """Show a face; `done`, 0 to 1, is how much of its step is behind us.

        A step of less than a fiftieth is not drawn again.
        """
        step = -1 if done is None else round(done * 50)
        if step == self._last and done is not None:
            return
        self._last = step
        if self.node is not None:
            with suppress(OSError, ScreenError, ValueError):
                self._draw(self.node, face, done)
                return
        if done is None:
            with suppress(OSError):
                self.console.write_text("\033c\n\n  midgrey\n\n  " + "\n  ".join(face.words) + "\n")

    def _draw(self, node: Node, face: StepFace, done: float | None) -> None:
        plan = read_plan(node, "the framebuffer")
        picture = grey_picture.read_png((PICTURES / f"{face.value[0]}.png").read_bytes())
        if done is not None:
            picture = grey_picture.with_bar(picture, done)
        picture = grey_picture.turned(picture, self.turned)
        fitted = grey_picture.fitted(picture, plan.columns, plan.rows, self._fitted)
        rows = grey_picture.packed(plan, fitted, self._packed)
        with suppress(OSError):  # not every driver knows it
            node.ask(BLANK, UNBLANK)
        memory = node.map(plan.length)
        if done is None:
            self._rows = []  # somebody else may have drawn since
        for number, row in enumerate(rows):
            if self._rows[number : number + 1] != [row]:
                at = plan.start + number * plan.stride
                memory[at : at + len(row)] = row
        self._rows = rows


def find_panel(environ: Mapping[str, str] = os.environ, root: Path = Path("/")) -> FacePanel:
    """The framebuffer that is named, else the first; else the first console."""
    named = environ.get("MIDGREY_FRAMEBUFFER") or "/dev/fb0"
    degrees = environ.get("MIDGREY_ROTATE", "0")
    node: Node | None = None
    with suppress(OSError):
        node = SystemNode(root / named.lstrip("/"))
    return FacePanel(node, root / "dev/tty1", whole_in(degrees) or 0)
