"""A page that serves no socket, and moments of the bench, for the tests of its rooms."""

from collections.abc import Callable, Iterator

import pytest
from starlette.testclient import TestClient
from websockets.sync.client import ClientConnection, connect
from websockets.typing import Origin

from firmware.clock import HandClock
from firmware.journal.slate import Slate
from firmware.live.page_standing import seen_of, standing_of, taken_of
from firmware.page.application import application
from firmware.page.hub import Hub
from firmware.page.live_socket import COOKIE
from firmware.page.pairing import Pairing
from firmware.page.phones import Phones
from firmware.page.request_guard import App
from firmware.page.served import Served
from overlays.draw.moment.shown import Shown
from tests.firmware.live.test_remembered import start
from tests.moments import every_view

HOST = "http://10.42.0.1"
ORIGIN = {"origin": HOST}
CODE = "12345678"
DAY_S = 1_795_737_600.0


@pytest.fixture(scope="session")
def moments() -> dict[str, Shown]:
    """One of each view, of the bench."""
    found: list[Shown] = []
    every_view("bench:size=320x180,rate=2", None, found.append)
    return {shown.view.name: shown for shown in found}


@pytest.fixture
def shown(moments: dict[str, Shown]) -> Shown:
    return moments["expose"]


@pytest.fixture
def standing():
    return standing_of(start(320, 180))


@pytest.fixture
def seen(shown, standing):
    return seen_of(shown, standing)


@pytest.fixture
def taken(shown):
    return taken_of(shown)


class Slates:
    """The slate of a unit, as a journal keeps it."""

    def __init__(self) -> None:
        self.now = Slate(scene="7")
        self.said = ""

    def get(self) -> Slate:
        return self.now

    def set(self, slate: Slate) -> str:
        self.now = slate
        return self.said


@pytest.fixture
def slates() -> Slates:
    return Slates()


@pytest.fixture
def clock() -> HandClock:
    return HandClock(10**12, wall_start_s=DAY_S)


@pytest.fixture
def served(tmp_path, clock, slates) -> Served:
    return Served(
        Hub(clock),
        Pairing(clock, draw=lambda: CODE),
        Phones(tmp_path / "phones.json", clock),
        tmp_path / "journal.db",
        slates.get,
        slates.set,
        frozenset({"localhost", "unit.local"}),
        {"HOME": str(tmp_path), "XDG_CONFIG_HOME": str(tmp_path / "config")},
    )


@pytest.fixture
def app(served) -> App:
    return application(served)


def watching(port: int, token: str) -> ClientConnection:
    """A phone of another make at a real socket."""
    return connect(
        f"ws://127.0.0.1:{port}/live",
        origin=Origin(f"http://127.0.0.1:{port}"),
        additional_headers={"cookie": f"{COOKIE}={token}"},
        open_timeout=20,
    )


@pytest.fixture
def client(app: App) -> Iterator[TestClient]:
    with TestClient(app, HOST) as made:
        yield made


@pytest.fixture
def paired(client: TestClient, served: Served) -> TestClient:
    """The same phone with a token."""
    client.cookies.set(COOKIE, served.phones.admit("Anna"))
    return client


@pytest.fixture
def phone(app: App, served: Served) -> Callable[[str], TestClient]:
    """Makes more phones, with tokens of their own."""

    def made(name: str) -> TestClient:
        one = TestClient(app, HOST)
        one.cookies.set(COOKIE, served.phones.admit(name))
        return one

    return made
