import pytest

from firmware.clock import HandClock
from firmware.live import proving
from firmware.live.appliance import run_appliance
from firmware.live.freshness import Freshness
from firmware.live.proving import FRAMES, Proving, told_of_versions
from firmware.live.run_plan import RunPlan
from firmware.screen.drawing import Drawing
from firmware.screen.screen import Screen
from firmware.update.places import Places
from overlays.draw.moment.shown import Face
from tests import views

LIVE, LOST = Freshness(Face.LIVE, ""), Freshness(Face.LOST, "no signal")


class Trial:
    """A version on trial, and what it says."""

    def __init__(self, folder, version="1.2.3", is_on_trial=True):
        self.run, self.clock = folder / "run", HandClock(10**9)
        self.fed_ns, self.lit = 10**12, True
        self.run.mkdir()
        if is_on_trial:
            (folder / "trial").write_text(f"{version} 1\n")
        environ = {
            "MIDGREY_RELEASE": f"/opt/midgrey/releases/{version}",
            "RUNTIME_DIRECTORY": str(self.run),
        }
        self.told = folder / "said"
        fed = lambda at_ns: self.fed_ns >= at_ns  # noqa: E731
        self.proving = Proving(environ, self.clock, fed, self.is_lit, Places(folder), self.told)

    def is_lit(self):
        return self.lit

    def said(self, name="proved"):
        file = self.run / name
        return file.read_text().strip() if file.exists() else None


def test_it_proves_itself_by_pictures_that_are_live_and_seen(tmp_path):
    trial = Trial(tmp_path)
    trial.proving.turn(LIVE, FRAMES)
    assert trial.said() is None, "no first picture was seen"
    trial.proving.first()
    trial.proving.turn(LIVE, FRAMES - 1)
    assert trial.said() is None
    trial.proving.turn(LIVE, FRAMES)
    assert trial.said() == "1.2.3"
    assert trial.proving.is_over
    assert oct((trial.run / "proved").stat().st_mode)[-3:] == "644"
    (trial.run / "proved").unlink()
    trial.proving.turn(LIVE, 99)
    assert trial.said() is None, "it is said once"


@pytest.mark.parametrize("face", [each for each in Face if each is not Face.LIVE])
def test_any_other_face_proves_nothing(tmp_path, face):
    trial = Trial(tmp_path)
    trial.proving.first()
    trial.proving.turn(Freshness(face, ""), 99)
    assert trial.said() is None


def test_a_black_screen_proves_nothing_and_none_at_all_is_no_fault(tmp_path):
    trial = Trial(tmp_path)
    trial.proving.first()
    trial.lit = False
    trial.proving.turn(LIVE, 99)
    assert trial.said() is None
    trial.lit = None
    trial.proving.turn(LIVE, 99)
    assert trial.said() == "1.2.3"


def test_the_watchdog_is_fed_after_the_first_picture(tmp_path):
    trial = Trial(tmp_path)
    trial.clock.move(5.0)
    trial.fed_ns = trial.clock.now_ns() - 1
    trial.proving.first()
    trial.proving.turn(LIVE, 99)
    assert trial.said() is None
    trial.fed_ns = trial.clock.now_ns()
    trial.proving.turn(LIVE, 99)
    assert trial.said() == "1.2.3"


def test_that_nothing_comes_in_is_said_while_it_lasts(tmp_path):
    trial = Trial(tmp_path)
    trial.proving.turn(LOST, 0)
    assert trial.said("waits-for-feed") == "1.2.3"
    trial.proving.turn(LIVE, 0)
    assert trial.said("waits-for-feed") == ""


@pytest.mark.parametrize("version", ["", "..", "venv"])
def test_what_is_no_version_has_no_trial(tmp_path, version):
    trial = Trial(tmp_path, version)
    trial.proving.first()
    trial.proving.turn(LIVE, 99)
    assert trial.proving.is_over
    assert list(trial.run.iterdir()) == []


def test_without_a_trial_nothing_is_written(tmp_path):
    trial = Trial(tmp_path, is_on_trial=False)
    trial.proving.first()
    trial.proving.turn(LIVE, 99)
    assert list(trial.run.iterdir()) == []


def test_what_an_update_came_to_meanwhile_is_news_for_a_minute(tmp_path):
    (tmp_path / "said").write_text("0.1.0 is given up\n")
    trial = Trial(tmp_path)
    assert trial.proving.news() == "", "it was said at the start"
    trial.told.write_text("1.3.0 is on trial\n")
    trial.clock.move(5.0)
    assert trial.proving.news() == "1.3.0 is on trial"
    assert trial.proving.news() == "", "a file is not read at every turn"
    said = []
    for _ in range(40):
        trial.clock.move(5.0)
        said.append(trial.proving.news())
    assert said.count("1.3.0 is on trial") == 11
    assert said[-1] == ""


def test_what_an_update_came_to_is_told_in_one_line(tmp_path):
    file = tmp_path / "said"
    assert told_of_versions(file) == ()
    file.write_text("1.2.3 is given\nup\n")
    assert told_of_versions(file) == ("1.2.3 is given up",)
    file.write_text("x" * 2000)
    assert told_of_versions(file) == ()


@pytest.mark.parametrize("is_black", [False, True])
def test_a_whole_run_proves_itself_but_for_one_that_paints_it_all_black(
    tmp_path, monkeypatch, is_black
):
    run = tmp_path / "run"
    run.mkdir()
    (tmp_path / "trial").write_text("1.2.3 1\n")
    monkeypatch.setenv("MIDGREY_RELEASE", "/opt/midgrey/releases/1.2.3")
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(run))
    monkeypatch.setattr(proving, "Places", lambda: Places(tmp_path))
    if is_black:
        # As tests/appliance/versions.py does it to a version: measured, ready, and nothing seen.
        really = Screen.flip

        def flip(self):
            self._canvas.fill((0, 0, 0))
            really(self)

        monkeypatch.setattr(Screen, "flip", flip)
    plan = RunPlan(
        view=views.PICTURE,
        feed="bench:size=320x180",
        size=(640, 360),
        frames=FRAMES + 5,
        drawing=Drawing.UNSEEN,
    )
    assert run_appliance(plan) == 0
    assert (run / "proved").exists() is not is_black
