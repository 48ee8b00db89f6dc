"""Power that goes while a version is brought, tried and proved: one whole version comes up."""

import itertools
import random
import re
import shutil
import time
from dataclasses import dataclass, field
from pathlib import Path

import versions
from checks_screen import keep, until_live
from checks_update import GIVEN_UP_S, LIVE_S, MIDGREY, current, give_time, on_trial, runs, sum_of
from image import Image
from machine import Machine, MachineError, keeping_layer

CUT_S = 600.0
GAP_S = 20.0
"""Between two moments at which the card is kept, at the most: some dozens of an update."""
LOG = "/root/update.log"


@dataclass
class Moments:
    """One update from its first word to its proof, and the card as it was at moments of it.

    Attributes
    ----------
    cards:
        Each moment's card, and how many seconds after the start of the update that was.
    whole:
        Version -> one digest of all its files, as they are when nothing was disturbed.
    """

    old: str
    whole: dict[str, str] = field(default_factory=dict)
    cards: list[tuple[float, Path]] = field(default_factory=list)
    span_s: float = 0.0


def while_updating(image: Image, folder: Path, times: int, seed: int = 4) -> str:
    """Power lost at any moment of an update: the board comes up by itself in one whole version.

    What a power cut leaves is what is on the card. So that not every one takes an update of its
    own, one is made and its card kept, with nothing flushed, at moments drawn at random; a board
    is then switched on with each: ``times`` of them, from all over the update.
    """
    moments = moments_of_an_update(image, folder, random.Random(seed))
    cards, times = moments.cards, min(times, len(moments.cards))
    ends = [each * len(cards) // times for each in range(times + 1)]
    parts = [cards[start:end] for start, end in itertools.pairwise(ends)]
    draw, came = random.Random(seed), []
    # In no order: whoever ends it early has moments from all over the update.
    for part in draw.sample(parts, len(parts)):
        at_s, card = draw.choice(part)
        came.append(comes_up(image, folder, card, at_s, moments))
    new = sum(each != moments.old for each in came)
    return (
        f"{len(came)} cuts over the {moments.span_s:.0f} s of an update: each came up by itself in "
        f"a whole version with its picture, {len(came) - new} times the old one, {new} times the "
        "new"
    )


def moments_of_an_update(image: Image, folder: Path, draw: random.Random) -> Moments:
    """Make one update; keep the card at moments between its start and its proof."""
    layer = keeping_layer(image, folder / "updates.qcow2")
    with Machine(image, folder / "updates", disk=layer) as machine:
        machine.until_answering()
        until_live(machine, LIVE_S, 0.5)
        give_time(machine)
        moments = Moments(current(machine))
        moments.whole[moments.old] = sum_of(machine, "/opt/midgrey/current/")
        bundle = f"/root/bundles/{versions.BETTER}.update"
        machine.check(f"setsid {MIDGREY} update {bundle} > {LOG} 2>&1 < /dev/null &")
        start = time.monotonic()
        while not _is_proved(machine):
            time.sleep(draw.uniform(0.0, GAP_S))
            at_s = time.monotonic() - start
            if at_s > GIVEN_UP_S:
                raise MachineError(f"no proof: {machine.check(f'cat {LOG}')}")
            moments.cards.append((at_s, _kept(machine, folder, len(moments.cards))))
        moments.span_s = time.monotonic() - start
        new = current(machine)
        assert new.startswith(versions.BETTER), new
        moments.whole[new] = sum_of(machine, "/opt/midgrey/current/")
    return moments


def _is_proved(machine: Machine) -> bool:
    """Whether the update has ended well, and its trial too."""
    said = machine.check(f"cat {LOG} 2> /dev/null || true")
    if said and "is on trial" not in said:
        raise MachineError(f"the update failed: {said}")
    return bool(said) and not on_trial(machine)


def _kept(machine: Machine, folder: Path, number: int) -> Path:
    """The card as it is now, copied while the board stands still: what it held back is not on it.

    The emulator writes all that the guest has handed over into its file when it stops (a chain of
    layers, one a moment, needed no stop; two hundred of them made everything slow).
    """
    card = folder / f"moment-{number:03}.qcow2"
    machine.monitor("stop")
    shutil.copyfile(machine.disk, card)
    machine.monitor("cont")
    return card


def comes_up(image: Image, folder: Path, card: Path, at_s: float, moments: Moments) -> str:
    """Switch a board on with a card that lost power then, and look: the version it ends up in."""
    name = f"up-{at_s:.1f}"
    layer = folder / f"{name}.qcow2"
    shutil.copyfile(card, layer)
    with Machine(image, folder / name, disk=layer) as machine:
        machine.until_answering()
        until_live(machine, LIVE_S, 0.5)
        live_s, first = machine.since_start_s(), current(machine)
        machine.until("no trial", lambda: not on_trial(machine), GIVEN_UP_S, 1.0)
        until_live(machine, LIVE_S, 0.5)
        keep(machine, "live")
        now, running = current(machine), runs(machine)
        assert running == now == first, (first, now, running)
        assert now in moments.whole, now
        there = machine.check("ls /opt/midgrey/releases").split()
        for version in there:
            found = sum_of(machine, f"/opt/midgrey/releases/{version}/")
            assert found == moments.whole[version], f"{version} is not whole, cut at {at_s:.1f} s"
    print(f"       cut at {at_s:.1f} s: live in {now} after {live_s:.0f} s, {there}", flush=True)
    layer.unlink()
    return now


def while_installing(image: Image, folder: Path, times: int, seed: int = 5) -> str:
    """Cut the power while a version is brought onto the card: it is there whole, or not at all.

    Nothing but the update runs, in the place of init, so that a cut costs a minute and not ten.
    """
    layer = keeping_layer(image, folder / "installs.qcow2")
    machine = Machine(image, folder / "installs", disk=layer, options="init=/root/cuts/init")
    moments, stood = random.Random(seed), []
    span, whole = _undisturbed(machine)
    # In no order: whoever ends it early has cuts from all over the update.
    for number in moments.sample(range(times + 1), times + 1):
        machine.start()
        try:
            machine.until_serial("INSTALLING", CUT_S)
            stood.append(_stood(machine.serial(), whole))
            time.sleep(span * (number + moments.random()) / max(times, 1))
        finally:
            machine.cut()
        print(f"       {stood[-1]}", flush=True)
    after = stood[1:]
    new = sum(not each.startswith(stood[0].split()[0]) for each in after)
    return (
        f"{len(after)} cuts over the {span:.0f} s of an update: {len(after) - new} times the old "
        f"version is started, {new} times the new one, on trial; every version on the card is whole"
    )


def _undisturbed(machine: Machine) -> tuple[float, dict[str, str]]:
    """How long an update takes that nothing disturbs, and what versions are then."""
    machine.start()
    try:
        machine.until_serial("INSTALLING", CUT_S)
        start = time.monotonic()
        machine.until_serial("INSTALLED", CUT_S)
        span = time.monotonic() - start
    finally:
        machine.cut()
    machine.start()
    try:
        machine.until_serial("INSTALLING", CUT_S)
        whole = dict(re.findall(r"VERSION (\S+) ([0-9a-f]{16})", machine.serial()))
    finally:
        machine.cut()
    assert len(whole) == 2, machine.serial()[-2000:]
    return span, whole


def _stood(said: str, whole: dict[str, str]) -> str:
    """How versions stood at a boot, after they were found whole."""
    found = re.search(r"STANDS (\S+) trial=(\S*)", said)
    assert found, said[-2000:]
    assert "STARTS" in said, said[-2000:]
    assert found[1] in whole, found[0]
    there = dict(re.findall(r"VERSION (\S+) ([0-9a-f]{16})", said))
    for version, digest in there.items():
        assert digest == whole.get(version), f"{version} is not whole: {said[-2000:]}"
    return f"{found[1]} is started, trial {found[2] or 'none'}, there are {len(there)}"
