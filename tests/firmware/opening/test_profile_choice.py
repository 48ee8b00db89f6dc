from dataclasses import dataclass, replace

import pytest

from firmware.errors import UnknownProfileError
from firmware.opening.overrides import Overrides
from firmware.opening.profile_choice import (
    asked_profile,
    choose_profile,
    doubts,
    signal_override,
)
from firmware.profiles.model import NO_PROFILE, Profile
from overlays.errors import UnknownCurveError
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Matrix, Range, Signal, SignalOverride

NONE = Overrides()


@dataclass(frozen=True)
class Choice:
    profile: Profile
    is_guess: bool
    warnings: tuple[str, ...]


def choose(info, profile=None, overrides=NONE):
    """The profile, and what is said of it on the feed."""
    chosen = choose_profile(asked_profile(profile, overrides), overrides, info)
    said = doubts(chosen.profile, info, info.signal, is_guess=chosen.is_guess)
    return Choice(chosen.profile, chosen.is_guess, said)


def test_the_profile_asked_for(info):
    chosen = choose(info(), "log-v")
    assert (chosen.profile.name, chosen.warnings) == ("log-v", ())
    assert not chosen.is_guess


def test_a_curve_alone_is_no_profile(info):
    chosen = choose(info(), overrides=Overrides(curve="S-Log3"))
    assert (chosen.profile.name, chosen.profile.curve.name) == (NO_PROFILE, "S-Log3")
    assert chosen.warnings == ()


def test_the_command_line_goes_over_the_profile(info):
    overrides = Overrides(curve="LogC3", carriage=Carriage.NARROW)
    profile = choose(info(), "log-v", overrides).profile
    assert (profile.curve.name, profile.laid) == ("LogC3", Carriage.NARROW)
    assert profile.stripes


def test_another_curve_leaves_the_profiles_carriage_behind(info):
    profile = choose(info(), "log-v", Overrides(curve="S-Log2")).profile
    assert profile.laid is Carriage.NARROW


def test_what_the_feed_knows_is_taken_where_nothing_was_asked(info):
    known = info(curve=published_curve("PQ"), carriage=Carriage.NARROW)
    chosen = choose(known)
    assert (chosen.profile.curve.name, chosen.profile.name) == ("PQ", NO_PROFILE)
    assert chosen.warnings == ()
    assert not chosen.is_guess


def test_a_guess_is_said_to_be_one(info):
    chosen = choose(info())
    assert chosen.profile.name == "standard"
    assert chosen.is_guess
    (warning,) = chosen.warnings
    assert "no curve was given" in warning
    assert "--curve" in warning


def test_carriage_alone_goes_over_a_guess_too(info):
    assert choose(info(), overrides=Overrides(carriage=Carriage.FULL)).profile.laid is Carriage.FULL


def test_a_carriage_nobody_states_is_a_doubt(info):
    (warning,) = choose(info(), overrides=Overrides(curve="LogC4")).warnings
    assert "carriage full" in warning
    assert "--carriage" in warning
    settled = Overrides(curve="LogC4", carriage=Carriage.FULL)
    assert choose(info(), overrides=settled).warnings == ()
    full = info(signal=Signal(bits=10, range=Range.FULL))
    assert choose(full, overrides=Overrides(curve="LogC4")).warnings == ()


def test_profile_and_feed_disagree_on_the_curve(info):
    (warning,) = choose(info(curve=published_curve("HLG")), "log-v").warnings
    assert "the feed says it carries HLG, profile log-v reads it as V-Log" in warning


def test_profile_and_feed_disagree_on_the_carriage(info):
    known = info(curve=published_curve("V-Log"), carriage=Carriage.NARROW)
    (warning,) = choose(known, "log-v").warnings
    assert "carriage is narrow" in warning
    assert choose(replace(known, carriage=Carriage.FULL), "log-v").warnings == ()


def test_signal_override_of_the_command_line_first():
    asked = replace(asked_profile("log-v", NONE), override=SignalOverride(Range.FULL, Matrix.BT601))
    assert signal_override(asked, Overrides(range=Range.LIMITED)) == SignalOverride(
        Range.LIMITED, Matrix.BT601
    )
    assert signal_override(None, NONE) == SignalOverride()


def test_unknown_names_are_refused():
    with pytest.raises(UnknownProfileError):
        asked_profile("nonesuch", NONE)
    with pytest.raises(UnknownCurveError):
        asked_profile(None, Overrides(curve="nonesuch"))
