"""Which checks are run, in which order, on which machine; and what came of them."""

import os
import subprocess
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import checks_bring
import checks_camera
import checks_cuts
import checks_feedcheck
import checks_framebuffer
import checks_health
import checks_install
import checks_kit
import checks_live
import checks_marking
import checks_phone
import checks_power
import checks_processor
import checks_screen
import checks_selftest
import checks_settings
import checks_stalls
import checks_unit
import checks_update
import image
import versions
from machine import SCREEN, SMALL_SCREEN, Machine, MachineError, keeping_layer
from pictures import picture_disk

HERE = Path(__file__).resolve().parent
UPDATE = "update"
"""In the names of all checks of versions, and of no other; alone it needs no board but theirs."""
TAKEN = ("update taken", "update refused", "update back by hand")
GIVEN_UP = {
    "update fails at once": versions.FAILS,
    "update never ready": versions.SLEEPS,
    "update black screen": versions.BLACK,
}
BROUGHT = ("update by stick and phone", "update cut while installing", "update cut anywhere")
Check = Callable[[], str]


@dataclass(frozen=True)
class Came:
    """What came of one check: its figures, or what was wrong."""

    said: str
    took_s: float
    fault: str = ""


def _tried(check: Check) -> Came:
    start = time.monotonic()
    said = fault = ""
    try:
        said = check()
    except (AssertionError, MachineError, OSError, TypeError, ValueError) as raised:
        fault = f"{type(raised).__name__}: {raised}"
    return Came(said, time.monotonic() - start, fault)


@dataclass
class Report:
    """What came of the checks so far."""

    only: str
    folder: Path
    passed: list[tuple[str, str, float]] = field(default_factory=list)
    failed: list[tuple[str, str, float]] = field(default_factory=list)

    def wants(self, *names: str) -> bool:
        """Whether any of these is to be run."""
        words = self.only.split(",")
        return any(word in name for word in words for name in names)

    def run(self, name: str, check: Check) -> None:
        """Run one check and say what came of it."""
        if self.wants(name):
            self._say(name, _tried(check))

    @contextmanager
    def beside(self, name: str, check: Check) -> Iterator[None]:
        """Run one check, on a board of its own, beside what is done meanwhile."""
        if not self.wants(name):
            yield
            return
        with ThreadPoolExecutor(1) as other:
            came = other.submit(_tried, check)
            yield
            self._say(name, came.result())

    def _say(self, name: str, came: Came) -> None:
        if came.fault:
            self.failed.append((name, came.fault, came.took_s))
            print(f"FAILED {name} ({came.took_s:.0f} s)\n{came.fault}", flush=True)
        else:
            self.passed.append((name, came.said, came.took_s))
            print(f"ok     {name}: {came.said} ({came.took_s:.0f} s)", flush=True)


def _prepare(machine: Machine) -> None:
    """Give the guest what the checks need; what lies there is gone with each power cut."""
    for name in ("live.py", "checker.py", "play.sh"):
        machine.put(f"/run/tests/{name}", (HERE / "guest" / name).read_bytes())
    mounted = "mountpoint -q /run/pictures || mount -o ro /dev/vdb /run/pictures"
    machine.check(f"mkdir -p /run/pictures && {{ {mounted}; }}")
    checks_live.control(machine, "osd_text_mode=2")


def _load_live(machine: Machine) -> None:
    """Into the guest's own Python: a quarter of a minute that nothing else should wait for."""
    machine.python("import live", 240.0)


def _on_screen(report: Report, machine: Machine, *, long: bool) -> None:
    screen = checks_screen
    report.run("power on to picture", lambda: screen.power_on_to_picture(machine))
    report.run("loss and return", lambda: screen.loss_and_return(machine))
    report.run("keys", lambda: screen.keys_reach_the_state(machine))
    report.run("killed", lambda: screen.killed_is_back(machine))
    report.run("watchdog", lambda: screen.stopped_is_bitten(machine))
    if long:
        stages = ("measure", "capture")
        report.run("stopped at any moment", lambda: screen.stopped_at_any_moment(machine))
        report.run("hung stages", lambda: screen.hung_stages_are_named(machine, stages))
        report.run("half a second", lambda: checks_stalls.stalls_within_half_a_second(machine))
        report.run("start costs", lambda: screen.start_costs_little_more_than_must_be(machine))
    health = checks_health
    report.run("frames in the doctor", lambda: health.frames_are_known_beside_it(machine))
    report.run("full card", lambda: health.full_card(machine))
    if long:
        panel = checks_framebuffer
        _load_live(machine)
        report.run("framebuffer", lambda: panel.service_on_framebuffer(machine))
        report.run("framebuffer of 16 bits", lambda: panel.panel_of_16_bits(machine))
        settings = checks_settings
        report.run("unknown profile", lambda: settings.unknown_profile(machine))
        report.run("kit out of reach", lambda: settings.kit_out_of_reach(machine))
        report.run("feed comes later", lambda: settings.feed_comes_later(machine))
        report.run("idle writes", lambda: settings.idle_writes(machine))
        report.run("self-test", lambda: checks_selftest.walks_the_checklist(machine))


