"""The chart: found, moved by hand, given back; one frame, two looks, and no chart."""

import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from firmware.actions import Press
from firmware.clock import HandClock
from firmware.errors import ArgumentError
from firmware.instruments.asking import Opener
from firmware.instruments.chart import ChartOptions
from firmware.instruments.chart.by_hand import UNMOVED, ByHand
from firmware.instruments.chart.instrument import EVERY_NS, INSTRUMENT, Chart, ChartView
from firmware.instruments.codes import cut, put_back
from firmware.instruments.contract import Around
from firmware.instruments.desk import Desk
from firmware.instruments.scene import Frames
from firmware.profiles.model import curve_alone
from overlays.draw.moment.layers import ChartShown
from overlays.errors import ChartError, ChartNotFoundError, ChartPlaceError, ChartShadowError
from overlays.measure.chart.chart_reading import Scaling
from overlays.measure.chart.reference import BENCH_CHART
from overlays.signal.published import published_curve
from tests.asking import asked, printed

BENCH = "bench:size=960x540,signal=yuv444-10"
PROFILE = curve_alone(published_curve("BT.709"))
CHART = Chart()
A_LITTLE = ((2.0, 1.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0))
FAR = ((-300.0, 0.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0))


def by_hand(offsets, corner=0):
    return ChartView(ByHand(offsets, corner))


def shown(answer):
    (layer,) = CHART.layers(answer)
    assert isinstance(layer, ChartShown)
    return layer


# On the screen


def test_it_has_one_view_and_takes_its_time():
    assert [view.name for view in CHART.views] == ["chart"]
    assert CHART.every_ns(ChartView()) == EVERY_NS == 10**9
    assert CHART.settings(PROFILE, 25.0) == ChartView()


def test_presses_move_corners_and_leave_the_desk():
    around = Around(Desk(gain=4), PROFILE, 1920)
    settings, desk = CHART.pressed(ChartView(), Press.SPOT_LEFT, around)
    assert settings.hand.offsets[0] == (-24.0, 0.0)
    assert desk is around.desk
    back, _ = CHART.pressed(settings, Press.SPOT_CENTRE, around)
    assert back == ChartView()
    for press in (
        Press.NEXT_VIEW,
        Press.HOLD,
        Press.SET_REFERENCE,
        Press.STRIPE_UP,
        Press.SPOT_LARGER,
    ):
        assert CHART.pressed(settings, press, around) is None


def test_the_chart_is_found(scene):
    answer = CHART.measure(scene(), ChartView(), CHART.memory())
    layer = shown(answer)
    assert layer.reading.mean_de00 < 0.3
    assert layer.reading.reference is BENCH_CHART
    assert layer.reading.scaling is Scaling.NEUTRALS
    assert layer.chosen is None
    assert CHART.words(answer)["bench chart"].endswith("mean ΔE00")


def test_where_there_is_none_the_screen_says_why(scene):
    answer = CHART.measure(scene(",exposure=9"), ChartView(), CHART.memory())
    assert shown(answer).reading is shown(answer).corners is None
    assert isinstance(answer.fault, ChartError)
    assert CHART.report(answer).words == str(answer.fault)


def test_a_chart_that_is_found_but_cannot_be_read_is_outlined_all_the_same(scene):
    where = scene()
    whole = shown(CHART.measure(where, ChartView(), CHART.memory())).corners
    middle = round(sum(x for x, _ in whole.points) / 4.0)
    planes = [plane.copy() for plane in where.frame.planes]
    for plane, zero in zip(planes, (64, 512, 512), strict=True):
        dark = plane[:, middle:].astype(float) - zero
        plane[:, middle:] = np.rint(zero + 0.75 * dark)
    shadowed = replace(where, frame=replace(where.frame, planes=tuple(planes)))
    answer = CHART.measure(shadowed, ChartView(), CHART.memory())
    assert isinstance(answer.fault, ChartShadowError)
    assert shown(answer).reading is None
    np.testing.assert_allclose(shown(answer).corners.points, whole.points, atol=2.0)


@pytest.mark.parametrize("quarters", [0, 1])
def test_what_was_found_is_found_again_where_it_was_found(scene, quarters):
    """Nothing but the patches' surroundings is left of the picture."""
    first = scene()
    planes = tuple(np.ascontiguousarray(np.rot90(p, quarters)) for p in first.frame.planes)
    seen = scene(frame=replace(first.frame, planes=planes))
    found = CHART.measure(seen, ChartView(), CHART.memory())
    assert CHART.rests_on(seen, ChartView()) is None
    settled = CHART.settled(ChartView(), found)
    places = CHART.rests_on(seen, settled)
    assert len(places) == 24
    left = put_back(cut(seen.frame, places), seen.frame.signal, seen.frame.shift)
    again = CHART.measure(replace(seen, frame=left, _read={}), settled, CHART.memory())
    assert again.reading.mean_de00 == found.reading.mean_de00
    assert [p.lab for p in again.reading.patches] == [p.lab for p in found.reading.patches]
    assert again.reading.corners == found.reading.corners


def test_without_a_chart_there_is_nothing_to_find_again(scene):
    answer = replace(CHART.measure(scene(), ChartView(), CHART.memory()), reading=None)
    assert CHART.settled(ChartView(), answer) == ChartView()


