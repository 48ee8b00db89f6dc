"""The command on benches whose truth is known."""

import json
from dataclasses import replace
from unittest.mock import Mock

import jsonschema
import numpy as np
import pytest

from firmware.commands.schema import schemas
from firmware.errors import ArgumentError
from firmware.instruments.asking import Opener
from firmware.instruments.characterise.answer import CharacteriseAnswer
from firmware.instruments.characterise.instrument import INSTRUMENT, profile_of
from firmware.profiles.shelf import check_files
from overlays.errors import TooFewStepsError
from overlays.measure.characterise.flicker import StepCause
from overlays.signal.quantities import stops
from overlays.signal.signal import Signal
from tests.asking import asked, printed
from tests.overlays.measure.characterise.test_camera_found import camera
from tests.places import SCENES

BENCH = "bench:size=320x180,cloud=0,signal=yuv422-10,curve=V-Log,clip=4"
STOPS = [n / 2.0 for n in range(-14, 10)]


def feeds(**more):
    return {
        "cap": f"{BENCH},exposure=-12",
        "clip": f"{BENCH},exposure=8",
        "bracket": tuple(f"{BENCH},exposure={s}@{s}" for s in STOPS),
        **more,
    }


def test_a_bench_is_characterised_and_its_profile_reads_it(tmp_path):
    profile, report = tmp_path / "mine.toml", tmp_path / "mine.html"
    found = asked("characterise", **feeds(profile_out=profile, report=report, name="a bench"))
    jsonschema.validate(found, schemas("characterise"))
    assert found["nearest"][0]["curve"] == "V-Log"
    assert abs(found["clip_stops"] - 4.0) < 1.0 / 3.0
    assert [s["clipped"] for s in found["steps"]][-1]
    profiles, mistakes = check_files([profile])
    assert mistakes == []
    assert profiles[0].title == "a bench"
    for exposure in (-5, -2, 0.25, 2):
        feed = f"{BENCH},exposure={exposure}"
        spot = asked("read", feed=feed, profile=str(profile))["spots"][0]
        pm = spot["stops_pm"] + found["curve_pm_stops"]
        assert abs(spot["stops"] - exposure) <= pm + 0.01, exposure
    text = report.read_text()
    assert text.count("<svg") == 6  # curve, steps beside it, noise of luma and of R', G', B'
    assert "a bench" in text


@pytest.mark.parametrize("signal", ["uyvy", "yuv422-10"])
@pytest.mark.parametrize("curve", ["S-Log3", "LogC4", "BT.709", "HLG"])
def test_what_it_writes_passes_profiles_check_and_reads_the_same_camera_within_its_pm(
    curve, signal, tmp_path
):
    """At each level by the ± that stands beside the nearest steps, and the reading's own."""
    path, other = tmp_path / "mine.toml", f"signal={signal},curve={curve}"
    given = {
        key: tuple(_as(other, each) for each in value)
        if isinstance(value, tuple)
        else _as(other, value)
        for key, value in feeds().items()
    }
    found = asked("characterise", profile_out=path, **given)
    profiles, mistakes = check_files([path])
    assert (mistakes, len(profiles)) == ([], 1)
    at, half = np.array([(each["stops"], each["stops_pm"]) for each in found["sure"]]).T
    for exposure in np.arange(max(at[0], -5.0), 1.5, 0.75):
        feed = _as(other, f"{BENCH},exposure={exposure}")
        spot = asked("read", feed=feed, profile=str(path))["spots"][0]
        sure = spot["stops_pm"] + np.interp(exposure, at, half)
        assert abs(spot["stops"] - exposure) <= sure, exposure


def _as(other, feed):
    return feed.replace("signal=yuv422-10,curve=V-Log", other)


