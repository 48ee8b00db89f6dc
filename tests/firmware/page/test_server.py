"""The server on a real socket."""

import http.client
import json
import socket
import threading

import pytest
from websockets.exceptions import ConnectionClosed

from firmware.page.server import Server
from tests.firmware.page.conftest import watching


@pytest.fixture
def listening():
    with socket.create_server(("127.0.0.1", 0)) as made:
        yield made


@pytest.fixture
def server(served, listening):
    made = Server(served, listening)
    made.start()
    yield made
    made.close()


def get(port, path):
    asking = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    try:
        asking.request("GET", path)
        answer = asking.getresponse()
        return answer.status, dict(answer.getheaders()), answer.read()
    finally:
        asking.close()


@pytest.mark.usefixtures("server")
def test_it_serves_and_says_nothing_of_itself(listening):
    status, headers, body = get(listening.getsockname()[1], "/me")
    assert (status, json.loads(body)["paired"]) == (200, False)
    assert "server" not in {name.casefold() for name in headers}


@pytest.mark.usefixtures("server")
def test_a_phone_watches_through_a_real_websocket(served, listening, seen):
    port = listening.getsockname()[1]
    token = served.phones.admit("Anna")
    served.hub.publish(seen)
    with watching(port, token) as phone:
        phone.send('{"do": "want", "moment": true}')
        assert json.loads(phone.recv(timeout=20))["view"] == "expose"
        phone.send('{"do": "press", "press": "hold"}')
        phone.send('{"do": "nothing"}')
        assert "no such thing" in json.loads(phone.recv(timeout=20))["error"]
        assert len(served.hub.take_asked()) == 1
        phone.send("x" * 10_000)
        with pytest.raises(ConnectionClosed) as gone:
            phone.recv(timeout=20)
    assert gone.value.rcvd.code == 1009  # too large (RFC 6455)


def test_it_ends_while_a_phone_watches_and_leaves_no_thread(served, listening):
    server = Server(served, listening)
    server.start()
    port = listening.getsockname()[1]
    token = served.phones.admit("Anna")
    with watching(port, token):
        server.close()
    names = {thread.name for thread in threading.enumerate()}
    assert not {"page", "page server"} & names
    assert listening.fileno() == -1
