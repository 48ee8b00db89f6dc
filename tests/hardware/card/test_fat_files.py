"""What a person with a laptop finds on the card."""

from firmware.presets.reader import read_preset
from hardware.card import fat_files
from tests.places import ROOT


def test_every_name_in_the_readme_is_there():
    made = fat_files.files("0.8.0", "manifest\n")
    text = made["midgrey/README.txt"].decode()
    assert "0.8.0" in text
    for name in ("unit.toml", "pins/pins-as-shipped.txt", "manifest.txt", "log/README.txt"):
        assert f"midgrey/{name}" in made
        assert name.split("/")[0] in text
    for words in ("supply", "batteries", "overhead", "hot", "sun", "local codes"):
        assert words in text, words


def test_every_line_is_short_enough_for_any_editor():
    for name, content in fat_files.files("0.8.0", "").items():
        if name.endswith("README.txt"):
            assert all(len(line) <= 80 for line in content.decode().splitlines())
            assert content.isascii()


def test_the_pins_are_those_that_ship():
    made = fat_files.files("0.8.0", "")["midgrey/pins/pins-as-shipped.txt"]
    assert made == (ROOT / "hardware/pins.toml").read_bytes()


def test_each_line_of_the_preset_may_be_taken_out_of_its_remark(tmp_path):
    lines = fat_files.UNIT.splitlines()
    options = [line for line in lines if line.startswith("# ") and line.split()[2:3] == ["="]]
    options.remove(next(line for line in options if line.startswith("# the ")))
    assert len(options) == 7
    for line in options:
        path = tmp_path / "unit.toml"
        path.write_text('title = "x"\n' + line[2:] + "\n")
        read_preset(path)
