import io

import pytest

from firmware.clock import HandClock
from firmware.commands.own import KeepClipOptions
from firmware.commands.profiles import check_profiles, list_curves, list_profiles, write_clip
from firmware.errors import ProfileError
from firmware.profiles.reader import read_profile
from firmware.profiles.shelf import shipped_profiles
from overlays.signal.published import published_curves
from overlays.signal.signal import Signal


@pytest.fixture(autouse=True)
def eighty_columns(monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")


def printed(command, *arguments):
    out = io.StringIO()
    command(*arguments, out)
    text = out.getvalue()
    assert "\x1b" not in text
    return text


def test_the_list_names_what_ships():
    text = printed(list_profiles)
    assert max(len(line) for line in text.splitlines()) <= 80
    for profile in shipped_profiles():
        (line,) = [line for line in text.splitlines() if line.split()[:1] == [profile.name]]
        assert profile.title in line
        assert f" {profile.laid.value} " in line


def test_every_curve_is_listed_with_carriage_and_source():
    text = printed(list_curves)
    assert max(len(line) for line in text.splitlines()) <= 80
    for curve in published_curves():
        assert f" {curve.name} " in text
        assert curve.source.split()[0] in text
    unstated = [line for line in text.splitlines() if " * " in line]
    assert len(unstated) == sum(not curve.carriage_stated for curve in published_curves())


def test_a_right_profile_is_explained(tmp_path):
    path = tmp_path / "kit.toml"
    path.write_text('curve = "V-Log"\nstripes = [{above = "85 %"}]')
    text = printed(check_profiles, [path])
    assert f"{path}: reads well; V-Log, carriage full, target 0 st, stripes: above 85 %" in text


def test_mistakes_are_raised_after_the_right_ones_were_told(tmp_path):
    good, bad = tmp_path / "good.toml", tmp_path / "bad.toml"
    good.write_text('curve = "HLG"')
    bad.write_text('curve = "HLG"\nx = 1\ny = 2\n')
    out = io.StringIO()
    with pytest.raises(ProfileError) as fault:
        check_profiles([bad, good], out)
    assert str(fault.value).count("\n") == 1
    assert "good.toml: reads well" in out.getvalue()


def test_the_clip_that_the_bench_has_is_written(tmp_path):
    path = tmp_path / "kit.toml"
    path.write_text('curve = "S-Log3"\n')
    options = KeepClipOptions(file=path, feed="bench:size=960x540,signal=yuv422-10")
    text = printed(write_clip, options, HandClock())
    assert text.startswith("clip = ")
    assert str(path.name) in text
    yard = read_profile(path).yardstick(Signal(10))
    assert yard.clip_stops == pytest.approx(6.0, abs=0.05)  # where its sensor gives out
