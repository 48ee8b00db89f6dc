"""A unit with bad options comes up on the standard profile and says what is wrong."""

import io
import re
from pathlib import Path

import pytest

from firmware.commands.run import plan_of
from firmware.commands.service import REFUSED
from firmware.commands.service_plan import plan_in_service, say
from firmware.screen.rotation import Rotation
from firmware.written.options import RunOptions


def planned(environ=None, **options):
    return plan_in_service(RunOptions(**options), environ or {}, plan_of)


def test_right_options_are_followed_and_nothing_is_said():
    plan = planned(feed="bench", profile="log-v", view="watch", rotate=90)
    assert (plan.profile, plan.view.name, plan.wrong) == ("log-v", "watch", ())
    assert plan.rotation is Rotation(90)
    assert planned().profile is None  # as anywhere: the feed may say its curve


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"profile": "bt709"}, "bt709"),
        ({"profile": "/nowhere/own.toml"}, "/nowhere/own.toml"),
        ({"curve": "Q-Log"}, "Q-Log"),
        ({"view": "nothing"}, "nothing"),
        ({"range": "wide"}, "wide"),
        ({"rotate": 45}, "45"),
        ({"screenshot": Path("x.bmp")}, ".png"),
    ],
)
def test_what_cannot_be_followed_is_said_and_the_standard_profile_taken(options, said):
    plan = planned(feed="bench", **options)
    assert (plan.feed, plan.profile) == ("bench", "standard")
    (words,) = plan.wrong
    assert said in words
    assert words.startswith("MIDGREY_OPTIONS cannot be followed, so the profile standard is used: ")


def test_one_bad_option_takes_no_good_one_with_it():
    plan = planned(feed="bench", profile="bt709", view="watch", rotate=90)
    assert (plan.view.name, plan.rotation) == ("watch", Rotation(90))
    kept = planned(feed="bench", profile="log-v", view="nothing")
    assert kept.profile == "log-v"
    assert len(kept.wrong) == 1


def test_a_bad_setting_of_the_environment_is_said_too():
    plan = planned({"MIDGREY_ROTATE": "upside down"}, feed="bench", profile="log-v")
    assert plan.profile == "log-v"
    assert any("upside down" in each for each in plan.wrong)


def test_every_mistake_of_a_profile_is_said(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text('curve = "V-Log"\ntarget = "42 lm"\n[watch]\nlevel = "0 st"\n')
    plan = planned(profile=str(path))
    assert [re.search(r"own.toml:(\d+)", each)[1] for each in plan.wrong] == ["2", "4"]
    err = io.StringIO()
    say(plan, err)
    assert err.getvalue().count("midgrey: MIDGREY_OPTIONS") == 2


def test_what_could_not_be_parsed_is_said():
    (words,) = planned({REFUSED: "No such option: --profle"}, feed="bench").wrong
    assert "--profle" in words