def test_corners_are_moved_from_where_the_chart_was_found(scene):
    where, memory = scene(), CHART.memory()
    found = shown(CHART.measure(where, ChartView(), memory)).corners
    moved = shown(CHART.measure(where, by_hand(A_LITTLE), memory))
    assert moved.corners.points[0] == (
        pytest.approx(found.points[0][0] + 2.0),
        pytest.approx(found.points[0][1] + 1.0),
    )
    assert moved.corners.points[1:] == found.points[1:]
    assert moved.chosen == 0
    assert moved.reading.mean_de00 < 0.3
    lost = CHART.measure(where, by_hand(FAR), memory)
    assert lost.reading is None
    assert shown(lost).corners.points[0][0] == pytest.approx(found.points[0][0] - 300.0)
    assert CHART.measure(where, ChartView(), memory).reading is not None


def test_corners_start_in_the_picture_where_none_were_found(scene):
    layer = shown(CHART.measure(scene(), by_hand(UNMOVED), CHART.memory()))
    assert layer.corners.points[0] == (192.0, 108.0)
    assert layer.reading is None


def test_corners_given_back_start_next_time_from_where_the_chart_is_then(scene):
    where, memory = scene(), CHART.memory()
    box = shown(CHART.measure(where, by_hand(UNMOVED), memory)).corners
    found = shown(CHART.measure(where, ChartView(), memory)).corners
    again = shown(CHART.measure(where, by_hand(UNMOVED), memory)).corners
    assert again == found != box


def test_a_held_frame_has_the_corners_that_were_found_live(scene):
    memory = CHART.memory()
    found = shown(CHART.measure(scene(), ChartView(), memory)).corners
    held = scene(frames=Frames.HELD)
    moved = shown(CHART.measure(held, by_hand(A_LITTLE), memory)).corners
    assert moved.points[1:] == found.points[1:]


def test_frames_behind_a_held_one_change_nothing_of_it(scene):
    memory = CHART.memory()
    found = shown(CHART.measure(scene(frames=Frames.HELD), ChartView(), memory)).corners
    behind = scene(is_shown=False)
    CHART.measure(behind, ChartView(), memory)
    assert memory.found is found
    CHART.measure(behind, by_hand(A_LITTLE), memory)
    assert memory.base is None


# The command


def test_by_corners_the_fitting_reference_is_taken():
    first = asked("chart", feed=BENCH)
    turned = first["corners"][3:] + first["corners"][:3]
    text = " ".join(f"{x:.0f},{y:.0f}" for x, y in turned)
    again = asked("chart", feed=BENCH, corners=text)
    assert again["chart"] == BENCH_CHART.name
    assert again["mean_de00"] == pytest.approx(first["mean_de00"], abs=0.05)


def test_corners_where_no_chart_is_and_corners_that_are_none():
    with pytest.raises(ChartNotFoundError):
        asked("chart", feed=BENCH, corners="100,100,300,100,300,250,100,250")
    with pytest.raises(ArgumentError, match="8 are needed"):
        asked("chart", feed=BENCH, corners="1,2")
    with pytest.raises(ChartPlaceError):
        asked("chart", feed=BENCH, corners="100,100,200,200,300,300,400,400")


def test_one_feed_under_two_profiles():
    found = asked("chart", feed=BENCH, against_profile="log-v", profile="log-s3")
    assert found["profile"]["curve"] == "S-Log3"
    assert found["against"]["profile"]["curve"] == "V-Log"
    assert found["feed"]["name"] == found["against"]["feed"]["name"] == BENCH


def test_no_chart_and_no_such_scale():
    with pytest.raises(ChartNotFoundError):
        asked("chart", feed="bench:size=64x36")
    with pytest.raises(ArgumentError, match="scale"):
        asked("chart", feed=BENCH, scale="nonsense")


def test_options_are_checked_before_a_feed_is_opened(tmp_path):
    nowhere = "/no/such/feed.mov"
    for wrong, says in (
        ({"picture": tmp_path / "x.jpg"}, "is written as png"),
        ({"scale": "nonsense"}, "unknown scale"),
        ({"reference": tmp_path / "none.txt"}, "cannot be read"),
    ):
        with pytest.raises(ArgumentError, match=says):
            asked("chart", feed=nowhere, **wrong)


def test_a_picture_is_drawn_once_the_answer_is_out(tmp_path):
    path = tmp_path / "chart.png"
    options = ChartOptions(feed=BENCH, picture=path)
    answer = INSTRUMENT.ask(options, Opener(HandClock()))
    assert not path.exists()
    INSTRUMENT.keep(answer, options)
    assert path.read_bytes().startswith(b"\x89PNG")
    assert "Mean ΔE00" in printed("chart", feed=BENCH, picture=tmp_path / "again.png")
    assert (tmp_path / "again.png").read_bytes() == path.read_bytes()


def test_without_a_picture_pygame_stays_where_it_is():
    asks = (
        "import sys; from firmware.clock import HandClock;"
        "from firmware.instruments.asking import Opener;"
        "from firmware.instruments.chart import ChartOptions;"
        "from firmware.instruments.chart.instrument import INSTRUMENT as CHART;"
        "from firmware.instruments.chart.object import object_of;"
        f"options = ChartOptions(feed={BENCH!r});"
        "answer = CHART.ask(options, Opener(HandClock())); object_of(answer);"
        "CHART.lines(answer); CHART.keep(answer, options); print('pygame' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", asks], capture_output=True, text=True, timeout=120, check=True
    )
    assert done.stdout.strip() == "False"
