"""Decisions about versions, over every way in which they can stand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.update.choices import (
    NOTHING,
    TRIES,
    Doing,
    Trial,
    VersionsInUse,
    before_start,
    proved,
    time_is_up,
)

VERSION = st.sampled_from(["0.1.0", "0.2.0", "0.3.0"])
MAYBE = st.one_of(st.none(), VERSION)
TRIAL = st.one_of(st.none(), st.builds(Trial, VERSION, st.integers(0, 9)))
STANDINGS = st.builds(VersionsInUse, MAYBE, MAYBE, TRIAL)


@given(STANDINGS, st.booleans())
def test_one_goes_back_only_to_another_version_that_is_there(now, waits):
    for choice in (before_start(now), time_is_up(now, waits_for_feed=waits)):
        if choice.doing is Doing.GO_BACK:
            assert now.previous not in {None, now.current}
            assert choice.why


@given(STANDINGS)
def test_a_version_that_has_proved_itself_is_never_given_up(now):
    if now.current is not None and not now.is_on_trial:
        assert before_start(now).doing in {Doing.NOTHING, Doing.END_TRIAL}
        assert time_is_up(now, waits_for_feed=False) is NOTHING


@given(STANDINGS, VERSION)
def test_only_the_version_on_trial_can_prove_itself(now, version):
    is_it = now.trial is not None and now.trial.version == now.current == version
    assert (proved(now, version).doing is Doing.END_TRIAL) == is_it


@given(st.integers(0, 9))
def test_starts_are_counted_until_they_are_too_many(starts):
    choice = before_start(VersionsInUse("0.2.0", "0.1.0", Trial("0.2.0", starts)))
    assert choice.doing is (Doing.COUNT if starts < TRIES else Doing.GO_BACK)


def test_with_nothing_to_go_back_to_it_goes_on():
    alone = VersionsInUse("0.2.0", None, Trial("0.2.0", 99))
    assert before_start(alone).doing is Doing.COUNT
    assert time_is_up(alone, waits_for_feed=False) is NOTHING
    same = VersionsInUse("0.2.0", "0.2.0", Trial("0.2.0", 99))
    assert before_start(same).doing is Doing.COUNT


def test_a_switch_that_the_power_cut_in_half_ends_its_trial():
    half = VersionsInUse("0.1.0", "0.1.0", Trial("0.2.0", 0))
    assert before_start(half).doing is Doing.END_TRIAL


def test_a_version_that_is_gone_is_left_for_the_one_before():
    assert before_start(VersionsInUse(None, "0.1.0")).doing is Doing.GO_BACK
    assert before_start(VersionsInUse(None, None)) is NOTHING


@pytest.mark.parametrize("waits", [True, False])
def test_one_without_a_feed_is_not_given_up_for_its_time(waits):
    choice = time_is_up(VersionsInUse("0.2.0", "0.1.0", Trial("0.2.0", 1)), waits_for_feed=waits)
    assert choice.doing is (Doing.NOTHING if waits else Doing.GO_BACK)
