"""A yardstick stays the same one for as long as nothing it is made of changes."""

from firmware.live.kept_ceilings import Ceilings
from firmware.live.yards import Yards
from firmware.opening.read_with import read_with
from firmware.profiles.shelf import load_profile


def test_it_is_made_anew_for_another_profile_and_kept_otherwise(frame, info):
    standard = read_with(load_profile("standard"), info())
    yards, some = Yards(Ceilings()), frame(500)
    first = yards.base(some, standard)
    assert yards.base(frame(600), standard) is first
    log = read_with(load_profile("hlg"), info())
    other = yards.base(some, log)
    assert other is not first
    assert other.carried != first.carried


def test_without_a_ceiling_it_is_the_profiles_own_and_stays_so(frame, info):
    standard = read_with(load_profile("standard"), info())
    yards = Yards(Ceilings())
    base = yards.base(frame(500), standard)
    under = yards.under_ceilings(base, standard)
    assert under.clip_percents == base.clip_percents
    assert yards.under_ceilings(base, standard) is under
