"""The first boot as a whole, cut off at any step."""

import pytest

from firmware.clock import HandClock
from firmware.errors import FirstBootError
from firmware.first_boot import __main__ as first
from firmware.first_boot.boot_steps import DONE, BootStep, marks_in
from firmware.first_boot.faces import StepFace


class Shown:
    def __init__(self):
        self.faces = []

    def show(self, face, _done=None):
        self.faces.append(face)


@pytest.fixture
def machine(tmp_path):
    (tmp_path / "boot/firmware/midgrey/log").mkdir(parents=True)
    (tmp_path / "opt/midgrey/card").mkdir(parents=True)
    code = tmp_path / "code"
    code.mkdir()
    return first.FirstBoot(Shown(), tmp_path, code)


@pytest.fixture
def steps(monkeypatch):
    done = []
    doing = {step: lambda _, step=step: done.append(step) for step in BootStep}
    monkeypatch.setattr(first, "STEPS", doing)
    return doing, done


def run(machine):
    return first.first_boot(machine, HandClock(), lambda: None)


def marks(machine):
    return marks_in(machine.card / "marks")


def test_all_is_done_once(machine, steps):
    _, done = steps
    assert run(machine) == 0
    assert run(machine) == 0
    assert done == list(BootStep)
    assert DONE in marks(machine)


@pytest.mark.parametrize("at", BootStep)
def test_what_fails_is_shown_written_down_and_tried_again(machine, steps, at):
    doing, done = steps
    usual = doing[at]

    def fails(_):
        raise FirstBootError("no room")

    doing[at] = fails
    assert run(machine) == 2
    assert machine.panel.faces == [StepFace.FAILED]
    log = (machine.boot / "midgrey/log/first-boot.txt").read_text()
    assert f"{at.value} failed: no room" in log
    assert DONE not in marks(machine)
    doing[at] = usual
    assert run(machine) == 0
    assert done == list(BootStep)


@pytest.mark.parametrize("at", BootStep)
def test_power_that_goes_within_a_step_begins_with_it_again(machine, steps, at):
    doing, done = steps
    usual = doing[at]

    class PowerError(BaseException):
        pass

    def cut(_):
        raise PowerError

    doing[at] = cut
    with pytest.raises(PowerError):
        run(machine)
    assert at.value not in marks(machine)
    doing[at] = usual
    assert run(machine) == 0
    assert done == list(BootStep)


def test_a_mark_comes_after_all_is_on_the_card(machine, steps):
    doing, _ = steps
    order = []
    doing[BootStep.PACKAGES] = lambda _: order.append("done")

    def sync():
        if not marks(machine):
            order.append("synced")

    first.first_boot(machine, HandClock(), sync)
    assert order == ["done", "synced"]


def test_code_is_compiled_unless_the_card_brings_it(machine):
    (machine.code / "one.py").write_text("X = 1\n")
    (machine.card / first.COMPILED).touch()
    first.compile_code(machine)
    assert not list(machine.code.rglob("*.pyc"))
    (machine.card / first.COMPILED).unlink()
    first.compile_code(machine)
    (made,) = machine.code.rglob("*.pyc")
    assert made.read_bytes()[4] == 0b01
    assert machine.panel.faces == [StepFace.CODE]


def test_a_card_without_packages_and_options_has_nothing_to_do(machine):
    first.install_packages(machine)
    first.write_options(machine)
    (machine.boot / "cmdline.txt").write_text("root=x midgrey.readonly-later\n")
    first.write_options(machine)
    assert "init=" in (machine.boot / "cmdline.txt").read_text()


def test_a_log_that_cannot_be_written_stops_nothing(machine, capsys):
    (machine.boot / "midgrey/log").rmdir()
    first.note(machine, "words")
    assert "first boot: words" in capsys.readouterr().err
