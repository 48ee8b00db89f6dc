from pathlib import Path

from firmware.written.folders import APPLIANCE, own_settings


def test_the_most_particular_comes_first_and_the_appliance_last():
    """XDG Base Directory Specification 0.8."""
    environ = {"HOME": "/home/a", "XDG_CONFIG_DIRS": "/one:/two:not/absolute"}
    wanted = ("/home/a/.config/midgrey", "/one/midgrey", "/two/midgrey")
    assert own_settings(environ) == (*map(Path, wanted), APPLIANCE)
    assert own_settings({"XDG_CONFIG_HOME": "/c"})[0] == Path("/c/midgrey")
    assert own_settings({})[-1] == APPLIANCE
