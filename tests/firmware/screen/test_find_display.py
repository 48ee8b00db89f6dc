from pathlib import Path

import pytest

from firmware.screen.find_display import (
    Driver,
    card_with_screen,
    connected,
    find_display,
    panel_on_spi,
)


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


@pytest.fixture
def panel(tmp_path):
    """A framebuffer in sysfs, as fbtft and the kernel's panel drivers enter it."""

    def plug(node, called, bus):
        device = tmp_path / "sys/devices" / f"{bus}-{node}"
        device.mkdir(parents=True)
        (tmp_path / "sys/bus" / bus).mkdir(parents=True, exist_ok=True)
        (device / "subsystem").symlink_to(tmp_path / "sys/bus" / bus)
        folder = tmp_path / "sys/class/graphics" / node
        folder.mkdir(parents=True)
        (folder / "device").symlink_to(device)
        (folder / "name").write_text(f"{called}\n")
        return tmp_path

    return plug


@pytest.mark.parametrize(
    ("called", "bus"),
    [("panel-mipi-dbid", "spi"), ("fb_ili9341", "spi"), ("fb_ili9341", "platform")],
)
@pytest.mark.parametrize("environ", [{}, {"SDL_VIDEODRIVER": "kmsdrm"}])
def test_a_panel_on_spi_where_there_is_no_other_screen(panel, screen, called, bus, environ):
    panel("fb0", "vc4drmfb", "platform")
    root = panel("fb1", called, bus)
    screen("card0-HDMI-A-1", "disconnected")
    screen("card1-SPI-1", "connected")
    display = find_display(environ, root)
    assert display.driver is Driver.FRAMEBUFFER
    assert display.node == Path("/dev/fb1")
    assert display.shows
    assert called in display.reason
    assert card_with_screen(root) is None
    assert connected(root) == []


def test_a_real_screen_goes_before_a_panel_on_spi(panel, screen):
    panel("fb1", "panel-mipi-dbid", "spi")
    screen("card1-SPI-1", "connected")
    root = screen("card2-HDMI-A-1", "connected")
    assert find_display({}, root).driver is Driver.KMS
    assert find_display({}, root).node is None
    assert card_with_screen(root) == 2


@pytest.mark.parametrize("called", ["vc4drmfb", "bochs-drmdrmfb", "Virtual FB", "simple"])
def test_another_framebuffer_is_not_drawn_on_unasked(panel, called):
    root = panel("fb0", called, "platform")
    assert panel_on_spi(root) is None
    assert find_display({}, root).driver is Driver.NONE
    display = find_display({"MIDGREY_FRAMEBUFFER": "/dev/fb0", "DISPLAY": ":0"}, root)
    assert (display.driver, display.node) == (Driver.FRAMEBUFFER, Path("/dev/fb0"))
    assert called in display.reason
    assert "MIDGREY_FRAMEBUFFER" in display.reason


@pytest.mark.parametrize("node", ["/dev/fb7", "fb0", "/dev/../etc/passwd", "/dev/"])
def test_a_framebuffer_that_is_not_there_is_named(panel, node):
    root = panel("fb0", "Virtual FB", "platform")
    display = find_display({"MIDGREY_FRAMEBUFFER": node}, root)
    assert display.driver is Driver.NONE
    assert f"MIDGREY_FRAMEBUFFER={node}" in display.reason


def test_a_driver_by_name_is_not_a_framebuffer(panel):
    root = panel("fb1", "fb_ili9341", "spi")
    assert find_display({"SDL_VIDEODRIVER": "x11"}, root).driver is Driver.NONE
    assert find_display({"SDL_VIDEODRIVER": "dummy"}, root).driver is Driver.NONE
