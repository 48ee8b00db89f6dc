import importlib.metadata
import io
import json
import os

import pytest

from firmware.clock import HandClock
from firmware.commands.doctor import OWN_PINS, Finding, _feed_checks, doctor, examine
from firmware.controls import gpio_map as pins

CLOCK = HandClock(10**12)


@pytest.fixture
def machine(tmp_path):
    """A cardboard machine of files, with whatever paths it is given."""

    def make(**files):
        for path, text in files.items():
            place = tmp_path / path.replace("__", "/")
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_text(text)
        return tmp_path

    return make


def found(root, environ=None):
    return {check.what: check for check in examine(environ or {}, CLOCK, root)}


def test_a_bare_machine_is_told_what_is_missing_and_how_to_get_it(machine):
    checks = found(machine())
    for what in ("display", "video input"):
        assert checks[what].finding is Finding.MISSING
        assert checks[what].remedy
    assert checks["GPIO"].finding is Finding.NOTE
    assert checks["Python"].finding is Finding.WORKS
    assert checks["numpy"].finding is Finding.WORKS


def test_inputs_with_their_names(machine):
    root = machine(sys__class__video4linux__video0__name="HDMI to CSI bridge\n", dev__video0="")
    check = found(root)["/dev/video0"]
    assert (check.finding, check.detail) == (Finding.WORKS, "HDMI to CSI bridge")


def test_an_input_without_its_node(machine):
    check = found(machine(sys__class__video4linux__video2__name="grabber"))["/dev/video2"]
    assert check.finding is Finding.MISSING
    assert "replug" in check.remedy


@pytest.mark.skipif(os.geteuid() == 0, reason="root may open everything")
def test_an_input_this_user_may_not_open(machine):
    root = machine(sys__class__video4linux__video0__name="grabber", dev__video0="")
    (root / "dev/video0").chmod(0)
    check = found(root)["/dev/video0"]
    assert check.finding is Finding.MISSING
    assert "adduser" in check.remedy


def test_an_input_without_a_name(machine):
    root = machine(sys__class__video4linux__video0__name="", dev__video0="")
    assert found(root)["/dev/video0"].detail == "without a name"


def test_gpio(machine):
    check = found(machine(dev__gpiochip0=""))["GPIO"]
    assert "gpiochip0" in check.detail
    assert check.finding is Finding.WORKS or "lgpio" in check.remedy


def test_the_driver_that_would_draw_is_named(machine):
    check = found(machine(), {"WAYLAND_DISPLAY": "wayland-0"})["display"]
    assert (check.finding, "wayland" in check.detail) == (Finding.WORKS, True)


@pytest.mark.parametrize("there", [True, False])
def test_a_panel_on_spi_is_named_and_whether_it_may_be_drawn_on(machine, there):
    files = {"sys__class__graphics__fb1__name": "fb_ili9341\n"}
    check = found(machine(**files, **({"dev__fb1": ""} if there else {})))["display"]
    assert check.finding is (Finding.WORKS if there else Finding.MISSING)
    assert "panel fb_ili9341 at /dev/fb1" in check.detail
    assert there or "adduser" in check.remedy


def test_a_pin_map_of_ones_own_is_looked_at(machine):
    assert pins.OWN_PINS == OWN_PINS
    assert "pin map" not in found(machine())
    good = {"etc__midgrey__pins.toml": "[buttons]\nhold = 4\n"}
    assert found(machine(**good))["pin map"].finding is Finding.WORKS
    bad = {"etc__midgrey__pins.toml": "[buttons]\nhold = 99\n"}
    check = found(machine(**bad))["pin map"]
    assert check.finding is Finding.MISSING
    assert "buttons.hold = 99" in check.detail


def test_no_cache_is_reported_with_a_remedy(machine, tmp_path):
    (tmp_path / "file").write_text("")
    check = found(machine(), {"NUMBA_CACHE_DIR": str(tmp_path / "file" / "x")})["kernel cache"]
    assert check.finding is Finding.MISSING
    assert "NUMBA_CACHE_DIR" in check.remedy


