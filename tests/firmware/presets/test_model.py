"""What goes over what: a preset over a unit's options, options over a preset at a desk."""

from pathlib import Path

from firmware.presets.model import Preset
from firmware.written.options import RunOptions

PRESET = Preset("kit", Path("kit.toml"), "", (("profile", "log-v"), ("view", "watch")))


def test_on_a_unit_a_preset_goes_over_the_options():
    made = PRESET.over(RunOptions(profile="hlg", feed="bench"))
    assert (made.profile, made.view, made.feed) == ("log-v", "watch", "bench")


def test_at_a_desk_options_go_over_a_preset():
    made = PRESET.under(RunOptions(profile="hlg", feed="bench"))
    assert (made.profile, made.view, made.feed) == ("hlg", "watch", "bench")
