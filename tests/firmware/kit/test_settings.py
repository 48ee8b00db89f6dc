"""How a unit finds its kit: the table of a preset, and what is wrong with one."""

import pytest
from pydantic import ValidationError

from firmware.errors import ArgumentError, PresetError
from firmware.kit.settings import KitSettings, KitTable, Wire, broker_place, settings_of, unit_name
from firmware.presets.reader import read_preset

GOOD = {"unit": "cam-b", "broker": "10.42.0.1", "password": "long enough"}


def of(folder, **more):
    return settings_of(KitTable(**{**GOOD, **more}), folder)


def test_a_kit_is_encrypted_unless_it_says_otherwise(tmp_path):
    found = of(tmp_path)
    assert (found.port, found.wire, found.authority) == (8883, Wire.TLS, None)
    assert of(tmp_path, tls=False).port == 1883
    assert of(tmp_path, tls=False, broker="[fd00::1]:77").port == 77
    assert of(tmp_path, authority="ca.pem").authority == tmp_path / "ca.pem"
    assert of(tmp_path, authority="/etc/ca.pem").authority.as_posix() == "/etc/ca.pem"


def test_a_password_stands_in_no_sentence(tmp_path):
    assert "long enough" not in repr(of(tmp_path))
    with pytest.raises(ValidationError) as told:
        of(tmp_path, password="secret\n")
    assert "secret" not in told.value.errors()[0]["msg"]


@pytest.mark.parametrize("name", ["", "kit", "Cam", "a/b", "#", "+", "ä", "a" * 33, "-a", 7, None])
def test_names_that_are_no_level_of_a_topic_are_refused(name):
    with pytest.raises(ArgumentError, match="no name of a unit"):
        unit_name(name)


@pytest.mark.parametrize("place", ["", "a b", "10.0.0.1:0", "10.0.0.1:65536", "x:y", "mqtt://x", 1])
def test_what_is_no_broker_is_refused(place):
    with pytest.raises(ArgumentError, match="no broker"):
        broker_place(place)


def test_a_broker_is_named_as_it_is_written():
    assert KitSettings("a", "fd00::1", 8883).broker == "[fd00::1]:8883"
    assert KitSettings("a", "10.0.0.1").broker == "10.0.0.1:8883"


def preset(tmp_path, text):
    path = tmp_path / "one.toml"
    path.write_text(text, "utf-8")
    return read_preset(path)


def test_a_preset_has_no_kit_unless_it_says_so(tmp_path):
    assert preset(tmp_path, 'view = "match"\n').kit is None
    text = '[kit]\nunit = "cam-b"\nbroker = "10.42.0.1"\npassword = "long enough"\n'
    assert preset(tmp_path, text).kit == of(tmp_path)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('unit = "kit"', "kit.unit: 'kit' is no name of a unit"),
        ('password = "short"', "kit.password: the password is no text of 8 to 200 signs"),
        ('tls = "no"', "kit.tls: 'no' is neither true nor false"),
        ('tls = false\nauthority = "ca.pem"', "kit.authority: authority names a certificate"),
        ('brocker = "x"', "kit.brocker: "),
    ],
)
def test_mistakes_are_said_at_their_line(tmp_path, line, said):
    keys = {"unit": '"cam-b"', "broker": '"10.42.0.1"', "password": '"long enough"'}
    keys.pop(line.partition(" ")[0], None)
    rest = "\n".join(f"{key} = {value}" for key, value in keys.items())
    with pytest.raises(PresetError) as told:
        preset(tmp_path, f"[kit]\n{rest}\n{line}\n")
    assert said in str(told.value)
    assert "\n" not in str(told.value)
