import pytest
from pydantic import ValidationError

from firmware.errors import ProfileError, QuantityError
from firmware.profiles.camera_table import (
    CameraTable,
    ChipsTable,
    ControlTable,
    parse_rate,
    parse_stops,
    written,
)
from firmware.profiles.reader import read_profile
from overlays.measure.chips.three_chip import Chip, ChipTarget
from overlays.measure.expose.mains import Mains
from overlays.signal.quantities import percent, stops

WHOLE = """
curve = "V-Log"
pins = [{x = 0.6, y = 0.43, name = "white"}, {x = 0.5, y = 0.5}]

[camera]
rate = "25 fps"
mains = "50 Hz"
iso = {now = 800, lowest = 400, highest = 12800}
aperture = {now = "T2.1", lowest = "T2.1", highest = "T22"}
nd = {now = 0, only = [0, 0.6, 1.2, "6 st"]}
shutter = {now = "180 deg", lowest = "45 deg", highest = "180 deg", steps = "1/3 st"}

[chips]
white = {at = "+2.0 st", within = "0.3 st"}

[watch]
level = "0.15 st"
"""


def read(tmp_path, text):
    path = tmp_path / "kit.toml"
    path.write_text(text, encoding="utf-8")
    return read_profile(path)


def test_a_whole_camera(tmp_path):
    profile = read(tmp_path, WHOLE)
    camera = profile.camera
    assert (camera.rate, camera.mains) == (25.0, Mains.HZ50)
    assert camera.iso.now == "800"
    assert camera.aperture.lowest == "T2.1"
    assert camera.nd.only == ("0", "0.6", "1.2", "6 st")
    assert camera.shutter.every == 1
    assert profile.pins == (("white", 0.6, 0.43), ("", 0.5, 0.5))
    assert profile.watch.level_stops == 0.15
    assert profile.watch.balance_stops == 0.1
    assert profile.chip_targets[Chip.WHITE] == ChipTarget(stops(2.0), stops(0.3))
    assert profile.chip_targets[Chip.GREY].at == stops(0.0)


def test_a_profile_without_any_of_it(tmp_path):
    profile = read(tmp_path, 'curve = "BT.709"\n')
    assert profile.camera.mains is Mains.UNKNOWN
    assert profile.chip_targets[Chip.WHITE].at == percent(91.5)
    assert profile.pins == ()


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("[camera]\niso = {nwo = 800}", "did you mean now?"),
        ("[camera]\nmian = 3", "mains"),
        ("[watch]\nlevl = '0.1 st'", "level"),
        ('[camera]\niso = {now = "fast"}', "no speed"),
        ("[camera]\niso = {now = 800, lowest = 400}", "one limit"),
        ("[camera]\nnd = {only = [0, 0.6], lowest = 0, highest = 1}", "both only and limits"),
        ('[camera]\nmains = "55 Hz"', "50 Hz"),
        ('[camera]\nrate = "often"', "no rate"),
        ('[camera]\naperture = {steps = "1/7 st"}', "no step"),
        ('[chips]\nwhite = {at = "91 %", within = "0.2 st"}', "both in st or both in %"),
        ('[chips]\nwhite = {at = "91 %"}', "within"),
        ('[watch]\nlevel = "3 %"', "no tolerance"),
        ("[[pins]]\nx = 1.5\ny = 0.5", "up to 1"),
        ("[[pins]]\ny = 0.5", "missing"),
    ],
)
def test_mistakes_have_their_line_and_a_remedy(tmp_path, line, said):
    with pytest.raises(ProfileError, match=r"kit\.toml") as fault:
        read(tmp_path, f'curve = "BT.709"\n{line}\n')
    assert said in str(fault.value)


@pytest.mark.parametrize(("given", "number"), [("25 fps", 25.0), (23.976, 23.976), ("50", 50.0)])
def test_rates(given, number):
    assert parse_rate(given) == number


@pytest.mark.parametrize("given", [True, "fast", 0, "2000 fps"])
def test_no_rates(given):
    with pytest.raises(QuantityError):
        parse_rate(given)


@pytest.mark.parametrize("given", ["0 st", "9 st", "5 %", "0.1"])
def test_no_tolerances(given):
    with pytest.raises(QuantityError):
        parse_stops(given)


def test_a_control_table_keeps_its_settings_as_they_are_written():
    table = ControlTable.model_validate({"now": "f/5.6", "only": [4, 5.6, 8]})
    assert table.limits.only == ("4", "5.6", "8")
    assert table.limits.now == "f/5.6"


def test_chips_that_are_not_given_are_not_in_the_targets():
    assert ChipsTable().targets == {}


def test_a_case_of_filters_and_an_nd_that_can_be_turned():
    table = CameraTable.model_validate(
        {"nd": {"now": 0, "filters": [0.3, 0.6]}, "variable_nd": True}
    )
    assert table.camera.variable_nd
    assert table.camera.nd.filters == ("0.3", "0.6")


@pytest.mark.parametrize("steps", [["1 st"], {"a": 1}, True, 10**400, float("nan"), [[]]])
def test_steps_of_any_kind_get_a_sentence(steps):
    """A list of them ended in TypeError: unhashable type (issue 19, item 6)."""
    with pytest.raises(ValidationError, match="is no step"):
        ControlTable(steps=steps)


@pytest.mark.parametrize("given_", [10**400, -(10**400), float("inf"), float("nan")])
def test_settings_that_are_no_numbers_get_a_sentence(given_):
    with pytest.raises(QuantityError, match="no setting"):
        written(given_)
    with pytest.raises(QuantityError, match="no rate"):
        parse_rate(given_)