def test_the_table_fits_80_columns_and_needs_no_colour(machine, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    out = io.StringIO()
    doctor({}, CLOCK, out, root=machine(sys__class__video4linux__video0__name="grabber [USB] 3.0"))
    text = out.getvalue()
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "\x1b" not in text
    assert "grabber [USB] 3.0" in text
    assert "missing" in text


def board(machine, **more):
    return machine(
        **{
            "proc__device-tree__model": "Raspberry Pi 4 Model B Rev 1.5\0",
            "sys__class__thermal__thermal_zone0__temp": "48200\n",
            "sys__class__hwmon__hwmon0__name": "rpi_volt\n",
            "sys__class__hwmon__hwmon0__in0_lcrit_alarm": "0\n",
            "proc__self__mounts": "/dev/mmcblk0p2 / ext4 rw 0 0\n",
            "var__lib__midgrey__keep": "",
            **more,
        }
    )


def test_a_board_that_is_well_has_a_row_for_everything(machine):
    checks = found(board(machine))
    for what in ("power", "temperature"):
        assert checks[what].finding is Finding.WORKS
        assert checks[what].remedy == ""
    assert checks["card"].detail.startswith("/var/lib/midgrey keeps what is saved")
    for what in ("speed", "frames", "feed age"):
        assert checks[what].finding is Finding.NOTE


def test_a_board_that_is_not_well_is_told_what_to_do(machine):
    checks = found(
        board(
            machine,
            sys__class__thermal__thermal_zone0__temp="83100\n",
            sys__class__hwmon__hwmon0__in0_lcrit_alarm="1\n",
            proc__self__mounts="/dev/mmcblk0p2 / ext4 ro 0 0\n",
        )
    )
    for what, remedy in (("power", "stronger supply"), ("temperature", "air"), ("card", "restart")):
        assert checks[what].finding is Finding.FAULT
        assert remedy in checks[what].remedy


def test_a_bare_machine_is_neither_called_well_nor_ill(machine):
    checks = found(machine())
    for what in ("power", "temperature", "speed"):
        assert checks[what].finding is Finding.NOTE


def test_a_program_gets_the_same_rows(machine):
    root, out = board(machine), io.StringIO()
    doctor({}, CLOCK, out, as_json=True, root=root)
    told = json.loads(out.getvalue())
    assert told["schema"] == 1
    rows = {row["what"]: row for row in told["checks"]}
    checks = found(root)
    assert list(rows) == list(checks)
    for what, check in checks.items():
        assert rows[what]["finding"] == check.finding.value
        assert set(rows[what]) == {"what", "finding", "detail", "remedy"}


def test_feed_checks_are_listed_with_their_day(tmp_path):
    folder = tmp_path / "midgrey"
    folder.mkdir()
    (folder / "feeds.toml").write_text('["usb 1:2"]\nrange = "full"\nchecked = "2026-11-27"\n')
    found = _feed_checks({"XDG_CONFIG_HOME": str(tmp_path)})
    assert [check.detail for check in found] == ["usb 1:2: full, checked 2026-11-27"]
    (folder / "feeds.toml").write_text("[")
    (fault,) = _feed_checks({"XDG_CONFIG_HOME": str(tmp_path)})
    assert fault.finding is Finding.FAULT


@pytest.mark.parametrize("there", [True, False])
def test_gpio_asks_for_what_drives_it(machine, monkeypatch, there):
    def version(name):
        if not there and name == "lgpio":
            raise importlib.metadata.PackageNotFoundError(name)
        return "1.0"

    monkeypatch.setattr(importlib.metadata, "version", version)
    check = found(machine(dev__gpiochip0=""))["GPIO"]
    assert check.finding is (Finding.WORKS if there else Finding.MISSING)
    assert ("lgpio" in check.remedy) is not there


def test_the_version_is_said_and_where_a_cards_list_lies(tmp_path):
    def row(**environ):
        found = examine(environ, HandClock(), tmp_path)
        return next(check for check in found if check.what == "midgrey")

    assert row().finding is Finding.WORKS
    assert row().detail == importlib.metadata.version("midgrey")
    released = row(MIDGREY_RELEASE="/opt/midgrey/releases/0.9.0-1a2b3c4d")
    assert released.detail == "0.9.0-1a2b3c4d"
    manifest = tmp_path / "boot/firmware/midgrey/manifest.txt"
    manifest.parent.mkdir(parents=True)
    manifest.write_text("")
    assert row().detail.endswith("stands in /boot/firmware/midgrey/manifest.txt")


def test_a_path_too_long_for_its_column_is_told_whole(machine, monkeypatch):
    # As on a card: the list's name lost its last letters to an ellipsis.
    monkeypatch.setenv("COLUMNS", "80")
    out = io.StringIO()
    doctor({}, CLOCK, out, root=machine(**{"boot__firmware__midgrey__manifest.txt": ""}))
    assert "/boot/firmware/midgrey/manifest.txt" in "".join(out.getvalue().split())
    assert "…" not in out.getvalue()
