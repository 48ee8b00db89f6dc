import socket

import pytest

from firmware.clock import HandClock
from firmware.system.systemd import Notifier


@pytest.fixture(params=["path", "abstract"])
def manager(request, tmp_path):
    """A service manager's end of the line, and the environment it hands over."""
    name = str(tmp_path / "notify") if request.param == "path" else "@midgrey-test-notify"
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as end:
        end.bind(name.replace("@", "\0", 1))
        end.settimeout(5)
        yield end, {"NOTIFY_SOCKET": name, "WATCHDOG_USEC": "10000000"}


def heard(end):
    end.setblocking(False)
    lines = []
    try:
        while True:
            lines.append(end.recv(4096).decode())
    except BlockingIOError:
        return lines


def test_ready_status_and_stopping_are_told(manager):
    end, environ = manager
    notifier = Notifier(environ, HandClock())
    notifier.ready()
    notifier.ready()
    notifier.status("no signal")
    notifier.status("no signal")
    notifier.status("two\nlines")
    notifier.stopping()
    notifier.close()
    notifier.close()
    assert heard(end) == ["READY=1", "STATUS=no signal", "STATUS=two lines", "STOPPING=1"]


def test_signs_of_life_come_at_half_the_watchdogs_time(manager):
    end, environ = manager
    clock = HandClock()
    notifier = Notifier(environ, clock)
    for _ in range(1000):  # 20 s at 50 frames a second
        notifier.alive()
        clock.move(0.02)
    notifier.close()
    assert heard(end) == ["WATCHDOG=1"] * 4


def test_it_is_known_when_the_watchdog_was_last_fed(manager):
    _, environ = manager
    clock = HandClock(10**9)
    notifier = Notifier(environ, clock)
    assert not notifier.is_fed_since(0)
    notifier.alive()
    assert notifier.is_fed_since(10**9)
    clock.move(1.0)
    notifier.alive()  # too soon after the last one to be sent
    assert not notifier.is_fed_since(clock.now_ns())
    notifier.close()
    assert Notifier({}, clock).is_fed_since(clock.now_ns())


def test_no_sign_of_life_without_a_watchdog(manager):
    end, environ = manager
    notifier = Notifier({"NOTIFY_SOCKET": environ["NOTIFY_SOCKET"]}, HandClock())
    notifier.alive()
    notifier.close()
    assert heard(end) == []


@pytest.mark.parametrize(
    "environ",
    [
        {},
        {"NOTIFY_SOCKET": ""},
        {"NOTIFY_SOCKET": "vsock:2:1234"},
        {"NOTIFY_SOCKET": "/nowhere/at/all", "WATCHDOG_USEC": "1000"},
        {"NOTIFY_SOCKET": "/nowhere/at/all", "WATCHDOG_USEC": "soon"},
    ],
)
def test_without_a_manager_everything_is_harmless(environ):
    notifier = Notifier(environ, HandClock())
    notifier.ready()
    notifier.alive()
    notifier.status("x")
    notifier.stopping()
    notifier.close()


def test_a_full_socket_never_blocks(manager):
    _end, environ = manager
    notifier = Notifier(environ, HandClock())
    for number in range(2000):
        notifier.status(f"sentence {number}")
    notifier.close()
