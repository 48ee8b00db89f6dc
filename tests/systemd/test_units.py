"""What systemd is told: nothing as root, nothing that listens, last words that stay bounded."""

import ipaddress
import os
import re
import subprocess

import pytest

from firmware.controls import lamp_keeper
from firmware.health import watcher
from firmware.journal import recorder
from firmware.kept import keeper
from firmware.kit import post
from firmware.live import oversight
from firmware.page import server
from firmware.system import threads, warmth
from tests.unit_files import SYSTEMD, Unit

KEEP = SYSTEMD / "keep-last-words"


SERVICE = Unit("midgrey.service")


GUARD = "-+/opt/midgrey/guard/guard start"
"""What may give a version up belongs to root, and is nothing that a version could change."""


def test_nothing_but_the_guard_runs_outside_the_units_own_user_and_walls():
    # systemd.service(5), "Command lines": + and ! set user and walls aside; :, - and @ do not.
    outside = [
        (key, line)
        for key, lines in SERVICE.items()
        if key.startswith("Exec")
        for line in lines
        if re.match(r"[-@:]*[+!]", line)
    ]
    assert outside == [("ExecStartPre", GUARD)]
    assert SERVICE["User"] == ["midgrey"]
    # It is no part of a version, and no version's user may write there.
    assert "/opt" not in " ".join(SERVICE["ReadWritePaths"])
    assert SERVICE["ProtectSystem"] == ["strict"]


def test_no_address_family_of_the_internet_is_allowed():
    families = SERVICE["RestrictAddressFamilies"][0].split()
    assert not {"AF_INET", "AF_INET6"} & set(families)
    assert SERVICE["IPAddressDeny"] == ["any"]


def test_an_end_is_given_longer_than_all_it_waits_for_together():
    # What `run_appliance` waits for after its last turn, one after another, each at its longest.
    waits = [
        threads.MAKING_S,  # capture and measuring
        threads.FINISH_S,  # who looks for a feed
        oversight.CLOSE_S,
        watcher.CLOSE_S,
        lamp_keeper.CLOSE_S,
        server.STOP_S,
        threads.FINISH_S,  # a picture for phones
        recorder.LEAVING_S,
        threads.FINISH_S,  # a mark that is being made
        keeper.CLOSE_S,
        post.LEAVING_S + post.LEAVING_NS / 1e9,
        warmth.END_S,
        threads.STOP_S,  # the crew
        threads.FINISH_S,  # kernels that are loaded
    ]
    drawn_s = 5.0  # a picture through emulated graphics, the slowest that was seen
    (given,) = SERVICE["TimeoutStopSec"]
    assert sum(waits) + drawn_s <= float(given)


PAGE = Unit("midgrey-page.socket")


def test_what_the_page_listens_on_is_handed_over_and_never_every_network():
    assert PAGE["Service"] == ["midgrey.service"]
    (where,) = PAGE["ListenStream"]
    address, _, port = where.rpartition(":")
    # systemd.socket(5): a port alone, or the unspecified address, would be every network.
    assert not ipaddress.ip_address(address).is_unspecified
    assert ipaddress.ip_address(address).is_private
    assert port == "80"
    assert PAGE["IPAddressDeny"] == ["any"]
    allowed = PAGE["IPAddressAllow"][0].split()
    networks = [ipaddress.ip_network(each) for each in allowed if "/" in each]
    assert all(each.is_private for each in networks)
    assert set(allowed) - {str(each) for each in networks} == {"localhost", "link-local"}


KIT = Unit("kit/service.conf")


def test_a_unit_of_a_kit_reaches_private_networks_and_nothing_else_changes():
    assert set(KIT) == {"RestrictAddressFamilies", "IPAddressAllow"}
    assert KIT["RestrictAddressFamilies"] == ["AF_INET AF_INET6"]
    assert KIT["IPAddressAllow"] == PAGE["IPAddressAllow"]
    script = (SYSTEMD / "install.sh").read_text()
    (put,) = re.findall(r"^.*kit_files\[@\]}\"$", script, re.MULTILINE)
    assert put.startswith("[ $kit = no ] ||")


def test_the_page_is_off_until_somebody_enables_it():
    install = (SYSTEMD / "install.sh").read_text()
    assert "midgrey-page.socket   /etc/systemd/system/" in install
    # One function enables it, and only --page calls that.
    enabling = re.findall(r"^open_page\(\) \{.*?^\}", install, re.MULTILINE | re.DOTALL)
    assert len(enabling) == 1
    assert not re.search(r"enable[^\n]*midgrey-page", install.replace(enabling[0], ""))
    calls = re.findall(r"^.*open_page$", install, re.MULTILINE)
    assert calls == ["[ $page = no ] || open_page"]
    assert re.findall(r"page=\w+", install) == ["page=no", "page=yes"]
    assert re.search(r"disable midgrey-page\.socket", install)
    # The service neither wants nor requires it: systemd.unit(5).
    assert not any("midgrey-page" in each for key, each in _settings(SERVICE))


