"""A unit with bad options comes up on the standard profile and says what is wrong."""

import io
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
import typer

from firmware.commands.run import plan_of
from firmware.commands.service import REFUSED, plan_in_service, run_as_service, say
from firmware.profiles.shelf import load_profile
from firmware.screen.rotation import Rotation
from firmware.written.options import RunOptions
from tests.places import ROOT


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


def test_a_command_line_that_cannot_be_parsed_leaves_the_feed():
    seen = []
    app = typer.Typer()

    @app.callback()
    def nothing():
        pass

    @app.command()
    def run(feed: str = typer.Argument("")):
        seen.append(feed)

    environ = {"MIDGREY_FEED": "bench:size=64x36"}
    argv, sys.argv = sys.argv, ["midgrey", "run", "bench", "--profle", "log-v"]
    try:
        assert run_as_service(app, environ) == 0
    finally:
        sys.argv = argv
    assert seen == ["bench:size=64x36"]
    assert "--profle" in environ[REFUSED]
    assert "--profle" in planned(environ, feed="bench").wrong[0]


def test_the_appliance_comes_up_with_a_profile_that_does_not_exist(tmp_path):
    """Issue: it ended with status 2, and was started again for ever."""
    environ = {
        **os.environ,
        "NOTIFY_SOCKET": str(tmp_path / "none"),
        "SDL_VIDEODRIVER": "dummy",
    }
    shot = tmp_path / "shot.png"
    words = ["run", "bench:size=64x36", "--frames", "2", "--screenshot", str(shot)]
    done = subprocess.run(
        [sys.executable, "-m", "firmware", *words, "--profile", "bt709"],
        cwd=ROOT,
        env=environ,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert shot.exists()
    assert "bt709" in done.stderr


def test_the_installers_example_names_a_profile_that_ships():
    script = (ROOT / "systemd" / "install.sh").read_text()
    (name,) = re.findall(r"^#MIDGREY_OPTIONS=--profile (\S+)$", script, re.MULTILINE)
    assert load_profile(name).name == name
