"""Versions: one taken, those that must be given up given up, and power that goes meanwhile."""

import random
import re
import time
from pathlib import Path

import versions
from checks_screen import keep, until_live
from image import Image
from machine import Machine, MachineError, keeping_layer

MIDGREY = "/opt/midgrey/current/bin/midgrey"
SHA = (
    "find -L {} -type f ! -path '*/__pycache__/*' -printf '%P\\0' | sort -z "
    "| (cd {} && xargs -0 sha256sum) | sha256sum"
)
KEPT = "sha256sum /var/lib/midgrey/settings.json /etc/midgrey/environment"
# Nothing of this changes while something is refused.
STANDS = (
    "cd /opt/midgrey && ls -l current previous trial given-up 2>/dev/null; "
    "find releases -printf '%p %s %T@\\n' | sort | sha256sum"
)
TIMER = "/etc/systemd/system/midgrey-trial.timer"
TAKEN_S = 1500.0
GIVEN_UP_S = 1500.0
CUT_S = 600.0
LIVE_S = 600.0
"""A busy machine takes minutes from power-on to picture: nothing here is about how long."""


def give_time(machine: Machine, seconds: int = 600) -> None:
    """A trial's time for a board whose host is busy; a file, so that a power cut leaves it."""
    lines = "".join(f"{key}=\n{key}={seconds}\n" for key in ("OnActiveSec", "OnUnitActiveSec"))
    machine.put(f"{TIMER}.d/emulated.conf", f"[Timer]\n{lines}".encode())
    machine.check("systemctl daemon-reload; sync", 120.0)


def _take(machine: Machine, number: str, words: str = "") -> str:
    return machine.check(f"{MIDGREY} update /root/bundles/{number}.update {words}", TAKEN_S)


def _current(machine: Machine) -> str:
    return machine.check("basename $(readlink /opt/midgrey/current)").strip()


def _sum_of(machine: Machine, folder: str) -> str:
    """One digest of all files of a folder."""
    return machine.check(SHA.replace("{}", folder), 300.0).strip()


def _on_trial(machine: Machine) -> bool:
    return machine.run("test -e /opt/midgrey/trial").status == 0


def _runs(machine: Machine) -> str:
    """The version of the running process; empty where none runs."""
    pid = "$(systemctl show --property=MainPID --value midgrey.service)"
    said = machine.run(f"tr '\\0' '\\n' < /proc/{pid}/environ | grep ^MIDGREY_RELEASE=").text
    return said.strip().rpartition("/")[2]


def taken(machine: Machine) -> str:
    """A newer version proves itself by its own pictures, and all that was set is as it was."""
    until_live(machine, LIVE_S, 0.5)
    machine.key("left", "left")
    machine.until(
        "settings on the card",
        lambda: not machine.run("test -e /var/lib/midgrey/settings.json").status,
        90.0,
    )
    time.sleep(5.0)
    give_time(machine)
    kept, before = machine.check(KEPT), _current(machine)
    start = time.monotonic()
    said = _take(machine, versions.GOOD)
    took_s = time.monotonic() - start
    assert "is on trial" in said, said
    assert _on_trial(machine)
    machine.until("a proof", lambda: not _on_trial(machine), GIVEN_UP_S, 1.0)
    now = _current(machine)
    assert now.startswith(versions.GOOD), now
    assert _runs(machine) == now, (_runs(machine), now)
    until_live(machine, LIVE_S, 0.5)
    assert machine.check(KEPT) == kept
    log = machine.check("journalctl -b -o cat -u midgrey-proved.service")
    assert f"{now} stays" in log, log
    return f"{before} to {now}: {took_s:.0f} s for all of it beside the picture, then proved"


def refused(machine: Machine) -> str:
    """Each with one sentence, and nothing is changed."""
    stands, said = machine.check(STANDS, 120.0), []
    cases = {
        versions.STRANGER: "it is not signed by anyone whom this unit trusts",
        versions.FLIPPED: "what it carries is not what was signed",
        versions.OLDER: "is older than",
        versions.GOOD: "is on this unit already",
    }
    for number, why in cases.items():
        done = machine.run(f"{MIDGREY} update /root/bundles/{number}.update", 300.0)
        words = done.text.strip().splitlines()
        assert done.status == 2, (number, done)
        assert len(words) == 1, words
        assert why in words[0], words
        said.append(number)
    fill = "df --output=avail -B1 / | tail -1 | awk '{print $1 - 60000000}'"
    machine.check(f"fallocate -l $({fill}) /root/fill")
    done = machine.run(f"{MIDGREY} update /root/bundles/{versions.BETTER}.update", 300.0)
    machine.check("rm /root/fill")
    assert done.status == 2, done
    assert "MB are free" in done.text, done.text
    assert machine.check(STANDS, 120.0) == stands
    return f"{len(said) + 1} refused, each in a sentence, and nothing changed"


