"""What is said before something is drawn for the first time."""

from firmware.live.announcing import Announcing
from firmware.live.hooks import Hooks
from overlays.draw.moment.shown import Face


def announcing(*, is_warm, words):
    hooks = Hooks()
    hooks.is_warm, hooks.preparing = lambda: is_warm, lambda: words
    return Announcing(hooks)


def test_what_was_drawn_once_is_announced_no_more():
    made = announcing(is_warm=False, words="")
    first = made.before("expose", is_first=True)
    assert first is not None
    assert (first.face, first.words[:8]) == (Face.STARTING, "drawing:")
    assert made.before("expose", is_first=False) is None


def test_later_pictures_are_not_called_a_start():
    found = announcing(is_warm=False, words="compiling 3").before("chart", is_first=False)
    assert found is not None
    assert (found.face, found.words[:8]) == (Face.STALLED, "drawing:")


def test_a_start_says_what_is_prepared():
    found = announcing(is_warm=False, words="compiling 3").before("chart", is_first=True)
    assert found is not None
    assert found.words == "compiling 3"


def test_where_all_is_there_nothing_is_said():
    assert announcing(is_warm=True, words="").before("chart", is_first=True) is None
