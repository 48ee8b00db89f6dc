import pytest

from firmware.errors import ProfileError
from firmware.profiles.made import Made, made_text, write_profile
from firmware.profiles.reader import read_profile
from firmware.profiles.shelf import load_profile
from overlays.signal.levels import Carriage
from overlays.signal.quantities import percent, stops
from overlays.signal.signal import Matrix, Range, SignalOverride


def test_what_is_written_reads_back_as_it_was_meant(tmp_path):
    stripes = load_profile("log-v").stripes
    made = Made(
        'of "my own"\nhand',
        "checked",
        "V-Log",
        Carriage.FULL,
        SignalOverride(Range.SQUEEZED, Matrix.BT601),
        percent(92.5),
        stops(-7.0),
        stripes,
    )
    path = tmp_path / "mine.toml"
    assert str(path) in write_profile(made, path)
    found = read_profile(path)
    assert found.title == made.title
    assert found.curve.name == "V-Log"
    assert found.laid is Carriage.FULL
    assert found.override == made.signal
    assert (found.clip, found.floor) == (made.clip, made.floor)
    assert found.stripes == stripes


def test_a_curve_of_its_own_is_a_table(tmp_path):
    keys = {"name": "measured", "base": 10.0, "log_side_slope": 0.25, "lin_side_offset": 0.01}
    made = Made("mine", "", keys, Carriage.FULL, SignalOverride(Range.FULL))
    path = tmp_path / "mine.toml"
    write_profile(made, path)
    found = read_profile(path)
    assert found.curve.name == "measured"
    assert found.override.range is Range.FULL
    assert made_text(made).index("[curve]") < made_text(made).index("[signal]")


def test_a_folder_that_is_not_there_is_one_sentence(tmp_path):
    with pytest.raises(ProfileError, match="the profile cannot be written"):
        write_profile(Made("a", "", "V-Log", Carriage.FULL), tmp_path / "none" / "a.toml")
