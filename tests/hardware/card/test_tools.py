"""Programs: found or named by their package, run with the same words for everybody."""

import re

import pytest

from hardware.card import debian, kernels, making, tools
from hardware.card.errors import ToolFailedError, ToolMissingError
from hardware.card.tools import PACKAGES, Tools, need
from tests.places import ROOT


def test_what_is_missing_is_named_by_its_packages():
    with pytest.raises(ToolMissingError) as caught:
        need(["mcopy", "mmd", "debugfs"], lambda name: None if name[0] == "m" else name)
    assert str(caught.value).endswith("`sudo apt-get install mtools`")
    assert "mcopy, mmd" in str(caught.value)
    need(["mcopy"], lambda name: name)


def test_every_program_that_is_called_has_its_package():
    called = set()
    for path in (ROOT / "hardware/card").glob("*.py"):
        called |= set(re.findall(r'tools\.run\(\s*"([a-z0-9.-]+)"', path.read_text()))
    assert {"debugfs", "mcopy", "resize2fs"} <= called
    assert called | set(making.TOOLS) | {kernels.EMULATOR} <= set(PACKAGES)
    assert debian.PACKAGES


def test_a_failure_is_one_sentence_and_all_that_was_said():
    with pytest.raises(ToolFailedError, match=r"^sh ended with 3: two words$") as caught:
        Tools(0).run("sh", "-c", "echo first; printf 'two\nwords\n' >&2; exit 3")
    assert caught.value.said == "first\ntwo\nwords\n"
    assert Tools(0).run("sh", "-c", "echo a; exit 1", accept=(0, 1)) == ("a\n", "")


def test_dates_language_and_zone_do_not_depend_on_who_calls(monkeypatch):
    monkeypatch.setenv("TZ", "America/New_York")
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    said, _ = Tools(12345, {"MORE": "1"}).run(
        "sh", "-c", "echo $TZ $LC_ALL $SOURCE_DATE_EPOCH $E2FSPROGS_FAKE_TIME $MORE"
    )
    assert said.split() == ["UTC", "C.UTF-8", "12345", "12345", "1"]
    assert "/usr/sbin" in Tools(0).environment()["PATH"]


def test_a_program_that_is_not_there_is_named(monkeypatch):
    monkeypatch.setitem(PACKAGES, "no-such-program", "some-package")
    with pytest.raises(ToolMissingError, match="some-package"):
        tools.Tools(0).run("no-such-program")


def test_every_module_has_its_test_file_and_is_short():
    values = {"__init__", "errors"}
    for path in sorted((ROOT / "hardware/card").glob("*.py")):
        assert len(path.read_text().splitlines()) <= 300, path.name
        beside = ROOT / f"tests/hardware/card/test_{path.name}"
        assert path.stem in values or beside.is_file(), path.name
