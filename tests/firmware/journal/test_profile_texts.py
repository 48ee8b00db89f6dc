from dataclasses import replace

import pytest

from firmware.errors import JournalError
from firmware.journal.inputs import profile_of
from firmware.journal.profile_texts import ProfileTexts, profile_text
from firmware.profiles.model import curve_alone
from firmware.profiles.reader import read_profile
from firmware.profiles.shelf import shipped_profiles
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal


@pytest.mark.parametrize("profile", shipped_profiles(), ids=lambda p: p.name)
def test_the_text_of_a_profile_is_its_file_as_a_whole(profile):
    text = profile_text(profile)
    assert text == profile.source_path.read_text()
    again = profile_of(text, profile.name)
    assert replace(again, source_path=profile.source_path) == profile


def test_a_curve_alone_has_a_text_that_reads_the_same():
    profile = curve_alone(published_curve("V-Log"), Carriage.NARROW)
    again = profile_of(profile_text(profile), profile.name)
    one, other = profile.yardstick(Signal(10)), again.yardstick(Signal(10))
    assert (again.name, again.curve, again.laid) == (profile.name, profile.curve, profile.laid)
    assert (one.clip_percent, one.floor_percent) == (other.clip_percent, other.floor_percent)


def test_a_text_is_that_of_when_the_profile_came_into_use(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text('curve = "V-Log"\n')
    profile, texts = read_profile(path), ProfileTexts()
    texts.see(profile)
    path.write_text('curve = "S-Log3"\n')
    assert texts.text(profile) == 'curve = "V-Log"\n'
    # Seen for the first time only now, it is another one.
    with pytest.raises(JournalError, match=r"mine\.toml: the profile was changed"):
        ProfileTexts().text(profile)
    path.unlink()
    with pytest.raises(JournalError, match="cannot be read any more"):
        ProfileTexts().text(profile)


def test_nudged_stripes_are_no_change_of_the_file():
    profile = shipped_profiles()[0]
    assert profile_text(replace(profile, stripes=())) == profile_text(profile)