def given_up(machine: Machine, number: str) -> str:
    """A version that must not stay is given up by itself, and the one before shows its picture."""
    before = _current(machine)
    start = time.monotonic()
    said = _take(machine, number)
    took_s = time.monotonic() - start
    assert "is on trial" in said, said
    if number == versions.BLACK:
        _is_black(machine)
    machine.until("the one before", lambda: _current(machine) == before, GIVEN_UP_S, 1.0)
    back_s = time.monotonic() - start - took_s
    try:
        until_live(machine, LIVE_S, 0.5)
    except MachineError as fault:
        log = machine.run("journalctl -b -o short-monotonic -u 'midgrey*' | tail -40").text
        raise MachineError(f"{fault}\n{log}") from fault
    assert _runs(machine) == before
    assert not _on_trial(machine)
    listed = machine.check(f"{MIDGREY} update --list", 120.0)
    told = re.search(rf"^({re.escape(number)}\S*)  given up: (.*)$", listed, re.MULTILINE)
    assert told, listed
    keep(machine, f"given-up-{number}")
    return f"{told[2]}; {back_s:.0f} s from its first start to the one before"


def _is_black(machine: Machine) -> None:
    """It is seen black from outside, while its unit calls itself ready."""

    def happens() -> bool:
        active = machine.run("systemctl is-active midgrey.service").text.strip() == "active"
        return active and int(machine.screen().max()) < 8

    machine.until("a black screen of a unit that is ready", happens, GIVEN_UP_S, 1.0)


def back_by_hand(machine: Machine) -> str:
    """One goes back by a word, and forth again."""
    before = _current(machine)
    said = machine.check(f"{MIDGREY} update --back", 120.0)
    other = _current(machine)
    assert other != before
    assert said.strip() == f"Back to {other}.", said
    machine.until("its process", lambda: _runs(machine) == other, 120.0, 1.0)
    until_live(machine, LIVE_S, 0.5)
    machine.check(f"{MIDGREY} update --back", 120.0)
    assert _current(machine) == before
    until_live(machine, LIVE_S, 0.5)
    return f"{before}, {other}, {before}"


def cuts_while_updating(image: Image, folder: Path, times: int, seed: int = 4) -> str:
    """Cut the power at any moment of an update: it boots by itself into one of two whole ones."""
    layer = keeping_layer(image, folder / "updates.qcow2")
    moments, starts = random.Random(seed), []
    machine = Machine(image, folder / "updates", disk=layer)
    machine.start()
    try:
        machine.until_answering()
        until_live(machine, LIVE_S, 0.5)
        give_time(machine)
        old = _current(machine)
        whole = {old: _sum_of(machine, "/opt/midgrey/current/")}
        span = _one_update(machine, old, whole)
        for number in range(times):
            machine.check(f"setsid {_updating()} > /root/update.log 2>&1 < /dev/null &")
            at_s = span * (number + moments.random()) / times
            time.sleep(at_s)
            starts.append(_cut(machine, old, whole, at_s))
    finally:
        machine.cut()
    new = sum(each != old for each in starts)
    return (
        f"{times} cuts over the {span:.0f} s of an update: each booted by itself into a whole "
        f"version that showed its picture, {times - new} times the old one, {new} times the new"
    )


def _updating() -> str:
    return f"{MIDGREY} update /root/bundles/{versions.BETTER}.update"


def _one_update(machine: Machine, old: str, whole: dict[str, str]) -> float:
    """An update that nothing disturbs: what the new version is, and how long all of it takes."""
    start = time.monotonic()
    _take(machine, versions.BETTER)
    machine.until("a proof", lambda: not _on_trial(machine), GIVEN_UP_S, 1.0)
    span = time.monotonic() - start
    new = _current(machine)
    whole[new] = _sum_of(machine, "/opt/midgrey/current/")
    _start_anew(machine, old)
    return span


def _start_anew(machine: Machine, old: str) -> None:
    """The old version started, and nothing known of the new one but its kernels."""
    if _current(machine) != old:
        machine.check(f"{MIDGREY} update --back", 120.0)
    machine.check(
        "cd /opt/midgrey && rm -f previous trial given-up && cd releases && "
        f"find . -mindepth 1 -maxdepth 1 ! -name {old} -exec rm -rf {{}} + && sync"
    )
    until_live(machine, LIVE_S, 0.5)


def _cut(machine: Machine, old: str, whole: dict[str, str], at_s: float) -> str:
    """Cut, boot, and look: the version that is started then."""
    machine.cut()
    machine.start()
    machine.until_answering()
    # Off and on, as whoever sees no picture would; a version on trial may need its starts.
    until_live(machine, LIVE_S, 0.5)
    now, runs = _current(machine), _runs(machine)
    assert runs == now, (runs, now)
    assert now in whole, now
    there = machine.check("ls /opt/midgrey/releases").split()
    for version in there:
        found = _sum_of(machine, f"/opt/midgrey/releases/{version}/")
        assert found == whole[version], f"{version} is not whole after a cut at {at_s:.0f} s"
    print(f"       cut at {at_s:.0f} s: {now}, there are {there}", flush=True)
    machine.until("no trial", lambda: not _on_trial(machine), GIVEN_UP_S, 1.0)
    until_live(machine, LIVE_S, 0.5)
    _start_anew(machine, old)
    return now


def cuts_while_installing(image: Image, folder: Path, times: int, seed: int = 5) -> str:
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
