"""Without a screen: everything goes on, and one that comes is painted on from then on."""

import itertools

import pytest

from firmware.actions import Leave, Press
from firmware.clock import HandClock
from firmware.errors import ScreenError
from firmware.screen.blind import AGAIN_NS, EAGER, LOOK_NS, Blind
from overlays.draw.layout.views import TraceKind
from overlays.draw.moment.shown import Face, Shown, Source
from tests import views


def moment(measured=None):
    return Shown(views.EXPOSE, TraceKind.LUMA, measured, Face.LOST, "no cable", Source("", "", ""))


class PaperScreen:
    def __init__(self, missing=""):
        self.done, self.missing = [], missing

    def actions(self):
        return [Press.HELP]

    def paint(self, shown):
        self.done.append(shown)

    def flip(self):
        self.done.append("flip")

    def is_lit(self):
        return True

    def png(self):
        return b"PNG"

    def save(self, path):
        path.write_bytes(b"PNG")

    def close(self):
        self.done.append("closed")


def test_without_a_screen_nothing_is_pressed_and_moments_are_told(tmp_path):
    told: list[Shown] = []
    ended: list[int] = []
    blind = Blind(HandClock(), tell=told.append, at_end=lambda: ended.append(1))
    assert blind.actions() == []
    shown = moment()
    blind.paint(shown)
    blind.flip()
    assert told == [shown]
    with pytest.raises(OSError, match="there is no screen"):
        blind.png()
    with pytest.raises(ScreenError, match="there is no screen"):
        blind.save(tmp_path / "s.png")
    blind.close()
    assert ended == [1]


def test_what_a_screen_that_comes_has_not_is_said():
    said: list[str] = []
    blind = Blind(HandClock(), lambda: PaperScreen("the face is not installed"), say=said.append)
    assert blind.missing == ""
    blind.actions()
    assert said == ["a screen has come", "the face is not installed"]
    assert blind.missing == said[1]


def test_one_that_comes_shows_what_is_said_at_once_and_no_frame_that_was_given_back(tmp_path):
    clock, screen = HandClock(), PaperScreen()
    said: list[str] = []
    there: list[int] = []
    blind = Blind(clock, lambda: screen if there else None, say=said.append)
    blind.actions()
    blind.paint(moment(measured="a frame"))
    there.append(1)
    assert blind.actions() == []  # it is looked for twice a second
    clock.move(0.5)
    assert blind.actions() == [Press.HELP]
    assert [screen.done[0].measured, screen.done[0].face_words] == [None, "no cable"]
    assert said == ["a screen has come"]
    blind.paint(moment(measured="another"))
    blind.flip()
    assert screen.done[-2].measured == "another"
    assert blind.png() == b"PNG"
    blind.save(tmp_path / "s.png")
    blind.close()
    assert screen.done[-1] == "closed"


def test_one_that_cannot_be_opened_is_said_once_and_tried_ever_more_seldom():
    clock = HandClock()
    tries: list[int] = []
    said: list[str] = []

    def refuse():
        tries.append(clock.now_ns())
        raise ScreenError("busy")

    blind = Blind(clock, refuse, say=said.append)
    for _ in range(600):
        blind.actions()
        clock.move(0.05)
    assert said == ["busy"]
    rests = [after - before for before, after in itertools.pairwise(tries)]
    assert rests == [LOOK_NS] * EAGER + [AGAIN_NS] * (len(rests) - EAGER)
    assert len(rests) > EAGER + 2


def test_the_system_may_end_it():
    told: list[int] = []
    blind = Blind(HandClock(), is_told_to_end=lambda: bool(told))
    assert blind.actions() == []
    told.append(1)
    assert blind.actions() == [Leave()]
