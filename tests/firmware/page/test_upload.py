"""A profile that a phone brings."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firmware.errors import PageError, ProfileError
from firmware.page import upload
from firmware.page.upload import keep_profile
from firmware.profiles.shelf import own_profiles

GOOD = b'title = "mine"\ncurve = "BT.709"\n'


@pytest.fixture
def environ(tmp_path):
    return {"XDG_CONFIG_HOME": str(tmp_path / "config")}


def test_it_is_kept_under_its_name_and_replaced_by_the_next(environ):
    assert "kept;" in keep_profile("mine", GOOD, environ)
    assert "in place of" in keep_profile("mine", GOOD.replace(b'"mine"', b'"newer"'), environ)
    assert [each.title for each in own_profiles(environ).profiles] == ["newer"]


def test_a_card_that_takes_none_is_one_sentence(tmp_path):
    (tmp_path / "config").write_text("")
    with pytest.raises(PageError, match="cannot be written"):
        keep_profile("mine", GOOD, {"XDG_CONFIG_HOME": str(tmp_path / "config")})


def test_a_card_is_not_filled(environ, monkeypatch):
    monkeypatch.setattr(upload, "MOST_FILES", 2)
    for name in ("one", "two", "two"):
        keep_profile(name, GOOD, environ)
    with pytest.raises(PageError, match="delete some first"):
        keep_profile("three", GOOD, environ)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=st.text(max_size=50), content=st.binary(max_size=100))
def test_anything_else_is_refused_in_sentences_and_nothing_is_kept(tmp_path, name, content):
    with pytest.raises((PageError, ProfileError)):
        keep_profile(name, b"\x00" + content, {"XDG_CONFIG_HOME": str(tmp_path / "config")})
    assert not (tmp_path / "config").exists()