def _on_cable(report: Report, machine: Machine, built: image.Image, *, long: bool) -> None:
    live, power = checks_live, checks_power
    report.run("stop", lambda: checks_screen.stop_is_quick(machine))
    machine.check("systemctl stop midgrey.service")
    _prepare(machine)
    _load_live(machine)
    every = ("uyvy", "yuyv", "nv12")
    cuts, size, pictures = 5 if long else 0, machine.size, live.pictures_read_as_their_files
    read_only = power.read_only_root
    # Codes are the same however long they take, which is one core's work: so is another boot. Not
    # beside the watchdog's wait, which is as long: the service that is up by then takes its cores.
    with report.beside("read-only root", lambda: read_only(built, report.folder, cuts, size)):
        report.run("pictures through the cable", lambda: pictures(machine, every))
        report.run("bars", lambda: live.bars_are_arithmetic(machine))
    if long:
        report.run("feed check", lambda: checks_feedcheck.ranges_are_told_apart(machine))
    report.run("states of the cable", lambda: live.every_state_has_its_word(machine))
    report.run("timings followed", lambda: live.timings_are_followed(machine))
    report.run("damaged frames", lambda: live.damaged_frames_are_not_measured(machine))
    report.run("dropped frames", lambda: live.dropped_frames_are_counted(machine))
    report.run("edid", lambda: live.input_without_edid_gets_ours(machine))
    report.run("device gone", lambda: live.device_goes_and_comes_back(machine))
    frames = 10_000 if long else 500
    report.run(f"{frames} frames", lambda: live.nothing_leaks(machine, frames))


def _on_board(report: Report, built: image.Image, *, long: bool) -> None:
    layer = keeping_layer(built, report.folder / "board.qcow2")
    drives = (picture_disk(report.folder),)
    size = SCREEN if long else SMALL_SCREEN
    with Machine(built, report.folder / "board", disk=layer, drives=drives, size=size) as machine:
        machine.until_answering()
        _prepare(machine)
        report.run("processor", lambda: checks_processor.works_right(machine))
        _on_screen(report, machine, long=long)
        # While the service is up, which takes as long to start as all else that a cut asks for.
        cuts = 20 if long else 1
        report.run("power cuts", lambda: checks_power.hard_cuts(machine, cuts))
        if long:  # minutes a cut: a mark of a cold start is the slowest thing there is
            marking = checks_marking.cuts_while_marking
            report.run("cuts while marking", lambda: marking(machine, report.folder, cuts))
        _on_cable(report, machine, built, long=long)


def _on_other_boards(report: Report, built: image.Image) -> None:
    power, unit, folder = checks_power, checks_unit, report.folder
    report.run("cuts while booting", lambda: power.cuts_while_booting(built, folder, 10))
    report.run("real camera stack", lambda: checks_camera.real_stack(folder))
    report.run("preset, no screen", lambda: unit.preset_without_a_screen(built, folder))
    report.run("by phone alone", lambda: checks_phone.morning_by_phone(built, folder))
    report.run("kit's broker", lambda: checks_kit.broker_on_the_board(built, folder))


def _on_versions(report: Report, built: image.Image) -> None:
    layer = keeping_layer(built, report.folder / "versions.qcow2")
    with Machine(built, report.folder / "versions", disk=layer) as machine:
        machine.until_answering()
        report.run(TAKEN[0], lambda: checks_update.taken(machine))
        report.run(TAKEN[1], lambda: checks_update.refused(machine))
        report.run(TAKEN[2], lambda: checks_update.back_by_hand(machine))
        for name, number in GIVEN_UP.items():
            report.run(name, lambda number=number: checks_update.given_up(machine, number))


def updates(report: Report) -> None:
    """All that versions do, on boards of their own."""
    if not report.wants(*TAKEN, *GIVEN_UP, *BROUGHT):
        return
    built, folder, cuts = versions.with_versions(), report.folder, checks_cuts
    if report.wants(*TAKEN, *GIVEN_UP):
        _on_versions(report, built)
    times = int(os.environ.get("MIDGREY_UPDATE_CUTS", "20"))
    report.run(BROUGHT[0], lambda: checks_bring.brought(built, folder))
    report.run(BROUGHT[1], lambda: cuts.while_installing(built, folder, times))
    report.run(BROUGHT[2], lambda: cuts.while_updating(built, folder, times))


def run_plan(folder: Path, *, long: bool, only: str) -> int:
    """Build, boot, check, report; the exit status."""
    start = time.monotonic()
    report = Report(only, folder)
    built = image.app()
    built_s = time.monotonic() - start
    print(f"image ready after {built_s:.0f} s", flush=True)
    if not all(word.startswith(UPDATE) for word in only.split(",")):
        _on_board(report, built, long=long)
    if long:
        _on_other_boards(report, built)
        updates(report)
        pristine = image.base()
        report.run(
            "install script",
            lambda: checks_install.installs_twice_and_leaves_nothing(pristine, folder),
        )
    minutes = (time.monotonic() - start) / 60
    if long and not only:
        (HERE / "RESULTS.md").write_text(_results(report, minutes, built_s))
    print(f"took {minutes:.1f} minutes")
    print(f"{len(report.passed)} passed, {len(report.failed)} failed")
    return 1 if report.failed else 0


def _results(report: Report, minutes: float, built_s: float) -> str:
    commit = subprocess.run(
        ["git", "-C", str(HERE), "rev-parse", "--short", "HEAD"],
        capture_output=True,
        text=True,
        check=False,
    ).stdout.strip()
    when = f"{datetime.now(UTC):%Y-%m-%d}, commit {commit}, {minutes:.0f} minutes"
    where = f"{built_s:.0f} s of it for the image), {os.cpu_count()} processors, plain emulation"
    lines = ["# Last result of `tests/appliance/run --long`", "", f"{when} ({where}."]
    lines += ["Times are those of an emulated machine: they show order, not the speed of a board."]
    lines += ["", f"{len(report.passed)} passed, {len(report.failed)} failed", ""]
    lines += ["| check | result | seconds |", "|---|---|---|"]
    lines += [f"| {name} | {said} | {took:.0f} |" for name, said, took in report.passed]
    lines += [
        f"| {name} | **failed**: {said.splitlines()[0][:200]} | {took:.0f} |"
        for name, said, took in report.failed
    ]
    return "\n".join(lines) + "\n"
