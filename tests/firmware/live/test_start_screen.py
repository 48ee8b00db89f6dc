from types import SimpleNamespace

from firmware.live.start_screen import StartScreen, starting
from overlays.draw.moment.shown import Face, Shown
from tests import views


def test_it_says_what_is_waited_for():
    seen: list[Shown] = []
    flips: list[int] = []
    screen = SimpleNamespace(paint=seen.append, flip=lambda: flips.append(len(seen)))
    start = StartScreen(screen, views.EXPOSE, "v4l2:/dev/video0")
    start.say("")
    start.say("nothing there; tried again")
    assert [each.face_words for each in seen] == [
        "opening v4l2:/dev/video0",
        "nothing there; tried again",
    ]
    assert flips == [1, 2]


def test_without_a_feed_the_first_one_found_is_opened():
    shown = starting(views.PICTURE, None, "")
    assert (shown.face, shown.face_words) == (Face.STARTING, "opening first feed found")
