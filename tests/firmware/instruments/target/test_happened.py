from dataclasses import replace

from firmware.instruments.target.answer import TargetAnswer
from firmware.instruments.target.happened import MOST_OUT, Happened
from overlays.measure.expose.excursions import Excursions
from overlays.measure.expose.side import Judgement, Side
from tests.marked import SMALL, followed


def scene_of(exposure: float):
    """The scene that a reading was followed in, as far as its past looks at it."""
    from firmware.clock import HandClock  # noqa: PLC0415 - beside what uses it
    from firmware.instruments.asking import Opener, Wanted  # noqa: PLC0415
    from firmware.opening.overrides import Overrides  # noqa: PLC0415

    wanted = Wanted(f"{SMALL},exposure={exposure}", None, Overrides(), 0, ())
    with Opener(HandClock(10**9)).scene(wanted) as opened:
        return opened.kept()


def test_codes_are_kept_of_what_goes_out_and_of_the_farthest():
    answer = followed("target", (SMALL, f"{SMALL},exposure=1")).answer
    assert isinstance(answer, TargetAnswer)
    assert len(answer.happened.places) == 1  # it went out and was farthest with one reading


def test_only_the_newest_are_kept_and_all_are_counted():
    scene, past = scene_of(1.0), Happened(Excursions(Side.IN))
    for number in range(MOST_OUT + 3):
        past = past.after(Judgement(Side.OVER, 1.0 + number, 0.1), scene)
        past = past.after(Judgement(Side.IN, 0.0, 0.1), scene)
    assert past.past.count == MOST_OUT + 3
    assert len(past.outs) == MOST_OUT
    assert all(each.kept is not None for each in past.outs)


def test_a_reading_of_another_frame_has_no_codes():
    scene = scene_of(1.0)
    assert scene.spot is not None
    scene.spot = replace(scene.spot, stops=scene.spot.stops + 0.01)
    past = Happened(Excursions(Side.IN)).after(Judgement(Side.OVER, 1.0, 0.1), scene)
    assert [each.kept for each in past.outs] == [None]
    assert past.farthest is None


def test_clearing_lets_go_of_all_and_another_place_of_nothing():
    scene = scene_of(1.0)
    past = Happened(Excursions(Side.IN)).after(Judgement(Side.OVER, 1.0, 0.1), scene)
    assert past.cleared().places == ()
    assert past.elsewhere().outs == past.outs
    assert past.after(Judgement(None), scene) is past
