"""Versions: one taken, others refused, and those that must be given up given up."""

import re
import time
from pathlib import Path

import versions
from checks_screen import keep, until_live
from machine import Machine, MachineError

HERE = Path(__file__).resolve().parent
MIDGREY = "/opt/midgrey/current/bin/midgrey"
PYTHON = "/opt/midgrey/current/bin/python"
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
KERNELS, LENT = "/var/cache/midgrey/kernels", "/root/lent"
TIMER = "/etc/systemd/system/midgrey-trial.timer"
TAKEN_S = 1500.0
GIVEN_UP_S = 1500.0
LIVE_S = 600.0
"""A busy machine takes minutes from power-on to picture: nothing here is about how long."""


def give_time(machine: Machine, seconds: int = 600) -> None:
    """A trial's time for a board whose host is busy; a file, so that a power cut leaves it."""
    keys = ("OnActiveSec", "OnUnitActiveSec")
    # An empty value of either takes all of them away, so both come first.
    lines = [*(f"{key}=" for key in keys), *(f"{key}={seconds}" for key in keys)]
    machine.put(f"{TIMER}.d/emulated.conf", "\n".join(["[Timer]", *lines, ""]).encode())
    machine.check("systemctl daemon-reload; sync", 120.0)
    said = machine.check("systemctl show -p TimersMonotonic midgrey-trial.timer")
    assert all(f"{key.replace('Sec', 'USec')}=" in said for key in keys), said


def take(machine: Machine, number: str, words: str = "") -> str:
    return machine.check(f"{MIDGREY} update /root/bundles/{number}.update {words}", TAKEN_S)


def current(machine: Machine) -> str:
    return machine.check("basename $(readlink /opt/midgrey/current)").strip()


def sum_of(machine: Machine, folder: str) -> str:
    """One digest of all files of a folder."""
    return machine.check(SHA.replace("{}", folder), 300.0).strip()


def on_trial(machine: Machine) -> bool:
    return machine.run("test -e /opt/midgrey/trial").status == 0


def runs(machine: Machine) -> str:
    """The version of the running process; empty where none runs."""
    pid = "$(systemctl show --property=MainPID --value midgrey.service)"
    said = machine.run(f"tr '\\0' '\\n' < /proc/{pid}/environ | grep ^MIDGREY_RELEASE=").text
    return said.strip().rpartition("/")[2]


def spare_kernels(machine: Machine) -> None:
    """Put the kernels that versions were lent aside: an update takes away those of no version."""
    machine.check(f"mkdir -p {LENT} && cp -a {KERNELS}/9.* {LENT}/ && sync", 120.0)


def lend_kernels(machine: Machine, number: str) -> None:
    """Give a version that is to be brought its kernels again, where an update took them away."""
    machine.check(f"test ! -d {LENT} || cp -a {LENT}/{number}-* {KERNELS}/; sync", 120.0)


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
    spare_kernels(machine)
    kept, before = machine.check(KEPT), current(machine)
    start = time.monotonic()
    said = take(machine, versions.GOOD)
    took_s = time.monotonic() - start
    assert "is on trial" in said, said
    assert on_trial(machine)
    machine.until("a proof", lambda: not on_trial(machine), GIVEN_UP_S, 1.0)
    now = current(machine)
    assert now.startswith(versions.GOOD), now
    assert runs(machine) == now, (runs(machine), now)
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
    """A version that must not stay is given up by itself, and the one before shows its picture.

    Its own check, minutes on an emulated board, is left out: `taken` has it, and all of these pass
    it, since they do what they do as the unit's service alone.
    """
    give_time(machine, 120 if number == versions.SLEEPS else 300)  # the unit's own is 300
    before = current(machine)
    lend_kernels(machine, number)
    start = time.monotonic()
    machine.put("/run/tests/take.py", (HERE / "guest/take.py").read_bytes())
    said = machine.check(f"{PYTHON} /run/tests/take.py /root/bundles/{number}.update 2>&1", TAKEN_S)
    took_s = time.monotonic() - start
    assert "is on trial" in said, said
    if number == versions.BLACK:
        _is_black(machine)
    machine.until("the one before", lambda: current(machine) == before, GIVEN_UP_S, 1.0)
    back_s = time.monotonic() - start - took_s
    try:
        until_live(machine, LIVE_S, 0.5)
    except MachineError as fault:
        log = machine.run("journalctl -b -o short-monotonic -u 'midgrey*' | tail -40").text
        raise MachineError(f"{fault}\n{log}") from fault
    assert runs(machine) == before
    assert not on_trial(machine)
    listed = machine.check(f"{MIDGREY} update --list", 120.0)
    told = re.search(rf"^({re.escape(number)}\S*)  given up: (.*)$", listed, re.MULTILINE)
    assert told, listed
    keep(machine, f"given-up-{number}")
    return f"{told[2]}; {back_s:.0f} s from its first start to the one before"


def _is_black(machine: Machine) -> None:
    """It is seen black from outside, while its unit calls itself ready."""

    def happens() -> bool:
        # Asked in this order: the one before is active too while it is being stopped, its screen is
        # soon black, and so is a new one's before it is ready.
        is_it = runs(machine).startswith(versions.BLACK)
        active = machine.run("systemctl is-active midgrey.service").text.strip() == "active"
        is_black = is_it and active and int(machine.screen().max()) < 8
        return is_black and runs(machine).startswith(versions.BLACK)

    machine.until("a black screen of a unit that is ready", happens, GIVEN_UP_S, 1.0)


def back_by_hand(machine: Machine) -> str:
    """One goes back by a word, and forth again."""
    before = current(machine)
    said = machine.check(f"{MIDGREY} update --back", 120.0)
    other = current(machine)
    assert other != before
    assert said.strip() == f"Back to {other}.", said
    machine.until("its process", lambda: runs(machine) == other, 120.0, 1.0)
    until_live(machine, LIVE_S, 0.5)
    machine.check(f"{MIDGREY} update --back", 120.0)
    assert current(machine) == before
    until_live(machine, LIVE_S, 0.5)
    return f"{before}, {other}, {before}"
