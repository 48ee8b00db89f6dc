import pytest

from firmware.display import Driver, card_with_screen, connected, find_display


@pytest.fixture
def screen(tmp_path):
    def plug(name, status):
        folder = tmp_path / "sys/class/drm" / name
        folder.mkdir(parents=True)
        (folder / "status").write_text(f"{status}\n")
        return tmp_path

    return plug


@pytest.mark.parametrize(
    ("environ", "driver"),
    [
        ({"WAYLAND_DISPLAY": "wayland-0", "DISPLAY": ":0"}, Driver.WAYLAND),
        ({"DISPLAY": ":0"}, Driver.X11),
        ({"WAYLAND_DISPLAY": "wayland-0", "DISPLAY": ":0", "SDL_VIDEODRIVER": "x11"}, Driver.X11),
        ({}, Driver.NONE),
        ({"DISPLAY": ""}, Driver.NONE),
        ({"DISPLAY": ":0", "SDL_VIDEODRIVER": "dummy"}, Driver.NONE),
        ({"DISPLAY": ":0", "SDL_VIDEODRIVER": "offscreen"}, Driver.NONE),
        ({"SDL_VIDEODRIVER": "x11"}, Driver.NONE),
    ],
)
def test_sessions(environ, driver, tmp_path):
    display = find_display(environ, tmp_path)
    assert display.driver is driver
    assert display.shows is (driver is not Driver.NONE)
    assert display.reason


def test_a_screen_without_a_session(screen):
    root = screen("card1-HDMI-A-1", "connected")
    assert find_display({}, root).driver is Driver.KMS
    assert "HDMI-A-1" in find_display({}, root).reason
    assert connected(root) == ["HDMI-A-1"]


def test_a_connector_without_a_screen(screen):
    assert find_display({}, screen("card1-HDMI-A-1", "disconnected")).driver is Driver.NONE


def test_a_wish_for_another_driver_is_kept(screen):
    root = screen("card0-DSI-1", "connected")
    display = find_display({"SDL_VIDEODRIVER": "wayland"}, root)
    assert display.driver is Driver.NONE
    assert "SDL_VIDEODRIVER=wayland" in display.reason


def test_card_is_the_one_with_a_screen(screen, tmp_path):
    assert card_with_screen(tmp_path) is None
    screen("card0-HDMI-A-1", "disconnected")
    screen("card1-Writeback-1", "unknown")
    assert card_with_screen(tmp_path) is None
    screen("card2-DSI-1", "connected")
    assert card_with_screen(tmp_path) == 2
