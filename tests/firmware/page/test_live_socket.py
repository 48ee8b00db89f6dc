"""The one WebSocket."""

import json
from concurrent.futures import CancelledError
from contextlib import ExitStack, contextmanager, suppress

import pytest
from starlette.websockets import WebSocketDisconnect

from firmware.actions import Press
from firmware.journal.slate import Slate
from firmware.page.asked import Marked, Pressed, Tapped
from firmware.page.live_socket import ALONE, COOKIE, MOST_A_SECOND, MOST_WATCHING, TOO_MANY
from tests.firmware.page.conftest import ORIGIN


@pytest.fixture
def running(served):
    """The page's own thread, as a server starts it."""
    served.hub.start()
    yield served
    served.hub.close()


@contextmanager
def connect(client):
    # The test client may cancel what serves it where it goes first.
    with (
        suppress(CancelledError),
        client.websocket_connect("/live", headers={**ORIGIN, "host": "10.42.0.1"}) as socket,
    ):
        yield socket


def ask(socket, **message):
    socket.send_text(json.dumps(message))


@pytest.mark.parametrize("token", [None, "", "wrong", "a" * 43])
def test_nobody_watches_without_a_token(client, served, token):
    served.phones.admit("Anna")
    if token is not None:
        client.cookies.set(COOKIE, token)
    with pytest.raises(WebSocketDisconnect) as gone, connect(client):
        pass
    assert gone.value.code == 1008
    assert not served.hub.is_watched


def test_a_phone_gets_the_newest_of_what_it_asked_for_once(paired, running, seen, taken, clock):
    with connect(paired) as socket:
        running.hub.publish(seen)
        ask(socket, do="want", moment=True)
        first = json.loads(socket.receive_text())
        assert (first["view"], first["believed"]) == ("expose", True)
        clock.move(1.0)
        running.hub.leave(taken)
        ask(socket, do="want", picture=True, counts=True)
        kinds = {socket.receive_bytes()[:1] for _ in range(3)}
        assert kinds == {b"P", b"T", b"C"}
        # What was not asked for again is not sent: the next that comes is the answer to this.
        clock.move(1.0)
        running.hub.publish(seen)
        ask(socket, do="nothing")
        assert "no such thing" in json.loads(socket.receive_text())["error"]
    assert not running.hub.is_watched


def test_presses_are_handed_on_in_their_order(paired, running):
    with connect(paired) as socket:
        ask(socket, do="press", press="hold")
        ask(socket, do="tap", x=0.5, y=0.25, pin=True)
        ask(socket, do="nothing")
        socket.receive_text()
    assert running.hub.take_asked() == [Pressed(Press.HOLD), Tapped(0.5, 0.25, pins=True)]


def test_a_mark_sets_the_slate_first_and_says_what_a_card_does_not_take(paired, running, slates):
    slates.said = "slate.toml: the slate cannot be written"
    with connect(paired) as socket:
        ask(socket, do="mark", slate={"scene": "12", "take": "3"})
        assert json.loads(socket.receive_text()) == {"error": slates.said}
        ask(socket, do="nothing")
        socket.receive_text()
    assert slates.now == Slate(scene="12", take="3")
    assert running.hub.take_asked() == [Marked(slates.now)]


def test_a_mark_on_all_goes_to_the_kit_or_is_this_units_alone(paired, running):
    asked: list[Slate] = []
    in_reach = [True]

    def mark_all(slate):
        asked.append(slate)
        return in_reach[0]

    object.__setattr__(running, "mark_all", mark_all)
    with connect(paired) as socket:
        ask(socket, do="mark", slate={"scene": "12"}, all=True)
        ask(socket, do="nothing")
        socket.receive_text()
        assert running.hub.take_asked() == []  # it comes back from there, as to every unit
        in_reach[0] = False
        ask(socket, do="mark", slate={"scene": "13"}, all=True)
        assert json.loads(socket.receive_text()) == {"error": ALONE}
        ask(socket, do="nothing")
        socket.receive_text()
    assert running.hub.take_asked() == [Marked(Slate(scene="13"), everyone=True)]
    assert asked == [Slate(scene="12"), Slate(scene="13")]


def test_a_phone_that_is_forgotten_is_cut_off_at_once(paired, running, seen):
    with connect(paired) as socket:
        running.hub.publish(seen)
        ask(socket, do="want", moment=True)
        socket.receive_text()
        running.phones.forget(1)
        ask(socket, do="press", press="hold")
        with pytest.raises(WebSocketDisconnect) as gone:
            socket.receive_text()
    assert gone.value.code == 1008
    assert running.hub.take_asked() == []


def test_what_no_thumb_does_is_not_done(paired, running):
    with connect(paired) as socket:
        for _ in range(3 * MOST_A_SECOND):
            ask(socket, do="press", press="hold")
        ask(socket, do="nothing")
        said: list[str] = []
        while not said or said[-1] != "there is no such thing to do":
            said.append(json.loads(socket.receive_text())["error"])
    assert said[0] == TOO_MANY
    assert len(running.hub.take_asked()) == MOST_A_SECOND  # no second begins: time is handed in


def test_only_so_many_watch_at_once(phone, running):
    phones = [phone(f"phone {number}") for number in range(MOST_WATCHING + 1)]
    with ExitStack() as opened:
        for each in phones[:-1]:
            opened.enter_context(connect(each))
        with pytest.raises(WebSocketDisconnect) as gone, connect(phones[-1]):
            pass
        assert gone.value.code == 1013
    assert not running.hub.is_watched


def test_the_index_is_measured_for_while_a_phone_shows_it(paired, running):
    with connect(paired) as socket:
        ask(socket, do="want", figures=True)
        ask(socket, do="nothing")
        socket.receive_text()
        assert running.hub.shows_index
        ask(socket, do="want", figures=False)
        ask(socket, do="nothing")
        socket.receive_text()
        assert not running.hub.shows_index
