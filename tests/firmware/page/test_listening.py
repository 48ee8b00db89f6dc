"""Where the page listens."""

import os
import socket

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ArgumentError, PageError
from firmware.page import listening
from firmware.page.listening import USUAL_PORT, Place, address_of, opened, parse_place


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("on", Place()),
        ("10.42.0.1", Place("10.42.0.1", None, USUAL_PORT)),
        ("10.42.0.1:80", Place("10.42.0.1", None, 80)),
        ("[fe80::1]:8080", Place("fe80::1", None, 8080)),
        ("wlan0", Place(None, "wlan0", USUAL_PORT)),
        ("wlan0:81", Place(None, "wlan0", 81)),
    ],
)
def test_a_place_is_understood(written, meant):
    assert parse_place(written) == meant


@pytest.mark.parametrize("written", ["0.0.0.0", "0.0.0.0:80", "[::]:80", "[::]"])
def test_every_network_at_once_is_refused(written):
    with pytest.raises(ArgumentError, match="every network"):
        parse_place(written)


@pytest.mark.parametrize(
    "written", ["", ":80", "10.0.0.1:0", "10.0.0.1:65536", "a b", "wlan0:x", "[wlan0]", "1.2.3:4:5"]
)
def test_what_is_no_place_is_refused(written):
    with pytest.raises(ArgumentError, match="--page"):
        parse_place(written)


@given(st.text(max_size=40))
def test_any_text_is_a_place_or_one_sentence(written):
    try:
        made = parse_place(written)
    except ArgumentError:
        return
    assert 0 < made.port < 65536


def test_without_a_socket_that_is_handed_over_only_this_machine_is_served(monkeypatch):
    asked = []

    class Listening(socket.socket):
        def bind(self, address):
            asked.append(address)
            super().bind((address[0], 0))  # any free port: the usual one may be in use

    monkeypatch.setattr(socket, "socket", Listening)
    # Handed over to another process, which is no business of this one.
    with opened(Place(), {"LISTEN_PID": "1", "LISTEN_FDS": "1"}) as made:
        assert asked == [("127.0.0.1", USUAL_PORT)]
        assert address_of(made) == f"http://127.0.0.1:{made.getsockname()[1]}"


def test_an_interface_listens_at_its_own_address():
    with opened(Place(interface="lo", port=0), {}) as made:
        assert made.getsockname()[0] == "127.0.0.1"


@pytest.mark.parametrize(
    "wrong", [Place("192.0.2.1", None, 0), Place(None, "nowhere0", 0), Place("nowhere", None, 0)]
)
def test_a_place_that_is_not_this_machines_is_one_sentence(wrong):
    # 192.0.2.0/24 is nobody's (RFC 5737).
    with pytest.raises(PageError, match="cannot listen"):
        opened(wrong, {})


@pytest.fixture
def handed(monkeypatch):
    """Takes a socket as systemd would hand it over."""

    def taken(kind, environ):
        # At any number but the usual one, which is somebody else's in this process.
        monkeypatch.setattr(listening, "FIRST_HANDED", os.dup(kind.fileno()))
        environ |= {"LISTEN_PID": str(os.getpid()), "LISTEN_FDS": "1", "LISTEN_FDNAMES": "a"}
        return opened(Place(), environ)

    return taken


def test_what_systemd_hands_over_is_taken_once(handed):
    environ: dict[str, str] = {}
    with socket.create_server(("127.0.0.1", 0)) as kind, handed(kind, environ) as made:
        assert made.getsockname() == kind.getsockname()
        assert not made.get_inheritable()
    assert environ == {}


def test_what_is_handed_over_must_listen_on_a_network(handed):
    one, other = socket.socketpair()
    with one, other, pytest.raises(PageError, match="no listening socket") as fault:
        handed(one, {})
    # Closed at once: whoever keeps the fault does not keep the socket open.
    with pytest.raises(OSError, match="Bad file descriptor"):
        os.fstat(listening.FIRST_HANDED)
    del fault


def test_what_is_no_socket_is_said(handed, tmp_path):
    with (tmp_path / "file").open("w") as file, pytest.raises(PageError, match="is no socket"):
        handed(file, {})
