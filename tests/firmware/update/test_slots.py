"""Links and trial on a card, whose power goes between any two things that are done to it."""

import fcntl
import os

import pytest

from firmware.update.choices import Trial, before_start
from firmware.update.slots import (
    carry_out,
    change_back,
    end_trial,
    forgive,
    given_up,
    note_given_up,
    put_on_trial,
    standing,
    switch,
    switching,
    versions,
)
from tests.updates import made_unit, made_version


class PowerCutError(Exception):
    """The power went."""


@pytest.fixture
def cut(monkeypatch):
    """Let the power go before, or after, the n-th change of a name."""
    left = [10**9]
    for name in ("replace", "unlink", "symlink"):
        really = getattr(os, name)

        def counted(*words, really=really, **named):
            left[0] -= 1
            if left[0] == 0:
                raise PowerCutError
            really(*words, **named)
            left[0] -= 1
            if left[0] == 0:
                raise PowerCutError

        monkeypatch.setattr(os, name, counted)

    def at(moment):
        left[0] = moment

    return at


def boot(places):
    """What happens before a start."""
    now = standing(places)
    carry_out(places, now, before_start(now))
    return standing(places)


MOMENTS = range(1, 17)


@pytest.mark.parametrize("moment", MOMENTS)
def test_whenever_the_power_goes_in_a_switch_it_starts_one_of_the_two(tmp_path, cut, moment):
    places = made_unit(tmp_path / "unit", "0.0.9", "0.1.0").places
    made_version(places.releases, "0.2.0")
    cut(moment)
    try:
        switch(places, "0.2.0")
        was_cut = False
    except PowerCutError:
        was_cut = True
    cut(10**9)
    now = boot(places)
    assert now.current in {"0.1.0", "0.2.0"}
    if now.current == "0.2.0":
        assert now.trial == Trial("0.2.0", 1)
        assert now.previous == "0.1.0"
    else:
        assert now.trial is None
    assert was_cut or moment > 9
    assert not was_cut or moment < MOMENTS[-1], "the moments do not cover all of it"
    # It can be asked for again.
    switch(places, "0.2.0")
    assert boot(places).current == "0.2.0"
    assert standing(places).previous == "0.1.0"


@pytest.mark.parametrize("moment", range(1, 12))
def test_whenever_the_power_goes_on_the_way_back_it_arrives(tmp_path, cut, moment):
    places = made_unit(tmp_path / "unit", "0.1.0").places
    made_version(places.releases, "0.2.0")
    switch(places, "0.2.0")
    for _ in range(3):
        assert boot(places).current == "0.2.0"
    cut(moment)
    try:
        boot(places)
    except PowerCutError:
        cut(10**9)
        boot(places)
    now = standing(places)
    assert (now.current, now.trial) == ("0.1.0", None)
    assert given_up(places) == {"0.2.0": "it did not prove itself in 3 starts"}


@pytest.mark.parametrize("moment", range(1, 10))
def test_whenever_the_power_goes_in_going_back_by_hand_a_whole_one_is_started(
    tmp_path, cut, moment
):
    places = made_unit(tmp_path / "unit", "0.1.0", "0.2.0").places
    cut(moment)
    try:
        change_back(places)
    except PowerCutError:
        cut(10**9)
    assert boot(places).current in {"0.1.0", "0.2.0"}
    assert standing(places).trial is None


def test_by_hand_one_can_go_back_and_forth(tmp_path):
    places = made_unit(tmp_path, "0.1.0", "0.2.0").places
    assert change_back(places) == "0.1.0"
    assert (standing(places).current, standing(places).previous) == ("0.1.0", "0.2.0")
    assert change_back(places) == "0.2.0"


def test_back_from_a_trial_does_not_keep_what_was_not_proved(tmp_path):
    places = made_unit(tmp_path, "0.1.0").places
    made_version(places.releases, "0.2.0")
    switch(places, "0.2.0")
    assert change_back(places) == "0.1.0"
    assert standing(places).trial is None
    assert change_back(places) is None


def test_an_update_over_a_trial_keeps_the_proved_one_to_go_back_to(tmp_path):
    places = made_unit(tmp_path, "0.1.0").places
    for version in ("0.2.0", "0.3.0"):
        made_version(places.releases, version)
        switch(places, version)
    assert (standing(places).current, standing(places).previous) == ("0.3.0", "0.1.0")
    end_trial(places)
    assert change_back(places) == "0.1.0"


@pytest.mark.parametrize(
    "text",
    ["", "0.2.0", "0.2.0 x", "0.2.0 -1", "../x 1", "0.2.0 99999999999", "\0\0\0", "x" * 5000],
)
def test_a_file_of_a_trial_that_says_nothing_is_none(tmp_path, text):
    places = made_unit(tmp_path, "0.1.0").places
    places.trial.write_text(text)
    assert standing(places).trial is None
    assert boot(places).current == "0.1.0"


def test_links_that_lead_elsewhere_lead_to_no_version(tmp_path):
    places = made_unit(tmp_path / "unit", "0.1.0").places
    for target in ("releases/9.9.9", "/etc", "..", "releases/.0.1.0"):
        places.current.unlink()
        places.current.symlink_to(target)
        assert standing(places).current is None


def test_a_folder_without_its_command_is_no_version(tmp_path):
    places = made_unit(tmp_path, "0.1.0").places
    (places.releases / "0.3.0").mkdir()
    (places.releases / ".0.4.0").mkdir()
    assert versions(places) == ["0.1.0"]
    assert versions(made_unit(tmp_path / "other").places) == []


def test_those_given_up_are_few_and_can_be_forgiven(tmp_path):
    places = made_unit(tmp_path, "0.1.0").places
    for number in range(12):
        note_given_up(places, f"0.2.{number}", "why")
    assert list(given_up(places)) == [f"0.2.{number}" for number in range(4, 12)]
    forgive(places, "0.2.5")
    forgive(places, "9.9.9")
    assert "0.2.5" not in given_up(places)
    assert len(given_up(places)) == 7


def test_two_never_switch_at_once(tmp_path):
    places = made_unit(tmp_path, "0.1.0").places
    with switching(places):
        other = os.open(places.home / ".switching", os.O_RDWR)
        with pytest.raises(BlockingIOError):
            fcntl.flock(other, fcntl.LOCK_EX | fcntl.LOCK_NB)
        os.close(other)
    put_on_trial(places, Trial("0.1.0", 2))
    assert places.trial.read_text() == "0.1.0 2\n"