def test_the_socket_is_there_before_the_service_at_boot():
    assert "midgrey.service" in PAGE["Before"][0].split()
    assert PAGE["FreeBind"] == ["yes"]
    assert PAGE["DefaultDependencies"] == ["no"]


def _settings(unit):
    return [(key, value) for key, values in unit.items() for value in values]


def test_no_other_unit_stops_it_by_being_started():
    # systemd.unit(5): whichever of two units in conflict is started stops the other.
    assert SERVICE["Conflicts"] == ["shutdown.target"]


def test_a_missing_data_partition_keeps_nothing_from_starting():
    mount = Unit("data.mount")
    assert "RequiredBy" not in mount
    assert mount["WantedBy"] == ["midgrey.service"]
    # Less than DefaultDeviceTimeoutSec of systemd-system.conf(5).
    assert int(mount["JobTimeoutSec"][0]) < 90
    # systemd.exec(5): StateDirectory= brings RequiresMountsFor= with it.
    assert "StateDirectory" not in SERVICE


def test_what_fails_again_and_again_rests_longer():
    # systemd.service(5): RestartSteps= and RestartMaxDelaySec= make the pauses grow.
    assert float(SERVICE["RestartSec"][0]) < 1
    assert int(SERVICE["RestartSteps"][0]) > 1
    assert 5 <= float(SERVICE["RestartMaxDelaySec"][0]) <= 20


def fail(folder, result="watchdog"):
    done = subprocess.run(
        ["/bin/sh", str(KEEP)],
        env={"PATH": os.environ["PATH"], "STATE_DIRECTORY": str(folder), "SERVICE_RESULT": result},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    return sorted(each.name for each in (folder / "last-words").glob("*.txt"))


@pytest.fixture
def later(tmp_path):
    """Let the last words seem to have been kept two minutes ago."""

    def pass_time():
        for kept in tmp_path.glob(".kept-*"):
            boot, at = kept.read_text().split()
            kept.write_text(f"{boot} {int(at) - 120}\n")

    return pass_time


def test_last_words_are_kept_after_a_failure_alone(tmp_path):
    assert fail(tmp_path, "success") == []
    (name,) = fail(tmp_path)
    assert name.endswith("-watchdog.txt")


def test_a_unit_that_fails_all_the_time_writes_once_a_minute(tmp_path, later):
    for _ in range(20):
        names = fail(tmp_path)
    assert len(names) == 1
    later()
    assert len(fail(tmp_path)) == 2


def test_another_way_to_fail_is_kept_at_once(tmp_path):
    fail(tmp_path, "signal")
    assert [name.split("-")[-1] for name in fail(tmp_path)] == ["signal.txt", "watchdog.txt"]


def test_another_start_of_the_machine_counts_anew(tmp_path):
    fail(tmp_path)
    (tmp_path / ".kept-watchdog").write_text("another-boot 999999999\n")
    assert len(fail(tmp_path)) == 2


@pytest.mark.parametrize("kept", ["", "nonsense", "a b c\n", "\n"])
def test_a_mark_that_says_nothing_keeps_nothing_back(tmp_path, kept):
    (tmp_path / ".kept-watchdog").write_text(kept)
    assert len(fail(tmp_path)) == 1


def test_the_ring_holds_eight(tmp_path, later):
    folder = tmp_path / "last-words"
    folder.mkdir()
    for day in range(10, 20):
        (folder / f"202001{day}T000000Z-signal.txt").write_text("old\n")
    names = fail(tmp_path)
    assert len(names) == 8
    assert "20200110T000000Z-signal.txt" not in names
    assert names[-1].endswith("-watchdog.txt")
    later()
    assert len(fail(tmp_path, "signal")) == 8


def test_on_a_board_without_a_clock_the_newest_words_stay_and_are_last(tmp_path, later):
    # Each start begins at the same date there: what failed late in its run is no newer for that.
    folder = tmp_path / "last-words"
    folder.mkdir()
    for number in range(1, 10):
        (folder / f"words-{number:06d}-20300101T000000Z-signal.txt").write_text("old\n")
    for number in (10, 11):
        names = fail(tmp_path)
        assert len(names) == 8
        assert names[-1].startswith(f"words-{number:06d}-20")
        assert names[-1].endswith("-watchdog.txt")
        later()


def test_in_the_watched_folder_only_whole_words_are_seen(tmp_path):
    fail(tmp_path)
    assert [path.suffix for path in (tmp_path / "last-words").iterdir()] == [".txt"]
    path = Unit("card/midgrey-log.path")
    assert path["PathChanged"] == ["/var/lib/midgrey/last-words"]
    # systemd.path(5): a unit that meets its limit fails, and watches no more.
    assert not {"TriggerLimitIntervalSec", "TriggerLimitBurst"} & set(path)
