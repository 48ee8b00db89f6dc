from firmware.live.hooks import Hooks
from overlays.draw.moment.shown import Face


def test_a_caller_who_wishes_for_nothing_gets_nothing():
    hooks = Hooks()
    hooks.first()
    hooks.warm()
    hooks.turn(Face.LIVE)
    assert hooks.screenshot(None) == ""
    assert hooks.alert() is None
