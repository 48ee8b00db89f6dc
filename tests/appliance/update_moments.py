"""One update, and the card as it would be had the power gone at moments of each of its steps.

What a power cut leaves is what is on the card. The emulator is stopped with its memory and all that
it holds back, its file is copied as it lies there, and it goes on: to the byte what is there after
the emulator is killed. So not every cut takes an update of its own.
"""

import random
import re
import time
from dataclasses import dataclass, field
from pathlib import Path

import versions
from checks_screen import until_live
from checks_update import GIVEN_UP_S, LIVE_S, PYTHON, current, give_time, sum_of
from image import Image
from machine import Machine, MachineError, keeping_layer

HERE = Path(__file__).resolve().parent
LOG = "/root/update.log"
EVERY_S, LOOK_S = 0.02, 10.0
TOLD_LAST = "asked to start"
STANDS = (
    "cat /opt/midgrey/trial 2>/dev/null; test -e /run/midgrey/proved && echo proved; "
    "pid=$(systemctl show --property=MainPID --value midgrey.service); "
    "tr '\\0' '\\n' < /proc/$pid/environ 2>/dev/null | grep ^MIDGREY_RELEASE= ; true"
)
STOPPING, STARTS = "the one before stops", "its first start"
PROOF, STAYS = "it has proved itself", "the trial is over"
AFTER = (STOPPING, STARTS, PROOF, STAYS)
STEPS = {
    "being brought": (1, 2.0),
    "signature and sum": (1, 2.0),
    "unpacking": (3, 15.0),
    "everything to the card": (2, 0.3),
    "compiling": (2, 15.0),
    "it has its name": (1, 0.1),
    "its own check": (2, 60.0),
    "before the link previous": (1, 0.0),
    "after the link previous": (1, 0.0),
    "before the note of its trial": (1, 0.0),
    "before the link current": (1, 0.0),
    "after the link current": (1, 0.0),
    TOLD_LAST: (1, 1.0),
    STOPPING: (1, 1.0),
    STARTS: (4, 30.0),
    PROOF: (2, 0.5),
    STAYS: (1, 2.0),
}
"""How many cards of each step, and within how many seconds of its beginning: as long as one takes
on an emulated board, or shorter. A step that is over sooner has fewer."""


@dataclass(frozen=True)
class Moment:
    """A card as it was at a moment: in which step, and how many seconds after the update began."""

    step: str
    at_s: float
    card: Path


@dataclass
class Moments:
    """One update from its first word to its proof.

    Attributes
    ----------
    old:
        The version before it.
    whole:
        Version -> one digest of all its files, as they are when nothing was disturbed.
    kept:
        The card at moments of it.
    span_s:
        How long all of it took.
    """

    old: str
    whole: dict[str, str] = field(default_factory=dict)
    kept: list[Moment] = field(default_factory=list)
    span_s: float = 0.0

    def drawn(self, times: int, draw: random.Random) -> list[Moment]:
        """So many of them, in no order: one of each step before a second of any."""
        seen: dict[str, int] = {}
        ranked = []
        for moment in draw.sample(self.kept, len(self.kept)):
            seen[moment.step] = seen.get(moment.step, 0) + 1
            ranked.append((seen[moment.step], len(ranked), moment))
        chosen = [moment for _, _, moment in sorted(ranked, key=lambda each: each[:2])[:times]]
        return draw.sample(chosen, len(chosen))


def of_an_update(image: Image, folder: Path, draw: random.Random) -> Moments:
    """Make one update; keep the card at moments of each of its steps."""
    layer = keeping_layer(image, folder / "updates.qcow2")
    with Machine(image, folder / "updates", disk=layer) as machine:
        machine.until_answering()
        until_live(machine, LIVE_S, 0.5)
        give_time(machine)
        moments = Moments(current(machine))
        moments.whole[moments.old] = sum_of(machine, "/opt/midgrey/current/")
        machine.put("/run/tests/told_update.py", (HERE / "guest/told_update.py").read_bytes())
        bundle = f"/root/bundles/{versions.BETTER}.update"
        words = f"{PYTHON} /run/tests/told_update.py {bundle}"
        machine.check(f"sync; setsid {words} > {LOG} 2>&1 < /dev/null &")
        _keep(machine, moments, folder, draw)
        new = current(machine)
        assert new.startswith(versions.BETTER), new
        moments.whole[new] = sum_of(machine, "/opt/midgrey/current/")
    return moments


def _keep(machine: Machine, moments: Moments, folder: Path, draw: random.Random) -> None:
    """Keep cards until the new version has proved itself, and for a moment after it."""
    start, now, due, looked_s = time.monotonic(), "", list[float](), 0.0
    while now != STAYS or due:
        step, at_s = _step(machine, now), time.monotonic() - start
        if at_s - looked_s > LOOK_S:
            looked_s = at_s
            _must_go_on(machine, at_s)
        if step != now:
            print(f"       {at_s:.1f} s: {step}", flush=True)
            times, within_s = STEPS.get(step, (0, 0.0))
            now, due = step, sorted(at_s + draw.uniform(0.0, within_s) for _ in range(times))
        if due and at_s >= due[0]:
            due.pop(0)
            card = folder / f"moment-{len(moments.kept):03}.qcow2"
            said = machine.copy_card(card)
            # The step it was copied in: it may have gone on since it was looked at.
            moments.kept.append(Moment(step if step in AFTER else _told(said), at_s, card))
        time.sleep(EVERY_S)
    moments.span_s = time.monotonic() - start


def _must_go_on(machine: Machine, at_s: float) -> None:
    """Make sure that the update has not ended with another word, and not gone on for ever."""
    said = machine.check(f"cat {LOG} 2> /dev/null || true")
    if (said and "is on trial" not in said) or at_s > GIVEN_UP_S:
        raise MachineError(f"no proof after {at_s:.0f} s: {said}")


def _told(said: str) -> str:
    """The step that the update told last, on the serial line."""
    found = re.findall(r"^STEP (.*?)\r?$", said, re.MULTILINE)
    return str(found[-1]) if found else ""


def _step(machine: Machine, before: str) -> str:
    """The step that the update is in; after its last word, how the unit stands."""
    told = _told(machine.serial())
    if told != TOLD_LAST or before not in {TOLD_LAST, *AFTER}:
        return told
    said = machine.check(STANDS)
    if not said.startswith(versions.BETTER):
        return STAYS
    if "proved" in said:
        return PROOF
    return STARTS if f"/{versions.BETTER}" in said else STOPPING