@pytest.mark.skipif(not SCENES.is_dir(), reason="needs the pictures of known truth")
@pytest.mark.parametrize(("name", "depth"), [("s03-wedge36-10.mkv", 10), ("s03-wedge36-8.mkv", 8)])
def test_the_report_on_the_real_wedge_says_its_range_and_what_is_not_known(name, depth, tmp_path):
    """Steps of known light that the sensor holds; no cap was filmed: a bench's black stands in."""
    clips = json.loads((SCENES / "truth.json").read_text())["clips"]
    clip = next(c for c in clips if any(f["file"] == name for f in c["files"]))
    feed, steps = str(SCENES / name), []
    for patch in clip["patches"]:
        if max(patch["raw_clipped_rggb"]) == 0.0:
            x, y = patch["x"] + patch["w"] // 2, patch["y"] + patch["h"] // 2
            size = 2 * (min(patch["w"], patch["h"]) // 2)
            steps.append(f"{feed}@{patch['stops_of_luma']:.4f}@{x},{y},{size}")
    layout = "uyvy" if depth == 8 else "yuv422-10"
    found = asked(
        "characterise",
        cap=f"bench:size=320x180,curve=S-Log3,cloud=0,exposure=-12,signal={layout}",
        bracket=tuple(steps),
        clip=feed,
        curve="S-Log3",
        range="limited",
        report=tmp_path / "wedge.html",
        profile_out=tmp_path / "wedge.toml",
    )
    assert len(found["steps"]) == len(steps) == 29
    assert found["nearest"][0]["curve"] == "S-Log3"
    assert not any(step["outlier"] or step["doubtful"] for step in found["steps"])
    # The steps at raw full scale lie at +3.06 by their luma (truth.json, w01).
    assert found["clip_stops"] == pytest.approx(3.06, abs=1.0 / 3.0)
    assert found["usable_at_least"]
    assert found["usable_stops"] == pytest.approx(6.94, abs=0.05)
    text = (tmp_path / "wedge.html").read_text()
    for words in ("usable range at least 6.9 st", "is not known", "as sure as the card was met"):
        assert words in text
    assert check_files([tmp_path / "wedge.toml"])[1] == []


def test_a_picture_of_many_steps_is_opened_once(monkeypatch):
    opened = []
    session = Opener.session

    def kept(own, wanted, *more):
        opened.append(wanted)
        return session(own, wanted, *more)

    monkeypatch.setattr(Opener, "session", kept)
    places = [f"{x / 10},{y / 10}" for x in range(1, 10) for y in (3, 5, 7)]
    read = asked("read", feed=BENCH, at=tuple(places))["spots"]
    wedge = sorted((each["stops"], at) for each, at in zip(read, places, strict=True))
    opened.clear()
    found = asked("characterise", **feeds(bracket=tuple(f"{BENCH}@{s}@{at}" for s, at in wedge)))
    assert [len(each.at) for each in opened] == [0, len(wedge), 0]
    assert found["nearest"][0]["curve"] == "V-Log"


def test_a_bracket_that_does_not_rise_is_one_sentence():
    one = tuple(f"{BENCH}@{n}" for n in range(-3, 3))
    with pytest.raises(TooFewStepsError, match="of 6 steps only 1 are brighter than all"):
        asked("characterise", **feeds(bracket=one))


def test_a_mis_set_step_is_named_in_what_is_printed():
    given = list(feeds()["bracket"])
    given[10] = given[10].replace("@", ",seed=2@").rsplit("@", 1)[0] + "@-2.5"
    lines = printed("characterise", **feeds(bracket=tuple(given)))
    assert "mis-set" in lines
    assert "-2.50" in lines.replace("−", "-")
    said = " ".join(lines.split())
    assert "flicker does not explain it" in said  # half a stop amid steps on one curve


def test_lamps_that_beat_are_named_and_their_mean_makes_the_curve():
    """100 swings against 24 frames a second, from another moment of the swing at each step."""
    lamps = ",rate=24,flicker=0.5,mains=50"
    given = tuple(f.replace(BENCH, BENCH + lamps) for f in feeds()["bracket"])
    found = asked("characterise", **feeds(bracket=given))
    jsonschema.validate(found, schemas("characterise"))
    assert found["flicker_stops"] == pytest.approx(0.25, abs=0.03)
    assert found["nearest"][0]["curve"] == "V-Log"
    assert found["nearest"][0]["rms_stops"] < 0.02
    assert any("the light flickers" in words for words in found["words"])
    assert {step["cause"] for step in found["steps"]} == {None}


def test_lamps_whose_beat_stands_still_may_be_settings_as_well():
    lamps = ",flicker=0.3,mains=50"  # 100 swings and 25 frames a second
    given = tuple(f.replace(BENCH, BENCH + lamps) for f in feeds()["bracket"])
    found = asked("characterise", **feeds(bracket=given))
    assert found["flicker_stops"] is None
    assert found["scatter_stops"] > 0.03
    assert any("or light that flickers" in words for words in found["words"])
    assert not any(step["cause"] == StepCause.MISSET.value for step in found["steps"])


@pytest.mark.parametrize(
    ("bracket", "words"),
    [
        ((), "at least 5 times"),
        (("bench",) * 6, "says no stops"),
        (("bench@much",) * 6, "are no stops"),
    ],
)
def test_what_is_no_bracket_is_one_sentence(bracket, words):
    with pytest.raises(ArgumentError, match=words):
        asked("characterise", **feeds(bracket=bracket))


def test_files_that_cannot_be_are_refused_before_a_frame_is_read(tmp_path):
    with pytest.raises(ArgumentError, match="html"):
        asked("characterise", **feeds(report=tmp_path / "a.pdf"))


def test_clip_and_floor_are_written_to_a_hundredth_of_a_stop():
    found = replace(camera("V-Log", 10)[0], floor_stops=-6.7891, clip_stops=4.1257)
    made = profile_of(CharacteriseAnswer(Mock(signal=Signal(10)), "mine", found, ()))
    assert (str(made.floor), str(made.clip)) == (str(stops(-6.79)), str(stops(4.13)))
    assert (
        profile_of(
            CharacteriseAnswer(
                Mock(signal=Signal(10)), "mine", replace(found, floor_stops=None), ()
            )
        ).floor
        is None
    )


def test_it_has_no_view():
    assert INSTRUMENT.views == ()
    with pytest.raises(ArgumentError):
        INSTRUMENT.measure(None, None, None)
