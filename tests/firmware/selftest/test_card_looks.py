"""What is said of a card's first start, by what it left on the card."""

import pytest

from firmware.clock import HandClock
from firmware.commands.doctor import MANIFESTS
from firmware.first_boot import __main__ as first
from firmware.first_boot.boot_steps import BootStep
from firmware.selftest.card_looks import LOG, MANIFEST, STEPS, look_at_card
from firmware.selftest.found import RowOutcome
from firmware.selftest.step import AtHand

DONE = "".join(f"{step.value} done in {number + 1}.5 s\n" for number, step in enumerate(BootStep))


@pytest.fixture
def around(tmp_path):
    folder = tmp_path / "boot/firmware/midgrey"
    (folder / "log").mkdir(parents=True)
    (folder / "manifest.txt").write_text("# midgrey 0.10.0-12ab34cd, made from the image\n")
    return AtHand(None, HandClock(), root=tmp_path)


def log(around, text):
    (around.root / "boot/firmware/midgrey/log/first-boot.txt").write_text(text)
    return look_at_card(around)


def test_its_version_and_its_steps_are_told_and_a_person_decides(around):
    found = log(around, DONE)
    assert found.outcome is RowOutcome.OPEN
    assert [each.words for each in found.figures][:3] == [
        "card made with: midgrey 0.10.0-12ab34cd",
        "packages: 1.5 s",
        "code: 2.5 s",
    ]
    assert len(found.figures) == 1 + len(BootStep)


def test_a_step_that_failed_and_then_went_through_is_told(around):
    found = log(around, "packages failed: no room\n" + DONE)
    assert found.outcome is RowOutcome.OPEN
    assert found.figures[-1].words == "failed on the way: packages failed: no room"


@pytest.mark.parametrize("said", ["", DONE.partition("data")[0]])
def test_a_step_that_is_not_done_is_not_as_expected(around, said):
    found = log(around, said)
    assert found.outcome is RowOutcome.OTHERWISE
    assert "data, options" in found.words


def test_without_a_log_no_step_is_done(around):
    assert look_at_card(around).outcome is RowOutcome.OTHERWISE


def test_it_looks_where_a_first_start_writes():
    assert (first.BOOT / first.LOG).as_posix() == f"/{LOG}"
    assert [step.value for step in BootStep] == list(STEPS)
    assert MANIFEST in MANIFESTS


def test_another_system_is_no_card(tmp_path):
    found = look_at_card(AtHand(None, HandClock(), root=tmp_path))
    assert found.outcome is RowOutcome.CANNOT
    assert "hardware/card/build" in found.words
