from dataclasses import replace

import pytest

from overlays.draw.layout.monitor import Monitor
from overlays.draw.layout.views import Over
from overlays.draw.moment.layers import Said
from overlays.draw.moment.report import Report
from overlays.draw.moment.shown import Face, Source
from tests import views


@pytest.mark.parametrize("face", list(Face))
def test_numbers_may_be_taken_only_from_a_live_or_held_frame(shown, face):
    moment = shown(face=face)
    # With a lamp that is stuck the picture is live all the same.
    assert (moment.readable is moment.measured) == (
        face in {Face.LIVE, Face.HELD, Face.LAMP, Face.LOCKED}
    )


def test_the_curve_is_named_once():
    assert Source("Standard gamma (BT.709)", "BT.709", "").read_as == "Standard gamma (BT.709)"
    assert Source("My camera", "HLG", "").read_as == "My camera  ·  HLG"


@pytest.mark.parametrize("view", views.VIEWS)
def test_stripes_lie_where_the_view_has_them_and_nothing_else_is_painted(shown, view):
    moment = shown(view=view)
    assert moment.is_striped == (Over.STRIPES in view.over)
    assert not replace(moment, painted=False).is_striped
    for monitor in (Monitor(stop_map=True), Monitor(edges=True)):
        assert not replace(moment, monitor=monitor).is_striped


@pytest.mark.parametrize(
    ("face", "seen_in", "is_told"),
    [
        (Face.LIVE, None, True),
        (Face.LIVE, views.EXPOSE, True),
        (Face.LIVE, views.CHIPS, False),
        (Face.STALE, views.EXPOSE, False),
    ],
)
def test_a_report_is_that_of_the_view_and_of_a_feed_that_is_believed(shown, face, seen_in, is_told):
    report = Report("h", "1", "st", "words")
    moment = shown(face=face)
    measured = replace(moment.measured, said=Said(report), view=seen_in)
    assert replace(moment, measured=measured).report == (report if is_told else None)
