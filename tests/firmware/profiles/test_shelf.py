import pytest

from firmware.errors import ProfileError, UnknownProfileError
from firmware.profiles.shelf import check_files, load_profile, shipped_names, shipped_profiles
from overlays.measure.counting.bands import code_band
from overlays.signal.signal import Range, Signal


def test_what_ships():
    assert shipped_names() == ("standard", "hlg", "log-s3", "log-v")
    curves = [profile.curve.name for profile in shipped_profiles()]
    assert curves == ["BT.709", "HLG", "S-Log3", "V-Log"]


@pytest.mark.parametrize("bits", [8, 10, 12])
@pytest.mark.parametrize("quantisation", list(Range))
@pytest.mark.parametrize("name", ["standard", "hlg", "log-s3", "log-v"])
def test_stripes_that_ship_fit_every_signal(name, bits, quantisation):
    profile = load_profile(name)
    yard = profile.yardstick(Signal(bits=bits, range=quantisation))
    assert len([code_band(band, yard) for band in profile.stripes]) == 3


def test_mid_grey_on_the_log_curve_reads_about_42_percent():
    # common practice, no source: "about 42 % and 0.0 stops on the log curve that has it there"
    yard = load_profile("log-v").yardstick(Signal(bits=10))
    assert yard.carried.stops_to_percent(0.0) == pytest.approx(42.0, abs=0.5)


def test_mid_grey_on_hlg_is_at_38_percent():
    # ITU-R BT.2408-7 Table 1: 18 % grey card at 38 % of HLG
    yard = load_profile("hlg").yardstick(Signal(bits=10))
    assert yard.carried.stops_to_percent(0.0) == pytest.approx(38.0, abs=0.5)


def test_names_do_not_mind_case():
    assert load_profile("HLG").name == "hlg"


def test_a_profile_of_ones_own_by_path(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text('curve = "PQ"')
    assert load_profile(str(path)).name == "mine"


def test_unknown_profile_offers_the_nearest():
    with pytest.raises(
        UnknownProfileError, match=r"unknown profile 'log-s'; did you mean log-s3\?"
    ):
        load_profile("log-s")


def test_a_missing_file_is_told_as_such(tmp_path):
    with pytest.raises(ProfileError, match="no such file"):
        load_profile(str(tmp_path / "mine.toml"))


def test_checking_several_files_reports_all_mistakes_and_twice_used_names(tmp_path):
    good, bad = tmp_path / "a" / "kit.toml", tmp_path / "b" / "KIT.toml"
    taken = tmp_path / "hlg.toml"
    for path in (good, bad, taken):
        path.parent.mkdir(exist_ok=True)
        path.write_text('curve = "PQ"')
    bad.write_text('curve = "PQ"\nx = 1\ny = 2\n')
    profiles, mistakes = check_files([good, bad, taken, good])
    assert [profile.name for profile in profiles] == ["kit", "hlg"]
    assert len(mistakes) == 4
    assert "there is no such key" in mistakes[0]
    assert f"already that of {good}" in mistakes[2]
    assert "that of a profile that ships" in mistakes[3]
