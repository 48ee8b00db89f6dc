import pytest

from firmware.errors import ProfileError, UnknownProfileError
from firmware.profiles.shelf import (
    APPLIANCE_PROFILES,
    check_files,
    load_profile,
    own_files,
    own_folders,
    own_profiles,
    shipped_names,
    shipped_profiles,
)
from overlays.measure.counting.bands import code_band
from overlays.signal.signal import Range, Signal


def test_what_ships():
    assert shipped_names() == ("standard", "hlg", "log-s3", "log-v")
    curves = [profile.curve.name for profile in shipped_profiles()]
    assert curves == ["BT.709", "HLG", "S-Log3", "V-Log"]


def test_what_ships_is_read_once():
    first = shipped_profiles()
    assert all(one is two for one, two in zip(first, shipped_profiles(), strict=True))
    assert load_profile("Standard") is first[0]


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


def put(folder, name, text='curve = "PQ"'):
    place = folder / "midgrey" / "profiles"
    place.mkdir(parents=True, exist_ok=True)
    (place / f"{name}.toml").write_text(text)
    return place / f"{name}.toml"


def test_ones_own_lie_where_the_base_directories_say(tmp_path):
    # XDG Base Directory Specification 0.8, "Environment variables"
    here = tmp_path / "a", tmp_path / "b"
    given = {"XDG_CONFIG_HOME": str(here[0]), "XDG_CONFIG_DIRS": f"{here[1]}:not/absolute"}
    folders = own_folders({"HOME": "/home/x", **given})
    assert folders == (*(each / "midgrey" / "profiles" for each in here), APPLIANCE_PROFILES)
    usual = own_folders({"HOME": "/home/x", "XDG_CONFIG_HOME": "", "XDG_CONFIG_DIRS": ""})
    assert [str(each) for each in usual] == [
        "/home/x/.config/midgrey/profiles",
        "/etc/xdg/midgrey/profiles",
        "/etc/midgrey/profiles",
    ]
    relative = own_folders({"HOME": "/home/x", "XDG_CONFIG_HOME": "config"})
    assert relative[0] == usual[0]
    assert own_folders({})[-1] == APPLIANCE_PROFILES


def test_ones_own_are_known_by_name_the_more_particular_first(tmp_path, monkeypatch):
    first = put(tmp_path / "a", "kit", 'curve = "PQ"')
    put(tmp_path / "b", "kit", 'curve = "HLG"')
    put(tmp_path / "b", "other", 'curve = "HLG"')
    environ = {"XDG_CONFIG_HOME": str(tmp_path / "a"), "XDG_CONFIG_DIRS": str(tmp_path / "b")}
    assert own_files(environ)["kit"] == first
    found = own_profiles(environ)
    assert [each.name for each in found.profiles] == ["kit", "other"]
    assert found.faults == ()
    for name, value in environ.items():
        monkeypatch.setenv(name, value)
    assert load_profile("KIT").curve.name == "PQ"
    with pytest.raises(UnknownProfileError, match=r"did you mean other\?"):
        load_profile("othr")


def test_a_file_with_mistakes_is_named_and_stops_no_other(tmp_path):
    put(tmp_path, "good")
    bad = put(tmp_path, "bad", 'curve = "nothing"')
    taken = put(tmp_path, "hlg")
    found = own_profiles({"XDG_CONFIG_HOME": str(tmp_path)})
    assert [each.name for each in found.profiles] == ["good"]
    assert len(found.faults) == 2
    assert any(f"midgrey profiles check {bad}" in each for each in found.faults)
    assert any(str(taken) in each and "rename" in each for each in found.faults)


def test_the_home_of_somebody_who_is_not_there_is_an_unknown_profile():
    """`--profile ~nobody…` ended in RuntimeError (issue 19, item 13)."""
    for written in ("~nosuchuser", "~nosuchuser/x"):
        with pytest.raises(UnknownProfileError, match="unknown profile"):
            load_profile(written)
    with pytest.raises(ProfileError, match="cannot be read"):
        load_profile("~nosuchuser/x.toml")
