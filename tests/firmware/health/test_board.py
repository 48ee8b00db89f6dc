import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firmware.health.board import is_low_voltage, look_at_board, model, temperature_c

SAME_FOLDER = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


def test_a_board_that_is_well(pi):
    look = look_at_board(pi.root)
    assert look.model == "Raspberry Pi 5 Model B Rev 1.0"
    assert look.is_pi
    assert look.temperature_c == pytest.approx(48.2)
    assert look.is_low_voltage is False
    assert look.throttle is None
    assert not look.is_refused


def test_a_machine_that_says_nothing(cardboard):
    look = look_at_board(cardboard.root)
    assert (look.model, look.temperature_c, look.is_low_voltage) == ("", None, None)
    assert not look.is_pi


def test_the_processor_is_read_where_there_are_several_sensors(cardboard):
    for index, (kind, read) in enumerate([("acpitz", 27800), ("x86_pkg_temp", 61000)]):
        cardboard.put(f"sys/class/thermal/thermal_zone{index}/type", kind)
        cardboard.put(f"sys/class/thermal/thermal_zone{index}/temp", f"{read}\n")
    assert temperature_c(cardboard.root) == pytest.approx(61.0)
    cardboard.put("sys/class/thermal/thermal_zone2/type", "cpu-thermal")
    cardboard.put("sys/class/thermal/thermal_zone2/temp", "-5000")
    assert temperature_c(cardboard.root) == pytest.approx(-5.0)


def test_a_sensor_that_is_broken_is_no_reading(cardboard):
    for broken in ("", "hot", "999999", "-273200", "48.2"):
        cardboard.put("sys/class/thermal/thermal_zone0/temp", broken)
        assert temperature_c(cardboard.root) is None
    assert temperature_c(cardboard.warm(30.0).root) == pytest.approx(30.0), "no type is needed"


@pytest.mark.parametrize(("read", "found"), [(-41000, True), (126000, True), (-61000, False)])
def test_what_silicon_can_be_is_a_reading(cardboard, read, found):
    # Works between -40 and 125 degrees (common practice, no source); a little beyond is believed.
    cardboard.put("sys/class/thermal/thermal_zone0/temp", f"{read}")
    assert (temperature_c(cardboard.root) == read / 1000.0) == found


@SAME_FOLDER
@given(st.binary(max_size=40), st.binary(max_size=40), st.binary(max_size=40))
def test_whatever_stands_in_the_files_there_is_an_answer(pi, first, second, third):
    pi.put("sys/class/thermal/thermal_zone0/temp", first)
    pi.put("sys/class/hwmon/hwmon1/in0_lcrit_alarm", second)
    pi.put("proc/device-tree/model", third)
    look = look_at_board(pi.root)
    assert look.temperature_c is None or -60.0 <= look.temperature_c <= 160.0
    assert look.is_low_voltage in {None, True, False}
    assert "\0" not in look.model


def test_the_supply_is_found_by_name_not_by_number(pi):
    pi.put("sys/class/hwmon/hwmon0/in0_lcrit_alarm", "1\n")
    assert is_low_voltage(pi.root) is False
    assert is_low_voltage(pi.low_voltage(alarm=True).root) is True
    assert is_low_voltage(pi.put("sys/class/hwmon/hwmon1/in0_lcrit_alarm", "").root) is None
    pi.put("sys/class/hwmon/hwmon1/name", "something_else")
    assert is_low_voltage(pi.root) is None


def test_the_model_ends_at_the_zero_of_the_device_tree(pi):
    assert model(pi.put("proc/device-tree/model", b"Raspberry Pi 4 Model B\0junk").root) == (
        "Raspberry Pi 4 Model B"
    )
