"""The page beside a loop: presses take the way of the buttons', moments go out, codes are shown."""

import json
import socket
import subprocess
import sys
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.actions import FromPage, PlaceSpot, Press, ShowView
from firmware.clock import HandClock
from firmware.errors import PageError
from firmware.instruments.registry import REGISTRY
from firmware.journal.slate import Slate
from firmware.live.hands import Hands
from firmware.live.marking import Marking
from firmware.live.paging import OFF, SHOWN_NS, Paging, actions_of, own_names
from firmware.live.run_plan import RunPlan
from firmware.page.asked import Marked, Pressed, ProfileChosen, Tapped, Viewed
from firmware.page.listening import Place
from firmware.page.phones import NAME, Phones
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert, Shown
from tests import views
from tests.firmware.live.test_loop import PaperBoard
from tests.firmware.live.test_remembered import start
from tests.firmware.page.conftest import watching
from tests.moments import every_view
from tests.running import environment


@pytest.fixture
def said():
    """What is said for the log."""
    told: list[str] = []
    return told


@pytest.fixture
def make(tmp_path, said):
    opened: list[Paging] = []

    def made(page=Place("127.0.0.1", None, 0), **plan):  # noqa: B008 - frozen
        clock = HandClock(10**12)
        options = RunPlan(view=views.EXPOSE, page=page, **plan)
        marking = Marking(tmp_path / "journal.db", "", clock)
        opened.append(Paging(options, clock, marking, said.append))
        return opened[-1]

    yield made
    for each in opened:
        each.close()


def port_of(said):
    return int(next(each for each in said if "the page is at" in each).rpartition(":")[2])


def applied(doing, state):
    return Hands().after(state, actions_of(doing, state), 0)


def test_a_unit_without_a_page_loads_and_says_nothing_of_it(make, said):
    paging, board = make(page=None), PaperBoard()
    assert paging.board(board) is board
    assert (paging.shows_index, paging.said, said) == (False, (), [])
    state = start()
    assert paging.turn(state) == ""
    assert paging.turn(replace(state, codes=1)) == OFF
    assert paging.alert(lambda: None)() is None


def test_a_page_that_cannot_be_served_ends_a_command_and_never_a_unit(make):
    taken = Place("192.0.2.1", None, 0)  # nobody's (RFC 5737)
    with pytest.raises(PageError, match="cannot listen"):
        make(page=taken)
    paging = make(page=taken, is_service=True)
    assert "cannot listen" in paging.said[0]
    board = PaperBoard()
    assert paging.board(board) is board


def test_what_is_not_installed_is_named_with_its_remedy(make, monkeypatch):
    monkeypatch.setitem(sys.modules, "firmware.page.server", None)
    with pytest.raises(PageError, match=r"pip install '.\[page\]'"):
        make()
    assert "pip install" in make(is_service=True).said[0]


