"""A unit comes up on a command line full of mistakes, and shows soon that it does."""

import os
import re
import subprocess
import sys

import typer

from firmware.commands.service import REFUSED, run_as_service
from firmware.profiles.shelf import load_profile
from tests.places import ROOT
from tests.running import environment


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


SPLASH = """
import os, sys
from firmware.screen import splash


def before(options):
    heavy = [name for name in ("numba", "numpy", "firmware.profiles") if name in sys.modules]
    print("splash", heavy, flush=True)
    os._exit(0)


splash.before = before
from firmware.__main__ import main
sys.argv = ["midgrey", "run", "bench"]
main()
"""


def test_the_splash_of_a_unit_comes_before_what_takes_long_is_loaded(tmp_path):
    """It came after numba: a second late here, ten when emulated, where a terminal's did not."""
    around = environment(NOTIFY_SOCKET=str(tmp_path / "none"))
    command = [sys.executable, "-c", SPLASH]
    done = subprocess.run(command, env=around, capture_output=True, text=True, check=False)
    assert done.stdout == "splash []\n", done.stdout + done.stderr
