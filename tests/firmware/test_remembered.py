from firmware.profiles.shelf import load_profile
from firmware.remembered import Remembered, is_shown
from firmware.reported import Wishes
from overlays.draw.layout.views import View
from overlays.draw.moment.shown import Face


def test_nothing_is_remembered_at_first():
    kept = Remembered()
    assert (kept.taken, kept.ghost, kept.found, kept.base, kept.watch) == (
        None,
        (0, None),
        None,
        None,
        None,
    )


def test_live_frames_are_on_the_screen_unless_one_is_held():
    live = Wishes(View.MATCH, load_profile("hlg"))
    held = Wishes(View.MATCH, load_profile("hlg"), held=True)
    assert [is_shown(live, of) for of in (Face.LIVE, Face.HELD)] == [True, False]
    assert [is_shown(held, of) for of in (Face.LIVE, Face.HELD)] == [False, True]