def test_without_a_page_nothing_of_a_server_is_loaded():
    code = (
        "import sys, firmware.live.paging, firmware.commands.run\n"
        "print(sorted({'starlette', 'uvicorn', 'websockets', 'anyio'} & set(sys.modules)))"
    )
    told = subprocess.run(
        [sys.executable, "-c", code],
        env=environment(),
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert told.stdout.strip() == "[]"


def test_a_press_of_a_phone_is_one_of_a_button():
    state = start()
    assert applied(Pressed(Press.STRIPES), state).painted is False
    assert applied(Viewed("balance"), state).view.name == "balance"
    assert applied(Viewed("no such view"), state) == replace(state, is_resting=False)
    assert applied(Marked(Slate()), state).marks == 1


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_tap_is_a_pixel_of_the_picture(across, down):
    state = start()
    (asked,) = actions_of(Tapped(across, down), state)
    placed = asked.does
    assert isinstance(placed, PlaceSpot)
    assert 0 <= placed.column < state.columns
    assert 0 <= placed.row < state.rows
    assert abs(placed.column - across * state.columns) <= 1.0


def test_a_tap_may_set_a_pin_there():
    state = applied(Tapped(0.25, 0.75, pins=True), start())
    assert len(state.desk.pins) == len(start().desk.pins) + 1
    assert state.desk.pins[-1].place == state.spot
    assert abs(state.spot.column - state.columns / 4) <= 1


def test_a_profile_is_reached_as_the_buttons_reach_it():
    state = start()
    count = len(state.profiles)
    for first in range(count):
        here = replace(state, profile=first)
        for number in range(count):
            wanted = actions_of(ProfileChosen(number), here)
            assert {each.does for each in wanted} <= {Press.NEXT_PROFILE, Press.PREVIOUS_PROFILE}
            assert len(wanted) <= count // 2
            assert applied(ProfileChosen(number), here).profile == number
    assert actions_of(ProfileChosen(count), state) == []


def test_the_board_yields_both_its_own_presses_and_the_phones(make):
    paging, board = make(), PaperBoard()
    paged = paging.board(board)
    state = start()
    paging.turn(state)
    board.presses = [Press.HOLD]
    paging._served.hub.ask(Viewed("pins"))
    paging._served.hub.ask(Tapped(0.5, 0.5))
    here = PlaceSpot(state.columns // 2, state.rows // 2)
    assert paged.actions() == [Press.HOLD, FromPage(ShowView("pins")), FromPage(here)]
    paged.flip()
    assert board.flips == 1


def test_moments_go_out_once_they_are_painted(make, said):
    paging, board = make(), PaperBoard()
    paged = paging.board(board)
    token = paging._served.phones.admit("Anna")
    found: list[Shown] = []
    every_view("bench:size=320x180,rate=2", None, found.append, views=["expose"])
    paging.turn(start(320, 180))
    paged.paint(found[0])
    assert board.painted == found[:1]
    port = port_of(said)
    with watching(port, token) as phone:
        phone.send('{"do": "want", "moment": true, "figures": true}')
        moment = json.loads(phone.recv(timeout=20))
        assert moment["views"][0]["name"] == REGISTRY.views()[0].name
        assert paging.shows_index


def test_a_first_phone_is_paired_by_the_code_on_the_screen(make, said):
    paging = make()
    alert = paging.alert(lambda: None)()
    code = paging._served.pairing.shown
    assert code in alert.words
    assert "http://127.0.0.1" in alert.words
    assert any(code in each for each in said)
    grave = Alert("too hot", Tone.ALARM)
    assert paging.alert(lambda: grave)() is grave
    paging._served.pairing.tried(code)
    assert paging.alert(lambda: None)() is None


def test_with_a_phone_or_a_code_of_the_preset_none_is_shown_until_it_is_asked_for(make, tmp_path):
    Phones(tmp_path / NAME, HandClock()).admit("Anna")
    paging = make()
    assert paging.alert(lambda: None)() is None
    state = start()
    assert paging.turn(state) == ""
    assert paging.turn(replace(state, codes=1)) == "paired: Anna"
    assert paging.alert(lambda: None)() is not None
    assert paging.turn(replace(state, codes=2)) == "paired: Anna"
    assert paging.alert(lambda: None)() is None


def test_a_code_leaves_the_screen_after_a_while_and_still_pairs_the_first_phone(make):
    paging = make()
    code = paging._served.pairing.shown
    paging._clock.move(SHOWN_NS / 1e9)
    assert paging.alert(lambda: None)() is None
    state = start()
    paging.turn(state)
    paging.turn(replace(state, codes=1))  # asked for, another one is shown
    assert paging.alert(lambda: None)() is not None
    assert paging._served.pairing.shown != code


def test_a_page_that_fails_takes_nothing_along(make, said, monkeypatch):
    paging, board = make(), PaperBoard()
    found: list[Shown] = []
    every_view("bench:size=320x180,rate=2", None, found.append, views=["expose"])
    paging.turn(start(320, 180))
    monkeypatch.setattr("firmware.live.paging.seen_of", lambda *_: 1 / 0)
    for _ in range(3):
        paging.board(board).paint(found[0])
    assert len(board.painted) == 3
    assert sum("the page has failed" in each for each in said) == 1


def test_a_code_of_the_preset_is_shown_nowhere(make, said):
    paging = make(page_code="kit b 2026")
    assert paging.alert(lambda: None)() is None
    assert not any("2026" in each for each in said)


def test_the_buttons_let_all_phones_go(make):
    paging = make()
    token = paging._served.phones.admit("Anna")
    state = start()
    paging.turn(state)
    assert paging.turn(replace(state, partings=1)) == "1 phone forgotten"
    assert paging._served.phones.of(token) is None
    assert paging.turn(start()) == ""  # another feed begins to count anew


def test_a_unit_is_asked_for_by_its_own_name(tmp_path):
    (tmp_path / "etc").mkdir()
    (tmp_path / "etc" / "hostname").write_text("unit-b\n")
    names = own_names(tmp_path)
    assert {"localhost", "unit-b", "unit-b.local", socket.gethostname().partition(".")[0]} <= names
