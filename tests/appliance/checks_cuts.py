"""Power that goes while a version is brought, tried and proved: one whole version comes up."""

import random
import re
import time
from pathlib import Path

from checks_screen import keep, until_live
from checks_update import GIVEN_UP_S, LIVE_S, current, on_trial, runs, sum_of
from image import Image
from machine import Machine, keeping_layer
from update_moments import STEPS, Moment, Moments, of_an_update

CUT_S = 600.0


def while_updating(image: Image, folder: Path, times: int, seed: int = 4) -> str:
    """Power lost in any step of an update: the board comes up by itself in one whole version.

    A board is switched on with each card that one update left at moments of its steps
    (`update_moments`).
    """
    moments = of_an_update(image, folder, random.Random(seed))
    assert len(moments.kept) >= times, [each.step for each in moments.kept]
    came: dict[str, list[str]] = {}
    # In no order: whoever ends it early has moments from all over the update.
    for moment in moments.drawn(times, random.Random(seed)):
        version = comes_up(image, folder, moment, moments)
        said = "old" if version == moments.old else "new"
        came.setdefault(moment.step, []).append(said)
    steps = "; ".join(f"{step}: {', '.join(came[step])}" for step in STEPS if step in came)
    new = sum(each.count("new") for each in came.values())
    return (
        f"{times} cuts over the {moments.span_s:.0f} s of an update: each came up by itself in a "
        f"whole version with its picture, {times - new} times the old one, {new} times the new "
        f"({steps})"
    )


def comes_up(image: Image, folder: Path, moment: Moment, moments: Moments) -> str:
    """Switch a board on with a card that lost power then, and look: the version it ends up in."""
    name = f"up-{moment.card.stem}"
    with Machine(image, folder / name, disk=moment.card) as machine:
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
            assert found == moments.whole[version], f"{version} is not whole, cut at {moment}"
    where = f"{moment.step}, {moment.at_s:.1f} s"
    print(f"       cut at {where}: live in {now} after {live_s:.0f} s, {there}", flush=True)
    moment.card.unlink()
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
